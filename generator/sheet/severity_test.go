package sheet

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// Every id of a finding has a severity, and none is listed that nothing finds.
func TestEveryFindingHasASeverity(t *testing.T) {
	found := findingIDs(t)
	for id := range found {
		if _, known := severities[id]; !known {
			t.Errorf("%s has no severity", id)
		}
	}
	for id := range severities {
		if !found[id] {
			t.Errorf("nothing finds %s", id)
		}
	}
}

// findingIDs reads the source: the first of a Finding, of add and of odd.
func findingIDs(t *testing.T) map[string]bool {
	t.Helper()
	files, err := filepath.Glob("findings*.go")
	if err != nil || len(files) == 0 {
		t.Fatal(err, files)
	}
	ids := map[string]bool{}
	first := func(of []ast.Expr) {
		if len(of) == 0 {
			return
		}
		if lit, is := of[0].(*ast.BasicLit); is && lit.Kind == token.STRING {
			id, _ := strconv.Unquote(lit.Value)
			ids[id] = true
		}
	}
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.CompositeLit:
				switch of := n.Type.(type) {
				case *ast.Ident:
					if of.Name == "Finding" {
						first(n.Elts)
					}
				case *ast.ArrayType:
					for _, e := range n.Elts {
						if one, is := e.(*ast.CompositeLit); is && one.Type == nil {
							if el, is := of.Elt.(*ast.Ident); is && el.Name == "Finding" {
								first(one.Elts)
							}
						}
					}
				}
			case *ast.CallExpr:
				if f, is := n.Fun.(*ast.Ident); is && (f.Name == "add" || f.Name == "odd") {
					first(n.Args)
				}
			}
			return true
		})
	}
	return ids
}
