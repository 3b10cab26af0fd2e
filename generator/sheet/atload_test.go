package sheet

import (
	"math"
	"slices"
	"strings"
	"testing"

	"wattsheet/generator/electric"
	"wattsheet/generator/formula"
	"wattsheet/generator/record"
	"wattsheet/generator/verdict"
)

// demoUnit evaluates a unit of the demo, after a change of its record.
func demoUnit(t *testing.T, slug string, change func(*record.Record)) *Sheet {
	t.Helper()
	content := demoContent(t, "")
	for _, rec := range content.Records {
		if rec.Slug == slug {
			if change != nil {
				change(rec)
			}
			return Evaluate(content, rec)
		}
	}
	t.Fatalf("the demo has no %s", slug)
	return nil
}

func loadAtOf(t *testing.T, s *Sheet, ohm float64, bridged bool) *AtLoad {
	t.Helper()
	for _, a := range s.AtLoads {
		if a.Bridged == bridged && math.Abs(a.Ohm-ohm) < 0.01*ohm {
			return a
		}
	}
	t.Fatalf("%s says nothing of %g Ω", s.Name, ohm)
	return nil
}

// What was measured at a load is the mean of its runs, with their current and the
// verdict that rests on them. The means are by hand from the record's readings.
func TestAtLoadMeasured(t *testing.T) {
	s := demoUnit(t, "gatherstoat-plumbrook-1", nil)
	a := loadAtOf(t, s, 1, false)
	if a.Kind != LoadMeasured || len(a.Results) != 2 || len(a.Claims) != 1 {
		t.Fatalf("1 Ω is %s with %d results and %d claims", a.Kind, len(a.Results), len(a.Claims))
	}
	r := a.Results[0]
	var amps, watts float64
	for _, run := range s.Runs {
		if slices.Contains(r.Runs, run.ID) {
			amps += run.Rec.SupplyA.Value / 3
			watts += run.Total.X / 3
		}
	}
	switch {
	case r.Estimate || !slices.Equal(r.Runs, []string{"r10", "r11", "r12"}):
		t.Errorf("it is of %v", r.Runs)
	case math.Abs(r.AmpsA-amps) > 1e-9 || math.Abs(r.SupplyA.X-amps) > 1e-9 || r.SupplyA.U <= 0:
		t.Errorf("the current is %g ± %g A, want %g", r.AmpsA, r.SupplyA.U, amps)
	case math.Abs(r.Total.X-watts) > 1e-9 || r.Total.U <= 0:
		t.Errorf("the power is %s, want %g W", r.Total.Text, watts)
	case len(r.Claims) != 1 || r.Claims[0].ID != "1-ohm" || r.Claims[0].Verdict != verdict.Met:
		t.Errorf("the claims there are %v", r.Claims)
	case r.Fuse.RatingA != 70 || r.Fuse.Why != "":
		t.Errorf("the fuse for %g A is %+v, want 70 A (ISO 8820-3)", r.AmpsA, *r.Fuse)
	}
}

// Between tested loads there is the load line's estimate, marked as one, and what
// follows from it by Joule's law.
func TestAtLoadEstimated(t *testing.T) {
	s := demoUnit(t, "gatherstoat-plumbrook-1", nil)
	l := s.Lines[0]
	for _, ohm := range []float64{4. / 3, 1.5, 3, 6} {
		a := loadAtOf(t, s, ohm, false)
		if a.Kind != LoadEstimate || len(a.Results) != 1 || !a.Results[0].Estimate {
			t.Fatalf("%g Ω is %s", ohm, a.Kind)
		}
		r := a.Results[0]
		want := l.E.X * l.E.X * ohm / math.Pow(ohm+l.Rs.X, 2)
		if math.Abs(r.Total.X-want) > 1e-9*want || r.Total.U <= 0 {
			t.Errorf("%g Ω: %s, want %g W with its U", ohm, r.Total.Text, want)
		}
		if r.SupplyA != nil || r.Efficiency != nil || r.Heat != nil || len(r.Claims) > 0 {
			t.Errorf("%g Ω: an estimate has something measured, or a verdict", ohm)
		}
		if got := r.AmpsA * r.SupplyV * r.EfficiencyPct / 100; math.Abs(got-want) > 1e-9*want {
			t.Errorf("%g Ω: %g A at %g V and %g %% are %g W, want %g", ohm, r.AmpsA, r.SupplyV, r.EfficiencyPct, got, want)
		}
		if got := r.AmpsA*r.SupplyV - want; math.Abs(got-r.HeatW) > 1e-9*want {
			t.Errorf("%g Ω: heat %g W, want %g (conservation of energy)", ohm, r.HeatW, got)
		}
		if r.EfficiencyPct < 80.5 || r.EfficiencyPct > 81.5 || !strings.Contains(r.From, "estimate") {
			t.Errorf("%g Ω: efficiency %g %%, %s", ohm, r.EfficiencyPct, r.From)
		}
	}
	if _, known := formula.ByID(formula.EfficiencyBetween); !known {
		t.Error("the efficiency has no formula")
	}
}

