// Command wattsheet makes a web site of an amplifier tester's bench records.
package main

import (
	"io"
	"os"
	"time"
)

func main() {
	os.Exit(run(os.Stdin, os.Stdout, os.Stderr, os.Args[1:], time.Now, os.Environ()))
}

// The exit status of the program.
const (
	exitDone   = 0 // done; findings and warnings don't change it
	exitFailed = 1 // the content has mistakes, or something went wrong
	exitUsage  = 2 // the command line isn't understood
)

// run is the whole program: it does what the arguments say and returns the exit
// status. The clock tells how long things take; no output file depends on it.
func run(stdin io.Reader, stdout, stderr io.Writer, args []string, clock func() time.Time, environ []string) int {
	u := newUI(stdout, stderr, clock, environ)
	u.stdin = stdin
	if len(args) == 0 {
		u.usage(overview())
		return exitUsage
	}
	name, rest := args[0], args[1:]
	switch name {
	case "-h", "-help", "--help":
		name = "help"
	case "-version", "--version":
		name = "version"
	case candidatesWord:
		return runCandidates(u, rest)
	}
	c := commandCalled(name)
	if c == nil {
		return u.misused(unknownCommand(name))
	}
	return c.run(u, rest)
}
