package site

import (
	"bytes"
	"cmp"
	"encoding/json"
	"encoding/xml"
	"io"
	"maps"
	"math/big"
	"path"
	"regexp"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"
)

// A sweeping has the figures of all sheets of a site, by unit, and what their files say.
type sweeping struct {
	own      map[string]map[string]bool // of a unit's sheet.json, and what it states of loads
	versions map[string]map[string]bool // of each sealed sheet.json, by its folder
	every    map[string]bool            // of all sheets
	was      map[string]map[string]bool // of a unit's sheet.json and all of its sealed ones
	ever     map[string]bool            // of all of these
	beside   map[string]map[string]bool // of own, and power by price, volume and mass at each point, computed here
}

func sweepOf(t *testing.T, files map[string]string) *sweeping {
	t.Helper()
	s := &sweeping{
		own: map[string]map[string]bool{}, versions: map[string]map[string]bool{}, every: map[string]bool{},
		was: map[string]map[string]bool{}, ever: map[string]bool{}, beside: map[string]map[string]bool{},
	}
	for name, text := range files {
		if path.Base(name) != "sheet.json" {
			continue
		}
		r := &readback{figures: map[string]bool{}, count: map[string]int{}}
		r.readFile(generic(t, []byte(text)))
		unit := strings.Join(strings.Split(name, "/")[:2], "/")
		if s.was[unit] == nil {
			s.was[unit] = map[string]bool{}
		}
		maps.Copy(s.was[unit], r.figures)
		maps.Copy(s.ever, r.figures)
		if strings.Contains(name, "/v/") {
			s.versions[path.Dir(name)] = r.figures
			continue
		}
		maps.Copy(s.every, r.figures)
		r.readLoads([]byte(text))
		r.readResiduals(t, text)
		s.own[path.Dir(name)] = r.figures
		s.beside[unit] = maps.Clone(r.figures)
		maps.Copy(s.beside[unit], ratiosIn(t, text, files[path.Dir(name)+"/"+besideName]))
	}
	return s
}

// readResiduals finds the residuals of load lines, which derivations print. The file has their
// u and not their k, which is 1.96 with degrees of freedom without end, and 2.31 with eight.
func (r *readback) readResiduals(t *testing.T, text string) {
	t.Helper()
	var file struct {
		Lines []struct {
			Points []struct {
				Residual json.Number `json:"residual_w"`
				U        json.Number `json:"residual_u_w"`
			}
		} `json:"load_lines"`
	}
	if err := json.Unmarshal([]byte(text), &file); err != nil {
		t.Fatal(err)
	}
	for _, l := range file.Lines {
		for _, p := range l.Points {
			for k := int64(196); k <= 231; k++ {
				U := new(big.Rat).Mul(ratOf(p.U), big.NewRat(k, 100))
				r.figures[(&fileFigure{Value: p.Residual, Expanded: json.Number(U.FloatString(15)), Unit: "W"}).text()] = true
			}
		}
	}
}

// ratiosIn are total powers by price, by volume in litres and by mass, of the numbers that a
// unit's script has and of the unit's own in sheet.json.
func ratiosIn(t *testing.T, sheet, script string) map[string]bool {
	t.Helper()
	var file struct {
		Site struct{ Currency string }
		Unit struct {
			Price json.Number
			Size  []json.Number `json:"size_mm"`
			Mass  json.Number   `json:"mass_kg"`
		}
	}
	var beside struct {
		Points []struct {
			Total json.Number `json:"total_w"`
			U     json.Number `json:"total_u_w"`
		}
	}
	_, object, _ := strings.Cut(script, "] = ")
	if err := json.Unmarshal([]byte(sheet), &file); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal([]byte(strings.TrimSuffix(object, ";\n")), &beside); err != nil {
		t.Fatal(err)
	}
	by := map[string]*big.Rat{"W/" + file.Site.Currency: ratOf(file.Unit.Price), "W/kg": ratOf(file.Unit.Mass), "W/l": new(big.Rat)}
	if mm := file.Unit.Size; len(mm) == 3 {
		by["W/l"].Mul(ratOf(mm[0]), ratOf(mm[1])).Mul(by["W/l"], ratOf(mm[2])).Quo(by["W/l"], big.NewRat(1e6, 1))
	}
	out := map[string]bool{}
	for unit, of := range by {
		for _, p := range beside.Points {
			if of.Sign() > 0 && p.Total != "" {
				over := func(n json.Number) json.Number { return json.Number(new(big.Rat).Quo(ratOf(n), of).FloatString(15)) }
				out[(&fileFigure{Value: over(p.Total), Expanded: over(p.U), Unit: unit}).text()] = true
			}
		}
	}
	return out
}

