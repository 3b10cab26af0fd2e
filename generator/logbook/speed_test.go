package logbook

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"wattsheet/generator/record"
)

// BenchmarkRun compares a run that is typed, of a record with thirty runs, with decoding that record and appending as many
// bytes to a file and waiting until they are on the disk.
func BenchmarkRun(b *testing.B) {
	text := recordText
	for i := range 30 {
		text += strings.Replace(runText7, `id = "r07"`, fmt.Sprintf(`id = "x%d"`, i), 1)
	}
	b.Run("typed", func(b *testing.B) {
		for b.Loop() {
			b.StopTimer()
			root, _ := newSite(b, benchText, text)
			d := beginning(b, root, false)
			if r := d.Take("load a4 b4", day); r.Err != nil {
				b.Fatal(r.Err)
			}
			b.StartTimer()
			if r := d.Take("17.40 17.39 1.00 1.00 14.39 17.8", day.Add(time.Minute)); r.Err != nil || r.Asks {
				b.Fatal(r.Said, r.Err)
			}
		}
	})
	b.Run("decoded and appended", func(b *testing.B) {
		name := filepath.Join(b.TempDir(), "record.toml")
		for b.Loop() {
			if _, problems := record.DecodeRecord(&record.File{Name: "record.toml", Text: []byte(text)}, "unit"); problems.Errors() {
				b.Fatal(problems)
			}
			f, err := os.OpenFile(name, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o666)
			if err == nil {
				_, err = f.WriteString(runText7)
			}
			if err == nil {
				err = f.Sync()
			}
			if err == nil {
				err = f.Close()
			}
			if err != nil {
				b.Fatal(err)
			}
		}
	})
}
