package site

import (
	"html/template"
	"slices"
	"strings"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// A fact is one line of the conditions: what, and how it was.
type fact struct {
	Name string // what: Supply
	Text string // how it was: 14.4 V
	Day  day    // stands after the text, where given
	Href string // the formula of the text, where it is a figure; else what it leads to
	Note string // stands under it, smaller
}

// A factList is facts as a page lists them.
type factList []fact

// List is the whole list, as markup; a theme may also range over the facts.
func (l factList) List() template.HTML {
	return drafted(func(d *draft) {
		d.raw("<dl class=\"facts\">\n")
		for i := range l {
			f := &l[i]
			d.raw("<div><dt>").words(f.Name).raw("</dt><dd>").anchor(f.Href, f.Text)
			if f.Day.Text != "" {
				if f.Text != "" {
					d.raw(" ")
				}
				d.day(f.Day)
			}
			if f.Note != "" {
				d.raw(`<span class="note">`).words(f.Note).raw("</span>")
			}
			d.raw("</dd></div>\n")
		}
		d.raw("</dl>")
	})
}

// day adds a date.
func (d *draft) day(on day) *draft {
	if on.ISO == "" {
		return d.words(on.Text)
	}
	return d.raw(`<time datetime="`).words(on.ISO).raw(`">`).words(on.Text).raw("</time>")
}

// A factGroup is the facts of one kind.
type factGroup struct {
	Title string   // what they are about: Settings
	Facts factList // its lines
	Prose []string // remarks, a paragraph each
}

// facts keeps the facts that were given.
func facts(all ...fact) factList {
	return slices.DeleteFunc(all, func(f fact) bool { return f.Text == "" && f.Day.Text == "" })
}

// conditions are everything known about the unit and how it was tested.
func (b *binder) conditions(s *sheet.Sheet) []factGroup {
	groups := []factGroup{
		{Title: "Unit", Facts: b.unitFacts(&s.Record.Unit)},
		{Title: "Settings", Facts: settingFacts(&s.Record.Settings, watchingOf(s.Record)), Prose: paragraphs(s.Record.Settings.Remarks)},
		{Title: "Source", Facts: sourceFacts(&s.Record.Source), Prose: paragraphs(s.Record.Source.Remarks)},
		{Title: "Surroundings", Facts: facts(
			fact{Name: "Air", Text: surroundings(s, "°C", func(r *record.Run) record.Number { return r.AmbientC })},
			fact{Name: "Warm-up", Text: surroundings(s, "min", func(r *record.Run) record.Number { return r.WarmUpMin })},
		)},
	}
	return slices.DeleteFunc(groups, func(g factGroup) bool { return len(g.Facts) == 0 && len(g.Prose) == 0 })
}

func (b *binder) unitFacts(u *record.Unit) factList {
	price := fact{Name: "Price", Text: with(u.Price, b.site.Content.Site.Currency)}
	if price.Text != "" && u.PriceDate.Text != "" {
		price.Text, price.Day = price.Text+" on", dayOf(u.PriceDate.Text)
	}
	return facts(
		fact{Name: "Maker", Text: u.Maker}, fact{Name: "Model", Text: u.Model},
		fact{Name: "Model year", Text: figureOf(u.Year)}, fact{Name: "Serial number", Text: u.Serial},
		fact{Name: "Condition", Text: u.Condition},
		fact{Name: "Kind", Text: kindOf(u)},
		fact{Name: "Runs from", Text: map[string]string{"dc": "direct current", "mains": "the mains"}[u.Supply]},
		fact{Name: "Channels", Text: strings.Join(isolatedAll(u.Channels), ", ")},
		price,
		fact{Name: "Size", Text: inBoth(figuresOf(u.SizeMM, " × ", "mm"), figuresOf(u.SizeIn, " × ", "in"))},
		fact{Name: "Mass", Text: inBoth(with(u.MassKG, "kg"), with(u.MassLb, "lb"))},
		fact{Name: "Own fuses", Text: figuresOf(u.FusesA, " + ", "A")},
		fact{Name: "Maker's lowest load", Text: lowest(u)},
	)
}

// inBoth writes a figure with the same one in a second unit, where there is one.
func inBoth(text, second string) string {
	if second == "" {
		return text
	}
	return text + " (" + second + ")"
}

// lowest is the maker's lowest load, of a channel and of a bridged pair.
func lowest(u *record.Unit) string {
	single, bridged := with(u.LowestOhm, "Ω"), with(u.LowestBridgedOhm, "Ω")
	if single != "" && bridged != "" {
		return single + ", bridged " + bridged
	}
	if bridged != "" {
		return "bridged " + bridged
	}
	return single
}

func settingFacts(s *record.Settings, w watching) factList {
	return facts(
		fact{Name: "Gain", Text: s.Gain}, fact{Name: "Input", Text: s.Input},
		fact{Name: "Boost", Text: s.Boost}, fact{Name: "Filters", Text: s.Filters},
		w.settings(s.Video),
	)
}

// sources say how a unit came to the bench.
var sources = map[string]string{
	"bought": "bought for the test", "lent": "lent for the test", "given": "given to the tester", "own": "the tester's own",
}

// afterwards say what becomes of a unit.
var afterwards = map[string]string{
	"kept": "kept by the tester", "returned": "returned", "sold": "sold", "undecided": "not decided yet",
}

func sourceFacts(s *record.Source) factList {
	earns := "nothing"
	if s.LinksEarn {
		earns = "a share of what is bought through them"
	}
	came := fact{Name: "Came here", Day: dayOf(s.Date.Text)}
	return facts(
		fact{Name: "How", Text: sources[s.How]}, fact{Name: "From", Text: s.From}, came,
		fact{Name: "After the test", Text: afterwards[s.After]},
		fact{Name: "Links to shops earn", Text: earns}, fact{Name: "Paid for the test", Text: s.Paid},
	)
}

// join joins the parts that are not empty.
func join(joint string, parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(p string) bool { return p == "" }), joint)
}

