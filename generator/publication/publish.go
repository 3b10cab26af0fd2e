// Package publication puts the outputs of a site into a folder: each file whole, nothing that
// somebody else wrote touched, and after a run that was killed or a disk that is full complete
// by the next. It knows what it wrote by a manifest in the folder, and by a journal while it
// writes. It knows nothing of what outputs say.
package publication

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"iter"
	"os"
	"path"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"

	"wattsheet/generator/disk"
)

// A Summary says what Publish did.
type Summary struct {
	Written   int // files that were new or had other bytes
	Unchanged int // files that were there already, byte for byte
	Removed   int // files that the tool wrote once and that the site no longer has
	// Kept lists the files that the tool wrote once and that the site no longer
	// has, but that were changed since by somebody else. They are still there.
	Kept []string
}

// A Layout is what has to be known of the site whose outputs are put into a folder.
type Layout struct {
	Assets string // the folder of what pages share, which is put in its place first, and packed as well as can be
	Units  string // the folder in which each unit has its own
	Ledger string // the name of the file there that is never taken back
}

// shared reports whether pages share an output.
func (l Layout) shared(path string) bool { return strings.HasPrefix(path, l.Assets+"/") }

// Open prepares the publication into a folder, and makes the folder where there is none. Who is given one
// closes it.
func Open(dir string, l Layout) (*Publisher, error) {
	var above []string // that have to be made, inner ones first
	for at := filepath.Clean(dir); ; at = filepath.Dir(at) {
		if _, err := os.Lstat(at); !errors.Is(err, fs.ErrNotExist) || at == filepath.Dir(at) {
			break
		}
		above = append(above, at)
	}
	if err := inTheWay(dir); err != nil {
		return nil, err
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, fmt.Errorf("the folder %s can't be made: %w\nhint: choose another folder with --out", filepath.ToSlash(dir), disk.Cause(err))
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, fmt.Errorf("the folder %s can't be opened: %w", filepath.ToSlash(dir), disk.Cause(err))
	}
	p := New(root, dir)
	p.Layout, p.above = l, above
	return p, nil
}

// inTheWay finds what stands where the folder is to be, or one above it: to make them is refused then, for a reason that
// hides it.
func inTheWay(dir string) error {
	for at := filepath.Clean(dir); ; at = filepath.Dir(at) {
		info, err := os.Lstat(at)
		if err == nil && info.Mode()&fs.ModeSymlink != 0 {
			if to, gone := os.Stat(at); gone == nil {
				info = to
			} else if errors.Is(gone, fs.ErrNotExist) {
				return fmt.Errorf("the folder %s can't be made: %s is a symbolic link that leads nowhere\nhint: take it away, or make the folder that it leads to",
					filepath.ToSlash(dir), filepath.ToSlash(at))
			} else {
				return nil // the system says what is wrong
			}
		}
		switch {
		case err == nil && !info.IsDir():
			return fmt.Errorf("the folder %s can't be made: %s is %s\nhint: move it away, or choose another folder with --out", filepath.ToSlash(dir), filepath.ToSlash(at), whatIs(info))
		case err == nil, at == filepath.Dir(at):
			return nil
		}
	}
}

// A Publisher makes a folder hold outputs: Begin, then Put or Keep for each
// output and Enter for each roll of them, by any number of goroutines, then Finish or Abandon. It writes only files whose
// bytes differ, each whole: under a hidden name beside its place, and put there by a
// rename. It removes files that it wrote earlier and that are no outputs now, unless
// somebody changed them since, and folders which that leaves empty.
//
// A file that the tool didn't write is never overwritten or removed, and no folder taken
// that has another site. Nothing is written through a symbolic link below the folder: it
// reaches the disk through root only. Two runs don't write to one folder at once: the
// second is an error.
//
// An error's text is one for people. Until all changed files are written under their
// hidden names the folder stays as it was, so a full disk or a missing permission leaves
// the old site whole. A run that was killed is completed by the next.
//
// Invariant: whatever it has put into the folder is named, with its digest, in the
// folder's manifest or its journal, before it is there. So a run that was killed
// leaves nothing that the next one doesn't know.
type Publisher struct {
	root *os.Root
	Name string // the folder, for messages
	Layout
	// write makes a new file, rename puts it in its place, unlink removes it. Tests make them fail, and
	// have others own a file.
	write  func(name string, data io.WriterTo) error
	rename func(from, to string) error
	unlink func(name string) error
	others func(fs.FileInfo) bool

	// Compress says that files are also written packed.
	Compress bool
	doubt    map[string]bool // outputs whose packed files have to be read to be known

	Owner   *Owner   // the site that is written; nil for one that says nothing of itself
	stated  Mark     // of the site that the folder has
	written manifest // what earlier runs wrote, by manifest and journal
	listed  string   // the manifest as it was read, with its mark

	mu        sync.Mutex
	journal   *journal
	entered   []Roll          // the site's outputs so far
	now       manifest        // all of them, once they are
	staging   map[string]bool // what is written under hidden names and not entered yet
	staged    []Roll          // what is, and entered
	unchanged int
	stands    map[string]stand    // how files stood when their bytes were known, by their names or hidden names
	folders   map[string]standing // of those that were looked at or made
	blocked   error               // what stands in a folder's place, once that was found
	made      []string            // folders that this run made in others that stood there
	above     []string            // the folder itself and those above it, if this run made them; inner ones first

	ways     sync.Mutex
	descents []*descent // that nobody uses
}

