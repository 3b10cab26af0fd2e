package sheet

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// A Point is where units are compared: one method and one nominal load, bridged or
// not.
type Point struct {
	Method  *record.Method
	Ohm     float64
	Bridged bool
}

// Load is the point's load for people: "4 Ω bridged".
func (p Point) Load() string {
	if p.Bridged {
		return Ohms(p.Ohm) + " bridged"
	}
	return Ohms(p.Ohm)
}

// Title is the point for people: "4 Ω bridged, at 1 % THD+N".
func (p Point) Title() string { return phrase("at", "load", p.Load(), "method", p.Method.Title) }

// Near reports whether a nominal load is the point's, within 1 %.
func (p Point) Near(ohm float64) bool { return within(ohm, p.Ohm, nominalReach) }

// Same reports whether two points are one: one method and nominal load, within 1 %.
func (p Point) Same(q Point) bool {
	return p.Method.ID == q.Method.ID && p.Bridged == q.Bridged && p.Near(q.Ohm)
}

// of reports whether a run is at the point, whatever became of it.
func (p Point) of(r *Run) bool {
	return r.Method.ID == p.Method.ID && r.Bridged == p.Bridged && atLoad(r, p.Ohm)
}

// tried reports whether a unit has a run at the point.
func (p Point) tried(s *Sheet) bool { return slices.ContainsFunc(s.Runs, p.of) }

