package sheet

import (
	"math"
	"slices"
	"strings"

	"wattsheet/generator/electric"
	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/verdict"
)

// corners gives the table of the corners, and the deciding one step by step.
func (d *derivation) corners(c *Claim, t terms, groups []*group) {
	d.head("Carried to the claim's conditions: %s%sV, %s", num(t.supplyV), nbsp, Ohms(c.Rec.LoadOhm.Value))
	d.say(2, "Pc = P·(Vclaim/Vs)^k·(Rt/Rnom)^m for each run, averaged. k and m are not known, only that k lies between 0 (regulated supply) and %s (unregulated, with a fixed drop), and m between −1 (limited current) and +1 (constant voltage): so all extremes are tried. %s %s", num(supplyMost), d.by(formula.Carried), d.by(formula.Chance))
	word := c.Verdict
	if allShort(c.Corners) {
		word = verdict.Short
	}
	n := deciding(word, c.Corners)
	d.cornerTable(c.Corners, n, c.LimitW, groups)
	if n < 0 || c.Corners[n].Weakest >= len(groups) {
		return
	}
	at := c.Corners[n]
	g := groups[at.Weakest]
	d.head("The deciding corner: k = %s, m = %s, channel %s", num(at.K), num(at.M), g.name)
	if c.Verdict == verdict.Open && word == verdict.Open {
		d.state(2, "The claim is open; this is the corner with the smallest p.")
	}
	d.carried(c, g, t.supplyV, at)
}

// cornerTable lists corners; the marked one decides.
func (d *derivation) cornerTable(corners []verdict.CornerResult, marked int, limit float64, groups []*group) {
	d.line(cornerHead)
	bounds, left, told := false, 0, toldCorners(corners, marked, limit)
	for i, at := range corners {
		if !told[i] {
			left++
			continue
		}
		mark := byte(' ')
		if i == marked {
			mark = '*'
		}
		name := ""
		if at.Weakest < len(groups) {
			name = groups[at.Weakest].name
		}
		bounds = bounds || at.PMin != at.PMax
		d.cornerRow(mark, at, name, limit)
	}
	d.state(2, "The channel named is the one that decides at that corner, and y its mean there.")
	if left > 0 {
		d.say(2, "%s more between, where one of what is decided and printed stands worst or best, say no more than these.", capital(countOf(left, "corner")))
	}
	if bounds {
		d.state(2, "Where the runs only bound the power, so they do p: ≥ is at least, ≤ at most.")
	}
}

// toldCorners are the corners that stand in the table: those with the smallest and
// the largest k, the marked one, those that say something else than the first and, of
// the others, the ones that stand lowest and highest by (y − L)/u.
func toldCorners(corners []verdict.CornerResult, marked int, limit float64) []bool {
	least, most := math.Inf(1), math.Inf(-1)
	for _, at := range corners {
		least, most = min(least, at.K), max(most, at.K)
	}
	told := make([]bool, len(corners))
	low, high := -1, -1
	for i, at := range corners {
		if at.K == least || at.K == most || i == marked || at.Verdict != corners[0].Verdict {
			told[i] = true
			continue
		}
		if low < 0 || distance(at, limit) < distance(corners[low], limit) {
			low = i
		}
		if high < 0 || distance(at, limit) > distance(corners[high], limit) {
			high = i
		}
	}
	if low >= 0 {
		told[low], told[high] = true, true
	}
	return told
}

// distance is how many standard uncertainties a corner's mean lies above the limit.
func distance(at verdict.CornerResult, limit float64) float64 {
	if at.U == 0 {
		return math.Inf(1)
	}
	return (at.Y - limit) / at.U
}

// cornerHead is the first row of the corners' table.
var cornerHead = "  " + padLeft("k", 7) + padLeft("m", 4) + "  " + pad("channel", 7) + padLeft("y", 10) + padLeft("u", 10) + padLeft("ν", 10) +
	padLeft("(y−L)/u", 11) + padLeft("p", 9) + "  says"

// cornerRow adds the row of a corner, with the name of the channel that decides there.
func (d *derivation) cornerRow(mark byte, at verdict.CornerResult, channel string, limit float64) {
	start := d.before(0, true)
	var room [32]byte
	right := func(wide int, number []byte) { d.buf = append(blanks(d.buf, max(wide-len(number), 1)), number...) }
	d.buf = append(d.buf, ' ', mark)
	right(7, quantity.AppendFixed(room[:0], at.K, 4))
	right(4, quantity.AppendFixed(room[:0], at.M, 0))
	d.buf = append(append(d.buf, "  "...), pad(cut(channel, 7), 7)...)
	d.sized(10, at.Y)
	d.sized(10, at.U)
	d.sized(10, at.DoF)
	d.sized(11, distance(at, limit))
	d.buf = append(append(d.buf, padLeft(chance(at), 9)...), "  "...)
	d.buf = append(d.buf, at.Verdict...)
	d.lined(start, false)
}

// chance writes the p of a corner, a bound where the runs give only that.
func chance(at verdict.CornerResult) string {
	p := func(x float64) string {
		switch {
		case x > 0 && x < 1e-5:
			return "<0.00001"
		case x < 1 && x > 1-1e-5:
			return ">0.99999"
		}
		return quantity.Fixed(x, 5)
	}
	switch {
	case at.PMin == at.PMax:
		return p(at.PMin)
	case at.PMin == 0 && at.PMax == 1:
		return "unknown"
	case at.PMin == 0:
		return "≤" + quantity.Fixed(math.Ceil(at.PMax*1e5)/1e5, 5)
	case at.PMax == 1:
		return "≥" + quantity.Fixed(math.Floor(at.PMin*1e5)/1e5, 5)
	}
	return quantity.Fixed(at.PMin, 2) + "–" + quantity.Fixed(at.PMax, 2)
}

