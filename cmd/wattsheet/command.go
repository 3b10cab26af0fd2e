package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"strings"

	"wattsheet/generator/record"
)

// A command is one thing that the program does.
type command struct {
	name     string
	does     string // in a few words, for the overview
	takes    string // what stands behind its name
	about    string // a paragraph or two
	flags    []option
	examples []string // command lines that work, in the order one would try them
	run      func(u *ui, args []string) int
}

// An option is a flag that takes a text; one whose value has no name is a switch,
// whose text becomes "yes" when it is given. A value in brackets may be left out:
// the text is then "yes" too. A value with … behind it may be given again: the text is
// then all of them, with blanks between.
type option struct{ name, value, does string }

// commands are all commands, in the order of the overview. It is a function, as
// help needs the list that it stands in.
func commands() []*command {
	return []*command{
		startCommand(),
		planCommand(),
		signalCommand(),
		logCommand(),
		importCommand(),
		checkCommand(),
		buildCommand(),
		watchCommand(),
		whyCommand(),
		poolCommand(),
		sealCommand(),
		explainCommand(),
		compareCommand(),
		kitCommand(),
		holdsCommand(),
		verifyCommand(),
		completionCommand(),
		helpCommand(),
		versionCommand(),
	}
}

func commandCalled(name string) *command {
	for _, c := range commands() {
		if c.name == name {
			return c
		}
	}
	return nil
}

// errSwitch says that a switch was given a value, as in --write=false: taken as given, it
// would do what nobody asked for.
var errSwitch = errors.New("takes no value")

// errHelp says that the command's help was asked for.
var errHelp = errors.New("help")

// read reads a command's arguments: flags into values, which start with the
// defaults, and at most so many words behind them. When there is nothing left
// to do, because help was asked for or the arguments are wrong, ok is false and
// the status is the program's.
func (c *command) read(u *ui, args []string, values map[string]*string, most int) (words []string, status int, ok bool) {
	words, err := c.parse(args, values)
	switch {
	case err == errHelp:
		u.text(c.help())
		return nil, exitDone, false
	case err == nil && len(words) > most:
		err = c.tooMany(words[most:])
	}
	if err != nil {
		return nil, u.misused(err), false
	}
	return words, exitDone, true
}

// parse reads a command's flags and returns what stands behind them. The error
// is one for people; errHelp when -h was given.
func (c *command) parse(args []string, values map[string]*string) ([]string, error) {
	flags := flag.NewFlagSet(c.name, flag.ContinueOnError)
	flags.SetOutput(io.Discard)
	flags.Usage = func() {}
	for _, o := range c.flags {
		if strings.HasPrefix(o.value, "[=") {
			flags.BoolFunc(o.name, o.does, func(text string) error {
				if *values[o.name] = text; text == "true" {
					*values[o.name] = "yes"
				}
				return nil
			})
			continue
		}
		if o.value == "" {
			flags.BoolFunc(o.name, o.does, func(text string) error {
				if text != "true" { // what the package passes where nothing stands behind the flag
					return errSwitch
				}
				*values[o.name] = "yes"
				return nil
			})
			continue
		}
		if strings.HasSuffix(o.value, "…") {
			flags.Func(o.name, o.does, func(text string) error {
				*values[o.name] = strings.TrimSpace(*values[o.name] + " " + text)
				return nil
			})
			continue
		}
		flags.StringVar(values[o.name], o.name, *values[o.name], o.does)
	}
	// flags may stand before, between and behind the words
	var words []string
	for rest := args; ; {
		err := flags.Parse(rest)
		switch {
		case errors.Is(err, flag.ErrHelp):
			return nil, errHelp
		case err != nil:
			return nil, c.flagError(err)
		}
		ended := len(rest) > len(flags.Args()) && rest[len(rest)-len(flags.Args())-1] == "--"
		if rest = flags.Args(); len(rest) == 0 || ended {
			return append(words, rest...), nil
		}
		words, rest = append(words, rest[0]), rest[1:]
	}
}

// flagError says in this program's words what the flag package doesn't like.
func (c *command) flagError(err error) error {
	see := "wattsheet help " + c.name + " lists the flags"
	if name, ok := strings.CutPrefix(err.Error(), "flag provided but not defined: -"); ok {
		var names []string
		for _, o := range c.flags {
			names = append(names, o.name)
		}
		if near := nearest(name, names); near != "" {
			see = "did you mean --" + near + "?"
		}
		return fmt.Errorf("%s has no flag --%s\nhint: %s", c.name, name, see)
	}
	if name, ok := strings.CutPrefix(err.Error(), "flag needs an argument: -"); ok {
		for _, o := range c.flags {
			if o.name == name {
				return fmt.Errorf("--%s needs a value\nhint: --%s %s: %s", name, name, o.value, o.does)
			}
		}
	}
	for _, o := range c.flags {
		if strings.Contains(err.Error(), " for -"+o.name+": "+errSwitch.Error()) {
			return fmt.Errorf("--%s takes no value\nhint: give it alone, or leave it out: --%s: %s", o.name, o.name, o.does)
		}
	}
	return fmt.Errorf("%s\nhint: %s", strings.ReplaceAll(err.Error(), "\n", " "), see)
}

// unknownCommand is the error for a word that isn't a command.
func unknownCommand(name string) error {
	var names []string
	for _, c := range commands() {
		names = append(names, c.name)
	}
	hint := "wattsheet help lists the commands"
	if near := nearest(name, names); near != "" {
		hint = "did you mean wattsheet " + near + "?"
	}
	return fmt.Errorf("there is no command %q\nhint: %s", name, hint)
}

// tooMany is the error for arguments that a command doesn't take.
func (c *command) tooMany(args []string) error {
	return fmt.Errorf("%s doesn't take %q\nhint: wattsheet help %s says what it takes", c.name, args[0], c.name)
}

// nearest is the known word that differs least from a mistyped one, or "" where
// none is near: by at most a third of its letters (a habit, no source).
func nearest(typed string, known []string) string {
	best, least := "", len([]rune(typed))/3+2
	for _, word := range known {
		if d := record.Distance(typed, word); d < least {
			best, least = word, d
		}
	}
	return best
}
