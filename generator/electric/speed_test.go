package electric

import (
	"math"
	"testing"
)

// BenchmarkChain compares a channel's figures with all that errors contribute to them, at one load, with the
// same formulas on plain numbers.
func BenchmarkChain(b *testing.B) {
	v, r0, alpha, rise := spec("V", 44.72, 0.8, 3, 0.01, "V"), rect("R0", 4.012, 0.04, "Ω"), rect("alpha", 100e-6, 20e-6, "1/K"), rect("T", 40, 10, "K")
	lead, vs, is, ripple := rect("lead", 0.006, 0.001, "Ω"), spec("Vs", 14.32, 0.1, 2, 0.01, "V"), spec("Is", 52.1, 1.8, 5, 0.1, "A"), rect("ripple", 1, 0.005, "1")
	b.Run("with what errors contribute", func(b *testing.B) {
		for b.Loop() {
			r := LoadAt(r0, alpha, rise)
			p, s := AtTerminals(InElement(v, r), lead, r), SupplyPower(vs, is, ripple)
			if Volts(p, r).X < 44 || Efficiency(p, s).X > 100 || Heat(p, s).X < 0 {
				b.Fatal("the figures are wrong")
			}
		}
	})
	b.Run("plain numbers", func(b *testing.B) {
		for b.Loop() {
			r := r0.X * (1 + alpha.X*rise.X)
			p, s := v.X*v.X/r*(1+lead.X/r), vs.X*is.X*ripple.X
			if math.Sqrt(p*r) < 44 || 100*p/s > 100 || s-p < 0 {
				b.Fatal("the figures are wrong")
			}
		}
	})
}
