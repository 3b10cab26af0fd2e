package site

import (
	"errors"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"

	"wattsheet/generator/datafile"
	"wattsheet/generator/ledger"
	"wattsheet/generator/publication"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verify"
)

const (
	sealedUnit = "content/units/ottersprocket-20/"
	tinyLedger = sealedUnit + "ledger.toml"
	sealDay1   = "2026-05-05T10:00:00+02:00"
	sealDay2   = "2026-06-05T10:00:00+02:00"
)

// sealedTiny is the root of a tiny site that was sealed once.
func sealedTiny(t *testing.T) string {
	t.Helper()
	root := tiny(t, nil)
	sealing, err := loaded(t, root).Seal("ottersprocket-20", sealDay1, "first")
	if err != nil || sealing.Number != 1 || sealing.Verdicts != 3 {
		t.Fatal(sealing, err)
	}
	return root
}

func replaceIn(t *testing.T, root, name, old, with string) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(root, name))
	if err != nil || !strings.Contains(string(text), old) {
		t.Fatalf("%s has no %q: %v", name, old, err)
	}
	put(t, root, name, strings.Replace(string(text), old, with, 1))
}

const tinyCorrection = `
[[correction]]
date = 2026-06-04
kind = "mistake"
reason = "The meter stood on another range."
noticed_by = "a viewer"
effect = "A little more power."
changes = ["claim modest", "claim bold", "run r1"]
`

// corrected edits the sealed reading, and tells of it.
func corrected(t *testing.T, root string) {
	t.Helper()
	replaceIn(t, root, sealedUnit+"record.toml", "out_v = 20.00", "out_v = 20.30")
	replaceIn(t, root, sealedUnit+"record.toml", "\n[[run]]", tinyCorrection+"\n[[run]]")
}

func inspected(t *testing.T, root string) (*Site, record.Problems) {
	t.Helper()
	s, problems, err := Inspect(root, today)
	if err != nil {
		t.Fatal(err)
	}
	return s, problems
}

func TestSealKeepsTheSheetAsItIsPublished(t *testing.T) {
	root := tiny(t, nil)
	s := loaded(t, root)
	published := made(t, s, stillOnly())["units/ottersprocket-20/sheet.json"]
	if _, err := s.Seal("ottersprocket-20", sealDay1, ""); err != nil {
		t.Fatal(err)
	}
	s = loaded(t, root)
	if got := string(s.SealedSheet("ottersprocket-20", 1)); got != published {
		t.Error("the sealed sheet is another than the published one")
	}
	st := s.Ledger("ottersprocket-20")
	if len(st.Versions) != 1 || st.Versions[0].Sheet != ledger.DigestOf([]byte(published)) || len(st.Unsealed) > 0 {
		t.Errorf("its status is %+v", st)
	}
	corrected(t, root)
	s = loaded(t, root)
	files := made(t, s, stillOnly())
	if again := made(t, loaded(t, root), stillOnly()); !maps.Equal(files, again) {
		t.Error("a second build has other bytes")
	}
	text, err := os.ReadFile(filepath.Join(root, tinyLedger))
	if err != nil || files["units/ottersprocket-20/ledger.toml"] != string(text) || files[SealedPath("ottersprocket-20", 1)] != published {
		t.Errorf("the ledger and the sealed sheet are not published as they are: %v", err)
	}
	if !strings.Contains(files["units/ottersprocket-20/sheet.json"], `"noticed_by": "a viewer"`) {
		t.Error("the sheet doesn't tell of the correction")
	}
	if s.Ledger("nobody") != nil || s.SealedSheet("nobody", 1) != nil || s.SealedSheet("ottersprocket-20", 2) != nil {
		t.Error("there is something of what there isn't")
	}
	if _, err := s.Seal("nobody", sealDay1, ""); !errors.Is(err, ErrNoUnit) {
		t.Errorf("sealing nobody says %v", err)
	}
}

