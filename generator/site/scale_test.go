package site

import (
	"encoding/json"
	"fmt"
	"math"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/andybalholm/cascadia"

	"wattsheet/generator/publication"
	"wattsheet/generator/sheet"
)

// scaledBriefs are the briefs of n units, made of the demo's: each has a slug of its own, another
// power, and one of n/20 makers. The sides are with them.
func scaledBriefs(t testing.TB, n int) (b *binder, briefs []*brief, sides [][]side) {
	t.Helper()
	s, found, err := Load("../..", today)
	if err != nil || len(found) > 0 {
		t.Fatal(err, found)
	}
	b, found = s.binder(stillOnly(), nil)
	if found.Errors() {
		t.Fatal(found)
	}
	var from []*brief
	var parts [][][]pointPart
	for _, sh := range s.Sheets {
		of := briefOf(sh, s.Ledger(sh.Slug))
		var each [][]pointPart
		for _, p := range of.Points {
			var made []pointPart
			p.Made.into(&made)
			each = append(each, made)
		}
		from, parts = append(from, of), append(parts, each)
	}
	for i := range n {
		of := *from[i%len(from)]
		slug := fmt.Sprintf("unit-%05d", i)
		of.Row.Slug, of.Row.Link = slug, link{unitsFolder + "/" + slug + "/index.html", fmt.Sprint("Unit ", i)}
		of.Maker.Slug, of.Maker.Name = fmt.Sprintf("maker-%d", i%(n/20+1)), fmt.Sprint("Maker ", i%(n/20+1))
		q := math.Pow(10, float64(i*7919%n)/float64(n)-0.5)
		of.Near.TotalW *= exact(q)
		points := slices.Clone(of.Points)
		for j, made := range parts[i%len(from)] {
			scaled := make([]pointPart, len(made))
			for k, p := range made {
				scaled[k] = pointPart{timesWatts(p.Standing, q), p.Claims, p.Price}
			}
			points[j].Made = pack(scaled)
		}
		of.Points = points
		briefs, sides = append(briefs, &of), append(sides, sidesOf(&of))
	}
	return b, briefs, sides
}

// timesWatts is a standing of another power.
func timesWatts(c *sheet.Compact, q float64) *sheet.Compact {
	out := *c
	times := func(l sheet.Levels) (all sheet.Levels) {
		for m := range l {
			for _, x := range l[m] {
				all[m] = append(all[m], x*q)
			}
		}
		return all
	}
	out.TotalW, out.TotalU, out.Watts, out.Errors = c.TotalW*q, c.TotalU*q, times(c.Watts), slices.Clone(c.Errors)
	for i := range out.Errors {
		e := &out.Errors[i]
		for _, l := range []**sheet.Levels{&e.At, &e.Slope} {
			if *l != nil {
				scaled := times(**l)
				*l = &scaled
			}
		}
	}
	return &out
}

