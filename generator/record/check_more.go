package record

import (
	"fmt"
	"slices"
	"strings"
)

// more checks the tables beside claims and runs.
func (k *checker) more(r *Record) {
	runs := make([]string, len(r.Runs))
	for i := range r.Runs {
		runs[i] = r.Runs[i].ID
	}
	for i := range r.Specs {
		k.spec(&r.Specs[i])
		k.specCapture(&r.Specs[i], r)
	}
	for i := range r.Thermals {
		k.thermal(&r.Thermals[i], runs)
	}
	first := map[string]bool{}
	for i := range r.Pictures {
		p := &r.Pictures[i]
		if p.File != "" && first[p.File] {
			k.add(p.Key("file"), "show each picture once; callouts say what is where in it", "the picture %s stands here twice", quoted(p.File))
		}
		first[p.File] = true
		if p.Run.Given() && !slices.Contains(runs, p.Run.ID) {
			k.dangling(p.Run, runs, "run", "this record")
		}
	}
	for i := range r.Shops {
		if s := &r.Shops[i]; s.Price.Given() && k.c.Site != nil && k.c.Site.Currency == "" {
			k.add(s.Price.Place, `add it to site.toml: currency = "EUR"`, "price is given, but the site names no currency")
		}
		if s := &r.Shops[i]; s.Earns && !r.Source.LinksEarn && r.Source.Given() {
			k.add(s.Key("earns"), "write links_earn = true in [source]: the page says under its headline what links earn", "this link earns, but [source] doesn't say that links do")
		}
	}
}

// spec checks that a stated figure has the ends that its limit needs, and a
// measurement its half-width.
func (k *checker) spec(s *Spec) {
	switch {
	case s.Limit == "between" && !s.StatedTo.Given():
		k.add(s.Key("limit"), "write the upper end: stated_to = …", "a figure between two ends needs both, but there is no stated_to")
	case s.Limit == "between" && s.Stated.Given() && s.Stated.Value >= s.StatedTo.Value:
		k.add(s.StatedTo.Place, "stated is the lower end, stated_to the upper", "the range runs from %s down to %s", s.Stated.Text, s.StatedTo.Text)
	case s.Limit != "between" && s.StatedTo.Given():
		k.add(s.StatedTo.Place, `a range is limit = "between"`, "stated_to belongs to a range, but limit is %s", quoted(s.Limit))
	}
	if s.Tolerance.Given() && s.TolerancePct.Given() {
		k.add(s.TolerancePct.Place, "keep the one that the maker prints", "the tolerance is given twice, as a figure and in percent")
	}
	if s.Measured.Given() && !s.PM.Given() {
		k.add(s.Measured.Place, "say how well it was measured, as a half-width in the same unit: pm = …", "a measured figure needs pm")
	}
	if s.PM.Given() && !s.Measured.Given() {
		k.add(s.PM.Place, "leave pm away until something is measured", "pm is given, but nothing was measured")
	}
	k.also(s)
}

// thermal checks a series against its times, and the run it names.
func (k *checker) thermal(t *Thermal, runs []string) {
	temps, times := len(t.TempC.Items), len(t.AtMin.Items)
	switch {
	case temps > 1 && times == 0:
		k.add(t.TempC.Place, "write the minutes of each: at_min = [0, 5, 10]", "a series of %s needs at_min", counted(temps, "temperature"))
	case times > 0 && temps != times:
		k.add(t.AtMin.Place, "one time for each temperature", "there are %s, but %s", counted(temps, "temperature"), counted(times, "time"))
	}
	for i := 1; i < times; i++ {
		if a, b := t.AtMin.Items[i-1], t.AtMin.Items[i]; b.Value <= a.Value {
			k.add(b.Place, "list the readings in the order of time", "at_min goes from %s to %s", a.Text, b.Text)
			break
		}
	}
	if t.After.Given() && !slices.Contains(runs, t.After.ID) {
		k.dangling(t.After, runs, "run", "this record")
	}
	k.fahrenheit(t)
}

// checkUnit checks what the check unit refers to.
func (k *checker) checkUnit(b *Bench) {
	u := &b.CheckUnit
	if !u.Given() {
		return
	}
	if u.Method.Given() && k.c.Methods != nil && k.methods[u.Method.ID] == nil {
		k.dangling(u.Method, k.ids.methods, "method", "methods.toml")
	}
	if u.Load.Given() && k.loads[u.Load.ID] == nil {
		k.dangling(u.Load, k.ids.loads, "load", "bench.toml")
	}
	seen := map[string]bool{}
	for i := range u.Readings {
		d := &u.Readings[i]
		if d.Date.Text != "" && seen[d.Date.Text] {
			k.add(d.Date.Place, "one reading a test day", "the check unit was read twice on %s", d.Date.Text)
		}
		seen[d.Date.Text] = true
		k.corrected(d.OutV, k.instruments[b.Usual.OutV.ID], "out_v")
	}
}

// badFile says what is wrong with the name of a picture's file.
func badFile(text string) (why, hint string) {
	if strings.ContainsAny(text, `/\`) {
		return "is " + quoted(text) + ", with a folder in it", "pictures lie beside record.toml: write the file's name alone"
	}
	lower := strings.ToLower(text)
	if !strings.HasSuffix(lower, ".jpg") && !strings.HasSuffix(lower, ".jpeg") && !strings.HasSuffix(lower, ".png") {
		return "is " + quoted(text) + ", which is no .jpg or .png", "save the picture as .jpg (photographs) or .png"
	}
	if !plainName(text) {
		return "is " + quoted(text) + ", with more than letters, digits, -, _ and .", "rename the file: it becomes part of an address"
	}
	return longFile(text)
}

// longestFile leaves room in the 255 bytes that a disk has for a name: published files have a
// width, a digest or an ending more.
const longestFile = 200

func longFile(text string) (why, hint string) {
	if len(text) > longestFile {
		return fmt.Sprintf("is %s, which is longer than %d characters", quoted(text), longestFile), "rename the file: it becomes part of an address"
	}
	return "", ""
}
