package record

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"
)

// find walks a tree by a path such as "run 1 out_v 0".
func find(n *node, path string) *node {
	for step := range strings.FieldsSeq(path) {
		if i, err := strconv.Atoi(step); err == nil && n.list {
			n = n.items[i]
			continue
		}
		if n = n.kid(step); n == nil {
			return nil
		}
	}
	return n
}

func at(s span) string { return fmt.Sprintf("%d:%d+%d", s.line, s.column, s.length) }

// TestPositions: the expected places are counted by hand.
func TestPositions(t *testing.T) {
	for _, c := range []struct{ text, path, key, value, raw string }{
		{"a = 1", "a", "1:1+1", "1:5+1", "1"},
		{"  power_w\t= 74.30 # W", "power_w", "1:3+7", "1:13+5", "74.30"},
		{"\ufeffa = 1", "a", "1:1+1", "1:5+1", "1"},
		{"# é\r\n\r\nk = \"é€🔊\" # x\r\nz = 2", "k", "3:1+1", "3:5+5", `"é€🔊"`},
		{"# é\r\n\r\nk = \"é€🔊\" # x\r\nz = 2", "z", "4:1+1", "4:5+1", "2"},
		{`"é" = 1`, "é", "1:1+3", "1:7+1", "1"},
		{`x = { 'c.d' = true, e . f = 2 }`, "x c.d", "1:7+5", "1:15+4", "true"},
		{`x = { 'c.d' = true, e . f = 2 }`, "x e f", "1:25+1", "1:29+1", "2"},
		{`x = { 'c.d' = true, e . f = 2 }`, "x e", "1:21+1", "1:21+1", ""},
		{`x = { 'c.d' = true, e . f = 2 }`, "x", "1:1+1", "1:5+27", ""},
		{"[unit]\nmaker = \"x\"", "unit", "1:2+4", "1:1+6", ""},
		{"[unit]\nmaker = \"x\"", "unit maker", "2:1+5", "2:9+3", `"x"`},
		{"  [ a . b ]  # head\nc = 1", "a b", "1:9+1", "1:3+9", ""},
		{"  [ a . b ]  # head\nc = 1", "a", "1:5+1", "1:5+1", ""},
		{"[a.b]\nc = 1\n[a]\nd = 2", "a", "3:2+1", "3:1+3", ""},
		{"[a.b]\nc = 1\n[a]\nd = 2", "a b c", "2:1+1", "2:5+1", "1"},
		{"[[run]]\nid = 1\n\n[[run]]\nid = 22", "run 0 id", "2:1+2", "2:6+1", "1"},
		{"[[run]]\nid = 1\n\n[[run]]\nid = 22", "run 1 id", "5:1+2", "5:6+2", "22"},
		{"[[run]]\nid = 1\n\n[[run]]\nid = 22", "run 1", "4:3+3", "4:1+7", ""},
		{"[[run]]\nid = 1\n\n[[run]]\nid = 22", "run", "1:3+3", "1:1+7", ""},
		{"[[i]]\n[[i.r]]\nto = 1\n[[i.r]]\nto = 2\n[[i]]\n[[i.r]]\nto = 3\n[i.w]\nx = 4", "i 0 r 1 to", "5:1+2", "5:6+1", "2"},
		{"[[i]]\n[[i.r]]\nto = 1\n[[i.r]]\nto = 2\n[[i]]\n[[i.r]]\nto = 3\n[i.w]\nx = 4", "i 1 r 0 to", "8:1+2", "8:6+1", "3"},
		{"[[i]]\n[[i.r]]\nto = 1\n[[i.r]]\nto = 2\n[[i]]\n[[i.r]]\nto = 3\n[i.w]\nx = 4", "i 1 w x", "10:1+1", "10:5+1", "4"},
		{"[[run]]\nwith.out_v = \"m\"\nwith.supply_v = \"n\"", "run 0 with supply_v", "3:6+8", "3:17+3", `"n"`},
		{"v = [ # first\n  1.50,\n\n  { a = 'x' }, # second\n  [2,\n3],\n]", "v 0", "0:0+0", "2:3+4", "1.50"},
		{"v = [ # first\n  1.50,\n\n  { a = 'x' }, # second\n  [2,\n3],\n]", "v 1 a", "4:5+1", "4:9+3", "'x'"},
		{"v = [ # first\n  1.50,\n\n  { a = 'x' }, # second\n  [2,\n3],\n]", "v 2 1", "0:0+0", "6:1+1", "3"},
		{"s = \"\"\"\na \"\"q\"\" \\\"\"\"\"\nt = 1", "t", "3:1+1", "3:5+1", "1"},
		{"s = '''a''q'''''\nt = 1", "s", "1:1+1", "1:5+12", "'''a''q'''''"},
		{"s = \"a ] # \\\" , = \\\\\"\nt = 'b\\'\nu = 3", "u", "3:1+1", "3:5+1", "3"},
		{"d = 2026-10-09 14:05:00+02:00 # when\ne = [2026-10-09, 2026-10-10 ]", "d", "1:1+1", "1:5+25", "2026-10-09 14:05:00+02:00"},
		{"d = 2026-10-09 14:05:00+02:00 # when\ne = [2026-10-09, 2026-10-10 ]", "e 1", "0:0+0", "2:18+10", "2026-10-10"},
		{"d = 2026-10-09 # the 9th\n", "d", "1:1+1", "1:5+10", "2026-10-09"},
		{"t = {\n  a = 1, # one\n  b = 2,\n}\nc = 3", "t b", "3:3+1", "3:7+1", "2"},
		{"t = {\n  a = 1, # one\n  b = 2,\n}\nc = 3", "c", "5:1+1", "5:5+1", "3"},
		{"e = ''\nf = \"\"\ng = []\nh = {}\ni = 1", "i", "5:1+1", "5:5+1", "1"},
	} {
		s := scan(string(withoutMark([]byte(c.text))))
		n := find(s.root, c.path)
		if n == nil {
			t.Errorf("%q: no %s", c.text, c.path)
			continue
		}
		if at(n.key) != c.key || at(n.value) != c.value || n.text != c.raw {
			t.Errorf("%q: %s is %s, %s, %q; want %s, %s, %q", c.text, c.path, at(n.key), at(n.value), n.text, c.key, c.value, c.raw)
		}
	}
}

