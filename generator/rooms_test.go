// Package generator_test holds the house's rules: which room may import which,
// which third-party modules it may use, and which may touch disk, clock and
// network. It is policy: a build that breaks it is mended, not the table.
package generator_test

import (
	"encoding/json"
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// A room says what a package may import beside the pure part of the standard
// library.
type room struct {
	ours    string // rooms, by their path in the module
	modules string // third-party modules
	touches string // of "disk clock network process terminal"
}

var rooms = map[string]room{
	"generator/quantity": {modules: "gonum.org/v1/gonum"},
	"generator/formula":  {},
	"generator/electric": {ours: "generator/quantity generator/formula"},
	"generator/verdict":  {ours: "generator/quantity"},
	"generator/capture":  {ours: "generator/quantity", modules: "gonum.org/v1/gonum"},
	"generator/record":   {ours: "generator/quantity", modules: "github.com/BurntSushi/toml"},
	"generator/sheet":    {ours: "generator/quantity generator/formula generator/electric generator/verdict generator/record"},
	"generator/ledger":   {ours: "generator/quantity generator/formula generator/verdict generator/record generator/sheet", modules: "github.com/BurntSushi/toml"},
	"generator/disk":     {touches: "disk"},
	"generator/logbook":  {ours: "generator/quantity generator/electric generator/record generator/sheet generator/disk", touches: "disk"},
	"generator/plan":     {ours: "generator/quantity generator/formula generator/electric generator/verdict generator/record generator/sheet"},
	"generator/picture":  {modules: "golang.org/x/image"},
	"generator/kit": {
		ours:    "generator/quantity generator/verdict generator/record generator/sheet generator/picture charts",
		modules: "rsc.io/qr",
	},
	"charts":                {ours: "generator/sheet generator/quantity generator/verdict", modules: "github.com/go-echarts/go-echarts/v2"},
	"themes":                {},
	"generator/datafile":    {ours: "generator/quantity generator/verdict generator/record generator/sheet"},
	"generator/publication": {ours: "generator/disk", modules: "github.com/andybalholm/brotli", touches: "disk"},
	"generator/theme":       {ours: "generator/record generator/disk generator/publication themes", touches: "disk"},
	"generator/verify": {
		ours:    "generator/quantity generator/record generator/sheet generator/ledger generator/datafile generator/publication generator/disk",
		touches: "disk",
	},
	"generator/site": {
		ours:    "generator/quantity generator/formula generator/verdict generator/capture generator/record generator/sheet generator/ledger generator/picture generator/datafile generator/disk generator/publication generator/theme charts",
		modules: "github.com/yuin/goldmark golang.org/x/text", touches: "disk",
	},
	"generator/preview": {
		ours:    "generator/record generator/site",
		modules: "github.com/fsnotify/fsnotify golang.org/x/net/html", touches: "disk clock network",
	},
	"cmd/wattsheet": {
		ours:    "generator/quantity generator/formula generator/verdict generator/record generator/sheet generator/site generator/verify generator/disk generator/logbook charts themes generator/plan generator/preview generator/kit generator/capture",
		touches: "disk clock terminal",
	},
}

// outside names the standard library's packages through which a program reaches
// beyond its own memory.
var outside = map[string]string{
	"os": "disk", "io/ioutil": "disk", "os/signal": "terminal", "os/exec": "process",
	"net": "network", "net/http": "network", "syscall": "disk",
}

type listed struct {
	ImportPath string
	Dir        string
	GoFiles    []string
	Imports    []string
	Standard   bool
}

func list(t *testing.T) []listed {
	t.Helper()
	cmd := exec.Command("go", "list", "-json=ImportPath,Dir,GoFiles,Imports", "./...")
	cmd.Dir = ".."
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var packages []listed
	for d := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p listed
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			return packages
		} else if err != nil {
			t.Fatal(err)
		}
		if len(p.GoFiles) > 0 {
			packages = append(packages, p)
		}
	}
}

func TestImportsRunDownward(t *testing.T) {
	seen := map[string]bool{}
	for _, p := range list(t) {
		name := strings.TrimPrefix(p.ImportPath, "wattsheet/")
		seen[name] = true
		r, known := rooms[name]
		if !known {
			t.Errorf("%s is no room of the house: a new room is a decision, written into the table and DEVELOPERS.md", name)
			continue
		}
		for _, path := range p.Imports {
			if why := forbidden(r, path); why != "" {
				t.Errorf("%s imports %s: %s", name, path, why)
			}
		}
	}
	for name := range rooms {
		if !seen[name] {
			t.Errorf("the table has the room %s, the house doesn't", name)
		}
	}
}

// forbidden says why a room may not import a path; empty when it may.
func forbidden(r room, path string) string {
	if ours, is := strings.CutPrefix(path, "wattsheet/"); is {
		if !slices.Contains(strings.Fields(r.ours), ours) {
			return "not below this room"
		}
		return ""
	}
	if first, _, _ := strings.Cut(path, "/"); strings.Contains(first, ".") {
		for _, m := range strings.Fields(r.modules) {
			if path == m || strings.HasPrefix(path, m+"/") {
				return ""
			}
		}
		return "a module that this room doesn't use"
	}
	if touch := outside[path]; touch != "" && !slices.Contains(strings.Fields(r.touches), touch) {
		return "this room doesn't touch the " + touch
	}
	return ""
}

// TestClockIsTouchedInOnePlace finds calls of the wall clock: outputs don't
// depend on when they are made.
func TestClockIsTouchedInOnePlace(t *testing.T) {
	for _, p := range list(t) {
		name := strings.TrimPrefix(p.ImportPath, "wattsheet/")
		if slices.Contains(strings.Fields(rooms[name].touches), "clock") {
			continue
		}
		for _, file := range p.GoFiles {
			path := filepath.Join(p.Dir, file)
			parsed, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			ast.Inspect(parsed, func(n ast.Node) bool {
				if s, is := n.(*ast.SelectorExpr); is {
					if x, is := s.X.(*ast.Ident); is && x.Name == "time" && (s.Sel.Name == "Now" || s.Sel.Name == "Since" || s.Sel.Name == "After") {
						t.Errorf("%s/%s calls time.%s", name, file, s.Sel.Name)
					}
				}
				return true
			})
		}
	}
}

// TestTopLevel holds the fixed top level.
func TestTopLevel(t *testing.T) {
	want := strings.Fields("cmd content themes generator charts public testdata go.mod go.sum README.md DEVELOPERS.md")
	entries, err := os.ReadDir("..")
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".") {
			got = append(got, e.Name())
		}
	}
	slices.Sort(got)
	slices.Sort(want)
	if !slices.Equal(got, want) {
		t.Errorf("the top level holds %v, want %v", got, want)
	}
}

// TestRoomsHaveASentence compares the map in DEVELOPERS.md with the house.
func TestRoomsHaveASentence(t *testing.T) {
	guide, err := os.ReadFile("../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	for name := range rooms {
		if !strings.Contains(string(guide), "| `"+name+"` | ") {
			t.Errorf("DEVELOPERS.md has no row for the room %s", name)
		}
	}
}

// longest is the alarm for a file that one person can't hold in mind.
const longest = 500

func TestFilesStayReadable(t *testing.T) {
	for _, p := range list(t) {
		for _, file := range p.GoFiles {
			text, err := os.ReadFile(filepath.Join(p.Dir, file))
			if err != nil {
				t.Fatal(err)
			}
			if n := strings.Count(string(text), "\n"); n > longest {
				t.Errorf("%s/%s has %d lines, more than %d: split it by subject", p.ImportPath, file, n, longest)
			}
		}
	}
}
