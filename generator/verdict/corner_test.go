package verdict

import (
	"math"
	"testing"
)

// A corner names the channel that decides there and its estimate: the p that it
// states is that estimate's. Φ(1) = 0.8413 and Φ(2) = 0.9772 are from the table of
// the cumulative normal distribution in the NIST/SEMATECH e-Handbook of Statistical
// Methods, 1.3.6.7.1.
func TestCornerGivesTheDecidingEstimate(t *testing.T) {
	inf := math.Inf(1)
	high, low := &Estimate{104, 2, inf}, &Estimate{95, 2, inf}
	higher, lower := &Estimate{101, 2, inf}, &Estimate{95, 2, inf}
	r := Decide(Rule{0.95, 0.05}, 97, []Corner{
		{K: 0, M: -1, Channels: []Channel{{At: high}, {At: low}}},
		{K: 2.6, M: -1, Channels: []Channel{{Below: higher, Above: &Estimate{102, 2, inf}}, {At: high}}},
		{K: 2.6, M: 1, Channels: []Channel{{At: high}, {Above: lower}}},
	})
	for i, want := range []struct {
		weakest int
		y, p    float64
	}{{1, 95, 1 - 0.8413}, {0, 101, 0.9772}, {1, 95, 1 - 0.8413}} {
		c := r.Corners[i]
		p := c.PMin
		if i == 2 { // a run above the claim's distortion bounds p from above
			p = c.PMax
		}
		if c.Weakest != want.weakest || c.Y != want.y || c.U != 2 || !math.IsInf(c.DoF, 1) || math.Abs(p-want.p) > 5e-5 {
			t.Errorf("corner %d: channel %d, %g ± %g, p %g; want channel %d, %g, p %g", i, c.Weakest, c.Y, c.U, p, want.weakest, want.y, want.p)
		}
	}
}
