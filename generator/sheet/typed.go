package sheet

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// typedNumber is a number with a unit as texts have it: notes, subtitles, descriptions. A
// number that a longer one, a word, a sign or a range is part of is another thing. It may
// be emphasized, and its unit be kept beside it.
var typedNumber = regexp.MustCompile(`(^|[\s(;:“"'*_])(\d{1,7}(?:[.,]\d{1,6})?)[*_]{0,3}(?:[ \x{a0}\x{202f}\x{2009}]|&nbsp;)?(kW|W|V|A|Ω|[Oo]hms?|[Ww]atts?|[Vv]olts?|[Aa]mps?|[Aa]mperes?|[Pp]ercent|%|°C|kHz|Hz|kg|mm)($|[\s).,;:!?”"'…–—*_-])`)

// typedUnits are the units of such numbers as the record has them, with the factor
// to them.
var typedUnits = map[string]struct {
	unit  string
	times float64
}{
	"kW": {"W", 1000}, "W": {"W", 1}, "V": {"V", 1}, "A": {"A", 1}, "Ω": {"Ω", 1}, "ohm": {"Ω", 1}, "ohms": {"Ω", 1},
	"watt": {"W", 1}, "watts": {"W", 1}, "volt": {"V", 1}, "volts": {"V", 1}, "amp": {"A", 1}, "amps": {"A", 1},
	"ampere": {"A", 1}, "amperes": {"A", 1}, "percent": {"%", 1},
	"%": {"%", 1}, "°C": {"°C", 1}, "kHz": {"Hz", 1000}, "Hz": {"Hz", 1}, "kg": {"kg", 1}, "mm": {"mm", 1},
}

// systemVolts are the nominal voltages of batteries and vehicles: a kind of system,
// no figure of the record (common practice, no source).
var systemVolts = []string{"6", "12", "24", "36", "48"}

// driftReach is how near a typed number lies to a figure of the record to be taken
// for it, as a fraction: further off it speaks of something else.
const driftReach = 0.2

// A known is a figure that a record has.
type known struct {
	unit string
	x    float64
	u    float64 // expanded uncertainty, 0 for what is no measurement
	says string  // as people read it, with what it is
	cite string  // RUN/QUANTITY, where notes can cite it
}

// A Typed is a number with a unit in a text that disagrees with the record: near a figure
// of it, but neither within its uncertainty nor within the rounding of what was typed.
type Typed struct {
	At, Length int    // bytes of the text
	Text       string // number and unit
	Says       string // the record's figure, as people read it, with what it is
	Cite       string // RUN/QUANTITY, where notes can cite it
}

// A Knower knows the figures of a sheet that texts may speak of. It is for one goroutine.
type Knower struct {
	sheet *Sheet
	known []known // once a text has a number
}

// Knows gives who knows the figures of the sheet that texts may speak of.
func (s *Sheet) Knows() *Knower { return &Knower{sheet: s} }

// Typed finds the numbers in a text that disagree with the record.
func (k *Knower) Typed(text []byte) (all []Typed) {
	for from := 0; from < len(text); {
		m := typedNumber.FindSubmatchIndex(text[from:])
		if m == nil {
			break
		}
		if k.known == nil {
			k.known = knownOf(k.sheet)
		}
		number, unit := string(text[from+m[4]:from+m[5]]), string(text[from+m[6]:from+m[7]])
		if near := k.nearest(number, unit); near != nil {
			all = append(all, Typed{from + m[4], m[7] - m[4], number + " " + unit, strings.ReplaceAll(near.says, nbsp, " "), near.cite})
		}
		from += m[7]
	}
	return all
}

// nearest is drifted for a number with a comma too: a decimal one, or, before three digits,
// perhaps one between thousands. It is only told where it disagrees either way.
func (k *Knower) nearest(number, unit string) *known {
	if _, known := typedUnits[unit]; !known {
		unit = strings.ToLower(unit) // Watt
	}
	whole, fraction, comma := strings.Cut(number, ",")
	if !comma {
		near, _ := k.drifted(number, unit)
		return near
	}
	near, agrees := k.drifted(whole+"."+fraction, unit)
	if len(fraction) == 3 && len(whole) <= 3 && whole[0] != '0' && !agrees {
		other, alsoAgrees := k.drifted(whole+fraction, unit)
		if near == nil || alsoAgrees {
			return other
		}
	}
	return near
}

// wide is the uncertainty, as a part of a figure, from which nearly any number beside it is
// within: the heat of a run may have ±16 % beside a power of ±3 %. Such a figure speaks for
// a number only where no other lies nearer.
const wide = 0.1

