package charts

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// demo evaluates the demo content.
func demo(t testing.TB) []*sheet.Sheet {
	t.Helper()
	return evaluated(t, "../content")
}

// evaluated makes the sheets of a content folder.
func evaluated(t testing.TB, content string) []*sheet.Sheet {
	t.Helper()
	read := func(name string) *record.File {
		text, err := os.ReadFile(filepath.Join(content, name))
		if err != nil {
			t.Fatal("no content: ", err)
		}
		return &record.File{Name: name, Text: text}
	}
	c := &record.Content{}
	c.Site, _ = record.DecodeSite(read("site.toml"))
	c.Bench, _ = record.DecodeBench(read("bench.toml"))
	c.Methods, _ = record.DecodeMethods(read("methods.toml"))
	folders, _ := filepath.Glob(filepath.Join(content, "units", "*"))
	for _, folder := range folders {
		slug := filepath.Base(folder)
		r, problems := record.DecodeRecord(read("units/"+slug+"/record.toml"), slug)
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		c.Records = append(c.Records, r)
	}
	var sheets []*sheet.Sheet
	for _, r := range c.Records {
		sheets = append(sheets, sheet.Evaluate(c, r))
	}
	return sheets
}

var methodTitles = []string{"at 1 % THD+N", "at 10 % THD+N", "sustained for five minutes", "tone burst", "clipped", "into a cold load", "at the lowest supply"}

// A bench makes sheets by hand.
type bench struct {
	*sheet.Sheet
	methods *record.Methods
}

func newBench() *bench {
	b := &bench{Sheet: &sheet.Sheet{Slug: "made-up", Name: "Made Up"}, methods: &record.Methods{}}
	for i, title := range methodTitles {
		b.methods.Methods = append(b.methods.Methods, record.Method{ID: fmt.Sprint("m", i), Title: title})
	}
	b.Content = &record.Content{Methods: b.methods}
	return b
}

// watt is a figure in watts as a sheet has it.
func watt(x, u float64) *sheet.Figure { return figure(x, u, "W") }

func figure(x, u float64, unit string) *sheet.Figure {
	value, text := quantity.Pair(x, u)
	f := &sheet.Figure{X: x, U: u, K: 2, Unit: unit, ValueText: value, UText: text, Text: value + "\u00a0" + unit}
	if u > 0 {
		f.Text = "(" + value + " ± " + text + ")\u00a0" + unit
	}
	return f
}

// run adds a run of a method into a load, one power a channel, each with a U of
// two percent.
func (b *bench) run(method int, ohm float64, outcome string, powers ...float64) *sheet.Run {
	r := &sheet.Run{
		Rec: &record.Run{Outcome: outcome}, ID: fmt.Sprint("r", len(b.Runs)+1), Method: &b.methods.Methods[method],
		Nominal: ohm, Valid: true, Completed: outcome == "completed", OutcomeText: outcome,
	}
	for i, p := range powers {
		r.Channels = append(r.Channels, &sheet.Channel{
			Name: string(rune('A' + i)), Nominal: ohm, Power: watt(p, 0.02*p),
			OutV: figure(math.Sqrt(p*ohm), 0.01*math.Sqrt(p*ohm), "V"),
		})
	}
	b.Runs = append(b.Runs, r)
	return r
}

// claim adds a claim.
func (b *bench) claim(ohm, power float64, bridged bool) *sheet.Claim {
	c := &sheet.Claim{
		Rec: &record.Claim{LoadOhm: record.Number{Value: ohm}, PowerW: record.Number{Value: power, Text: quantity.Float(power)}, Bridged: bridged},
		ID:  fmt.Sprint("c", len(b.Claims)+1), Label: sheet.Ohms(ohm), Verdict: verdict.Untested, Word: "Untested", ClaimW: power, LimitW: power,
	}
	b.Claims = append(b.Claims, c)
	return c
}

var outcomes = []string{"completed", "completed", "completed", "protected", "fuse", "supply-limit", "stopped"}

// random makes a sheet of any shape that a record can give: one to four channels,
// loads, methods, repeats, bridged runs, runs that ended early or don't count.
func random(seed uint64) *sheet.Sheet {
	r := rand.New(rand.NewPCG(seed, 5))
	b := newBench()
	loads := []float64{16, 8, 6, 4, 2.67, 2, 1.33, 1, 0.5}
	r.Shuffle(len(loads), func(i, j int) { loads[i], loads[j] = loads[j], loads[i] })
	loads = loads[:1+r.IntN(5)]
	channels, volts := 1+r.IntN(4), math.Exp(1+3*r.Float64())
	droop := 1.5*r.Float64() - 0.5
	for _, ohm := range loads {
		for method := range 1 + r.IntN(5) {
			for range 1 + r.IntN(3) {
				powers := make([]float64, channels)
				for i := range powers {
					powers[i] = volts * volts / math.Pow(ohm, droop*1.3) * (0.95 + 0.1*r.Float64()) * (1 + 0.2*float64(method))
				}
				made := b.run(method, ohm, outcomes[r.IntN(len(outcomes))], powers...)
				made.Valid = r.IntN(8) > 0
				made.Completed = made.Completed && made.Valid
				if r.IntN(6) == 0 {
					made.Bridged = true
					for _, ch := range made.Channels {
						ch.Power = watt(ch.Power.X*3, ch.Power.U*3)
					}
				}
			}
		}
		if r.IntN(2) == 0 {
			b.claim(ohm, math.Round(volts*volts/ohm), r.IntN(4) == 0)
		}
	}
	return b.Sheet
}

// every returns the demo's sheets and a number of random ones.
func every(t testing.TB) []*sheet.Sheet {
	all := demo(t)
	for seed := range uint64(150) {
		all = append(all, random(seed))
	}
	return all
}
