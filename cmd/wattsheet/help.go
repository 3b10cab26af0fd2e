package main

import (
	"fmt"
	"strings"
)

func helpCommand() *command {
	c := &command{
		name: "help", does: "explain the program or a command", takes: "[COMMAND]",
		about:    "Prints what the program does and its commands, or what a command does and takes.",
		examples: []string{"wattsheet help", "wattsheet help build"},
	}
	c.run = func(u *ui, args []string) int { return runHelp(u, c, args) }
	return c
}

func runHelp(u *ui, c *command, args []string) int {
	words, status, ok := c.read(u, args, nil, 1)
	if !ok {
		return status
	}
	if len(words) == 0 {
		u.text(overview())
		return exitDone
	}
	about := commandCalled(words[0])
	if about == nil {
		return u.misused(unknownCommand(words[0]))
	}
	u.text(about.help())
	return exitDone
}

// overview is the help on the program as a whole.
func overview() string {
	var b strings.Builder
	b.WriteString(`wattsheet makes a web site of an amplifier tester's bench records: what each
unit delivers into each load, with uncertainty, beside what its maker claims.

usage: wattsheet COMMAND [FLAGS]

commands:
`)
	for _, c := range commands() {
		fmt.Fprintf(&b, "  %-12s%s\n", c.name, c.does)
	}
	b.WriteString(`
In an empty folder: start site, start unit, plan, log, check, build; each says
what comes next.

It reads the folder content: site.toml, bench.toml, methods.toml, prose/*.md,
and units/NAME/record.toml with notes.md and perhaps runs.csv.

wattsheet help COMMAND says more about a command.
`)
	return b.String()
}

// help is the help on a command.
func (c *command) help() string {
	var b strings.Builder
	fmt.Fprintf(&b, "usage: wattsheet %s\n\n%s\n", strings.TrimSpace(c.name+" "+c.takes), c.about)
	if len(c.flags) > 0 {
		b.WriteString("\nflags:\n")
	}
	width := len("as-of TIME ")
	for _, o := range c.flags {
		width = max(width, len(o.name+" "+o.value+" "))
	}
	for _, o := range c.flags {
		fmt.Fprintf(&b, "  --%-*s%s\n", width, o.name+" "+o.value, o.does)
	}
	b.WriteString("\nexamples:\n")
	for _, e := range c.examples {
		b.WriteString("  " + e + "\n")
	}
	return b.String()
}