// The total of two estimated channels is their sum, and its U no sum: what both share
// counts once.
func TestAtLoadEstimatedChannels(t *testing.T) {
	r := loadAtOf(t, demoUnit(t, "dunnocrake-gorsehoop-2", nil), 3, false).Results[0]
	if len(r.Channels) != 2 || math.Abs(r.Channels[0].Power.X+r.Channels[1].Power.X-r.Total.X) > 1e-9 {
		t.Fatalf("%d channels, total %s", len(r.Channels), r.Total.Text)
	}
	if sum := r.Channels[0].Power.U + r.Channels[1].Power.U; r.Total.U > sum*(1+1e-9) || r.Channels[r.Weakest].Name != "R" {
		t.Errorf("U is %g of %g; the weakest is %s", r.Total.U, sum, r.Channels[r.Weakest].Name)
	}
}

// Where there is no figure, a sentence says why, and there is none.
func TestAtLoadWithoutFigure(t *testing.T) {
	lowest := func(r *record.Record) { r.Unit.LowestBridgedOhm = record.Number{} }
	lossy := func(r *record.Record) { r.Unit.LowestOhm = record.Number{} }
	pairs := func(r *record.Record) {
		r.Runs = slices.DeleteFunc(r.Runs, func(run record.Run) bool { return !slices.Contains(run.Driven, "L+R") })
	}
	for _, c := range []struct {
		slug    string
		change  func(*record.Record)
		ohm     float64
		bridged bool
		kind    LoadKind
		why     string
	}{
		{"gatherstoat-plumbrook-1", nil, 0.5, false, LoadRefused, "0.5 Ω is below the maker's lowest load of 1 Ω a channel."},
		{"mirthgudgeon-nettlecog-1", nil, 1, false, LoadRefused, "1 Ω is below the maker's lowest load of 2 Ω a channel."}, // though it was run
		{"dunnocrake-gorsehoop-2", nil, 2, true, LoadRefused, "2 Ω bridged is below the maker's lowest bridged load of 4 Ω."},
		{"dunnocrake-gorsehoop-2", lowest, 3, true, LoadRefused, "Of 3 Ω bridged each channel sees half, 1.5 Ω, which is below the maker's lowest load of 2 Ω."},
		{"gatherstoat-plumbrook-1", lossy, 0.5, false, LoadOutside, "0.5 Ω is outside the tested range, 1 to 8 Ω: no number is given for it."},
		{"gatherstoat-plumbrook-1", nil, 16, false, LoadOutside, "16 Ω is outside the tested range, 1 to 8 Ω: no number is given for it."},
		{"dunnocrake-gorsehoop-2", nil, 8, true, LoadOutside, "8 Ω bridged is outside what was tested, 4 Ω alone: no number is given for it."},
		{"copperdaub-hedgeclank-900", nil, 3, false, LoadNothing, "3 Ω wasn't tested, and no load line fits the loads around it: nothing is estimated for it."},
		{"oxbramble-dredgelark-3", nil, 1, false, LoadNothing, "No figure at 1 Ω: runs r06, r07: the bench's supply reached its limit."},
		{"ravenspigot-loftanvil-350", nil, 8, true, LoadNothing, "It wasn't tested bridged."},
		{"dunnocrake-gorsehoop-2", pairs, 4, false, LoadNothing, "It was tested bridged only."},
	} {
		a := loadAtOf(t, demoUnit(t, c.slug, c.change), c.ohm, c.bridged)
		why := strings.ReplaceAll(a.Why, nbsp, " ")
		if a.Kind != c.kind || len(a.Results) > 0 || !strings.HasPrefix(why, c.why) {
			t.Errorf("%s at %g Ω is %s with %d results: %s", c.slug, c.ohm, a.Kind, len(a.Results), why)
		}
	}
	mono := demoUnit(t, "gatherstoat-plumbrook-1", nil)
	if slices.ContainsFunc(mono.AtLoads, func(a *AtLoad) bool { return a.Bridged }) {
		t.Error("a unit that nobody speaks of as bridged has bridged loads")
	}
}

