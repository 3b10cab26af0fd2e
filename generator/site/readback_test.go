package site

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math/big"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// A fileFigure is a figure as anybody reads it from sheet.json, numbers as texts.
type fileFigure struct {
	Value, Expanded, K json.Number
	Unit, Text         string
}

// A fileChannel is one channel of a run in sheet.json.
type fileChannel struct {
	Channel     string
	NominalOhm  json.Number `json:"nominal_ohm"`
	Resistance  *fileFigure
	OutV        *fileFigure `json:"out_v"`
	Power, Thdn *fileFigure
}

// A fileRun is a run in sheet.json.
type fileRun struct {
	ID                      string
	Channels                []fileChannel
	Total, Efficiency, Heat *fileFigure
	SupplyV                 *fileFigure `json:"supply_v"`
	SupplyA                 *fileFigure `json:"supply_a"`
	SupplyPower             *fileFigure `json:"supply_power"`
}

// A fileClaim is a claim in sheet.json.
type fileClaim struct {
	ID, Word, Weakest string
	Verdict           string
	PText             string      `json:"p_text"`
	LimitW            json.Number `json:"limit_w"`
	Stated            struct {
		PowerW json.Number `json:"power_w"`
	}
	BarW  *struct{ Low, High json.Number } `json:"bar_w"`
	Level *fileFigure
	// Channels are the means that were judged.
	Channels []struct {
		Channel string
		Mean    *fileFigure
	}
}

// weakest is the figure that decides; nil where nothing was measured.
func (c fileClaim) weakest() *fileFigure {
	for _, ch := range c.Channels {
		if ch.Channel == c.Weakest {
			return ch.Mean
		}
	}
	return nil
}

// A fileSheet is a whole sheet.json.
type fileSheet struct {
	Claims []fileClaim
	Runs   []fileRun
	Specs  []struct {
		ID, Word string
		PText    string `json:"p_text"`
		Measured *fileFigure
	}
	Repeats []struct {
		Channel string
		SPct    json.Number `json:"s_pct"`
		PoolPct json.Number `json:"pool_pct"`
		Points  []struct {
			Run          string
			DeviationPct json.Number `json:"deviation_pct"`
		}
	}
	AtLoads  []fileAtLoad `json:"at_loads"`
	Thermals []struct {
		Spot   string
		Points []struct{ Temp, Rise *fileFigure }
	}
}

// A readback compares the published copies of one sheet with its sheet.json.
type readback struct {
	sheet   fileSheet
	figures map[string]bool // every figure of the file as it has to be printed
	wrong   []string
	count   map[string]int // how many figures were compared, by the kind of place
}

func (r *readback) complain(format string, args ...any) {
	r.wrong = append(r.wrong, fmt.Sprintf(format, args...))
}

// same compares one printed text, and counts it.
func (r *readback) same(place, what, printed, want string) {
	r.count[place]++
	if printed != want {
		r.complain("%s: %s reads %q, sheet.json gives %q", place, what, printed, want)
	}
}

// ratOf is the exact number that a decimal text is.
func ratOf(text json.Number) *big.Rat {
	x, ok := new(big.Rat).SetString(string(text))
	if !ok {
		return new(big.Rat)
	}
	return x
}

// printed rounds a figure as a page has to print it: U to two significant digits,
// half away from zero, but up where that would cut more than 2 % off; the value to
// the same place. It works on the decimal texts, exactly, and shares nothing with
// the program. Two digits, and rounding U up rather than cutting it: JCGM
// 100:2008, 7.2.6; the 2 % are this project's rule.
func (f *fileFigure) printed() (value, u string) {
	x, U := ratOf(f.Value), ratOf(f.Expanded)
	if U.Sign() <= 0 {
		return strings.Replace(string(f.Value), "-", "−", 1), ""
	}
	ten, hundred := big.NewRat(10, 1), big.NewRat(100, 1)
	place, decimals := big.NewRat(1, 1), 0 // place is the unit of U's second digit
	for new(big.Rat).Quo(U, place).Cmp(hundred) >= 0 {
		place.Mul(place, ten)
		decimals--
	}
	for new(big.Rat).Quo(U, place).Cmp(ten) < 0 {
		place.Quo(place, ten)
		decimals++
	}
	in := new(big.Rat).Quo(U, place) // from 10 to below 100
	two := toWhole(in)
	if new(big.Rat).SetInt(two).Cmp(new(big.Rat).Mul(in, big.NewRat(98, 100))) < 0 {
		two.Add(two, big.NewInt(1))
	}
	if two.Cmp(big.NewInt(100)) == 0 {
		two.SetInt64(10)
		place.Mul(place, ten)
		decimals--
	}
	write := func(n *big.Int) string {
		text := new(big.Rat).Mul(new(big.Rat).SetInt(n), place).FloatString(max(decimals, 0))
		return strings.Replace(text, "-", "−", 1)
	}
	return write(toWhole(new(big.Rat).Quo(x, place))), write(two)
}

