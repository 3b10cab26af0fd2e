package record

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the golden files anew")

// decodeAs decodes a file by the beginning of its name.
func decodeAs(name string, f *File) Problems {
	var problems Problems
	switch {
	case strings.HasPrefix(name, "site"):
		_, problems = DecodeSite(f)
	case strings.HasPrefix(name, "bench"):
		_, problems = DecodeBench(f)
	case strings.HasPrefix(name, "methods"):
		_, problems = DecodeMethods(f)
	default:
		_, problems = DecodeRecord(f, "two-75")
	}
	return problems
}

// TestBadFiles compares what is printed for files full of mistakes with the
// texts beside them. The texts were read one by one for whether an author can
// act on them alone.
func TestBadFiles(t *testing.T) {
	files, err := filepath.Glob("testdata/bad/*.toml")
	if err != nil || len(files) == 0 {
		t.Fatal("no files", err)
	}
	for _, file := range files {
		name := filepath.Base(file)
		t.Run(name, func(t *testing.T) {
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			problems := decodeAs(name, &File{Name: name, Text: text})
			if !problems.Errors() {
				t.Error("no errors found")
			}
			golden(t, strings.TrimSuffix(file, ".toml")+".txt", problems.Error()+"\n")
		})
	}
}

// golden compares a text with a file, or writes the file with -update. What
// was got instead lies beside it.
func golden(t *testing.T, file, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if string(want) == got {
		return
	}
	if err := os.WriteFile(file+".got", []byte(got), 0o644); err != nil {
		t.Error(err)
	}
	line := 1
	for i := 0; i < len(got) && i < len(want) && got[i] == want[i]; i++ {
		if got[i] == '\n' {
			line++
		}
	}
	t.Errorf("%s differs from line %d on; got:\n%s", file, line, got)
}
