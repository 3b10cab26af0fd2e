package site

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"
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

// Publish makes a folder hold the outputs, and makes the folder where there is
// none. It writes only files whose bytes differ, each whole: it is written
// beside its place under a hidden name and put there by a rename. It removes
// files that it wrote earlier and that are no outputs now, unless somebody
// changed them since, and folders which that leaves empty.
//
// A file that the tool didn't write is never overwritten or removed. Nothing is
// written through a symbolic link below the folder. The folder may not be,
// contain, or lie inside the site's content, nor hold another site. Two runs don't
// write to one folder at once: the second is an error.
//
// An error's text is one for people. Until all changed files are written under
// their hidden names the folder stays as it was, so a full disk or a missing
// permission leaves the old site whole. A run that was killed is completed by
// the next.
func (s *Site) Publish(dir string, outputs []Output) (Summary, error) {
	p, err := openPublisher(s.folder, dir)
	if err != nil {
		return Summary{}, err
	}
	p.owner = s.owner()
	defer p.close()
	return p.publish(outputs)
}

// openPublisher prepares the publication into a folder, for the site of a content
// folder. Who is given one closes it.
func openPublisher(content, dir string) (*publisher, error) {
	if err := apart(content, dir); err != nil {
		return nil, err
	}
	var above []string // that have to be made, inner ones first
	for at := filepath.Clean(dir); ; at = filepath.Dir(at) {
		if _, err := os.Lstat(at); !errors.Is(err, fs.ErrNotExist) || at == filepath.Dir(at) {
			break
		}
		above = append(above, at)
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, fmt.Errorf("the folder %s can't be made: %w\nhint: choose another folder with --out", filepath.ToSlash(dir), cause(err))
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, fmt.Errorf("the folder %s can't be opened: %w", filepath.ToSlash(dir), cause(err))
	}
	p := newPublisher(root, dir)
	p.above = above
	return p, nil
}