// readNames say what is read, by the keys of readings.
var readNames = map[string]string{
	"power_w": "output power", "out_v": "output voltage", "thdn_pct": "distortion (THD+N)",
	"supply_v": "supply voltage", "supply_a": "supply current", "supply_w": "supply power", "load_c": "load temperature",
}

// uncalibrated is what pages say of an instrument whose calibration bench.toml doesn't state.
const uncalibrated = "no calibration stated"

// roughly is what they say of one, or of a load, whose figures are guesses.
const roughly = "by rough figures that are not its own"

// An instrumentRow is an instrument or load that a sheet's runs used.
type instrumentRow struct {
	Link  link   // the instrument or load on the methodology page
	Reads string // what it read
}

// instruments are what the valid runs of a sheet were read with.
func (b *binder) instruments(s *sheet.Sheet, methodology string) []instrumentRow {
	bench := b.site.Content.Bench
	if bench == nil {
		return nil
	}
	reads := map[string][]string{}
	for _, quantity := range record.ReadQuantities {
		for _, r := range s.Runs {
			i := r.Rec.InstrumentFor(quantity, bench)
			if r.Valid && i != nil && len(r.Rec.Readings(quantity)) > 0 && !slices.Contains(reads[i.ID], readNames[quantity]) {
				reads[i.ID] = append(reads[i.ID], readNames[quantity])
			}
		}
	}
	var rows []instrumentRow
	for i := range bench.Instruments {
		in := &bench.Instruments[i]
		if len(reads[in.ID]) > 0 {
			read := and(reads[in.ID])
			if in.Calibrated.Text == "" {
				read += ", " + uncalibrated
			}
			if in.Rough {
				read += ", " + roughly
			}
			rows = append(rows, instrumentRow{link{methodology + "#instrument-" + in.ID, in.Name}, read})
		}
	}
	return append(rows, loadRows(s, bench, methodology)...)
}

// loadRows are the load elements that the valid runs of a sheet drove.
func loadRows(s *sheet.Sheet, bench *record.Bench, methodology string) []instrumentRow {
	used := map[string]bool{}
	for _, r := range s.Runs {
		for _, c := range r.Channels {
			if r.Valid && c.Load != nil {
				used[c.Load.ID] = true
			}
		}
	}
	var rows []instrumentRow
	for i := range bench.Loads {
		if l := &bench.Loads[i]; used[l.ID] {
			is := "load, " + with(l.NominalOhm, "Ω")
			if l.Rough {
				is += ", " + roughly
			}
			rows = append(rows, instrumentRow{link{methodology + "#load-" + l.ID, loadName(l)}, is})
		}
	}
	return rows
}

func loadName(l *record.Load) string {
	if l.Name != "" {
		return l.Name
	}
	return l.ID
}

// isolatedAll are names as they stand in a list, one beside the other.
func isolatedAll(names []string) []string {
	out := make([]string, len(names))
	for i, name := range names {
		out[i] = sheet.Isolated(name)
	}
	return out
}
