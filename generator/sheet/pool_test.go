package sheet

import (
	"math"
	"testing"
)

// Three sets with 2, 4 and 3 degrees of freedom: the pooled standard deviation by
// hand is √((2·1 + 4·0.64 + 3·1.44)/9) (JCGM 100:2008, H.3.6 pools so).
func TestPooled(t *testing.T) {
	s, dof := pooled([]RepeatSet{{RMS: 1, DoF: 2}, {RMS: 0.8, DoF: 4}, {RMS: 1.2, DoF: 3}})
	if want := math.Sqrt((2*1 + 4*0.64 + 3*1.44) / 9); math.Abs(s-want) > 1e-12 || dof != 9 {
		t.Errorf("%v with %v degrees of freedom, want %v with 9", s, dof, want)
	}
}

// One noisy set doesn't widen the others; sets that scatter alike all count.
func TestNoisySetIsLeftOut(t *testing.T) {
	alike := []RepeatSet{{RMS: 1, DoF: 2}, {RMS: 0.8, DoF: 4}, {RMS: 1.2, DoF: 3}, {RMS: 0.6, DoF: 2}}
	if i := noisiest(alike); i >= 0 {
		t.Errorf("set %d of like ones is left out", i)
	}
	if i := noisiest(append(alike, RepeatSet{RMS: 8, DoF: 2})); i != 4 {
		t.Errorf("the noisy set is not found: %d", i)
	}
}

// The pool of two channels' repeats against the standard deviation by hand: 18.0,
// 18.1 and 18.2 V give powers in the ratio 324 : 327.61 : 331.24.
func TestPoolOfRuns(t *testing.T) {
	s := evaluate(t, testSite, claim75+run("a", "out_v = 18.0")+run("b", "out_v = 18.1")+run("c", "out_v = 18.2")+run("d", `invalid = "misread"`, "out_v = 3"))
	r := Pool(s.Runs[0].Method, []*Sheet{s})
	p := []float64{324, 327.61, 331.24}
	mean, squares := (p[0]+p[1]+p[2])/3, 0.0
	for _, x := range p {
		squares += (x/mean - 1) * (x/mean - 1)
	}
	if want := 100 * math.Sqrt(squares/2); r == nil || math.Abs(r.RelPct-want) > 1e-9 || r.DoF != 2 || len(r.Sets) != 1 || len(r.Sets[0].Runs) != 3 {
		t.Fatalf("%+v, want %v %% with 2 degrees of freedom of 3 runs", r, want)
	}
	if Pool(s.Content.Method("long"), []*Sheet{s}) != nil {
		t.Error("a method without repeats has a pool")
	}
}
