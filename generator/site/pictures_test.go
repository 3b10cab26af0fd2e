package site

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"wattsheet/generator/record"
)

const tinyUnit = "content/units/ottersprocket-20/"

// slope is a picture in which every column differs.
func slope(w, h int) image.Image {
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			m.SetRGBA(x, y, color.RGBA{uint8(x), uint8(x >> 3), uint8(y), 255})
		}
	}
	return m
}

func jpegText(t *testing.T, w, h int) string {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, slope(w, h), nil); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func pngText(t *testing.T, m image.Image) string {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// pictured is the tiny site with a record that shows all these pictures.
func pictured(t *testing.T, pictures map[string]string) string {
	t.Helper()
	return showing(t, slices.Sorted(maps.Keys(pictures)), pictures)
}

// showing is the tiny site with a record that shows the pictures of these names,
// and with these files beside it.
func showing(t *testing.T, names []string, beside map[string]string) string {
	t.Helper()
	text := tinyFile(t, tinyRecord)
	for _, name := range names {
		text += "\n[[picture]]\nfile = \"" + name + "\"\nshows = \"a picture\"\n"
	}
	files := map[string]string{tinyRecord: text}
	for name, text := range beside {
		files[tinyUnit+name] = text
	}
	return tiny(t, files)
}

func TestPicturesArePublishedInTwoSizes(t *testing.T) {
	s := loaded(t, pictured(t, map[string]string{
		"Front_2.JPG": jpegText(t, 2000, 1000),
		"inside.png":  jpegText(t, 1000, 500), // the bytes decide, not the name
		"stamp.png":   pngText(t, image.NewNRGBA(image.Rect(0, 0, 30, 20))),
		"lath.png":    pngText(t, image.NewGray(image.Rect(0, 0, 1, 5000))),
	}))
	at := "units/ottersprocket-20/pictures/"
	want := map[string]Picture{
		"Front_2.JPG": {at + "front_2-640.jpg", at + "front_2-1600.jpg", 640, 320, 1600, 800},
		"inside.png":  {at + "inside-640.jpg", at + "inside-1000.jpg", 640, 320, 1000, 500},
		"stamp.png":   {at + "stamp-30.png", at + "stamp-30.png", 30, 20, 30, 20},
		"lath.png":    {at + "lath-1.png", at + "lath-1.png", 1, 3200, 1, 3200},
	}
	files := made(t, s, stillOnly())
	published := map[string]bool{}
	for name, p := range want {
		got := s.picture("ottersprocket-20", name)
		if got == nil || *got != p {
			t.Errorf("%s is %+v, want %+v", name, got, p)
			continue
		}
		for path, size := range map[string]image.Point{p.Small: {p.SmallWidth, p.SmallHeight}, p.Large: {p.Width, p.Height}} {
			published[path] = true
			c, format, err := image.DecodeConfig(strings.NewReader(files[path]))
			if err != nil || image.Pt(c.Width, c.Height) != size || strings.TrimSuffix(path, strings.Replace(format, "jpeg", "jpg", 1)) == path {
				t.Errorf("%s is a %s of %d × %d, error %v; want %v", path, format, c.Width, c.Height, err, size)
			}
		}
	}
	for path := range files {
		if strings.HasPrefix(path, at) && !published[path] {
			t.Errorf("%s is published, too", path)
		}
	}
	if s.picture("ottersprocket-20", "other.jpg") != nil || s.picture("other", "stamp.png") != nil {
		t.Error("there is a picture that the record doesn't name")
	}
}

func TestPicturesThatCannotBeShown(t *testing.T) {
	for name, row := range map[string]struct {
		names  string
		beside map[string]string
		want   string // the problem's first line, behind its place, and its last
	}{
		"missing": {"a.jpg", nil,
			"there is no file a.jpg beside this record\nhint: put the picture into content/units/ottersprocket-20, or take this [[picture]] out"},
		"capitals": {"a.jpg", map[string]string{"A.JPG": "x"},
			"there is no file a.jpg beside this record\nhint: there is A.JPG; capitals count"},
		"text": {"a.jpg", map[string]string{"a.jpg": "hello"},
			"a.jpg can't be shown: this file is neither a JPEG nor a PNG picture\nhint: save the picture as .jpg (photographs) or .png"},
		"cut short": {"a.jpg", map[string]string{"a.jpg": jpegText(t, 90, 60)[:700]},
			"a.jpg can't be shown: this picture is cut short\nhint: copy it again from where it came, whole"},
		"too large": {"a.png", map[string]string{"a.png": strings.Repeat("x", maxPicture+1)},
			"a.png is too large\nhint: a picture may have up to 30 MB; a page shows at most 1600 pixels of width"},
		"folder": {"a.png", map[string]string{"a.png/x": ""},
			"a.png: this can't be read: it is not a plain file\nhint: it has to be a plain file or folder that you may read"},
		"one address": {"a.jpg A.png", map[string]string{"a.jpg": jpegText(t, 9, 9), "A.png": jpegText(t, 9, 9)},
			"the pictures a.jpg and A.png would have one address\nhint: give one of them another name"},
	} {
		t.Run(name, func(t *testing.T) {
			_, problems := problemsOf(t, showing(t, strings.Fields(row.names), row.beside))
			at := slices.IndexFunc(problems, func(p record.Problem) bool { return p.Severity == record.Error })
			if at < 0 {
				t.Fatalf("the problems are\n%v", problems)
			}
			p := problems[at]
			if p.Summary+"\nhint: "+p.Hint != row.want || p.File != tinyRecord || p.Line == 0 || p.Column != len(`file = `)+1 {
				t.Errorf("got\n%v\nwant\n%s", p.String(), row.want)
			}
		})
	}
}

func TestPictureThatIsALinkOutOfContent(t *testing.T) {
	secret := t.TempDir()
	put(t, secret, "a.jpg", jpegText(t, 9, 9))
	root := pictured(t, map[string]string{"a.jpg": ""})
	os.Remove(filepath.Join(root, tinyUnit, "a.jpg"))
	symlink(t, filepath.Join(secret, "a.jpg"), root, tinyUnit+"a.jpg")
	if got, problems := problemsOf(t, root); !problems.Errors() || !strings.Contains(got, "a.jpg: this is a symbolic link that leads out of the content folder") {
		t.Errorf("the problems are\n%s", got)
	}
}

func TestLoadDoesNotWaitForAPipeInPlaceOfAPicture(t *testing.T) {
	root := pictured(t, map[string]string{"a.jpg": ""})
	name := filepath.Join(root, tinyUnit, "a.jpg")
	os.Remove(name)
	if err := syscall.Mkfifo(name, 0o644); err != nil {
		t.Skip(err)
	}
	done := make(chan string)
	go func() { got, _ := problemsOf(t, root); done <- got }()
	select {
	case got := <-done:
		if !strings.Contains(got, "a.jpg: this can't be read: it is not a plain file") {
			t.Errorf("problems are %q", got)
		}
	case <-time.After(20 * time.Second):
		t.Fatal("it waits")
	}
}

// With a cache, without one, with a damaged one, and where none can be made, the
// site has the same bytes.
func TestPicturesAreTheSameWithAndWithoutTheirCache(t *testing.T) {
	pictures := map[string]string{"a.jpg": jpegText(t, 800, 600), "b.png": jpegText(t, 50, 60), "c.jpg": jpegText(t, 800, 600)}
	root := pictured(t, pictures)
	first := made(t, loaded(t, root), stillOnly())
	same := func(what string, s *Site) {
		t.Helper()
		if !maps.Equal(first, made(t, s, stillOnly())) {
			t.Errorf("%s: the outputs differ", what)
		}
	}
	cache := filepath.Join(root, filepath.FromSlash(cacheFolder))
	if n := len(tree(t, cache)); n != 2 {
		t.Errorf("two different pictures leave %d entries", n)
	}
	same("with the cache", loaded(t, root))
	same("elsewhere", loaded(t, pictured(t, pictures)))

	s := loaded(t, root)
	os.RemoveAll(cache)
	same("cache deleted after loading", s)
	for name, text := range tree(t, cache) {
		put(t, cache, name, text[:len(text)-1])
	}
	same("cut cache", loaded(t, root))
	for name, text := range tree(t, cache) {
		put(t, cache, name, strings.Replace(text, `"Width":640`, `"Width":641`, 1)+"x")
	}
	same("cache of other sizes", loaded(t, root))
	os.RemoveAll(filepath.Join(root, ".wattsheet"))
	put(t, root, ".wattsheet", "a file in its place")
	same("no cache possible", loaded(t, root))
	os.Remove(filepath.Join(root, ".wattsheet"))
	elsewhere := t.TempDir()
	symlink(t, elsewhere, root, ".wattsheet")
	same("cache leads elsewhere", loaded(t, root))
	if n := len(tree(t, elsewhere)); n > 0 {
		t.Errorf("%d files were written outside", n)
	}
}

// An entry that holds a picture as no scaling would give it shows that a
// picture which is in the cache isn't scaled again.
func TestUnchangedPicturesAreNotScaledAgain(t *testing.T) {
	root := pictured(t, map[string]string{"a.jpg": jpegText(t, 800, 600)})
	made(t, loaded(t, root), stillOnly())
	cache := filepath.Join(root, filepath.FromSlash(cacheFolder))
	for name, text := range tree(t, cache) {
		scaled := parseEntry(name, []byte(text))
		scaled[0].Bytes, scaled[0].Height = []byte("marked"), 7
		put(t, cache, name, string(entryOf(name, scaled)))
	}
	s := loaded(t, root)
	p := s.picture("ottersprocket-20", "a.jpg")
	if got := made(t, s, stillOnly())[p.Small]; got != "marked" || p.SmallHeight != 7 {
		t.Error("the picture was scaled again")
	}
	// Another picture under the same name is.
	put(t, root, tinyUnit+"a.jpg", jpegText(t, 800, 601))
	s = loaded(t, root)
	if got := made(t, s, stillOnly())[p.Small]; !strings.HasPrefix(got, "\xff\xd8") || s.picture("ottersprocket-20", "a.jpg").Height != 601 {
		t.Error("the other picture was not scaled")
	}
	// And the entry of the first is gone.
	if n := len(tree(t, cache)); n != 1 {
		t.Errorf("there are %d entries", n)
	}
}

func TestCacheLeavesWhatIsNotItsOwn(t *testing.T) {
	root := pictured(t, map[string]string{"a.jpg": jpegText(t, 80, 60)})
	folder := filepath.Join(root, filepath.FromSlash(cacheFolder))
	old := strings.Repeat("0a", 32)
	put(t, folder, "letter.txt", "x")
	put(t, folder, old, "of another version")
	put(t, folder, old+".77-1.new", "of a run that was killed")
	made(t, loaded(t, root), stillOnly())
	got := tree(t, folder)
	if len(got) != 2 || got["letter.txt"] != "x" {
		t.Errorf("the folder holds %v", slices.Sorted(maps.Keys(got)))
	}
}

func TestPictureThatChangesWhileTheSiteIsMade(t *testing.T) {
	root := pictured(t, map[string]string{"a.jpg": jpegText(t, 80, 60)})
	s := loaded(t, root)
	os.RemoveAll(filepath.Join(root, ".wattsheet"))
	put(t, root, tinyUnit+"a.jpg", jpegText(t, 60, 80))
	_, _, err := s.outputs(stillOnly())
	want := tinyUnit + "a.jpg can't be read again: it was changed meanwhile\nhint: build once more"
	if err == nil || err.Error() != want {
		t.Errorf("the error is %v, want %s", err, want)
	}
}

func TestSiteWithoutPicturesMakesNoCache(t *testing.T) {
	root := tiny(t, nil)
	made(t, loaded(t, root), stillOnly())
	if _, err := os.Lstat(filepath.Join(root, ".wattsheet")); err == nil {
		t.Error("there is a cache")
	}
}
