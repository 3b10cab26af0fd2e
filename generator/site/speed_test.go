package site

import (
	"html/template"
	"maps"
	"testing"

	"wattsheet/generator/sheet"
	"wattsheet/generator/theme"
	"wattsheet/testdata/lifetime"
)

// The benchmarks make what a site publishes of one unit, of those that the maker of
// large sites makes: 30 runs, 8 claims. An operation is one unit.

// benches is the site of a few such units, once it is loaded.
var benches *binder

func benched(b *testing.B) *binder {
	b.Helper()
	if benches != nil {
		return benches
	}
	root := b.TempDir()
	if err := lifetime.Write(root, 4); err != nil {
		b.Fatal(err)
	}
	s, problems, err := Load(root, today)
	if err != nil || problems.Errors() {
		b.Fatal(err, problems)
	}
	layouts, problems := theme.Default().Layouts()
	if problems != nil {
		b.Fatal(problems)
	}
	assets := map[string]string{"style.css": "assets/style.css", "chart.js": "assets/chart.js"}
	benches = &binder{site: s, layouts: layouts, assets: assets}
	return benches
}

// eachUnit runs a benchmark over the units in turn.
func eachUnit(b *testing.B, run func(bind *binder, s *sheet.Sheet) int) {
	bind := benched(b)
	sheets := bind.site.Sheets
	b.ReportAllocs()
	size, n := 0, 0
	for b.Loop() {
		size += run(bind, sheets[n%len(sheets)])
		n++
	}
	b.ReportMetric(float64(size/n), "B/unit")
}

func BenchmarkNotes(b *testing.B) {
	eachUnit(b, func(bind *binder, s *sheet.Sheet) int {
		text := bind.notesOf(s)
		if text.problems.Errors() {
			b.Fatal(text.problems)
		}
		return len(text.html)
	})
}

// A unit's page and the page of its derivations; then those alone, so that
// the difference is what a page costs beside them.
func BenchmarkUnitPage(b *testing.B) {
	b.Run("all", func(b *testing.B) {
		eachUnit(b, func(bind *binder, s *sheet.Sheet) int {
			size := 0
			for _, k := range []kind{kindPage, kindDerivation, kindBadges} {
				outputs, problems, err := bind.unitOutputs(k, s)
				if err != nil || problems.Errors() {
					b.Fatal(problems, err)
				}
				for _, o := range outputs {
					size += len(o.Bytes)
				}
			}
			return size
		})
	})
	b.Run("derivations", func(b *testing.B) {
		eachUnit(b, func(bind *binder, s *sheet.Sheet) int {
			page := bind.derivationPage(s)
			defer page.late.clear()
			out, problems := bind.render("derivation", "", page)
			if problems.Errors() {
				b.Fatal(problems)
			}
			return len(out.Bytes)
		})
	})
}

// modelsOf catches what the layout of a unit's page is given.
func modelsOf(bind *binder, sheets []*sheet.Sheet) map[*sheet.Sheet]any {
	catching := *bind
	var caught any
	catch := template.FuncMap{"catch": func(model any) string { caught = model; return "" }}
	catching.layouts = maps.Clone(bind.layouts)
	catching.layouts["unit"] = template.Must(template.New("unit").Funcs(catch).Parse(`{{define "page"}}{{catch .}}{{end}}`))
	models := map[*sheet.Sheet]any{}
	for _, s := range sheets {
		catching.unitPage(s)
		models[s] = caught
	}
	return models
}

func BenchmarkUnitLayout(b *testing.B) {
	var models map[*sheet.Sheet]any
	eachUnit(b, func(bind *binder, s *sheet.Sheet) int {
		if models == nil {
			models = modelsOf(bind, bind.site.Sheets)
			b.ResetTimer()
		}
		out, problems := bind.render("unit", "", models[s])
		if problems.Errors() {
			b.Fatal(problems)
		}
		return len(out.Bytes)
	})
}

// The parts of a page that this program writes itself.
func BenchmarkPageParts(b *testing.B) {
	const methodology = "../../methodology/index.html"
	parts := map[string]func(*binder, *sheet.Sheet) int{
		"badges": func(_ *binder, s *sheet.Sheet) int {
			return len(badgeList(s, badges(s), "https://bench.example/units/"+s.Slug+"/"))
		},
		"charts": func(bind *binder, s *sheet.Sheet) int {
			page := unitPage{}
			bind.drawings(&page, "", s)
			return len(page.Chart)
		},
		"claims": func(bind *binder, s *sheet.Sheet) int {
			rows := claimRows(s.Claims, methodology)
			for i, c := range s.Claims {
				rows[i].Evidence = bind.evidenceOf(s, c, methodology, nil)
			}
			return len(rows)
		},
		"runs": func(bind *binder, s *sheet.Sheet) int {
			runs := runTable{s, bind.evidencePictures(s), methodology, watchingOf(s.Record), nil}
			return len(runs.valid()) + len(runs.invalid()) + len(mixed(s))
		},
		"lines": func(_ *binder, s *sheet.Sheet) int { return len(lineRows(s.Lines, methodology)) },
	}
	for _, name := range []string{"badges", "charts", "claims", "runs", "lines"} {
		b.Run(name, func(b *testing.B) { eachUnit(b, parts[name]) })
	}
}
