package publication

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"io"
	"path"
	"slices"
	"strings"
	"sync"

	"github.com/andybalholm/brotli"
)

// compressible are the endings of files that get smaller; pictures are small already.
var compressible = []string{".html", ".css", ".js", ".json", ".webmanifest", ".svg", ".xml", ".atom", ".csv", ".txt", ".toml", ".md", ".ico"}

// shortest is the size below which a file isn't worth a second one.
const shortest = 512

// packings are the ways in which a file is also written: the ending of the packed file, and
// the writers. Files that all pages share are packed as well as can be, which takes a
// hundred times as long.
var packings = []struct {
	ending string
	usual  sync.Pool
	shared func(w io.Writer) io.WriteCloser
}{
	{".br", sync.Pool{New: func() any { return brotli.NewWriterLevel(nil, 5) }},
		func(w io.Writer) io.WriteCloser { return brotli.NewWriterLevel(w, brotli.BestCompression) }},
	{".gz", sync.Pool{New: func() any { z, _ := gzip.NewWriterLevel(nil, 6); return z }},
		func(w io.Writer) io.WriteCloser { z, _ := gzip.NewWriterLevel(w, gzip.BestCompression); return z }},
}

// compressed gives the bytes of an output in a way of packing. The same bytes give the same:
// there is no time and no name in them.
func (l Layout) compressed(way int, o Output) []byte {
	var b bytes.Buffer
	if l.shared(o.Path) {
		w := packings[way].shared(&b)
		_, _ = w.Write(o.Bytes) // a buffer takes all
		_ = w.Close()
		return b.Bytes()
	}
	w := packings[way].usual.Get().(interface {
		io.WriteCloser
		Reset(io.Writer)
	})
	defer packings[way].usual.Put(w)
	w.Reset(&b)
	_, _ = w.Write(o.Bytes)
	_ = w.Close()
	return b.Bytes()
}

// Packs reports whether a file is also written packed. A host's own files aren't sent.
func Packs(name string, size int64) bool {
	return size >= shortest && slices.Contains(compressible, path.Ext(name)) && !strings.HasPrefix(name, "_")
}

// pack puts the packed files of an output beside it. same says that the folder has the
// output already, byte for byte: then the packed ones that this program wrote beside it
// are kept, for they were made of it.
func (p *Publisher) pack(o Output, same bool) error {
	if !p.Compress || !Packs(o.Path, int64(len(o.Bytes))) {
		return nil
	}
	for way := range packings {
		name := o.Path + packings[way].ending
		if same && p.unmoved(o.Path) && p.unmoved(name) && p.asWritten(name, p.written.digests(name)) {
			p.keepOne(name)
			continue
		}
		sum, _, err := p.putOne(Output{Path: name, Bytes: p.compressed(way, o)})
		if err != nil {
			return err
		}
		p.enterOne(name, sum)
	}
	return nil
}

// keepOne keeps a packed file, as the manifest has it.
func (p *Publisher) keepOne(name string) {
	p.mu.Lock()
	p.unchanged++
	p.mu.Unlock()
	p.enterOne(name, p.written.digests(name)[0])
}

func (p *Publisher) enterOne(name string, sum Digest) {
	one := RollFor([]Output{{Path: name}})
	one.Add(name, sum)
	p.Enter(one.Roll())
}

// unmoved reports whether the manifest has one digest of a file: then no run was killed
// between putting it and putting what stands beside it.
func (p *Publisher) unmoved(name string) bool { return len(p.written.digests(name)) == 1 }

// keepPacked keeps the packed files of an output that is kept, or makes them where the
// folder doesn't have them.
func (p *Publisher) keepPacked(name string, sum Digest) error {
	if !Packs(name, shortest) {
		return nil
	}
	info, err := p.lstat(name)
	if err != nil {
		return nil
	}
	names := p.packedNames(name, info.Size())
	p.mu.Lock()
	there := !p.doubt[name] && p.unmoved(name)
	p.mu.Unlock()
	for _, packed := range names {
		there = there && p.unmoved(packed) && p.Is(packed)
	}
	if there {
		for _, packed := range names {
			p.keepOne(packed)
		}
		return nil
	}
	data, err := p.ReadFile(name)
	if err != nil || DigestOf(data) != sum {
		return fmt.Errorf("%s changed while it was looked at: build again", p.Of(name))
	}
	return p.pack(Output{Path: name, Bytes: data}, true)
}

// packedNames are the packed files of an output of a size.
func (p *Publisher) packedNames(name string, size int64) (names []string) {
	if p.Compress && Packs(name, size) {
		for way := range packings {
			names = append(names, name+packings[way].ending)
		}
	}
	return names
}

// DoubtPacked notes that the packed files of outputs may not be as they were put.
func (p *Publisher) DoubtPacked(outputs Roll) {
	if !p.Compress {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	for name := range outputs.Paths() {
		p.doubt[name] = true
	}
}