// Just at the maker's lowest load, and where a load's name is within 1 % of it, nothing
// is refused.
func TestAtLoadAtTheLowest(t *testing.T) {
	for _, c := range []struct {
		lowest float64
		kind   LoadKind
	}{{2, LoadMeasured}, {2.02, LoadMeasured}, {2.021, LoadRefused}} {
		s := demoUnit(t, "gatherstoat-plumbrook-1", func(r *record.Record) { r.Unit.LowestOhm.Value = c.lowest })
		if a := loadAtOf(t, s, 2, false); a.Kind != c.kind {
			t.Errorf("2 Ω with the lowest at %g Ω is %s, want %s", c.lowest, a.Kind, c.kind)
		}
	}
}

// No fuse above the unit's own is named.
func TestAtLoadFuse(t *testing.T) {
	for _, c := range []struct {
		own    float64
		rating float64
		why    string
	}{{80, 70, ""}, {70, 70, ""}, {69, 70, "70 A would be above the unit's own fuses, 69 A in all"}} {
		s := demoUnit(t, "gatherstoat-plumbrook-1", func(r *record.Record) {
			r.Unit.FusesA.Items = r.Unit.FusesA.Items[:1]
			r.Unit.FusesA.Items[0].Value = c.own
		})
		f := loadAtOf(t, s, 1, false).Results[0].Fuse
		if f.RatingA != c.rating || !strings.HasPrefix(strings.ReplaceAll(f.Why, nbsp, " "), c.why) || (c.why == "") != (f.Why == "") {
			t.Errorf("with fuses of %g A: %+v", c.own, *f)
		}
	}
	mains := loadAtOf(t, demoUnit(t, "fennelgrist-thatchkettle-60", nil), 8, false).Results[0]
	if mains.Fuse != nil || mains.Leads != nil || mains.AmpsA != 0 || mains.HeatW <= 0 {
		t.Errorf("a unit on the mains is advised %+v, %v", mains.Fuse, mains.Leads)
	}
}

// Every lead bears its fuse and loses 3 % at most; the next thinner size doesn't. A
// lead that is longer, or of the poorer metal, is never thinner.
func TestAtLoadLeads(t *testing.T) {
	content, n := demoContent(t, ""), 0
	for _, rec := range content.Records {
		for _, a := range Evaluate(content, rec).AtLoads {
			for _, r := range a.Results {
				for i, l := range r.Leads {
					n++
					of := LeadMetals[i/len(LeadLengths())].of
					does := func(area float64) bool {
						drop := r.AmpsA * of.LeadOhms(l.LengthM, 1, area, 60)
						return of.Bears(area) >= r.Fuse.RatingA && drop <= 0.03*r.SupplyV
					}
					areas := electric.Areas()
					at := slices.Index(areas, l.AreaMM2)
					if at < 0 {
						at = len(areas)
					}
					if at < len(areas) && !does(areas[at]) || at > 0 && does(areas[at-1]) {
						t.Errorf("%s, %s, %g m of %s: %g mm² isn't the thinnest that does", rec.Slug, a.Text(), l.LengthM, l.Metal, l.AreaMM2)
					}
					if l.DropV > 0.03*r.SupplyV {
						t.Errorf("%s, %s: %g V lost", rec.Slug, a.Text(), l.DropV)
					}
					if i%len(LeadLengths()) > 0 && l.AreaMM2 > 0 && l.AreaMM2 < r.Leads[i-1].AreaMM2 {
						t.Errorf("%s, %s: a longer lead is thinner", rec.Slug, a.Text())
					}
				}
			}
		}
	}
	if n < 200 {
		t.Errorf("only %d leads were looked at", n)
	}
}

// Wirings share equally: their coils are all used, and the load is z·s/p.
func TestWirings(t *testing.T) {
	for _, w := range Wirings() {
		if w.Series*w.Parallel != w.Speakers*w.Coils || len(w.Loads) != len(CoilOhms(w.Coils)) {
			t.Errorf("%+v doesn't use its coils", w)
		}
	}
	if n := len(Wirings()); n != 21 {
		t.Errorf("%d wirings; of one to four speakers with one or two coils there are 21: the divisors of 1, 2, 2, 4, 3, 6, 4 and 8", n)
	}
}
