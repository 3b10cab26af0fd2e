package site

import (
	"fmt"
	"io/fs"
	"os"
	"path"
	"slices"
	"strings"

	"wattsheet/generator/disk"
	"wattsheet/generator/publication"
)

// A unit's files are read twice: when it is looked at, for their digests, and when it is
// loaded. It is torn if they changed between. What is made of it then is of the later files,
// under the digests of the earlier ones, and must not be taken for what these give: so its
// inputs, and what is remembered, get some that no look ever gives.

// tornName is the name of such an input, for people.
const tornName = "what changed while it was read"

// ownClasses are the classes of what a unit's folder has, and the folders beside it.
var ownClasses = []class{theRecord, theNotes, theSpoken, thePictures, theCaptures, theLedger, theNames, theOthers}

// tear notes that a unit is torn, until it is looked at again.
func (u *unit) tear() {
	if u.torn {
		return
	}
	u.torn = true
	in := slices.Clone(u.inputs.Own)
	for _, c := range ownClasses {
		in = append(in, Input{Class: c, Name: tornName})
	}
	in.sort()
	u.inputs.Own = in
}

// anyTorn reports whether a unit is torn, so that lists are not as the digests say either.
func (d *Draft) anyTorn() bool {
	for _, u := range d.units {
		if u.torn {
			return true
		}
	}
	return false
}

// stands is a digest of how the files of a unit's folder stand: their names, sizes and times.
func (l *loader) stands(slug string) digest {
	folder := path.Join(unitsFolder, slug)
	var b strings.Builder
	l.standsIn(&b, folder, leftBehind)
	l.standsIn(&b, path.Join(folder, sealedFolder), func(string) bool { return false })
	return publication.DigestOf([]byte(b.String()))
}

// standsIn writes down how the files of one folder stand, but for those that nothing reads. It
// is opened once, since a name from the top is a way through each folder above.
func (l *loader) standsIn(b *strings.Builder, folder string, unread func(name string) bool) {
	in, err := l.root.OpenRoot(folder)
	if err != nil {
		fmt.Fprintln(b, disk.Cause(err))
		return
	}
	defer in.Close()
	entries, err := fs.ReadDir(in.FS(), ".")
	if err != nil {
		fmt.Fprintln(b, disk.Cause(err))
	}
	for _, e := range entries {
		if unread(e.Name()) {
			continue
		}
		var info os.FileInfo
		var err error
		if e.Type()&fs.ModeSymlink != 0 { // it may lead out of this folder
			info, err = l.root.Stat(path.Join(folder, e.Name()))
		} else {
			info, err = in.Lstat(e.Name())
		}
		switch {
		case err != nil:
			fmt.Fprintf(b, "%q %v\n", e.Name(), disk.Cause(err))
		case info.Mode().IsRegular():
			fmt.Fprintf(b, "%q %d %d\n", e.Name(), info.Size(), info.ModTime().UnixNano())
		default:
			fmt.Fprintf(b, "%q\n", e.Name())
		}
	}
}
