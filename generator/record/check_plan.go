package record

// planning checks what bench.toml states for bench plans: one expectation a class,
// and leads whose size and length are both known, the size once.
func (k *checker) planning(b *Bench) {
	first := map[string]bool{}
	for i := range b.Expects {
		x := &b.Expects[i]
		if first[x.Class] && x.Class != "" {
			k.add(x.Key("class"), "keep one [[expect]] a class", "what is expected of class %s is stated twice", x.Class)
		}
		first[x.Class] = true
	}
	for i := range b.Supplies {
		s := &b.Supplies[i]
		sized := s.LeadMM2.Given() || s.LeadAWG != ""
		switch {
		case s.LeadMM2.Given() && s.LeadAWG != "":
			k.add(s.Key("lead_awg"), "keep one of the two", "the leads of %s have a size in mm² and a gauge", quoted(s.ID))
		case sized && !s.LeadM.Given():
			k.add(s.Place, "add how long they are, one way: lead_m = 1.1", "the leads of %s have a size but no length", quoted(s.ID))
		case !sized && s.LeadM.Given():
			k.add(s.LeadM.Place, "add the copper cross-section of one cable: lead_mm2 = 35, or lead_awg = \"2\"", "the leads of %s have a length but no size", quoted(s.ID))
		}
		k.whole("lead_cables", s.LeadCables)
	}
}