// A publisher writes outputs into one folder: begin, then put or keep for each
// output, by any number of goroutines, then finish or abandon. It reaches the disk
// through root only, which no symbolic link leads out of.
//
// Invariant: whatever it has put into the folder is named, with its digest, in the
// folder's manifest or its journal, before it is there. So a run that was killed
// leaves nothing that the next one doesn't know.
type publisher struct {
	root *os.Root
	name string // the folder, for messages
	// write makes a new file, rename puts it in its place, unlink removes it. Tests make them fail.
	write  func(name string, data io.WriterTo) error
	rename func(from, to string) error
	unlink func(name string) error

	// compress says that files are also written packed.
	compress bool
	doubt    map[string]bool // outputs whose packed files have to be read to be known

	owner   *owner   // the site that is written; nil for one that says nothing of itself
	stated  mark     // of the site that the folder has
	written manifest // what earlier runs wrote, by manifest and journal
	listed  string   // the manifest as it was read, with its mark

	mu        sync.Mutex
	journal   *journal
	entered   []roll          // the site's outputs so far
	now       manifest        // all of them, once they are
	staging   map[string]bool // what is written under hidden names and not entered yet
	staged    []roll          // what is, and entered
	unchanged int
	stands    map[string]stand    // how files stood when their bytes were known, by their names or hidden names
	folders   map[string]standing // of those that were looked at or made
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

func newPublisher(root *os.Root, dir string) *publisher {
	p := &publisher{root: root, name: filepath.ToSlash(dir), folders: map[string]standing{}, staging: map[string]bool{}, doubt: map[string]bool{}, stands: map[string]stand{}}
	p.write, p.rename, p.unlink = p.create, p.move, p.root.Remove
	return p
}

// publish makes the folder hold outputs that are all at hand.
func (p *publisher) publish(outputs []Output) (Summary, error) {
	outputs = slices.SortedStableFunc(slices.Values(outputs), func(a, b Output) int { return cmp.Compare(a.Path, b.Path) })
	if err := publishable(outputs); err != nil { // in whatever order they would be put
		p.unmake()
		return Summary{}, err
	}
	if err := p.begin(); err != nil {
		return Summary{}, err
	}
	errs, sums := make([]error, len(outputs)), make([]digest, len(outputs))
	each(len(outputs), func(i int) { sums[i], errs[i] = p.put(outputs[i]) })
	if err := cmp.Or(errs...); err != nil {
		p.abandon()
		return Summary{}, err
	}
	made := rollFor(outputs)
	for i, o := range outputs {
		made.add(o.Path, sums[i])
	}
	p.enter(made.roll())
	return p.finish()
}

// begin takes the folder for this run, and finds out what earlier ones wrote.
func (p *publisher) begin() (err error) {
	var left manifest
	if p.journal, left, err = p.openJournal(); err != nil {
		p.unmake()
		return err
	}
	if p.written, err = p.readManifest(); err == nil {
		p.written.add(left)
		if err = p.checkOwner(); err == nil {
			err = p.journal.say(p.markLine())
		}
	}
	if err != nil {
		p.abandon()
		return err
	}
	p.root.Remove(hidden(manifestName))
	for path := range left {
		p.root.Remove(hidden(path))
	}
	return nil
}

// put takes an output, with what is packed of it, and gives its digest: where the folder
// doesn't have it byte for byte, it is written under its hidden name. Whatever stands in
// its way is an error. Who puts outputs enters them as well.
func (p *publisher) put(o Output) (digest, error) {
	sum, same, err := p.putOne(o)
	if err == nil {
		err = p.pack(o, same)
	}
	return sum, err
}

// putOne is put for one file. same says that the folder has it already.
func (p *publisher) putOne(o Output) (sum digest, same bool, err error) {
	sum = digestOf(o.Bytes)
	if err := plain(o.Path); err != nil {
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
		return sum, false, fmt.Errorf("%s can't be written: %w\nhint: what stood in %s still stands there, unchanged", p.of(o.Path), cause(err), p.name)
	}
	return sum, false, nil
}

// keep takes outputs that the folder has already, as the caller knows.
func (p *publisher) keep(outputs roll) error {
	p.enter(outputs)
	p.mu.Lock()
	p.unchanged += outputs.count()
	p.mu.Unlock()
	if !p.compress {
		return nil
	}
	for path, sum := range outputs.all() {
		if err := p.keepPacked(path, sum); err != nil {
			return err
		}
	}
	return nil
}

// enter notes outputs of the site.
func (p *publisher) enter(outputs roll) {
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
	for path := range outputs.paths() {
		if p.staging[path] {
			n++
		}
	}
	switch n {
	case 0:
		return
	case outputs.count():
		p.staged = append(p.staged, outputs) // the same text
	default:
		var staged rolling
		for path, sum := range outputs.all() {
			if p.staging[path] {
				staged.add(path, sum)
			}
		}
		p.staged = append(p.staged, staged.roll())
	}
	for path := range outputs.paths() {
		delete(p.staging, path)
	}
}

// stage writes an output under its hidden name.
func (p *publisher) stage(o Output, sum digest) error {
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
	return p.write(hidden(o.Path), bytes.NewReader(o.Bytes))
}

// makeFolders makes the folders above a path.
func (p *publisher) makeFolders(at string) error {
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

// finish puts what was written in its place, removes what the site no longer has, and
// writes the manifest.
func (p *publisher) finish() (Summary, error) {
	var text string
	var err error
	if p.now, text, err = manifestOf(p.entered); err == nil {
		err = errors.Join(unclashing(p.now), p.checkTakenBack(), p.unmovedItself())
	}
	if err != nil {
		p.abandon()
		return Summary{}, err
	}
	// What pages share comes first, so that no page names a file which isn't there.
	shared := func(path string) int {
		if strings.HasPrefix(path, assetsFolder+"/") {
			return 0
		}
		return 1
	}
	staged := p.allStaged()
	slices.SortFunc(staged, func(a, b string) int { return cmp.Or(cmp.Compare(shared(a), shared(b)), cmp.Compare(a, b)) })
	for _, path := range staged {
		if err := p.replaceable(path); err != nil {
			p.abandon()
			return Summary{}, err
		}
	}
	for _, path := range staged {
		if err := p.rename(hidden(path), path); err != nil {
			p.journal.leave()
			return Summary{}, fmt.Errorf("%s can't be put in its place: %w\nhint: a part of the site is new; build again to complete it", p.of(path), cause(err))
		}
	}
	p.leave() // some systems remove no folder that is open
	sum := Summary{Written: len(staged), Unchanged: p.unchanged}
	stuck := p.removeStale(&sum)
	if stuck != nil || len(sum.Kept) > 0 { // what is still there stays in the manifest
		text = p.now.text()
	}
	text = p.markLine() + text
	if text != p.listed {
		if err := p.writeManifest(text); err != nil {
			p.journal.leave()
			return sum, err
		}
	}
	return sum, cmp.Or(p.journal.end(), stuck, p.unmovedItself())
}

// unmovedItself refuses a folder that another took the place of, or that is gone: what is written then isn't where
// it is told to be.
func (p *publisher) unmovedItself() error {
	opened, err := p.root.Stat(".")
	if err != nil {
		return fmt.Errorf("%s can't be looked at: %w\n%s", p.name, cause(err), readHint)
	}
	if there, err := os.Stat(filepath.FromSlash(p.name)); err != nil || !os.SameFile(opened, there) {
		return fmt.Errorf("%s was moved or deleted while the site was made\nhint: leave it where it is until that is done, and build again", p.name)
	}
	return nil
}

// allStaged are the paths of what is written under hidden names.
func (p *publisher) allStaged() []string {
	n := len(p.staging)
	for _, r := range p.staged {
		n += r.count()
	}
	if n == len(p.now) && len(p.staging) == 0 {
		return slices.Collect(maps.Keys(p.now)) // all is new
	}
	paths := append(make([]string, 0, n), slices.Collect(maps.Keys(p.staging))...)
	for _, r := range p.staged {
		for path := range r.paths() {
			paths = append(paths, path)
		}
	}
	return paths
}

// abandon undoes all that was done since begin: nothing of it was in its place yet.
func (p *publisher) abandon() {
	p.leave()
	for _, path := range p.allStaged() {
		p.root.Remove(hidden(path))
	}
	for _, folder := range p.made {
		p.removeEmpty(folder)
	}
	p.journal.abandon()
	p.unmake()
}

// unmake removes the folder and those above it, as far as this run made them and nothing
// is in them.
func (p *publisher) unmake() {
	for _, folder := range p.above {
		os.Remove(folder)
	}
}

// forget lets go of what is known of the folders of some outputs that nothing else will be put
// into, but for the two above all: of ten thousand units there are some hundred thousand.
func (p *publisher) forget(outputs roll) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for name := range outputs.paths() {
		for folder := range parents(name) {
			if strings.Count(folder, "/") > 1 {
				delete(p.folders, folder)
			}
		}
	}
}

// removeEmpty removes a folder that this run made, with those in it, as far as nothing is in them.
func (p *publisher) removeEmpty(folder string) {
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

// staleOf lists what was written once and is no output now, sorted.
func staleOf(written, now manifest) []string {
	var stale []string
	for _, path := range slices.Sorted(maps.Keys(written)) {
		if _, kept := now[path]; !kept {
			stale = append(stale, path)
		}
	}
	return stale
}

// asWritten reports whether a file has one of these digests.
func (p *publisher) asWritten(name string, digests []digest) bool {
	info, err := p.lstat(name)
	if err != nil || !info.Mode().IsRegular() {
		return false
	}
	data, err := p.readFile(name)
	if err != nil || !slices.Contains(digests, digestOf(data)) {
		return false
	}
	p.stood(name, info)
	return true
}

// hidden is the name under which a file is written before it is put in its
// place.
func hidden(name string) string {
	folder, base := path.Split(name)
	return folder + "." + base + ".new"
}

// create makes a new file with these bytes. It doesn't wait until they are on
// the disk: after a power cut the next run compares and writes again.
func (p *publisher) create(name string, data io.WriterTo) error {
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

// of is a path below the folder, for messages.
func (p *publisher) of(name string) string { return path.Join(p.name, name) }
