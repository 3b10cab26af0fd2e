package charts

import (
	"encoding/json"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"wattsheet/generator/capture"
	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// captured makes a run with a capture: a sine of 20 V clipped at 19 V, its supply, and a
// rising level before.
func captured(t testing.TB, channels int) *sheet.Run {
	t.Helper()
	b := newBench()
	b.methods.Methods[0].ThdnPct = record.Number{Value: 1, Text: "1"}
	r := b.run(0, 4, "completed", 90, 88)
	r.Channels = r.Channels[:channels]
	trace := &record.Trace{FromS: 2.5, ToS: 2.503}
	r.Captured = &sheet.Captured{Taken: &record.Taken{Trace: trace}, Where: "capture c01, 2 s to 4 s"}
	for i, ch := range r.Channels {
		ch.Distortion = figure(1, 0, "%")
		size := 1 - 0.02*float64(i)
		wave := func(at float64) float64 {
			return size * math.Max(-19, math.Min(19, 20*math.Sin(2*math.Pi*1000*at)))
		}
		trace.Waves = append(trace.Waves, waveOf("out", ch.Name, 2.5, 0.003, wave))
		x := make([]float64, 192000)
		for n := range x {
			x[n] = wave(float64(n) / 192000)
		}
		s, err := capture.SpectrumOf(capture.NewMemory(192000, x), capture.Channel{Scale: capture.Scale{Gain: 1, Unit: "V"}}, capture.Tone{Freq: 1000, Low: 20, High: 20000}, 300)
		if err != nil {
			t.Fatal(err)
		}
		trace.Spectra = append(trace.Spectra, record.Spectrum{Channel: ch.Name, Fundamental: 1000, Seconds: s.Seconds, FreqHz: s.Freq, DB: s.DB, Harmonics: s.Harmonics})
		cc := &sheet.CapturedChannel{Name: ch.Name}
		for n := range 41 {
			p := 0.01 * math.Pow(10, float64(n)/10) * size
			l := sheet.CapturedLevel{AtS: 1 + float64(n), PowerW: p, THDPct: 0.01 + 100*math.Pow(p/100, 12)/100, THDNPct: 0.02 + 0.2/math.Sqrt(p)/10 + 100*math.Pow(p/100, 12)/100, Flat: n > 38}
			cc.Levels = append(cc.Levels, l)
		}
		r.Captured.Channels = append(r.Captured.Channels, cc)
	}
	trace.Waves = append(trace.Waves,
		waveOf("supply_v", "", 2.5, 0.003, func(at float64) float64 { return 14.2 - 0.2*math.Abs(math.Sin(2*math.Pi*1000*at)) }),
		waveOf("supply_a", "", 2.5, 0.003, func(at float64) float64 { return 20 * math.Abs(math.Sin(2*math.Pi*1000*at)) }))
	return r
}

func waveOf(role, channel string, from, seconds float64, f func(float64) float64) record.Wave {
	w := record.Wave{Role: role, Channel: channel, All: true}
	for n := 0; float64(n) < seconds*48000; n++ {
		at := float64(n) / 48000
		w.AtS, w.Y = append(w.AtS, from+at), append(w.Y, f(at))
	}
	return w
}

// captureColumns of the tables: where points stand along and up.
var captureColumns = map[string][2]string{
	"sweep": {"P / W", "THD+N / %"}, "wave": {"Time / ms", "Output / V"}, "supply": {"Time / ms", "Supply / V"},
	"current": {"Time / ms", "Supply / A"}, "spectrum": {"f / Hz", "Level / dB"},
}

// A chart of a capture has its points in the table, in the live chart and on the lines of
// the drawing, at the places that its axes print.
func TestCaptureChartsAgree(t *testing.T) {
	for channels := 1; channels <= 2; channels++ {
		r := captured(t, channels)
		all := OfCapture(r)
		if len(all) != 4+channels {
			t.Fatalf("%d charts", len(all))
		}
		for _, c := range all {
			kind, _, _ := strings.Cut(c.ID, "-")
			along, up := c.Table.column(captureColumns[kind][0]), c.Table.column(captureColumns[kind][1])
			var l liveChart
			if err := json.Unmarshal(c.Live, &l); err != nil {
				t.Fatal(err)
			}
			if len(l.Points) != len(c.Table.Rows) || len(c.Table.Rows) < 40 || along < 0 || up < 0 {
				t.Fatalf("%s: %d points live, %d rows", c.ID, len(l.Points), len(c.Table.Rows))
			}
			for n, row := range c.Table.Rows {
				got, _ := l.Views[0].Y[n][0].Float64()
				if want := must(row[up].Text); math.Abs(got-want) > rounding(row[up].Text)+1e-4*math.Abs(want) {
					t.Errorf("%s row %d: live at %v, listed as %v", c.ID, n, got, want)
				}
				if x, _ := l.Views[0].Wide.X[n].Float64(); math.Abs(x/must(row[along].Text)-1) > 2e-3 && must(row[along].Text) != 0 {
					t.Errorf("%s row %d: live along %v, listed as %v", c.ID, n, x, row[along].Text)
				}
			}
			for _, markup := range []string{c.Wide, c.Tall} {
				onLines(t, c, parse(t, markup), along, up)
			}
		}
	}
}

// onLines finds each row of a table on a line or as a mark of the drawing, by its axes.
func onLines(t *testing.T, c *Chart, drawing node, along, up int) {
	t.Helper()
	values, places, _, _ := drawing.axisTexts(t)
	var value, place [][2]float64
	for i, text := range values {
		value = append(value, [2]float64{corners(t, drawing.all("still-line")[0].attr("d"))[2*i][1], must(text.Text)})
	}
	for _, text := range places {
		place = append(place, [2]float64{must(text.attr("x")), must(text.Text)})
	}
	kind, _, _ := strings.Cut(c.ID, "-")
	yOf, xOf := between2(value, kind == "sweep"), between2(place, kind == "sweep" || kind == "spectrum")
	var spots [][2]float64
	for _, path := range drawing.all("still-joins") {
		for _, line := range path.Children {
			spots = append(spots, corners(t, line.attr("d"))...)
		}
	}
	for _, m := range drawing.drawnRows(t) {
		x, y := m.middle(t)
		spots = append(spots, [2]float64{x, y})
	}
	for n, row := range c.Table.Rows {
		x, y, found := must(row[along].Text), must(row[up].Text), false
		for _, s := range spots {
			slackX := math.Abs(xOf(s[0]+0.6)-xOf(s[0]-0.6)) + rounding(row[along].Text)
			slackY := math.Abs(yOf(s[1]+0.6)-yOf(s[1]-0.6)) + rounding(row[up].Text)
			found = found || math.Abs(xOf(s[0])-x) <= slackX && math.Abs(yOf(s[1])-y) <= slackY
		}
		if !found {
			t.Fatalf("%s row %d (%g, %g) isn't in the drawing", c.ID, n, x, y)
		}
	}
}

// The titles say what the figures and the points are.
func TestCaptureTitles(t *testing.T) {
	r := captured(t, 1)
	for i, want := range []string{
		"Distortion reaches 1\u00a0% at " + r.Channels[0].Power.Text,
		"From 2.500\u00a0s on the output lies between −19.0\u00a0V and 19.0\u00a0V",
		"From 2.500\u00a0s on the supply lies between 14.000\u00a0V and 14.200\u00a0V",
		"From 2.500\u00a0s on the supply's current lies between 0.0\u00a0A and 20.0\u00a0A",
		// A sine clipped at 0.95 of its peak: its 3rd harmonic by the integral of the clipped
		// wave, computed apart, lies 36.9 dB below the fundamental.
		"The strongest harmonic, the 3rd, lies " + quantity.Fixed(thirdOfClipped(0.95), 1) + "\u00a0dB below the fundamental",
	} {
		if got := OfCapture(r)[i].Title; got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	r.Captured = nil
	if OfCapture(r) != nil {
		t.Error("a run without a capture has charts")
	}
}

// thirdOfClipped is how far the 3rd harmonic of a sine that is clipped at a part of its peak
// lies below the fundamental in decibels, by a sum of its Fourier integrals.
func thirdOfClipped(at float64) float64 {
	var b [4]float64
	const n = 1 << 20
	for i := range n {
		w := 2 * math.Pi * (float64(i) + 0.5) / n
		v := math.Max(-at, math.Min(at, math.Sin(w)))
		b[1] += v * math.Sin(w)
		b[3] += v * math.Sin(3*w)
	}
	return -20 * math.Log10(math.Abs(b[3]/b[1]))
}

// Names that hold markup stay texts.
func TestCaptureChartsAreHarmless(t *testing.T) {
	r := captured(t, 2)
	for _, c := range r.Captured.Channels {
		c.Name = `<b>"&` + c.Name
	}
	for i := range r.Captured.Taken.Trace.Waves {
		r.Captured.Taken.Trace.Waves[i].Channel = "<script>" + strconv.Itoa(i)
	}
	for _, c := range OfCapture(r) {
		for _, text := range []string{c.Wide, c.Tall, string(c.Live), string(c.Controls)} {
			if strings.Contains(text, "<script") || strings.Contains(text, "<b>") {
				t.Errorf("%s holds markup of a name", c.ID)
			}
		}
	}
}

// Each chart of a capture becomes live, and its points speak.
func TestCaptureChartsGoLive(t *testing.T) {
	ctx := browser(t)
	complaints := listen(ctx)
	all := OfCapture(captured(t, 2))
	address := pageOf(t, all...)
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(1280, 1400), chromedp.Navigate(address)); err != nil {
		t.Fatal(err)
	}
	for _, c := range all {
		said := evaluate[[]string](t, ctx, liveOf("chart-"+c.ID))
		if len(said) != len(c.Table.Rows) {
			t.Errorf("%s: %d points speak, %d rows: %.100q", c.ID, len(said), len(c.Table.Rows), said)
		}
		sameMarks(t, ctx, "chart-"+c.ID, 1280)
	}
	if text := complaints.String(); text != "" {
		t.Error(text)
	}
}