// spoken are all texts of a file, as who reads it has them.
func spoken(t *testing.T, name, text string) string {
	t.Helper()
	var b strings.Builder
	switch path.Ext(name) {
	case ".html":
		return allTexts(parse(t, []byte(text)))
	case ".atom", ".xml", ".svg":
		for d := xml.NewDecoder(strings.NewReader(text)); ; {
			token, err := d.Token()
			if err == io.EOF {
				break
			} else if err != nil {
				t.Fatal(name, err)
			}
			switch token := token.(type) {
			case xml.CharData:
				b.WriteString(asRead(string(token)) + "\n")
			case xml.StartElement:
				for _, a := range token.Attr {
					b.WriteString(a.Value + "\n")
				}
			}
		}
		return b.String()
	case ".json":
		var v any
		if err := json.Unmarshal([]byte(text), &v); err != nil {
			t.Fatal(name, err)
		}
		textsIn(v, &b)
		return b.String()
	}
	return strings.NewReplacer(`\u00A0`, " ", `\u00a0`, " ").Replace(text)
}

// asRead is what a person reads where a text is HTML.
func asRead(text string) string {
	if !strings.Contains(text, "<") {
		return html.UnescapeString(text)
	}
	doc, err := html.Parse(strings.NewReader(text))
	if err != nil {
		return text
	}
	return allTexts(doc)
}

func textsIn(v any, b *strings.Builder) {
	switch v := v.(type) {
	case string:
		b.WriteString(asRead(v) + "\n")
	case []any:
		for _, one := range v {
			textsIn(one, b)
		}
	case map[string]any:
		for _, key := range slices.Sorted(maps.Keys(v)) {
			textsIn(v[key], b)
		}
	}
}

// sweptAside are the files that hold figures of no sheet: the methodology's worked examples
// and instruments, and the program's own scripts.
var sweptAside = regexp.MustCompile(`^(methodology/index\.html|assets/.*)$`)

// allowed are the figures that a file may print.
func (s *sweeping) allowed(name string) map[string]bool {
	parts := strings.Split(name, "/")
	unit := path.Join(parts[:min(2, len(parts))]...)
	switch {
	case parts[0] == correctionsName:
		return s.ever // what it was, and what it is
	case parts[0] != unitsFolder:
		return s.every
	case strings.Contains(name, "/v/") && path.Ext(name) == ".html": // with the corrections that came of it
		return s.was[unit]
	case strings.Contains(name, "/v/"):
		return s.versions[path.Dir(name)]
	case parts[2] == ledgerFile:
		return s.was[unit]
	case parts[2] == nearName:
		return s.every
	case parts[2] == besideName:
		return s.beside[unit]
	case len(parts) == 3 && parts[2] == "index.html":
		return s.ever // with the unit that it follows, and its corrections; TestFiguresReadBack is stricter
	}
	return s.own[unit]
}

// sweepFile compares every figure of a file, and says how many.
func (s *sweeping) sweepFile(t *testing.T, name, text string) (n int, wrong []string) {
	t.Helper()
	r := &readback{figures: s.allowed(name), count: map[string]int{}}
	r.sweep(name, spoken(t, name, text))
	return r.count["any text of "+name], r.wrong
}

