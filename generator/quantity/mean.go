package quantity

import "strings"

// Mean returns the arithmetic mean of repeats. Parts of one strand become one
// error, taken with correlation 1 between the repeats: what an instrument is
// wrong by, it is wrong by in each of them.
func Mean(values ...Value) Value {
	if len(values) == 1 {
		return values[0]
	}
	out, by := Sum(values...), 1/float64(len(values))
	out.X *= by
	parts := out.Parts // of this sum alone
	for i := range parts {
		parts[i].C *= by
	}
	out.Parts = parts[:0]
	var few [fewLines]bool
	joined := few[:]
	if len(parts) > len(few) {
		joined = make([]bool, len(parts))
	}
	var room [16]Part
	for i, p := range parts {
		if joined[i] {
			continue
		}
		if strand := p.Source.Strand; strand != "" {
			all := append(room[:0], p)
			for j := i + 1; j < len(parts); j++ {
				if !joined[j] && parts[j].Source.Strand == strand {
					joined[j], all = true, append(all, parts[j])
				}
			}
			p = oneError(all)
		}
		out.Parts = append(out.Parts, p) // over what was taken from there
	}
	byID(out.Parts)
	return out
}

// oneError joins the parts of one strand, sorted by ID, to one part.
func oneError(parts []Part) Part {
	if len(parts) == 1 {
		return parts[0]
	}
	fewest := parts[0].Source
	ids := make([]string, len(parts))
	c := 0.0
	for i, p := range parts {
		ids[i], c = p.Source.ID, c+p.C
		fewest = fewer(fewest, p.Source)
	}
	s := *fewest
	s.ID, s.U, s.Joined = strings.Join(ids, " & "), 0, ids
	s.Name = strings.TrimSpace(s.Name) + ", in all repeats"
	return Part{&s, c}
}