// drifted gives the figure that a typed number is near to and disagrees with; nil
// where it agrees with one, which is told, or is near to none.
func (k *Knower) drifted(number, unit string) (near *known, agrees bool) {
	to := typedUnits[unit]
	x, err := strconv.ParseFloat(number, 64)
	if err != nil || to.unit == "V" && slices.Contains(systemVolts, number) {
		return nil, false
	}
	_, decimals, _ := strings.Cut(number, ".")
	rounding := 0.5 * math.Pow(10, -float64(len(decimals))) * to.times
	x *= to.times
	var loose *known
	for i := range k.known {
		one := &k.known[i]
		off := math.Abs(x - one.x)
		switch {
		case one.unit != to.unit || off > driftReach*math.Abs(one.x):
		case off <= rounding*(1+1e-9) || off <= one.u*(1+1e-9) && one.u <= wide*math.Abs(one.x):
			return nil, true
		case off <= one.u*(1+1e-9):
			if loose == nil || off < math.Abs(x-loose.x) {
				loose = one
			}
		case near == nil || off < math.Abs(x-near.x):
			near = one
		}
	}
	if loose != nil && (near == nil || math.Abs(x-loose.x) <= math.Abs(x-near.x)) {
		return nil, true
	}
	return near, false
}

// knownOf lists the figures of a sheet that notes may speak of.
func knownOf(s *Sheet) []known {
	k := knowns{}
	for _, r := range s.Runs {
		names, figures := Citable(r)
		for i, f := range figures {
			k.figure(f, "run "+r.ID, r.ID+"/"+names[i])
		}
		k.figure(r.SupplyA, "run "+r.ID, "")
		for _, c := range r.Channels {
			k.figure(c.Resistance, "run "+r.ID, "")
			k.figure(c.Volts, "run "+r.ID, "")
			k.number(c.Nominal, "Ω", "the nominal load of run "+r.ID)
		}
		k.number(r.FreqHz, "Hz", "the frequency of run "+r.ID)
		k.number(r.Method.ThdnPct.Value, "%", "the method's distortion")
		k.written(r.Rec.AmbientC, "°C", "the air in run "+r.ID)
		for _, n := range r.Rec.LoadC.Items {
			k.written(n, "°C", "the load in run "+r.ID)
		}
	}
	for _, c := range s.Claims {
		for _, ch := range c.Channels {
			k.figure(ch.Mean, "claim "+c.ID, "")
		}
		k.written(c.Rec.PowerW, "W", "claim "+c.ID)
		k.number(c.ClaimW*c.Rec.Channels.Value, "W", "claim "+c.ID+", all channels")
		k.written(c.Rec.LoadOhm, "Ω", "claim "+c.ID)
		k.written(c.Rec.SupplyV, "V", "claim "+c.ID)
		k.written(c.Rec.ThdnPct, "%", "claim "+c.ID)
		for _, n := range c.Rec.FreqHz.Items {
			k.written(n, "Hz", "claim "+c.ID)
		}
	}
	k.unit(&s.Record.Unit)
	for _, sp := range s.Specs {
		k.figure(sp.Measured, sp.Rec.Name, "")
		for _, n := range append([]record.Number{sp.Rec.Stated, sp.Rec.StatedTo}, sp.Rec.Measured.Items...) {
			k.written(n, sp.Rec.Unit, sp.Rec.Name)
		}
	}
	for _, t := range s.Thermals {
		k.written(t.Rec.AmbientC, "°C", "the air at "+t.Rec.Spot)
		for _, p := range t.Points {
			k.figure(p.TempC, t.Rec.Spot, "")
			k.figure(p.Rise, t.Rec.Spot, "")
		}
	}
	return k
}

type knowns []known

func (k *knowns) figure(f *Figure, of, cite string) {
	if f == nil {
		return
	}
	unit := f.Unit
	if unit == "K" {
		unit = "°C"
	}
	*k = append(*k, known{unit, f.X, f.U, f.Text + ", " + of, cite})
}

func (k *knowns) written(n record.Number, unit, of string) {
	if n.Given() {
		*k = append(*k, known{unit, n.Value, 0, n.Text + nbsp + unit + ", " + of, ""})
	}
}

func (k *knowns) number(x float64, unit, of string) {
	if x != 0 {
		*k = append(*k, known{unit, x, 0, quantity.Significant(x, 4) + nbsp + unit + ", " + of, ""})
	}
}

// unit adds what a record says of the unit itself.
func (k *knowns) unit(u *record.Unit) {
	for _, n := range u.SizeMM.Items {
		k.written(n, "mm", "its size")
	}
	fuses := 0.0
	for _, n := range u.FusesA.Items {
		k.written(n, "A", "its fuses")
		fuses += n.Value
	}
	k.number(fuses, "A", "its fuses together")
	k.written(u.MassKG, "kg", "its mass")
	k.written(u.LowestOhm, "Ω", "the maker's lowest load")
	k.written(u.LowestBridgedOhm, "Ω", "the maker's lowest load, bridged")
}

// Citable lists the figures of a run that notes may cite, with their names.
func Citable(run *Run) (names []string, figures []*Figure) {
	add := func(name string, f *Figure) {
		if f != nil {
			names, figures = append(names, name), append(figures, f)
		}
	}
	for _, c := range run.Channels {
		add("power."+c.Name, c.Power)
		add("out_v."+c.Name, c.OutV)
		add("thdn."+c.Name, c.Distortion)
	}
	add("total", run.Total)
	add("efficiency", run.Efficiency)
	add("heat", run.Heat)
	add("supply_power", run.SupplyPower)
	add("supply_v", run.SupplyV)
	return names, figures
}
