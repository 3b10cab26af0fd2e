package charts

import (
	"encoding/json"
	"strconv"
	"sync"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"
)

// This file is the only one that knows go-echarts. Its structs are validated and
// turned into a map; what they have no field for is set in the map by patch.
// Functions and colours are names, which chart.js replaces from fixed tables. What
// does not depend on a sheet is made once and kept as JSON: the frame of an option
// by the kinds of its axes, and a series by its part and look. chart.js puts in
// where things lie.

// A kind is what one series of an option looks like.
type kind struct {
	part   string // band, rule, curve, claim, line, core, bars, marks, bare, hollow, label
	style  int    // -1 where the part is of no series
	double bool   // bridged, a strong band, or a broken curve
}

// kept holds what was made, by kind or by kinds of axes.
var kept sync.Map

// keep returns what was made for a key as the inside of a JSON object, made where
// it is the first time.
func keep(key any, make func() map[string]any) string {
	if made, ok := kept.Load(key); ok {
		return made.(string)
	}
	text, err := json.Marshal(make())
	if err != nil {
		panic(err) // only for a value that is not finite, and there is none
	}
	inside := string(text[1 : len(text)-1])
	kept.Store(key, inside)
	return inside
}

// writeOption writes the ECharts option of a plot, without what the views give.
func writeOption(w *script, p *plot) {
	axes := [3]bool{p.x.log, p.x.tens, p.views[0].log}
	w.raw("{").raw(keep(axes, func() map[string]any { return frameOption(axes[0], axes[1], axes[2]) })).raw(`,"series":[`)
	one := writer{w, p, 0}
	for _, strong := range []bool{false, true} {
		one.series(kind{"band", -1, strong}, "band", ofRules, p.bandsOf(strong))
	}
	for i := range p.rules {
		one.series(kind{"rule", -1, false}, "rule", i, nil)
	}
	for _, k := range p.strokes {
		one.series(kind{"claim", -1, k.claim.Rec.Bridged}, "claim", k.n, []int{k.n})
	}
	for i, k := range p.curves {
		one.series(kind{"curve", p.series[k.series].styleIndex(), k.broken}, "curve", i, nil)
	}
	for i, s := range p.series {
		one.seriesOf(i, s)
	}
	one.labels(ofClaims, -1)
	one.labels(ofRules, -1)
	w.raw("]}")
}

// bandsOf lists the bands of a strength by their numbers.
func (p *plot) bandsOf(strong bool) []int {
	var all []int
	for i, b := range p.bands {
		if b.strong == strong {
			all = append(all, i)
		}
	}
	return all
}

// A writer writes the series of an option one after the other.
type writer struct {
	*script
	p    *plot
	made int // how many series so far
}

// series writes one series: its part and number, which chart.js knows it by, a number
// that no other has, and the numbers of its points. A band without data is left out.
func (w *writer) series(k kind, part string, n int, data []int) {
	if part == "band" && data == nil {
		return
	}
	w.comma(w.made)
	w.made++
	w.raw("{").raw(keep(k, func() map[string]any { return seriesOption(k) }))
	w.raw(`,"id":"`).raw(part).raw(".").count(n).raw(".").count(w.made).raw(`","data":[`)
	for i, each := range data {
		w.comma(i).count(each)
	}
	w.raw("]}")
}

// seriesOf writes a series' lines, uprights, marks and names; a bridged line gets a
// core in the ground's colour.
func (w *writer) seriesOf(i int, s *series) {
	look := s.styleIndex()
	for _, join := range s.joins {
		if len(join) < 2 {
			continue
		}
		w.series(kind{"line", look, s.bridged}, "line", i, numbersOf(join))
		if s.bridged {
			w.series(kind{"core", -1, false}, "core", i, numbersOf(join))
		}
	}
	if s.bare {
		w.series(kind{"bare", look, false}, "marks", i, numbersOf(s.points))
		w.labels(i, look)
		return
	}
	w.series(kind{"bars", look, false}, "bars", i, numbersOf(s.points))
	var done, hollow []*point
	for _, q := range s.points {
		if q.hollow {
			hollow = append(hollow, q)
		} else {
			done = append(done, q)
		}
	}
	if done != nil {
		w.series(kind{"marks", look, false}, "marks", i, numbersOf(done))
	}
	if hollow != nil {
		w.series(kind{"hollow", look, false}, "hollow", i, numbersOf(hollow))
	}
	w.labels(i, look)
}

func (w *writer) labels(of, look int) { w.series(kind{"label", look, false}, "label", of, nil) }

