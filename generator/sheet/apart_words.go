package sheet

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/verdict"
)

// PairwiseNote stands beside every list of ranks.
const PairwiseNote = "Ranks come from pairwise comparisons: each pair is told apart, or not, by itself at a probability of 0.95. They are not one joint statement about all units: among many pairs, a few will be told apart wrongly."

// Names are what to call the two units in a sentence: maker and model, isolated, with the
// slug where they are the same.
func (p *Pair) Names() (a, b string) { return namesOf(p.A, p.B) }

func namesOf(one, other party) (a, b string) {
	slug, a := one.who()
	twin, b := other.who()
	if a, b = Isolated(a), Isolated(b); a == b {
		a, b = phrase("twin", "name", a, "slug", slug), phrase("twin", "name", b, "slug", twin)
	}
	return a, b
}

// say sets the pair's texts.
func (p *Pair) say() { p.Difference.say(p.At, p.A, p.B) }

func (d *Difference) say(at Point, one, other party) {
	if len(d.Corners) > 0 {
		d.PText = chanceRange(d.PMin, d.PMax)
	}
	a, b := namesOf(one, other)
	switch d.Side {
	case verdict.First:
		d.Why = told(at, a, b)
	case verdict.Second:
		d.Why = told(at, b, a)
	default:
		d.Why = phrase("not", "why", d.notTold(at, one, other))
	}
}

// bareOfIsolates takes away what Isolated puts around names.
var bareOfIsolates = strings.NewReplacer(isolate, "", isolated, "")

func told(at Point, more, less string) string {
	return phrase("told", "more", more, "less", less, "at", at.Title())
}

// notTold is why two units are not told apart.
func (d *Difference) notTold(at Point, one, other party) string {
	a, b := namesOf(one, other)
	switch d.Reason {
	case apartNoFigure:
		var missing []string
		for i, s := range []party{one, other} {
			if !s.stands() {
				missing = append(missing, phrase(apartNoFigure, "unit", []string{a, b}[i], "why", s.facts().Why))
			}
		}
		return strings.Join(missing, apartPhrases["and"])
	case apartFrequency:
		return phrase(apartFrequency, "a", a, "a_freq", one.facts().FreqText(), "b", b, "b_freq", other.facts().FreqText())
	case apartVoltage:
		return phrase(apartVoltage, "a", a, "a_supply", one.facts().SupplyText(), "b", b, "b_supply", other.facts().SupplyText())
	case apartSame, verdict.Close, verdict.Supply:
		return phrase(d.Reason)
	case verdict.Load, verdict.Supply + ", " + verdict.Load:
		if len(d.Corners) > 0 {
			return phrase(d.Reason, "load", Ohms(at.Ohm))
		}
	}
	var doubts []string
	for i, s := range []party{one, other} {
		if s.facts().Doubt != "" {
			doubts = append(doubts, phrase("doubt", "unit", []string{a, b}[i], "doubt", s.facts().Doubt))
		}
	}
	return strings.Join(doubts, apartPhrases["and"])
}

// chanceRange writes the probabilities over the corners.
func chanceRange(low, high float64) string {
	a, b := quantity.Chance(low, apartRule.MetFrom, apartRule.ShortTo), quantity.Chance(high, apartRule.MetFrom, apartRule.ShortTo)
	if a == b {
		return a
	}
	return phrase("range", "low", a, "high", b)
}

// chanceIs writes a corner's probability: "p = 0.97", "p > 0.99".
func chanceIs(p float64) string {
	text := chanceRange(p, p)
	if strings.HasPrefix(text, "<") || strings.HasPrefix(text, ">") {
		return "p " + text
	}
	return "p = " + text
}

// wattRange writes a carried range, to the places of the total as measured.
func wattRange(low, high float64, total *Figure) string {
	_, after, _ := strings.Cut(total.ValueText, ".")
	a, b := quantity.Fixed(low, len(after)), quantity.Fixed(high, len(after))
	if a == b {
		return a + nbsp + "W"
	}
	return phrase("range", "low", a, "high", b) + nbsp + "W"
}

