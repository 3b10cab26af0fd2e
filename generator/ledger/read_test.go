package ledger

import (
	"bytes"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"

	"wattsheet/generator/record"
)

func TestALedgerIsReadAsItWasWritten(t *testing.T) {
	l, _ := three(t)
	again, problems := readAgain(t, l.Text())
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if !bytes.Equal(again.Text(), l.Text()) {
		t.Error("it is written another way")
	}
	if n := len(again.Entries); n != 3 || again.Last().Before != again.Entries[1].Digest || len(again.Entries[1].Corrected) == 0 {
		t.Errorf("it has %d entries", n)
	}
	if same, _ := three(t); !bytes.Equal(same.Text(), l.Text()) {
		t.Error("sealed a second time it has other bytes")
	}
}

// sameAsDecoded fails where a ledger that is read as it was written is another than the
// TOML decoder's.
func sameAsDecoded(t *testing.T, text []byte) {
	quick, _ := asWritten(text)
	if quick == nil {
		return
	}
	l := &Ledger{}
	if _, err := toml.Decode(string(text), l); err != nil {
		t.Fatalf("read as it was written, but: %v", err)
	}
	if !reflect.DeepEqual(quick, l) {
		t.Errorf("%+v\nbut decoded it is\n%+v", quick, l)
	}
}

func TestAsWrittenIsWhatTheDecoderReads(t *testing.T) {
	l, _ := three(t)
	e := l.Last()
	e.Note = "a \"quoted\" note\n\\ with \u202e, \U000e0001 and Ω"
	e.Verdicts[0].P, e.Figures[0].X, e.Figures[0].U = nil, 1e-7, 2e15
	e.Corrections = append(e.Corrections, Correction{Changes: []string{}}, Correction{Changes: []string{"a", "b, c ] # d"}})
	text := l.Text()
	if quick, _ := asWritten(text); quick == nil {
		t.Fatal("it isn't read as it was written")
	}
	sameAsDecoded(t, text)
}

// small is a ledger of three entries with one row of each kind.
func small(t testing.TB) *Ledger {
	t.Helper()
	l, _ := three(t)
	for i, e := range l.Entries {
		e.Figures, e.Verdicts, e.RestsOn = e.Figures[:1], e.Verdicts[:1], e.RestsOn[:1]
		e.Corrected = e.Corrected[:min(1, len(e.Corrected))]
		if i > 0 {
			e.Before = l.Entries[i-1].Digest
		}
		e.Digest = e.digest()
	}
	if _, problems := readAgain(t, l.Text()); problems.Errors() {
		t.Fatal(problems)
	}
	return l
}

// TestEveryEditedByteIsNamed changes each byte of a ledger in turn. Each is noticed,
// and one in a line that says something is named with that line.
func TestEveryEditedByteIsNamed(t *testing.T) {
	text := small(t).Text()
	line, inLine := 1, 0
	for i := range text {
		if text[i] == '\n' {
			line, inLine = line+1, 0
			continue
		}
		inLine++
		changed := bytes.Clone(text)
		if changed[i]++; changed[i] == 0x7f || changed[i] >= 0x80 {
			changed[i] = 'q'
		}
		_, problems := readAgain(t, changed)
		if !problems.Errors() {
			t.Fatalf("byte %d in line %d: %q for %q goes unnoticed", i, line, changed[i], text[i])
		}
		if got := problems[0].Line; got != line && line > 5 && !inHead(text, i) && text[i] != '[' && text[i] != ']' && text[i] != '"' && text[i] != '}' && text[i] != ',' && text[i] != '#' {
			t.Errorf("byte %d of line %d: line %d is named: %s", inLine, line, got, problems[0].Summary)
		}
	}
}

// inHead reports whether a byte is one of [[entry]].
func inHead(text []byte, i int) bool {
	start := bytes.LastIndexByte(text[:i], '\n') + 1
	return bytes.HasPrefix(text[start:], []byte("[[entry]]"))
}

// markOf is a line's mark.
func markOf(line string) string { return DigestOf([]byte(line))[:2*markBytes] }

var mark = regexp.MustCompile(` # [0-9a-f]{8}$`)

// resealed makes the mark of each line anew, as somebody would who knows of them.
func resealed(text string) string {
	var b strings.Builder
	for line := range strings.Lines(text) {
		line = strings.TrimSuffix(line, "\n")
		if m := mark.FindString(line); m != "" {
			line = strings.TrimSuffix(line, m)
			line += " # " + markOf(line)
		}
		b.WriteString(line + "\n")
	}
	return b.String()
}

