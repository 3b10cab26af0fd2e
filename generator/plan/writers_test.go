package plan

import (
	"bytes"
	"encoding/json"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"wattsheet/generator/formula"
)

// The text of every demo unit's plan reads in 80 columns, and names each run, claim
// and assumption.
func TestTextOfTheDemo(t *testing.T) {
	for n, rec := range planned().content.Records {
		p := planned().plans[n]
		lines := p.Text()
		for _, line := range lines {
			if n := len([]rune(line)); n > columns {
				t.Errorf("%s: a line of %d columns: %s", rec.Slug, n, line)
			}
		}
		text := squeezed(strings.Join(lines, "\n"))
		for _, claim := range p.Claims {
			if !strings.Contains(text, claim.ID+": ") || len(claim.Runs) == 0 {
				t.Errorf("%s: claim %s isn't there, or no run is for it: %s", rec.Slug, claim.ID, claim.Why)
			}
		}
		for _, a := range p.Assumptions {
			if a.Source == "" || !strings.Contains(text, squeezed(a.Text+" ("+a.Source+")")) {
				t.Errorf("%s: the text has no %q", rec.Slug, a.Text)
			}
		}
		if strings.Contains(text, "NaN") || strings.Contains(text, "Inf") || strings.Contains(text, "%!") {
			t.Errorf("%s: %s", rec.Slug, text)
		}
	}
}

// Two plans of the same are the same, and planning leaves the record as it is.
func TestPlansAreTheSame(t *testing.T) {
	c := planned().content
	for n, rec := range c.Records[:4] {
		runs, claims := len(rec.Runs), slices.Clone(rec.Claims)
		a, b := planned().plans[n], Make(c, rec, "2026-10-09")
		if !bytes.Equal(a.JSON(), b.JSON()) || !bytes.Equal(a.Page(), b.Page()) {
			t.Errorf("%s: two plans differ", rec.Slug)
		}
		if len(rec.Runs) != runs || !reflect.DeepEqual(rec.Claims, claims) {
			t.Errorf("%s: planning changed the record", rec.Slug)
		}
	}
}

// The keys of the JSON: a program that reads plans relies on them. A new key may come;
// another meaning or one that goes is a new version.
func TestKeysOfTheJSON(t *testing.T) {
	p := with(claim("c", "400", "1.9"), claim("d", "100", "4", "freq_hz = [20, 20000]")).but("amps = 100", "amps = 100\nleads = 'thick'\nlead_mm2 = 35\nlead_m = 1").but("[30, 30]", "[30, 31]").plan(t)
	var whole map[string]any
	if err := json.Unmarshal(p.JSON(), &whole); err != nil {
		t.Fatal(err)
	}
	keys := map[string]bool{}
	var walk func(at string, v any)
	walk = func(at string, v any) {
		switch v := v.(type) {
		case map[string]any:
			for k, x := range v {
				keys[strings.TrimPrefix(at+"."+k, ".")] = true
				walk(at+"."+k, x)
			}
		case []any:
			for _, x := range v {
				walk(at, x)
			}
		case nil:
			t.Errorf("%s is null", at)
		}
	}
	walk("", whole)
	for _, want := range strings.Fields(`format version slug name class day assumptions.id assumptions.text assumptions.source cautions flags.id flags.text
		flags.caution order rest total_s formulas runs.number runs.method runs.method_title runs.signal runs.freq_hz runs.thdn_pct runs.duration_s runs.share_at_level
		runs.bridged runs.total_w runs.claims runs.rest_s runs.flags.id runs.flags.text runs.flags.caution runs.outputs.channel runs.outputs.load_ohm runs.outputs.power_w
		runs.outputs.out_v runs.outputs.out_a runs.outputs.load runs.outputs.load_heat_w runs.outputs.load_max_w runs.outputs.load_margin_w runs.supply.id
		runs.supply.supply_v runs.supply.efficiency_pct runs.supply.supply_w runs.supply.supply_a runs.supply.mean_a runs.supply.max_a runs.supply.margin_a
		runs.supply.fuses_a runs.supply.blade_fuse_a runs.supply.leads runs.supply.lead_ohm runs.supply.lead_drop_v runs.supply.lead_heat_w runs.heat.unit_w
		runs.heat.unit_mean_w runs.heat.load_w runs.heat.energy_j runs.heat.unit_j runs.heat.load_j runs.meters.reads runs.meters.channel runs.meters.instrument
		runs.meters.range_to runs.meters.expected runs.meters.unit claims.id claims.label claims.conditions claims.claim_w claims.limit_w claims.runs claims.can_say
		claims.why claims.u_w claims.u_pct claims.shortfall_pct claims.short_up_to_w claims.margin_pct claims.met_from_w`) {
		if !keys[want] {
			t.Errorf("the JSON has no key %s", want)
		}
	}
	if whole["format"] != "wattsheet-plan" || whole["version"] != 1.0 {
		t.Errorf("it is %v, version %v", whole["format"], whole["version"])
	}
}

// The formulas that a plan names are in the catalogue.
func TestFormulasOfAPlan(t *testing.T) {
	p := with(claim("c", "100", "4")).but("amps = 100", "amps = 100\nlead_awg = '4'\nlead_m = 1").plan(t)
	if len(p.Formulas) < 12 || !strings.Contains(squeezed(strings.Join(p.Text(), " ")), "wire-gauge") {
		t.Errorf("it names %v", p.Formulas)
	}
	for _, id := range p.Formulas {
		if _, known := formula.ByID(id); !known {
			t.Errorf("the catalogue has no %s", id)
		}
	}
}

