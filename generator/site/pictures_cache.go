package site

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path"
	"runtime"
	"strings"
	"sync/atomic"

	"wattsheet/generator/disk"
	"wattsheet/generator/picture"
	"wattsheet/generator/publication"
)

// cacheFolder is where scaled pictures are kept, below the site's root.
const cacheFolder = ".wattsheet/cache/pictures"

// A pictureCache keeps the scaled pictures of earlier runs, one file for each
// picture, so that a picture is scaled once.
//
// Invariant: a file's name is the digest of everything that its bytes follow
// from: the picture's own bytes, the sizes wanted, picture.Version, and the
// release of Go, whose encoders write it. So an entry never has to be brought
// up to date; another version looks for another name. A file holds the digest of
// its name and bytes and counts as absent when it doesn't fit, whatever happened to it.
//
// The cache may be deleted at any time, also during a run, and two runs may
// use it at once. What can't be read is scaled again, and what can't be written
// is only not kept: the results are the same without it. A nil cache keeps
// nothing; one that is only read makes and removes nothing.
type pictureCache struct {
	root *os.Root
	only bool // only read
}

// openCache opens the cache below a site's root; only says that it is only read. It
// makes nothing there.
func openCache(root string, only bool) *pictureCache {
	if root == "" {
		return nil
	}
	r, err := os.OpenRoot(root)
	if err != nil {
		return nil
	}
	return &pictureCache{r, only}
}

func (c *pictureCache) close() {
	if c != nil {
		c.root.Close()
	}
}

// cacheKey names the entry of the picture that has this digest.
func cacheKey(d digest) string {
	return string(publication.DigestOf(fmt.Appendf(nil, "picture %s, %s, widths %d %d, %s", picture.Version, runtime.Version(), smallWidth, largeWidth, d)))
}

// A cacheHead describes a scaled picture in the head of an entry.
type cacheHead struct {
	Width, Height, Size int
	Ext                 string
}

// get gives both sizes of the picture that has this digest; nil when they are
// not kept.
func (c *pictureCache) get(d digest) []picture.Scaled {
	if c == nil {
		return nil
	}
	data, err := disk.Read(c.root, path.Join(cacheFolder, cacheKey(d)), 2*maxPicture)
	if err != nil {
		return nil
	}
	return parseEntry(cacheKey(d), data)
}

// put keeps both sizes of the picture that has this digest.
func (c *pictureCache) put(d digest, scaled []picture.Scaled) {
	if c == nil || c.only || c.root.MkdirAll(cacheFolder, 0o755) != nil {
		return
	}
	key := cacheKey(d)
	beside := path.Join(cacheFolder, fmt.Sprintf("%s.%d-%d.new", key, os.Getpid(), cacheWrites.Add(1)))
	if c.root.WriteFile(beside, entryOf(key, scaled), 0o644) != nil || c.root.Rename(beside, path.Join(cacheFolder, key)) != nil {
		c.root.Remove(beside)
	}
}

// cacheWrites tells apart the files that one run writes.
var cacheWrites atomic.Int64

// clear removes every entry but those of the pictures that have these digests.
func (c *pictureCache) clear(keep map[digest]bool) {
	if c == nil || c.only {
		return
	}
	keys := make(map[string]bool, len(keep))
	for d := range keep {
		keys[cacheKey(d)] = true
	}
	removeOthers(c.root, cacheFolder, func(name string) bool { return keys[name] || !isEntry(name) })
}

// isEntry reports whether a name is one that put writes to.
func isEntry(name string) bool {
	key, _, _ := strings.Cut(name, ".")
	return len(key) == len(publication.DigestOf(nil)) && strings.Trim(key, "0123456789abcdef") == ""
}

// entryOf is an entry as it is written: a line with the digest of its name and the rest, a
// line of JSON that says what follows, and the pictures' bytes.
func entryOf(key string, scaled []picture.Scaled) []byte {
	heads := make([]cacheHead, len(scaled))
	for i, s := range scaled {
		heads[i] = cacheHead{s.Width, s.Height, len(s.Bytes), s.Ext}
	}
	rest, err := json.Marshal(heads)
	if err != nil {
		panic(err) // numbers and texts always can be written
	}
	rest = append(rest, '\n')
	for _, s := range scaled {
		rest = append(rest, s.Bytes...)
	}
	return labelled(key, rest)
}

// parseEntry reads what entryOf wrote; nil when it isn't that, whole.
func parseEntry(key string, data []byte) []picture.Scaled {
	rest, ok := unlabelled(key, data)
	if !ok {
		return nil
	}
	line, body, _ := bytes.Cut(rest, []byte("\n"))
	var heads []cacheHead
	if json.Unmarshal(line, &heads) != nil || len(heads) != 2 {
		return nil
	}
	scaled := make([]picture.Scaled, len(heads))
	for i, h := range heads {
		if h.Size < 0 || h.Size > len(body) {
			return nil
		}
		scaled[i] = picture.Scaled{Bytes: body[:h.Size:h.Size], Width: h.Width, Height: h.Height, Ext: h.Ext}
		body = body[h.Size:]
	}
	return scaled
}