func numbersOf(points []*point) []int {
	all := make([]int, 0, len(points))
	for _, q := range points {
		all = append(all, q.n)
	}
	return all
}

// frameOption is all of an option but its series.
func frameOption(logX, tensX, logY bool) map[string]any {
	chart := charts.NewScatter()
	chart.SetGlobalOptions(
		charts.WithAnimation(false),
		charts.WithLegendOpts(opts.Legend{Show: opts.Bool(false)}),
		charts.WithTooltipOpts(opts.Tooltip{
			Show: opts.Bool(true), Trigger: "item", TriggerOn: "none", Enterable: opts.Bool(true), Formatter: "tip",
		}),
		charts.WithXAxisOpts(xAxis(logX, tensX)), charts.WithYAxisOpts(yAxis(logY)),
	)
	chart.Validate()
	m := plainMap(chart.JSON())
	for _, key := range []string{"color", "title", "toolbox", "legend", "series"} {
		delete(m, key)
	}
	patchAxes(m, logX) // of tens the base is what ECharts takes
	tooltip := m["tooltip"].(map[string]any)
	tooltip["className"], tooltip["confine"], tooltip["transitionDuration"] = "chart-tip", true, 0
	tooltip["backgroundColor"], tooltip["borderColor"], tooltip["borderWidth"] = "--card", "--soft", 1
	tooltip["borderRadius"], tooltip["extraCssText"] = 2, "box-shadow: none"
	return m
}

func xAxis(log, tens bool) opts.XAxis {
	return opts.XAxis{
		Type: axisType(log || tens), Inverse: opts.Bool(log), NameLocation: "middle",
		SplitLine: &opts.SplitLine{Show: opts.Bool(false)},
		AxisLine:  &opts.AxisLine{Show: opts.Bool(false)},
		AxisLabel: &opts.AxisLabel{Show: opts.Bool(true), Formatter: "place", Color: "--soft", FontSize: fontSize, Margin: 10},
		AxisTick:  &opts.AxisTick{Show: opts.Bool(true), LineStyle: &opts.LineStyle{Color: "--ink"}},
	}
}

func axisType(log bool) string {
	if log {
		return "log"
	}
	return "value"
}

func yAxis(log bool) opts.YAxis {
	return opts.YAxis{
		Type: axisType(log), NameLocation: "end", NameGap: 20,
		SplitLine: &opts.SplitLine{Show: opts.Bool(true), LineStyle: &opts.LineStyle{Color: "--line"}},
		AxisLine:  &opts.AxisLine{Show: opts.Bool(false)},
		AxisLabel: &opts.AxisLabel{Show: opts.Bool(true), Formatter: "value", Color: "--soft", FontSize: fontSize, Margin: 10},
	}
}

// seriesOption is a series without its name and data.
func seriesOption(k kind) map[string]any {
	colour, look := "--ink", styles[max(k.style, 0)]
	if k.style >= 0 {
		colour = look.custom
	}
	scatter, line, custom := charts.NewScatter(), charts.NewLine(), charts.NewCustom()
	stroke := func(colour string, width float32) {
		line.AddSeries("", []opts.LineData{}, charts.WithLineChartOpts(opts.LineChart{Symbol: "none"}),
			charts.WithLineStyleOpts(opts.LineStyle{Color: colour, Width: width}))
	}
	mark := func(symbol string, size any, style opts.ItemStyle) {
		scatter.AddSeries("", []opts.ScatterData{}, charts.WithScatterChartOpts(opts.ScatterChart{Symbol: symbol, SymbolSize: size}), charts.WithItemStyleOpts(style))
	}
	x, y := look.extent()
	size, outline := []float64{2 * x * markRadius, 2 * y * markRadius}, "path://"+look.path(0, 0, 10)
	switch k.part {
	case "band":
		opacity, _ := strconv.ParseFloat(band{strong: k.double}.opacity(), 32)
		custom.AddSeries("", []opts.CustomData{}, charts.WithCustomChartOpts(opts.CustomChart{RenderItem: "band"}),
			charts.WithItemStyleOpts(opts.ItemStyle{Color: colour, Opacity: opts.Float(float32(opacity))}))
	case "bars":
		custom.AddSeries("", []opts.CustomData{}, charts.WithCustomChartOpts(opts.CustomChart{RenderItem: "errorBar"}),
			charts.WithEncodeOpts(opts.Encode{X: 0, Y: []int{1, 2}}), charts.WithItemStyleOpts(opts.ItemStyle{Color: colour}))
	case "rule":
		stroke(colour, 1.2)
	case "curve":
		stroke(colour, 1)
	case "core":
		stroke("--card", 2)
	case "line":
		stroke(colour, map[bool]float32{true: 5, false: 2}[k.double])
	case "claim":
		if k.double {
			mark("path://M0 0h40v2.2h-40zM0 3.8h40v2.2h-40z", []float64{20, 6}, opts.ItemStyle{Color: colour})
		} else {
			mark("rect", []float64{20, 4.2}, opts.ItemStyle{Color: colour})
		}
	case "marks":
		mark(outline, size, opts.ItemStyle{Color: colour, BorderColor: "--card", BorderWidth: 1})
	case "bare":
		mark("circle", 2*markRadius, opts.ItemStyle{Color: "transparent", BorderColor: "transparent"})
	case "hollow":
		mark(outline, size, opts.ItemStyle{Color: "--card", BorderColor: colour, BorderWidth: 1.8})
	case "label":
		scatter.AddSeries("", []opts.ScatterData{}, charts.WithScatterChartOpts(opts.ScatterChart{Symbol: "circle", SymbolSize: 1}),
			charts.WithItemStyleOpts(opts.ItemStyle{Color: "transparent"}),
			charts.WithLabelOpts(opts.Label{Show: opts.Bool(true), Position: "inside", Formatter: "label",
				Color: colour, FontSize: fontSize, FontWeight: "600"}))
	}
	scatter.Overlap(line, custom)
	scatter.Validate()
	s := plainMap(scatter.JSON())["series"].([]any)[0].(map[string]any)
	patchSeries(s, k)
	return s
}

