package publication

import (
	"bytes"
	"compress/gzip"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/andybalholm/brotli"
)

// A run that was stopped between any two files is completed by the next.
func TestPackedFilesAfterAStop(t *testing.T) {
	version := func(n int) (outputs []Output) {
		for _, name := range []string{"assets/a.css", "index.html", "units/x/index.html"} {
			outputs = append(outputs, Output{name, bytes.Repeat([]byte(name+" of version "+strconv.Itoa(n)+"\n"), 40)})
		}
		return outputs
	}
	publish := func(dir string, outputs []Output, stopAfter int) error {
		p, err := Open(dir, Layout{Assets: "assets"})
		if err != nil {
			t.Fatal(err)
		}
		defer p.Close()
		p.Compress = true
		if stopAfter >= 0 {
			rename, n := p.rename, 0
			p.rename = func(from, to string) error {
				if n++; n > stopAfter {
					return errors.New("stopped")
				}
				return rename(from, to)
			}
		}
		_, err = p.Publish(outputs)
		return err
	}
	for stopAfter := range 9 {
		dir := filepath.Join(t.TempDir(), "public")
		if err := publish(dir, version(1), -1); err != nil {
			t.Fatal(err)
		}
		if err := publish(dir, version(2), stopAfter); err == nil {
			t.Fatalf("it wasn't stopped after %d", stopAfter)
		}
		if err := publish(dir, version(2), -1); err != nil {
			t.Fatal(err)
		}
		files, n := tree(t, dir), 0
		for name, text := range files {
			source, is := strings.CutSuffix(name, ".gz")
			if !is {
				continue
			}
			n++
			z, err := gzip.NewReader(strings.NewReader(text))
			if err != nil {
				t.Fatal(err)
			}
			if data, err := io.ReadAll(z); err != nil || string(data) != files[source] {
				t.Errorf("stopped after %d: %s doesn't unpack to what stands beside it: %v", stopAfter, name, err)
			}
			if data, err := io.ReadAll(brotli.NewReader(strings.NewReader(files[source+".br"]))); err != nil || string(data) != files[source] {
				t.Errorf("stopped after %d: %s.br doesn't unpack to what stands beside it: %v", stopAfter, source, err)
			}
		}
		if n != 3 {
			t.Errorf("%d packed files in each way", n)
		}
	}
}

// BenchmarkPacked measures packing texts as a site has them, beside its floor: the libraries alone.
func BenchmarkPacked(b *testing.B) {
	names, err := filepath.Glob("../../content/units/*/*.*")
	if err != nil {
		b.Fatal(err)
	}
	var some []Output
	size := 0
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			b.Fatal(err)
		}
		if Packs(name, int64(len(data))) {
			some, size = append(some, Output{name, data}), size+len(data)
		}
	}
	b.Run("publication", func(b *testing.B) {
		b.SetBytes(int64(size))
		for b.Loop() {
			for _, o := range some {
				Layout{}.compressed(0, o)
				Layout{}.compressed(1, o)
			}
		}
	})
	b.Run("floor", func(b *testing.B) {
		b.SetBytes(int64(size))
		br, gz := brotli.NewWriterLevel(nil, 5), gzip.NewWriter(nil)
		for b.Loop() {
			for _, o := range some {
				br.Reset(io.Discard)
				gz.Reset(io.Discard)
				_, _ = br.Write(o.Bytes)
				_, _ = gz.Write(o.Bytes)
				_, _ = br.Close(), gz.Close()
			}
		}
	})
}
