package main

import (
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"sync"
	"time"

	"wattsheet/generator/record"
)

// This file alone speaks to the user. Its rules:
//
//   - what was asked for goes to stdout, everything else to stderr
//   - a message is a line in lower case, without a final period; one of the
//     program itself begins with "wattsheet: ", one about a file with its place
//   - what to do stands on a line of its own, which begins with "hint: "
//   - no colours, so NO_COLOR has nothing to switch off; nothing moves unless
//     stderr is a terminal and the work takes longer than patience
//   - texts that come from files or arguments are made harmless for terminals

// A ui is where the program's words go.
type ui struct {
	stdin          io.Reader
	stdout, stderr io.Writer
	clock          func() time.Time
	lively         bool          // stderr can take back what was written on its line
	patience       time.Duration // how long work goes on before it is talked about
}

func newUI(stdout, stderr io.Writer, clock func() time.Time, environ []string) *ui {
	return &ui{
		stdout: stdout, stderr: stderr, clock: clock, patience: time.Second,
		lively: isTerminal(stderr) && !slices.Contains(environ, "TERM=dumb"),
	}
}

// isTerminal reports whether a stream is a screen or a keyboard. The null device is neither,
// though a system calls it a device of characters, too.
func isTerminal(stream any) bool {
	f, ok := stream.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	if err != nil || info.Mode()&os.ModeCharDevice == 0 {
		return false
	}
	null, err := os.Stat(os.DevNull)
	return err != nil || !os.SameFile(info, null)
}

// say prints a line of what was asked for. The arguments are made harmless.
func (u *ui) say(format string, args ...any) {
	fmt.Fprintf(u.stdout, format+"\n", harmlessAll(args)...)
}

// text prints a text of the program's own to stdout, as it is.
func (u *ui) text(text string) { io.WriteString(u.stdout, text) }

// ask prints a question, or what explains it, to stderr, as it is.
func (u *ui) ask(text string) { io.WriteString(u.stderr, text) }

// usage prints a text of the program's own to stderr, as it is.
func (u *ui) usage(text string) { io.WriteString(u.stderr, text) }

// note prints something by the way, with a hint where there is one.
func (u *ui) note(hint, format string, args ...any) {
	fmt.Fprintf(u.stderr, "wattsheet: "+format+"\n", harmlessAll(args)...)
	if hint != "" {
		fmt.Fprintf(u.stderr, "hint: %s\n", harmless(hint))
	}
}

// narrow prints a message to stderr in 80 columns, for somebody who types at it.
func (u *ui) narrow(text string) {
	on := *u
	on.stdout = u.stderr
	on.lines("", text)
}

// problems prints all problems of the content.
func (u *ui) problems(all record.Problems) {
	for _, p := range all {
		io.WriteString(u.stderr, p.String())
	}
}

// failed prints an error and returns the status of a failure. The lines of an
// error's text behind the first are hints.
func (u *ui) failed(err error) int {
	u.error(err)
	return exitFailed
}

// misused prints an error of the command line and returns its status.
func (u *ui) misused(err error) int {
	u.error(err)
	return exitUsage
}

func (u *ui) error(err error) {
	text, hint, _ := strings.Cut(err.Error(), "\nhint: ")
	u.note(hint, "%s", text)
}

// harmless is a text as it may be printed on a terminal, on one line. A problem
// is printed so, and that is the one definition of what is harmless. The
// no-break space before units becomes a plain one.
func harmless(text string) string {
	text = strings.ReplaceAll(text, "\u00a0", " ")
	return strings.TrimSuffix(record.Problem{Summary: text}.String(), "\n")
}

func harmlessAll(args []any) []any {
	out := make([]any, len(args))
	for i, a := range args {
		switch a := a.(type) {
		case string:
			out[i] = harmless(a)
		default:
			out[i] = a
		}
	}
	return out
}

// during does some work. When it takes longer than the user's patience, a line
// on the terminal tells what is done and since when; it is gone afterwards.
func (u *ui) during(what string, work func()) {
	if !u.lively {
		work()
		return
	}
	done := make(chan struct{})
	var talking sync.WaitGroup
	talking.Go(func() { u.talk(what, done) })
	defer talking.Wait()
	defer close(done)
	work()
}

func (u *ui) talk(what string, done <-chan struct{}) {
	start, width := u.clock(), 0
	for {
		select {
		case <-done:
			if width > 0 {
				fmt.Fprintf(u.stderr, "\r%s\r", strings.Repeat(" ", width))
			}
			return
		case <-time.After(u.patience):
			line := fmt.Sprintf("%s … %.0f s", what, u.clock().Sub(start).Seconds())
			width = max(width, len([]rune(line)))
			fmt.Fprintf(u.stderr, "\r%s", line)
		}
	}
}

// count writes a number of things: "1 file", "2 files".
func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
