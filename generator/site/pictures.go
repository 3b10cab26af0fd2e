package site

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"slices"
	"strconv"
	"strings"

	"wattsheet/generator/disk"
	"wattsheet/generator/picture"
	"wattsheet/generator/publication"
	"wattsheet/generator/record"
)

// A Picture is a unit's picture as pages show it, in two sizes. Paths are below
// the site's root, sizes in pixels. A picture that has no more pixels than the
// small size has one file for both.
type Picture struct {
	Small, Large            string
	SmallWidth, SmallHeight int
	Width, Height           int // of Large
}

// maxPicture is how many bytes a picture's file may have.
const maxPicture = 30 << 20

// How wide the two sizes are, in pixels: as wide as a phone shows a page at
// twice the density, and for looking closely.
const (
	smallWidth = 640
	largeWidth = 1600
)

const picturesFolder = "pictures"

// atOnce is how many pictures are decoded at the same time, for each may take
// some hundred megabytes.
const atOnce = 4

// A pictureName says which picture of which unit.
type pictureName struct{ slug, file string }

// A source is a picture's file as it was when the site was loaded. Its bytes are
// not kept.
type source struct {
	Picture
	name   string // of the file, below the content folder
	digest digest
}

// picture gives a picture of a unit by the name of its file; nil when there is
// none, which Load has reported.
func (s *Site) picture(slug, file string) *Picture {
	if from := s.pictures[pictureName{slug, file}]; from != nil {
		return &from.Picture
	}
	return nil
}

// isPicture reports whether a file may be a picture by its name.
func isPicture(name string) bool {
	switch strings.ToLower(path.Ext(name)) {
	case ".jpg", ".jpeg", ".png":
		return true
	}
	return false
}

// A pictureJob is a picture that a record names, and what was found.
type pictureJob struct {
	pictureName
	place   record.Place // of the file's name in the record
	source  *source
	problem *record.Problem
}

// loadPictures reads the pictures that the records name, so that their sizes are
// known, and leaves what was made of them in the cache.
func (l *loader) loadPictures(s *Site) record.Problems {
	var problems record.Problems
	var jobs []*pictureJob
	for _, r := range s.Content.Records {
		more, clashes := l.picturesOf(r)
		jobs = append(jobs, more...)
		problems = append(problems, clashes...)
	}
	cache := openCache(s.root, s.untouched)
	defer cache.close()
	few(len(jobs), func(i int) { l.loadPicture(cache, jobs[i]) })
	s.pictures = make(map[pictureName]*source, len(jobs))
	for _, j := range jobs {
		if j.problem != nil {
			problems = append(problems, *j.problem)
		} else {
			s.pictures[j.pictureName] = j.source
		}
	}
	return problems
}

// few calls work for 0 to n−1, a few of them at a time.
func few(n int, work func(i int)) {
	each(n, func(i int) {
		slot <- struct{}{}
		defer func() { <-slot }()
		work(i)
	})
}

// slot is taken by whoever decodes a picture.
var slot = make(chan struct{}, atOnce)

// picturesOf lists the pictures that a record names. The problems are names that
// would give one address, and files that the record doesn't name.
func (l *loader) picturesOf(r *record.Record) (jobs []*pictureJob, problems record.Problems) {
	named := map[string]bool{}
	stems := map[string]string{}
	for i := range r.Pictures {
		p := &r.Pictures[i]
		if named[p.File] || !isPicture(p.File) || !fs.ValidPath(p.File) || strings.Contains(p.File, "/") {
			continue // reported by the record's checks
		}
		named[p.File] = true
		place := p.Key("file")
		if other, clash := stems[stem(p.File)]; clash {
			problems = append(problems, place.Problem(
				fmt.Sprintf("the pictures %s and %s would have one address", other, p.File), "give one of them another name"))
			continue
		}
		stems[stem(p.File)] = p.File
		jobs = append(jobs, &pictureJob{pictureName: pictureName{r.Slug, p.File}, place: place})
	}
	for _, file := range l.pictures[r.Slug] {
		if !named[file] && !r.Unread() {
			problems = append(problems, whole(path.Join(unitsFolder, r.Slug, file), record.Warning, "no page shows this picture",
				fmt.Sprintf("add it to record.toml, in a table [[picture]] with file = %q and shows, or take it out of the folder", file)))
		}
	}
	return jobs, problems
}

// stem is what a picture's addresses begin with: its name in lower case, without
// the ending.
func stem(file string) string { return strings.ToLower(strings.TrimSuffix(file, path.Ext(file))) }

