package verdict

import (
	"math"
	"math/rand/v2"
	"testing"

	"wattsheet/generator/quantity"
)

// A bench of random claims, seeded: one to four corners, one to three channels,
// means within four uncertainties of the limit, classes mixed where asked.
type cases struct {
	*rand.Rand
	mixed bool
}

func (c cases) estimate(limit, u float64) *Estimate {
	dof := []float64{infinite, infinite, 3, 8, 14.1, 60, 1e5}[c.IntN(7)]
	return &Estimate{limit + u*(8*c.Float64()-4), u * (0.5 + c.Float64()), dof}
}

func (c cases) channel(limit, u float64, class int) Channel {
	switch class {
	case 1:
		return Channel{Below: c.estimate(limit, u)}
	case 2:
		return Channel{Above: c.estimate(limit, u)}
	case 3:
		return Channel{Below: c.estimate(limit, u), Above: c.estimate(limit, u)}
	}
	return Channel{At: c.estimate(limit, u)}
}

// claim draws a limit and its corners. The same channel has the same class at
// every corner, and corners differ by a fraction of u, as carrying does.
func (c cases) claim() (limit float64, corners []Corner) {
	limit = math.Exp(math.Log(20) + c.Float64()*math.Log(200))
	u := limit * (0.002 + 0.05*c.Float64())
	n, channels := 1+c.IntN(4), 1+c.IntN(3)
	first := make([]Channel, channels)
	for i := range first {
		class := 0
		if c.mixed {
			class = c.IntN(4)
		}
		first[i] = c.channel(limit, u, class)
	}
	for i := range n {
		corners = append(corners, Corner{K: 2.6 * float64(i/2), M: float64(2*(i%2) - 1), Channels: c.carried(first, u)})
	}
	return limit, corners
}

func (c cases) carried(channels []Channel, u float64) []Channel {
	move := func(e *Estimate) *Estimate {
		if e == nil {
			return nil
		}
		return &Estimate{e.Y + u*(c.Float64()-0.5), e.U * (1 + 0.05*c.Float64()), e.DoF}
	}
	out := make([]Channel, len(channels))
	for i, channel := range channels {
		out[i] = Channel{move(channel.At), move(channel.Below), move(channel.Above)}
	}
	return out
}

// changed returns the corners with all means shifted and all uncertainties scaled.
func changed(corners []Corner, shift, scale float64) []Corner {
	out := make([]Corner, len(corners))
	move := func(e *Estimate) *Estimate {
		if e == nil {
			return nil
		}
		return &Estimate{e.Y + shift, e.U * scale, e.DoF}
	}
	for i, c := range corners {
		out[i] = Corner{K: c.K, M: c.M}
		for _, channel := range c.Channels {
			out[i].Channels = append(out[i].Channels, Channel{move(channel.At), move(channel.Below), move(channel.Above)})
		}
	}
	return out
}

// oracle is the rule told the other way round, by what must hold everywhere: met
// if at every corner every channel shows it, short if at every corner some
// channel does. A channel without a run at the claim's distortion that shows both
// shows nothing.
func oracle(rule Rule, limit float64, corners []Corner) Word {
	allMet, allShort := true, true
	for _, c := range corners {
		every, some := true, false
		for _, channel := range c.Channels {
			met, short := shows(rule, limit, channel, float64(len(c.Channels)))
			every, some = every && met, some || short
		}
		allMet, allShort = allMet && every && !some, allShort && some
	}
	switch {
	case allMet:
		return Met
	case allShort:
		return Short
	}
	return Open
}

func shows(rule Rule, limit float64, c Channel, n float64) (met, short bool) {
	up, down := c.Below, c.Above
	if c.At != nil {
		up, down = c.At, c.At
	}
	met = up != nil && quantity.ProbabilityAtLeast(up.Y, up.U, up.DoF, limit) >= rule.MetFrom
	short = down != nil && quantity.ProbabilityAtLeast(down.Y, down.U, down.DoF, limit) <= rule.ShortTo/n
	return met && !short, short && !met
}