// entries cuts a ledger into its head and its entries.
func entries(text string) []string {
	parts := strings.Split(text, "\n[[entry]]\n")
	for i := range parts[1:] {
		parts[i+1] = "\n[[entry]]\n" + parts[i+1]
	}
	return parts
}

func without(text, containing string) string {
	var b strings.Builder
	for line := range strings.Lines(text) {
		if containing != "" && strings.Contains(line, containing) {
			containing = ""
			continue
		}
		b.WriteString(line)
	}
	return b.String()
}

// Each way to tamper is named: file, entry and what.
func TestTamperingIsNamed(t *testing.T) {
	l, _ := three(t)
	whole := string(l.Text())
	part := entries(whole)
	if strings.Join(part, "") != whole {
		t.Fatal("the parts are not the whole")
	}
	edited := func(old, with string) string {
		if !strings.Contains(whole, old) {
			t.Fatalf("the ledger has no %q", old)
		}
		return strings.Replace(whole, old, with, 1)
	}
	redigested := func() string { // entry 1 with another figure and all its digests right
		other, _ := three(t)
		other.Entries[0].Figures[0].X = 4.5
		other.Entries[0].Digest = other.Entries[0].digest()
		return string(other.Text())
	}
	const sealedUpon = "entry 2 was not sealed upon entry 1 as it stands here: entry 1 was changed and its digest with it, or was replaced"
	for _, row := range []struct{ name, text, says string }{
		{"a figure", edited("x = 8.02", "x = 8.2"), "entry 1: this was edited since it was sealed: run r3 / channel L / resistance"},
		{"its uncertainty", edited(", u = 0.", ", u = 1."), "entry 1: this was edited since it was sealed: run r1 / channel L / resistance"},
		{"its formula", edited(`formula = "efficiency"`, `formula = "heat"`), "entry 1: this was edited since it was sealed: run r1 / efficiency"},
		{"a verdict", edited(`verdict = "short"`, `verdict = "met"`), "entry 1: this was edited since it was sealed: claim 2-ohm"},
		{"a probability", edited("p = [0.", "p = [1."), "entry 1: this was edited since it was sealed: claim 4-ohm"},
		{"a flip", edited("flip_w = ", "flip_w = 1"), "entry 1: this was edited since it was sealed: claim 4-ohm"},
		{"a digest", edited(`"claim 4-ohm", digest = "`, `"claim 4-ohm", digest = "0`), "entry 1: this was edited since it was sealed: claim 4-ohm"},
		{"a revision", edited("revision = 1", "revision = 2"), "entry 1: this was edited since it was sealed: formula as-read"},
		{"a date", edited(day1, "2026-05-04T10:00:00+02:00"), "entry 1: this was edited since it was sealed: date"},
		{"a correction", edited("stood on another", "stood on the right"), "entry 2: this was edited since it was sealed: 2026-06-01"},
		{"a corrected result", edited("was = \"(50.4", "was = \"(45.4"), "entry 2: this was edited since it was sealed: run r3 / channel L / power"},
		{"the digest of the sheet", edited(`sheet = "c`, `sheet = "d`), "entry 1: this was edited since it was sealed: sheet"},
		{"the head", edited("never by", "best by"), "this was edited since it was sealed"},
		{"a figure and its mark", resealed(edited("x = 8.02", "x = 8.2")), "entry 1 doesn't have its digest: a line of it was edited together with its mark, taken out, added or moved"},
		{"a line taken out", without(whole, "run r3 / channel L / power"), "entry 1 doesn't have its digest: a line of it was edited together with its mark, taken out, added or moved"},
		{"the digest of the entry before", resealed(edited(`before = "`, `before = "0`)), "entry 2 doesn't have its digest: a line of it was edited together with its mark, taken out, added or moved"},
		{"a whole entry made anew", redigested(), sealedUpon},
		{"the first entry taken out", part[0] + part[2] + part[3], "entry 2 stands in the place of entry 1: an entry was taken out, or their order changed"},
		{"an entry taken out", part[0] + part[1] + part[3], "entry 3 stands in the place of entry 2: an entry was taken out, or their order changed"},
		{"another order", part[0] + part[2] + part[1] + part[3], "entry 2 stands in the place of entry 1: an entry was taken out, or their order changed"},
		{"an entry twice", part[0] + part[1] + part[1], "entry 1 stands in the place of entry 2: an entry was taken out, or their order changed"},
		{"no entry", part[0], "this holds no entry, so every one was taken out"},
		{"no file", "", "this holds no entry, so every one was taken out"},
		{"its end cut off", whole[:len(whole)-40], "this was edited or cut off since it was sealed"},
		{"its last mark cut off", whole[:len(whole)-12], "entry 3: this was edited since it was sealed: digest"},
		{"cut off within an entry", part[0] + part[1] + part[2][:600], "this was edited or cut off since it was sealed"},
		{"something else", "number = [", "this was edited or cut off since it was sealed"},
		{"another kind of value", edited("number = 1", `number = "1"`), "this is no ledger: "},
		{"a key of its own", edited("\nnumber = 1", "\nextra = true\nnumber = 1"), "entry 1: this was edited since it was sealed: extra"},
		{"other line ends", strings.ReplaceAll(whole, "\n", "\r\n"), "the ends of its lines were changed to CR LF since this was sealed"},
		{"something behind it", whole + "\n# right\n", "this was edited since it was sealed"},
	} {
		_, problems := readAgain(t, []byte(row.text))
		if len(problems) == 0 || !strings.HasPrefix(problems[0].Summary, row.says) && !strings.HasSuffix(problems[0].Summary, row.says) || problems[0].Hint == "" || len(problems) > 3 {
			t.Errorf("%s: it says %v, want %q", row.name, problems, row.says)
		}
	}
}

