package site

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"wattsheet/generator/publication"
	"wattsheet/generator/record"
)

// beside is the tiny site with n more units.
func beside(t *testing.T, n int) string {
	t.Helper()
	root := tiny(t, nil)
	for i := range n {
		name := fmt.Sprintf("badgercog-%02d", i)
		put(t, root, "content/units/"+name+"/record.toml", strings.Replace(tinyFile(t, tinyRecord), "Ottersprocket", "Badgercog", 1))
		put(t, root, "content/units/"+name+"/notes.md", "Run r1 gave [](value:r1/power).\n")
	}
	return root
}

// What was being made when another unit's mistake was found is not remembered as if it had been made.
func TestMistakeInOneUnitSpoilsNoOther(t *testing.T) {
	root := beside(t, 24)
	built(t, root, "public", today)
	const name = "content/units/badgercog-07/record.toml"
	for range 3 {
		appended("content/bench.toml", "# again\n")(t, root)
		replaceIn(t, root, name, "out_v = 20.00", `out_v = "20.00"`)
		if b := buildOf(t, root, today); !b.Problems.Errors() {
			t.Fatal("no mistake is told")
		}
		replaceIn(t, root, name, `out_v = "20.00"`, "out_v = 20.00")
		built(t, root, "public", today)
		if odd := unlike(tree(t, filepath.Join(root, "public")), afresh(t, root, today)); odd != nil {
			t.Fatalf("the mistake is mended, but not as a clean build: %v", odd)
		}
	}
}

// A record of which nothing can be read is one mistake: that it names no picture and no capture isn't told.
func TestUnreadRecordIsOneMistake(t *testing.T) {
	root := tiny(t, nil)
	put(t, root, "content/units/ottersprocket-20/photo.jpg", "x")
	put(t, root, "content/units/ottersprocket-20/burst.wav", "x")
	replaceIn(t, root, tinyRecord, "[unit]", "[[[unit]")
	if b := buildOf(t, root, today); strings.Count(b.Problems.Error(), "content/units/") != 1 || !b.Problems.Errors() {
		t.Errorf("told %v", b.Problems)
	}
}

// A template's mistake is told for as long as it is there; once it is mended, every page is there.
func TestMistakeInATemplateSpoilsNoOther(t *testing.T) {
	for _, layout := range []string{"front", "unit", "corrections", "methodology"} {
		root := several(t)
		replaceIn(t, root, "content/site.toml", "title = ", "theme = \"paper\"\ntitle = ")
		page := "themes/paper/pages/" + layout + ".html"
		put(t, root, page, `{{define "main"}}<p>all is well{{end}}`)
		built(t, root, "public", today)
		put(t, root, page, `{{define "main"}}<p>{{index .Page.Title 99999}}{{end}}`)
		first := buildOf(t, root, today)
		if !first.Problems.Errors() {
			t.Fatalf("%s: no mistake is told", layout)
		}
		if again := buildOf(t, root, today); again.Problems.Error() != first.Problems.Error() {
			t.Errorf("%s: at first %v\nthen %v", layout, first.Problems, again.Problems)
		}
		put(t, root, page, `{{define "main"}}<p>mended{{end}}`)
		built(t, root, "public", today)
		if odd := unlike(tree(t, filepath.Join(root, "public")), afresh(t, root, today)); odd != nil {
			t.Errorf("%s: the mistake is mended, but not as a clean build: %v", layout, odd)
		}
	}
}

// What was edited while what all units share had a mistake is seen, and published, once that is mended.
func TestEditWhileTheFrameIsWrong(t *testing.T) {
	for _, row := range []struct{ what, name, wrong, right string }{
		{"a page of prose", "content/prose/about.md", "# About\n\nSee [](value:nothing/power).\n", "# About\n\nWell.\n"},
		{"a template", "themes/paper/pages/front.html", `{{define "main"}}<p>{{if}}{{end}}`, `{{define "main"}}<p>well{{end}}`},
	} {
		root := several(t)
		replaceIn(t, root, "content/site.toml", "title = ", "theme = \"paper\"\ntitle = ")
		put(t, root, "themes/paper/style.css", "body {}\n")
		put(t, root, row.name, row.right)
		d, err := openDraft(root, stillOnly(), false)
		if err != nil {
			t.Fatal(err)
		}
		defer d.Close()
		refreshed(t, d, today)
		out := filepath.Join(root, "public")
		if b, err := d.Publish(out, nil); err != nil || b.Problems.Errors() {
			t.Fatal(err, b.Problems)
		}
		put(t, root, row.name, row.wrong)
		if got := refreshed(t, d, today, row.name); !got.Problems.Errors() {
			t.Fatalf("%s: no mistake is told", row.what)
		}
		appended(fieldfare+"notes.md", "\nOne more word.\n")(t, root)
		replaceIn(t, root, badger+"record.toml", "out_v = ", "remarks = \"once more\"\nout_v = ")
		refreshed(t, d, today, fieldfare+"notes.md", badger+"record.toml")
		put(t, root, row.name, row.right)
		refreshed(t, d, today, row.name)
		if rest, err := d.Sweep(nil); err != nil || rest.Problems.Errors() {
			t.Fatal(err, rest.Problems)
		}
		want := afresh(t, root, today)
		for path, text := range want {
			if path != publication.ManifestName && openedAt(t, d, path) != text {
				t.Errorf("%s: %s isn't as a build makes it", row.what, path)
			}
		}
		if b, err := d.Publish(out, nil); err != nil || b.Problems.Errors() {
			t.Fatal(err, b.Problems)
		}
		if odd := unlike(tree(t, out), want); odd != nil {
			t.Errorf("%s: what is published is not as a clean build: %v", row.what, odd)
		}
	}
}

