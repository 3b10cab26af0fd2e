package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strings"
)

// A question is one thing that start wants to know: asked in the terminal, or
// answered beforehand by a flag.
type question struct {
	flag, value, does string // the flag, its value's name, and what it is
	asks              string // the question
	explains          string // what stands above it, where it needs words
	usual             func() string
	// take takes an answer. An error is one for people, and asks again. It is called
	// with "" only where there is no usual answer.
	take func(answer string) error
}

// An asker asks questions, line by line. What it asks goes to stderr, so that it
// isn't mistaken for what was asked for; with a screen reader or at the end of a
// pipe it is the same plain lines.
type asker struct {
	u     *ui
	in    *bufio.Reader
	again bool // somebody is there to be asked again
	ended bool // the input is at its end
	given map[string]*string
}

func newAsker(u *ui, given map[string]*string) *asker {
	return &asker{u: u, in: bufio.NewReader(u.stdin), again: isTerminal(u.stdin), given: given}
}

// errLeft says that whoever was asked ended the input before the last question: what
// nobody has answered isn't written, as a site is begun only once.
var errLeft = errors.New("the input ended before the last question; nothing was written\nhint: begin again; Enter alone takes what stands in brackets")

// longestAnswer is far more than an answer has.
const longestAnswer = 10_000

// line reads one line; at the end of the input it is empty.
func (a *asker) line() (string, error) {
	if a.ended {
		return "", nil
	}
	text, err := a.in.ReadString('\n')
	if err == io.EOF {
		a.ended, err = true, nil
	}
	if len(text) > longestAnswer {
		return "", fmt.Errorf("the answer has %d bytes\nhint: a line is enough", len(text))
	}
	return strings.TrimSpace(text), err
}

// ask asks a question until it has an answer, or takes the flag's.
func (a *asker) ask(q question) error {
	usual := ""
	if q.usual != nil {
		usual = q.usual()
	}
	if answer := strings.TrimSpace(*a.given[q.flag]); answer != "" {
		if err := q.take(answer); err != nil {
			return fmt.Errorf("--%s: %w", q.flag, err)
		}
		return nil
	}
	if q.explains != "" && !a.ended {
		a.u.ask(q.explains + "\n")
	}
	prompt := q.asks
	if usual != "" {
		prompt += " [" + harmless(usual) + "]"
	}
	for {
		asked := !a.ended
		if asked {
			a.u.ask(prompt + ": ")
		}
		answer, err := a.line()
		if asked && !a.again {
			a.u.ask(harmless(answer) + "\n") // nobody's typing has ended the line
		} else if asked && a.ended {
			a.u.ask("\n")
		}
		if a.again && a.ended { // somebody is there, and wants to leave
			return errLeft
		}
		if answer == "" && usual != "" {
			answer = usual
		}
		if err == nil {
			err = q.take(answer)
		}
		switch {
		case err == nil:
			return nil
		case a.ended && answer == "":
			return fmt.Errorf("%w\nhint: answer it, or give --%s %s", errors.New(firstLine(err)), q.flag, q.value)
		case a.ended || !a.again:
			return err
		}
		a.u.error(err)
	}
}

func firstLine(err error) string {
	text, _, _ := strings.Cut(err.Error(), "\n")
	return text
}

// all asks the questions in their order.
func (a *asker) all(questions []question) error {
	if a.again {
		a.u.ask("Enter alone takes what stands in brackets. Until all is answered, nothing is\nwritten.\n\n")
	}
	for _, q := range questions {
		if err := a.ask(q); err != nil {
			return err
		}
	}
	return nil
}