// What is wrong with the files of a ledger, each with the text that is printed.
func TestLoadPrintsWhatIsWrongWithALedger(t *testing.T) {
	for _, row := range []struct {
		name  string
		spoil func(root string)
		says  string
	}{
		{"a sealed sheet edited", func(root string) { replaceIn(t, root, sealedUnit+"sealed/1.json", "Met", "Sad") },
			"content/units/ottersprocket-20/sealed/1.json: this isn't the sheet that entry 1 sealed: its digest is another\nhint: put it back as it was, from a backup or the published copy"},
		{"a sealed sheet gone", func(root string) { os.Remove(filepath.Join(root, sealedUnit+"sealed/1.json")) },
			"content/units/ottersprocket-20/sealed/1.json: this file is missing: it is the sheet that entry 1 sealed\nhint: put it back, from a backup or the published copy"},
		{"the ledger gone", func(root string) { os.Remove(filepath.Join(root, tinyLedger)) },
			"content/units/ottersprocket-20/ledger.toml: this file is missing, but sheets were sealed with it\nhint: put it back, from a backup or the published copy"},
		{"its last entry taken out", func(root string) {
			text, _ := os.ReadFile(filepath.Join(root, tinyLedger))
			corrected(t, root)
			if _, err := loaded(t, root).Seal("ottersprocket-20", sealDay2, ""); err != nil {
				t.Fatal(err)
			}
			put(t, root, tinyLedger, string(text))
		}, "content/units/ottersprocket-20/sealed/2.json: this was sealed by entry 2, which isn't in ledger.toml\nhint: an entry was taken out: put the file back as it was, from a backup or the published copy"},
		{"a figure edited", func(root string) { replaceIn(t, root, tinyLedger, "x = 144,", "x = 145,") },
			`content/units/ottersprocket-20/ledger.toml:19:1: entry 1: this was edited since it was sealed: run r1 / supply_power
   19 |   { of = "run r1 / supply_power", unit = "W", x = 145, u = 3.359266204…
`},
		{"a folder in its place", func(root string) {
			os.Remove(filepath.Join(root, tinyLedger))
			os.Mkdir(filepath.Join(root, tinyLedger), 0o755)
		}, "content/units/ottersprocket-20/ledger.toml: this can't be read: it is not a plain file"},
		{"an escape", func(root string) {
			os.Remove(filepath.Join(root, sealedUnit+"sealed/1.json"))
			symlink(t, "/etc/hostname", root, sealedUnit+"sealed/1.json")
		}, "content/units/ottersprocket-20/sealed/1.json: this is a symbolic link that leads out of the content folder"},
	} {
		root := sealedTiny(t)
		row.spoil(root)
		_, problems := inspected(t, root)
		if got := problems.Error(); !problems.Errors() || !strings.HasPrefix(got, row.says) {
			t.Errorf("%s: it says\n%s\nwant\n%s", row.name, got, row.says)
		}
	}
	root := sealedTiny(t)
	put(t, root, sealedUnit+"sealed/first.json", "{}")
	put(t, root, sealedUnit+"sealed/01.json", "{}")
	if _, problems := inspected(t, root); problems.Errors() || len(problems) != 2 {
		t.Errorf("other files say %v", problems)
	}
}

// sealChild names the environment variable by which the test program is a seal that
// is killed: the root, a colon, and before which step.
const sealChild = "SEAL_IS_KILLED"

// TestKilledSeal kills a seal before each thing that it does to the disk. What is left
// is the old ledger or the new one, whole, and the next seal completes it.
func TestKilledSeal(t *testing.T) {
	if order := os.Getenv(sealChild); order != "" {
		killedSeal(t, order)
		return
	}
	start := func() string {
		root := sealedTiny(t)
		corrected(t, root)
		return root
	}
	whole := start()
	old := tree(t, whole)[tinyLedger]
	if _, err := loaded(t, whole).Seal("ottersprocket-20", sealDay2, "second"); err != nil {
		t.Fatal(err)
	}
	want := tree(t, whole)
	kept, renewed := 0, 0
	for step := 0; ; step++ {
		root := start()
		cmd := exec.Command(os.Args[0], "-test.run=^TestKilledSeal$")
		cmd.Env = append(os.Environ(), fmt.Sprintf("%s=%d:%s", sealChild, step, root))
		out, err := cmd.CombinedOutput()
		if err == nil {
			break // it was done before it came to this step
		}
		if !strings.Contains(err.Error(), "killed") {
			t.Fatalf("step %d: %v\n%s", step, err, out)
		}
		switch tree(t, root)[tinyLedger] {
		case old:
			kept++
		case want[tinyLedger]:
			renewed++
		default:
			t.Fatalf("step %d leaves another ledger", step)
		}
		s, problems := inspected(t, root)
		if problems.Errors() {
			t.Fatalf("killed before step %d, the site can't be built: %v", step, problems)
		}
		if n := len(s.Ledger("ottersprocket-20").Versions); s.SealedSheet("ottersprocket-20", n) == nil {
			t.Errorf("step %d: version %d has no sheet", step, n)
		}
		if _, err := s.Seal("ottersprocket-20", sealDay2, "second"); err != nil {
			t.Fatal(err)
		}
		if got := tree(t, root); !maps.Equal(got, want) {
			t.Errorf("step %d: sealed again there are %v, want %v", step, slices.Sorted(maps.Keys(got)), slices.Sorted(maps.Keys(want)))
		}
	}
	if kept < 5 || renewed < 2 {
		t.Errorf("the old ledger was left %d times, the new one %d times", kept, renewed)
	}
}

