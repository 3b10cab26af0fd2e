package site

import (
	"html/template"
	"slices"
	"strconv"
	"strings"
	"sync"

	"wattsheet/generator/datafile"
	"wattsheet/generator/formula"
	"wattsheet/generator/sheet"
)

// An atLoadPart is the part of a unit's page that answers "at my load". Everything
// is in its tables; the script only shows the rows that are asked for.
type atLoadPart struct {
	Coils    []coilChoice  // what can be chosen as the coils of a speaker
	Speakers []int         // how many speakers can be chosen: 1, 2, 4
	Bridges  bool          // two channels can be bridged for a load
	Paired   bool          // it begins with a bridged pair: nothing is known of a channel
	Loads    []string      // that can be asked for themselves
	Metals   []string      // what a lead may be made of
	Lengths  []string      // lengths of the supply lead, in metres
	Data     template.HTML // what the script looks rows up in
	Table    template.HTML // all loads, with power, supply current, heat and fuse
	Leads    template.HTML // empty where no lead is advised
	Without  []string      // sentences on loads without a figure
	Note     string        // on estimates; empty where there are none
	Shock    []string      // loads at which an output exceeds 50 V AC
	Mains    bool          // the unit runs from the mains
	Cautions []string      // further cautions, in sentences: leave them beside the figures
	Formulas []link        // the formulas behind the figures
}

// A coilChoice is a kind of speaker that can be chosen.
type coilChoice struct {
	Value string // as the script takes it
	Text  string // as a reader sees it: dual 2 Ω
	First bool   // it begins with this one; where none is, with 4 Ω
}

// atLoadOf makes the part; nil where nothing was measured or estimated at any load.
func (b *binder) atLoadOf(s *sheet.Sheet, methodology string) *atLoadPart {
	if !slices.ContainsFunc(s.AtLoads, func(a *sheet.AtLoad) bool { return len(a.Results) > 0 }) {
		return nil
	}
	p := &atLoadPart{Mains: s.Record.Unit.Supply == "mains", Cautions: []string{sheet.CoilCaution, sheet.LoadCaution}}
	for coils, name := range []string{"", "dual "} {
		for _, z := range sheet.CoilOhms(coils + 1) {
			p.Coils = append(p.Coils, coilChoice{Value: strconv.Itoa(coils+1) + "x" + plainNumber(z), Text: name + sheet.Ohms(z)})
		}
	}
	for _, w := range sheet.Wirings() {
		if !slices.Contains(p.Speakers, w.Speakers) {
			p.Speakers = append(p.Speakers, w.Speakers)
		}
	}
	if !p.Mains {
		for _, m := range sheet.LeadMetals {
			p.Metals = append(p.Metals, m.Name)
		}
		for _, l := range sheet.LeadLengths() {
			p.Lengths = append(p.Lengths, plainNumber(l))
		}
	}
	t := loadTables{methodology: methodology, channels: manyChannels(s)}
	for _, a := range s.AtLoads {
		p.about(a)
		t.add(a)
	}
	p.Table, p.Leads, p.Data = t.results(), t.leads(), t.data(s.AtLoads)
	p.Without = withoutFigure(s.AtLoads)
	p.formulas(methodology)
	p.begin(s.AtLoads)
	return p
}

// begin chooses what the part begins with where there is no figure at 4 Ω, which most speakers have:
// the first coil for which there is one, of a channel before a pair.
func (p *atLoadPart) begin(loads []*sheet.AtLoad) {
	first := -1
	for _, a := range loads {
		at := slices.IndexFunc(p.Coils, func(c coilChoice) bool { return c.Value == "1x"+plainNumber(a.Ohm) })
		if at < 0 || len(a.Results) == 0 || first >= 0 && a.Bridged != p.Paired {
			continue
		}
		p.Paired = a.Bridged
		if a.Ohm == 4 {
			return
		}
		if first < 0 {
			first = at
		}
	}
	if first >= 0 {
		p.Coils[first].First = true
	}
}

// manyChannels reports whether any result is of more than one channel.
func manyChannels(s *sheet.Sheet) bool {
	return slices.ContainsFunc(s.AtLoads, func(a *sheet.AtLoad) bool {
		return slices.ContainsFunc(a.Results, func(r *sheet.LoadResult) bool { return len(r.Channels) > 1 })
	})
}

// about notes what the page says of a load beside its rows.
func (p *atLoadPart) about(a *sheet.AtLoad) {
	p.Bridges = p.Bridges || a.Bridged
	if a.Kind != sheet.LoadRefused && a.Kind != sheet.LoadOutside {
		p.Loads = append(p.Loads, a.Text())
	}
	for _, r := range a.Results {
		if r.Estimate {
			p.Note = "An estimate is the load line's, between loads that were tested: no measurement, and never a reason for a verdict."
		}
		if r.Shock && !slices.Contains(p.Shock, a.Text()) {
			p.Shock = append(p.Shock, a.Text())
		}
	}
}