// Random claims against the rule told the other way round.
func TestRuleAgainstOracle(t *testing.T) {
	c := cases{rand.New(rand.NewPCG(1, 106)), true}
	count := map[Word]int{}
	for range 3000 {
		limit, corners := c.claim()
		got := Decide(usual, limit, corners)
		if want := oracle(usual, limit, corners); got.Word != want {
			t.Fatalf("limit %v, %+v: %s, want %s", limit, corners, got.Word, want)
		}
		if (got.Word == Open) != (got.Reasons != nil) {
			t.Fatalf("%s with reasons %v", got.Word, got.Reasons)
		}
		count[got.Word]++
	}
	for _, w := range []Word{Met, Short, Open} {
		if count[w] < 100 {
			t.Errorf("only %d of 3000 claims are %s: the cases are too narrow", count[w], w)
		}
	}
}

// Flips by brute force: a hair less and nothing changes, a hair more and the
// verdict is the one foretold; nothing nearer changes it, on either side.
func TestFlipAgainstBruteForce(t *testing.T) {
	for _, mixed := range []bool{false, true} {
		c := cases{rand.New(rand.NewPCG(2, 106)), mixed}
		scales := 0
		for range 400 {
			limit, corners := c.claim()
			r := Decide(usual, limit, corners)
			if r.Flip == nil || r.Flip.ShiftTo == "" {
				t.Fatalf("limit %v, %+v is %s whatever the shift", limit, corners, r.Word)
			}
			f := *r.Flip
			checkFlip(t, "shift", r.Word, f.ShiftTo, limit, func(x float64) []Corner { return changed(corners, f.Shift*x, 1) })
			if f.ScaleTo != "" {
				scales++
				checkFlip(t, "scale", r.Word, f.ScaleTo, limit, func(x float64) []Corner { return changed(corners, 0, math.Max(0, 1+(f.Scale-1)*x)) })
			}
			if t.Failed() {
				t.Fatalf("limit %v, %+v: %s, flip %+v", limit, corners, r.Word, f)
			}
		}
		if scales < 200 {
			t.Errorf("only %d scales tried", scales)
		}
	}
}

// checkFlip tries a flip: by(1) is the flip itself, by(−1) as much the other way.
// A hair is 1e-6 of it.
func checkFlip(t *testing.T, what string, now, to Word, limit float64, by func(x float64) []Corner) {
	t.Helper()
	const hair = 1e-6
	if before := Decide(usual, limit, by(1-hair)).Word; before != now {
		t.Errorf("%s: already %s a hair before the flip", what, before)
	}
	if after := Decide(usual, limit, by(1+hair)).Word; after != to || after == now {
		t.Errorf("%s: %s a hair beyond the flip, foretold %s", what, after, to)
	}
	for i := -25; i <= 25; i++ {
		if x := float64(i) / 25 * (1 - hair); oracle(usual, limit, by(x)) != now {
			t.Errorf("%s: not %s at %v of the flip already", what, now, x)
		}
	}
}

// Where no scaling is foretold, none changes the verdict: tried from none to a
// hundred times the uncertainty.
func TestNoScaleMeansNone(t *testing.T) {
	c := cases{rand.New(rand.NewPCG(3, 106)), true}
	tried := 0
	for range 3000 {
		limit, corners := c.claim()
		r := Decide(usual, limit, corners)
		if r.Flip != nil && r.Flip.ScaleTo != "" {
			continue
		}
		tried++
		for scale := 1e-6; scale < 100; scale *= 1.2 {
			if w := oracle(usual, limit, changed(corners, 0, scale)); w != r.Word {
				t.Fatalf("limit %v, %+v: %s, but %s at %v times the uncertainty", limit, corners, r.Word, w, scale)
			}
		}
	}
	if tried < 5 {
		t.Errorf("only %d claims have no flip by scaling", tried)
	}
}

