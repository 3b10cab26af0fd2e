package sheet

import "slices"

// Lacks lists, in words, what the uncertainty that the claim was decided with
// lacks, over all its channels: no instrument is named for a reading, or a method
// has no pool. It is nil when nothing is missing, or nothing was measured.
func (c *Claim) Lacks() []string {
	var out []string
	for _, ch := range c.Channels {
		if ch.Mean == nil {
			continue
		}
		for _, l := range ch.Mean.Incomplete {
			if !slices.Contains(out, l) {
				out = append(out, l)
			}
		}
	}
	return out
}
