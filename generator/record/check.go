package record

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Content is all files of a site, decoded. A part that is nil isn't checked,
// nor is what refers to it.
type Content struct {
	Site    *Site
	Bench   *Bench
	Methods *Methods
	Records []*Record
}

// Check finds the mistakes that need several tables or files to be seen, and
// that are mistakes for certain; what is merely odd is a finding of a later
// room. It expects what the decoders gave, also when they found problems. What names
// something of a file that couldn't be read is no mistake of its own.
func (c *Content) Check() Problems {
	k := c.Checker(c.others())
	problems := k.Shared()
	for _, r := range c.Records {
		problems = append(problems, k.Record(r)...)
	}
	problems.Sort()
	return problems
}

// Others is what the check of one record has to know of the others of its site.
type Others struct {
	// Slugs are the units that there are, sorted; nil where it isn't known.
	Slugs []string
	// Follows gives the unit that one follows, by slug; one that follows none has
	// no entry.
	Follows map[string]string
}

func (c *Content) others() Others {
	var o Others
	if c.Records == nil {
		return o
	}
	o = Others{make([]string, 0, len(c.Records)), map[string]string{}}
	for _, r := range c.Records {
		o.Slugs = append(o.Slugs, r.Slug)
		if to := r.Unit.Follows.ID; to != "" {
			o.Follows[r.Slug] = to
		}
	}
	return o
}

// A Checker checks a site's files one by one, as [Content.Check] does all of them.
// It may be used by several goroutines.
type Checker struct{ base *checker }

// Checker gives the checker of a content. The records of the content are those that a
// method's pool may name; what is checked with it needn't be among them.
func (c *Content) Checker(others Others) *Checker {
	read := *c
	if c.Site != nil && c.Site.Place.unread() {
		read.Site = nil
	}
	if c.Bench != nil && c.Bench.Place.unread() {
		read.Bench = nil
	}
	if c.Methods != nil && c.Methods.Place.unread() {
		read.Methods = nil
	}
	k := newChecker(&read)
	k.others = others
	return &Checker{k}
}

// Shared checks what no record has part in: bench and methods.
func (k *Checker) Shared() Problems {
	one := *k.base
	if one.c.Site != nil {
		one.moved(one.c.Site)
	}
	if one.c.Bench != nil {
		one.bench(one.c.Bench)
	}
	if one.c.Methods != nil {
		for i := range one.c.Methods.Methods {
			one.method(&one.c.Methods.Methods[i])
		}
	}
	return one.problems
}

// Record checks one record.
func (k *Checker) Record(r *Record) Problems {
	one := *k.base
	one.record(r)
	return one.problems
}

// A checker holds what is looked up often, made once.
type checker struct {
	c           *Content
	others      Others
	problems    Problems
	methods     map[string]*Method
	loads       map[string]*Load
	instruments map[string]*Instrument
	ids         struct{ methods, loads, instruments []string }
	runs        map[string]bool // "slug/run"
}

func newChecker(c *Content) *checker {
	k := &checker{c: c, methods: map[string]*Method{}, loads: map[string]*Load{}, instruments: map[string]*Instrument{}, runs: map[string]bool{}}
	if c.Methods != nil {
		for i := range c.Methods.Methods {
			m := &c.Methods.Methods[i]
			k.methods[m.ID] = m
			k.ids.methods = append(k.ids.methods, m.ID)
		}
	}
	if c.Bench != nil {
		for i := range c.Bench.Loads {
			l := &c.Bench.Loads[i]
			k.loads[l.ID] = l
			k.ids.loads = append(k.ids.loads, l.ID)
		}
		for i := range c.Bench.Instruments {
			in := &c.Bench.Instruments[i]
			k.instruments[in.ID] = in
			k.ids.instruments = append(k.ids.instruments, in.ID)
		}
	}
	for _, r := range c.Records {
		for i := range r.Runs {
			k.runs[r.Slug+"/"+r.Runs[i].ID] = true
		}
	}
	return k
}

func (k *checker) add(at Place, hint, format string, args ...any) {
	p := at.Problem(fmt.Sprintf(format, args...), hint)
	if at.node != nil && at.node.common && slices.Contains(k.problems, p) {
		return // it has been told of another row
	}
	k.problems = append(k.problems, p)
}

// dangling reports a reference to something that isn't there.
func (k *checker) dangling(ref Ref, known []string, what, file string) {
	hint := "add a [[" + what + "]] with this id to " + file
	if near := nearest(ref.ID, known); near != "" {
		hint = "did you mean " + quoted(near) + "?"
	}
	if len(known) > 0 && len(known) <= 12 {
		hint += choose(strings.HasSuffix(hint, "?"), " ", "; ") + file + " has " + strings.Join(known, ", ")
	}
	k.add(ref.Place, hint, "there is no %s %s in %s", what, quoted(ref.ID), file)
}

