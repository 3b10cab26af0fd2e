package main

import (
	"embed"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
	"wattsheet/themes"
)

// The scripts ask the program itself, by a command that help doesn't list: candidates
// prints what the last of its words can become, one a line.
//
//go:embed completion
var completionScripts embed.FS

var shells = []string{"bash", "zsh", "fish"}

func completionCommand() *command {
	c := &command{
		name: "completion", does: "print a script that completes words in a shell", takes: "bash|zsh|fish",
		about: `Prints a script for the shell. When it has been read, the Tab key completes
commands, flags, units, loads, methods and the ids of a unit's claims and runs,
of the site in the current folder or of the one that --root names.
Its first lines say where it belongs.`,
		examples: []string{"wattsheet completion bash", "wattsheet completion zsh", "wattsheet completion fish"},
	}
	c.run = func(u *ui, args []string) int {
		words, status, ok := c.read(u, args, nil, 1)
		if !ok {
			return status
		}
		if len(words) == 0 {
			return u.misused(errors.New("completion needs a shell\nhint: bash, zsh or fish"))
		}
		if !slices.Contains(shells, words[0]) {
			return u.misused(fmt.Errorf("there is no completion for %q\nhint: for bash, zsh and fish there is", words[0]))
		}
		script, err := completionScripts.ReadFile("completion/" + words[0] + ".txt")
		if err != nil {
			return u.failed(err)
		}
		u.text(string(script))
		return exitDone
	}
	return c
}

// candidatesWord calls for the command that the scripts run.
const candidatesWord = "candidates"

// runCandidates prints what the last word can become. It never fails: nobody would see
// why while typing.
func runCandidates(u *ui, words []string) int {
	if len(words) > 0 && words[0] == "--" {
		words = words[1:]
	}
	if len(words) == 0 {
		words = []string{""}
	}
	typed := words[len(words)-1]
	for _, one := range candidates(words[:len(words)-1], typed) {
		if strings.HasPrefix(one, typed) && plainWord.MatchString(one) {
			u.say("%s", one)
		}
	}
	return exitDone
}

// plainWord is what no shell does anything with; a folder may be called anything.
var plainWord = regexp.MustCompile(`^[A-Za-z0-9-][A-Za-z0-9./-]*$`)

// candidates are the words that may stand behind others, whatever they begin with.
func candidates(before []string, typed string) []string {
	if len(before) == 0 {
		return commandNames()
	}
	c := commandCalled(before[0])
	if c == nil {
		return nil
	}
	root, words, open := c.walk(before[1:])
	switch {
	case open != nil:
		return valuesOf(*open, root)
	case strings.HasPrefix(typed, "-"):
		var flags []string
		for _, o := range c.flags {
			flags = append(flags, "--"+o.name)
		}
		return flags
	}
	positions := c.positions()
	if len(words) >= len(positions) {
		return nil
	}
	return wordsOf(positions[len(words)], words, root)
}

func commandNames() (names []string) {
	for _, c := range commands() {
		names = append(names, c.name)
	}
	return names
}

// walk goes through the words behind a command: the root that they name, those that are
// no flags, and the flag whose value comes next, if any.
func (c *command) walk(args []string) (root string, words []string, open *option) {
	root = "."
	for _, arg := range args {
		switch {
		case open != nil:
			if open.name == "root" {
				root = arg
			}
			open = nil
		case strings.HasPrefix(arg, "-") && arg != "-":
			name, value, given := strings.Cut(strings.TrimLeft(arg, "-"), "=")
			i := slices.IndexFunc(c.flags, func(o option) bool { return o.name == name })
			switch {
			case i >= 0 && given && name == "root":
				root = value
			case i >= 0 && !given && c.flags[i].value != "":
				open = &c.flags[i]
			}
		default:
			words = append(words, arg)
		}
	}
	return root, words, open
}

var flagsTaken = regexp.MustCompile(`\[--[^\]]*\]|\b\w+:`)

// positions are what a command takes behind its flags, word by word: UNIT, site|unit.
func (c *command) positions() []string {
	return strings.Fields(strings.NewReplacer("[", " ", "]", " ").Replace(flagsTaken.ReplaceAllString(c.takes, " ")))
}

// wordsOf are the words for a position of a command.
func wordsOf(position string, before []string, root string) []string {
	switch position {
	case "UNIT":
		return slices.DeleteFunc(unitFolders(root), func(slug string) bool { return slices.Contains(before, slug) })
	case "METHOD":
		return methodIDs(root)
	case "COMMAND":
		return commandNames()
	case "WHAT":
		return idsOf(root, before[0])
	}
	if strings.Contains(position, "|") {
		return strings.Split(position, "|")
	}
	return nil
}

// valuesOf are the values that a flag takes.
func valuesOf(o option, root string) []string {
	switch o.name + " " + o.value {
	case "load OHM":
		return loadsOf(root, func(l *record.Load) string { return quantity.Float(l.NominalOhm.Value) })
	case "class CLASS":
		return []string{"A", "AB", "B", "D", "G", "H"}
	case "how WORD":
		return []string{"bought", "lent", "given", "own"}
	case "supply KIND":
		return []string{"dc", "mains"}
	case "separator WORD":
		return []string{"comma", "semicolon", "tab"}
	case "take FILE…":
		return themes.Names()
	}
	switch o.name {
	case "load":
		return loadsOf(root, func(l *record.Load) string { return l.ID })
	case "method":
		return methodIDs(root)
	}
	return nil
}

// unitFolders are the names of the units, also of those whose record has mistakes.
func unitFolders(root string) (slugs []string) {
	entries, err := os.ReadDir(filepath.Join(root, "content", "units"))
	if err != nil {
		return nil
	}
	for _, e := range entries {
		if e.IsDir() && !strings.HasPrefix(e.Name(), "-") { // what begins with a point is no plain word
			slugs = append(slugs, e.Name())
		}
	}
	return slugs
}

// contentFile reads a file of the content; one that isn't there is empty.
func contentFile(root, name string) *record.File {
	text, _ := os.ReadFile(filepath.Join(root, "content", filepath.FromSlash(name)))
	return &record.File{Name: name, Text: text}
}

func loadsOf(root string, of func(*record.Load) string) (words []string) {
	bench, _ := record.DecodeBench(contentFile(root, "bench.toml"))
	for i := range bench.Loads {
		words = append(words, of(&bench.Loads[i]))
	}
	slices.Sort(words)
	return slices.Compact(words)
}

func methodIDs(root string) (ids []string) {
	methods, _ := record.DecodeMethods(contentFile(root, "methods.toml"))
	for i := range methods.Methods {
		ids = append(ids, methods.Methods[i].ID)
	}
	return ids
}

// idsOf are what explain can explain of a unit.
func idsOf(root, slug string) []string {
	ids := []string{"ratios", "repeats", "thermals", "lines"}
	if !plainWord.MatchString(slug) || strings.Contains(slug, "..") {
		return ids
	}
	folder := "units/" + slug + "/"
	r, _ := record.DecodeRecord(contentFile(root, folder+"record.toml"), slug)
	r.AddRuns(contentFile(root, folder+"runs.csv"))
	for i := range r.Claims {
		ids = append(ids, r.Claims[i].ID)
	}
	for i := range r.Runs {
		ids = append(ids, r.Runs[i].ID)
	}
	for i := range r.Specs {
		ids = append(ids, r.Specs[i].ID)
	}
	return ids
}
