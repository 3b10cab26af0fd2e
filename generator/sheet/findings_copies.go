package sheet

import (
	"fmt"
	"slices"

	"wattsheet/generator/record"
)

// fewReadings is how many readings two runs may have in common by chance, before it is a
// finding (a habit of this program, no source): meters with three digits and more hardly
// ever show four figures of a repeat alike.
const fewReadings = 4

// ofCopies finds a run whose readings are all those of an earlier one that was made in the
// same way: it narrows a mean, as a repeat does, without being one.
func ofCopies(s *Sheet) []Finding {
	var out []Finding
	for i, r := range s.Runs {
		if !r.Valid {
			continue
		}
		for _, earlier := range s.Runs[:i] {
			if earlier.Valid && copied(r, earlier) {
				out = append(out, Finding{"same-readings", r.Rec.Key("out_v"), fmt.Sprintf("run %s has the readings of run %s, to the last digit", r.ID, earlier.ID),
					"a row that was pasted or typed twice: it would count as a repeat"})
				break
			}
		}
	}
	return out
}

// copied reports whether two runs were made in the same way and read alike.
func copied(a, b *Run) bool {
	if a.Method != b.Method || a.FreqHz != b.FreqHz || a.Rec.Outcome != b.Rec.Outcome || len(a.Channels) != len(b.Channels) {
		return false
	}
	for i, c := range a.Channels {
		if other := b.Channels[i]; c.Name != other.Name || c.Load != other.Load {
			return false
		}
	}
	readings := 0
	for _, quantity := range record.ReadQuantities {
		of, other := a.Rec.Readings(quantity), b.Rec.Readings(quantity)
		if !slices.EqualFunc(of, other, func(x, y record.Number) bool { return x.Value == y.Value }) {
			return false
		}
		readings += len(of)
	}
	return readings >= fewReadings
}