// Points are the points at which any of the sheets has a valid run, by method in
// the order of methods.toml, then load, unbridged first. Nominal loads within 1 %
// are one. The sheets are of one content.
func Points(sheets []*Sheet) []Point {
	if len(sheets) == 0 {
		return nil
	}
	var out []Point
	methods := sheets[0].Content.Methods.Methods
	for i := range methods {
		for _, bridged := range []bool{false, true} {
			for _, ohm := range loadsOf(sheets, methods[i].ID, bridged) {
				out = append(out, Point{&methods[i], ohm, bridged})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Point) int {
		if a.Method != b.Method {
			return 0
		}
		return cmp.Compare(a.Ohm, b.Ohm)
	})
	return out
}

// loadsOf are the nominal loads of the valid runs by a method, sorted, those within
// 1 % as one.
func loadsOf(sheets []*Sheet, method string, bridged bool) []float64 {
	var all, out []float64
	for _, s := range sheets {
		for _, r := range s.Runs {
			if r.Valid && r.Method.ID == method && r.Bridged == bridged && atLoad(r, r.Nominal) {
				all = append(all, r.Nominal)
			}
		}
	}
	slices.Sort(all)
	for _, ohm := range all {
		if n := len(out); n == 0 || !within(ohm, out[n-1], nominalReach) {
			out = append(out, ohm)
		}
	}
	return out
}

// A Standing is a unit's total power at a point: the mean of its valid, completed
// runs at the method's distortion limit with the most channels driven, at one
// frequency and one supply voltage. Which of several is never decided by the power:
// it is the method's frequency, and the voltage that the site assumes where a claim
// states none.
type Standing struct {
	Sheet *Sheet
	At    Point
	Facts
	Total *Figure // as measured, at the unit's terminals; nil where no run counts
	// Left are the other runs at the point, and why they don't count.
	Left []Use

	runs []*Run
}

// Facts are what a standing says beside its power, as they are published.
type Facts struct {
	Runs     []string `json:"runs,omitempty"`     // ids of the runs averaged
	Channels int      `json:"channels,omitempty"` // driven channels, or bridged pairs
	FreqHz   float64  `json:"freq_hz,omitempty"`
	SupplyV  float64  `json:"supply_v,omitempty"` // mean supply voltage of these runs
	Why      string   `json:"why,omitempty"`      // why there is no figure, in words; empty where there is one
	// Doubt says why the unit is told apart from no other, although it has a
	// figure; empty where nothing speaks against it. DoubtCode is its reason.
	Doubt     string `json:"doubt,omitempty"`
	DoubtCode string `json:"doubt_code,omitempty"`
}

// A party is one of two that are compared: a [Standing] or a [Compact].
type party interface {
	who() (slug, name string)
	facts() *Facts
	stands() bool                     // it has a total
	supplyReaches(volts float64) bool // a voltage is within 10 % of each of its runs'
}

func (s *Standing) who() (slug, name string) { return s.Sheet.Slug, s.Sheet.Name }
func (s *Standing) facts() *Facts            { return &s.Facts }
func (s *Standing) stands() bool             { return s.Total != nil }

// SupplyText is the supply voltage for people.
func (s *Facts) SupplyText() string { return quantity.Fixed(s.SupplyV, 2) + nbsp + "V" }

// FreqText is the frequency for people.
func (s *Facts) FreqText() string { return hertz(s.FreqHz) }

// StandingOf evaluates a unit's standing at a point.
func StandingOf(s *Sheet, at Point) *Standing {
	st := &Standing{Sheet: s, At: at}
	e := &evaluator{content: s.Content, rec: s.Record}
	for _, r := range s.Runs {
		if !at.of(r) {
			continue
		}
		if why := e.cannotStand(r); why != "" {
			st.leave(r, why)
			continue
		}
		st.runs = append(st.runs, r)
		st.Channels = max(st.Channels, len(r.Channels))
	}
	if len(st.runs) == 0 {
		st.Why = st.leftText()
		if st.Why == "" {
			st.Why = "no run at " + at.Load() + " by the method “" + at.Method.Title + "”"
		}
		return st
	}
	st.keep(func(r *Run) bool { return len(r.Channels) == st.Channels }, "fewer channels driven")
	st.oneFrequency()
	st.oneVoltage(e.assumedVolts())
	st.total()
	st.doubts()
	return st
}

// assumedVolts is the supply voltage that the site assumes for the unit where a
// claim states none; 0 where it assumes none.
func (e *evaluator) assumedVolts() float64 {
	if e.rec.Unit.Supply == "mains" {
		return e.content.Site.Assume.SupplyMainsV.Value
	}
	return e.content.Site.Assume.SupplyDCV.Value
}

func (s *Standing) leave(r *Run, why string) { s.Left = append(s.Left, Use{Run: r.ID, Why: why}) }

// keep leaves out the runs that are not as told.
func (s *Standing) keep(is func(*Run) bool, why string) {
	kept := s.runs[:0]
	for _, r := range s.runs {
		if is(r) {
			kept = append(kept, r)
		} else {
			s.leave(r, why)
		}
	}
	s.runs = kept
}

// leftText is which runs don't count and why, runs of one reason together.
func (s *Standing) leftText() string {
	var whys, out []string
	runs := map[string][]string{}
	for _, u := range s.Left {
		if len(runs[u.Why]) == 0 {
			whys = append(whys, u.Why)
		}
		runs[u.Why] = append(runs[u.Why], u.Run)
	}
	for _, why := range whys {
		word := "run "
		if len(runs[why]) > 1 {
			word = "runs "
		}
		out = append(out, word+strings.Join(runs[why], ", ")+": "+why)
	}
	return strings.Join(out, "; ")
}

// cannotStand says why a run gives no power to compare; empty where it does.
func (e *evaluator) cannotStand(r *Run) string {
	switch {
	case !r.Valid:
		return "marked invalid"
	case !r.Completed:
		return r.OutcomeText
	case !r.Method.ThdnPct.Given():
		return "the method states no distortion limit, so its runs have no power in common"
	case r.Total == nil:
		return "no power was read"
	case held(r.Rec.ReadAs.PowerW) && len(r.Rec.PowerW.Items) > 0 || held(r.Rec.ReadAs.OutV) && len(r.Rec.PowerW.Items) == 0:
		return "a held peak only bounds the power"
	case r.SupplyV == nil || r.SupplyV.X <= 0:
		return "no supply voltage was read"
	case !e.supplyWithin(r):
		return notAsNeeded
	}
	limit := r.Method.ThdnPct.Value
	for _, c := range r.Channels {
		switch d := c.Distortion; {
		case d == nil:
			return "its distortion is not known"
		case d.Incomplete != nil:
			return "its distortion reading has no specified instrument"
		case math.Abs(d.X-limit) > d.U:
			return fmt.Sprintf("at %s%s%% distortion, not at the method's %s%s%%", d.ValueText, nbsp, plain(limit), nbsp)
		}
	}
	return ""
}

// oneFrequency keeps the runs at one frequency: the method's where there are any,
// else the first run's.
func (s *Standing) oneFrequency() {
	same := func(f float64) func(*Run) bool {
		return func(r *Run) bool { return within(r.FreqHz, f, nominalReach) }
	}
	s.FreqHz = s.runs[0].FreqHz
	if f := s.At.Method.FreqHz; f.Given() && slices.ContainsFunc(s.runs, same(f.Value)) {
		s.FreqHz = f.Value
	}
	s.keep(same(s.FreqHz), "another frequency")
}

// oneVoltage keeps the runs within 3 % of one supply voltage: of those nearest to
// the assumed one, else the highest.
func (s *Standing) oneVoltage(assumed float64) {
	best := s.runs[0].SupplyV.X
	for _, r := range s.runs[1:] {
		v := r.SupplyV.X
		if assumed > 0 && math.Abs(v-assumed) < math.Abs(best-assumed) || assumed <= 0 && v > best {
			best = v
		}
	}
	s.keep(func(r *Run) bool { return within(r.SupplyV.X, best, lineReach) }, "another supply voltage")
}

// total sets the mean total power as measured, and the mean supply voltage.
func (s *Standing) total() {
	var totals, lacks []measured
	for _, r := range s.runs {
		s.Runs = append(s.Runs, r.ID)
		s.SupplyV += r.SupplyV.X / float64(len(s.runs))
		totals = append(totals, measured{r.Total.value, r.Total.Incomplete})
		lacks = append(lacks, measured{lacks: r.SupplyV.Incomplete})
		for _, c := range r.Channels {
			lacks = append(lacks, measured{lacks: c.Resistance.Incomplete})
		}
	}
	id, mean := formula.Mean, meanOf(totals)
	if len(totals) == 1 {
		id = formula.PowerTotal
	}
	s.Total = figure("total", "Ptotal", id, with(mean.Value, append(lacks, mean)...))
}

// doubts finds what keeps a unit from being told apart from any other.
func (s *Standing) doubts() {
	for _, r := range s.runs {
		for _, c := range r.Channels {
			switch d := c.Check; {
			case !within(c.Resistance.X, s.At.Ohm, loadReach):
				s.DoubtCode = "load"
				s.Doubt = fmt.Sprintf("the load of run %s was %s, more than 5%s%% off %s", r.ID, c.Resistance.Text, nbsp, Ohms(s.At.Ohm))
				return
			case d != nil && math.Abs(d.X) > d.U:
				s.DoubtCode = reasonReadings
				s.Doubt = fmt.Sprintf("watt-meter and volts disagree in run %s", r.ID)
				return
			}
		}
	}
}

// supplyReaches reports whether a voltage is within 10 % of each run's.
func (s *Standing) supplyReaches(volts float64) bool {
	for _, r := range s.runs {
		if !within(r.SupplyV.X, volts, supplyReach) {
			return false
		}
	}
	return true
}
