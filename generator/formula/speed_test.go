package formula

import "testing"

// BenchmarkByID finds each formula once, as a page of derivations does, beside making the catalogue, which it
// doesn't do again.
func BenchmarkByID(b *testing.B) {
	all := Catalogue()
	b.Run("find", func(b *testing.B) {
		for b.Loop() {
			for i := range all {
				if _, known := ByID(all[i].ID); !known {
					b.Fatal(all[i].ID)
				}
			}
		}
	})
	b.Run("make the catalogue", func(b *testing.B) {
		for b.Loop() {
			if len(Catalogue()) != len(all) {
				b.Fatal("another catalogue")
			}
		}
	})
}
