package sheet

import (
	"math"
	"slices"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// noisyAt is the probability that decides whether a set of repeats scatters too
// much to belong to the others, over all sets together.
const noisyAt = 0.99

// A PoolResult is a method's repeatability, computed from the repeated runs of all
// units.
type PoolResult struct {
	Method *record.Method
	RelPct float64 // pooled standard deviation, in percent of power
	DoF    float64
	Sets   []RepeatSet // those that are pooled
	Noisy  []RepeatSet // those that scatter more than the others allow, left out
}

// A RepeatSet is runs of one unit that repeat each other, all channels together.
type RepeatSet struct {
	Unit string   // slug
	Runs []string // slug/run, in the record's order
	RMS  float64  // root of the channels' mean variance, in percent
	DoF  float64  // runs less one: the channels of a run don't scatter apart
}

// Pool computes a method's repeatability from repeats that the sheets hold:
//
//	s² = Σ ν·s²ᵢ / Σ ν,  ν = n − 1
//
// (JCGM 100:2008, 4.2.4 and H.3.6) with s²ᵢ the mean variance of a set's channels,
// repeats carried to a common voltage with k = 2. A set whose variance is beyond
// the F test against the others (99 % over all sets, one set at a time, the worst
// first) is left out, so that one noisy unit doesn't widen all others. nil when
// there are no repeats.
func Pool(m *record.Method, sheets []*Sheet) *PoolResult {
	r := &PoolResult{Method: m}
	for _, s := range sheets {
		r.Sets = append(r.Sets, setsOf(m, s)...)
	}
	if len(r.Sets) == 0 {
		return nil
	}
	for {
		i := noisiest(r.Sets)
		if i < 0 {
			break
		}
		r.Noisy = append(r.Noisy, r.Sets[i])
		r.Sets = slices.Delete(r.Sets, i, i+1)
	}
	r.RelPct, r.DoF = pooled(r.Sets)
	return r
}

// setsOf are a unit's sets of repeats by a method.
func setsOf(m *record.Method, s *Sheet) []RepeatSet {
	var sets []RepeatSet
	sums := map[int]int{} // channels by set
	for _, r := range s.Repeats {
		if r.Method != m {
			continue
		}
		var ids []string
		for _, p := range r.Points {
			ids = append(ids, s.Slug+"/"+p.Run)
		}
		i := slices.IndexFunc(sets, func(o RepeatSet) bool { return slices.Equal(o.Runs, ids) })
		if i < 0 {
			i = len(sets)
			sets = append(sets, RepeatSet{Unit: s.Slug, Runs: ids, DoF: float64(len(ids) - 1)})
		}
		sets[i].RMS += r.SPct * r.SPct
		sums[i]++
	}
	for i := range sets {
		sets[i].RMS = math.Sqrt(sets[i].RMS / float64(sums[i]))
	}
	return sets
}

// pooled is the pooled standard deviation of sets and its degrees of freedom.
func pooled(sets []RepeatSet) (s, dof float64) {
	sum := 0.0
	for _, set := range sets {
		sum += set.DoF * set.RMS * set.RMS
		dof += set.DoF
	}
	return math.Sqrt(sum / dof), dof
}

// noisiest is the set that stands out most beyond the F test against the others;
// −1 when none does, or when there are fewer than three to tell.
func noisiest(sets []RepeatSet) int {
	if len(sets) < 3 {
		return -1
	}
	worst, worstBy := -1, 1.0
	for i, set := range sets {
		others := slices.Concat(sets[:i], sets[i+1:])
		s, dof := pooled(others)
		if s == 0 {
			continue
		}
		limit := quantity.FRatio(1-(1-noisyAt)/float64(len(sets)), set.DoF, dof)
		if by := set.RMS * set.RMS / (s * s) / limit; by > worstBy {
			worst, worstBy = i, by
		}
	}
	return worst
}
