package charts

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

func TestScales(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 20000 {
		low := math.Exp(r.Float64()*20 - 8)
		high, zero, intervals := low*(1+r.Float64()*5), r.IntN(2) == 0, 4+r.IntN(5)
		s := scaleOf(low, high, zero, intervals)
		if s.low > low || s.high < high*(1-1e-9) || zero && s.low != 0 {
			t.Fatalf("scale %v to %v does not hold %v to %v", s.low, s.high, low, high)
		}
		if n := len(s.ticks); n < 2 || n > intervals+1 {
			t.Fatalf("%d ticks for %v to %v, want at most %d", n, low, high, intervals+1)
		}
		if lead := s.step / math.Pow10(int(math.Floor(math.Log10(s.step)+1e-9))); math.Abs(lead-1) > 1e-6 && math.Abs(lead-2) > 1e-6 &&
			math.Abs(lead-2.5) > 1e-6 && math.Abs(lead-5) > 1e-6 {
			t.Fatalf("step %v is not 1, 2, 2.5 or 5 times a power of ten", s.step)
		}
	}
	if s := scaleOf(0, 0, true, 5); s.high <= 0 || len(s.ticks) < 2 {
		t.Errorf("nothing but zero: %v", s)
	}
}

// Levels above 1 W: ten times the power is 10 dB (IEC 60027-3; from memory).
func TestLevels(t *testing.T) {
	for _, row := range []struct {
		watts, u float64
		want     string
	}{
		{1, 0, "0 dBW"},
		{1000, 0, "30.00 dBW"},
		{100, 2, "20.000 dBW (19.912 to 20.086)"}, // 10·lg 98 = 19.9123, 10·lg 102 = 20.0860
		{0.5, 0, "−3.010 dBW"},
		{1, 0.1, "0.00 dBW (−0.46 to 0.41)"},
	} {
		if got := levelReading(watt(row.watts, row.u)).text; got != row.want {
			t.Errorf("%v ± %v W is %q, want %q", row.watts, row.u, got, row.want)
		}
	}
	if levelReading(watt(0, 0)).text != "" {
		t.Error("no power has a level")
	}
}

// Each marker has its own outline and each dash its own pattern.
func TestStylesDifferBeforeColour(t *testing.T) {
	shapes, dashes := map[string]bool{}, map[string]bool{}
	for _, s := range styles {
		shapes[s.path(0, 0, 5)], dashes[drawing(func(w *svg) { w.dashes(s.dash) })] = true, true
	}
	if len(shapes) != len(styles) || len(dashes) != len(styles) {
		t.Errorf("%d shapes and %d dashes for %d styles", len(shapes), len(dashes), len(styles))
	}
}

// A method looks the same in every unit's chart, whichever other methods there are.
func TestMethodsKeepTheirLook(t *testing.T) {
	b := newBench()
	b.run(2, 4, "completed", 100)
	if c := PowerByLoad(b.Sheet); !strings.Contains(c.Wide, `stroke="#ffffff"><g class="series-3"`) {
		t.Error("the third method is not drawn in the third style when it is alone")
	}
}

// Where a site has more methods than there are looks, two of them in one chart still look
// different, bridged or not, and the first ones as ever.
func TestMoreMethodsThanLooks(t *testing.T) {
	p := &plot{x: axis{}}
	for _, style := range []int{0, 4, 6, 12, 7} {
		p.seriesOf("method", "method", style, false).points = nil
	}
	p.seriesOf("method", "method", 6, true)
	p.number()
	looks := map[int]int{} // style by look
	for _, one := range p.series {
		if style, seen := looks[one.styleIndex()]; seen && style != one.style {
			t.Errorf("methods %d and %d look alike", style, one.style)
		}
		looks[one.styleIndex()] = one.style
		if one.style < len(styles) && one.styleIndex() != one.style {
			t.Errorf("method %d has the look %d", one.style, one.styleIndex())
		}
	}
	if len(looks) != 5 {
		t.Errorf("%d looks for 5 methods", len(looks))
	}
}
