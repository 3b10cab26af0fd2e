// Command floor does the least that a build of a site can't do without, to measure a
// build against: go run ./testdata/lifetime/floor ROOT OUT
//
// It decodes every record, renders every note, and writes the bytes that a build left in
// ROOT/public once more, into the folder OUT, in the way in which a build does: each file
// with its digest, under another name first. A third argument names what is measured apart,
// and done instead: pictures decodes every picture of the content and encodes it once; cards
// decodes every card in ROOT/public and encodes it once; packed packs every file once that has
// packed ones beside it there, in both ways; library decodes every record as the TOML library
// alone does it, and ours as the floor does.
package main

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"fmt"
	"image/jpeg"
	"image/png"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"github.com/BurntSushi/toml"
	"github.com/andybalholm/brotli"
	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/extension"

	"wattsheet/generator/record"
)

// apart are what is measured by itself: what is done with a unit's folder of the content and
// of the built site.
var apart = map[string]func(content, public string){"pictures": pictures, "cards": cards, "packed": packed, "library": library, "ours": ours}

func main() {
	if len(os.Args) != 3 && (len(os.Args) != 4 || apart[os.Args[3]] == nil) {
		fmt.Fprintln(os.Stderr, "usage: floor ROOT OUT [pictures|cards|packed|library|ours]")
		os.Exit(2)
	}
	root, out := os.Args[1], os.Args[2]
	units, err := os.ReadDir(filepath.Join(root, "content", "units"))
	check(err)
	if len(os.Args) == 4 {
		each(len(units), func(i int) {
			slug := units[i].Name()
			apart[os.Args[3]](filepath.Join(root, "content", "units", slug), filepath.Join(root, "public", "units", slug))
		})
		return
	}
	notes := goldmark.New(goldmark.WithExtensions(extension.Table))
	each(len(units), func(i int) {
		folder := filepath.Join(root, "content", "units", units[i].Name())
		ours(folder, "")
		text, err := os.ReadFile(filepath.Join(folder, "notes.md"))
		check(err)
		var html bytes.Buffer
		check(notes.Convert(text, &html))
	})
	public, err := filepath.EvalSymlinks(filepath.Join(root, "public")) // which may stand elsewhere
	check(err)
	write(public, out)
}

// write writes every file of a folder into another.
func write(from, to string) {
	var names []string
	check(filepath.WalkDir(from, func(path string, e fs.DirEntry, err error) error {
		name, _ := filepath.Rel(from, path)
		if err == nil && e.IsDir() {
			return os.MkdirAll(filepath.Join(to, name), 0o755)
		}
		names = append(names, name)
		return err
	}))
	list := make([]string, len(names))
	each(len(names), func(i int) {
		data, err := os.ReadFile(filepath.Join(from, names[i]))
		check(err)
		list[i] = fmt.Sprintf("%x  %s\n", sha256.Sum256(data), names[i])
		hidden := filepath.Join(to, filepath.Dir(names[i]), "."+filepath.Base(names[i])+".new")
		check(os.WriteFile(hidden, data, 0o644))
	})
	for _, name := range names {
		check(os.Rename(filepath.Join(to, filepath.Dir(name), "."+filepath.Base(name)+".new"), filepath.Join(to, name)))
	}
	slices.Sort(list)
	var manifest bytes.Buffer
	for _, line := range list {
		manifest.WriteString(line)
	}
	check(os.WriteFile(filepath.Join(to, ".manifest"), manifest.Bytes(), 0o644))
}

// ours decodes the record of a folder.
func ours(content, _ string) {
	text, err := os.ReadFile(filepath.Join(content, "record.toml"))
	check(err)
	if _, problems := record.DecodeRecord(&record.File{Name: "record.toml", Text: text}, filepath.Base(content)); problems.Errors() {
		check(problems)
	}
}

// library decodes the record of a folder into tables of any kind, and places no mistake.
func library(content, _ string) {
	text, err := os.ReadFile(filepath.Join(content, "record.toml"))
	check(err)
	var tables map[string]any
	check(toml.Unmarshal(text, &tables))
}

// pictures decodes and encodes the pictures of a folder.
func pictures(content, _ string) {
	names, err := filepath.Glob(filepath.Join(content, "*.png"))
	check(err)
	for _, name := range names {
		data, err := os.ReadFile(name)
		check(err)
		img, err := png.Decode(bytes.NewReader(data))
		check(err)
		var out bytes.Buffer
		check(jpeg.Encode(&out, img, &jpeg.Options{Quality: 80}))
	}
}

// cards decodes and encodes a unit's card, in the way in which a card is.
func cards(_, public string) {
	data, err := os.ReadFile(filepath.Join(public, "card.png"))
	check(err)
	img, err := png.Decode(bytes.NewReader(data))
	check(err)
	check((&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(io.Discard, img))
}

// packed packs the files of a folder that have packed ones beside them.
func packed(_, public string) {
	check(filepath.WalkDir(public, func(path string, _ fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if _, err := os.Stat(path + ".gz"); err != nil {
			return nil
		}
		data, err := os.ReadFile(path)
		check(err)
		z, err := gzip.NewWriterLevel(io.Discard, 6)
		check(err)
		for _, w := range []io.WriteCloser{z, brotli.NewWriterLevel(io.Discard, 5)} {
			_, err := w.Write(data)
			check(err)
			check(w.Close())
		}
		return nil
	}))
}

// each calls work for 0 to n−1 on all processors.
func each(n int, work func(i int)) {
	var next atomic.Int64
	var group sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		group.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				work(i)
			}
		})
	}
	group.Wait()
}

func check(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, "floor:", err)
		os.Exit(1)
	}
}
