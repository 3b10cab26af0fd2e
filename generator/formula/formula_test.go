package formula

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// ids reads the constants, by name, from this package's source: what a figure
// elsewhere can name.
func ids(t *testing.T) map[string]string {
	t.Helper()
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]string{}
	for _, name := range files {
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range file.Decls {
			if g, is := d.(*ast.GenDecl); is && g.Tok == token.CONST {
				constants(t, g, out)
			}
		}
	}
	return out
}

// constants adds the string constants of one declaration.
func constants(t *testing.T, g *ast.GenDecl, out map[string]string) {
	for _, s := range g.Specs {
		v := s.(*ast.ValueSpec)
		for i, name := range v.Names {
			text, err := strconv.Unquote(v.Values[i].(*ast.BasicLit).Value)
			if err != nil {
				t.Fatalf("%s: %v", name.Name, err)
			}
			out[name.Name] = text
		}
	}
}

func TestEveryIDIsInTheCatalogueOnce(t *testing.T) {
	byName := ids(t)
	if len(byName) < 20 {
		t.Fatalf("found only %d constants in the source", len(byName))
	}
	entries := map[string]int{}
	for _, f := range Catalogue() {
		entries[f.ID]++
	}
	named := map[string]string{}
	for name, id := range byName {
		if entries[id] != 1 {
			t.Errorf("%s = %q stands %d times in the catalogue, want once", name, id, entries[id])
		}
		if other, twice := named[id]; twice {
			t.Errorf("%s and %s are both %q", name, other, id)
		}
		named[id] = name
	}
	for id := range entries {
		if named[id] == "" {
			t.Errorf("the catalogue's %q has no constant", id)
		}
	}
}

// An id is a part of addresses and files: lower-case words with hyphens.
func TestIDsSuitAnAddress(t *testing.T) {
	form := regexp.MustCompile(`^[a-z]+(-[a-z]+)*$`)
	for _, f := range Catalogue() {
		if !form.MatchString(f.ID) {
			t.Errorf("%q does not suit an address", f.ID)
		}
	}
}

func TestEntriesAreComplete(t *testing.T) {
	titles := map[string]string{}
	for _, f := range Catalogue() {
		for what, text := range map[string]string{"title": f.Title, "expression": f.Expression, "source": f.Source} {
			if strings.TrimSpace(text) == "" || text != strings.TrimSpace(text) {
				t.Errorf("%s: %s is %q", f.ID, what, text)
			}
		}
		if other := titles[f.Title]; other != "" {
			t.Errorf("%s and %s have the title %q", f.ID, other, f.Title)
		}
		titles[f.Title] = f.ID
		if !strings.ContainsAny(f.Expression, "=") {
			t.Errorf("%s: the expression %q gives nothing", f.ID, f.Expression)
		}
	}
}

// Each symbol has a meaning and stands in the expression, once in the list.
func TestSymbolsStandInTheirExpression(t *testing.T) {
	for _, f := range Catalogue() {
		if len(f.Symbols) == 0 {
			t.Errorf("%s explains no symbol", f.ID)
		}
		seen := map[string]bool{}
		for _, s := range f.Symbols {
			if s.Meaning == "" {
				t.Errorf("%s: %s has no meaning", f.ID, s.Name)
			}
			for _, name := range strings.Split(s.Name, ", ") {
				if !strings.Contains(f.Expression, name) {
					t.Errorf("%s: %s is explained but not in %q", f.ID, name, f.Expression)
				}
				if seen[name] {
					t.Errorf("%s: %s is explained twice", f.ID, name)
				}
				seen[name] = true
			}
		}
	}
}

func TestByID(t *testing.T) {
	for _, f := range Catalogue() {
		if got, found := ByID(f.ID); !found || got.Title != f.Title {
			t.Errorf("ByID(%q) = %q, %t", f.ID, got.Title, found)
		}
	}
	for _, id := range []string{"", "power", "Power-From-Volts", "as-read "} {
		if f, found := ByID(id); found || f.ID != "" {
			t.Errorf("ByID(%q) = %q, %t; want none", id, f.ID, found)
		}
	}
}

// Whoever changes the catalogue that was returned changes nobody else's.
func TestCatalogueIsACopy(t *testing.T) {
	Catalogue()[0].ID = "changed"
	if Catalogue()[0].ID == "changed" {
		t.Error("Catalogue returns shared memory")
	}
}

// A revision is of a formula that exists, and is only written down once it was
// raised.
func TestRevisions(t *testing.T) {
	for id, n := range raised {
		if _, known := ByID(id); !known || n < 2 {
			t.Errorf("%q has the revision %d", id, n)
		}
	}
	for _, f := range Catalogue() {
		if f.Revision() < 1 {
			t.Errorf("%s has the revision %d", f.ID, f.Revision())
		}
	}
}

// Whatever stands in an expression is explained beside it: a reader needs no other page.
func TestEverySymbolIsExplained(t *testing.T) {
	symbol := regexp.MustCompile(`[\p{L}][\p{L}\p{M}0-9ᵢ′]*`)
	notations := map[string]bool{"Σ": true, "ln": true, "lg": true, "mean": true}
	words := strings.NewReplacer("as shown", "", "over named components; sources whose sharing is not known: the larger of", "", " and ", " ")
	seen := 0
	for _, f := range Catalogue() {
		expression, explained := words.Replace(f.Expression), map[string]bool{}
		for _, s := range f.Symbols {
			if strings.Contains(s.Name, "(") {
				expression = strings.ReplaceAll(expression, s.Name, "")
			}
			for _, name := range strings.Split(s.Name, ", ") {
				explained[strings.TrimSuffix(name, "²")] = true
			}
		}
		for _, at := range symbol.FindAllStringIndex(expression, -1) {
			name := expression[at[0]:at[1]]
			probability := name == "P" && strings.HasPrefix(expression[at[1]:], "(")
			if seen++; !explained[name] && !notations[name] && !probability {
				t.Errorf("%s: %s of %s isn't explained", f.ID, name, f.Expression)
			}
		}
	}
	if seen < 40 {
		t.Errorf("only %d symbols were looked at", seen)
	}
}
