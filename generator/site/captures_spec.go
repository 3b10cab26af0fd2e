package site

import (
	"fmt"
	"math"
	"reflect"
	"slices"

	"wattsheet/generator/capture"
	"wattsheet/generator/publication"
	"wattsheet/generator/record"
)

// A specPlan is all that decides, beside a capture's bytes, what a stated figure takes from it.
type specPlan struct {
	capturePlan
	asked     record.Place // the frequency that a response is asked for
	at, drop  float64
	aWeighted bool
}

// specPlanOf makes the plan of a stated figure; ok is false where the record's checks have
// found what it lacks.
func specPlanOf(from *record.Capture, s *record.Spec) (*specPlan, bool) {
	out := from.OutOf(s.Of)
	if out == nil || s.CaptureAs == "" {
		return nil, false
	}
	p := &specPlan{asked: s.AtHz.Place, at: s.AtHz.Value, drop: s.DropDB.Value, aWeighted: s.Weighting == "a"}
	if s.CaptureAs == "slope" {
		p.asked = s.HighHz.Place
	}
	p.begins, p.ends, p.capture, p.table = s.FromS.Place, s.ToS.Place, from, from.Table()
	p.as, p.from, p.to, p.low, p.high = s.CaptureAs, s.FromS.Value, s.ToS.Or(math.Inf(1)), s.LowHz.Value, s.HighHz.Value
	p.outs = []captureOut{{s.Of, out}}
	if s.CaptureAs != "signal-to-noise" {
		p.in = from.Of("in")
	}
	sound := p.to > p.from && (p.at > 0 || p.high > p.low && p.low > 0)
	for _, ch := range p.columns() {
		sound = sound && ch.Scale.Value != 0 && ch.Column.Value >= 1 && ch.Column.Value == math.Trunc(ch.Column.Value)
	}
	return p, sound
}

// text is the plan in words, all of it.
func (p *specPlan) text() string {
	return fmt.Sprintf("%s of a spec at %v drop %v weighted %t input %t", p.capturePlan.text(), p.at, p.drop, p.aWeighted, p.in != nil)
}

// key names the entry of what the plan takes from the file with a digest.
func (p *specPlan) key(sum digest) string {
	return string(sum) + "-" + string(publication.DigestOf(fmt.Appendf(nil, "capture %d, %s", capture.Version, p.text())))[:32]
}

// loadSpecs reads what the stated figures take from one capture.
func (l *loader) loadSpecs(cache *pictureCache, j *captureJob, name string, sum digest) {
	for i := range j.record.Specs {
		s := &j.record.Specs[i]
		if s.Capture.ID == "" || j.record.Capture(s.Capture.ID) != j.capture {
			continue
		}
		plan, ok := specPlanOf(j.capture, s)
		if !ok {
			continue // reported by the record's checks
		}
		key := plan.key(sum)
		var kept record.TakenSpec
		if cache.kept(key, &kept) {
			s.Taken = &kept
			continue
		}
		hearing.Lock()
		taken, err := l.takeSpec(name, plan)
		hearing.Unlock()
		if err != nil {
			if p := j.problem(s.Capture.Place, err); !slices.Contains(j.problems, p) { // told of another
				j.problems = append(j.problems, p)
			}
			continue
		}
		taken.Digest = string(sum)
		cache.keep(key, taken)
		s.Taken = taken
	}
}

// takeSpec reads what a stated figure takes from a capture.
func (l *loader) takeSpec(name string, p *specPlan) (*record.TakenSpec, error) {
	r := &captureReading{capturePlan: &p.capturePlan, loader: l, name: name, frames: -1, taken: &record.Taken{As: p.as, FromS: p.from}}
	if err := r.survey(); err != nil {
		return nil, err
	}
	t := &record.TakenSpec{RateHz: r.taken.RateHz, Frames: r.taken.Frames, Columns: r.taken.Columns, FromS: r.taken.FromS, ToS: r.taken.ToS}
	read := p.response
	if p.as == "signal-to-noise" {
		read = p.noise
	}
	if err := read(r, t); err != nil {
		return nil, err
	}
	if info, err := l.root.Stat(name); err == nil {
		t.FileBytes = int(info.Size())
	}
	toPublished(reflect.ValueOf(t).Elem())
	return t, nil
}

// response takes a figure from a sweep.
func (p *specPlan) response(r *captureReading, t *record.TakenSpec) error {
	m, _, err := r.stretch(p.from, p.to)
	if err != nil {
		return err
	}
	var drive *capture.Channel
	if p.in != nil {
		c := channel(p.in, "V")
		drive = &c
	}
	curve, err := capture.Response(m, channel(p.outs[0].column, "V"), drive)
	if err != nil {
		return err
	}
	told, err := p.told(curve)
	if err != nil {
		return &misplaced{p.asked, err}
	}
	t.Value = record.Mean{X: told.X, U: told.U, DoF: told.DoF, N: told.N}.Finite()
	t.Between, t.Pace = finite0(told.Between), finite0(told.Pace)
	for _, g := range curve {
		t.Curve = append(t.Curve, record.Gain{FreqHz: g.Freq, DB: g.DB, Cycles: g.Cycles})
	}
	return nil
}

// told is the figure of a response.
func (p *specPlan) told(m capture.Magnitude) (capture.Told, error) {
	switch p.as {
	case "corner-low", "corner-high":
		return m.Corner(p.at, p.drop, p.as == "corner-high")
	case "slope":
		return m.Steepness(p.low, p.high)
	}
	centre, height, err := m.Top(p.at)
	if p.as == "boost-centre" {
		return centre, err
	}
	return height, err
}

// noise takes the noise of a silent output.
func (p *specPlan) noise(r *captureReading, t *record.TakenSpec) error {
	s, file, err := r.interval()
	if err != nil {
		return err
	}
	defer file.Close()
	n, err := capture.NoiseOf(s, p.capture.ID, channel(p.outs[0].column, "V"), p.low, p.high)
	if err != nil {
		return err
	}
	if t.Value = meanOf(n.RMS, n.Blocks); p.aWeighted {
		t.Value = meanOf(n.AWeighted, n.Blocks)
	}
	return nil
}