// A cut at any line is noticed, but between entries: there the sheets beside the
// ledger tell (see the site's tests).
func TestACutIsNoticed(t *testing.T) {
	whole := string(small(t).Text())
	between := map[string]bool{whole: true}
	for i, text := 1, ""; i <= 3; i++ {
		text = strings.Join(entries(whole)[:i+1], "")
		between[text], between[text+"\n"] = true, true
	}
	cut, n := "", 0
	for line := range strings.Lines(whole) {
		cut += line
		if _, problems := readAgain(t, []byte(cut)); !problems.Errors() && !between[cut] {
			t.Errorf("a cut behind %q goes unnoticed", line)
		}
		n++
	}
	if n < 50 {
		t.Errorf("the ledger has %d lines only", n)
	}
}

// What a ledger says can't command the terminal, and a name can't make a line.
func TestHostileNames(t *testing.T) {
	hostile := []edit{
		{"record", `spot = "heat sink"`, `spot = "\" }, # / \u202E <script> \\"`},
		{"record", `channels = ["L", "R"]`, "channels = [\"L\", \"R\\\"] # \u202e\"]"},
	}
	l, err := Seal(nil, Follow(nil, sheetOf(t, hostile...)), day1, "a \"note\" } # \x1b[31m\u202e <b>", nil)
	if err != nil {
		t.Fatal(err)
	}
	text := string(l.Text())
	if strings.ContainsAny(text, "\x1b\u202e") {
		t.Error("the ledger holds what a terminal obeys")
	}
	again, problems := readAgain(t, []byte(text))
	if len(problems) > 0 || again.Last().Note != l.Last().Note {
		t.Fatalf("it can't be read: %v", problems)
	}
	st := Follow(again, sheetOf(t, append(hostile, edit{"record", "52.5", "53.5"})...))
	printed := st.Problems.Error() + strings.Join(st.Table("2026-06-01"), "\n")
	if !st.Problems.Errors() || strings.Contains(st.Problems.Error(), "\u202e") {
		t.Errorf("it says %s", printed)
	}
	// the printed table is one that the record takes
	table := strings.Join(st.Table("2026-06-01"), "\n")
	for _, key := range []string{"reason", "noticed_by", "effect"} {
		table = strings.Replace(table, key+` = ""`, key+` = "words"`, 1)
	}
	st = Follow(again, sheetOf(t, append(hostile, edit{"record", "52.5", "53.5"}, edit{"record", "", "\n" + table + "\n"})...))
	if st.Problems.Errors() || len(st.Corrections) != 1 {
		t.Errorf("pasted it says %v\n%s", st.Problems, table)
	}
}

func FuzzRead(f *testing.F) {
	f.Add(small(f).Text())
	f.Add([]byte("[[entry]]\nnumber = 1\n"))
	f.Add([]byte("entry = 3"))
	f.Add([]byte("[[entry]]\nfigures = [{ x = nan, u = inf }]\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		l, problems := Read(&record.File{Name: "ledger.toml", Text: text})
		if l == nil {
			t.Fatal("there is no ledger")
		}
		if !problems.Errors() && !bytes.Equal(l.Text(), text) {
			t.Error("a ledger passes that this program would write otherwise")
		}
		sameAsDecoded(t, text)
	})
}
