package capture

import (
	"math"

	"wattsheet/generator/quantity"
)

// A Point is what one level of a sweep gave.
type Point struct {
	Seconds             float64 // from the first sample to the middle of it
	RMS, Power          float64 // in the channel's unit, and in watts into the load
	Mean                float64 // in the channel's unit, which is in RMS and Power
	THD, THDN           float64 // relative to the fundamental, as in [Figures]
	SupplyPower         float64 // watts; 0 where the supply wasn't recorded
	SupplyV, SupplyA    float64 // likewise, means
	FlatTop, FlatBottom float64 // as in [Figures]
	Blocks              int     // that it is the mean of
	spread              float64 // relative standard uncertainty of THDN
}

// Flat reports whether a side of the wave is flat there, as [Figures.Clipped] means it.
func (p Point) Flat() bool { return p.flatness() >= flat }

func (p Point) flatness() float64 { return math.Max(p.FlatTop, p.FlatBottom) }

// flatness names the curve that the onset is told from.
const flatness = "flatness"

// A Curve is distortion over power, in the order of time.
type Curve struct {
	Points []Point
	wiring Wiring
}

// The limits within which blocks of a stepped capture are of one step: the amplitude
// doesn't change within a block, nor the power from block to block.
const (
	steadyDrift = 0.002
	samePower   = 0.005
)

// Levels reads a tone whose level rises, and gives the curve of distortion over power.
// Where it rises in steps, each of three blocks at least, a point is the mean of a step
// and what lies between steps is left out; where it rises evenly each block is a point,
// and the fit follows an amplitude that changes linearly within it: at 1 dB a block
// what is left of it is 80 dB below the tone.
//
// The tone's frequency and a load have to be stated. Stretches without the tone are
// left out.
func Levels(s Source, w Wiring, t Tone, stepped bool) (Curve, error) {
	if t.Freq == 0 {
		return Curve{}, atFrame(-1, "state the frequency of the tone", "a sweep of levels begins too quietly for its frequency to be found")
	}
	if w.Load.X == 0 {
		return Curve{}, atFrame(-1, "state the load's resistance in ohms", "power needs a load")
	}
	if err := w.check(s.Format(), t); err != nil {
		return Curve{}, err
	}
	f := s.Format()
	f.Frames = -1 // short blocks
	st := &steady{source: s, format: f, wiring: w, tone: t, guard: newGuard(f), gaps: true, freq: t.Freq}
	if err := st.run(); err != nil {
		return Curve{}, err
	}
	c := Curve{wiring: w}
	if stepped {
		c.steps(st.readings)
	} else {
		for _, r := range st.readings {
			c.add([]reading{r})
		}
	}
	if len(c.Points) < 2 {
		return c, atFrame(-1, "hold each level for a second; one that rises evenly is read as sweep, one that stays as steady", "there are too few levels that stay: %d", len(c.Points))
	}
	return c, nil
}

// steps joins blocks of one step to a point.
func (c *Curve) steps(readings []reading) {
	var step []reading
	for _, r := range readings {
		if math.Abs(r.drift) > steadyDrift {
			c.add(step)
			step = nil
			continue
		}
		if len(step) > 0 && math.Abs(r.square/step[0].square-1) > samePower {
			c.add(step)
			step = nil
		}
		step = append(step, r)
	}
	c.add(step)
}

func (c *Curve) add(step []reading) {
	if len(step) == 0 {
		return
	}
	m := average(step)
	spread := 0.0
	switch d := thdn(m); {
	case len(step) == 1:
		spread = m.blur
	case len(step) > 2 && d > 0:
		spread = tally{readings: step}.spread(thdn).U / d
	}
	c.Points = append(c.Points, Point{spread: spread, Seconds: (step[0].middle + step[len(step)-1].middle) / 2, RMS: rms(m), Mean: m.mean, Power: m.square / c.wiring.Load.X,
		THD: thd(m), THDN: thdn(m), SupplyPower: m.supplyPower, SupplyV: m.supplyV, SupplyA: m.supplyA, FlatTop: m.top / sineShare, FlatBottom: m.bottom / sineShare, Blocks: len(step)})
}

// PowerAtTHDN is the power at which THD+N rises to a limit, relative to the
// fundamental: 0.01 is 1 %. PowerAtTHD is the same for the harmonics.
//
// It is where the curve first rises through the limit and stays above at the next point
// too; a hum that is above the limit at low levels isn't asked. Between the points ln P
// over ln d is a monotone cubic (Fritsch and Butland 1984, from memory). Its
// uncertainty has the scale's and the load's errors, the scatter of THD+N
// within a step, and how far a straight line in logarithms would be off. In an even rise,
// where a point is one block, the scatter is what its noise makes.
func (c Curve) PowerAtTHDN(limit float64) (quantity.Value, error) {
	return c.at(limit, "THD+N", func(p Point) float64 { return p.THDN })
}

// PowerAtTHD is explained at PowerAtTHDN.
func (c Curve) PowerAtTHD(limit float64) (quantity.Value, error) {
	return c.at(limit, "THD", func(p Point) float64 { return p.THD })
}

// Onset is the power at which a side of the wave becomes flat, as [Figures.Clipped]
// means it. Its uncertainty has no part for the scatter of what is flat.
func (c Curve) Onset() (quantity.Value, error) {
	return c.at(flat, flatness, Point.flatness)
}

// Clipped is the largest power of a point with a flat side, and whether there is one.
func (c Curve) Clipped() (quantity.Value, bool) {
	most := 0.0
	for _, p := range c.Points {
		if p.flatness() >= flat {
			most = math.Max(most, p.Power)
		}
	}
	return c.power(most), most > 0
}

