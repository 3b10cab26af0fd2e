package record

// accuracy checks that a range states one: a range without would pass for a
// perfect instrument, and a verdict by it for certain.
func (k *checker) accuracy(r *Range) {
	if r.Digits.Value > 0 && !r.Resolution.Given() {
		k.add(r.Digits.Place, "add what one count of the last digit is in this range: resolution = 0.01",
			"digits is %s, but the range has no resolution", r.Digits.Text)
	}
	if !r.ReadingPct.Given() && !r.RangePct.Given() && !r.Digits.Given() && !r.Constant.Given() {
		k.add(r.Place, "add what its maker specifies: reading_pct, range_pct, constant, or digits with resolution",
			"[[instrument.range]] doesn't say how accurate it is")
	}
	k.shape(r)
	k.reference(r)
	k.correction(r)
}

// again checks that no earlier range of the instrument ends where this one does: a
// reading would never come to it.
func (k *checker) again(in *Instrument, n int) {
	r := &in.Ranges[n]
	for i := range in.Ranges[:n] {
		if first := &in.Ranges[i]; r.To.Given() && first.Reads == r.Reads && first.To.Value == r.To.Value {
			k.add(r.To.Place, "write the upper end of each range, as in the instrument's manual; a reading belongs to the smallest range that holds it",
				"instrument %s has a range of %s to %s already", quoted(in.ID), r.Reads, first.To.Text)
			return
		}
	}
}

// shape checks that a coverage factor stands where one is needed, and only there.
func (k *checker) shape(r *Range) {
	if r.Shape == "normal" {
		if !r.K.Given() {
			k.add(r.Key("shape"), "add the coverage factor that the uncertainty is stated with, as the certificate has it: k = 2",
				`shape is "normal", but the range has no k`)
		}
		return
	}
	for _, n := range []struct {
		key string
		Number
	}{{"k", r.K}, {"dof", r.DoF}} {
		if n.Given() {
			k.add(n.Place, `add shape = "normal" where the figures are an expanded uncertainty, or take `+n.key+" out",
				"%s is given, but shape is %s, whose limits are certain", n.key, quoted(r.Shape))
		}
	}
}

// reference checks the air temperatures between which a specification holds.
func (k *checker) reference(r *Range) {
	switch {
	case r.TempcoPctK.Given() && !(r.FromC.Given() && r.ToC.Given()):
		k.add(r.TempcoPctK.Place, "add between which air temperatures the specification holds by itself: from_c = 18 and to_c = 28",
			"tempco_pct_k is given, but not both from_c and to_c")
	case !r.TempcoPctK.Given() && r.FromC.Given():
		k.add(r.FromC.Place, "add what each kelvin outside does: tempco_pct_k = 0.05", "from_c is given, but there is no tempco_pct_k")
	case !r.TempcoPctK.Given() && r.ToC.Given():
		k.add(r.ToC.Place, "add what each kelvin outside does: tempco_pct_k = 0.05", "to_c is given, but there is no tempco_pct_k")
	case r.FromC.Given() && r.ToC.Given() && r.FromC.Value > r.ToC.Value:
		k.add(r.ToC.Place, "from_c is the lower one", "the specification holds from %s down to %s", r.FromC.Text, r.ToC.Text)
	}
}

// correction checks that a correction comes with its uncertainty, as certificates
// state both (ISO/IEC 17025, 7.8.4.1; from memory). Without one a reading would
// look better known than before it was corrected.
func (k *checker) correction(r *Range) {
	how := r.CorrectionPM
	if !how.Given() {
		how = r.CorrectionPMPct
	}
	switch {
	case r.Corrects() && !how.Given():
		at := r.Correction
		if !at.Given() {
			at = r.CorrectionPct
		}
		k.add(at.Place, "add its expanded uncertainty from the same certificate, correction_pm or correction_pm_pct, and correction_k where that isn't 2",
			"the correction of %s has no uncertainty", at.Text)
	case !r.Corrects() && how.Given():
		k.add(how.Place, "add the correction, correction = 0 where the certificate finds none", "there is the uncertainty of a correction, but no correction")
	case !r.Corrects() && r.CorrectionK.Given():
		k.add(r.CorrectionK.Place, "add the correction and its uncertainty, or take correction_k out; the factor of a specification is k", "correction_k is given, but there is no correction")
	}
}

// corrected refuses a correction that leaves nothing of a reading: what reads
// zero or more can't be below it.
func (k *checker) corrected(n Number, in *Instrument, quantity string) {
	r := in.RangeFor(quantity, n.Value)
	if r == nil || !r.Corrects() || quantity == "load_c" || !n.Given() {
		return
	}
	if x := n.Value + r.CorrectionTo(n.Value); x < 0 || x == 0 && n.Value > 0 {
		k.add(n.Place, "check the reading, and the sign and unit of the correction in bench.toml",
			"%s is %s, and the correction of instrument %s takes it to %s", quantity, n.Text, quoted(in.ID), plain(roundTo(x)))
	}
}
