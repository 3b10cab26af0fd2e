package publication

import (
	"io/fs"
	"os"
	"path"
	"strings"
)

// A descent is a way down from the published folder into one below it, with each folder
// on the way held open. Through the top alone a file four folders down takes some forty
// calls of the system, to look at it, write it and rename it; through its own folder six.
type descent struct {
	folder string     // below the top; empty for the top itself
	open   []*os.Root // the top and those on the way, the folder last
}

// root is the folder that the way leads to.
func (d *descent) root() *os.Root { return d.open[len(d.open)-1] }

// to leads the way into another folder, by what both have in common.
func (d *descent) to(folder string) error {
	for d.folder != "" && d.folder != folder && !strings.HasPrefix(folder, d.folder+"/") {
		d.up()
	}
	for d.folder != folder {
		rest := strings.TrimPrefix(strings.TrimPrefix(folder, d.folder), "/")
		name, _, _ := strings.Cut(rest, "/")
		next, err := d.root().OpenRoot(name)
		if err != nil {
			return err
		}
		d.folder, d.open = path.Join(d.folder, name), append(d.open, next)
	}
	return nil
}

// up leaves the innermost folder.
func (d *descent) up() {
	d.root().Close()
	d.open = d.open[:len(d.open)-1]
	if d.folder = path.Dir(d.folder); d.folder == "." {
		d.folder = ""
	}
}

// reach gives a way to the folder of a file, and the file's name from there; where there is
// none, that from the top, by which an error says what is wrong. Whoever takes one gives
// it back. It follows links as the top does: never out of it.
func (p *Publisher) reach(name string) (d *descent, base string) {
	folder, base := path.Split(name)
	folder = strings.TrimSuffix(folder, "/")
	d = p.idle(folder)
	if d.to(folder) != nil {
		for d.folder != "" {
			d.up()
		}
		return d, name
	}
	return d, base
}

// idle takes the way that is nearest to a folder of those that nobody uses.
func (p *Publisher) idle(folder string) *descent {
	p.ways.Lock()
	defer p.ways.Unlock()
	best, common := -1, -1
	for i, d := range p.descents {
		if n := commonBytes(d.folder, folder); n > common {
			best, common = i, n
		}
	}
	if best < 0 {
		return &descent{open: []*os.Root{p.root}}
	}
	d, last := p.descents[best], len(p.descents)-1
	p.descents[best] = p.descents[last]
	p.descents = p.descents[:last]
	return d
}

// commonBytes is how many bytes two texts begin with alike.
func commonBytes(a, b string) (n int) {
	for n < len(a) && n < len(b) && a[n] == b[n] {
		n++
	}
	return n
}

// back gives a way back.
func (p *Publisher) back(d *descent) {
	p.ways.Lock()
	defer p.ways.Unlock()
	p.descents = append(p.descents, d)
}

// Leave lets go of the folders that are held open, but for the top.
func (p *Publisher) Leave() {
	p.ways.Lock()
	defer p.ways.Unlock()
	for _, d := range p.descents {
		for d.folder != "" {
			d.up()
		}
	}
	p.descents = nil
}

// Close lets go of all folders.
func (p *Publisher) Close() {
	p.Leave()
	p.root.Close()
}

func (p *Publisher) lstat(name string) (fs.FileInfo, error) {
	d, base := p.reach(name)
	defer p.back(d)
	return d.root().Lstat(base)
}

// ReadFile reads a file of the folder.
func (p *Publisher) ReadFile(name string) ([]byte, error) {
	d, base := p.reach(name)
	defer p.back(d)
	return d.root().ReadFile(base)
}

func (p *Publisher) mkdir(name string) error {
	d, base := p.reach(name)
	defer p.back(d)
	return d.root().Mkdir(base, 0o755)
}

// Move renames a file, as a rule within its folder.
func (p *Publisher) Move(from, to string) error {
	if path.Dir(from) != path.Dir(to) {
		return p.root.Rename(from, to)
	}
	d, base := p.reach(from)
	defer p.back(d)
	if base == from { // from the top
		return d.root().Rename(from, to)
	}
	return d.root().Rename(base, path.Base(to))
}
