package site

import (
	"bytes"
	"cmp"
	"html/template"
	"regexp"
	"strings"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	tables "github.com/yuin/goldmark/extension/ast"
	"github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// markdown turns notes and prose into HTML. Raw HTML never passes: goldmark's
// unsafe mode is off. Table cells get classes, as a style attribute is against
// the pages' content security policy.
var markdown = goldmark.New(goldmark.WithExtensions(
	extension.NewTable(extension.WithTableCellAlignMethod(extension.TableCellAlignNone)),
	extension.Strikethrough,
	extension.Footnote,
))

// A manner says how a markdown file becomes a part of a page.
type manner struct {
	Root  string       // the relative way from the page to the site's root: "../../", or ""
	Sheet *sheet.Sheet // whose runs may be cited; nil: none
	Level int          // the level of the first heading
	IDs   string       // what the ids of headings start with
	Title bool         // take a first heading of level 1 as the page's title
	Page  string       // the page's folder below the site's root: "units/otter/"
	Back  keptBack     // what the text must not name yet
}

// A prose is a markdown file, rendered.
type prose struct {
	Title string        // in plain text; only where the manner asks for it
	Lead  template.HTML // up to the first heading that is left
	Rest  template.HTML
}

// renderMarkdown renders a markdown file and finds its mistakes.
func renderMarkdown(file *record.File, m manner) (prose, record.Problems) {
	source := bytes.TrimPrefix(file.Text, []byte("\xef\xbb\xbf"))
	doc := markdown.Parser().Parse(text.NewReader(source))
	r := reader{file: file, source: source, manner: m, taken: map[string]bool{}}
	out := prose{}
	if m.Title {
		out.Title = r.takeTitle(doc)
	}
	r.read(doc)
	out.Lead, out.Rest = r.render(doc)
	r.problems.Sort()
	return out, r.problems
}

// A reader goes through the tree of one markdown file.
type reader struct {
	manner
	file     *record.File
	source   []byte
	levels   []int           // levels of the open headings, as written
	taken    map[string]bool // ids of headings
	known    *sheet.Knower   // the record's figures, once notes have a text
	problems record.Problems
}

// read mends the tree in place. The nodes are listed first, for a tree that is
// changed while it is walked loses its way.
func (r *reader) read(doc ast.Node) {
	var nodes []ast.Node
	_ = ast.Walk(doc, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if entering {
			nodes = append(nodes, n)
		}
		return ast.WalkContinue, nil
	})
	for _, n := range nodes {
		r.node(n)
	}
}

func (r *reader) node(n ast.Node) {
	switch n := n.(type) {
	case *ast.HTMLBlock:
		r.htmlLeftOut(n, n.Lines())
	case *ast.RawHTML:
		r.htmlLeftOut(n, n.Segments)
	case *ast.Image:
		r.image(n)
	case *ast.Link:
		r.link(n)
	case *ast.AutoLink:
		r.autoLink(n)
	case *ast.Heading:
		r.heading(n)
	case *ast.Text:
		r.brokenValue(n)
		r.typed(n)
		r.mentioned(n)
	case *tables.Table:
		r.table(n)
	case *tables.TableCell:
		cellClass(n)
	}
}

// htmlLeftOut takes raw HTML out of the tree. A comment goes without a word.
func (r *reader) htmlLeftOut(n ast.Node, lines *text.Segments) {
	if lines == nil || lines.Len() == 0 {
		return
	}
	at := lines.At(0)
	written := bytes.TrimSpace(at.Value(r.source))
	remove(n)
	if bytes.HasPrefix(written, []byte("<!--")) {
		return
	}
	r.problem(record.Warning, at.Start, len(written), "raw HTML is left out",
		"write markdown; a bare < is written \\<")
}

func (r *reader) image(n *ast.Image) {
	r.problem(record.Error, n.Pos(), r.extent(n.Pos(), ')'), "a picture in the text can't be published",
		"take it out; pictures in texts are not supported")
	remove(n)
}