// power gives watts the errors of scale and load. The mean is taken as small beside
// the rms: the offset's error isn't in it.
func (c Curve) power(watts float64) quantity.Value {
	s := c.wiring.Out.Scale
	return s.propagate(watts*c.wiring.Load.X, s.Unit+"²", 2, 0).Div(c.wiring.Load, "W")
}

func (c Curve) at(limit float64, what string, of func(Point) float64) (quantity.Value, error) {
	i := c.crossing(limit, of)
	if i < 0 {
		least, most := math.Inf(1), 0.0
		for _, p := range c.Points {
			least, most = math.Min(least, of(p)), math.Max(most, of(p))
		}
		hint := "drive the unit further, in smaller steps, and begin well below"
		if c.falls() {
			hint = "the level falls here: let it rise, as a unit that was driven hard before gives less"
		}
		return quantity.Value{}, atFrame(-1, hint, "%s does not rise through %.4g %%: it lies between %.3g %% and %.3g %%", what, 100*limit, 100*least, 100*most)
	}
	d, p := make([]float64, 0, 4), make([]float64, 0, 4)
	for k := max(0, i-1); k <= min(len(c.Points)-1, i+2); k++ {
		d, p = append(d, math.Log(of(c.Points[k]))), append(p, math.Log(c.Points[k].Power))
	}
	at, x := i-max(0, i-1), math.Log(limit)
	slope := (p[at+1] - p[at]) / (d[at+1] - d[at])
	straight := p[at] + slope*(x-d[at])
	curved := straight
	if rising(d) && rising(p) {
		curved = hermite(d, p, at, x)
	}
	v := c.power(math.Exp(curved))
	exact := func(u float64, id, name string) quantity.Value {
		return quantity.New(0, "W", u, quantity.Source{ID: "sweep/" + c.wiring.Capture + "/" + id + "/" + what, Name: name, Kind: "pool", DoF: math.Inf(1)})
	}
	v = v.Add(exact(quantity.Rectangular(math.Abs(math.Exp(curved)-math.Exp(straight))), "interpolation", "interpolation between levels"))
	if what == flatness {
		return v, nil
	}
	u := math.Max(c.Points[i].spread, c.Points[i+1].spread)
	return v.Add(exact(v.X*math.Abs(slope)*u, "scatter", "scatter of "+what+" within a level")), nil
}

// A Supply is what the supply did at a power between two levels. Off says by how much
// each may be off: a straight line over the power against one over its logarithm.
type Supply struct {
	V, A, W          float64
	OffV, OffA, OffW float64
}

// SupplyAtTHDN is the supply where THD+N rises to a limit, as [Curve.PowerAtTHDN] finds
// it, along a straight line over the power; ok is false where that is nowhere.
func (c Curve) SupplyAtTHDN(limit float64) (at Supply, ok bool) {
	of := func(p Point) float64 { return p.THDN }
	i := c.crossing(limit, of)
	if i < 0 {
		return at, false
	}
	v, err := c.at(limit, "THD+N", of)
	a, b := c.Points[i], c.Points[i+1]
	if err != nil || a.Power == b.Power {
		return at, false
	}
	even := (v.X - a.Power) / (b.Power - a.Power)
	bent := math.Log(v.X/a.Power) / math.Log(b.Power/a.Power)
	between := func(x, y float64) (value, off float64) {
		return x + even*(y-x), math.Abs((even - bent) * (y - x))
	}
	at.V, at.OffV = between(a.SupplyV, b.SupplyV)
	at.A, at.OffA = between(a.SupplyA, b.SupplyA)
	at.W, at.OffW = between(a.SupplyPower, b.SupplyPower)
	return at, true
}

// MeanAtTHDN is the mean of the samples about there, of the points to either side; 0 where
// that is nowhere.
func (c Curve) MeanAtTHDN(limit float64) float64 {
	i := c.crossing(limit, func(p Point) float64 { return p.THDN })
	if i < 0 {
		return 0
	}
	return (c.Points[i].Mean + c.Points[i+1].Mean) / 2
}

// crossing is the place of the point before the limit is passed; -1 where it isn't.
func (c Curve) crossing(limit float64, of func(Point) float64) int {
	for i := range len(c.Points) - 1 {
		if of(c.Points[i]) < limit && of(c.Points[i+1]) >= limit && of(c.Points[i]) > 0 &&
			(i+2 >= len(c.Points) || of(c.Points[i+2]) >= limit) {
			return i
		}
	}
	return -1
}

// falls tells that the loudest level comes first and the quietest last.
func (c Curve) falls() bool {
	first, last := c.Points[0], c.Points[len(c.Points)-1]
	for _, p := range c.Points {
		if p.Power > first.Power || p.Power < last.Power {
			return false
		}
	}
	return first.Power > last.Power
}

func rising(x []float64) bool {
	for i := 1; i < len(x); i++ {
		if !(x[i] > x[i-1]) {
			return false
		}
	}
	return true
}

// hermite is the monotone cubic through (x, y) between places i and i + 1, at t.
func hermite(x, y []float64, i int, t float64) float64 {
	h, v := x[i+1]-x[i], t-x[i]
	d := (y[i+1] - y[i]) / h
	slope := func(j int) float64 {
		if j == 0 || j == len(x)-1 {
			return d
		}
		h0, h1 := x[j]-x[j-1], x[j+1]-x[j]
		d0, d1 := (y[j]-y[j-1])/h0, (y[j+1]-y[j])/h1
		a := (h0 + 2*h1) / (3 * (h0 + h1)) // weights of the harmonic mean
		return d0 * d1 / (a*d1 + (1-a)*d0)
	}
	m0, m1 := slope(i), slope(i+1)
	c2, c3 := (3*d-2*m0-m1)/h, (m0+m1-2*d)/(h*h)
	return y[i] + v*(m0+v*(c2+v*c3))
}
