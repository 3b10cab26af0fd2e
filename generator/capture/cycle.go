package capture

import (
	"math"
)

// A Cycle is one period of a tone.
type Cycle struct {
	Start  float64 // in samples, between two of them
	Length float64 // in samples
	// Square is the mean square over the period, the samples joined by straight lines and
	// the period's ends between samples counted by their part.
	Square float64
}

// Cycles finds the periods of a tone by its rises through the middle between its
// extremes. A rise counts once the samples have been below the middle by a tenth of
// the half span of the last period and a half, so that noise smaller than that makes
// no periods.
func Cycles(x []float64) []Cycle {
	rises := rises(x)
	if len(rises) < 2 {
		return nil
	}
	whole := squares(x)
	cycles := make([]Cycle, 0, len(rises)-1)
	for i, r := range rises[1:] {
		length := r - rises[i]
		cycles = append(cycles, Cycle{rises[i], length, (whole.to(r) - whole.to(rises[i])) / length})
	}
	return cycles
}

// rises are the places, in samples, where x passes zero upwards.
func rises(x []float64) []float64 {
	var places []float64
	below, peak, last := false, 0.0, 0.0
	recent := 0.0 // the largest magnitude since the last rise
	for i := 1; i < len(x); i++ {
		recent = math.Max(recent, math.Abs(x[i]))
		if x[i] < -0.1*math.Max(peak, recent) {
			below = true
		}
		if below && x[i-1] < 0 && x[i] >= 0 {
			last = float64(i-1) + x[i-1]/(x[i-1]-x[i])
			places = append(places, last)
			below, peak, recent = false, recent, 0
		}
	}
	return places
}

// An integral holds the running sum of samples joined by straight lines, to be told over
// any stretch.
type integral struct {
	x, sum []float64 // the samples, and trapezoids up to each
}

func integralOf(x []float64) integral {
	n := integral{x, make([]float64, len(x))}
	for i := 1; i < len(x); i++ {
		n.sum[i] = n.sum[i-1] + (x[i-1]+x[i])/2
	}
	return n
}

// squares is the integral of the samples' squares.
func squares(x []float64) integral {
	all := make([]float64, len(x))
	for i, v := range x {
		all[i] = v * v
	}
	return integralOf(all)
}

// to is the integral from the first sample to a place between samples.
func (n integral) to(place float64) float64 {
	i := min(max(0, int(place)), len(n.x)-1)
	part := place - float64(i)
	if i == len(n.x)-1 || part <= 0 {
		return n.sum[i]
	}
	return n.sum[i] + part*n.x[i] + part*part/2*(n.x[i+1]-n.x[i])
}

// mean is the mean between two places.
func (n integral) mean(from, to float64) float64 { return (n.to(to) - n.to(from)) / (to - from) }

// A Period is what one period of the output gave.
type Period struct {
	Start, Seconds float64 // from the first sample, and how long it is
	RMS, Power     float64 // watts into the load, 0 without one
	// SupplyPower and Efficiency are 0 where the supply wasn't recorded. A period of a
	// tone is two of the ripple that it draws.
	SupplyPower, Efficiency float64
}

// PerCycle gives the figures of each period of the output in a stretch, told by its
// rises through zero. [Steady] gives the same as means, with their uncertainty.
func PerCycle(m *Memory, w Wiring) ([]Period, error) {
	f := m.Format()
	if err := w.check(f, Tone{Low: f.Rate / 8, High: f.Rate / 4}); err != nil {
		return nil, err
	}
	b := newBursting(m, w, f.Rate/4)
	cycles := Cycles(b.x)
	if len(cycles) == 0 {
		return nil, atFrame(0, "state an interval in which the tone sounds", "there is no period of a tone here")
	}
	periods := make([]Period, len(cycles))
	for i, c := range cycles {
		p := Period{Start: c.Start / f.Rate, Seconds: c.Length / f.Rate, RMS: math.Sqrt(c.Square)}
		if w.Load.X > 0 {
			p.Power = c.Square / w.Load.X
		}
		if b.watts != nil {
			if p.SupplyPower = b.watts.mean(c.Start, c.Start+c.Length); p.SupplyPower > 0 {
				p.Efficiency = p.Power / p.SupplyPower
			}
		}
		periods[i] = p
	}
	return periods, nil
}