// Passage is the comparison at one point for a terminal.
func (p *Pair) Passage() Passage {
	d := &derivation{}
	d.head("%s", p.At.Title())
	for _, s := range []*Standing{p.A, p.B} {
		d.say(2, "%s: %s", s.Sheet.Slug, s.measuredText())
	}
	if len(p.Corners) > 0 {
		d.say(2, "%s %s", phrase("carried", "volts", quantity.Fixed(p.Volts, 2), "load", Ohms(p.At.Ohm),
			"a_watts", wattRange(p.ALow, p.AHigh, p.A.Total), "b_watts", wattRange(p.BLow, p.BHigh, p.B.Total)), d.by(formula.CarriedPair))
		d.say(2, "%s %s", phrase("chance", "unit", p.A.Sheet.Slug, "p", p.PText, "corners", strconv.Itoa(len(p.Corners))), d.by(formula.Difference))
		for _, c := range p.Deciding() {
			d.say(4, "k = %s and %s, m = %s and %s: (y1 − y2)/u = (%s − %s)/%s, ν = %s, %s", calc(c.KA), calc(c.KB), calc(c.MA), calc(c.MB),
				calc(c.YA), calc(c.YB), calc(c.U), calc(c.DoF), chanceIs(c.P))
		}
	}
	d.say(2, "%s", bareOfIsolates.Replace(p.Why)) // what a terminal makes of them isn't known
	for _, l := range p.lacks() {
		d.say(2, "%s", l)
	}
	return d.done()[0]
}

// Deciding are the corners that decide: for units told apart the one at which they
// are nearest, else those at which the first stands lowest and highest, which may
// be one. It is empty where nothing is compared by numbers.
func (p *Pair) Deciding() []PairCorner {
	if len(p.Corners) == 0 {
		return nil
	}
	by := func(a, b PairCorner) int {
		return cmp.Or(cmp.Compare(a.P, b.P), cmp.Compare((a.YA-a.YB)/a.U, (b.YA-b.YB)/b.U))
	}
	low, high := slices.MinFunc(p.Corners, by), slices.MaxFunc(p.Corners, by)
	switch {
	case p.Side == verdict.First || low == high:
		return []PairCorner{low}
	case p.Side == verdict.Second:
		return []PairCorner{high}
	}
	return []PairCorner{low, high}
}

// measuredText is a standing's total as measured, and what it is of.
func (s *Standing) measuredText() string {
	if s.Total == nil {
		return "no figure: " + s.Why
	}
	text := fmt.Sprintf("%s at %s, %s, %s", s.Total.Text, s.SupplyText(), channelCount(s), runsText(s.Runs))
	if left := s.leftText(); left != "" {
		text += " (not " + left + ")"
	}
	return text
}

func channelCount(s *Standing) string {
	if s.At.Bridged {
		return countOf(s.Channels, "pair")
	}
	return countOf(s.Channels, "channel")
}

func runsText(ids []string) string {
	if len(ids) == 1 {
		return "run " + ids[0]
	}
	return "mean of runs " + strings.Join(ids, ", ")
}

// lacks says what the uncertainties lack.
func (p *Pair) lacks() []string {
	var out []string
	for _, s := range []*Standing{p.A, p.B} {
		if s.Total != nil && len(s.Total.Incomplete) > 0 {
			out = append(out, s.Sheet.Slug+": its uncertainty is not complete: "+strings.Join(s.Total.Incomplete, "; ")+".")
		}
	}
	return out
}

// Passage is the table for a terminal: the ranks, and the units without a figure.
func (t *RankTable) Passage() Passage {
	d := &derivation{}
	d.head("%s", t.Title)
	ranks, totals := width("rank"), width("total power")
	for _, r := range t.Rows {
		ranks, totals = max(ranks, width(r.Rank)), max(totals, width(r.Total.Text))
	}
	units := Columns - ranks - totals - 24
	row := func(rank, unit, total, supply, driven string) {
		d.line("  " + pad(rank, ranks) + "  " + pad(cut(unit, units), units) + "  " + padLeft(total, totals) + "  " + padLeft(supply, 8) + "  " + padLeft(driven, 6))
	}
	if len(t.Rows) > 0 {
		row("rank", "unit", "total power", "supply", "driven")
	}
	for _, r := range t.Rows {
		row(r.Rank, r.Sheet.Slug, r.Total.Text, r.SupplyText(), strconv.Itoa(r.Channels))
	}
	for _, r := range t.Rows {
		if r.Doubt != "" {
			d.say(2, "%s is told apart from none: %s.", r.Sheet.Slug, r.Doubt)
		}
	}
	for _, s := range t.Without {
		d.say(2, "%s is not ranked: %s.", s.Sheet.Slug, s.Why)
	}
	return d.done()[0]
}

// RankNote is what ranks mean, for a terminal.
func RankNote() Passage {
	d := &derivation{}
	d.head("What the ranks mean")
	d.say(2, "A unit's ranks go from 1 + the units of its table told apart as giving more to n − those told apart as giving less %s. Two units are told apart where the probability that one gives more is 0.95 at least at every corner of the conditions %s. Units measured at other frequencies, or with supplies too far off, stand in tables of their own.", d.by(formula.RankInterval), d.by(formula.Difference))
	d.say(2, "%s", PairwiseNote)
	return d.done()[0]
}