// loadPicture reads one picture and finds its sizes.
func (l *loader) loadPicture(cache *pictureCache, j *pictureJob) {
	name := path.Join(unitsFolder, j.slug, j.file)
	data, err := disk.Read(l.root, name, maxPicture)
	if err != nil {
		j.problem = l.noPicture(j, name, err)
		return
	}
	from := &source{name: name, digest: publication.DigestOf(data)}
	scaled := cache.get(from.digest)
	if scaled == nil {
		if scaled, err = scale(cache, from, data); err != nil {
			p := j.place.Problem(fmt.Sprintf("%s can't be shown: %v", j.file, err), "")
			if bad := (*picture.Error)(nil); errors.As(err, &bad) {
				p = j.place.Problem(fmt.Sprintf("%s can't be shown: %s", j.file, bad.Summary), bad.Hint)
			}
			j.problem = &p
			return
		}
	}
	from.Picture = shown(j.pictureName, scaled)
	j.source = from
}

// noPicture is the problem with a picture whose file can't be read.
func (l *loader) noPicture(j *pictureJob, name string, err error) *record.Problem {
	var p record.Problem
	switch {
	case errors.Is(err, fs.ErrNotExist):
		hint := "put the picture into " + path.Join(contentFolder, path.Dir(name)) + ", or take this [[picture]] out"
		for _, other := range l.pictures[j.slug] {
			if strings.EqualFold(other, j.file) {
				hint = "there is " + other + "; capitals count"
			}
		}
		p = j.place.Problem("there is no file "+j.file+" beside this record", hint)
	case errors.Is(err, disk.ErrTooLarge):
		p = j.place.Problem(j.file+" is too large", fmt.Sprintf("a picture may have up to %d MB; a page shows at most %d pixels of width", maxPicture>>20, largeWidth))
	default:
		u := unreadable(name, err)
		p = j.place.Problem(j.file+": "+u.Summary, u.Hint)
	}
	return &p
}

// scale makes both sizes of a picture and leaves them in the cache.
func scale(cache *pictureCache, from *source, data []byte) ([]picture.Scaled, error) {
	scaled, err := picture.Scale(data, smallWidth, largeWidth)
	if err == nil {
		cache.put(from.digest, scaled)
	}
	return scaled, err
}

// shown gives the addresses and sizes of a picture that was scaled to both
// sizes.
func shown(name pictureName, scaled []picture.Scaled) Picture {
	at := func(s picture.Scaled) string {
		return path.Join(unitsFolder, name.slug, picturesFolder, stem(name.file)+"-"+strconv.Itoa(s.Width)+"."+s.Ext)
	}
	small, large := scaled[0], scaled[1]
	if small.Width == large.Width {
		small = large
	}
	return Picture{
		Small: at(small), SmallWidth: small.Width, SmallHeight: small.Height,
		Large: at(large), Width: large.Width, Height: large.Height,
	}
}

// pictureOutputs makes the files of a unit's pictures, from the cache where they are
// in it. It is an error when a picture's file is not what it was when the site was
// loaded.
func (s *Site) pictureOutputs(slug string) ([]Output, error) {
	var sources []*source
	for name, from := range s.pictures {
		if name.slug == slug {
			sources = append(sources, from)
		}
	}
	if len(sources) == 0 {
		return nil, nil
	}
	content, err := os.OpenRoot(s.folder)
	if err != nil {
		return nil, fmt.Errorf("%s can't be opened: %w", contentFolder, disk.Cause(err))
	}
	defer content.Close()
	cache := openCache(s.root, s.untouched)
	defer cache.close()
	slices.SortFunc(sources, func(a, b *source) int { return cmp.Compare(a.name, b.name) })
	var made []Output
	for _, from := range sources {
		slot <- struct{}{}
		outputs, err := outputsFrom(content, cache, from)
		<-slot
		if err != nil {
			return nil, err
		}
		made = append(made, outputs...)
	}
	return made, nil
}

// clearPictures takes out of the cache what no picture of the site needs any more.
func (s *Site) clearPictures() {
	keep := map[digest]bool{}
	for _, from := range s.pictures {
		keep[from.digest] = true
	}
	for _, d := range s.behind.digests {
		keep[d] = true
	}
	cache := openCache(s.root, s.untouched)
	defer cache.close()
	cache.clear(keep)
	heard := map[digest]bool{}
	for _, from := range s.captures {
		heard[from.digest] = true
	}
	for _, d := range s.behind.captures {
		heard[d] = true
	}
	cache.clearTaken(heard)
}

// outputsFrom makes the files of one picture.
func outputsFrom(content *os.Root, cache *pictureCache, from *source) ([]Output, error) {
	scaled := cache.get(from.digest)
	if scaled == nil {
		data, err := disk.Read(content, from.name, maxPicture)
		if err == nil && publication.DigestOf(data) != from.digest {
			err = errors.New("it was changed meanwhile")
		}
		if err == nil {
			scaled, err = scale(cache, from, data)
		}
		if err != nil {
			return nil, fmt.Errorf("%s can't be read again: %w\nhint: build once more", path.Join(contentFolder, from.name), disk.Cause(err))
		}
	}
	outputs := []Output{{Path: from.Large, Bytes: scaled[1].Bytes}}
	if from.Small != from.Large {
		outputs = append(outputs, Output{Path: from.Small, Bytes: scaled[0].Bytes})
	}
	return outputs, nil
}