// A load's pages have a hundred rows each, all of them once and in the order of the ranks; the
// sitemap has just these pages, and each links to those beside it.
func TestLoadPagesAreCut(t *testing.T) {
	b, briefs, sides := scaledBriefs(t, 900)
	b.site.Content.Site.Address = "https://x.example"
	pages := map[string]bool{}
	for _, p := range b.pages(briefs) {
		if strings.HasPrefix(p.Path, loadsFolder+"/") {
			pages[p.Path] = true
		}
	}
	delete(pages, loadsFolder+"/")
	bounded := 0
	for _, g := range listGroups(briefs, sides) {
		if g.kind != kindLoad {
			continue
		}
		outputs, problems := b.listOutputs(g, nil)
		if problems.Errors() {
			t.Fatal(problems)
		}
		rows, want := 0, 0
		for _, of := range briefs {
			want += len(of.partsAt(ohmsOf(g.member)))
		}
		rank, table := 0, ""
		for n, o := range outputs {
			folder := strings.TrimSuffix(o.Path, "index.html")
			if folder != loadAddress(g.member, n) || kindFor(o.Path) != kindLoad || memberOf(kindLoad, o.Path) != g.member || !pages[folder] {
				t.Errorf("page %d of %s is at %s", n+1, g.member, o.Path)
			}
			delete(pages, folder)
			doc := parse(t, o.Bytes)
			here := len(cascadia.QueryAll(doc, cascadia.MustCompile(".ranked-row, .not-ranked > div")))
			if rows += here; here > unitsOnPage || here < unitsOnPage && n+1 < len(outputs) {
				t.Errorf("%s has %d rows", o.Path, here)
			}
			bounded += strings.Count(string(o.Bytes), sheet.BoundedNote)
			for _, s := range cascadia.QueryAll(doc, cascadia.MustCompile(".by-method")) {
				for _, r := range cascadia.QueryAll(s, cascadia.MustCompile(".ranked:not(.doubtful) .rank")) {
					var first int
					if _, err := fmt.Sscanf(strings.TrimPrefix(content(r), "Rank "), "%d", &first); err != nil {
						t.Fatal(err)
					}
					id := content(cascadia.Query(s, cascadia.MustCompile("h2")))
					if id == table && first+len(briefs)/2 < rank {
						t.Errorf("%s: after rank %d comes %d", o.Path, rank, first)
					}
					rank, table = first, id
				}
			}
			prev, next := cascadia.Query(doc, cascadia.MustCompile("a[rel=prev]")), cascadia.Query(doc, cascadia.MustCompile("a[rel=next]"))
			if (prev != nil) != (n > 0) || (next != nil) != (n+1 < len(outputs)) {
				t.Errorf("%s doesn't lead to those beside it", o.Path)
			}
		}
		if rows != want {
			t.Errorf("%s has %d rows on %d pages, want %d", g.member, rows, len(outputs), want)
		}
	}
	for p := range pages {
		t.Errorf("%s is no page", p)
	}
	if bounded == 0 {
		t.Error("no table was too long for corners")
	}
}

// BenchmarkLists is what ten thousand units cost where nothing changed, or one edit: to group
// what they say, to look whether it is as it was, and to make a page of one.
func BenchmarkLists(b *testing.B) {
	bind, briefs, sides := scaledBriefs(b, 10_000)
	groups := listGroups(briefs, sides)
	was := &entry{Looked: true, Kinds: map[kind]*madeKind{}}
	for _, g := range groups {
		made := publication.RollFor(nil)
		made.Add(string(g.key()), publication.DigestOf([]byte(g.key())))
		was.Kinds[g.key()] = &madeKind{From: g.from, Outputs: made.Roll()}
	}
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	b.Logf("%d groups; with all briefs %d MB are in use", len(groups), before.HeapAlloc>>20)
	size := 0
	for _, of := range briefs {
		data, err := json.Marshal(of)
		if err != nil {
			b.Fatal(err)
		}
		size += len(data)
	}
	b.Logf("%d bytes a brief", size/len(briefs))
	b.Run("near", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			nearUnits(briefs)
		}
	})
	b.Run("groups", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			listGroups(briefs, sides)
		}
	})
	b.Run("fresh", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			for _, g := range groups {
				if !was.freshGroup(g, basis{}) {
					b.Fatal(g.key())
				}
			}
		}
	})
	b.Run("remember", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := json.Marshal(was); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("pages", func(b *testing.B) {
		for b.Loop() {
			bind.pages(briefs)
		}
	})
	for _, k := range []kind{kindNear, kindLoad} {
		g := groups[slices.IndexFunc(groups, func(g *group) bool { return g.kind == k && (k == kindNear || g.member == "4-ohm") })]
		b.Run(string(k), func(b *testing.B) {
			for b.Loop() {
				bind.listOutputs(g, nil)
			}
		})
	}
	runtime.ReadMemStats(&after)
	b.Logf("at the end the heap has %d MB", after.HeapSys>>20)
}
