package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wattsheet/generator/electric"
	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// When a unit's runs allow its supply exponent to be estimated: runs that differ in
// nothing but the supply voltage span exponentSpan of it, agree with one exponent
// (χ² within its 95 % point), and leave an expanded uncertainty below exponentU, so
// that the interval is narrower than the whole of what a supply can do, 0 … 2.6.
const (
	exponentSpan = 1.05
	exponentU    = supplyMost / 2
)

// The two kinds of supply that people know by name.
const (
	regulatedK   = 0.0
	unregulatedK = 2.0
)

// A SupplyExponent is the power k with which a unit's output goes with its supply
// voltage, P in proportion to Vs^k, estimated from its own runs. It is a property of
// the unit, for estimates; never of a verdict.
type SupplyExponent struct {
	K *Figure
	// Usable tells that the runs allow an estimate, see exponentSpan; otherwise K
	// is only shown, and Text says why.
	Usable bool
	// Outside tells that k lies outside 0 … 2.6 by more than its U: a finding.
	Outside bool
	Chi2    float64 // each run counted once: the mean over its channels
	Free    int     // its degrees of freedom; 0 where nothing is left to test by
	P       float64 // probability of such a χ² or a larger one; of no meaning when Free is 0
	// Numerator and Denominator are Σ w·(x − x̄)·(y − ȳ) and Σ w·(x − x̄)².
	Numerator, Denominator float64
	Groups                 []*ExponentGroup
	Text                   string // k in a sentence: what supply it looks like, or why it isn't estimated
}

// An ExponentGroup is runs of one channel that differ in the supply voltage only.
type ExponentGroup struct {
	Method  *record.Method
	Channel string
	Nominal float64 // Ω
	FreqHz  float64
	Loads   string // the run's load elements, by channel
	Points  []ExponentPoint
	MeanX   float64 // weighted mean of ln Vs
	MeanY   float64 // weighted mean of ln P

	samples []sample
}

// An ExponentPoint is one run of a group.
type ExponentPoint struct {
	Run      string
	SupplyV  *Figure
	Power    *Figure
	X, Y     float64 // ln Vs and ln P, less the group's weighted means
	Weight   float64
	Residual float64 // Y − k·X
}

// exponent estimates the unit's supply exponent; nil where no runs differ enough in
// the supply voltage.
func (e *evaluator) exponent(runs []*Run) *SupplyExponent {
	s := &SupplyExponent{Groups: exponentGroups(runs)}
	var points []electric.ExponentPoint
	var all []measured
	for i, g := range s.Groups {
		for _, one := range g.samples {
			points = append(points, electric.ExponentPoint{P: one.channel.Power.value, V: one.run.SupplyV.value, Group: i})
			all = append(all, measured{lacks: one.channel.Power.Incomplete}, measured{lacks: one.run.SupplyV.Incomplete})
		}
	}
	if len(points) == 0 {
		return nil
	}
	// what a load is wrong by is the same in all runs of a group
	fit, err := electric.FitExponent(points, func(s *quantity.Source) bool { return statedCommon(s) || s.Kind == "load" })
	if err != nil {
		return nil
	}
	s.K = figure("supply_exponent", "k", formula.Exponent, with(fit.K, all...))
	s.fill(fit)
	s.judge()
	return s
}

// exponentGroups sorts the runs that may stand in a fit by all but their supply
// voltage; groups that don't span enough of it are left out.
func exponentGroups(runs []*Run) []*ExponentGroup {
	var groups []*ExponentGroup
	for _, r := range runs {
		if r.Method.Signal != "continuous" || held(r.Rec.ReadAs.SupplyV) {
			continue
		}
		loads := elementsOf(r)
		for _, c := range r.Channels {
			if !fitting(r, c) {
				continue
			}
			i := slices.IndexFunc(groups, func(g *ExponentGroup) bool {
				return g.Method == r.Method && g.Channel == c.Name && g.FreqHz == r.FreqHz && g.Loads == loads
			})
			if i < 0 {
				i = len(groups)
				groups = append(groups, &ExponentGroup{Method: r.Method, Channel: c.Name, Nominal: c.Nominal, FreqHz: r.FreqHz, Loads: loads})
			}
			groups[i].samples = append(groups[i].samples, sample{r, c})
		}
	}
	return slices.DeleteFunc(groups, func(g *ExponentGroup) bool {
		low, high := g.volts()
		return high < exponentSpan*low
	})
}

// elementsOf names the load elements of a run's channels: L on a4, R on b4.
func elementsOf(r *Run) string {
	var texts []string
	for _, c := range r.Channels {
		text := c.Name
		if c.Load != nil {
			text += " on " + c.Load.ID
		}
		texts = append(texts, text)
	}
	return strings.Join(texts, ", ")
}