// toWhole gives the nearest whole number, half away from zero.
func toWhole(x *big.Rat) *big.Int {
	n, _ := new(big.Int).SetString(x.FloatString(0), 10) // "rounded … half away from zero"
	return n
}

// text is the whole figure for people.
func (f *fileFigure) text() string {
	if f == nil {
		return ""
	}
	value, u := f.printed()
	if u != "" {
		value = "(" + value + " ± " + u + ")"
	}
	return strings.TrimSpace(value + " " + f.Unit)
}

// The rounding of the test is right in the cases of JCGM 100:2008, 7.2.6, and where
// a carry moves the place; the last are from the rule.
func TestRoundingOfTheTest(t *testing.T) {
	for _, c := range []struct{ value, u, want string }{
		{"10.05762", "0.027", "10.058 0.027"}, // 7.2.6: y = 10.057 62 Ω, U = 27 mΩ becomes 10.058 Ω
		{"100.02147", "10.47", "100 11"},      // 7.2.6: 10.47 mΩ to 11 mΩ
		{"100", "9.96", "100 10"},             // the carry moves the place
		{"-0.004", "0.11", "0.00 0.11"}, {"-0.265", "0.0694", "−0.265 0.069"}, {"0.125", "0.125", "0.13 0.13"},
		{"12345", "678", "12350 680"}, {"5", "1.0204", "5.0 1.0"}, {"5", "1.021", "5.0 1.1"}, {"7", "0", "7 "},
	} {
		f := fileFigure{Value: json.Number(c.value), Expanded: json.Number(c.u)}
		if value, u := f.printed(); value+" "+u != c.want {
			t.Errorf("%s and %s give %s %s, want %s", c.value, c.u, value, u, c.want)
		}
	}
}

// readBack compares every copy of a unit's figures with its sheet.json: files are
// those of the unit's folder.
func readBack(t *testing.T, files map[string]string) *readback {
	t.Helper()
	r := &readback{figures: map[string]bool{}, count: map[string]int{}}
	data := []byte(files["sheet.json"])
	if err := json.Unmarshal(data, &r.sheet); err != nil {
		t.Fatal(err)
	}
	r.readFile(generic(t, data))
	r.readLoads(data)
	r.readRuns(files["runs.csv"])
	page := parse(t, []byte(files["index.html"]))
	r.readClaims(page)
	r.readTables(page)
	r.readAtLoads(page)
	r.readCharts(page)
	r.readBeside(page)
	for name, text := range files {
		switch {
		case name == "index.html":
			// The other unit's figures are compared by TestPairStandsOnBothPages.
			// What a correction says that something was is no figure of the sheet any more.
			for _, other := range queryAll(page, "section.pair, section.corrections") {
				other.Parent.RemoveChild(other)
			}
			r.sweep(name, allTexts(page))
		case strings.HasSuffix(name, ".svg"):
			r.readBadge(name, text)
		}
	}
	return r
}

// readLoads finds what is stated of the loads with half-widths, which derivations
// print.
func (r *readback) readLoads(data []byte) {
	var file struct {
		Loads []struct {
			HotC   *json.Number `json:"hot_c"`
			AtC    json.Number  `json:"at_c"`
			HotPM  json.Number  `json:"hot_pm_c"`
			Tempco json.Number  `json:"tempco_ppm"`
			PM     json.Number  `json:"tempco_pm_ppm"`
		} `json:"loads"`
	}
	if err := json.Unmarshal(data, &file); err != nil {
		r.complain("the loads: %v", err)
	}
	for _, l := range file.Loads {
		hot := l.AtC
		if l.HotC != nil {
			hot = *l.HotC
		}
		r.figures["("+hot.String()+" ± "+l.HotPM.String()+") °C"] = true
		r.figures["("+l.Tempco.String()+" ± "+l.PM.String()+") ·1e-6/K"] = true
	}
}