// formulas are the formulas and sources behind the figures.
func (p *atLoadPart) formulas(methodology string) {
	add := func(id, text string) {
		p.Formulas = append(p.Formulas, link{methodology + "#formula-" + id, text})
	}
	add(formula.VoiceCoils, "coils")
	if p.Note != "" {
		add(formula.LoadLine, "load line")
		add(formula.EfficiencyBetween, "efficiency between loads")
		add(formula.PlannedHeat, "heat")
	}
	if p.Mains {
		return
	}
	if p.Note != "" {
		add(formula.PlannedSupply, "current")
	}
	add(formula.FuseRating, "fuse")
	add(formula.LeadBears, "what a lead bears")
	add(formula.LeadOhms, "its resistance")
	add(formula.WireGauge, "wire gauges")
}

// withoutFigure says of the loads without a figure why they have none: those below
// the lowest and outside the tested range together.
func withoutFigure(loads []*sheet.AtLoad) []string {
	var out []string
	var last *sheet.AtLoad
	for i, a := range loads {
		switch a.Kind {
		case sheet.LoadNothing:
			out = append(out, a.Why)
		case sheet.LoadRefused: // the highest speaks for those below
			if i+1 == len(loads) || loads[i+1].Kind != a.Kind || loads[i+1].Bridged != a.Bridged {
				out = append(out, a.Why+" So is every lower one.")
			}
		case sheet.LoadOutside: // the lowest on a side for those beyond
			if last == nil || last.Kind != a.Kind || last.Bridged != a.Bridged {
				out = append(out, a.Why+" So is every one beyond it.")
			}
		}
		last = a
	}
	return out
}

// data is what the script looks up: for each load the first of its rows and how many,
// or which sentence says why there are none; for each result its row of leads; and the
// ways to wire coils.
func (t *loadTables) data(loads []*sheet.AtLoad) template.HTML {
	var answers, whys, leads []string
	named := map[string]bool{}
	at := 0
	for _, a := range loads {
		answer := "[" + strconv.Itoa(at) + "," + strconv.Itoa(len(a.Results)) + "]"
		at += len(a.Results)
		if len(a.Results) == 0 {
			why := quoted(strings.Replace(a.Why, a.Text(), "*", 1))
			n := slices.Index(whys, why)
			if n < 0 {
				n, whys = len(whys), append(whys, why)
			}
			answer = strconv.Itoa(n)
		}
		for _, name := range namesOf(a) {
			if !named[name] {
				answers = append(answers, quoted(name)+":"+answer)
			}
			named[name] = true
		}
	}
	for _, n := range t.leadOf {
		leads = append(leads, strconv.Itoa(n))
	}
	text := `{"loads":{` + strings.Join(answers, ",") + `},"why":` + inBrackets(whys) + `,"lead":` + inBrackets(leads) + `,"wired":` + wired() + "}"
	return drafted(func(d *draft) {
		d.raw(`<script type="application/json" class="at-data">`).block([]byte(text)).raw("</script>\n")
	})
}

// wired are the ways to wire coils, the same on every page.
var wired = sync.OnceValue(func() string {
	var all []string
	for _, w := range sheet.Wirings() {
		one := []string{strconv.Itoa(w.Speakers), strconv.Itoa(w.Coils), quoted(wiredAs(w)), quoted(w.Text)}
		for _, ohm := range w.Loads {
			one = append(one, quoted(sheet.Ohms(ohm)))
		}
		all = append(all, inBrackets(one))
	}
	return inBrackets(all)
})

func inBrackets(of []string) string { return "[" + strings.Join(of, ",") + "]" }

// quoted is a text as JSON has it.
func quoted(s string) string { return string(datafile.AppendQuoted(nil, s)) }

// wiredAs is how an address names a wiring.
func wiredAs(w sheet.Wiring) string {
	switch {
	case w.Series == 1:
		return "parallel"
	case w.Parallel == 1:
		return "series"
	}
	return strconv.Itoa(w.Series) + "s" + strconv.Itoa(w.Parallel) + "p"
}

// namesOf are the names that a load is looked up by: its own, and that of wired coils
// which it stands for, within 1 %.
func namesOf(a *sheet.AtLoad) []string {
	names := []string{a.Text()}
	for _, w := range sheet.Wirings() {
		for _, ohm := range w.Loads {
			p := sheet.Point{Ohm: ohm, Bridged: a.Bridged}
			if p.Near(a.Ohm) && !slices.Contains(names, p.Load()) {
				names = append(names, p.Load())
			}
		}
	}
	return names
}

// plainNumber is a number as the page's tables have it; empty where it is infinite or none.
func plainNumber(x float64) string {
	var room [32]byte
	return string(datafile.AppendNumber(room[:0], x))
}
