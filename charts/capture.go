package charts

import (
	"math"
	"strconv"

	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// OfCapture draws what a run was read from: the waves around the instant that matters, the
// spectrum there, and the curve of distortion over power of a level that rises. It
// returns nothing for a run without a capture.
func OfCapture(r *sheet.Run) []*Chart {
	if r.Captured == nil {
		return nil
	}
	var all []*Chart
	add := func(c *Chart) {
		if c != nil {
			all = append(all, c)
		}
	}
	add(sweep(r))
	add(waves(r, "out", "wave", "output / V", "V"))
	add(waves(r, "supply_v", "supply", "supply / V", "V"))
	add(waves(r, "supply_a", "current", "supply / A", "A"))
	if t := r.Captured.Taken.Trace; t != nil {
		for i := range t.Spectra {
			add(spectrum(r, i))
		}
	}
	return all
}

// What a wave's title speaks of.
var waving = map[string]string{"out": "the output", "supply_v": "the supply", "supply_a": "the supply's current"}

// waves draws the columns of a role around the instant that matters.
func waves(r *sheet.Run, role, id, name, unit string) *Chart {
	t := r.Captured.Taken.Trace
	if t == nil {
		return nil
	}
	p := &plot{id: id + "-" + r.ID, x: axis{name: "time / ms", zero: true}, low: role != "out",
		views: []view{{id: unit, about: name, axis: name}}}
	low, high, envelope, columns := math.Inf(1), math.Inf(-1), false, 0
	for i := range t.Waves {
		if w := &t.Waves[i]; w.Role == role && len(w.Y) > 1 {
			columns++
			envelope = envelope || !w.All
			for _, y := range w.Y {
				low, high = min(low, y), max(high, y)
			}
		}
	}
	if columns == 0 {
		return nil
	}
	places := placesOf(high - low)
	for i := range t.Waves {
		w := &t.Waves[i]
		if w.Role != role || len(w.Y) < 2 {
			continue
		}
		one := &series{name: "channel " + w.Channel, label: "channel " + w.Channel, style: len(p.series), bare: true, quiet: columns == 1}
		for n, y := range w.Y {
			q := &point{x: milliseconds(w.AtS[n] - t.FromS), run: r, in: []reading{plain(y, signed(quantity.Fixed(y, places))+nbsp+unit)}}
			q.lines = []string{"at " + quantity.Fixed(w.AtS[n]*1000, 3) + nbsp + "ms of the capture"}
			if w.Channel != "" {
				q.lines = append(q.lines, one.name)
			}
			one.points = append(one.points, q)
		}
		one.joins = [][]*point{one.points}
		p.series = append(p.series, one)
	}
	p.number()
	from := quantity.Fixed(t.FromS, 3) + nbsp + "s"
	title := "From " + from + " on " + waving[role] + " lies between " + signed(quantity.Fixed(low, places)) + nbsp + unit + " and " + signed(quantity.Fixed(high, places)) + nbsp + unit
	caption := capital(name) + ", run " + r.ID + ", from " + from + " on in " + r.Captured.Where + "."
	if envelope {
		caption += " Drawn from the lowest and the highest sample of each equal part of the time."
	} else {
		caption += " Every sample."
	}
	return p.chart(title, caption, "Time to the right, "+name+" upwards. "+strconv.Itoa(len(p.points))+" points.", p.wavesTable(t.FromS, columns > 1, capital(name)))
}

// placesOf is how many decimals tell a hundredth of a span.
func placesOf(span float64) int {
	if !(span > 0) {
		return 3
	}
	return min(9, max(0, 2-int(math.Floor(math.Log10(span)))))
}

// milliseconds are those of seconds, to a nanosecond.
func milliseconds(s float64) float64 { return math.Round(s*1e9) / 1e6 }

func (p *plot) wavesTable(from float64, named bool, name string) Table {
	t := Table{Head: []string{"Time / ms", name}}
	if named {
		t.Head = append(t.Head, "Channel")
	}
	for _, q := range p.points {
		row := t.row().text(quantity.Float(q.x), q.in[0].text[:len(q.in[0].text)-len(nbsp)-1])
		if named {
			row = row.text(p.series[q.series].name)
		}
		t.add(row)
	}
	return t
}

// The harmonics that are marked: these many, and no weaker than that.
const (
	mostMarked   = 9
	faintestMark = -140.0
)

// spectrum draws that of a run's n-th recorded channel.
func spectrum(r *sheet.Run, n int) *Chart {
	s := &r.Captured.Taken.Trace.Spectra[n]
	if len(s.FreqHz) < 2 {
		return nil
	}
	id, of := "spectrum-"+r.ID, ""
	if len(r.Captured.Taken.Trace.Spectra) > 1 {
		id, of = id+"-"+strconv.Itoa(n+1), ", channel "+s.Channel
	}
	p := &plot{id: id, x: axis{name: "f / Hz", tens: true}, views: []view{{id: "dB", about: "level against the fundamental", axis: "level / dB"}}}
	line := &series{name: "spectrum", label: "spectrum", style: 0, bare: true, quiet: true}
	at := func(one *series, f, db float64, lines ...string) *point {
		q := &point{x: f, run: r, in: []reading{plain(db, signed(quantity.Fixed(db, 1))+nbsp+"dB")}, lines: lines}
		one.points = append(one.points, q)
		return q
	}
	for i, f := range s.FreqHz {
		at(line, f, s.DB[i], "at "+hertz(f))
	}
	line.joins = [][]*point{line.points}
	marked := &series{name: "harmonics", label: "harmonics", style: 1, quiet: true}
	best := -1
	for k, db := range s.Harmonics {
		if db < faintestMark || math.IsNaN(db) || math.IsInf(db, 0) {
			continue
		}
		if best < 0 || db > s.Harmonics[best] {
			best = k
		}
		if k < mostMarked {
			f := float64(k+2) * s.Fundamental
			at(marked, f, db, nth(k+2)+" harmonic, at "+hertz(f)).word = nth(k + 2)
		}
	}
	p.series = []*series{line}
	if len(marked.points) > 0 {
		p.series = append(p.series, marked)
	}
	p.number()
	title := "No harmonic of " + hertz(s.Fundamental) + " stands out"
	if best >= 0 {
		title = "The strongest harmonic, the " + nth(best+2) + ", lies " + quantity.Fixed(-s.Harmonics[best], 1) + nbsp + "dB below the fundamental"
	}
	caption := "Level of the output over frequency, run " + r.ID + of + ", in" + nbsp + "dB against the fundamental of " + hertz(s.Fundamental) + "; marks: harmonics. " +
		"Each point is the highest line of a part of the frequencies, of " + quantity.Significant(s.Seconds, 3) + nbsp + "s."
	return p.chart(title, caption, "Frequency to the right on a logarithmic axis, level upwards. "+strconv.Itoa(len(p.points))+" points.", p.spectrumTable())
}

func (p *plot) spectrumTable() Table {
	t := Table{Head: []string{"f / Hz", "Level / dB", "Mark"}}
	for _, q := range p.points {
		mark := ""
		if q.word != "" {
			mark = q.word + " harmonic"
		}
		t.add(t.row().text(quantity.Significant(q.x, 6), signed(quantity.Fixed(q.in[0].y, 1)), mark))
	}
	return t
}

func hertz(f float64) string {
	if f >= 1e5 {
		return tickText(round3(f/1000)) + nbsp + "kHz"
	}
	return quantity.Float(math.Round(f*100)/100) + nbsp + "Hz"
}

// nth is a number as an ordinal.
func nth(n int) string {
	switch {
	case n%100 >= 11 && n%100 <= 13:
	case n%10 == 1:
		return strconv.Itoa(n) + "st"
	case n%10 == 2:
		return strconv.Itoa(n) + "nd"
	case n%10 == 3:
		return strconv.Itoa(n) + "rd"
	}
	return strconv.Itoa(n) + "th"
}