func (k *checker) bench(b *Bench) {
	k.checkUnit(b)
	k.planning(b)
	for i := range b.Instruments {
		in := &b.Instruments[i]
		if in.Calibrated.Given() && in.Due.Given() && in.Due.Text < in.Calibrated.Text && in.Due.Text != "" {
			k.add(in.Due.Place, "the two days are probably swapped",
				"due is %s, before calibrated, %s", in.Due.Text, in.Calibrated.Text)
		}
		for n := range in.Ranges {
			k.accuracy(&in.Ranges[n])
			k.again(in, n)
		}
	}
	k.quantities(&b.Usual)
}

// quantities checks instruments named for quantities, in [usual] or [run.with].
func (k *checker) quantities(q *Quantities) {
	if k.c.Bench == nil {
		return
	}
	for _, quantity := range ReadQuantities {
		ref := q.Of(quantity)
		if !ref.Given() || ref.ID == "" {
			continue
		}
		in := k.instruments[ref.ID]
		if in == nil {
			k.dangling(ref, k.ids.instruments, "instrument", "bench.toml")
		} else if in.RangeFor(quantity, 0) == nil {
			k.add(ref.Place, k.otherInstruments(quantity), "instrument %s has no range for %s", quoted(in.ID), quantity)
		}
	}
}

// otherInstruments is the hint for an instrument that can't read a quantity.
func (k *checker) otherInstruments(quantity string) string {
	hint := "add an [[instrument.range]] with reads = " + quoted(quantity) + " to it in bench.toml"
	able := k.c.Bench.Readers(quantity)
	if len(able) > 0 {
		hint += ", or name one that has: " + orList(able)
	}
	return hint
}

func (k *checker) method(m *Method) {
	burst := m.Signal == "burst"
	switch {
	case burst && !m.BurstMS.Given():
		k.add(m.Place, "add how long a burst is: burst_ms = 20", "method %s is a burst without burst_ms", quoted(m.ID))
	case !burst && m.BurstMS.Given():
		k.add(m.BurstMS.Place, `add signal = "burst", or take burst_ms out`, "burst_ms is given, but the method's signal is continuous")
	case !burst && m.EveryMS.Given():
		k.add(m.EveryMS.Place, `add signal = "burst" and burst_ms, or take every_ms out`, "every_ms is given, but the method's signal is continuous")
	case m.EveryMS.Given() && m.EveryMS.Value < m.BurstMS.Value:
		k.add(m.EveryMS.Place, "every_ms runs from one burst's start to the next", "every_ms is %s, shorter than the burst of %s", m.EveryMS.Text, m.BurstMS.Text)
	}
	if m.LowHz.Given() && m.HighHz.Given() && m.LowHz.Value >= m.HighHz.Value {
		k.add(m.HighHz.Place, "low_hz is the lower end of the band, high_hz the upper", "the band runs from %s Hz to %s Hz", m.LowHz.Text, m.HighHz.Text)
	}
	if m.IntoClipping && m.ThdnPct.Given() {
		k.add(m.Key("into_clipping"), "keep thdn_pct where the unit is driven up to a distortion, into_clipping where it is driven beyond any",
			"into_clipping is true, but thdn_pct names a limit")
	}
	k.titled(m)
	k.pool(&m.Pool)
}

func (k *checker) pool(p *Pool) {
	if k.c.Records == nil {
		return
	}
	units, told := make([]string, len(k.c.Records)), map[string]bool{}
	for i, r := range k.c.Records {
		units[i] = r.Slug
	}
	for i, id := range p.Runs {
		if id == "" || k.runs[id] {
			continue
		}
		at := p.Key("runs").Item(i)
		slug, _, of := strings.Cut(id, "/")
		n := 0 // the runs of a unit that isn't there: one mistake, whose cause is the unit
		for _, other := range p.Runs {
			if of && strings.HasPrefix(other, slug+"/") {
				n++
			}
		}
		switch {
		case n < 2 || slices.Contains(units, slug):
			k.add(at, "a run is named by its unit's folder and its id, as in two-75/r01", "there is no run %s", quoted(id))
		case !told[slug]:
			hint := "take runs out: the pool then counts as declared, until wattsheet pool computes it from the units that there are"
			if near := nearest(slug, units); near != "" {
				hint = "did you mean " + near + "? Else " + hint
			}
			k.add(at, hint, "there is no unit %s, of which this pool names %s", quoted(slug), counted(n, "run"))
			told[slug] = true
		}
	}
}

func (k *checker) record(r *Record) {
	k.unit(&r.Unit)
	k.claims(r)
	k.more(r)
	k.maker(r)
	k.groups(r)
	k.videos(r)
	k.captures(r)
	for i := range r.Runs {
		k.run(&r.Runs[i], &r.Unit)
	}
}

