package site

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"slices"
	"sync"

	"wattsheet/generator/disk"
	"wattsheet/generator/publication"
	"wattsheet/generator/record"
)

// memoryFolder is where is kept what was made of each unit, below the site's root.
const memoryFolder = ".wattsheet/cache/units"

// listsName is the entry of what the site has once; no unit can have that name.
const listsName = "_lists"

// An entry is what was made of a unit, or of the site's lists: of which inputs, and
// what came of them.
//
// Invariant: what an entry says of a kind holds as long as the inputs of the kind's
// classes are what they were ([madeFrom]); the program that made it is one of them. The
// brief and the problems hold as long as those of [lookedAt] are. Bytes of outputs are
// not kept, only their digests: they stand in the published folder, or are made again.
type entry struct {
	Inputs  basis
	Outline outline
	// Looked says that Said and Problems are known.
	Looked   bool
	Said     packed             `json:",omitempty"` // a [saying]
	saying   *saying            // the same unpacked, once that was asked for
	Problems [][]byte           // warnings; see record.Problem.Keep
	Kinds    map[kind]*madeKind // of lists by the key of the group
}

// A madeKind is what was made of one kind, or of one group of a list.
type madeKind struct {
	// From are what a group of a list was made from, beside the entry's inputs, and all that a
	// card was.
	From     inputs   `json:",omitempty"`
	Problems [][]byte `json:",omitempty"`
	Outputs  publication.Roll
}

// fresh reports whether what is known of a kind holds for the inputs as they are now.
func (e *entry) fresh(k kind, now basis) bool {
	return e != nil && e.Kinds[k] != nil && e.Inputs.same(now, madeFrom[k])
}

// by reports whether a program made the entry. What another one remembered counts for
// nothing, the outline of a record included.
func (e *entry) by(program digest) bool {
	return e != nil && e.Inputs.has(Input{theProgram, programName, program})
}

// known reports whether the brief and the problems hold for the inputs as they are now.
func (e *entry) known(now basis) bool {
	return e != nil && e.Looked && e.Inputs.same(now, lookedAt)
}

// freshGroup is fresh for a group of a list.
func (e *entry) freshGroup(g *group, now basis) bool {
	if e == nil || e.Kinds[g.key()] == nil {
		return false
	}
	return slices.Equal(e.Kinds[g.key()].From, g.from) && e.Inputs.same(now, madeFrom[g.kind])
}

// keep writes problems as an entry has them.
func keep(problems record.Problems) (out [][]byte) {
	for _, p := range problems {
		out = append(out, p.Keep())
	}
	return out
}

// kept reads the problems of an entry.
func kept(data [][]byte) (out record.Problems) {
	for _, d := range data {
		if p, err := record.Kept(d); err == nil {
			out = append(out, p)
		}
	}
	return out
}

// A memory keeps entries between runs, one file each. It may be deleted at any time; a
// file holds the digest of its name and bytes and counts as absent when it doesn't fit. What can't be
// written is only not kept. A nil memory keeps nothing.
type memory struct {
	root *os.Root
	only bool // only read

	mu      sync.Mutex
	commons map[digest]inputs // what units share, by its digest, as far as it was read or kept
}

func openMemory(root string, only bool) *memory {
	r, err := os.OpenRoot(root)
	if err != nil {
		return nil
	}
	return &memory{root: r, only: only, commons: map[digest]inputs{}}
}

func (m *memory) close() {
	if m != nil {
		m.root.Close()
	}
}

// get gives an entry; nil where there is none.
func (m *memory) get(name string) *entry {
	var e entry
	if m == nil || !m.load(path.Join(memoryFolder, name), &e) || !m.fill(&e.Inputs) {
		return nil
	}
	return &e
}

// commonBegin begins the names of the files that have what units share; no unit can have such a name.
const commonBegin = "_common-"