// Every figure with an uncertainty in every file of the site, whatever its form, is one of the
// sheet that it is of; a changed digit in any kind of file is noticed.
func TestEveryFileReadsBack(t *testing.T) {
	_, outputs := demo()
	files := map[string]string{}
	for _, o := range outputs {
		if !bytes.Contains(o.Bytes, []byte{0}) && !sweptAside.MatchString(o.Path) {
			files[o.Path] = string(o.Bytes)
		}
	}
	s := sweepOf(t, files)
	figures := map[string]int{} // by kind of file
	spoilt := map[string]bool{}
	for _, name := range slices.SortedFunc(maps.Keys(files), func(a, b string) int { return cmp.Or(cmp.Compare(len(files[a]), len(files[b])), cmp.Compare(a, b)) }) {
		text := files[name]
		n, wrong := s.sweepFile(t, name, text)
		for _, w := range wrong {
			t.Error(w)
		}
		kind := kindOfFile(name)
		figures[kind] += n
		if n == 0 || spoilt[kind] || path.Base(name) == "sheet.json" {
			continue
		}
		spoilt[kind] = true
		at := regexp.MustCompile(`\d(\d)(\.\d+)?(\x{a0}| |\\u00[aA]0)±`).FindStringSubmatchIndex(text)
		if at == nil {
			t.Errorf("%s has no figure to spoil", name)
			continue
		}
		// Three other digits; one may give a figure that the unit has elsewhere.
		noticed := 0
		for more := byte(1); more <= 3 && noticed == 0; more++ {
			changed := text[:at[2]] + string('0'+(text[at[2]]-'0'+more)%10) + text[at[3]:]
			if _, wrong := s.sweepFile(t, name, changed); len(wrong) > 0 {
				noticed++
			}
		}
		if noticed == 0 {
			t.Errorf("%s: %s isn't noticed with another digit", name, text[at[0]:at[1]])
		}
	}
	for _, kind := range []string{
		"index.html", "loads/…/index.html", "makers/…/index.html", "corrections/index.html", "corrections/feed.atom", "corrections/feed.json", "data/claims.csv",
		"units/…/index.html", "units/…/sheet.json", "units/…/beside.js", "units/…/charts.js", "units/…/badge/….svg", "units/…/embed/…/index.html",
		"units/…/embed/…/oembed.json", "units/…/derivation/index.html", "units/…/near/index.html", "units/…/ledger.toml", "units/…/v/…/index.html", "units/…/v/…/sheet.json",
	} {
		if figures[kind] == 0 {
			t.Errorf("nothing was compared in %s: %v", kind, figures)
		}
	}
}

// kindOfFile is a path with … for what has a name.
func kindOfFile(name string) string {
	parts := strings.Split(name, "/")
	for i := range parts {
		if i > 0 && slices.Contains([]string{unitsFolder, "v", embedName, loadsFolder, makersFolder}, parts[i-1]) && parts[i] != "index.html" {
			parts[i] = "…"
		}
		if i > 0 && parts[i-1] == "badge" {
			parts[i] = "….svg"
		}
	}
	return strings.Join(parts, "/")
}

// A claim's figures in structured data are those of sheet.json, rounded by the rule.
func TestStructuredDataReadsBack(t *testing.T) {
	s, outputs := demo()
	compared := 0
	for _, sh := range s.Sheets {
		files := unitFiles(outputs, sh.Slug)
		var file fileSheet
		if err := json.Unmarshal([]byte(files["sheet.json"]), &file); err != nil {
			t.Fatal(err)
		}
		nodes, _ := structuredOf(t, parse(t, []byte(files["index.html"])))
		measured, _ := nodes["Product"]["hasMeasurement"].([]any)
		claimed, _ := nodes["Product"]["additionalProperty"].([]any)
		for i, c := range file.Claims {
			if n := claimed[i].(map[string]any); leafSaid(n, "value") != string(c.Stated.PowerW) && saidFloat(n, "value") != floatOf(c.Stated.PowerW) {
				t.Errorf("%s, %s: claimed %v, stated %s W", sh.Slug, c.ID, n["value"], c.Stated.PowerW)
			}
			f := c.weakest()
			if f == nil {
				continue
			}
			n := measured[0].(map[string]any)
			measured = measured[1:]
			value, u := f.printed()
			margin, _ := n["marginOfError"].(map[string]any)
			if !strings.HasSuffix(leafSaid(n, "url"), "#claim-"+c.ID) || saidFloat(n, "value") != floatOf(json.Number(value)) || u != "" && saidFloat(margin, "value") != floatOf(json.Number(u)) {
				t.Errorf("%s, %s: %v, and sheet.json gives %s ± %s", sh.Slug, c.ID, n, value, u)
			}
			compared++
		}
	}
	if compared < 30 {
		t.Errorf("%d figures were compared", compared)
	}
}

// saidFloat is a number of structured data, however it was decoded.
func saidFloat(n map[string]any, key string) float64 {
	switch v := n[key].(type) {
	case float64:
		return v
	case json.Number:
		return floatOf(v)
	}
	return -1
}
