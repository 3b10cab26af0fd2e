package site

import (
	"cmp"
	"html/template"
	"slices"
	"strings"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// A watching is what the pages of a unit know of its videos: those that are out.
type watching struct {
	rec *record.Record
	out []*record.Video
}

func watchingOf(rec *record.Record) watching {
	w := watching{rec: rec}
	for i := range rec.Videos {
		if rec.Videos[i].Address != "" {
			w.out = append(w.out, &rec.Videos[i])
		}
	}
	return w
}

// at gives the video that a mark is in, its number among those that are out, and the
// second; nil where it is in none of them.
func (w watching) at(mark string) (v *record.Video, number, seconds int) {
	v, seconds = w.rec.Marked(mark)
	i := slices.Index(w.out, v)
	if v == nil || i < 0 {
		return nil, 0, 0
	}
	return v, i + 1, seconds
}

// seen leads from something to where it is seen in a video; empty where it isn't marked.
// What it is of is told to those who hear the link alone. An id is for what has no anchor
// of its own.
func (w watching) seen(mark, what, id string) template.HTML {
	if mark == "" {
		return ""
	}
	v, n, seconds := w.at(mark)
	if v == nil {
		return ""
	}
	address, _ := v.AddressAt(seconds)
	return drafted(func(d *draft) {
		d.raw(`<a class="in-video"`).attribute("id", id).raw(` href="`).words(address).raw(`" rel="noopener">`).raw(record.Clock(seconds)).raw(" <span>in ")
		if len(w.out) > 1 {
			d.raw("video" + nbsp).number(n)
		} else {
			d.raw("the video")
		}
		d.raw(`</span><span class="hidden">: `).words(what).raw("</span></a>")
	})
}

// origins are what a policy has to allow for the players of these videos, sorted.
func (w watching) origins() (out []string) {
	for _, v := range w.out {
		if p, ok := v.Player(); ok {
			out = append(out, p.Origin)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// functionID and opinionID are the anchors of a record's n-th check and opinion, counted
// from 0, where they are marked.
func functionID(n int) string { return "function-" + itoa(n+1) }
func opinionID(n int) string  { return "opinion-" + itoa(n+1) }

// settings are where the settings are seen, as a line of theirs.
func (w watching) settings(mark string) fact {
	v, n, seconds := w.at(mark)
	if v == nil {
		return fact{}
	}
	f := fact{Name: "In the video", Text: record.Clock(seconds)}
	if len(w.out) > 1 {
		f.Name += nbsp + itoa(n)
	}
	f.Href, _ = v.AddressAt(seconds)
	return f
}

// A videoPart is one video about the unit.
type videoPart struct {
	ID      string        // the anchor: video-bench
	Number  int           // its number, where there are several; 0 where it is the only one
	Title   string        // the video's title
	Name    string        // the unit, for the still in the video's place
	Line    template.HTML // a claim line for it; empty where nothing was measured
	Label   string        // what the line is of: 4 Ω, met
	Address string        // where the video is watched
	Host    string        // the name of that place
	Player  string        // the page that plays it in a frame, which a script loads once it is asked for; empty where there is none
	Start   string        // what is added to begin at a second, for which "%" stands
	Day     day           // when it was published
	Lasts   string        // how long it is: 18:40; empty where not known
	About   []string      // what it is about, a paragraph each
	Marks   []markRow     // what is seen when
}

// A markRow is something that is seen in a video.
type markRow struct {
	Clock   string // when: 4:12
	Seconds int    // the same, from the video's beginning on
	Address string // of the video at that second
	Text    string // what is seen: Run r03, 1 % THD+N at 4 Ω
	Href    string // where it stands on the page
}

// videos are the videos of a unit with their marks, for its page.
func (b *binder) videos(page *unitPage, s *sheet.Sheet) {
	w := watchingOf(s.Record)
	if len(w.out) == 0 {
		return
	}
	marks := markRows(w, s)
	for i, v := range w.out {
		part := videoPart{
			ID: "video-" + v.ID, Title: v.Title, Name: s.Name, Address: v.Address, Host: v.Host(),
			Day: dayOf(v.Published.Text), Lasts: v.Lasts, About: paragraphs(v.About), Marks: marks[i],
		}
		if len(w.out) > 1 {
			part.Number = i + 1
		}
		if p, ok := v.Player(); ok {
			part.Player, part.Start = p.Address, p.Start
		}
		if i := slices.Index(s.Claims, w.claimOf(v, s)); i >= 0 {
			row := page.Claims[i]
			part.Line, part.Label = row.Line, row.Label+", "+strings.ToLower(row.Word)
		}
		page.Videos = append(page.Videos, part)
	}
	page.Frames = strings.Join(w.origins(), " ")
	b.uses(&page.head, "video.css", "video.js")
}

// claimOf is the claim that a video's still shows: the first that is marked in it, else
// the one that stands for the sheet.
func (w watching) claimOf(v *record.Video, s *sheet.Sheet) *sheet.Claim {
	for _, c := range s.Claims {
		if in, _, _ := w.at(c.Rec.Video); in == v {
			return c
		}
	}
	return leadingClaim(s.Claims)
}

// markRows are the marks in each video that is out, by time, and those of one second in
// the order of the record.
func markRows(w watching, s *sheet.Sheet) [][]markRow {
	out := make([][]markRow, len(w.out))
	add := func(mark, text, href string) {
		if v, n, seconds := w.at(mark); v != nil {
			address, _ := v.AddressAt(seconds)
			out[n-1] = append(out[n-1], markRow{record.Clock(seconds), seconds, address, text, href})
		}
	}
	add(s.Record.Settings.Video, "How it was set", "#conditions")
	for _, c := range s.Claims {
		add(c.Rec.Video, "Claim at "+c.Label, "#claim-"+c.ID)
	}
	for _, r := range s.Runs {
		add(r.Rec.Video, markedRun(r), "#run-"+r.ID)
	}
	for _, p := range s.Specs {
		add(p.Rec.Video, capital(p.Rec.Name), "#spec-"+p.ID)
	}
	for i, f := range s.Record.Functions {
		add(f.Video, capital(f.Name)+", tried", "#"+functionID(i))
	}
	for i, t := range s.Thermals {
		add(t.Rec.Video, "Temperature: "+t.Rec.Spot, "#thermal-"+itoa(i+1))
	}
	for i, p := range s.Record.Pictures {
		add(p.Video, "Picture: "+cmp.Or(p.Caption, p.Shows), "#"+pictureID(i))
	}
	for i, o := range s.Record.Opinions {
		add(o.Video, opinionTitles[o.Kind]+", an opinion", "#"+opinionID(i))
	}
	for i := range out {
		slices.SortStableFunc(out[i], func(a, b markRow) int { return cmp.Compare(a.Seconds, b.Seconds) })
	}
	return out
}

func markedRun(r *sheet.Run) string {
	method := r.Rec.Method.ID
	if r.Method != nil {
		method = r.Method.Title
	}
	if !r.Valid {
		return "Run " + r.ID + ", which doesn't count"
	}
	return "Run " + r.ID + ", " + method + ", " + loadsOf(r)
}
