package plan

import (
	"slices"
	"strings"
	"testing"
)

// The runs of a plan, gentle before severe.
func TestOrder(t *testing.T) {
	two := func(id, watts, ohm string, more ...string) string {
		return strings.Replace(claim(id, watts, ohm, more...), "channels = 1", "channels = 2", 1)
	}
	p := with(
		claim("too-low", "40", "1"), claim("long", "60", "4", "duration_s = 300"), two("hot", "150", "2"), claim("mild", "80", "4"),
		two("hotter-at-10", "160", "2", "signal = 'continuous'"), two("burst", "200", "4", "signal = 'burst'"), claim("bridged", "250", "4", "bridged = true"),
	).but("id = 'hotter-at-10'", "id = 'hotter-at-10'\nfreq_hz = 40").plan(t)
	var order []string
	for _, r := range p.Runs {
		order = append(order, r.Claims[0])
	}
	if want := []string{"burst", "mild", "bridged", "hot", "hotter-at-10", "long", "too-low"}; !slices.Equal(order, want) {
		t.Errorf("the order is %v, want %v", order, want)
	}
	total := Number(0)
	for i, r := range p.Runs {
		if r.Number != i+1 {
			t.Errorf("run %d is numbered %d", i+1, r.Number)
		}
		if total += r.DurationS; i < len(p.Runs)-1 {
			total += r.RestS
		}
	}
	if p.TotalS != total {
		t.Errorf("all takes %v s, want %v", p.TotalS, total)
	}
}

// One run answers two claims, and is planned for the larger.
func TestClaimsShareARun(t *testing.T) {
	p := with(claim("a", "90", "4"), claim("b", "100", "4", "freq_hz = 1000")).plan(t)
	if len(p.Runs) != 1 || !slices.Equal(p.Runs[0].Claims, []string{"a", "b"}) || p.Runs[0].TotalW != 100 || p.Claims[0].ClaimW != 90 {
		t.Errorf("the runs are %+v", p.Runs)
	}
}

// Channels that other claims for as many driven ones are for take those claims' load
// and power; others are said to be assumed.
func TestCompanions(t *testing.T) {
	unit := func(claims ...string) fixture {
		return with(claims...).but(`["L", "R"]`, `["L", "R", "sub"]`)
	}
	pair := func(more string) string {
		return strings.Replace(claim("pair", "50", "4", "of = ['L', 'R']", "driven = 3", more), "channels = 1", "channels = 2", 1)
	}
	p := unit(pair(""), claim("sub", "200", "2", "of = ['sub']", "driven = 3")).plan(t)
	if len(p.Runs) != 1 || len(p.Runs[0].Outputs) != 3 {
		t.Fatalf("the runs are %+v", p.Runs)
	}
	o := p.Runs[0].Outputs[2]
	if o.Channel != "sub" || o.W != 200 || o.LoadOhm != 2 || o.Assumed || p.Runs[0].TotalW != 300 || p.Claims[0].Can != "both" || p.Claims[1].Can != "both" {
		t.Errorf("the third output is %+v; the claims %+v %+v", o, p.Claims[0], p.Claims[1])
	}
	if o := unit(pair("")).plan(t).Runs[0].Outputs[2]; !o.Assumed || o.W != 50 {
		t.Errorf("without a companion it is %+v", o)
	}
	if o := unit(pair("duration_s = 300"), claim("sub", "200", "2", "of = ['sub']", "driven = 3")).plan(t).Runs[1].Outputs[2]; !o.Assumed || o.W != 200 {
		t.Errorf("with one of another duration it is %+v", o)
	}
}
