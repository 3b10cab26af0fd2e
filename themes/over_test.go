package themes

import (
	"io/fs"
	"testing"
	"testing/fstest"
)

func TestOver(t *testing.T) {
	files := Over(fstest.MapFS{"style.css": {Data: []byte("mine")}, "more.css": {Data: []byte("more")}},
		fstest.MapFS{"style.css": {Data: []byte("theirs")}, "chart.css": {Data: []byte("chart")}, "pages/unit.html": {Data: []byte("unit")}})
	for name, want := range map[string]string{"style.css": "mine", "more.css": "more", "chart.css": "chart", "pages/unit.html": "unit"} {
		if got, err := fs.ReadFile(files, name); err != nil || string(got) != want {
			t.Errorf("%s is %q, %v; want %q", name, got, err, want)
		}
	}
	names, err := fs.Glob(files, "*.css")
	if err != nil || len(names) != 3 || names[0] != "chart.css" {
		t.Errorf("the styles are %v, %v", names, err)
	}
	if _, err := fs.ReadFile(files, "none"); err == nil {
		t.Error("a file that neither has is there")
	}
	if _, err := fs.ReadDir(files, "none"); err == nil {
		t.Error("a folder that neither has is there")
	}
}