// A standing is what is known of a folder below the published one.
type standing int

const (
	absent standing = iota + 1
	there           // before this run
	ours            // made by this run: nothing is in it but what this run writes
)

// New is a publication into a folder that is open; errors call it dir.
func New(root *os.Root, dir string) *Publisher {
	p := &Publisher{root: root, Name: filepath.ToSlash(dir), folders: map[string]standing{}, staging: map[string]bool{}, doubt: map[string]bool{}, stands: map[string]stand{}}
	p.write, p.rename, p.unlink, p.others = p.Create, p.Move, p.root.Remove, others
	return p
}

// Publish makes the folder hold outputs that are all at hand.
func (p *Publisher) Publish(outputs []Output) (Summary, error) {
	outputs = slices.SortedStableFunc(slices.Values(outputs), func(a, b Output) int { return cmp.Compare(a.Path, b.Path) })
	if err := Publishable(outputs); err != nil { // in whatever order they would be put
		p.unmake()
		return Summary{}, err
	}
	if err := p.Begin(); err != nil {
		return Summary{}, err
	}
	errs, sums := make([]error, len(outputs)), make([]Digest, len(outputs))
	var all sync.WaitGroup
	at := make(chan struct{}, runtime.GOMAXPROCS(0)) // so many at once
	for i := range outputs {
		at <- struct{}{}
		all.Go(func() {
			sums[i], errs[i] = p.Put(outputs[i])
			<-at
		})
	}
	all.Wait()
	if err := cmp.Or(errs...); err != nil {
		p.Abandon()
		return Summary{}, err
	}
	made := RollFor(outputs)
	for i, o := range outputs {
		made.Add(o.Path, sums[i])
	}
	p.Enter(made.Roll())
	return p.Finish()
}

// Begin takes the folder for this run, and finds out what earlier ones wrote.
func (p *Publisher) Begin() (err error) {
	var left manifest
	if p.journal, left, err = p.openJournal(); err != nil {
		p.unmake()
		return err
	}
	if p.written, err = p.readManifest(); err == nil {
		p.written = p.written.Add(left)
		if err = p.checkOwner(); err == nil {
			err = p.journal.say(p.MarkLine())
		}
	}
	if err != nil {
		p.Abandon()
		return err
	}
	p.root.Remove(Hidden(ManifestName))
	for path := range left.Paths() {
		p.root.Remove(Hidden(path))
	}
	return nil
}

// Put takes an output, with what is packed of it, and gives its digest: where the folder
// doesn't have it byte for byte, it is written under its hidden name. Whatever stands in
// its way is an error. Who puts outputs enters them as well.
func (p *Publisher) Put(o Output) (Digest, error) {
	sum, same, err := p.putOne(o)
	if err == nil {
		err = p.pack(o, same)
	}
	return sum, err
}

// putOne is put for one file. same says that the folder has it already.
func (p *Publisher) putOne(o Output) (sum Digest, same bool, err error) {
	sum = DigestOf(o.Bytes)
	if err := Plain(o.Path); err != nil {
		return sum, false, err
	}
	if err := p.checkFolders(o.Path); err != nil {
		return sum, false, err
	}
	if err := p.checkLedger(o); err != nil {
		return sum, false, err
	}
	differs, err := p.differs(o)
	switch {
	case err != nil:
		return sum, false, err
	case !differs:
		p.mu.Lock()
		p.unchanged++
		p.mu.Unlock()
		return sum, true, nil
	}
	if err := p.stage(o, sum); err != nil {
		return sum, false, fmt.Errorf("%s can't be written: %w\nhint: what stood in %s still stands there, unchanged", p.Of(o.Path), disk.Cause(err), p.Name)
	}
	return sum, false, nil
}

