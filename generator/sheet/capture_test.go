package sheet

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"wattsheet/generator/formula"
	"wattsheet/generator/record"
)

const captureTable = `
[[capture]]
id = "c01"
file = "c.wav"
recorder = "an"
channel = [
  { column = 1, role = "out", of = "L", scale = 40, scale_pct = 0.5 },
  { column = 2, role = "supply_v", scale = 20, scale_pct = 0.4 },
  { column = 3, role = "supply_a", scale = 50, scale_pct = 1 },
]
`

// recorded evaluates runs, the first of which was read from a capture that gave these.
func recorded(t *testing.T, text string, taken record.Taken) *Sheet {
	t.Helper()
	s := evaluateUnit(t, testSite, testUnit, claim75+text+captureTable)
	s.Record.Runs[0].Taken = &taken
	return Evaluate(s.Content, s.Record)
}

func atMean(x float64) record.Mean { return record.Mean{X: x, U: x * 1e-5, DoF: 20, N: 40} }

// steadyTaken is what a steady tone of so many volts gives.
func steadyTaken(volts, freq float64) record.Taken {
	return record.Taken{As: "steady", RateHz: 48000, Frames: 48000, FreqHz: atMean(freq), SupplyV: atMean(14.4), SupplyA: atMean(7.2), SupplyW: atMean(104),
		Outs: []record.TakenOut{{Channel: "L", Column: 1, RMS: atMean(volts), THDN: atMean(0.01), THD: atMean(0.009)}}}
}

func foundIn(s *Sheet, id string) bool {
	return slices.ContainsFunc(s.Findings, func(f Finding) bool { return f.ID == id })
}

// A typed reading beside a capture is compared with it, and the capture counts. 18 V are
// read to ±0.174 V (0.8 % + 3 digits), captured to 0.5 %; both rectangular, so that U of
// the difference is some 0.22 V.
func TestTypedReadingsAgainstTheCapture(t *testing.T) {
	const named = `capture = "c01"`
	for volts, disagrees := range map[float64]bool{18.15: false, 17.85: false, 18.3: true, 17.7: true} {
		s := recorded(t, run("a", named), steadyTaken(volts, 1000))
		r := s.Runs[0]
		if got := foundIn(s, "capture-disagrees"); got != disagrees {
			t.Errorf("18 V typed, %g V captured: found %t; U of the difference is %g", volts, got, r.Captured.Compared[0].Difference.U)
		}
		if math.Abs(r.Channels[0].Volts.X-volts) > 1e-12 || r.Channels[0].Volts.Formula != formula.CaptureVolts || r.SupplyPower.X != 104 {
			t.Errorf("the capture doesn't count: %s by %s, %s", r.Channels[0].Volts.Text, r.Channels[0].Volts.Formula, r.SupplyPower.Text)
		}
		if n := len(r.Captured.Compared); n != 3 { // volts, distortion, supply volts
			t.Errorf("%d readings were compared", n)
		}
	}
}

func TestFrequencyOfACapture(t *testing.T) {
	for freq, off := range map[float64]bool{1000: false, 1000.2: false, 991: false, 985: true, 1015: true} {
		s := recorded(t, run("a", `capture = "c01"`), steadyTaken(18, freq))
		if got := foundIn(s, "capture-frequency"); got != off || (s.Runs[0].FreqHz == freq) != (off || freq == 1000) {
			t.Errorf("%g Hz: found %t, and the run is at %g Hz", freq, got, s.Runs[0].FreqHz)
		}
	}
}

// A mean that isn't zero is in the power of a steady tone: it is told from a thousandth of it
// on, 0.569 V of 18 V, unless the offset is stated to be known no better.
func TestMeanOfACapture(t *testing.T) {
	for _, c := range []struct {
		mean, pm string
		told     bool
	}{{"0.56", "", false}, {"0.58", "", true}, {"-0.58", "", true}, {"-1.5", "1.49", true}, {"-1.5", "1.51", false}} {
		taken := steadyTaken(18, 1000)
		taken.Outs[0].MeanV, _ = strconv.ParseFloat(c.mean, 64)
		table := captureTable
		if c.pm != "" {
			table = strings.Replace(table, "scale_pct = 0.5", "scale_pct = 0.5, offset_pm = "+c.pm, 1)
		}
		s := evaluateUnit(t, testSite, testUnit, claim75+run("a", `capture = "c01"`)+table)
		s.Record.Runs[0].Taken = &taken
		s = Evaluate(s.Content, s.Record)
		i := slices.IndexFunc(s.Findings, func(f Finding) bool { return f.ID == "capture-mean" })
		if (i >= 0) != c.told {
			t.Errorf("a mean of %s V, known to %s V: told %t", c.mean, c.pm, i >= 0)
		}
		if c.mean == "-0.58" && !strings.Contains(s.Findings[i].Text, "channel L: the output in the capture has a mean of −0.580\u00a0V, 0.10\u00a0% of the power") {
			t.Errorf("it says %q", s.Findings[i].Text)
		}
	}
}

