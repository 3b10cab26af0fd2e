package site

import (
	"cmp"
	"html/template"
	"strings"

	"wattsheet/charts"
	"wattsheet/generator/formula"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// A methodologyPage tells how every figure and verdict comes about.
type methodologyPage struct {
	head
	Heading     string            // the page's headline
	Licence     *link             // of the data; nil where the site states none
	Lead        template.HTML     // the site's own prose up to its first heading
	Text        template.HTML     // the rest of it
	Rule        ruleText          // how verdicts are found
	Examples    []exampleRow      // a made-up claim for each verdict
	Methods     []methodText      // those of methods.toml
	Check       *checkText        // nil where the bench has no check unit
	Instruments []instrumentText  // those of bench.toml
	Loads       template.HTML     // the table of the bench's loads
	Supplies    []supplyText      // those of bench.toml
	Bracket     *bracketText      // nil where no claim is decided yet
	Budget      *budgetText       // nil where no run decides a claim yet
	Words       []formula.Term    // what the words of the pages mean, by the alphabet
	Formulas    []formula.Formula // the whole catalogue
}

// A ruleText is the site's decision rule in words.
type ruleText struct {
	Name             string        // one of the usual rules, or the site's own
	Means            string        // the rule in a sentence
	Source           string        // the standard that it rests on
	MetFrom          string        // from this probability on a claim is met
	ShortTo          string        // up to this probability a claim falls short
	Close            string        // what "too close to call" means
	Undecided        string        // what "undecided" means
	Binary           bool          // no guard band: there is nothing between met and short
	Divided          bool          // ShortTo is divided among the channels of a claim
	MetMark          template.HTML // the shape of: met
	ShortMark        template.HTML // the shape of: falls short
	OpenMark         template.HTML // the shape of: open
	UntestedMark     template.HTML // the shape of: untested
	IncomparableMark template.HTML // the shape of: not comparable
	Allowance        string        // empty where there is none
	Assumed          []string      // what is assumed where a claim doesn't state it
	NotAssumed       []string      // what isn't assumed
}

// methodology makes the page of that name. It works through a claim's extremes with
// one sheet, and through an uncertainty with another; nil where no unit offers it.
func (b *binder) methodology(bracket, budget *sheet.Sheet) Output {
	folder := methodologyName + "/"
	text := b.texts[methodologyName]
	heading := text.Title
	if heading == "" {
		heading = "How the figures are made"
	}
	site := b.site.Content.Site
	page := methodologyPage{
		head:    b.head(folder, heading+" · "+site.Title, "Methods, instruments, formulas, uncertainty and decision rule of "+sentence(site.Title)),
		Heading: heading, Lead: text.Lead, Text: text.Rest,
		Rule: b.ruleText(), Examples: exampleRows(), Words: formula.Glossary(), Formulas: formula.Catalogue(),
	}
	if l := site.Licence; l.Stated() {
		page.Licence = &link{l.Address, l.Name}
	}
	if methods := b.site.Content.Methods; methods != nil {
		for i := range methods.Methods {
			page.Methods = append(page.Methods, methodTextOf(&methods.Methods[i]))
		}
	}
	if bench := b.site.Content.Bench; bench != nil {
		for i := range bench.Instruments {
			page.Instruments = append(page.Instruments, instrumentTextOf(&bench.Instruments[i]))
		}
		for i := range bench.Supplies {
			page.Supplies = append(page.Supplies, supplyTextOf(&bench.Supplies[i]))
		}
		page.Loads = loadTable(bench.Loads)
	}
	page.Check = b.checkText(&page.head)
	page.Bracket = b.bracketExample(bracket, page.Methodology)
	page.Budget = b.budget(budget, page.Methodology)
	return b.put("methodology", folder, page)
}

func (b *binder) ruleText() ruleText {
	rule, assume := b.site.Content.Site.Rule, b.site.Content.Site.Assume
	says := sheet.RuleOf(b.site.Content.Site)
	t := ruleText{
		Name: says.Name, Means: says.Means, Source: says.Source, MetFrom: figureOf(rule.MetFrom), ShortTo: figureOf(rule.ShortTo),
		Close: afterColon(sheet.OpenMeans.Close), Undecided: afterColon(sheet.OpenMeans.Undecided),
		Binary: says.Rule.MetFrom == says.Rule.ShortTo, Divided: says.Rule.ShortOf(2) < says.Rule.ShortTo,
	}
	for word, mark := range map[verdict.Word]*template.HTML{
		verdict.Met: &t.MetMark, verdict.Short: &t.ShortMark, verdict.Open: &t.OpenMark,
		verdict.Untested: &t.UntestedMark, verdict.Incomparable: &t.IncomparableMark,
	} {
		*mark = template.HTML(charts.Mark(word))
	}
	if rule.AllowancePct.Value > 0 {
		t.Allowance = with(rule.AllowancePct, "%")
	}
	for _, a := range []struct{ name, text string }{
		{"distortion", with(assume.ThdnPct, "% THD+N")},
		{"the supply voltage of a unit on direct current", with(assume.SupplyDCV, "V")},
		{"the supply voltage of a unit on the mains", with(assume.SupplyMainsV, "V")},
	} {
		if a.text == "" {
			t.NotAssumed = append(t.NotAssumed, a.name)
		} else {
			t.Assumed = append(t.Assumed, a.name+": "+a.text)
		}
	}
	return t
}

// afterColon is what a sentence says behind its word: "Undecided: a condition …".
func afterColon(text string) string {
	_, rest, _ := strings.Cut(text, ": ")
	return capital(rest)
}

// A methodText is one method as the page prints it.
type methodText struct {
	ID      string   // its id in methods.toml
	Title   string   // its title: at 1 % THD+N
	Wording []string // how a run is made, a paragraph each
	Facts   factList // frequency, distortion limit, pool and so on
}

func methodTextOf(m *record.Method) methodText {
	t := methodText{ID: m.ID, Title: capital(m.Title), Wording: paragraphs(m.Wording)}
	signal := map[string]string{"continuous": "continuous", "burst": "bursts"}[m.Signal]
	t.Facts = facts(
		fact{Name: "Signal", Text: join(", ", signal, with(m.FreqHz, "Hz"))},
		fact{Name: "Driven up to", Text: drivenTo(m)},
		bandOf(m),
		fact{Name: "Held for", Text: with(m.DurationS, "s")},
		fact{Name: "Burst", Text: burst(m)},
		fact{Name: "Crest factor at the meters", Text: figureOf(m.CrestFactor)},
		fact{Name: "Answers", Text: answers(m)},
		fact{Name: "Ripple and sag of the supply", Text: plusMinus(m.SupplyRipplePct, "%")},
		poolFact(&m.Pool),
		fact{Name: "Standard", Text: cmp.Or(m.Standard, "none: the words above are this site's own")},
	)
	return t
}

func drivenTo(m *record.Method) string {
	if m.IntoClipping {
		return join(", ", "clipping", with(m.ThdnPct, "% THD+N"))
	}
	return with(m.ThdnPct, "% THD+N")
}

func burst(m *record.Method) string {
	length, every := with(m.BurstMS, "ms"), with(m.EveryMS, "ms")
	if length == "" {
		return ""
	}
	if every == "" {
		return length
	}
	return length + " every " + every
}

// bandOf says in which band a method's distortion and noise are told: its own, as runs
// that are read from captures have it, or else that of the meter.
func bandOf(m *record.Method) fact {
	f := fact{Name: "Distortion and noise", Text: "within the band of the instrument that reads them", Href: "#instruments"}
	low, high := with(m.LowHz, "Hz"), with(m.HighHz, "Hz")
	switch {
	case low != "" && high != "":
		f.Note = "of captures from " + low + " to " + high
	case low != "":
		f.Note = "of captures from " + low + " on"
	case high != "":
		f.Note = "of captures up to " + high
	}
	return f
}

// answers says which durations of claim a method answers.
func answers(m *record.Method) string {
	upTo := m.AnswersUpToS
	if figureOf(upTo) == "" {
		upTo = m.DurationS
	}
	stated := ""
	if text := with(upTo, "s"); upTo.Value > 0 {
		stated = "claims that state a duration of up to " + text
	}
	unstated := ""
	if m.AnswersUnstated {
		unstated = "claims that state no duration"
	}
	return cmp.Or(and(nonEmpty(unstated, stated)), "no claim")
}

// poolFact is a method's repeatability.
func poolFact(p *record.Pool) fact {
	if figureOf(p.RelPct) == "" {
		return fact{Name: "Repeatability", Text: "not stated; it is missing from the uncertainties"}
	}
	f := fact{Name: "Repeatability", Text: "standard deviation " + with(p.RelPct, "%") + " of power, " + figureOf(p.DoF) + " degrees of freedom, "}
	f.Text += "declared"
	if len(p.Runs) > 0 {
		f.Text = strings.TrimSuffix(f.Text, "declared") + "computed from " + and(p.Runs)
	}
	if p.Date.Text != "" {
		f.Text, f.Day = f.Text+" on", dayOf(p.Date.Text)
	}
	return f
}

// plusMinus writes a half-width; "" where none was written.
func plusMinus(n record.Number, unit string) string {
	if text := with(n, unit); text != "" {
		return "±" + text
	}
	return ""
}

// nonEmpty keeps the texts that are not empty.
func nonEmpty(texts ...string) []string {
	var out []string
	for _, t := range texts {
		if t != "" {
			out = append(out, t)
		}
	}
	return out
}
