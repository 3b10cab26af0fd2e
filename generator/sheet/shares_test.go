package sheet

import (
	"math"
	"testing"
)

// Of 18 V read across 4 Ω the relative variances of the power are, worked out by hand
// (JCGM 100:2008, 5.1.6, powers 2, −1 and 1): the volts' 4·((0.8 %·18 + 3·0.01)/√3/18)²,
// the load's (0.5 %/√3)², and the pool's 1 %².
func TestSharesOfAPower(t *testing.T) {
	s := evaluate(t, testSite, claim75+run("r1"))
	volts := 4 * math.Pow((0.008*18+3*0.01)/math.Sqrt(3)/18, 2)
	load, pool := math.Pow(0.005/math.Sqrt(3), 2), 0.01*0.01
	want := []Share{{"output volts", volts}, {"repeatability", pool}, {"load", load}}
	got := s.Claims[0].Weakest.Mean.Shares()
	if len(got) != len(want) {
		t.Fatalf("shares %v, want %v", got, want)
	}
	for i, w := range want {
		if w.Of /= volts + load + pool; got[i].What != w.What || math.Abs(got[i].Of-w.Of) > 1e-3 {
			t.Errorf("share %d is %v, want %v", i+1, got[i], w)
		}
	}
	if none := (&Figure{}).Shares(); none != nil {
		t.Errorf("a figure without uncertainty has shares %v", none)
	}
}

// Whatever a figure's uncertainty is made of, and however groups were taken, it is all
// of u².
func TestSharesAreAllOfTheVariance(t *testing.T) {
	c := demoContent(t, "")
	figures := 0
	for _, rec := range c.Records {
		s := Evaluate(c, rec)
		check := func(f *Figure) {
			if f == nil || f.Std == 0 {
				return
			}
			figures++
			sum, last := 0.0, math.Inf(1)
			for _, share := range f.Shares() {
				if share.What == "" || share.Of > last {
					t.Errorf("%s: %v after %v", s.Slug, share, last)
				}
				sum, last = sum+share.Of, share.Of
			}
			if math.Abs(sum-1) > 1e-9 {
				t.Errorf("%s: the shares of %s come to %v", s.Slug, f.Text, sum)
			}
		}
		for _, r := range s.Runs {
			check(r.Total)
			check(r.Efficiency)
		}
		for _, claim := range s.Claims {
			for _, ch := range claim.Channels {
				check(ch.Mean)
			}
		}
	}
	if figures < 100 {
		t.Errorf("only %d figures were looked at", figures)
	}
}
