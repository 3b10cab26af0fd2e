package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"golang.org/x/net/html"
)

// A block is a fenced block of a document: its language and its text.
type block struct{ language, text string }

func blocks(document string) []block {
	var out []block
	for _, m := range regexp.MustCompile("(?ms)^```(\\w+)\n(.*?)^```$").FindAllStringSubmatch(document, -1) {
		out = append(out, block{m[1], m[2]})
	}
	return out
}

// TestReadme runs what the README shows: its record makes the page that it
// quotes, its commands print what it prints, and its two set-up commands are the
// ones that the continuous build runs.
func TestReadme(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	byLanguage := map[string][]string{}
	for _, b := range blocks(string(readme)) {
		byLanguage[b.language] = append(byLanguage[b.language], b.text)
	}
	if len(byLanguage["toml"]) != 1 || len(byLanguage["sh"]) != 2 || len(byLanguage["console"]) < 2 {
		t.Fatalf("the README has other blocks than this test knows: %v", byLanguage)
	}
	record := byLanguage["toml"][0]
	if n := strings.Count(record, "\n"); n != 10 {
		t.Errorf("the README's record has %d lines, not ten", n)
	}
	program := program(t)
	root := t.TempDir()
	if err := os.CopyFS(filepath.Join(root, "content"), os.DirFS("../../content")); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(root, "content", "units", "first", "record.toml")
	if err := os.MkdirAll(filepath.Dir(file), 0o777); err != nil {
		t.Fatal(err)
	}
	write := func(text string) {
		if err := os.WriteFile(file, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	run := func(args ...string) string {
		cmd := exec.Command(program, args...)
		cmd.Dir = root
		out, _ := cmd.CombinedOutput()
		return string(out)
	}

	write(record)
	built := run("build")
	page, err := os.ReadFile(filepath.Join(root, "public", "units", "first", "index.html"))
	if err != nil {
		t.Fatalf("the README's record makes no page: %v\n%s", err, built)
	}
	shown := words(t, page)
	quotes := regexp.MustCompile(`(?m)^> (.+)$`).FindAllStringSubmatch(string(readme), -1)
	if len(quotes) < 2 {
		t.Error("the README quotes nothing of the page")
	}
	for _, q := range quotes {
		if !strings.Contains(shown, q[1]) {
			t.Errorf("the page doesn't say %q", q[1])
		}
	}

	for _, console := range byLanguage["console"] {
		command, want, _ := strings.Cut(console, "\n")
		args := strings.Fields(strings.TrimPrefix(command, "$ wattsheet"))
		if write(record); args[0] == "check" {
			write(strings.Replace(record, `"a4"`, `"4a"`, 1))
		}
		if got := run(args...); !strings.HasPrefix(got, want) {
			t.Errorf("%s prints\n%s\nthe README shows\n%s", command, got, want)
		}
	}

	write(record)
	for _, text := range byLanguage["text"] {
		if strings.HasPrefix(text, "Run ") && !strings.Contains(run("plan", "first"), text) {
			t.Errorf("the plan doesn't say\n%s", text)
		}
	}

	ci, err := os.ReadFile("../../.ci/run")
	if err != nil {
		t.Fatal(err)
	}
	for _, command := range byLanguage["sh"] {
		if !strings.Contains(string(ci), command) {
			t.Errorf(".ci/run doesn't run %q", command)
		}
	}
	if lines := strings.TrimSpace(string(ci)); !strings.HasSuffix(lines, strings.TrimSpace(byLanguage["sh"][1])) {
		t.Error(".ci/run doesn't end in the README's test command")
	}
}

// words is the text of a page, with single blanks.
func words(t *testing.T, page []byte) string {
	t.Helper()
	var b strings.Builder
	for z := html.NewTokenizer(bytes.NewReader(page)); ; {
		switch z.Next() {
		case html.ErrorToken:
			return strings.Join(strings.Fields(strings.ReplaceAll(b.String(), "\u00a0", " ")), " ")
		case html.TextToken:
			b.Write(z.Text())
		}
	}
}