// A sound card records no DC: a supply of nearly 0 V isn't known to be swapped readings only.
func TestSupplyOfACaptureWithoutDC(t *testing.T) {
	taken := steadyTaken(18, 1000)
	taken.SupplyV, taken.SupplyW = record.Mean{N: 40}, record.Mean{N: 40}
	s := recorded(t, run("a", `capture = "c01"`), taken)
	i := slices.IndexFunc(s.Findings, func(f Finding) bool { return f.ID == "supply-far-off" })
	if i < 0 || !strings.Contains(s.Findings[i].Text, "the supply stands at 0\u00a0V;") || !strings.Contains(s.Findings[i].Cause, "lets no DC through") {
		t.Errorf("it says %+v", s.Findings)
	}
}

// The band of a capture that ends below the third harmonic of its signal tells too little
// distortion; without a distortion, or of bursts, there is no band to tell of.
func TestHarmonicsBeyondACapturesBand(t *testing.T) {
	for _, r := range []struct {
		freq, high, thdn float64
		want             bool
	}{
		{1000, 20000, 0.01, false},
		{10000, 20000, 0.01, true},
		{6666, 20000, 0.01, false},
		{6667, 20000, 0.01, true},
		{10000, 0, 0.01, false},
		{10000, 20000, 0, false},
	} {
		taken := steadyTaken(18, r.freq)
		taken.HighHz, taken.Outs[0].THDN = r.high, record.Mean{}
		if r.thdn > 0 {
			taken.Outs[0].THDN = atMean(r.thdn)
		}
		if got := foundIn(recorded(t, run("a", `capture = "c01"`, "thdn_pct ="), taken), "harmonics-beyond-band"); got != r.want {
			t.Errorf("%g Hz, a band up to %g Hz, %g of distortion: found is %t", r.freq, r.high, r.thdn, got)
		}
	}
}

// A level's result stands at the method's limit, whose volts have all that is uncertain.
func TestLimitOfALevel(t *testing.T) {
	taken := record.Taken{As: "steps", RateHz: 48000, SupplyV: atMean(14.4),
		Outs: []record.TakenOut{{Channel: "L", Column: 1, RMS: atMean(18), Interpolation: 0.3, THDN: record.Mean{X: 0.01, N: 9}}}}
	s := recorded(t, run("a", `capture = "c01"`, `capture_as = "steps"`, "out_v = ", "thdn_pct = ", "supply_v = "), taken)
	ch := s.Runs[0].Channels[0]
	if want := math.Sqrt(math.Pow(18*0.005/math.Sqrt(3), 2) + 0.03 + math.Pow(18e-5, 2)); math.Abs(ch.Volts.Std-want) > 1e-9 {
		t.Errorf("u of the volts is %.9g, want %.9g", ch.Volts.Std, want)
	}
	if ch.Distortion.X != 1 || ch.Distortion.U != 0 || s.Claims[0].Verdict != "met" {
		t.Errorf("%s of distortion, and the claim is %s: %s", ch.Distortion.Text, s.Claims[0].Verdict, s.Claims[0].Why)
	}
}

// A burst claim needs the supply within the burst: a capture has it.
func TestBurstClaimByACapture(t *testing.T) {
	burst := strings.Replace(claim75, `id = "c"`, "id = \"b\"\nsignal = \"burst\"", 1)
	taken := record.Taken{As: "bursts", RateHz: 48000, SupplyV: atMean(14.1), RestV: 14.4, RoundW: atMean(20),
		Outs: []record.TakenOut{{Channel: "L", Column: 1, RMS: atMean(19), RoundV: atMean(5)}}}
	text := burst + run("a", `method = "burst"`, `capture = "c01"`, "out_v = ", "supply_v = ")
	s := recorded(t, text, taken)
	if c := s.Claims[1]; c.Verdict != "met" {
		t.Errorf("the claim is %s: %s", c.Verdict, c.Why)
	}
	if r := s.Runs[0]; r.Efficiency == nil || r.Efficiency.Formula != formula.CaptureRound {
		t.Error("bursts of a capture have no efficiency")
	}
	// without the supply's column nothing tells of the voltage within
	taken.SupplyV, taken.RoundW = record.Mean{}, record.Mean{}
	if c := recorded(t, text, taken).Claims[1]; c.Verdict != "open" || c.Reason != "supply" {
		t.Errorf("without the supply the claim is %s (%s)", c.Verdict, c.Reason)
	}
}

