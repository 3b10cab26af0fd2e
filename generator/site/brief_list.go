package site

import (
	"strconv"
	"strings"

	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// A listing is what a list tells of a unit beside its leading claim, and what it can be
// searched, filtered and sorted by.
type listing struct {
	Maker      string        `json:",omitempty"` // who makes it
	Model      string        `json:",omitempty"` // what the maker calls it
	Kind       string        `json:",omitempty"` // kind of unit: mono
	Class      string        `json:",omitempty"` // class of the output stage: AB
	Year       string        `json:",omitempty"` // its model year
	Price      string        `json:",omitempty"` // in the site's currency, as people read it; empty where none is stated
	PriceIs    exact         `json:",omitzero"`  // the price as a number; 0 where none is stated
	Currency   string        `json:",omitempty"` // the site's currency: EUR
	Counts     []count       `json:",omitempty"` // claims by verdict, in the order in which pages name them
	Power      *amount       `json:",omitempty"` // the largest total of a completed run by the site's first method
	At         string        `json:",omitempty"` // the load of that run, for people
	PerMoney   *amount       `json:",omitempty"` // that power by the price
	Efficiency *amount       `json:",omitempty"` // in that run
	Points     []listedPoint // each load and method that it was tested with
}

// A count is how many claims have one verdict.
type count struct {
	Verdict verdict.Word // as data files have it: met
	Word    string       // as pages print it
	N       int          // how many
}

// says is the count in a sentence: "2 fall short".
func (c count) says() string {
	word := strings.ToLower(c.Word)
	if c.N > 1 {
		word = strings.Replace(word, "falls", "fall", 1)
	}
	return strconv.Itoa(c.N) + nbsp + word
}

// countsOf counts the verdicts of claims.
func countsOf(claims []*sheet.Claim) []count {
	var out []count
	for _, w := range verdict.Words {
		for _, c := range claims {
			if c.Verdict == w {
				out = counted(out, count{w, c.Word, 1})
			}
		}
	}
	return out
}

// counted adds a count to others.
func counted(to []count, one count) []count {
	for i := range to {
		if to[i].Verdict == one.Verdict && to[i].Word == one.Word {
			to[i].N += one.N
			return to
		}
	}
	return append(to, one)
}

// counts says how many claims a unit has, and how they stand.
func (l *listing) counts() string {
	n, says := 0, []string{}
	for _, c := range l.Counts {
		n, says = n+c.N, append(says, c.says())
	}
	switch n {
	case 0:
		return "no claims recorded"
	case 1:
		return "1 claim"
	}
	return strconv.Itoa(n) + nbsp + "claims: " + strings.Join(says, ", ")
}

// An amount is a figure as it is rounded for people, without its unit.
type amount struct {
	Value string // the figure: 218.7
	U     string // the 95 % uncertainty: 2.9
	Lacks bool   `json:",omitempty"` // its uncertainty is incomplete
}

// A listedPoint is a load and a method that a unit was tested with. Its figures are those
// of the unit's [sheet.Standing]; a unit that stands there with no power has none.
type listedPoint struct {
	Ohm        exact   // the nominal load in Ω
	Bridged    bool    `json:",omitempty"` // channels were bridged
	Method     string  // the id of the method
	Total      *amount // total power, in W; nothing where there is no figure
	Efficiency *amount // of that power, in percent; nothing where not known
}

// signed is the load in ohms, negative where it is a bridged pair's.
func (p listedPoint) signed() float64 {
	if p.Bridged {
		return -float64(p.Ohm)
	}
	return float64(p.Ohm)
}

// listingOf gives what lists tell of a sheet, where it stands as given.
func listingOf(s *sheet.Sheet, standings []*sheet.Standing) listing {
	u := &s.Record.Unit
	out := listing{
		Maker: u.Maker, Model: u.Model, Kind: u.Kind, Class: u.Class, Year: figureOf(u.Year),
		Price: figureOf(u.Price), PriceIs: exact(u.Price.Value), Currency: s.Content.Site.Currency, Counts: countsOf(s.Claims), PerMoney: amountOf(s.PerMoney()),
	}
	if best := s.Best(); best != nil {
		out.Power, out.Efficiency, out.At = amountOf(best.Total), amountOf(best.Efficiency), sheet.Point{Ohm: best.Nominal, Bridged: best.Bridged}.Load()
	}
	for _, st := range standings {
		out.Points = append(out.Points, listedPoint{exact(st.At.Ohm), st.At.Bridged, st.At.Method.ID, amountOf(st.Total), amountOf(st.Efficiency())})
	}
	return out
}

func amountOf(f *sheet.Figure) *amount {
	if f == nil {
		return nil
	}
	return &amount{f.ValueText, f.UText, f.Incomplete != nil}
}

// in writes an amount with its unit, as [sheet.Figure] has its text; empty for nil.
func (a *amount) in(unit string) string {
	switch {
	case a == nil:
		return ""
	case a.U == "":
		return a.Value + nbsp + unit
	}
	return "(" + a.Value + " ± " + a.U + ")" + nbsp + unit
}

// facts are what a row tells under its claim line.
func (l *listing) facts() factList {
	price := fact{Name: "Price", Text: notStated}
	if l.Price != "" {
		price.Text = l.Price + nbsp + l.Currency
	}
	return factList{
		l.Power.fact("Power", "W", "at "+l.At), l.PerMoney.fact("Power for money", "W/"+l.Currency, ""),
		l.Efficiency.fact("Efficiency", "%", ""), price,
	}
}

// fact is an amount as a row tells it, with what stands beside it.
func (a *amount) fact(name, unit, note string) fact {
	switch {
	case a == nil:
		return fact{Name: name, Text: none}
	case a.Lacks:
		note = join(", ", note, incomplete)
	}
	return fact{Name: name, Text: a.in(unit), Note: note}
}

// What a row says where there is no price, and no figure.
const (
	notStated  = "not stated"
	none       = "–"
	incomplete = "uncertainty incomplete"
)