// By hand, normal quantile 1.6448536 at 0.95: 508 W, u 9.1 W against 500 W. Met
// needs 14.9681680 W above the limit, so 6.9681680 W more; and 8 W are enough at
// 8/14.9681680 = 0.53446754 of the uncertainty.
func TestFlipByHand(t *testing.T) {
	for _, r := range []struct {
		name    string
		corners []Corner
		word    Word
		shift   float64
		to      Word
		scale   float64
		scaleTo Word
	}{
		{"open, nearer to met", single(at(508, 9.1, infinite)), Open, 6.9681680, Met, 8 / 14.9681680, Met},
		{"open, nearer to short", single(at(495, 9.1, infinite)), Open, -9.9681680, Short, 5 / 14.9681680, Short},
		{"met", single(at(520, 9.1, infinite)), Met, -5.0318320, Open, 20 / 14.9681680, Open},
		{"short", single(at(470, 9.1, infinite)), Short, 15.0318320, Open, 30 / 14.9681680, Open},
		{"met by the weaker channel", single(at(540, 9.1, infinite), at(520, 9.1, infinite)), Met, -5.0318320, Open, 20 / 14.9681680, Open},
		{"two corners alike", append(single(at(508, 9.1, infinite)), single(at(508, 9.1, infinite))...), Open, 6.9681680, Met, 8 / 14.9681680, Met},
		{"short of two channels: z(0.025) = 1.9599640", single(at(540, 9.1, infinite), at(470, 9.1, infinite)), Short, 30 - 1.9599640*9.1, Open, 30 / (1.9599640 * 9.1), Open},
	} {
		got := Decide(usual, 500, r.corners)
		if got.Word != r.word || got.Flip == nil {
			t.Errorf("%s: %s, flip %v; want %s", r.name, got.Word, got.Flip, r.word)
			continue
		}
		f := got.Flip
		if !near(f.Shift, r.shift, 1e-6) || f.ShiftTo != r.to || !near(f.Scale, r.scale, 1e-7) || f.ScaleTo != r.scaleTo {
			t.Errorf("%s: flip %+v, want %v to %s, ×%v to %q", r.name, *f, r.shift, r.to, r.scale, r.scaleTo)
		}
	}
}

// At the limit itself p is 1/2 with any uncertainty, and met is as far as short.
func TestFlipAtTheLimit(t *testing.T) {
	f := Decide(usual, 500, single(at(500, 9.1, infinite))).Flip
	if f == nil || !near(math.Abs(f.Shift), 14.9681680, 1e-6) || (f.ShiftTo == Met) != (f.Shift > 0) || f.ShiftTo == Open || f.ScaleTo != "" {
		t.Errorf("flip %+v, want 14.968168 up to met or down to short, and no scale", f)
	}
}

// The bar is what the rule decides by: met exactly where its low end reaches the
// limit, short exactly where its high end doesn't pass it. Runs at the claim's
// distortion.
func TestBarAgreesWithTheVerdict(t *testing.T) {
	c := cases{rand.New(rand.NewPCG(4, 106)), false}
	for range 3000 {
		limit, corners := c.claim()
		r := Decide(usual, limit, corners)
		if r.LowOpen || r.HighOpen {
			t.Fatalf("the bar of runs at the claim's distortion has no end: %+v", r)
		}
		if (r.Word == Met) != (r.Low >= limit) || (r.Word == Short) != (r.High <= limit) {
			t.Fatalf("limit %v, %+v: %s, bar %v … %v", limit, corners, r.Word, r.Low, r.High)
		}
	}
}

// For one channel at one corner the bar is the 90 % interval (JCGM 100:2008, table
// G.2, 90 % column); with two channels its top is at 0.05/2 (95 % column).
func TestBarIsTheInterval(t *testing.T) {
	for _, r := range []struct{ dof, k90, k95 float64 }{{4, 2.13185, 2.77645}, {10, 1.81246, 2.22814}, {19, 1.72913, 2.09302}, {infinite, 1.64485, 1.95996}} {
		one := Decide(usual, 500, single(at(508, 10, r.dof)))
		if !near(one.Low, 508-10*r.k90, 6e-5) || !near(one.High, 508+10*r.k90, 6e-5) {
			t.Errorf("ν %v: bar %v … %v, want 508 ± %v", r.dof, one.Low, one.High, 10*r.k90)
		}
		two := Decide(usual, 500, single(at(508, 10, r.dof), at(512, 10, r.dof)))
		if !near(two.Low, 508-10*r.k90, 6e-5) || !near(two.High, 508+10*r.k95, 6e-5) {
			t.Errorf("ν %v, two channels: bar %v … %v, want %v … %v", r.dof, two.Low, two.High, 508-10*r.k90, 508+10*r.k95)
		}
	}
}