// fill fills in what a basis shares with others; false where that isn't known any more.
func (m *memory) fill(b *basis) bool {
	if b.Common == "" {
		return true
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	var in inputs
	if m.commons[b.Common] == nil && m.load(path.Join(memoryFolder, commonBegin+string(b.Common)), &in) && sharing(in).Common == b.Common {
		m.commons[b.Common] = in
	}
	b.common = m.commons[b.Common]
	return b.common != nil
}

// keepCommon keeps what a basis shares with others, once.
func (m *memory) keepCommon(b basis) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if b.Common != "" && m.commons[b.Common] == nil {
		m.commons[b.Common] = b.common
		m.save(path.Join(memoryFolder, commonBegin+string(b.Common)), b.common)
	}
}

// put keeps an entry.
func (m *memory) put(name string, e *entry) {
	if m != nil {
		m.keepCommon(e.Inputs)
		m.save(path.Join(memoryFolder, name), e.packed())
	}
}

// load reads what save wrote into a value; false where it isn't that, whole.
func (m *memory) load(name string, into any) bool {
	data, err := disk.Read(m.root, name, disk.Limit)
	if err != nil {
		return false
	}
	rest, ok := unlabelled(name, data)
	return ok && json.Unmarshal(rest, into) == nil
}

// labelled puts a line before bytes with the digest of them and the name that they are kept
// under; a file that was copied to another name is then no better than a torn one.
func labelled(name string, data []byte) []byte {
	return append([]byte(string(labelOf(name, data))+"\n"), data...)
}

// unlabelled gives what labelled was given under the same name; ok is false where it isn't
// that, whole.
func unlabelled(name string, data []byte) (rest []byte, ok bool) {
	sum, rest, _ := bytes.Cut(data, []byte("\n"))
	return rest, digest(sum) == labelOf(name, rest)
}

func labelOf(name string, data []byte) digest {
	h := sha256.New()
	io.WriteString(h, name+"\n")
	h.Write(data)
	return publication.DigestIn(h)
}

// save writes a value as JSON behind its digest, whole.
func (m *memory) save(name string, value any) {
	if m.only || m.root.MkdirAll(path.Dir(name), 0o755) != nil {
		return
	}
	data, err := json.Marshal(value)
	if err != nil {
		panic(err) // texts and numbers always can be written
	}
	m.write(name, labelled(name, data))
}

// write writes a file, whole.
func (m *memory) write(name string, data []byte) {
	beside := fmt.Sprintf("%s.%d-%d.new", name, os.Getpid(), cacheWrites.Add(1))
	if m.root.WriteFile(beside, data, 0o644) != nil || m.root.Rename(beside, name) != nil {
		m.root.Remove(beside)
	}
}

// clear removes the entries of units that there aren't any more, what units shared once, and
// what a run that was killed has left.
func (m *memory) clear(units map[string]*unit) {
	if m == nil || m.only {
		return
	}
	stay := map[string]bool{listsName: true, tablesName: true}
	for slug, u := range units {
		stay[slug], stay[commonBegin+string(u.inputs.Common)] = true, true
	}
	removeOthers(m.root, memoryFolder, func(name string) bool { return stay[name] })
}

// removeOthers removes a folder's files but those that stay.
func removeOthers(root *os.Root, folder string, stays func(name string) bool) {
	entries, err := fs.ReadDir(root.FS(), folder)
	if err != nil {
		return // there is none, or nothing can be removed
	}
	for _, e := range entries {
		if e.Type().IsRegular() && !stays(e.Name()) {
			root.Remove(path.Join(folder, e.Name()))
		}
	}
}

// programDigest tells this program from any other; empty where it can't be read, and
// then nothing may be kept. It is read once: what runs stays what it is.
var programDigest = sync.OnceValue(func() digest {
	name, err := os.Executable()
	if err != nil {
		return ""
	}
	f, err := os.Open(name)
	if err != nil {
		return ""
	}
	defer f.Close()
	return publication.DigestOfFile(f)
})
