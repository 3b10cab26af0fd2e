package site

import (
	"os"
	"path/filepath"
	"testing"
	"time"
)

// Two large captures of the same size and time, as unpacked from one archive, change names: each is then what it is now.
func TestLargeCapturesThatChangeNames(t *testing.T) {
	root := t.TempDir()
	when := time.Date(2026, 6, 1, 12, 0, 0, 0, time.UTC)
	take := func(name string, first byte) {
		f, err := os.Create(filepath.Join(root, name))
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		if err := f.Truncate(smallCapture + 1); err != nil {
			t.Fatal(err)
		}
		if _, err := f.WriteAt([]byte{first}, 0); err != nil {
			t.Fatal(err)
		}
	}
	take("one.wav", 1)
	take("two.wav", 2)
	content, err := os.OpenRoot(root)
	if err != nil {
		t.Fatal(err)
	}
	defer content.Close()
	l := newLoader(content)
	cache := openCache(root, false)
	defer cache.close()
	seen := func(name string) digest {
		t.Helper()
		if err := os.Chtimes(filepath.Join(root, name), when, when); err != nil {
			t.Fatal(err)
		}
		sum, err := l.captureDigest(cache, name)
		if err != nil {
			t.Fatal(err)
		}
		return sum
	}
	one, two := seen("one.wav"), seen("two.wav")
	if one == two || seen("one.wav") != one {
		t.Fatal("digests aren't those of the bytes")
	}
	for _, names := range [][2]string{{"one.wav", "held.wav"}, {"two.wav", "one.wav"}, {"held.wav", "two.wav"}} {
		if err := os.Rename(filepath.Join(root, names[0]), filepath.Join(root, names[1])); err != nil {
			t.Fatal(err)
		}
	}
	if seen("one.wav") != two || seen("two.wav") != one {
		t.Error("a capture is taken for the one that had its name before")
	}
}