// deciding is the corner whose p a verdict rests on: the smallest, or where it is
// short the largest; −1 where there are none.
func deciding(word verdict.Word, corners []verdict.CornerResult) int {
	best := -1
	for i, at := range corners {
		switch {
		case best < 0:
			best = i
		case word == verdict.Short && at.PMax > corners[best].PMax, word != verdict.Short && at.PMin < corners[best].PMin:
			best = i
		}
	}
	return best
}

// carried gives a corner with numbers: each run carried there, the budget of their
// mean, and p.
func (d *derivation) carried(c *Claim, g *group, supplyV float64, at verdict.CornerResult) {
	samples := g.at(at, supplyV, c.Rec.LoadOhm.Value)
	if len(samples) == 0 {
		return
	}
	nominal := c.Rec.LoadOhm.Value
	var values []quantity.Value
	var terms []string
	for _, s := range samples {
		v := electric.Carried(s.channel.Power.value, s.run.SupplyV.value, s.channel.Resistance.value, supplyV, nominal, at.K, at.M)
		values, terms = append(values, v), append(terms, calc(v.X))
		d.say(2, "%s: Pc = %s·(%s/%s)^%s·(%s/%s)^%s = %s%sW", s.run.ID, num(s.channel.Power.X), num(supplyV), num(s.run.SupplyV.X), num(at.K),
			num(s.channel.Resistance.X), num(nominal), num(at.M), num(v.X), nbsp)
	}
	if len(terms) > 1 {
		d.say(2, "y = (%s)/%d = %s%sW", strings.Join(terms, " + "), len(terms), num(at.Y), nbsp)
	}
	d.budget(figure("mean", "y", formula.Carried, measured{Value: quantity.Mean(values...)}), values...)
	d.say(2, "y = %s%sW, u = %s%sW, ν = %s", num(at.Y), nbsp, num(at.U), nbsp, num(at.DoF))
	if at.U > 0 {
		z := (at.Y - c.LimitW) / at.U
		d.say(2, "(y − L)/u = (%s − %s)/%s = %s", num(at.Y), num(c.LimitW), num(at.U), num(z))
		d.say(2, "p %s F(%s; %s) = %s %s", bounding[g.classOf(samples)], num(z), num(at.DoF), num(quantity.Probability(z, at.DoF)), d.by(formula.Chance))
	}
}

// bounding is how p stands to what runs of a class give.
var bounding = map[string]string{classAt: "=", classBelow: "≥", classAbove: "≤"}

// at are the runs whose mean a corner's verdict rests on.
func (g *group) at(corner verdict.CornerResult, supplyV, nominal float64) []sample {
	at, below, above := g.classes[classAt], g.classes[classBelow], g.classes[classAbove]
	switch { // there are no others
	case len(below)+len(above) == 0:
		return at
	case len(at)+len(above) == 0:
		return below
	case len(at)+len(below) == 0:
		return above
	}
	for _, class := range []string{classAt, classBelow, classAbove} {
		if samples := g.classes[class]; len(samples) > 0 && newCarrier(samples, supplyV, nominal).at(corner.K, corner.M).Y == corner.Y {
			return samples
		}
	}
	return nil
}

// classOf is the class that some of a group's samples are.
func (g *group) classOf(samples []sample) string {
	for _, class := range []string{classAt, classBelow, classAbove} {
		if slices.Equal(g.classes[class], samples) {
			return class
		}
	}
	return classAt
}

// allShort reports whether there are corners and all say short.
func allShort(corners []verdict.CornerResult) bool {
	return len(corners) > 0 && !slices.ContainsFunc(corners, func(at verdict.CornerResult) bool { return at.Verdict != verdict.Short })
}

// eased tries a claim that is short under an assumed condition again, with its own
// table of corners.
func (d *derivation) eased(c *Claim, t terms, m *match) {
	if !allShort(c.Corners) || !t.supplyAssumed && !t.thdnAssumed {
		return
	}
	x := d.e.ease(c, t, m)
	var how []string
	if t.thdnAssumed {
		how = append(how, text("%s%s%% distortion or clipped", num(x.thdnPct), nbsp))
	}
	if t.supplyAssumed {
		how = append(how, text("%s·%s = %s%sV", num(t.supplyV), num(easedSupply), num(x.supplyV), nbsp))
	}
	d.head("The same runs with what is assumed eased")
	d.say(2, "Eased: %s", strings.Join(how, "; "))
	d.state(2, "All corners say short, but under a condition that the claim doesn't state. So the same runs are tried again with it eased; short holds only if they say so here too.")
	for _, u := range x.uses {
		d.say(2, "%s: %s", u.Run, u.Why)
	}
	if x.corners == nil {
		d.state(2, "Eased, the runs bound nothing: so the claim is open.")
		return
	}
	r := verdict.Decide(d.e.rule, c.LimitW, x.corners)
	n := deciding(r.Word, r.Corners)
	d.cornerTable(r.Corners, n, c.LimitW, x.groups)
	if at := r.Corners[n]; at.Weakest < len(x.groups) {
		d.carried(c, x.groups[at.Weakest], x.supplyV, at)
	}
	if r.Word == verdict.Short {
		d.state(2, "They say short here too: so it stays short.")
	} else {
		d.state(2, "They don't all say short here: so the claim is open.")
	}
}