// TestEscapedKey: a key is compared after its escapes.
func TestEscapedKey(t *testing.T) {
	if n := scan(`"\u0061\tb" = 1`).root.kid("a\tb"); n == nil || at(n.key) != "1:1+11" {
		t.Errorf("got %v", n)
	}
}

// TestManyKeys: a table with more keys than are looked through one by one.
func TestManyKeys(t *testing.T) {
	var b strings.Builder
	for i := range 3 * many {
		fmt.Fprintf(&b, "k%d = %d\n", i, i)
	}
	root := scan(b.String()).root
	for i := range 3 * many {
		if n := root.kid(fmt.Sprint("k", i)); n == nil || n.text != strconv.Itoa(i) {
			t.Fatalf("k%d: %v", i, n)
		}
	}
	if root.kid("k") != nil {
		t.Error("found a key that isn't there")
	}
}

// seeds adds texts that a fuzz test starts from.
func seeds(f *testing.F) {
	files, _ := filepath.Glob("testdata/*/*.toml")
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	for _, text := range broken {
		f.Add([]byte(text))
	}
	for _, text := range []string{
		"a.b.c = 1\na.d = [[1, [2]], {x.y = 1, z = []}]", "[[a]]\n[a.b]\n[[a.c]]\nd=1\n[[a]]\nb={}", "\"\" = 1\n'' .'a' = 2",
		"[a.b]\n[a]\n[a.c]", "a = [{}, {b = [{}]}]", "x = '''''a'''''\ny = \"\"\"\"\"b\"\"\"\"\"", "a={\n#c\nb=1,\n}", "[ \"a\" . 'b' ]\n",
	} {
		f.Add([]byte(text))
	}
}

