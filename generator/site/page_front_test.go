package site

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
	"wattsheet/generator/theme"
)

// manyBriefs are so many units for lists: those of the demo again and again, under other
// names, with other prices, tested on other days; some on the same day, some on none.
func manyBriefs(t *testing.T, n int) []*brief {
	t.Helper()
	s, _ := demo()
	var kept [][]byte
	for _, one := range s.Sheets {
		kept = append(kept, asJSON(briefOf(one, s.Ledger(one.Slug))))
	}
	random := rand.New(rand.NewPCG(1, 2))
	day := time.Date(2026, 11, 1, 0, 0, 0, 0, time.UTC)
	out := make([]*brief, n)
	for i := range out {
		out[i] = new(brief)
		if err := json.Unmarshal(kept[i%len(kept)], out[i]); err != nil {
			t.Fatal(err)
		}
		r := &out[i].Row
		r.Slug = fmt.Sprintf("%s-%05d", r.Slug, i*7919%100000)
		r.List.Model += " " + strconv.Itoa(i)
		r.List.Maker += " " + string(rune('A'+i/len(kept)%24))
		r.Link = link{unitsFolder + "/" + r.Slug + "/index.html", r.List.Maker + " " + r.List.Model}
		r.Tested = dayOf(day.AddDate(0, 0, -i/3).Format(time.DateOnly))
		if i%41 == 40 {
			r.Tested = dayOf("")
		}
		r.List.scatter(random)
		if l := out[i].Leading; l != nil && l.Mean != nil {
			by := exact(0.8 + 0.4*random.Float64())
			l.BarLow, l.BarHigh, l.Mean.X, l.Mean.U = l.BarLow*by, l.BarHigh*by, l.Mean.X*by, l.Mean.U*by
			l.Mean.ValueText, l.Mean.UText = quantity.Pair(float64(l.Mean.X), float64(l.Mean.U))
			l.Mean.Text = (&amount{Value: l.Mean.ValueText, U: l.Mean.UText}).in("W")
		}
		if i%5 != 0 && r.List.Price != "" {
			r.List.PriceIs = exact(100 + i*37%900)
			r.List.Price = strconv.Itoa(100 + i*37%900)
		}
	}
	return out
}

// scatter makes the figures others.
func (l *listing) scatter(random *rand.Rand) {
	all := []*amount{l.Power, l.PerMoney, l.Efficiency}
	for _, p := range l.Points {
		all = append(all, p.Total, p.Efficiency)
	}
	for _, a := range all {
		if a == nil {
			continue
		}
		x, _ := strconv.ParseFloat(a.Value, 64)
		u, _ := strconv.ParseFloat(a.U, 64)
		a.Value, a.U = quantity.Pair(x*(0.7+0.6*random.Float64()), u*(0.7+0.6*random.Float64()))
	}
}

// listsOf makes the front page, the older ones and the index of units.
func listsOf(t *testing.T, units []*brief) map[string][]byte {
	t.Helper()
	s, _ := demo()
	assets, paths, _, err := theme.Default().Assets()
	if err != nil {
		t.Fatal(err)
	}
	b, problems := s.binder(theme.Default(), paths)
	if problems.Errors() {
		t.Fatal(problems)
	}
	out := map[string][]byte{}
	for _, o := range assets {
		out[o.Path] = o.Bytes
	}
	for _, k := range []kind{kindFront, kindOlder, kindIndex} {
		outputs, problems := b.listOutputs(&group{kind: k, units: units}, nil)
		if problems.Errors() {
			t.Fatal(problems)
		}
		for _, o := range outputs {
			if slug, is := kindOfPath(o.Path); slug != "" || is != k {
				t.Errorf("%s is made as %s, and told to be %q of %q", o.Path, k, is, slug)
			}
			out[o.Path] = o.Bytes
		}
	}
	return out
}

var (
	aUnitHref = regexp.MustCompile(`<h3><a href="(?:\.\./\.\./)?units/([a-z0-9-]+)/index\.html">`)
	olderHref = regexp.MustCompile(`<a rel="next" href="([^"]+)">`)
	rowStart  = regexp.MustCompile(`(?m)^\["([a-z0-9-]+)",`)
)

// Over the pages of the list, each led to by the one before, every unit stands once, in
// the order of the last test and then by name; the index has the same units in the same
// order.
func TestEveryUnitIsListedOnce(t *testing.T) {
	for _, n := range []int{0, 1, unitsInFront, unitsInFront + 1, unitsInFront + 2*unitsOnPage, 1234} {
		units := manyBriefs(t, n)
		out := listsOf(t, units)
		var want, got []string
		for _, of := range units {
			want = append(want, of.Row.Tested.ISO+" "+of.Row.Slug)
		}
		slices.SortFunc(want, func(a, b string) int {
			dayA, slugA, _ := strings.Cut(a, " ")
			dayB, slugB, _ := strings.Cut(b, " ")
			if dayA != dayB {
				return strings.Compare(dayB, dayA)
			}
			return strings.Compare(slugA, slugB)
		})
		pages := 0
		for page, root := "index.html", ""; page != ""; pages++ {
			text := string(out[page])
			for _, m := range aUnitHref.FindAllStringSubmatch(text, -1) {
				got = append(got, m[1])
			}
			m := olderHref.FindStringSubmatch(text)
			page = ""
			if m != nil {
				page, root = strings.TrimPrefix(m[1], root), "../../"
				page = strings.TrimPrefix(page, "../../")
			}
		}
		if older := len(slices.Collect(olderPaths(out))); pages != older+1 {
			t.Errorf("%d units: %d pages are led to, %d are there", n, pages, older+1)
		}
		var indexed []string
		for part := 1; ; part++ {
			text, is := out[fmt.Sprintf("data/list-%d.js", part)]
			if !is {
				break
			}
			for _, m := range rowStart.FindAllStringSubmatch(string(text), -1) {
				indexed = append(indexed, m[1])
			}
		}
		for i, w := range want {
			_, want[i], _ = strings.Cut(w, " ")
		}
		if !slices.Equal(got, want) {
			t.Errorf("%d units: the pages have %d, not in the order that they should", n, len(got))
		}
		if !slices.Equal(indexed, want) {
			t.Errorf("%d units: the index has %d, not in the order that it should", n, len(indexed))
		}
		if !strings.Contains(string(out[indexName]), fmt.Sprintf(`"count":%d,`, n)) {
			t.Errorf("%d units: the index doesn't count them", n)
		}
	}
}