func killedSeal(t *testing.T, order string) {
	var at int
	number, root, _ := strings.Cut(order, ":")
	fmt.Sscan(number, &at)
	step := 0
	_, err := loaded(t, root).seal("ottersprocket-20", sealDay2, "second", func(string) {
		if step == at {
			syscall.Kill(os.Getpid(), syscall.SIGKILL)
			select {}
		}
		step++
	})
	if err != nil {
		t.Fatal(err)
	}
}

// A seal that can't write leaves everything as it was.
func TestSealThatFails(t *testing.T) {
	root := sealedTiny(t)
	corrected(t, root)
	s := loaded(t, root)
	before := tree(t, root)
	_, err := s.seal("ottersprocket-20", sealDay2, "", func(step string) {
		if step == "settle sealed" { // somebody else seals meanwhile
			put(t, root, tinyLedger, before[tinyLedger]+"\n")
		}
	})
	if err == nil || !strings.HasPrefix(err.Error(), "content/units/ottersprocket-20 can't be sealed: it was written by somebody else meanwhile\nhint: ") {
		t.Errorf("it says %v", err)
	}
	before[tinyLedger] += "\n"
	if !maps.Equal(tree(t, root), before) {
		t.Error("something is left behind")
	}
}

// A rename that a folder refuses leaves nothing behind, and it is told what to do about it.
func TestSealThatIsRefused(t *testing.T) {
	root := sealedTiny(t)
	corrected(t, root)
	folder := filepath.Join(root, sealedUnit)
	_, err := loaded(t, root).seal("ottersprocket-20", sealDay2, "", func(step string) {
		if step == "rename ledger.toml" { // no file can take a folder's place
			os.Rename(filepath.Join(folder, ledgerFile), filepath.Join(folder, "was"))
			os.Mkdir(filepath.Join(folder, ledgerFile), 0o755)
		}
	})
	if err == nil || !strings.HasSuffix(err.Error(), "\nhint: what was sealed before still is; seal it again") {
		t.Errorf("it says %v", err)
	}
	for name := range tree(t, root) {
		if strings.HasSuffix(name, ".new") {
			t.Errorf("%s is left behind", name)
		}
	}
	at, err := os.OpenRoot(folder)
	if err != nil {
		t.Fatal(err)
	}
	defer at.Close()
	w := &sealer{publication.New(at, strings.TrimSuffix(sealedUnit, "/")), at, func(string) {}}
	refusal := &os.LinkError{Op: "renameat", Err: syscall.EPERM}
	if got := w.advice(refusal); !strings.HasPrefix(got, "you have to be allowed to write to the folder") {
		t.Errorf("it says %s", got)
	}
	if err := os.Chmod(filepath.Join(folder, sealedFolder), 0o777|os.ModeSticky); err != nil {
		t.Fatal(err)
	}
	if got := w.advice(refusal); !strings.HasPrefix(got, "the folder content/units/ottersprocket-20/sealed has the sticky bit, so that only who owns a file there may replace it: ") {
		t.Errorf("it says %s", got)
	}
}

