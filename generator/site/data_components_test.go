package site

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// Who has a sheet.json and its schema can compute what stands behind each ±: u and its degrees of freedom as the schema
// words them, and k from those by a library's Student's t. Nothing here knows how this program does it.
func TestComponentsGiveEachUncertainty(t *testing.T) {
	_, dir := published(t)
	sheets, err := filepath.Glob(filepath.Join(dir, "units", "*", "sheet.json"))
	if err != nil || len(sheets) == 0 {
		t.Fatal(sheets, err)
	}
	checked := 0
	for _, name := range sheets {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		var all any
		if err := json.Unmarshal(data, &all); err != nil {
			t.Fatal(err)
		}
		sources := map[string]map[string]any{}
		for _, one := range all.(map[string]any)["sources"].([]any) {
			s := one.(map[string]any)
			sources[s["id"].(string)] = s
		}
		everyFigure(all, func(f map[string]any) {
			checked++
			u, dof := fromComponents(t, f["components"].([]any), sources)
			k := distuv.UnitNormal.Quantile(0.975)
			if dof < 1e7 { // beyond, they agree within what a library's quantile is good for
				k = distuv.StudentsT{Sigma: 1, Nu: dof}.Quantile(0.975)
			}
			stated := math.Inf(1)
			if n, finite := f["dof"].(float64); finite {
				stated = n
			}
			if off(u, f["u"]) > 1e-9 || stated < 1e15 && off(dof, stated) > 1e-6 || off(k, f["k"]) > 1e-7 || off(k*u, f["expanded"]) > 1e-7 {
				t.Errorf("%s, %s: u %v, dof %v, k %v, want %v, %v, %v", filepath.Base(filepath.Dir(name)), f["text"], u, dof, k, f["u"], f["dof"], f["k"])
			}
		})
	}
	if checked < 2000 {
		t.Errorf("only %d figures have components", checked)
	}
}

// everyFigure finds what has components and a known uncertainty.
func everyFigure(in any, do func(map[string]any)) {
	switch in := in.(type) {
	case map[string]any:
		if u, known := in["u"].(float64); known && u > 0 && in["components"] != nil {
			do(in)
		}
		for _, one := range in {
			everyFigure(one, do)
		}
	case []any:
		for _, one := range in {
			everyFigure(one, do)
		}
	}
}

// fromComponents is u and its degrees of freedom by the words of the schema.
func fromComponents(t *testing.T, components []any, sources map[string]map[string]any) (u, dof float64) {
	type part struct {
		c, dof   float64
		estimate string
	}
	var parts []part
	common := map[string]int{} // a group's place among the parts
	for _, one := range components {
		c := one.(map[string]any)
		s := sources[c["source"].(string)]
		if s == nil {
			t.Fatalf("there is no source %v", c["source"])
		}
		p := part{c: c["contribution"].(float64), dof: math.Inf(1), estimate: s["id"].(string)}
		if n, finite := s["dof"].(float64); finite {
			p.dof = n
		}
		if name, shared := s["estimate"].(string); shared {
			p.estimate = name
		}
		if c["sharing"] != "common" {
			parts = append(parts, p)
			continue
		}
		group := s["group"].(string)
		at, begun := common[group]
		if !begun {
			common[group] = len(parts)
			parts = append(parts, p)
			continue
		}
		if parts[at].c += p.c; p.dof < parts[at].dof {
			parts[at].dof, parts[at].estimate = p.dof, p.estimate
		}
	}
	squares, freedom := map[string]float64{}, map[string]float64{}
	for _, p := range parts {
		u += p.c * p.c
		squares[p.estimate] += p.c * p.c
		freedom[p.estimate] = p.dof
	}
	sum := 0.0
	for name, c2 := range squares {
		sum += c2 * c2 / freedom[name]
	}
	return math.Sqrt(u), u * u / sum
}

// off is how far two numbers are apart, relative to the second; both infinite is none.
func off(got float64, want any) float64 {
	w, is := want.(float64)
	if !is || got == w {
		return map[bool]float64{true: 0, false: math.Inf(1)}[is]
	}
	return math.Abs(got-w) / math.Abs(w)
}
