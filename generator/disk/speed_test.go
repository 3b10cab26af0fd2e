package disk

import (
	"os"
	"path/filepath"
	"testing"
)

// BenchmarkRead reads a record of usual size; beside that, as the baseline in the same run, the library reads it without a
// bound and whatever it is.
func BenchmarkRead(b *testing.B) {
	dir := b.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "record.toml"), make([]byte, 16<<10), 0o666); err != nil {
		b.Fatal(err)
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		b.Fatal(err)
	}
	defer root.Close()
	b.Run("bounded", func(b *testing.B) {
		for b.Loop() {
			if _, err := Read(root, "record.toml", Limit); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("baseline", func(b *testing.B) {
		for b.Loop() {
			if _, err := root.ReadFile("record.toml"); err != nil {
				b.Fatal(err)
			}
		}
	})
}
