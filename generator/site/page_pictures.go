package site

import (
	"html/template"
	"strings"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// A pictureRow is one photograph as a page shows it: a small one that links to
// the large one, with numbered places over it and listed under it.
type pictureRow struct {
	ID       string        // the anchor: picture-1
	Number   int           // its number on the page
	Small    string        // the address of the small one
	Large    string        // the address of the large one
	Width    int           // of the small one, in pixels
	Height   int           // of the small one, in pixels
	Size     string        // of the large one, in words
	Shows    string        // for those who can't see it
	Caption  string        // what stands under it
	Run      link          // the run that it is evidence for; empty where for none
	Overlay  template.HTML // the numbered places, drawn over it; empty without any
	Callouts []string      // what is at the numbered places
	Seen     template.HTML // leads to where it is seen in a video; empty where it isn't marked
}

// pictureRows are the pictures of a record whose files could be read.
func (b *binder) pictureRows(s *sheet.Sheet, root string) []pictureRow {
	var rows []pictureRow
	for i := range s.Record.Pictures {
		rec := &s.Record.Pictures[i]
		file := b.site.picture(s.Slug, rec.File)
		if file == nil {
			continue
		}
		r := pictureRow{
			ID: pictureID(i), Number: i + 1, Small: root + file.Small, Large: root + file.Large,
			Width: file.SmallWidth, Height: file.SmallHeight, Size: itoa(file.Width) + nbsp + "×" + nbsp + itoa(file.Height) + " pixels",
			Shows: rec.Shows, Caption: rec.Caption, Overlay: overlay(rec.Callouts),
		}
		if r.Caption == "" {
			r.Caption = rec.Shows
		}
		if rec.Run.Given() {
			r.Run = link{"#run-" + rec.Run.ID, rec.Run.ID}
		}
		r.Seen = watchingOf(s.Record).seen(rec.Video, "picture "+itoa(i+1), "")
		for _, c := range rec.Callouts {
			r.Callouts = append(r.Callouts, c.Text)
		}
		rows = append(rows, r)
	}
	return rows
}

// pictureID is the anchor of a record's n-th picture, counted from 0.
func pictureID(n int) string { return "picture-" + itoa(n+1) }

// overlay draws the numbers of callouts over a picture. Places are percentages, so
// that they stay where they are at any size and need no style of their own.
func overlay(callouts []record.Callout) template.HTML {
	if len(callouts) == 0 {
		return ""
	}
	var b strings.Builder
	b.WriteString(`<svg class="callouts" width="100%" height="100%" aria-hidden="true">`)
	for i, c := range callouts {
		x, y := percent(c.XPct), percent(c.YPct)
		b.WriteString(`<circle cx="` + x + `" cy="` + y + `" r="12"/><text x="` + x + `" y="` + y + `" dy=".35em" text-anchor="middle">` + itoa(i+1) + `</text>`)
	}
	b.WriteString("</svg>")
	return template.HTML(b.String())
}

// percent writes a place in a picture for an attribute.
func percent(n record.Number) string { return quantity.Float(n.Value) + "%" }

// evidencePictures are the pictures of a sheet by the run that they are evidence
// for, as links.
func (b *binder) evidencePictures(s *sheet.Sheet) map[string][]link {
	out := map[string][]link{}
	for i := range s.Record.Pictures {
		rec := &s.Record.Pictures[i]
		if rec.Run.Given() && b.site.picture(s.Slug, rec.File) != nil {
			out[rec.Run.ID] = append(out[rec.Run.ID], link{"#" + pictureID(i), "picture" + nbsp + itoa(i+1)})
		}
	}
	return out
}