// scheme is how an address with a scheme begins (RFC 3986, 3.1).
var scheme = regexp.MustCompile(`^[a-zA-Z][a-zA-Z0-9+.-]*:`)

// allowed are the schemes that a link may have.
var allowed = map[string]bool{"http:": true, "https:": true, "mailto:": true}

func (r *reader) link(n *ast.Link) {
	// goldmark keeps the address as written: what stands for another character
	// is resolved before the scheme is looked at.
	to := string(util.ResolveEntityNames(util.ResolveNumericReferences(util.UnescapePunctuations(n.Destination))))
	if citation, ok := strings.CutPrefix(to, "value:"); ok {
		r.value(n, citation)
		return
	}
	if r.early(n.Pos(), r.extent(n.Pos(), ')'), to) {
		remove(n)
		return
	}
	address, ok := r.address(to)
	if !ok {
		r.refuse(n, r.extent(n.Pos(), ')'), to)
		return
	}
	// The renderer resolves once more.
	n.Destination = []byte(strings.NewReplacer("&", "&amp;", `\`, "%5C").Replace(address))
}

func (r *reader) autoLink(n *ast.AutoLink) {
	to := string(n.URL(r.source))
	if n.AutoLinkType == ast.AutoLinkEmail {
		return
	}
	if r.early(n.Pos(), len(to)+2, to) {
		remove(n)
	} else if _, ok := r.address(to); !ok {
		label := ast.NewString(n.Label(r.source))
		label.SetRaw(true)
		r.problemOfLink(n.Pos(), len(to)+2, to)
		n.Parent().ReplaceChild(n.Parent(), n, label)
	}
}

// address gives the address that a page links to, or false where the link
// can't be taken. Addresses within the site are made relative, and a folder's
// page is named, so that they work from a disk too.
func (r *reader) address(to string) (string, bool) {
	bare := strings.Map(func(c rune) rune {
		if c <= ' ' || c == 0x7f {
			return -1
		}
		return c
	}, to)
	if s := scheme.FindString(bare); s != "" {
		return bare, allowed[strings.ToLower(s)]
	}
	if strings.HasPrefix(strings.ReplaceAll(bare, `\`, "/"), "//") {
		return "", false
	}
	path, fragment, _ := strings.Cut(to, "#")
	if rest, fromRoot := strings.CutPrefix(path, "/"); fromRoot {
		path = r.Root + rest
		if path == "" {
			path = "index.html"
		}
	}
	if strings.HasSuffix(path, "/") {
		path += "index.html"
	}
	if fragment != "" {
		path += "#" + fragment
	}
	return path, true
}

// early reports a link to something that can't be seen yet when the text can.
func (r *reader) early(at, length int, to string) bool {
	h := r.Back.linked(r.Page, to)
	if h == nil {
		return false
	}
	r.problem(record.Error, at, length, "this is a link to "+h.Called()+", which is "+h.When(),
		"take the link out until then, or hold what shows this text as long")
	return true
}

// refuse leaves a link's text and takes its address.
func (r *reader) refuse(n *ast.Link, length int, to string) {
	r.problemOfLink(n.Pos(), length, to)
	parent := n.Parent()
	for c := n.FirstChild(); c != nil; c = n.FirstChild() {
		parent.InsertBefore(parent, n, c)
	}
	parent.RemoveChild(parent, n)
}

func (r *reader) problemOfLink(at, length int, to string) {
	r.problem(record.Warning, at, length, "a link to "+cmp.Or(scheme.FindString(to), to)+" is left out",
		"links may start with https:, http: or mailto:, or name a page of this site")
}

// heading gives a heading its level on the page, without a gap to the one
// before, and its id.
func (r *reader) heading(n *ast.Heading) {
	for len(r.levels) > 0 && r.levels[len(r.levels)-1] >= n.Level {
		r.levels = r.levels[:len(r.levels)-1]
	}
	r.levels = append(r.levels, n.Level)
	n.Level = min(r.Level+len(r.levels)-1, 6)
	n.SetAttributeString("id", []byte(r.id(plainText(n, r.source))))
}

// id makes an id of a heading's text: letters and digits of any script are
// kept, all else becomes a hyphen.
func (r *reader) id(heading string) string {
	words := strings.FieldsFunc(strings.ToLower(heading), func(c rune) bool {
		return !letter(c)
	})
	base := r.IDs + strings.Join(words, "-")
	if len(words) == 0 {
		base = r.IDs + "section"
	}
	id := base
	for n := 2; r.taken[id]; n++ {
		id = base + "-" + itoa(n)
	}
	r.taken[id] = true
	return id
}

// takeTitle takes the first heading out of the tree, where it is of level 1,
// and returns its text.
func (r *reader) takeTitle(doc ast.Node) string {
	for n := doc.FirstChild(); n != nil; n = n.NextSibling() {
		h, ok := n.(*ast.Heading)
		if !ok {
			continue
		}
		if h.Level > 1 {
			return ""
		}
		title := plainText(h, r.source)
		doc.RemoveChild(doc, h)
		return title
	}
	return ""
}

// render writes what stands before the first heading, and the rest.
func (r *reader) render(doc ast.Node) (lead, rest template.HTML) {
	var before, after bytes.Buffer
	to := &before
	for n := doc.FirstChild(); n != nil; n = n.NextSibling() {
		if n.Kind() == ast.KindHeading || n.Kind() == tables.KindFootnoteList {
			to = &after
		}
		if err := markdown.Renderer().Render(to, r.source, n); err != nil {
			// A buffer takes everything, so goldmark has no cause to fail.
			r.problem(record.Error, 0, 1, "the text can't be rendered: "+err.Error(), "")
		}
	}
	return template.HTML(before.String()), template.HTML(after.String())
}

// problem adds a mistake at a byte of the source.
func (r *reader) problem(severity record.Severity, at, length int, summary, hint string) {
	r.problems = append(r.problems, r.file.Problem(severity, at, length, summary, hint))
}

// extent gives the length from a byte of the source to a closing one on the
// same line.
func (r *reader) extent(from int, closing byte) int {
	if from < 0 {
		return 1
	}
	line, _, _ := bytes.Cut(r.source[from:], []byte("\n"))
	if i := bytes.IndexByte(line, closing); i >= 0 {
		return i + 1
	}
	return max(len(line), 1)
}

// plainText is the text of a node without its markup.
func plainText(n ast.Node, source []byte) string {
	var b strings.Builder
	_ = ast.Walk(n, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if !entering {
			return ast.WalkContinue, nil
		}
		switch n := n.(type) {
		case *ast.Text:
			b.Write(util.ResolveEntityNames(util.ResolveNumericReferences(util.UnescapePunctuations(n.Segment.Value(source)))))
			if n.SoftLineBreak() || n.HardLineBreak() {
				b.WriteByte(' ')
			}
		case *ast.String:
			b.Write(n.Value)
		case *ast.AutoLink:
			b.Write(n.Label(source))
		}
		return ast.WalkContinue, nil
	})
	return strings.TrimSpace(b.String())
}

func remove(n ast.Node) {
	if parent := n.Parent(); parent != nil {
		parent.RemoveChild(parent, n)
	}
}

// table puts a table into the box that scrolls sideways.
func (r *reader) table(n *tables.Table) {
	parent := n.Parent()
	parent.InsertBefore(parent, n, markup(`<section class="table-box" tabindex="0" aria-label="Table">`))
	parent.InsertAfter(parent, n, markup("</section>\n"))
}

// cellClass writes a cell's alignment as a class.
func cellClass(n *tables.TableCell) {
	switch n.Alignment {
	case tables.AlignRight:
		n.SetAttributeString("class", []byte("right"))
	case tables.AlignCenter:
		n.SetAttributeString("class", []byte("centre"))
	}
	if n.Parent().Kind() == tables.KindTableHeader {
		n.SetAttributeString("scope", []byte("col"))
	}
}

// markup is a node of HTML that this program made.
func markup(html string) *ast.String {
	n := ast.NewString([]byte(html))
	n.SetCode(true)
	return n
}
