package record

import (
	"slices"
	"strings"
)

// Capture gives the record's capture with this id, or nil.
func (r *Record) Capture(id string) *Capture {
	for i := range r.Captures {
		if id != "" && r.Captures[i].ID == id {
			return &r.Captures[i]
		}
	}
	return nil
}

// Out gives the column of a driven channel, or nil. A column that says no channel is of
// a unit's only one.
func (c *Capture) Out(channel string) *CaptureChannel {
	for i := range c.Channels {
		if ch := &c.Channels[i]; ch.Role == "out" && (ch.Of == channel || ch.Of == "") {
			return ch
		}
	}
	return nil
}

// Of gives the column with a role of the supply, or nil.
func (c *Capture) Of(role string) *CaptureChannel {
	for i := range c.Channels {
		if ch := &c.Channels[i]; ch.Role == role {
			return ch
		}
	}
	return nil
}

// Table reports whether the capture is a table of samples.
func (c *Capture) Table() bool { return strings.HasSuffix(strings.ToLower(c.File), ".csv") }

// CaptureReadAs is as what a run's capture is read: steady, steps, sweep or bursts.
func (r *Run) CaptureReadAs(m *Method) string {
	switch {
	case r.CaptureAs != "":
		return r.CaptureAs
	case m != nil && m.Signal == "burst":
		return "bursts"
	}
	return "steady"
}

// captures checks the captures of a record by themselves, and that something is read
// from each.
func (k *checker) captures(r *Record) {
	files := map[string]bool{}
	for i := range r.Captures {
		c := &r.Captures[i]
		if lower := strings.ToLower(c.File); lower != "" && files[lower] {
			k.add(c.Key("file"), "one [[capture]] a file; several runs may be read from it", "the file %s is that of two captures", quoted(c.File))
		} else {
			files[lower] = true
		}
		if c.Recorder.Given() && k.c.Bench != nil && k.instruments[c.Recorder.ID] == nil {
			k.dangling(c.Recorder, k.ids.instruments, "instrument", "bench.toml")
		}
		k.tableOnly(c)
		k.columns(c, &r.Unit)
		if c.ID != "" && !r.reads(c.ID) {
			p := c.Key("id").Problem("nothing is read from the capture "+quoted(c.ID), "write capture = "+quoted(c.ID)+" into the run that it recorded, or the [[spec]]")
			p.Severity = Warning
			k.problems = append(k.problems, p)
		}
	}
	k.scaledBy(r)
	for i := range r.Runs {
		k.runCapture(&r.Runs[i], r)
	}
}

// tableOnly finds keys that say how a table is written where there is none.
func (k *checker) tableOnly(c *Capture) {
	if c.File == "" || c.Table() {
		if c.RateHz.Given() && c.TimeColumn.Given() {
			k.add(c.RateHz.Place, "keep time_column where the table has the times, rate_hz where it hasn't", "both rate_hz and time_column are given")
		}
		return
	}
	for _, key := range []string{"rate_hz", "time_column", "separator", "decimal_comma", "header_lines"} {
		if c.has(key) {
			k.add(c.Key(key), "take it out: a WAV file says this itself", "%s belongs to a table of samples, but %s is a WAV file", key, c.File)
		}
	}
}

// columns checks what the columns stand for.
func (k *checker) columns(c *Capture, u *Unit) {
	columns, roles := map[float64]bool{}, map[string]bool{}
	for i := range c.Channels {
		ch := &c.Channels[i]
		if k.whole("column", ch.Column) && ch.Column.Given() && columns[ch.Column.Value] {
			k.add(ch.Column.Place, "each column stands for one thing", "column %s is given twice", ch.Column.Text)
		}
		columns[ch.Column.Value] = true
		if ch.Scale.Given() && ch.Scale.Value == 0 {
			k.add(ch.Scale.Place, "state how many volts or amperes a sample of 1 stands for", "the scale is 0: every sample would be the same")
		}
		what := ch.Role
		switch {
		case ch.Role != "out" && ch.Of != "":
			k.add(ch.Key("of"), "only the output has channels: take it out", "of is given, but this column is %s", ch.Role)
		case ch.Role == "out" && ch.Of == "" && len(u.Channels) > 1:
			k.add(ch.Key("role"), "say which of the unit's channels it is: of = "+quoted(u.Channels[0]), "the unit has %s, and this column doesn't say which it is", counted(len(u.Channels), "channel"))
		case ch.Role == "out" && ch.Of != "":
			what += " " + ch.Of
			for _, one := range strings.Split(ch.Of, "+") {
				if len(u.Channels) > 0 && !slices.Contains(u.Channels, one) {
					k.add(ch.Key("of"), "the unit's channels are "+strings.Join(u.Channels, ", "), "the unit has no channel %s", quoted(one))
				}
			}
		}
		if ch.Role != "" && roles[what] {
			k.add(ch.Key("role"), "one column for each", "two columns are %s", strings.Replace(what, "out ", "the output of channel ", 1))
		}
		roles[what] = true
	}
	if len(c.Channels) > 0 && c.File != "" && !slices.ContainsFunc(c.Channels, func(ch CaptureChannel) bool { return ch.Role == "out" || ch.Role == "" }) {
		k.add(c.Place, `add the column of the output: [[capture.channel]] with role = "out"`, "capture %s has no column with volts of the output", quoted(c.ID))
	}
}