// What scales two columns is one error in both, and in a sheet's other runs; other columns
// of one recorder may share theirs or not.
func TestScalesAreShared(t *testing.T) {
	text := run("a", `capture = "c01"`) + run("b", `capture = "c01"`)
	s := evaluateUnit(t, testSite, testUnit, claim75+text+captureTable)
	for i := range s.Record.Runs {
		taken := steadyTaken(18, 1000)
		s.Record.Runs[i].Taken = &taken
	}
	s = Evaluate(s.Content, s.Record)
	shared := map[string]int{}
	for _, r := range s.Runs {
		for _, l := range r.Channels[0].Volts.Lines {
			shared[l.Source.ID]++
		}
	}
	if shared["two/scale c01.1/gain"] != 2 || shared["spread output volts@two/a.L"] != 1 || len(shared) != 3 {
		t.Errorf("sources by runs are %v", shared)
	}
	c := s.Claims[0].Channels[0].Mean
	if gain := c.Std / c.X; gain < 2*0.005/math.Sqrt(3) {
		t.Errorf("a mean of two runs averages the scale's error away: u is %.4f of it", gain)
	}
}

// A signal without noise has no more digits than the recorder's clock, or else the arithmetic,
// can carry. A half-width of 0.01 % of 1 kHz is u = 0.1/√3 = 0.0577 Hz, U = 1.96·u = 0.113 Hz; the arithmetic
// carries 1 in 10⁹, with k = 2.09 for 20 degrees of freedom (JCGM 100:2008, table G.2).
func TestACaptureWithoutNoiseHasNoFalseDigits(t *testing.T) {
	for _, row := range []struct {
		clock, text string
		told        bool
	}{
		{"", "(1000.00 ± 0.12) Hz", true}, // 0.113 is rounded up, as 0.11 would cut more than 2 %
		{"clock_pct = 0.005", "(1000.000 ± 0.057) Hz", false},
		{"clock_pct = 0", "(1000.0000000 ± 0.0000021) Hz", false},
	} {
		table := strings.Replace(captureTable, `file = "c.wav"`, "file = \"c.wav\"\n"+row.clock, 1)
		s := evaluateUnit(t, testSite, testUnit, claim75+run("a", `capture = "c01"`)+table)
		taken := steadyTaken(18, 1000)
		taken.FreqHz.U = 2.3e-12
		s.Record.Runs[0].Taken = &taken
		s = Evaluate(s.Content, s.Record)
		f := s.Runs[0].Captured.Freq
		if got := strings.ReplaceAll(f.Text, nbsp, " "); got != row.text {
			t.Errorf("%q: %s, not %s", row.clock, got, row.text)
		}
		if got := foundIn(s, "uncertainty-incomplete"); got != row.told || (len(f.Incomplete) > 0) != row.told {
			t.Errorf("%q: told %t, and the figure lacks %q", row.clock, got, f.Incomplete)
		}
	}
}

// A recorder whose own distortion nobody states is like an analyser without a specification:
// what a steady tone's distortion scatters by isn't how well it is known, and decides nothing.
func TestRecorderWithoutItsOwnDistortion(t *testing.T) {
	for _, row := range []struct {
		recorder, verdict string
		lacks             bool
	}{
		{`recorder = "an"`, "met", false},
		{"", "open", true},
		{`recorder = "dmm"`, "open", true}, // it reads no distortion
	} {
		table := strings.Replace(captureTable, `recorder = "an"`, row.recorder, 1)
		s := evaluateUnit(t, testSite, testUnit, claim75+run("a", `capture = "c01"`)+table)
		taken := steadyTaken(18, 1000)
		s.Record.Runs[0].Taken = &taken
		s = Evaluate(s.Content, s.Record)
		if got := string(s.Claims[0].Verdict); got != row.verdict || row.lacks && (s.Claims[0].Reason != "distortion" || !strings.Contains(s.Claims[0].Why+s.Claims[0].Uses[0].Why, "its recorder's own distortion is not known")) {
			t.Errorf("%q: %s (%s): %s", row.recorder, got, s.Claims[0].Reason, s.Claims[0].Why)
		}
		found := slices.ContainsFunc(s.Findings, func(f Finding) bool {
			return f.ID == "uncertainty-incomplete" && f.Text == "it is not stated how much the recorder of capture c01 distorts itself"
		})
		if lacks := len(s.Runs[0].Channels[0].Distortion.Incomplete) > 0; found != row.lacks || lacks != row.lacks {
			t.Errorf("%q: found %t, the figure lacks something: %t", row.recorder, found, lacks)
		}
	}
}
