package theme

import (
	"html/template"
	"io/fs"
	"testing"
	"testing/fstest"
)

// BenchmarkOwnTheme reads a site's own theme, as is done when one of its files was saved; beside that, as the baseline in
// the same run, the library reads the same templates, each once.
func BenchmarkOwnTheme(b *testing.B) {
	own := fstest.MapFS{"pages/prose.html": {Data: []byte(`{{define "main"}}mine{{end}}`)}}
	b.Run("read", func(b *testing.B) {
		for b.Loop() {
			t, problems := Default().With(own)
			if problems != nil {
				b.Fatal(problems)
			}
			if _, problems = t.Layouts(); problems != nil {
				b.Fatal(problems)
			}
			if _, _, _, err := t.Assets(); err != nil {
				b.Fatal(err)
			}
		}
	})
	names, err := fs.Glob(Default().Files, "pages/*.html")
	if err != nil {
		b.Fatal(err)
	}
	b.Run("baseline", func(b *testing.B) {
		for b.Loop() {
			for _, name := range names {
				if _, err := template.ParseFS(Default().Files, name); err != nil {
					b.Fatal(err)
				}
			}
		}
	})
}