// scaledBy finds columns that are scaled by one thing, of which two things are stated.
func (k *checker) scaledBy(r *Record) {
	first := map[string]*CaptureChannel{}
	for i := range r.Captures {
		for n := range r.Captures[i].Channels {
			ch := &r.Captures[i].Channels[n]
			switch was := first[ch.ScaleBy]; {
			case ch.ScaleBy == "":
			case was == nil:
				first[ch.ScaleBy] = ch
			case was.ScalePct.Value != ch.ScalePct.Value || was.ScaleK.Value != ch.ScaleK.Value:
				k.add(ch.ScalePct.Place, "state the same scale_pct and scale_k wherever it scales; or take scale_by out", "how well %s is known is stated in two ways", quoted(ch.ScaleBy))
			}
		}
	}
}

// captured is the capture that a run or a stated figure names, whose table stands at a
// place; nil where it names none that there is. The further keys belong to the capture
// that it has to name.
func (k *checker) captured(of *Record, at Place, what string, ref Ref, from, to Number, further ...string) *Capture {
	if !ref.Given() {
		for _, key := range append([]string{"from_s", "to_s", "capture_as"}, further...) {
			if at.has(key) {
				k.add(at.Key(key), "name the capture too: capture = \"…\"; or take this out", "%s is given, but the %s names no capture", key, what)
			}
		}
		return nil
	}
	if ref.ID == "" {
		return nil
	}
	c := of.Capture(ref.ID)
	if c == nil {
		ids := make([]string, len(of.Captures))
		for i := range of.Captures {
			ids[i] = of.Captures[i].ID
		}
		k.dangling(ref, ids, "capture", "this record")
		return nil
	}
	if from.Given() && to.Given() && from.Value >= to.Value {
		k.add(to.Place, "from_s and to_s are seconds after the first sample, the earlier first", "the %s is read from %s s to %s s", what, from.Text, to.Text)
	}
	return c
}

// runCapture checks what a run says of its capture.
func (k *checker) runCapture(r *Run, of *Record) {
	c := k.captured(of, r.Place, "run", r.Capture, r.FromS, r.ToS)
	if c == nil {
		return
	}
	k.recorded(r, c, &of.Unit)
	for _, held := range []struct{ key, how, role string }{{"power_w", r.ReadAs.PowerW, "out"}, {"out_v", r.ReadAs.OutV, "out"}, {"supply_v", r.ReadAs.SupplyV, "supply_v"}, {"supply_a", r.ReadAs.SupplyA, "supply_a"}} {
		if strings.HasPrefix(held.how, "held") && (held.role == "out" || c.Of(held.role) != nil) {
			k.add(r.ReadAs.Key(held.key), "take the reading out: the capture has it", "%s was held, which can't be compared with the mean in a capture", held.key)
		}
	}
	m := k.methods[r.Method.ID]
	if m == nil {
		return
	}
	switch as := r.CaptureReadAs(m); {
	case (as == "bursts") != (m.Signal == "burst"):
		k.add(r.Key("capture_as"), "name the method by which the run was made, or read the capture as what it is",
			"the capture is read as %s, but the method's signal is %s", as, m.Signal)
	case (as == "steps" || as == "sweep") && !m.ThdnPct.Given():
		k.add(r.Key("capture_as"), "name a method with thdn_pct; or read one level, with from_s and to_s, as steady",
			"a level that rises is read at the method's limit of distortion, but %s has none", quoted(m.ID))
	}
}

// recorded finds driven channels that nothing tells of.
func (k *checker) recorded(r *Run, c *Capture, u *Unit) {
	if len(u.Channels) == 0 {
		return
	}
	none := true
	for i, name := range r.DrivenOf(u) {
		if c.Out(name) != nil {
			none = false
		} else if i >= len(r.OutV.Items) && i >= len(r.PowerW.Items) && (r.Outcome == "completed" || r.Outcome == "supply-limit") {
			k.add(r.Capture.Place, "add its column to the capture; or type what the meter showed, one reading a driven channel: out_v = …",
				"capture %s doesn't have channel %s, which the run drives", quoted(c.ID), quoted(name))
			return
		}
	}
	if none {
		k.add(r.Capture.Place, "add the column of a driven channel to the capture, or take it out of the run", "capture %s has none of the channels that the run drives", quoted(c.ID))
	}
}

// badRecording says what is wrong with the name of a capture's file.
func badRecording(text string) (why, hint string) {
	lower := strings.ToLower(text)
	switch {
	case strings.ContainsAny(text, `/\`):
		return "is " + quoted(text) + ", with a folder in it", "captures lie beside record.toml: write the file's name alone"
	case lower == "runs.csv":
		return "is " + quoted(text) + ", which holds runs", "give the table of samples a name of its own"
	case !strings.HasSuffix(lower, ".wav") && !strings.HasSuffix(lower, ".csv"):
		return "is " + quoted(text) + ", which is no .wav or .csv", "save the waveform as .wav, or as a table of samples .csv"
	case !plainName(text):
		return "is " + quoted(text) + ", with more than letters, digits, -, _ and .", "rename the file: it becomes part of an address"
	}
	return longFile(text)
}

// plainName reports whether a file's name can be part of an address as it is.
func plainName(text string) bool {
	for i := 0; i < len(text); i++ {
		c := text[i]
		if !(c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || digit(c) || c == '-' || c == '_' || c == '.') || i == 0 && c == '.' {
			return false
		}
	}
	return true
}