// same compares the tree with the values that the TOML decoder gives.
func same(n *node, value any, path string) error {
	switch value := value.(type) {
	case map[string]any:
		if len(n.kids) != len(value) || n.list {
			return fmt.Errorf("%s: %d keys, not %d", path, len(n.kids), len(value))
		}
		for key, value := range value {
			kid := n.kid(key)
			if kid == nil {
				return fmt.Errorf("%s: no %q", path, key)
			}
			if err := same(kid, value, path+" "+key); err != nil {
				return err
			}
		}
		return nil
	case []map[string]any:
		list := make([]any, len(value))
		for i := range value {
			list[i] = value[i]
		}
		return same(n, list, path)
	case []any:
		if len(n.items) != len(value) || !n.list {
			return fmt.Errorf("%s: %d items, not %d", path, len(n.items), len(value))
		}
		for i, value := range value {
			if err := same(n.items[i], value, fmt.Sprint(path, " ", i)); err != nil {
				return err
			}
		}
		return nil
	case int64:
		if got, err := strconv.ParseInt(n.text, 0, 64); err != nil || got != value {
			return fmt.Errorf("%s: %q, not %d", path, n.text, value)
		}
	}
	if n.text == "" || n.kids != nil || n.items != nil {
		return fmt.Errorf("%s: no scalar", path)
	}
	return nil
}

// placed checks that each value's text stands where its place says, counting
// lines and characters in another way than the scanner does.
func placed(n *node, lines []string) error {
	if n.text != "" && !strings.Contains(n.text, "\n") {
		line := []rune(lines[n.value.line-1])
		from, to := int(n.value.column)-1, int(n.value.column+n.value.length)-1
		if to > len(line) || string(line[from:to]) != n.text {
			return fmt.Errorf("%q isn't at %s", n.text, at(n.value))
		}
	}
	for _, kid := range slices.Concat(n.kids, n.items) {
		if err := placed(kid, lines); err != nil {
			return err
		}
	}
	return nil
}

// FuzzScan compares the scanner with the TOML decoder on what both take.
func FuzzScan(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, raw []byte) {
		text := string(withoutMark(raw))
		s := scan(text)
		if !utf8.ValidString(text) || s.fault != nil && s.fault.why != "" {
			return
		}
		values, err := authority(s.readable())
		if err != nil || s.again != nil {
			return
		}
		if s.fault != nil {
			t.Fatalf("the scanner stops at byte %d of a valid text", s.fault.at)
		}
		if err := same(s.root, values, ""); err != nil {
			t.Fatal(err)
		}
		if err := placed(s.root, strings.Split(text, "\n")); err != nil {
			t.Fatal(err)
		}
	})
}

// advancing counts the characters of a line that move a terminal's cursor.
func advancing(line string) (n int) {
	for _, r := range line {
		if !unicode.In(r, unicode.Mn, unicode.Me) {
			n++
		}
	}
	return n
}

// FuzzDecodeRecord: whatever the text, decoding it as any of the four files ends,
// and so does checking what they have to do with each other; each problem stands
// within the file and prints on lines that fit a terminal.
func FuzzDecodeRecord(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, raw []byte) {
		file := &File{Name: "record.toml", Text: raw}
		r, problems := DecodeRecord(file, "two-75")
		site, ofSite := DecodeSite(file)
		bench, ofBench := DecodeBench(file)
		methods, ofMethods := DecodeMethods(file)
		problems = slices.Concat(problems, ofSite, ofBench, ofMethods)
		problems = append(problems, (&Content{Records: []*Record{r}}).Check()...)
		problems = append(problems, (&Content{Site: site, Bench: bench, Methods: methods, Records: []*Record{r}}).Check()...)
		lines := strings.Split(string(withoutMark(raw)), "\n")
		for _, p := range problems {
			legible(t, p, lines)
		}
	})
}

// legible fails unless a problem stands within the lines of its file, and prints as it
// should.
func legible(t *testing.T, p Problem, lines []string) {
	if p.Line < 1 || p.Line > len(lines) {
		t.Fatalf("line %d of %d: %s", p.Line, len(lines), p.Summary)
	}
	if width := utf8.RuneCountInString(lines[p.Line-1]); p.Column < 1 || p.Column > width+1 {
		t.Fatalf("column %d of %d: %s", p.Column, width, p.Summary)
	}
	for i, line := range strings.Split(p.String(), "\n") {
		if (i == 1 || i == 2) && p.Length > 0 && advancing(line) > columns {
			t.Fatalf("%q is too long", line)
		}
		if strings.ContainsFunc(line, func(r rune) bool { return r < ' ' || r >= 0x7f && r < 0xa0 || r == '\u202e' }) {
			t.Fatalf("%q isn't harmless", line)
		}
	}
	if p.Summary == "" || strings.Contains(p.Summary, "mistake of this program") {
		t.Fatalf("%s at %d:%d", p.Summary, p.Line, p.Column)
	}
}