// Keep takes outputs that the folder has already, as the caller knows.
func (p *Publisher) Keep(outputs Roll) error {
	p.Enter(outputs)
	p.mu.Lock()
	p.unchanged += outputs.Count()
	p.mu.Unlock()
	if !p.Compress {
		return nil
	}
	for path, sum := range outputs.All() {
		if err := p.keepPacked(path, sum); err != nil {
			return err
		}
	}
	return nil
}

// Enter notes outputs of the site.
func (p *Publisher) Enter(outputs Roll) {
	if outputs == "" {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.entered = append(p.entered, outputs)
	if len(p.staging) == 0 {
		return
	}
	n := 0
	for path := range outputs.Paths() {
		if p.staging[path] {
			n++
		}
	}
	switch n {
	case 0:
		return
	case outputs.Count():
		p.staged = append(p.staged, outputs) // the same text
	default:
		var staged Rolling
		for path, sum := range outputs.All() {
			if p.staging[path] {
				staged.Add(path, sum)
			}
		}
		p.staged = append(p.staged, staged.Roll())
	}
	for path := range outputs.Paths() {
		delete(p.staging, path)
	}
}

// stage writes an output under its hidden name.
func (p *Publisher) stage(o Output, sum Digest) error {
	p.mu.Lock()
	err := p.journal.note(o.Path, sum)
	if err == nil {
		p.staging[o.Path] = true
		err = p.makeFolders(o.Path)
	}
	p.mu.Unlock()
	if err != nil {
		return err
	}
	return p.write(Hidden(o.Path), bytes.NewReader(o.Bytes))
}

// makeFolders makes the folders above a path.
func (p *Publisher) makeFolders(at string) error {
	for _, folder := range slices.Backward(slices.Collect(parents(at))) {
		if p.folders[folder] >= there {
			continue
		}
		switch err := p.mkdir(folder); {
		case err == nil:
			folder = strings.Clone(folder) // a part of the path
			if p.folders[path.Dir(folder)] != ours {
				p.made = append(p.made, folder)
			}
			p.folders[folder] = ours
		case errors.Is(err, fs.ErrExist):
			p.folders[folder] = there
		default:
			return err
		}
	}
	return nil
}

// Forget lets go of what is known of the folders of some outputs that nothing else will be put
// into, but for the two above all: of ten thousand units there are some hundred thousand.
func (p *Publisher) Forget(outputs Roll) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for name := range outputs.Paths() {
		for folder := range parents(name) {
			if strings.Count(folder, "/") > 1 {
				delete(p.folders, folder)
			}
		}
	}
}

// removeEmpty removes a folder that this run made, with those in it, as far as nothing is in them.
func (p *Publisher) removeEmpty(folder string) {
	all := []string{}
	_ = fs.WalkDir(p.root.FS(), folder, func(name string, entry fs.DirEntry, err error) error {
		if err == nil && entry.IsDir() {
			all = append(all, name)
		}
		return nil
	})
	for _, name := range slices.Backward(all) {
		p.root.Remove(name)
	}
}

// staleOf gives what was written once and is no output now, sorted.
func staleOf(written, now manifest) iter.Seq[string] {
	return func(yield func(string) bool) {
		i := 0
		for path := range written.Paths() {
			for i < now.size() && now.path(i) < path {
				i++
			}
			if (i == now.size() || now.path(i) != path) && !yield(path) {
				return
			}
		}
	}
}

// asWritten reports whether a file has one of these digests.
func (p *Publisher) asWritten(name string, digests []Digest) bool {
	info, err := p.lstat(name)
	if err != nil || !info.Mode().IsRegular() {
		return false
	}
	data, err := p.ReadFile(name)
	if err != nil || !slices.Contains(digests, DigestOf(data)) {
		return false
	}
	p.stood(name, info)
	return true
}

// Hidden is the name under which a file is written before it is put in its
// place.
func Hidden(name string) string {
	folder, base := path.Split(name)
	return folder + "." + base + ".new"
}

// Create makes a new file with these bytes. It doesn't wait until they are on
// the disk: after a power cut the next run compares and writes again.
func (p *Publisher) Create(name string, data io.WriterTo) error {
	d, base := p.reach(name)
	defer p.back(d)
	f, err := d.root().OpenFile(base, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, fs.ErrExist) { // a killed run has left it
		if err = d.root().Remove(base); err == nil {
			f, err = d.root().OpenFile(base, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
		}
	}
	if err != nil {
		return err
	}
	_, err = data.WriteTo(f)
	if info, unknown := f.Stat(); unknown == nil {
		p.stood(name, info)
	}
	return cmp.Or(err, f.Close())
}

// Of is a path below the folder, for messages.
func (p *Publisher) Of(name string) string { return path.Join(p.Name, name) }