// volts is the range of a group's supply voltages.
func (g *ExponentGroup) volts() (low, high float64) {
	low = math.Inf(1)
	for _, s := range g.samples {
		low, high = math.Min(low, s.run.SupplyV.X), math.Max(high, s.run.SupplyV.X)
	}
	return low, high
}

// fill puts a fit into the groups, and adds up its goodness. The channels of a run
// don't scatter apart (see [Pool]), so that a run counts once.
func (s *SupplyExponent) fill(fit electric.Exponent) {
	counted := map[*Run]float64{} // channels of a run
	for _, g := range s.Groups {
		for _, one := range g.samples {
			counted[one.run]++
		}
	}
	n, free := 0, -1.0
	for _, g := range s.Groups {
		for _, one := range g.samples {
			p := ExponentPoint{Run: one.run.ID, SupplyV: one.run.SupplyV, Power: one.channel.Power,
				X: settled(fit.X[n], 1), Y: settled(fit.Y[n], 1), Weight: fit.Weights[n], Residual: settled(fit.Residuals[n], 1)}
			s.Numerator += p.Weight * p.X * p.Y
			s.Denominator += p.Weight * p.X * p.X
			s.Chi2 += p.Weight * p.Residual * p.Residual / counted[one.run]
			free += (1 - 1/float64(len(g.samples))) / counted[one.run]
			g.MeanX, g.MeanY = math.Log(p.SupplyV.X)-p.X, math.Log(p.Power.X)-p.Y
			g.Points = append(g.Points, p)
			n++
		}
	}
	s.Free = int(free + 1e-9) // whole where every channel stands in every run
	if s.Free > 0 {
		s.P = quantity.ChiSquaredAbove(s.Chi2, s.Free)
	}
}

// judge says whether the runs allow the estimate, and what it means.
func (s *SupplyExponent) judge() {
	k := s.K
	low, high := k.X-k.U, k.X+k.U
	disagree := s.Free > 0 && s.Chi2 > quantity.ChiSquared(0.95, s.Free)
	s.Usable = !disagree && k.U < exponentU && k.Incomplete == nil
	s.Outside = s.Usable && (high < 0 || low > supplyMost)
	from := fmt.Sprintf("from %s at supplies of %s", s.runsText(), s.voltsText())
	switch {
	case disagree:
		s.Text = fmt.Sprintf("Supply exponent: not estimated. The runs (%s) don't agree with one exponent (χ² = %s with %s, p %s).",
			from, quantity.Significant(s.Chi2, 2), countOf(s.Free, "degree")+" of freedom", equals(quantity.Chance(s.P, 0.95, 0.05)))
	case k.Incomplete != nil:
		s.Text = fmt.Sprintf("Supply exponent: not estimated. The uncertainty is incomplete: %s.", strings.Join(k.Incomplete, "; "))
	case !s.Usable:
		s.Text = fmt.Sprintf("Supply exponent: not estimated. The runs (%s) leave it too uncertain to tell one kind of supply from another: k = %s.", from, k.Text)
	case s.Outside:
		s.Text = fmt.Sprintf("Supply exponent k = %s, %s: outside what a supply does, 0 to 2.6. Something else than the supply changed between the runs.", k.Text, from)
	default:
		s.Text = fmt.Sprintf("Supply exponent k = %s, %s: %s. Nothing is decided by it.", k.Text, from, supplyLooks(low, high))
	}
}

// supplyLooks says what kind of supply an interval of exponents belongs to.
func supplyLooks(low, high float64) string {
	regulated, unregulated := low <= regulatedK && regulatedK <= high, low <= unregulatedK && unregulatedK <= high
	switch {
	case regulated && unregulated:
		return "it may be regulated (0) or not (2)"
	case regulated:
		return "near 0, as of a regulated supply, which holds the power when the voltage sags"
	case unregulated:
		return "near 2, as of an unregulated supply, whose power goes with the square of the voltage"
	case low > unregulatedK:
		return "above 2, as of an unregulated supply with a fixed drop"
	}
	return "between a regulated supply (0) and an unregulated one (2)"
}

// runsText counts the runs that an exponent rests on.
func (s *SupplyExponent) runsText() string {
	runs := map[*Run]bool{}
	for _, g := range s.Groups {
		for _, one := range g.samples {
			runs[one.run] = true
		}
	}
	return countOf(len(runs), "run")
}

// voltsText is the range of supply voltages that an exponent rests on.
func (s *SupplyExponent) voltsText() string {
	low, high := math.Inf(1), 0.0
	for _, g := range s.Groups {
		l, h := g.volts()
		low, high = math.Min(low, l), math.Max(high, h)
	}
	return quantity.Fixed(low, 1) + " to " + quantity.Fixed(high, 1) + nbsp + "V"
}
