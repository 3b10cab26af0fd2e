package site

import (
	"bytes"
	"flag"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"html/template"
	"io/fs"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"wattsheet/generator/theme"
)

const contractFile = "../../themes/contract.md"

// TestThemeContract holds that themes/contract.md says of every layout what its template
// gets, each field with its meaning. go test ./generator/site -run ThemeContract -update
// writes it from the types and their comments.
func TestThemeContract(t *testing.T) {
	c := readComments(t)
	text := c.contract(t)
	for _, missing := range c.missing {
		t.Errorf("%s has no comment that says what it is", missing)
	}
	if f := flag.Lookup("update"); f != nil && f.Value.String() == "true" {
		if err := os.WriteFile(contractFile, text, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	old, err := os.ReadFile(contractFile)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(old, text) {
		t.Errorf("%s isn't what the types say; go test ./generator/site -run ThemeContract -update writes it", contractFile)
	}
}

// A comments knows what the source says of each type, field and method.
type comments struct {
	types   map[string]string // by type
	fields  map[string]string // by type.field, also of methods
	missing []string
	queue   []reflect.Type
	seen    map[reflect.Type]bool
}

func readComments(t *testing.T) *comments {
	t.Helper()
	c := &comments{types: map[string]string{}, fields: map[string]string{}, seen: map[reflect.Type]bool{}}
	for _, dir := range []string{".", "../../charts", "../formula"} {
		files, err := fs.Glob(os.DirFS(dir), "*.go")
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range files {
			file, err := parser.ParseFile(token.NewFileSet(), dir+"/"+name, nil, parser.ParseComments)
			if err != nil {
				t.Fatal(err)
			}
			for _, d := range file.Decls {
				c.read(d)
			}
		}
	}
	return c
}

func (c *comments) read(d ast.Decl) {
	if f, ok := d.(*ast.FuncDecl); ok && f.Recv != nil && f.Name.IsExported() {
		of := f.Recv.List[0].Type
		if star, ok := of.(*ast.StarExpr); ok {
			of = star.X
		}
		if id, ok := of.(*ast.Ident); ok {
			c.fields[id.Name+"."+f.Name.Name] = flat(f.Doc.Text())
		}
		return
	}
	g, ok := d.(*ast.GenDecl)
	if !ok {
		return
	}
	for _, s := range g.Specs {
		s, ok := s.(*ast.TypeSpec)
		if !ok {
			continue
		}
		doc := s.Doc.Text()
		if doc == "" {
			doc = g.Doc.Text()
		}
		c.types[s.Name.Name] = flat(doc)
		st, ok := s.Type.(*ast.StructType)
		if !ok {
			continue
		}
		for _, f := range st.Fields.List {
			text := flat(f.Comment.Text())
			if text == "" {
				text = flat(f.Doc.Text())
			}
			for _, n := range f.Names {
				c.fields[s.Name.Name+"."+n.Name] = text
			}
		}
	}
}

func flat(s string) string { return strings.Join(strings.Fields(s), " ") }

// contract writes the document.
func (c *comments) contract(t *testing.T) []byte {
	var b bytes.Buffer
	b.WriteString(contractLead)
	c.contractFiles(t, &b)
	for _, name := range theme.LayoutNames {
		model := reflect.TypeOf(models[name])
		fmt.Fprintf(&b, "\n## pages/%s.html\n\n%s\n\nBeside [what every page has](#what-every-page-has):\n\n", name, forAuthors.Replace(c.types[model.Name()]))
		c.table(&b, model)
	}
	fmt.Fprintf(&b, "\n## What every page has\n\n%s\n\n", c.types["head"])
	c.table(&b, reflect.TypeOf(head{}))
	b.WriteString("\n## The parts of these\n")
	var parts []reflect.Type
	for len(c.queue) > 0 {
		next := c.queue[0]
		c.queue = c.queue[1:]
		parts = append(parts, next)
		c.table(&bytes.Buffer{}, next) // for what it refers to
	}
	slices.SortFunc(parts, func(a, b reflect.Type) int { return strings.Compare(a.Name(), b.Name()) })
	c.missing = nil
	for _, layout := range theme.LayoutNames {
		c.table(&bytes.Buffer{}, reflect.TypeOf(models[layout]))
	}
	c.table(&bytes.Buffer{}, reflect.TypeOf(head{}))
	for _, p := range parts {
		if c.types[p.Name()] == "" {
			c.missing = append(c.missing, p.Name())
		}
		fmt.Fprintf(&b, "\n### %s\n\n%s\n\n", p.Name(), forAuthors.Replace(c.types[p.Name()]))
		c.table(&b, p)
	}
	slices.Sort(c.missing)
	c.missing = slices.Compact(c.missing)
	return b.Bytes()
}

const contractLead = `# What a theme's templates get

A site's own theme is a folder under ` + "`themes`, beside `content`; `theme = \"NAME\"` in site.toml" + ` switches it on. Each file
there stands in place of the default theme's file of the same name, and all others stay. ` + "`wattsheet start theme NAME --take FILE`" + `
begins one with copies.

Templates are Go's html/template: they escape by context, so a field that is text can't break a page. Each layout
defines "main"; ` + "`layout.html`" + ` defines "page", the frame around it, and ` + "`parts.html`" + ` what several pages show. A template that
asks for a field that isn't here is told with its file, line and column, and nothing is published. A file with a name that
isn't here is warned about.

Texts are ready for people: rounded, with units, in the page's language. Addresses are relative to the page, but where
something else is said. "html" is markup that is placed as it is; don't take it apart. Scripts find their places by the
ids and classes of the default templates; without script, or where a template has no such place, a page has to work too.
The pages' policy allows no script, handler or style within a page, and nothing from elsewhere.

A list "with ` + "`.Items`" + `", or with another such word, also writes all of its members at once, as the default templates
have it do for speed. For other markup, go through the members instead: ` + "`{{range .Nav}}`" + `.

What a template leaves out is missing from the page: the disclosure, U beside each figure, the maker's reply, cautions and
"held" notices are there for a reason.

This file is written from the program's types and their comments, and a test compares it with them.
`

// forAuthors makes of a comment in Go what an author of a theme reads.
var forAuthors = strings.NewReplacer("nil ", "nothing ", "|", "\\|", "[sheet.Standing]", "standing among others")

// table writes the fields and methods of a type that templates can use.
func (c *comments) table(b *bytes.Buffer, of reflect.Type) {
	b.WriteString("| field | kind | what it is |\n| --- | --- | --- |\n")
	for i := range of.NumField() {
		f := of.Field(i)
		if f.Anonymous || !f.IsExported() {
			if f.Anonymous && f.Type.Kind() == reflect.Struct && f.Type.Name() != "head" {
				fmt.Fprintf(b, "| | all of %s | |\n", c.of(f.Type))
			}
			continue
		}
		c.row(b, of, f.Name, c.of(f.Type))
	}
	for i := range of.NumMethod() {
		m := of.Method(i)
		if m.Type.NumIn() == 1 && m.Type.NumOut() == 1 {
			c.row(b, of, m.Name, c.of(m.Type.Out(0)))
		}
	}
}

func (c *comments) row(b *bytes.Buffer, of reflect.Type, name, kind string) {
	text := strings.TrimPrefix(c.fields[of.Name()+"."+name], name+" is ")
	if text == "" {
		c.missing = append(c.missing, of.Name()+"."+name)
	}
	fmt.Fprintf(b, "| `.%s` | %s | %s |\n", name, kind, forAuthors.Replace(text))
}

// of says what a type is, and notes it where it is one of ours.
func (c *comments) of(t reflect.Type) string {
	switch {
	case t == reflect.TypeFor[template.HTML]():
		return "html"
	case t == reflect.TypeFor[besideWords]():
		return "JSON, in a script element of that type"
	case t.Kind() == reflect.Pointer:
		return c.of(t.Elem()) + ", or nothing"
	case t.Kind() == reflect.Slice:
		if t.Name() != "" && t.NumMethod() > 0 {
			return "list of " + c.of(t.Elem()) + methodsOf(t)
		}
		return "list of " + c.of(t.Elem())
	case t.Kind() == reflect.Map:
		return c.of(t.Elem()) + " by " + c.of(t.Key())
	case t.Kind() == reflect.Struct:
		if !c.seen[t] {
			c.seen[t] = true
			c.queue = append(c.queue, t)
		}
		return "[" + t.Name() + "](#" + strings.ToLower(t.Name()) + ")"
	case t.Kind() == reflect.String:
		return "text"
	case t.Kind() == reflect.Bool:
		return "yes or no"
	}
	return "number"
}

// methodsOf names what a template can ask of a list as a whole.
func methodsOf(t reflect.Type) string {
	var names []string
	for i := range t.NumMethod() {
		if m := t.Method(i); m.Type.NumIn() == 1 && m.Type.NumOut() == 1 {
			names = append(names, "`."+m.Name+"`")
		}
	}
	return ", with " + strings.Join(names, ", ")
}