// TestVerifyFollowsLedgers publishes a sealed site and changes what is published.
func TestVerifyFollowsLedgers(t *testing.T) {
	root := sealedTiny(t)
	corrected(t, root)
	s := loaded(t, root)
	outputs, _, err := s.Outputs()
	if err != nil {
		t.Fatal(err)
	}
	const unit = "units/ottersprocket-20/"
	verified := func(spoil func(dir string)) *verify.Folder {
		dir := t.TempDir()
		for _, o := range outputs {
			if strings.HasPrefix(o.Path, unit) && !strings.HasSuffix(o.Path, ".html") {
				put(t, dir, o.Path, string(o.Bytes))
			}
		}
		spoil(dir)
		f, err := verify.Path(dir)
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	f := verified(func(string) {})
	if !f.Agrees() || len(f.Ledgers) != 1 || f.Ledgers[0].Entries != 1 || len(f.Sheets) != 1 {
		t.Fatalf("untouched: %+v", f.Ledgers[0])
	}
	for name, row := range map[string]struct {
		spoil func(dir string)
		says  string
	}{
		"a line of the ledger": {func(dir string) { replaceIn(t, dir, unit+"ledger.toml", "x = 144,", "x = 145,") }, "entry 1: this was edited since it was sealed: run r1 / supply_power"},
		"a sealed sheet":       {func(dir string) { replaceIn(t, dir, unit+"v/1/sheet.json", "Met", "Sad") }, "v/1/sheet.json isn't the sheet that entry 1 sealed"},
		"no sealed sheet":      {func(dir string) { os.Remove(filepath.Join(dir, unit+"v/1/sheet.json")) }, "v/1/sheet.json, the sheet that entry 1 sealed, is not there"},
		"the correction taken out": {func(dir string) {
			text := tree(t, dir)[unit+"sheet.json"]
			from, to := strings.Index(text, `  "corrections": [`), strings.Index(text, `  "sources": [`)
			put(t, dir, unit+"sheet.json", text[:from]+text[to:])
		}, "run r1 / readings was as sealed in entry 1 and is edited now, and no correction tells of it (run r1 was edited)"},
	} {
		f := verified(row.spoil)
		got := f.Ledgers[0].Problems.Error() + "\n" + strings.Join(f.Ledgers[0].Differ, "\n")
		if f.Agrees() || !strings.Contains(got, row.says) {
			t.Errorf("%s: it says %s", name, got)
		}
	}
	// everything computed anew from another reading: the sheet agrees with itself,
	// but not with the ledger
	replaceIn(t, root, sealedUnit+"record.toml", "supply_a = 10.0", "supply_a = 11.0")
	replaceIn(t, root, sealedUnit+"record.toml", tinyCorrection, "")
	other, _ := inspected(t, root)
	data, err := datafile.JSON(other.Sheets[0])
	if err != nil {
		t.Fatal(err)
	}
	f = verified(func(dir string) { put(t, dir, unit+"sheet.json", string(data)) })
	if _, _, differ := f.Sheets[0].Counts(); differ != 0 || f.Agrees() {
		t.Errorf("%d differ in itself; agrees: %v", differ, f.Agrees())
	}
	if !slices.ContainsFunc(f.Ledgers[0].Differ, func(s string) bool {
		return strings.HasPrefix(strings.ReplaceAll(s, "\u00a0", " "), "run r1 / supply_a was (10.00 ± 0.23) A in entry 1 and is (11.00 ± 0.25) A now, and no correction")
	}) {
		t.Errorf("it says %q", f.Ledgers[0].Differ)
	}
}

// Every unit of the demo can be sealed, and what is published of it is as sealed.
func TestSealTheDemo(t *testing.T) {
	if testing.Short() {
		t.Skip("it evaluates the demo several times")
	}
	root := t.TempDir()
	if err := os.CopyFS(filepath.Join(root, "content"), os.DirFS("../../content")); err != nil {
		t.Fatal(err)
	}
	s, problems := inspected(t, root)
	if problems.Errors() {
		t.Fatal(problems)
	}
	for _, one := range s.Sheets {
		l := s.sealed[one.Slug].ledger
		data, err := datafile.JSON(one)
		if err != nil {
			t.Fatal(err)
		}
		l, err = ledger.Seal(l, s.Ledger(one.Slug), "2026-11-24T10:00:00+01:00", "", data)
		if err != nil {
			if errors.Is(err, ledger.ErrNothingNew) {
				continue
			}
			t.Fatal(err)
		}
		if again, problems := ledger.Read(&record.File{Name: "ledger.toml", Text: l.Text()}); len(problems) > 0 || len(again.Entries) == 0 {
			t.Errorf("%s: %v", one.Slug, problems)
		}
		d, err := verify.Read("sheet.json", data)
		if err != nil {
			t.Fatal(err)
		}
		content, problems := d.Content("sheet.json")
		st := ledger.Follow(l, sheet.Evaluate(content, content.Records[0]))
		if problems.Errors() || len(st.Uncovered) > 0 || len(st.Unsealed) > 0 {
			t.Errorf("%s: what is published isn't what was sealed: %v %v %+v", one.Slug, err, problems, st)
		}
	}
}