// readFile finds every figure of sheet.json, and compares its own text.
func (r *readback) readFile(v any) {
	switch v := v.(type) {
	case []any:
		for _, item := range v {
			r.readFile(item)
		}
	case map[string]any:
		for _, item := range v {
			r.readFile(item)
		}
		text, _ := v["text"].(string)
		value, isFigure := v["value"].(json.Number)
		if unit, ok := v["unit"].(string); ok && isFigure {
			expanded, _ := v["expanded"].(json.Number)
			f := &fileFigure{Value: value, Expanded: expanded, Unit: unit}
			r.same("sheet.json", "a figure's text", squeeze(text), f.text())
			r.figures[f.text()] = true
			first, u := f.printed()
			r.figures[first+" ± "+u] = true
		}
	}
}

// The figures' columns in runs.csv: the value's column, its uncertainty's, and where
// both stand in sheet.json.
var csvPlaces = []struct {
	value, expanded, k string
	of                 func(*fileRun, *fileChannel) *fileFigure
}{
	{"load_at_terminals_ohm", "load_at_terminals_expanded_ohm", "load_at_terminals_ohm_k", func(_ *fileRun, c *fileChannel) *fileFigure { return c.Resistance }},
	{"power_w", "power_expanded_w", "power_w_k", func(_ *fileRun, c *fileChannel) *fileFigure { return c.Power }},
	{"out_v", "out_expanded_v", "out_v_k", func(_ *fileRun, c *fileChannel) *fileFigure { return c.OutV }},
	{"thdn_pct", "thdn_expanded_pct", "thdn_pct_k", func(_ *fileRun, c *fileChannel) *fileFigure { return c.Thdn }},
	{"total_w", "total_expanded_w", "total_w_k", func(r *fileRun, _ *fileChannel) *fileFigure { return r.Total }},
	{"supply_v", "supply_expanded_v", "supply_v_k", func(r *fileRun, _ *fileChannel) *fileFigure { return r.SupplyV }},
	{"supply_a", "supply_expanded_a", "supply_a_k", func(r *fileRun, _ *fileChannel) *fileFigure { return r.SupplyA }},
	{"supply_w", "supply_expanded_w", "supply_w_k", func(r *fileRun, _ *fileChannel) *fileFigure { return r.SupplyPower }},
	{"efficiency_pct", "efficiency_expanded_pct", "efficiency_pct_k", func(r *fileRun, _ *fileChannel) *fileFigure { return r.Efficiency }},
	{"heat_w", "heat_expanded_w", "heat_w_k", func(r *fileRun, _ *fileChannel) *fileFigure { return r.Heat }},
}

// readRuns compares runs.csv, where numbers stand unrounded.
func (r *readback) readRuns(text string) {
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil || len(rows) < 2 {
		r.complain("runs.csv can't be read: %v", err)
		return
	}
	expected := 0
	for _, run := range r.sheet.Runs {
		expected += max(len(run.Channels), 1)
	}
	if len(rows)-1 != expected {
		r.complain("runs.csv has %d rows, sheet.json has %d", len(rows)-1, expected)
	}
	for _, row := range rows[1:] {
		cells := map[string]string{}
		for i, name := range rows[0] {
			cells[name] = row[i]
		}
		run, channel := r.find(strings.TrimPrefix(cells["run"], "'"), strings.TrimPrefix(cells["channel"], "'"))
		if run == nil || channel == nil {
			if cells["channel"] != "" {
				r.complain("runs.csv: sheet.json has no run %s, channel %s", cells["run"], cells["channel"])
			}
			continue
		}
		for _, place := range csvPlaces {
			f := place.of(run, channel)
			if f == nil {
				f = &fileFigure{}
			}
			at := run.ID + ", " + channel.Channel + ", "
			r.same("runs.csv", at+place.value, cells[place.value], string(f.Value))
			if ratOf(f.Expanded).Sign() > 0 {
				r.same("runs.csv", at+place.expanded, cells[place.expanded], string(f.Expanded))
				r.same("runs.csv", at+place.k, cells[place.k], string(f.K))
			}
		}
	}
}