// A number that is none is null, and one of many digits has twelve.
func TestNumbers(t *testing.T) {
	for x, want := range map[Number]string{1.0 / 3: "0.333333333333", Number(math.Inf(1)): "null", 0: "0", 1.94 + 4e-16: "1.94"} {
		if got, err := json.Marshal(x); err != nil || string(got) != want {
			t.Errorf("%v is %s, want %s", float64(x), got, want)
		}
	}
}

// A checklist is one file by itself: nothing is loaded and nothing runs. It has a box
// to tick for each step and a cell for each reading.
func TestPage(t *testing.T) {
	p := with(strings.Replace(claim("c", "100", "4"), "channels = 1", "channels = 2", 1), claim("d", "200", "2")).plan(t)
	text := p.Page()
	if !bytes.HasPrefix(text, []byte(PageMark)) {
		t.Errorf("it begins %q", text[:60])
	}
	root, err := html.Parse(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	boxes, cells, sections := 0, 0, 0
	for n := range root.Descendants() {
		if n.Type != html.ElementNode {
			continue
		}
		if slices.Contains([]string{"script", "link", "img", "iframe", "object", "form", "a", "base"}, n.Data) {
			t.Errorf("the page has a <%s>", n.Data)
		}
		for _, a := range n.Attr {
			if strings.HasPrefix(a.Key, "on") || a.Key == "style" || strings.Contains(a.Val, "://") {
				t.Errorf("<%s> has %s=%q", n.Data, a.Key, a.Val)
			}
			if a.Key == "class" && a.Val == "tick" {
				boxes++
			}
		}
		if n.Data == "section" {
			sections++
		}
		if n.Data == "td" && n.FirstChild == nil {
			cells++
		}
	}
	steps := len(p.Cautions) + len(p.Runs) - 1
	written := 0
	for _, r := range p.Runs {
		steps += 2 + len(r.Meters)
		written += len(r.Outputs)*2 + 3 // volts and distortion a channel; supply volts and amperes, how it ended
	}
	if boxes != steps || cells != written || sections != len(p.Runs)+3 {
		t.Errorf("%d boxes, %d cells, %d sections; want %d, %d, %d", boxes, cells, sections, steps, written, len(p.Runs)+3)
	}
	css := string(text)
	if strings.Contains(css, "url(") || strings.Contains(css, "@import") || !strings.Contains(css, "size: A4") {
		t.Error("its style loads something, or isn't for A4")
	}
}

// Texts of the record and the bench are shown as they are written, and do nothing.
func TestHostileTexts(t *testing.T) {
	const bad = `</style><script>alert(1)</script>&quot;'"`
	f := with(claim("c", "100", "4")).but(`model = "Plan"`, `model = '''`+bad+`'''`).but("name = \"volts\"", "name = '''"+bad+"'''").
		but("amps = 100\n", "amps = 100\nleads = '''"+bad+"'''\n").but(`title = "at 1 % THD+N"`, "title = '''"+bad+"'''").but(`["L", "R"]`, `["<b>L", "R"]`)
	p := f.plan(t)
	page := string(p.Page())
	if strings.Contains(page, "<script") || strings.Contains(page, "<b>") || strings.Count(page, "</style>") != 1 {
		t.Error("a text gets out of its place on the page")
	}
	var back struct{ Name string }
	if err := json.Unmarshal(p.JSON(), &back); err != nil || back.Name != "Invented "+bad {
		t.Errorf("the JSON gives back %q, %v", back.Name, err)
	}
	odd := *p
	odd.Name = "a\u009b31mb\u202ec"
	if text := string(odd.JSON()); strings.ContainsAny(text, "\u009b\u202e") || !strings.Contains(text, `a\u009b31mb\u202ec`) {
		t.Error("the JSON has what a terminal may act on")
	}
	if text := string(odd.Page()); strings.ContainsAny(text, "\u009b\u202e") {
		t.Error("the page has what turns the text around")
	}
}

// With next to nothing there is a plan all the same, which says what is missing.
func TestPlanOfNothing(t *testing.T) {
	if p := with().plan(t); len(p.Runs) != 0 || !strings.Contains(p.Summary(), "no claim yet") || len(p.Text()) < 10 || len(p.Page()) < 1000 {
		t.Errorf("without claims: %+v", p)
	} else if text := strings.Join(p.Text(), "\n") + string(p.Page()); strings.Contains(text, "What this bench can say") || strings.Contains(text, "formulas of") || !strings.Contains(text, "never permission") {
		t.Errorf("without claims it says what there is nothing to say of:\n%s", text)
	}
	bare := with(claim("c", "100", "4"))
	bare.bench = ""
	p := bare.plan(t)
	if ids := p.Runs[0].ids(); !slices.Contains(ids, "no-supply") || !slices.Contains(ids, "no-load") || !slices.Contains(ids, "no-instrument") {
		t.Errorf("without a bench: %v", ids)
	}
	if c := p.Claims[0]; c.Can != "neither" {
		t.Errorf("without a bench it can say %s", c.Can)
	}
	none := with(claim("c", "100", "4")).but("class = \"D\"\n", "").plan(t)
	if none.Runs[0].Supply.EfficiencyPct != unknownPct {
		t.Errorf("without a class the efficiency is %v", none.Runs[0].Supply.EfficiencyPct)
	}
}
