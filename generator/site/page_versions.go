package site

import (
	"encoding/json"
	"fmt"
	"html/template"
	"strconv"
	"time"

	"wattsheet/charts"
	"wattsheet/generator/datafile"
	"wattsheet/generator/ledger"
	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// A versionRow is a sealed version in the list on a unit's page.
type versionRow struct {
	Number int    // its number
	Date   moment // when it was sealed
	Note   string // what the tester wrote when sealing it; empty without
	Href   string // the address
	Newest bool   // it is the newest version
}

// A moment is an instant as it is shown, and as machines read it.
type moment struct {
	ISO  string // for machines: 2026-10-09T14:00:00Z
	Text string // for people
}

// day is the day of the instant, in the offset that it was written with.
func (m moment) day() day {
	if len(m.ISO) < len(time.DateOnly) {
		return day{}
	}
	return dayOf(m.ISO[:len(time.DateOnly)])
}

// momentOf writes an RFC 3339 time for people, in the offset that it was written
// with.
func momentOf(iso string) moment {
	t, err := time.Parse(time.RFC3339, iso)
	if err != nil {
		return moment{"", iso}
	}
	zone := "UTC" + t.Format("-07:00")
	if _, offset := t.Zone(); offset == 0 {
		zone = "UTC"
	}
	return moment{iso, t.Format("2 January 2006, 15:04") + " " + zone}
}

// versionFolder is where a sealed version's page stands.
func versionFolder(slug string, n int) string {
	return unitsFolder + "/" + slug + "/v/" + strconv.Itoa(n) + "/"
}

// versionRows lists a unit's sealed versions, newest first.
func versionRows(st *ledger.Status) []versionRow {
	var out []versionRow
	for i := len(st.Versions) - 1; i >= 0; i-- {
		v := st.Versions[i]
		out = append(out, versionRow{
			Number: v.Number, Date: momentOf(v.Date), Note: v.Note,
			Href: "v/" + strconv.Itoa(v.Number) + "/index.html", Newest: i == len(st.Versions)-1,
		})
	}
	return out
}

// A versionPage is a unit as it was sealed: what its sheet.json said then, and
// nothing evaluated anew.
type versionPage struct {
	head
	Number     int             // this version's number
	Of         int             // how many versions there are
	Sealed     moment          // when it was sealed
	Note       string          // what the tester wrote when sealing it; empty without
	Newest     bool            // it is the newest version
	Current    string          // the address of the unit's page
	Before     string          // the address of the version before; empty for the first
	After      string          // the address of the version after; empty for the last
	Digest     string          // SHA-256 of the sealed sheet.json
	Name       string          // the unit: Mossfettle Brackenjar 100
	Headline   string          // the finding in one sentence
	Disclosure string          // who supplied the unit and what the tester earns: leave it on the page
	Claims     []sealedClaim   // the claims of power as they were sealed
	Runs       []sealedRun     // the runs as they were sealed
	Specs      []sealedClaim   // other stated figures as they were sealed
	Reply      *replyPart      // as it was sealed
	Told       []correctionRow // the corrections that this version brought
}

// A sealedClaim is a claim, or another stated figure, as it was published.
type sealedClaim struct {
	ID       string        // its anchor: claim-4-ohm
	Label    string        // what is claimed: power at 4 Ω
	Stated   string        // what the maker states
	Measured string        // what was measured
	Says     string        // why the verdict is what it is
	Class    string        // the verdict as a class for the style: met, short, open, untested or incomparable
	Word     string        // the verdict in words: falls short
	Mark     template.HTML // the shape of the verdict, drawn
}

// A sealedRun is a run as it was published.
type sealedRun struct {
	ID       string          // the run's id
	Method   string          // its method
	Outcome  string          // how it ended
	Invalid  string          // why it doesn't count; empty where it does
	Channels []sealedChannel // each channel's results
	Supply   string          // volts of the supply
}

// A sealedChannel is one channel of such a run.
type sealedChannel struct {
	Name  string // the channel: A
	Load  string // the load: 4 Ω
	Power string // its power
	Thdn  string // its distortion
}

// versions makes the pages of a unit's sealed versions.
func (b *binder) versions(s *sheet.Sheet, st *ledger.Status) ([]Output, record.Problems) {
	var out []Output
	for i, v := range st.Versions {
		var d datafile.Sheet
		if err := json.Unmarshal(b.site.SealedSheet(s.Slug, v.Number), &d); err != nil {
			return nil, record.Problems{whole(unitsFolder+"/"+s.Slug+"/"+sealedName(v.Number), record.Error, "this isn't the sheet of a sealed version: "+err.Error(), "put it back as it was, from a backup or the published copy")}
		}
		folder := versionFolder(s.Slug, v.Number)
		title := fmt.Sprintf("%s, version %d", sheet.Isolated(d.Name), v.Number)
		page := versionPage{
			head:   b.head(folder, title+": "+d.Headline, title+" of its sheet, as it was published. "+d.Headline),
			Number: v.Number, Of: len(st.Versions), Sealed: momentOf(v.Date), Note: v.Note, Newest: i == len(st.Versions)-1,
			Current: "../../index.html", Digest: v.Sheet, Name: d.Name, Headline: d.Headline, Disclosure: d.Disclosure,
		}
		page.Sheet, page.Version, page.VersionOf, page.Tested = d.Sheet, strconv.Itoa(v.Number), page.Sealed.day(), dayOf(d.Tested)
		if i > 0 {
			page.Before = "../" + strconv.Itoa(v.Number-1) + "/index.html"
		}
		if !page.Newest {
			page.After = "../" + strconv.Itoa(v.Number+1) + "/index.html"
		}
		for _, told := range st.Corrections {
			if told.Entry == v.Number {
				row := correctionOf(told, "../../")
				row.ID = "correction-" + strconv.Itoa(len(page.Told)+1)
				page.Told = append(page.Told, row)
			}
		}
		page.fill(&d)
		one, problems := b.render("version", folder, page)
		if problems.Errors() {
			return nil, problems
		}
		out = append(out, one)
	}
	return out, nil
}

// fill takes what a sealed sheet says.
func (p *versionPage) fill(d *datafile.Sheet) {
	methods := map[string]string{}
	for _, m := range d.Methods {
		methods[m.ID] = m.Title
	}
	if r := d.Reply; r != nil {
		p.Reply = &replyPart{From: r.From, Day: dayOf(r.Date), Paras: paragraphs(r.Text)}
	}
	for _, c := range d.Claims {
		p.Claims = append(p.Claims, sealedOf(&c))
	}
	for _, s := range d.Specs {
		row := sealedClaim{Label: s.Name, Stated: s.StatedText, Says: s.PText}
		row.verdict(s.Verdict, s.Word)
		if s.Measured != nil {
			row.Measured = s.Measured.Text
		}
		p.Specs = append(p.Specs, row)
	}
	for _, r := range d.Runs {
		row := sealedRun{ID: r.ID, Method: methods[r.Method], Outcome: r.Outcome, Invalid: r.Invalid, Supply: textOf(r.SupplyV)}
		for _, c := range r.Channels {
			row.Channels = append(row.Channels, sealedChannel{c.Channel, sheet.Ohms(float64(c.NominalOhm)), textOf(c.Power), textOf(c.Thdn)})
		}
		p.Runs = append(p.Runs, row)
	}
}

func textOf(f *datafile.Figure) string {
	if f == nil {
		return "–"
	}
	return f.Text
}

// sealedOf is a claim as its file says it.
func sealedOf(c *datafile.Claim) sealedClaim {
	row := sealedClaim{ID: "claim-" + c.ID, Label: c.Label, Stated: quantity.Float(float64(c.Stated.PowerW)) + nbsp + "W", Says: c.PText}
	if row.Says == "" {
		row.Says = c.Why
	}
	row.verdict(c.Verdict, c.Word)
	for _, ch := range c.Channels {
		if ch.Channel == c.Weakest {
			row.Measured = textOf(ch.Mean)
		}
	}
	return row
}

func (c *sealedClaim) verdict(code, word string) {
	c.Class, c.Word = "none", word
	for _, w := range append([]verdict.Word{verdict.Missed}, verdict.Words...) {
		if string(w) == code {
			c.Class, c.Mark = code, template.HTML(charts.Mark(w))
			if w == verdict.Missed {
				c.Mark = template.HTML(charts.Mark(verdict.Short))
			}
		}
	}
}
