package generator_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// The race detector makes tests ten times as slow, so .ci/run gives it only what runs
// at once: packages that start goroutines, and elsewhere the tests that start some
// themselves, which it knows by their names.

// alone are functions of tests that start a goroutine which touches nothing of ours.
var alone = map[string]string{
	"../charts/live_test.go listen": "it hears what Chromium says, and is left out with -short",
}

var atOnce = regexp.MustCompile(`^Test[A-Za-z]*AtOnce$`)

func TestRaceDetectorSeesWhatStartsGoroutines(t *testing.T) {
	starts := map[string]bool{} // packages that do
	byTests := map[string][]string{}
	unused := maps.Clone(alone)
	files := 0
	for _, top := range []string{".", "../charts"} {
		err := filepath.WalkDir(top, func(path string, e os.DirEntry, err error) error {
			if err != nil || e.IsDir() || filepath.Ext(path) != ".go" {
				return err
			}
			files++
			parsed, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
			if err != nil {
				return err
			}
			for _, name := range starting(parsed) {
				at := filepath.ToSlash(path) + " " + name
				delete(unused, at)
				if !strings.HasSuffix(path, "_test.go") {
					starts[filepath.Dir(path)] = true
				} else if !atOnce.MatchString(name) && alone[at] == "" {
					byTests[filepath.Dir(path)] = append(byTests[filepath.Dir(path)], at)
				}
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if files < 300 || !starts["site"] || !starts["preview"] || !starts["kit"] {
		t.Errorf("of %d files these start goroutines: %v", files, slices.Sorted(maps.Keys(starts)))
	}
	for folder, names := range byTests {
		if !starts[folder] {
			t.Errorf("%q start goroutines in a package that starts none: the race detector looks at tests named …AtOnce only", names)
		}
	}
	for at := range unused {
		t.Errorf("%s starts no goroutine", at)
	}
}

// starting lists the functions of a file that start goroutines, by go or by a method Go.
func starting(file *ast.File) (names []string) {
	for _, d := range file.Decls {
		name := "a variable"
		if f, is := d.(*ast.FuncDecl); is {
			name = f.Name.Name
		}
		ast.Inspect(d, func(n ast.Node) bool {
			found := false
			switch n := n.(type) {
			case *ast.GoStmt:
				found = true
			case *ast.CallExpr:
				method, is := n.Fun.(*ast.SelectorExpr)
				found = is && method.Sel.Name == "Go"
			}
			if found {
				names = append(names, name)
			}
			return true
		})
	}
	return names
}

func TestStartingIsFound(t *testing.T) {
	const source = `package p
func a() { go b() }
func b() { func() { all.Go(a) }() }
func c() { all.Wait(); Go := 1; _ = Go }
var d = func() { go a() }
`
	file, err := parser.ParseFile(token.NewFileSet(), "", source, 0)
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(starting(file), ", "); got != "a, b, a variable" {
		t.Errorf("found in %s", got)
	}
}
