package plan

import "testing"

// BenchmarkMake plans the demo's unit with the most claims.
func BenchmarkMake(b *testing.B) {
	c := demo(b)
	for b.Loop() {
		for _, rec := range c.Records {
			if rec.Slug == "brindlecask-marlhopper-5" {
				Make(c, rec, "2026-10-09")
			}
		}
	}
}