// plainMap turns the structs in a map into maps.
func plainMap(made map[string]any) map[string]any {
	text, err := json.Marshal(made)
	if err != nil {
		panic(err) // only for a value that is not finite, and there is none
	}
	var m map[string]any
	if err := json.Unmarshal(text, &m); err != nil {
		panic(err)
	}
	return m
}

// patchAxes sets what go-echarts has no field for, and drops what it always adds.
func patchAxes(m map[string]any, logX bool) {
	x, y := m["xAxis"].([]any)[0].(map[string]any), m["yAxis"].([]any)[0].(map[string]any)
	if logX {
		x["logBase"] = 2
	}
	x["axisTick"].(map[string]any)["length"] = 6
	x["axisLine"].(map[string]any)["onZero"] = false // ECharts puts ticks where figures are 0
	x["axisLabel"].(map[string]any)["lineHeight"] = lineHeight
	for _, axis := range []map[string]any{x, y} {
		axis["nameTextStyle"] = map[string]any{"color": "--soft", "fontSize": fontSize, "fontWeight": "600"}
		label := axis["axisLabel"].(map[string]any)
		delete(label, "showMinLabel")
		delete(label, "showMaxLabel")
		delete(axis, "data")
		axis["silent"] = true
	}
	y["nameTextStyle"].(map[string]any)["align"] = "right"
	y["axisTick"] = map[string]any{"show": false}
}

// layers is how the parts of the drawing lie on each other.
var layers = map[string]int{"band": 0, "rule": 1, "curve": 2, "claim": 2, "line": 3, "core": 3, "bars": 4, "marks": 5, "bare": 5, "hollow": 5, "label": 6}

// patchSeries gives a series its layer, and lets none react by itself: chart.js
// finds the nearest point.
func patchSeries(s map[string]any, k kind) {
	for _, key := range []string{"id", "name", "data"} {
		delete(s, key)
	}
	s["z"], s["silent"], s["clip"] = layers[k.part], true, false
	if s["type"] == "scatter" {
		s["itemStyle"].(map[string]any)["opacity"] = 1 // ECharts takes 0.8
	}
	switch k.part {
	case "marks", "hollow", "claim":
		s["emphasis"] = map[string]any{"scale": 1.5, "itemStyle": map[string]any{
			"color": s["itemStyle"].(map[string]any)["color"], "borderColor": "--ink", "borderWidth": 1.6,
		}}
	case "bare":
		s["emphasis"] = map[string]any{"itemStyle": map[string]any{"color": colourOf(k), "borderColor": "--card", "borderWidth": 1}}
	case "curve":
		if k.double {
			s["lineStyle"].(map[string]any)["type"] = brokenCurve
		}
	case "line":
		if dash := styles[k.style].dash; dash != nil {
			s["lineStyle"].(map[string]any)["type"] = dash
		}
	case "label":
		label := s["label"].(map[string]any)
		label["textBorderColor"], label["textBorderWidth"] = "--card", 4
	}
}

func colourOf(k kind) string { return styles[max(k.style, 0)].custom }

// brokenCurve is the dash of a load line that does not fit.
var brokenCurve = []int{3, 5}