// find gives a run and its channel; no channel for another name.
func (r *readback) find(id, channel string) (*fileRun, *fileChannel) {
	for i := range r.sheet.Runs {
		run := &r.sheet.Runs[i]
		if run.ID != id {
			continue
		}
		for j := range run.Channels {
			if run.Channels[j].Channel == channel {
				return run, &run.Channels[j]
			}
		}
		return run, nil
	}
	return nil, nil
}

// A printed figure with its uncertainty, with its unit or within a table's column.
var pairs = regexp.MustCompile(`\(([−-]?[0-9][0-9.]*) ± ([0-9.]+)\) ?([^\s,;:)"<]*)|([−-]?[0-9][0-9.]*) ± ([0-9.]+)`)

// sweep finds every figure with an uncertainty in a text, whatever it is of: each is
// one of sheet.json. Levels above 1 W stand in the live charts' data only, and are
// no figures of the file.
func (r *readback) sweep(place, text string) {
	text = strings.NewReplacer("\u00a0", " ", "\u202f", " ", `\u00a0`, " ", "&#39;", "'").Replace(text)
	for _, m := range pairs.FindAllStringSubmatch(text, -1) {
		said := m[4] + " ± " + m[5]
		if m[1] != "" {
			said = "(" + m[1] + " ± " + m[2] + ") " + strings.TrimRight(m[3], ".")
		}
		if strings.HasSuffix(said, " dBW") {
			continue
		}
		r.count["any text of "+place]++
		// Behind a bare number stands a word, which is no unit.
		bare := "(" + m[1] + " ± " + m[2] + ")"
		if !r.figures[strings.TrimSpace(said)] && !r.figures[bare] {
			r.complain("%s: %q is no figure of sheet.json", place, said)
		}
	}
}

// unitFiles are the published files of one unit, by their names in its folder.
func unitFiles(outputs []Output, slug string) map[string]string {
	files := map[string]string{}
	for _, o := range outputs {
		if name, ok := strings.CutPrefix(o.Path, "units/"+slug+"/"); ok {
			files[name] = string(o.Bytes)
		}
	}
	return files
}

// Every figure of a page, a drawing, a table, a badge and runs.csv is the one of
// sheet.json, rounded by the rule.
func TestFiguresReadBack(t *testing.T) {
	s, outputs := demo()
	every := map[string]bool{}
	for _, sh := range s.Sheets {
		r := readBack(t, unitFiles(outputs, sh.Slug))
		for _, wrong := range r.wrong {
			t.Errorf("%s: %s", sh.Slug, wrong)
		}
		t.Logf("%s: compared %v", sh.Slug, r.count)
		for text := range r.figures {
			every[text] = true
		}
		for _, place := range []string{"sheet.json", "runs.csv", "claims", "claim lines", "table of runs", "chart tables", "drawings", "any text of index.html"} {
			if len(sh.Runs) > 0 && len(sh.Claims) > 0 && r.count[place] == 0 {
				t.Errorf("%s: nothing was compared in %s", sh.Slug, place)
			}
		}
	}
	front := &readback{figures: every, count: map[string]int{}}
	front.sweep("index.html", allTexts(document(t, "index.html")))
	for _, wrong := range front.wrong {
		t.Error(wrong)
	}
	if front.count["any text of index.html"] < len(s.Sheets)/2 {
		t.Errorf("the front page has %d figures only", front.count["any text of index.html"])
	}
}

