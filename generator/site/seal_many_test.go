package site

import (
	"fmt"
	"os"
	"path"
	"strings"
	"testing"
	"time"

	"wattsheet/generator/disk"
	"wattsheet/generator/ledger"
	"wattsheet/generator/verify"
)

// manyRuns is the tiny record, measured again in each of n weeks.
func manyRuns(t *testing.T, n int) string {
	head, run, _ := strings.Cut(tinyFile(t, tinyRecord), "[[run]]")
	var b strings.Builder
	b.WriteString(strings.Replace(head, `channels = ["M"]`, `channels = ["A", "B", "C", "D"]`, 1))
	run = strings.NewReplacer(`load = "four"`, `load_ohm = 4`, "out_v = 20.00", "out_v = [20.00, 20.00, 20.00, 20.00]", "thdn_pct = 1.00", "thdn_pct = [1.00, 1.00, 1.00, 1.00]").Replace(run)
	day := time.Date(2016, 5, 4, 0, 0, 0, 0, time.UTC)
	for i := range n {
		one := strings.NewReplacer(`"r1"`, fmt.Sprintf(`"r%d"`, i+1), "2026-05-04", day.AddDate(0, 0, 7*i).Format(time.DateOnly)).Replace(run)
		b.WriteString("[[run]]" + one + "\n")
	}
	return b.String()
}

// A unit that stays at the bench and is measured each week can be sealed, built
// and verified, though its sheet is larger than anything that people write.
func TestSealOfManyRuns(t *testing.T) {
	if testing.Short() {
		t.Skip("it evaluates 500 runs several times")
	}
	root := tiny(t, map[string]string{tinyRecord: manyRuns(t, 500)})
	s, problems := inspected(t, root)
	if problems.Errors() {
		t.Fatal(problems)
	}
	if _, err := s.Seal("ottersprocket-20", sealDay2, ""); err != nil {
		t.Fatal(err)
	}
	sheet, err := os.ReadFile(path.Join(root, sealedUnit, "sealed/1.json"))
	if err != nil || len(sheet) <= disk.Limit {
		t.Fatalf("a sheet of %d bytes shows nothing: %v", len(sheet), err)
	}
	again, problems := inspected(t, root)
	if problems.Errors() || len(again.sealed["ottersprocket-20"].ledger.Entries) != 1 {
		t.Fatal(problems)
	}
	dir := t.TempDir()
	for at, from := range map[string]string{"ledger.toml": "ledger.toml", "sheet.json": "sealed/1.json", "v/1/sheet.json": "sealed/1.json"} {
		text, err := os.ReadFile(path.Join(root, sealedUnit, from))
		if err != nil {
			t.Fatal(err)
		}
		put(t, dir, at, string(text))
	}
	f, err := verify.Path(dir)
	if err != nil || !f.Agrees() || len(f.Sheets) != 1 || len(f.Ledgers) != 1 {
		t.Errorf("verify: %v, %+v", err, f.Ledgers)
	}
}

// A ledger that no command would read again isn't written: the one that stands stays.
func TestSealNeverOutgrowsItsLedger(t *testing.T) {
	root := sealedTiny(t)
	was, err := os.ReadFile(path.Join(root, tinyLedger))
	if err != nil {
		t.Fatal(err)
	}
	corrected(t, root)
	s := loaded(t, root)
	// the entry that stands is made as long as years of entries are
	last := s.sealed["ottersprocket-20"].ledger.Last()
	for i := range disk.Large / 100 {
		last.RestsOn = append(last.RestsOn, ledger.Basis{What: fmt.Sprintf("run x%d", i), Digest: last.Digest})
	}
	_, err = s.Seal("ottersprocket-20", sealDay2, "")
	if err == nil || !strings.HasPrefix(err.Error(), "with one more version the ledger of ottersprocket-20 would be larger than 64 MB, which no command reads; nothing was written\nhint: ") {
		t.Errorf("it says %v", err)
	}
	if now, err := os.ReadFile(path.Join(root, tinyLedger)); err != nil || string(now) != string(was) {
		t.Errorf("the ledger isn't the one that stood: %v", err)
	}
}