// The passing of days is seen without a change of any file.
func TestDraftSeesTheDayPass(t *testing.T) {
	root := several(t)
	replaceIn(t, root, "content/site.toml", "currency = \"EUR\"\n", "contact_required = true\n")
	appended(fieldfare+"record.toml", "\n[[contact]]\ndate = 2026-11-02\nabout = \"the power\"\nanswer_by = 2026-11-27\n")(t, root)
	d, err := openDraft(root, stillOnly(), false)
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	for _, asOf := range []int{0, 5, 0} {
		at := today.AddDate(0, 0, asOf)
		got, err := d.Refresh(at, []string{})
		if err == nil && got.Pending > 0 {
			got, err = d.Sweep(nil)
		}
		if err != nil {
			t.Fatal(err)
		}
		other := copied(t, root)
		if want := buildOf(t, other, at); want.Problems.Error() != got.Problems.Error() {
			t.Errorf("%d days on a build says\n%v\nthe draft\n%v", asOf, want.Problems, got.Problems)
		}
	}
}

// What earlier versions of the program remembered counts for nothing.
func TestOtherProgramsRememberNothing(t *testing.T) {
	root := several(t)
	built(t, root, "public", today)
	d, err := openDraft(root, stillOnly(), false)
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	e := d.memory.get("badgercog-2")
	if e == nil || e.Outline.Follows == "" {
		t.Fatalf("nothing is remembered: %+v", e)
	}
	e.Outline = outline{} // as if it had not known of units that follow others
	others := slices.Clone(e.Inputs.common)
	for i := range others {
		if others[i].Class == theProgram {
			others[i].Digest = publication.DigestOf([]byte("another"))
		}
	}
	own := e.Inputs.Own
	e.Inputs = sharing(others)
	e.Inputs.Own = own
	d.memory.put("badgercog-2", e)
	if err := os.RemoveAll(filepath.Join(root, "public")); err != nil {
		t.Fatal(err)
	}
	built(t, root, "public", today)
	if odd := unlike(tree(t, filepath.Join(root, "public")), afresh(t, root, today)); odd != nil {
		t.Errorf("not as a clean build: %v", odd)
	}
}

// A theme's folder that is replaced as a whole is another theme.
func TestDraftSeesAThemeReplaced(t *testing.T) {
	root := several(t)
	replaceIn(t, root, "content/site.toml", "title = ", "theme = \"paper\"\ntitle = ")
	put(t, root, "themes/paper/pages/front.html", `{{define "main"}}<p>paper{{end}}`)
	put(t, root, "themes/new/pages/front.html", `{{define "main"}}<p>new{{end}}`)
	d, err := openDraft(root, stillOnly(), false)
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	refreshed(t, d, today)
	for _, move := range [][2]string{{"paper", "old"}, {"new", "paper"}} {
		if err := os.Rename(filepath.Join(root, "themes", move[0]), filepath.Join(root, "themes", move[1])); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := d.Refresh(today, nil); err != nil {
		t.Fatal(err)
	}
	if page := openedAt(t, d, "index.html"); !strings.Contains(page, "<p>new") {
		t.Error("the front page is of the old theme")
	}
}

// Pages are opened while a site is published, and a publication that is stopped leaves what stood.
func TestPublishLetsPagesThrough(t *testing.T) {
	root := beside(t, 3*groupsAtATime)
	d, err := openDraft(root, stillOnly(), false)
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	refreshed(t, d, today)
	if _, err := d.Sweep(nil); err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(root, "public")
	stop := make(chan struct{})
	close(stop)
	if b, err := d.Publish(out, stop); !errors.Is(err, ErrStopped) || b.Summary.Written > 0 {
		t.Fatalf("stopped, but %+v, %v", b.Summary, err)
	}
	if _, err := os.Stat(out); !errors.Is(err, fs.ErrNotExist) {
		t.Error("the folder is there")
	}
	done := make(chan error)
	go func() {
		b, err := d.Publish(out, nil)
		done <- errors.Join(err, asError(b.Problems))
	}()
	opened := 0
	for on := true; on; {
		select {
		case err = <-done:
			on = false
		default:
			openedAt(t, d, fmt.Sprintf("units/badgercog-%02d/index.html", opened%40))
			opened++
		}
	}
	if err != nil {
		t.Fatal(err)
	}
	if opened < 4 {
		t.Errorf("only %d pages were opened meanwhile", opened)
	}
	if odd := unlike(tree(t, out), afresh(t, root, today)); odd != nil {
		t.Errorf("not as a clean build: %v", odd)
	}
}

// asError is an error only if there is one among problems.
func asError(p record.Problems) error {
	if p.Errors() {
		return p
	}
	return nil
}
