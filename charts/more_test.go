package charts

import (
	"fmt"
	"math"
	"math/rand/v2"
	"sync"
	"testing"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// more adds what the other charts draw to a bench: runs at three supply voltages
// with distortion, supply power, efficiency and heat, temperatures, repeats, a load
// line of a method that fits and one that doesn't. All names are the given one.
func (b *bench) more(seed uint64, name string) {
	r := rand.New(rand.NewPCG(seed, 9))
	vary := func(part float64) float64 { return 1 + part*(2*r.Float64()-1) }
	for _, ohm := range []float64{8, 4, 2} {
		for i, volts := range []float64{12, 13.2, 14.4, 14.41}[:2+r.IntN(3)] {
			power := volts * volts / ohm * vary(0.02)
			run := b.run(i%2, ohm, "completed", power, power*vary(0.01))
			if r.IntN(9) == 0 {
				run.Completed, run.OutcomeText, run.Rec.Outcome = false, name, "protected"
			}
			run.ID, run.FreqHz = fmt.Sprint("s", len(b.Runs), "-", name), 1000
			run.SupplyV = figure(volts*vary(0.001), 0.02, "V")
			total := run.Channels[0].Power.X + run.Channels[1].Power.X
			run.Total, run.SupplyPower = watt(total, 0.02*total), watt(total*1.6, 0.03*total)
			run.Efficiency, run.Heat = figure(100/1.6*vary(0.1), 1.5, "%"), watt(total*0.6*vary(0.1), 0.03*total)
			for _, ch := range run.Channels {
				ch.Distortion = figure(0.02*math.Exp(5*r.Float64()), 0.001, "%")
				ch.Distortion.X = must(ch.Distortion.ValueText)
			}
		}
	}
	b.thermals(r, name)
	b.repeats(r, name)
	for i := range 2 {
		b.line(&b.methods.Methods[i], i == 0, name)
	}
}

func (b *bench) thermals(r *rand.Rand, name string) {
	course := &sheet.Thermal{Rec: &record.Thermal{Spot: "heat sink " + name, How: name}, After: b.Runs[0]}
	for i := range 3 + r.IntN(20) {
		temp := 22 + 40*(1-math.Exp(-float64(i)/5)) + r.Float64()
		course.Points = append(course.Points, sheet.ThermalPoint{Min: 2.5 * float64(i), TempC: figure(temp, 1.2, "°C"), Rise: figure(temp-22, 1.3, "K")})
	}
	single := func(spot string) *sheet.Thermal {
		return &sheet.Thermal{Rec: &record.Thermal{Spot: spot}, Points: []sheet.ThermalPoint{{TempC: figure(30+30*r.Float64(), 2, "°C")}}}
	}
	b.Thermals = []*sheet.Thermal{course, single("transformer"), single("transformer")}
	if r.IntN(3) == 0 {
		b.Thermals = b.Thermals[1:]
	}
}

func (b *bench) repeats(r *rand.Rand, name string) {
	for m := range 2 {
		for _, channel := range []string{"A", "B"} {
			rep := &sheet.Repeat{Method: &b.methods.Methods[m], Nominal: 4, Channel: channel + name, PoolPct: []float64{0.8, 0}[m], SPct: 0.7}
			for i := range 2 + r.IntN(4) {
				rep.Points = append(rep.Points, sheet.RepeatPoint{Run: b.Runs[min(4*m+i, len(b.Runs)-1)].ID, DeviationPct: 3 * (r.Float64() - 0.5)})
			}
			b.Repeats = append(b.Repeats, rep)
		}
	}
}

func (b *bench) line(m *record.Method, fits bool, name string) {
	l := &sheet.LoadLine{Method: m, Channel: "A", Fits: fits, E: figure(25, 0.3, "V"), Rs: figure(0.2, 0.03, "Ω"), Text: "Channel A, " + name + ": like a source."}
	for i := range 25 {
		ohm := 2.03 * math.Pow(4, float64(i)/24)
		l.Curve = append(l.Curve, sheet.CurvePoint{Load: ohm, Power: watt(14*14/ohm, 1)})
	}
	b.Lines = append(b.Lines, l)
}

// more makes a sheet of which every chart can be drawn.
func more(seed uint64) *sheet.Sheet {
	b := newBench()
	b.more(seed, "one")
	b.claim(4, 40, false)
	return b.Sheet
}

// checkOf makes the check unit's course over a number of days.
func checkOf(days int, seed uint64) *sheet.Check {
	r := rand.New(rand.NewPCG(seed, 4))
	c := &sheet.Check{Mean: watt(50, 0.4)}
	for i := range days {
		power := 50 + 2*(r.Float64()-0.5)
		c.Days = append(c.Days, sheet.CheckDay{
			Date: fmt.Sprintf("2026-%02d-%02d", 1+i/3, 1+9*(i%3)), Power: watt(power, 0.9), DeviationPct: 100 * (power/50 - 1), Off: r.IntN(4) == 0,
		})
	}
	return c
}

// everyChart draws every chart of the demo's sheets and of generated ones, once for
// all tests.
func everyChart(t testing.TB) []*Chart {
	drawn.Do(func() { allDrawn = drawEvery(t) })
	return allDrawn
}

var (
	drawn    sync.Once
	allDrawn []*Chart
)

// drawEvery draws them anew.
func drawEvery(t testing.TB) []*Chart {
	var all []*Chart
	for _, s := range every(t) {
		all = append(all, All(s)...)
	}
	for seed := range uint64(40) {
		all = append(all, All(more(seed))...)
		if c := CheckUnit(checkOf(2+int(seed)%15, seed)); c != nil {
			all = append(all, c)
		}
	}
	return all
}

// everyPlot is what those charts were drawn from.
func everyPlot(t testing.TB) []*plot {
	var all []*plot
	for _, c := range everyChart(t) {
		all = append(all, c.plot)
	}
	return all
}