// Every place that a figure stands in, as a pattern around one of its digits: after
// a change of that digit the copies don't agree any more.
var spoiled = []struct{ file, digit string }{
	{"sheet.json", `"power":\s*\{\s*"value":\s*(\d)`},
	{"sheet.json", `"expanded":\s*(\d)`},
	{"sheet.json", `"text":\s*"\((\d)`},
	{"runs.csv", `\r\n(?:[^,]*,){18}(\d)`}, // the power, and its uncertainty
	{"runs.csv", `\r\n(?:[^,]*,){19}(\d)`},
	{"index.html", `<strong class="figure"><a [^>]*>\((\d)`},
	{"index.html", `<strong class="figure"><a [^>]*>\([\d.]+ ± [\d.]*(\d)\)`},
	{"index.html", `<p class="why">[^<]*\((\d)`},
	{"index.html", `>\([−\d.]+ ± [\d.]*(\d)\)\x{a0}dB<`},
	{"index.html", `class="claim-line[^>]*aria-label="[^"(]*\((\d)`},
	{"index.html", `class="claim-limit" x1="(\d)`},
	{"index.html", `class="claim-ring" cx="(\d)`},
	{"index.html", `class="claim-bar" x="[\d.]+%" width="(\d)`},
	{"index.html", `class="claim-whisker" x1="(\d)`},
	{"index.html", `<td class="n strong"><a [^>]*>(\d)`},
	{"index.html", `<td class="n strong"><a [^>]*>[\d.]+</a></td><td class="n">[\d.]*(\d)`},
	{"index.html", `<td class="sum">sum</td>.*?<td class="n strong"><a [^>]*>(\d)`},
	{"index.html", `<a [^>]*#formula-efficiency">[\d.]*(\d)\x{a0}±`},
	{"index.html", `<a [^>]*#formula-heat">\d+(?:\.\d+)?\x{a0}±\x{a0}[\d.]*(\d)`},
	{"index.html", `<tr><td class="n">\d+</td><td>[^<]*</td><td>[^<]*</td><td><a href="#run-[^<]*</a></td><td>[^<]*</td><td class="n">(\d)`},
	{"index.html", `<tr><td class="n">\d+</td><td>[^<]*</td><td>[^<]*</td><td><a href="#run-[^<]*</a></td><td>[^<]*</td><td class="n">[\d.]+</td><td class="n">[\d.]*(\d)<`},
	{"index.html", `class="still-upright"[^>]* d="M[\d.]+ (\d)`},
	{"index.html", `class="still-upright"[^>]* d="M[\d.]+ [\d.]+V(\d)`},
	{"index.html", `class="still-upright"[^>]*><circle cx="[\d.]+" cy="(\d)`},
	{"index.html", `class="still-upright"[^>]*><path d="M[\d.]+ (\d)`},
	{"index.html", `class="still-claim"[^>]*><path d="M[\d.]+ (\d)`},
	{"index.html", `class="still-line"[^>]* d="M[\d.]+ (\d)`},
	{"index.html", `text-anchor="end"><text x="[\d.]+" y="[\d.]+">\d+</text><text x="[\d.]+" y="[\d.]+">(\d)`},
	{"index.html", `class="still still-tall"[\s\S]*?class="still-upright"[^>]* d="M[\d.]+ (\d)`},
	{"index.html", `<desc [^>]*>[^<]*\((\d)`},
}

// A changed digit in one copy is noticed, in every kind of place.
func TestChangedDigitIsNoticed(t *testing.T) {
	s, outputs := demo()
	found := map[string]bool{}
	for _, sh := range s.Sheets {
		files := unitFiles(outputs, sh.Slug)
		places := slices.Clone(spoiled)
		for name, text := range files {
			if strings.HasSuffix(name, ".svg") && pairs.MatchString(strings.ReplaceAll(text, "\u00a0", " ")) {
				places = append(places, struct{ file, digit string }{name, `\((\d)[\d.]* ±`})
			}
		}
		for _, place := range places {
			at := regexp.MustCompile(place.digit).FindStringSubmatchIndex(files[place.file])
			if at == nil || found[place.digit] {
				continue
			}
			found[place.digit] = true
			digit := files[place.file][at[2]]
			changed := map[string]string{}
			for name, text := range files {
				changed[name] = text
			}
			changed[place.file] = files[place.file][:at[2]] + string('0'+(digit-'0'+1)%10) + files[place.file][at[3]:]
			if len(readBack(t, changed).wrong) == 0 {
				t.Errorf("%s: a changed digit isn't noticed: %s", place.file, files[place.file][at[0]:at[1]])
			}
		}
	}
	for _, place := range spoiled {
		if !found[place.digit] {
			t.Errorf("%s has no place like %s", place.file, place.digit)
		}
	}
}
