package datafile

import (
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// A dataVideo is a video about the unit.
type dataVideo struct {
	// ID names the video.
	ID string `json:"id"`
	// Title is the video's title.
	Title string `json:"title"`
	// Address is where it is watched.
	Address string `json:"address"`
	// Published is the day it was published, YYYY-MM-DD.
	Published string `json:"published,omitempty"`
	// Lasts is how long it is, as its clock shows.
	Lasts string `json:"lasts,omitempty"`
	// About is what it is about.
	About string `json:"about,omitempty"`
}

// A dataMark is where something is seen in a video.
type dataMark struct {
	// Video is the id of the video.
	Video string `json:"video"`
	// AtS is the second, from the video's beginning on.
	AtS number `json:"at_s"`
	// Address is where it is watched from that second on, or from its beginning where
	// its host can't be asked for a second.
	Address string `json:"address"`
}

func dataOfVideos(rec *record.Record) (out []dataVideo) {
	for _, v := range rec.Videos {
		if v.Address != "" { // it is out
			out = append(out, dataVideo{v.ID, v.Title, v.Address, v.Published.Text, v.Lasts, v.About})
		}
	}
	return out
}

// dataOfMark is a mark as the file has it; nil where nothing is marked, or in no video that is
// out.
func dataOfMark(rec *record.Record, text string) *dataMark {
	v, seconds := rec.Marked(text)
	if v == nil || v.Address == "" {
		return nil
	}
	address, _ := v.AddressAt(seconds)
	return &dataMark{v.ID, number(seconds), address}
}

// marked puts the marks of a sheet into the file.
func (d *Sheet) marked(s *sheet.Sheet) {
	if d.Videos = dataOfVideos(s.Record); d.Videos == nil {
		return
	}
	mark := func(text string) *dataMark { return dataOfMark(s.Record, text) }
	d.Settings.Video = mark(s.Record.Settings.Video)
	for i, c := range s.Claims {
		d.Claims[i].Video = mark(c.Rec.Video)
	}
	for i, r := range s.Runs {
		d.Runs[i].Video = mark(r.Rec.Video)
	}
	for i, p := range s.Specs {
		d.Specs[i].Video = mark(p.Rec.Video)
	}
	for i, t := range s.Thermals {
		d.Thermals[i].Video = mark(t.Rec.Video)
	}
	for i := range d.Functions {
		d.Functions[i].Video = mark(s.Record.Functions[i].Video)
	}
}

// video writes a video back, and marked a mark.
func (t *tomlText) video(v dataVideo) {
	t.head("[[video]]")
	t.text("id", v.ID)
	t.text("title", v.Title)
	t.text("address", v.Address)
	t.date("published", v.Published)
	t.text("lasts", v.Lasts)
	t.text("about", v.About)
}

func (t *tomlText) marked(m *dataMark) {
	if m != nil {
		t.text("video", m.Video+" "+record.Clock(int(m.AtS)))
	}
}
