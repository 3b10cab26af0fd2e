package site

import (
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"reflect"
	"strings"

	"wattsheet/generator/capture"
	"wattsheet/generator/disk"
	"wattsheet/generator/publication"
	"wattsheet/generator/record"
)

// capturesFolder is where is kept what was read of captures, below the site's root.
const capturesFolder = ".wattsheet/cache/captures"

// What runs took from captures is kept, one file for each run and way of reading.
//
// Invariant: a file's name begins with the digest of the capture's bytes and goes on with
// that of everything else that the numbers follow from: how the table is written, columns,
// scales, the interval, the signal, and capture.Version. How well a scale is known is no
// part of it. An entry that doesn't fit its name counts as absent. What can't be kept is
// read again.

// taken gives what is kept under a key; nil where there is nothing.
func (c *pictureCache) taken(key string) *record.Taken {
	var t record.Taken
	if !c.kept(key, &t) {
		return nil
	}
	return &t
}

func (c *pictureCache) keepTaken(key string, t *record.Taken) { c.keep(key, t) }

// kept reads an entry.
func (c *pictureCache) kept(key string, into any) bool {
	if c == nil {
		return false
	}
	data, err := disk.Read(c.root, path.Join(capturesFolder, key), disk.Limit)
	if err != nil {
		return false
	}
	rest, ok := unlabelled(key, data)
	return ok && json.Unmarshal(rest, into) == nil
}

// keep writes an entry.
func (c *pictureCache) keep(key string, what any) {
	if c == nil || c.only || c.root.MkdirAll(capturesFolder, 0o755) != nil {
		return
	}
	data, err := json.Marshal(what)
	if err != nil {
		panic(err) // numbers are finite, and texts always can be written
	}
	beside := path.Join(capturesFolder, fmt.Sprintf("%s.%d-%d.new", key, os.Getpid(), cacheWrites.Add(1)))
	if c.root.WriteFile(beside, labelled(key, data), 0o644) != nil || c.root.Rename(beside, path.Join(capturesFolder, key)) != nil {
		c.root.Remove(beside)
	}
}

// clearTaken removes what was read of captures that no unit has any more.
func (c *pictureCache) clearTaken(keep map[digest]bool) {
	if c == nil || c.only {
		return
	}
	removeOthers(c.root, capturesFolder, func(name string) bool {
		of, _, _ := strings.Cut(name, "-")
		return !isEntry(of) || keep[digest(of)]
	})
}

// smallCapture is up to how many bytes a capture is read whenever it is looked at: that
// takes a few milliseconds.
const smallCapture = 4 << 20

// A seenFile is how a large file stood when its digest was computed. While all else is
// the same, its bytes are taken to be. Size and time alone don't tell: takes that are
// unpacked together have the same of both, and two of them may change names.
type seenFile struct {
	Size   int64
	Time   int64  // of the last change, in nanoseconds
	Who    string // which file of the disk it is, and when its name or rights changed; empty where the system doesn't say
	Digest digest
}

// whoIs tells a file from others of its size and time: by its number on the disk and the
// time that a copy or a rename can't set, as far as the system has them.
func whoIs(info fs.FileInfo) string {
	v := reflect.Indirect(reflect.ValueOf(info.Sys()))
	if v.Kind() != reflect.Struct {
		return ""
	}
	var who []string
	for _, name := range []string{"Ino", "Ctim", "Ctimespec"} { // of syscall.Stat_t, whose fields differ
		if f := v.FieldByName(name); f.IsValid() {
			who = append(who, fmt.Sprint(f))
		}
	}
	return strings.Join(who, " ")
}

// captureDigest is the digest of a capture's bytes. A large one is read only when it was
// changed.
func (l *loader) captureDigest(cache *pictureCache, name string) (digest, error) {
	info, err := l.root.Stat(name)
	switch {
	case err != nil:
		return "", err
	case !info.Mode().IsRegular():
		return "", disk.ErrNotRegular
	}
	large := info.Size() > smallCapture
	now := seenFile{Size: info.Size(), Time: info.ModTime().UnixNano(), Who: whoIs(info)}
	key := "seen-" + string(publication.DigestOf([]byte(name)))
	if large {
		var was seenFile
		if cache.kept(key, &was) && was.Size == now.Size && was.Time == now.Time && was.Who == now.Who && isEntry(string(was.Digest)) {
			return was.Digest, nil
		}
	}
	f, err := l.root.Open(name)
	if err != nil {
		return "", err
	}
	defer f.Close()
	if now.Digest = publication.DigestOfFile(f); now.Digest == "" {
		return "", io.ErrUnexpectedEOF
	}
	if large {
		cache.keep(key, now)
	}
	return now.Digest, nil
}

// key names the entry of what a plan takes from the file with a digest.
func (p *capturePlan) key(sum digest) string {
	return string(sum) + "-" + string(publication.DigestOf(fmt.Appendf(nil, "capture %d, trace %d, %s", capture.Version, traceVersion, p.text())))[:32]
}