func (k *checker) unit(u *Unit) {
	at := u.Key("channels")
	first := map[string]bool{}
	for i, name := range u.Channels {
		switch {
		case strings.Contains(name, "+"):
			k.add(at.Item(i), "a + joins the two channels of a bridged pair; call the channel something else",
				"channel %s has a + in its name", quoted(name))
		case name != "" && first[name]:
			k.add(at.Item(i), "give each channel a name of its own", "two channels are called %s", quoted(name))
		}
		first[name] = true
	}
	k.whole("year", u.Year)
	if n := len(u.SizeMM.Items); u.SizeMM.Given() && n != 3 {
		k.add(u.SizeMM.Place, "width, height and depth: size_mm = [220, 55, 180]", "size_mm has %s, not three", counted(n, "number"))
	}
	k.twoUnits(u)
	if u.Price.Given() && k.c.Site != nil && k.c.Site.Currency == "" {
		k.add(u.Price.Place, `add it to site.toml: currency = "EUR"`, "price is given, but the site names no currency")
	}
}

func (k *checker) whole(key string, n Number) bool {
	if n.Given() && n.Value != math.Trunc(n.Value) {
		k.add(n.Place, "write "+key+" without a fraction", "%s is %s; a whole number is needed", key, n.Text)
		return false
	}
	return true
}

func (k *checker) claims(r *Record) {
	first := map[string]*Claim{}
	for i := range r.Claims {
		c := &r.Claims[i]
		k.claimChannels(c, &r.Unit)
		k.claimOf(c, &r.Unit)
		k.band(c.FreqHz)
		conditions := conditionsOf(c)
		if conditions == "" {
			continue
		}
		if before := first[conditions]; before != nil {
			k.add(c.Place, "state what tells the two apart, or keep one",
				"this claim is for the same conditions as %s, in line %d", claimName(before), before.line())
			continue
		}
		first[conditions] = c
	}
}

func claimName(c *Claim) string {
	if c.ID != "" {
		return quoted(c.ID)
	}
	return "another"
}

func (k *checker) claimChannels(c *Claim, u *Unit) {
	if !k.whole("channels", c.Channels) || len(u.Channels) == 0 || !c.Channels.Given() {
		return
	}
	have := counted(len(u.Channels), "channel") + " (" + strings.Join(u.Channels, ", ") + ")"
	switch pairs := len(u.Channels) / 2; {
	case c.Bridged && c.Channels.Value > float64(pairs):
		k.add(c.Channels.Place, "of bridged claims, channels counts the pairs",
			"channels is %s bridged, but the unit has %s, so %s", c.Channels.Text, have, counted(pairs, "pair"))
	case !c.Bridged && c.Channels.Value > float64(len(u.Channels)):
		k.add(c.Channels.Place, "channels is how many are driven at once",
			"channels is %s, but the unit has %s", c.Channels.Text, have)
	}
}

// claimOf checks the channels that a claim names, and how many are driven.
func (k *checker) claimOf(c *Claim, u *Unit) {
	for i, name := range c.Of {
		for _, part := range strings.Split(name, "+") {
			if !slices.Contains(u.Channels, part) {
				k.add(c.Key("of").Item(i), "the unit's channels are "+strings.Join(u.Channels, ", "), "the unit has no channel %s", quoted(part))
				break
			}
		}
	}
	if len(c.Of) > 0 && c.Channels.Value > float64(len(c.Of)) {
		k.add(c.Channels.Place, "channels counts those that the claim is for", "channels is %s, but the claim is of %s", c.Channels.Text, counted(len(c.Of), "channel"))
	}
	if k.whole("driven", c.Driven) && c.Driven.Given() && c.Driven.Value < c.Channels.Value {
		k.add(c.Driven.Place, "driven counts all channels that are driven at once", "driven is %s, fewer than the claim's channels", c.Driven.Text)
	}
}

// band checks that a frequency is one number, or two ascending ones.
func (k *checker) band(freq Numbers) {
	switch n := len(freq.Items); {
	case n > 2:
		k.add(freq.Place, "one frequency, or the two ends of a band: freq_hz = [20, 20000]", "freq_hz has %d numbers", n)
	case n == 2 && freq.Items[0].Value >= freq.Items[1].Value:
		k.add(freq.Place, "the lower end comes first", "freq_hz runs from %s down to %s", freq.Items[0].Text, freq.Items[1].Text)
	}
}

// conditionsOf writes a claim's conditions as one text, to compare claims by.
// It is "" for a claim that lacks one that it needs.
func conditionsOf(c *Claim) string {
	if !c.LoadOhm.Given() || !c.Channels.Given() {
		return ""
	}
	var b strings.Builder
	for _, n := range append([]Number{c.LoadOhm, c.Channels, c.Driven, c.SupplyV, c.ThdnPct, c.DurationS}, c.FreqHz.Items...) {
		if n.Given() {
			b.WriteString(strconv.FormatFloat(n.Value, 'g', -1, 64))
		}
		b.WriteByte(' ')
	}
	return b.String() + c.Quantity + " " + c.Signal + " " + strconv.FormatBool(c.Bridged) + " " + strings.Join(c.Of, " ")
}

// counted is "1 reading", "2 readings".
func counted(n int, what string) string {
	if n != 1 {
		what += "s"
	}
	return strconv.Itoa(n) + " " + what
}