// keys are the paths, sorted.
func keys(out map[string][]byte) func(func(string) bool) {
	var all []string
	for path := range out {
		all = append(all, path)
	}
	slices.Sort(all)
	return slices.Values(all)
}

func olderPaths(out map[string][]byte) func(func(string) bool) {
	return func(yield func(string) bool) {
		for path := range keys(out) {
			if strings.HasPrefix(path, olderFolder+"/") && !yield(path) {
				return
			}
		}
	}
}

// packedSize is how many bytes gzip makes of something.
func packedSize(data []byte) int {
	var b bytes.Buffer
	w, _ := gzip.NewWriterLevel(&b, gzip.BestCompression)
	w.Write(data)
	w.Close()
	return b.Len()
}

// The front page stays light with ten thousand units, and so do the scripts that find
// them. The index is only loaded when it is asked for.
func TestFrontPageWeight(t *testing.T) {
	const n = 10000
	began := time.Now()
	out := listsOf(t, manyBriefs(t, n))
	t.Logf("%d units: lists made in %v", n, time.Since(began).Round(time.Millisecond))
	if size := packedSize(out["index.html"]); size > 30000 {
		t.Errorf("the front page has %d bytes (gzip)", size)
	} else {
		t.Logf("front page: %d bytes, %d gzip", len(out["index.html"]), size)
	}
	scripts, whole, packed, parts := 0, 0, 0, 0
	for path, data := range out {
		switch {
		case strings.HasPrefix(path, "assets/list.") && strings.HasSuffix(path, ".js"), strings.HasPrefix(path, "assets/front."):
			scripts += packedSize(data)
		case strings.HasPrefix(path, "data/"):
			whole, packed, parts = whole+len(data), packed+packedSize(data), parts+1
		}
	}
	t.Logf("scripts: %d gzip; index: %d files, %d bytes, %d gzip", scripts, parts, whole, packed)
	if scripts == 0 || scripts > 20000 {
		t.Errorf("the scripts have %d bytes (gzip)", scripts)
	}
	if packed > 150*n { // bytes a unit; common practice, no source: what a phone loads in a second or two at 1 MB
		t.Errorf("the index has %d bytes (gzip)", packed)
	}
}

// What a row tells is what the sheet has: figures with their U, and the words of verdicts.
func TestRowsTellTheSheets(t *testing.T) {
	s, _ := demo()
	for _, one := range s.Sheets {
		l := briefOf(one, s.Ledger(one.Slug)).Row.List
		best := one.Best()
		for _, f := range []struct {
			said *amount
			unit string
			want *sheet.Figure
		}{{l.Power, "W", best.Total}, {l.Efficiency, "%", best.Efficiency}, {l.PerMoney, "W/EUR", one.PerMoney()}} {
			if f.want == nil && f.said != nil || f.want != nil && f.said.in(f.unit) != f.want.Text {
				t.Errorf("%s: %v is said of %v", one.Slug, f.said, f.want)
			}
		}
		for _, r := range one.Runs {
			if r.Completed && r.Method == &s.Content.Methods.Methods[0] && r.Total != nil && r.Total.X > best.Total.X {
				t.Errorf("%s: run %s gave more than the best", one.Slug, r.ID)
			}
		}
		n := 0
		for _, c := range l.Counts {
			n += c.N
		}
		if n != len(one.Claims) {
			t.Errorf("%s: %d claims are counted of %d", one.Slug, n, len(one.Claims))
		}
		for _, p := range l.Points {
			at := sheet.Point{Method: s.Content.Method(p.Method), Ohm: float64(p.Ohm), Bridged: p.Bridged}
			if st := sheet.StandingOf(one, at); (st.Total != nil) != (p.Total != nil) || p.Total != nil && p.Total.in("W") != st.Total.Text {
				t.Errorf("%s at %s: %v is said of %v", one.Slug, at.Title(), p.Total, st.Total)
			}
		}
	}
}

func TestThousands(t *testing.T) {
	for n, want := range map[int]string{0: "0", 999: "999", 1000: "1,000", 10000: "10,000", 1234567: "1,234,567"} {
		if got := thousands(n); got != want {
			t.Errorf("%d is written %s", n, got)
		}
	}
	if inNumber(1, "unit") != "1"+nbsp+"unit" || inNumber(0, "unit") != "0"+nbsp+"units" {
		t.Error("one unit, or none, is counted wrongly")
	}
}

// Spellings of one maker's name are one choice, as they are one maker's page.
func TestFinderOfMakers(t *testing.T) {
	var units []*brief
	for _, name := range []string{"gullwort", "Gull Wort", "Gullwort", "Otter & Co.", "Osel", "Ösel"} {
		of := &brief{}
		of.Row.List.Maker, of.Maker.Slug = name, makerSlug(name)
		units = append(units, of)
	}
	var got []string
	for _, c := range finderOf(units).Makers {
		got = append(got, c.Value)
	}
	if want := []string{"Gull Wort", "Gullwort", "Osel", "Otter & Co.", "Ösel"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}
