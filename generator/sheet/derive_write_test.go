package sheet

import (
	"fmt"
	"go/ast"
	"go/constant"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode"
)

// What is said is what fmt writes, in visible words one blank apart, whatever a name
// holds; a part that is plain holds no mark (against the standard library).
func TestSaysWhatFmtSays(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	some := []string{"a", "Bench", " ", "  ", "\t", "\n", "\u00a0", "Ω", "4½", "±", "\u00ad", "\x00", "\x7f", "\xff", "<b>", "&", "'", `"`, "\u200b", "电", "\u2028", "−", "é", "\u2003", "…", "100 %"}
	texts := func() (s string) {
		for range r.IntN(5) {
			s += some[r.IntN(len(some))]
		}
		return s
	}
	for range 20_000 {
		a, b, c, n := texts(), texts(), texts(), r.IntN(2000)-1000
		x := float64(n) / 7
		for _, s := range []struct{ got, want func(d *derivation) string }{
			{said("%s", a), wanted("%s", a)},
			{said("%s: %s%s", a, b, c), wanted("%s: %s%s", a, b, c)},
			{said("doesn't %s %d %% of %s", a, n, b), wanted("doesn't %s %d %% of %s", a, n, b)},
			{said("%s = %s, by %s %s", num(x), amount{x, a}, b, cited("mean")), wanted("%s = %s, by %s %s", calc(x), united(x, a), b, "[mean]")},
			{piecemeal(a, b, x), wanted("of %s, %s = %s, by %s", a, b, united(x, "V"), a)},
		} {
			if got, want := s.got(&derivation{}), s.want(nil); got != want {
				t.Fatalf("says %q, want %q", got, want)
			}
		}
		d := &derivation{}
		d.head("Test")
		d.say(2, "of %s: %s", a, num(x))
		d.line(b)
		for _, p := range d.done()[0].Parts {
			if p.Plain && strings.ContainsAny(p.Text, "&<>'\"") {
				t.Fatalf("%q is plain", p.Text)
			}
		}
	}
}

func said(format string, args ...any) func(*derivation) string {
	return func(d *derivation) string {
		d.head("Test")
		d.say(2, "Before.")
		d.say(2, format, args...)
		return d.done()[0].Parts[1].Text
	}
}

// piecemeal puts together what [said] says at once.
func piecemeal(a, b string, x float64) func(*derivation) string {
	return func(d *derivation) string {
		d.head("Test")
		s := d.begun(2)
		s.put("of ").any(a).put(", ").any(b).put(" = ").amount(x, "V").put(", by ").any(a)
		d.end(&s)
		return d.done()[0].Parts[0].Text
	}
}

func wanted(format string, args ...any) func(*derivation) string {
	return func(*derivation) string {
		text := strings.Map(func(r rune) rune {
			if unicode.IsGraphic(r) || r == '\n' || r == '\t' {
				return r
			}
			return unicode.ReplacementChar
		}, fmt.Sprintf(format, args...))
		return strings.Join(strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" \n\t", r) }), " ")
	}
}

func united(x float64, unit string) string {
	if unit == "" {
		return calc(x)
	}
	return calc(x) + nbsp + unit
}

// What is quickly known to be visible is so by the standard library.
func TestGraphicIsUnicodes(t *testing.T) {
	for r := rune(0); r <= unicode.MaxRune; r++ {
		if graphic(r) != unicode.IsGraphic(r) {
			t.Errorf("graphic(%U) = %t", r, graphic(r))
		}
	}
}

// Every sentence of this package has an argument for each place, of a type that
// sentences take, and is in words one blank apart.
func TestSentencesAreWhole(t *testing.T) {
	if testing.Short() {
		t.Skip("it checks the types of all that this package imports")
	}
	names, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	fset := token.NewFileSet()
	var files []*ast.File
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(fset, name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, f)
	}
	info := &types.Info{Types: map[ast.Expr]types.TypeAndValue{}}
	config := types.Config{Importer: importer.ForCompiler(fset, "source", nil)}
	if _, err := config.Check("wattsheet/generator/sheet", fset, files, info); err != nil {
		t.Fatal(err)
	}
	sentences, put := 0, 0
	for _, f := range files {
		ast.Inspect(f, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok {
				return true
			}
			if fun, ok := call.Fun.(*ast.SelectorExpr); ok && fun.Sel.Name == "put" {
				if words := info.Types[call.Args[0]].Value; words != nil {
					put++
					if why := wrongWords(constant.StringVal(words)); why != "" {
						t.Errorf("%s: %s: %s", fset.Position(call.Pos()), words, why)
					}
				}
				return true
			}
			first, ok := map[string]int{"text": 0, "d.head": 0, "d.say": 1, "d.state": 1, "s.add": 0}[types.ExprString(call.Fun)]
			if !ok || info.Types[call.Args[first]].Value == nil {
				return true
			}
			sentences++
			format := constant.StringVal(info.Types[call.Args[first]].Value)
			if why := wrong(format, call.Args[first+1:], info); why != "" {
				t.Errorf("%s: %q: %s", fset.Position(call.Pos()), format, why)
			}
			return true
		})
	}
	if sentences < 150 || put < 80 {
		t.Errorf("only %d sentences and %d words of ours were looked at", sentences, put)
	}
}

// wrongWords is what is wrong with words that are put as they are; empty where nothing is.
func wrongWords(words string) string {
	switch {
	case strings.Contains(words, "  "):
		return "two blanks meet"
	case strings.ContainsAny(words, "&<>\"'"):
		return "markup takes one of them for its own"
	case strings.ContainsFunc(words, func(r rune) bool { return !unicode.IsGraphic(r) }):
		return "they aren't visible"
	}
	return ""
}

// wrong is what is wrong with a sentence; empty where nothing is.
func wrong(format string, args []ast.Expr, info *types.Info) string {
	if strings.Contains(format, "  ") || strings.Trim(format, " ") != format && len(args) == 0 {
		return "it has a blank too many"
	}
	if strings.ContainsAny(format, "&<>\"") {
		return "it has a mark that isn't looked for"
	}
	places := 0
	for i := 0; i < len(format); i++ {
		if format[i] != '%' {
			continue
		}
		i++
		if i == len(format) || !strings.ContainsRune("sd%", rune(format[i])) {
			return "it has a verb that isn't known"
		}
		if format[i] != '%' {
			places++
		}
	}
	if places != len(args) {
		return fmt.Sprintf("it has %d places for %d arguments", places, len(args))
	}
	known := []string{"string", "int", "num", "amount", "cited", "squares", "putInto"}
	for _, a := range args {
		name := types.TypeString(types.Default(info.Types[a].Type), func(*types.Package) string { return "" })
		if !slices.Contains(known, name) {
			return types.ExprString(a) + " is of type " + name
		}
	}
	return ""
}
