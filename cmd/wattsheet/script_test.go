package main

import (
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"wattsheet/themes"
)

var update = flag.Bool("update", false, "write what scripts compare anew")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"wattsheet": main})
}

// program is wattsheet as a process of its own: TestMain has the tests' own binary in the path, under that name.
func program(t *testing.T) string {
	t.Helper()
	found, err := exec.LookPath("wattsheet")
	if err != nil {
		t.Fatal(err)
	}
	return found
}

// TestScripts runs testdata/script, one feature a file. A script starts in a
// folder in which tiny is a small site.
func TestScripts(t *testing.T) {
	tiny, err := filepath.Abs("../../generator/site/testdata/tiny")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		UpdateScripts:       *update,
		Setup: func(e *testscript.Env) error {
			return os.CopyFS(filepath.Join(e.WorkDir, "tiny"), os.DirFS(tiny))
		},
		Condition: func(name string) (bool, error) {
			_, _, err := themes.Bundle()
			return name == "chartscript" && err == nil, nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"status": status, "edit": edit, "same": same, "count": countMatches,
		},
	})
}

// status runs the program and checks its exit status: status 2 wattsheet build.
func status(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 || args[1] != "wattsheet" {
		ts.Fatalf("usage: status N wattsheet ARGS")
	}
	want := args[0]
	err := ts.Exec(args[1], args[2:]...)
	got := "0"
	if err != nil {
		got = strings.TrimPrefix(err.Error(), "exit status ")
	}
	if got != want {
		ts.Fatalf("exit status %s, want %s", got, want)
	}
}

// edit replaces a text in a file: edit FILE OLD NEW. \n in NEW is a line end.
func edit(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: edit FILE OLD NEW")
	}
	text := ts.ReadFile(args[0])
	if !strings.Contains(text, args[1]) {
		ts.Fatalf("%s has no %q", args[0], args[1])
	}
	text = strings.Replace(text, args[1], strings.ReplaceAll(args[2], `\n`, "\n"), 1)
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(text), 0o644))
}

// same checks that two folders hold the same files with the same bytes.
func same(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) != 2 {
		ts.Fatalf("usage: same FOLDER FOLDER")
	}
	a, b := folder(ts, args[0]), folder(ts, args[1])
	equal := len(a) == len(b)
	for name, text := range a {
		other, there := b[name]
		equal = equal && there && other == text
	}
	if equal == neg {
		ts.Fatalf("the folders hold %d and %d files; the same is %v", len(a), len(b), equal)
	}
}

func folder(ts *testscript.TestScript, name string) map[string]string {
	files := map[string]string{}
	root := ts.MkAbs(name)
	ts.Check(filepath.Walk(root, func(path string, info os.FileInfo, err error) error {
		if err != nil || info.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		files[strings.TrimPrefix(path, root)] = string(data)
		return err
	}))
	return files
}

// countMatches checks how often a pattern is in the last command's output:
// count N stderr PATTERN.
func countMatches(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: count N stdout|stderr PATTERN")
	}
	n := len(regexp.MustCompile("(?m)"+args[2]).FindAllString(ts.ReadFile(args[1]), -1))
	if strconv.Itoa(n) != args[0] {
		ts.Fatalf("%d matches, want %s", n, args[0])
	}
}
