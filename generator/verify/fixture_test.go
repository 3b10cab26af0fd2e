package verify

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"wattsheet/generator/datafile"
	"wattsheet/generator/site"
)

// today is a day on which all of the demo may be seen.
var today = time.Date(2026, 11, 26, 12, 0, 0, 0, time.UTC)

// tinyFolder is a site of one unit.
const tinyFolder = "../site/testdata/tiny"

func tinyFile(t testing.TB, name string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(tinyFolder, name))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// tiny loads the site of one unit, with some of its files written anew.
func tiny(t *testing.T, files map[string]string) *site.Site {
	t.Helper()
	root := t.TempDir()
	if err := os.CopyFS(root, os.DirFS(tinyFolder)); err != nil {
		t.Fatal(err)
	}
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(root, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	s, problems, err := site.Load(root, today)
	if err != nil || len(problems) > 0 {
		t.Fatal(err, problems)
	}
	return s
}

// tinyJSON is that unit's sheet.json.
func tinyJSON(t *testing.T, files map[string]string) []byte {
	t.Helper()
	data, err := datafile.JSON(tiny(t, files).Sheets[0])
	if err != nil {
		t.Fatal(err)
	}
	return data
}
