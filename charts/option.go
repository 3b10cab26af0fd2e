package charts

import (
	"encoding/json"
	"strconv"
	"strings"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"
)

// This file is the only one that knows go-echarts. Its structs are validated and
// turned into a map; what they have no field for is set in the map by patch.
// Functions and colours are names, which chart.js replaces from fixed tables.

// option makes the ECharts option of a layout, in the layout's own units.
func option(l *layout) map[string]any {
	chart := charts.NewScatter()
	chart.SetGlobalOptions(
		charts.WithAnimation(false),
		charts.WithLegendOpts(opts.Legend{Show: opts.Bool(false)}),
		charts.WithGridOpts(opts.Grid{Left: number(l.left), Top: number(l.top), Right: number(l.right), Bottom: number(l.bottom)}),
		charts.WithTooltipOpts(opts.Tooltip{
			Show: opts.Bool(true), Trigger: "item", TriggerOn: "none", Enterable: opts.Bool(true), Formatter: "tip",
		}),
		charts.WithXAxisOpts(xAxis(l)), charts.WithYAxisOpts(yAxis(l)),
	)
	lines, bars := charts.NewLine(), charts.NewCustom()
	for _, k := range l.strokes {
		addClaim(chart, l, k)
	}
	for i := range l.series {
		addLine(lines, l, i)
		addBars(bars, l, i)
		addMarks(chart, l, i)
		addLabels(chart, l, i)
	}
	addLabels(chart, l, -1)
	chart.Overlap(lines, bars)
	chart.Validate()
	return patch(chart.JSON(), l)
}

func xAxis(l *layout) opts.XAxis {
	ends := l.ends()
	return opts.XAxis{
		Type: "log", Inverse: opts.Bool(true), Min: ends[0], Max: ends[1],
		Name: "load / Ω", NameLocation: "middle", NameGap: int(18 + lineHeight*float64(l.rows)),
		SplitLine: &opts.SplitLine{Show: opts.Bool(false)},
		AxisLine:  &opts.AxisLine{Show: opts.Bool(false)},
		AxisLabel: &opts.AxisLabel{Show: opts.Bool(true), Formatter: "load", Color: "--soft", FontSize: fontSize, Margin: 12},
		AxisTick:  &opts.AxisTick{Show: opts.Bool(true), LineStyle: &opts.LineStyle{Color: "--ink"}},
	}
}

func yAxis(l *layout) opts.YAxis {
	return opts.YAxis{
		Type: "value", Min: place(l.scale.low), Max: place(l.scale.high),
		Name: l.view.axis, NameLocation: "end", NameGap: 20,
		SplitLine: &opts.SplitLine{Show: opts.Bool(true), LineStyle: &opts.LineStyle{Color: "--line"}},
		AxisLine:  &opts.AxisLine{Show: opts.Bool(false)},
		AxisLabel: &opts.AxisLabel{Show: opts.Bool(true), Formatter: "value", Color: "--soft", FontSize: fontSize, Margin: 10},
	}
}

// id names a series of the option: its part, and the series or claim it is of.
func id(part string, n int) charts.SeriesOpts {
	return charts.WithSeriesId(part + "-" + strconv.Itoa(n))
}

// addClaim adds one claim as a scatter of one point, whose symbol is the stroke.
func addClaim(chart *charts.Scatter, l *layout, k *stroke) {
	b, ok := l.strokeBox(k)
	if !ok {
		return
	}
	y, _ := l.view.claim(k.claim.ClaimW)
	symbol, height := "rect", 4.2
	if k.claim.Rec.Bridged {
		symbol, height = "path://M0 0h40v2.2h-40zM0 3.8h40v2.2h-40z", 6
	}
	chart.AddSeries("claim", []opts.ScatterData{{Value: []any{place(l.loads[k.load]), place(y), k.n}}},
		id("claim", k.n), charts.WithItemStyleOpts(opts.ItemStyle{Color: "--ink"}),
		charts.WithScatterChartOpts(opts.ScatterChart{Symbol: symbol, SymbolSize: []float64{b.x1 - b.x0, height}}))
}

// addLine adds a series' line; a bridged one gets a core in the ground's colour.
func addLine(chart *charts.Line, l *layout, i int) {
	s := l.series[i]
	var data []opts.LineData
	for _, q := range s.lowest() {
		if r, ok := l.read(q); ok {
			data = append(data, opts.LineData{Value: []any{l.at(q), place(r.y), q.n}})
		}
	}
	if len(data) < 2 {
		return
	}
	add := func(part, colour string, width float32) {
		chart.AddSeries(s.name, data, id(part, i),
			charts.WithLineChartOpts(opts.LineChart{Symbol: "none"}),
			charts.WithLineStyleOpts(opts.LineStyle{Color: colour, Width: width}))
	}
	if s.bridged {
		add("line", s.look().custom, 5)
		add("core", "--card", 2)
	} else {
		add("line", s.look().custom, 2)
	}
}

// addBars adds a series' uprights, and the second outlines of bridged marks.
func addBars(chart *charts.Custom, l *layout, i int) {
	s := l.series[i]
	var data []opts.CustomData
	for _, q := range s.points {
		if r, ok := l.read(q); ok {
			data = append(data, opts.CustomData{Value: []any{l.at(q), place(max(r.low, l.scale.low)), place(r.high), place(r.y), q.n}})
		}
	}
	chart.AddSeries(s.name, data, id("bars", i),
		charts.WithCustomChartOpts(opts.CustomChart{RenderItem: "errorBar"}),
		charts.WithEncodeOpts(opts.Encode{X: 0, Y: []int{1, 2}}),
		charts.WithItemStyleOpts(opts.ItemStyle{Color: s.look().custom}))
}

// addMarks adds a series' marks, those of runs that did not end as planned hollow.
func addMarks(chart *charts.Scatter, l *layout, i int) {
	s := l.series[i]
	x, y := s.look().extent()
	size := charts.WithScatterChartOpts(opts.ScatterChart{
		Symbol:     "path://" + s.look().path(0, 0, 10),
		SymbolSize: []float64{2 * x * markRadius, 2 * y * markRadius},
	})
	var done, hollow []opts.ScatterData
	for _, q := range s.points {
		r, ok := l.read(q)
		if !ok {
			continue
		}
		datum := opts.ScatterData{Value: []any{l.at(q), place(r.y), q.n}}
		if q.done() {
			done = append(done, datum)
		} else {
			hollow = append(hollow, datum)
		}
	}
	if len(done) > 0 {
		chart.AddSeries(s.name, done, id("marks", i), size, charts.WithItemStyleOpts(opts.ItemStyle{Color: s.look().custom, BorderColor: "--card", BorderWidth: 1}))
	}
	if len(hollow) > 0 {
		chart.AddSeries(s.name, hollow, id("hollow", i), size,
			charts.WithItemStyleOpts(opts.ItemStyle{Color: "--card", BorderColor: s.look().custom, BorderWidth: 1.8}))
	}
}

// addLabels adds the texts that stand at a series, or at claims where series is -1.
// Their points are not seen.
func addLabels(chart *charts.Scatter, l *layout, series int) {
	colour, of := "--ink", "claims"
	if series >= 0 {
		colour, of = l.series[series].look().custom, strconv.Itoa(series)
	}
	var data []opts.ScatterData
	for _, name := range l.liveLabels() {
		if name.Series == series {
			data = append(data, opts.ScatterData{Name: name.Text, Value: []any{name.X, name.Y, -1}})
		}
	}
	chart.AddSeries("label", data, charts.WithSeriesId("label-"+of),
		charts.WithScatterChartOpts(opts.ScatterChart{Symbol: "circle", SymbolSize: 1}),
		charts.WithItemStyleOpts(opts.ItemStyle{Color: "transparent"}),
		charts.WithLabelOpts(opts.Label{Show: opts.Bool(true), Position: "inside", Formatter: "label",
			Color: colour, FontSize: fontSize, FontWeight: "600"}))
}

// patch sets what go-echarts has no field for, and drops what it always adds.
func patch(made map[string]any, l *layout) map[string]any {
	text, err := json.Marshal(made)
	if err != nil {
		panic(err) // only for a value that is not finite, and those were left out
	}
	var m map[string]any
	if err := json.Unmarshal(text, &m); err != nil {
		panic(err)
	}
	for _, key := range []string{"color", "title", "toolbox", "legend"} {
		delete(m, key)
	}
	patchAxes(m, l)
	tooltip := m["tooltip"].(map[string]any)
	tooltip["className"], tooltip["confine"], tooltip["transitionDuration"] = "chart-tip", true, 0
	tooltip["backgroundColor"], tooltip["borderColor"], tooltip["borderWidth"] = "--card", "--soft", 1
	tooltip["borderRadius"], tooltip["extraCssText"] = 2, "box-shadow: none"
	for _, s := range m["series"].([]any) {
		patchSeries(s.(map[string]any), l)
	}
	return m
}

func patchAxes(m map[string]any, l *layout) {
	x, y := m["xAxis"].([]any)[0].(map[string]any), m["yAxis"].([]any)[0].(map[string]any)
	x["logBase"] = 2
	x["axisTick"].(map[string]any)["customValues"] = l.loads
	x["axisTick"].(map[string]any)["length"] = 6
	x["axisLabel"].(map[string]any)["customValues"] = l.loads
	x["axisLabel"].(map[string]any)["ticks"] = l.tickTexts() // for the function "load"
	x["nameTextStyle"] = map[string]any{"color": "--soft", "fontSize": fontSize, "fontWeight": "600"}
	y["nameTextStyle"] = map[string]any{"color": "--soft", "fontSize": fontSize, "fontWeight": "600",
		"align": "right", "padding": []float64{0, decimal(l.left - l.titleEnd()), 0, 0}}
	y["interval"] = place(l.scale.step)
	y["axisTick"] = map[string]any{"show": false}
	for _, axis := range []map[string]any{x, y} {
		label := axis["axisLabel"].(map[string]any)
		delete(label, "showMinLabel")
		delete(label, "showMaxLabel")
		delete(axis, "data")
		axis["silent"] = true
	}
}

// layers is how the parts of the drawing lie on each other.
var layers = map[string]int{"claim": 2, "line": 3, "core": 3, "bars": 4, "marks": 5, "hollow": 5, "label": 6}

// patchSeries gives a series its layer, and lets none react by itself: chart.js
// finds the nearest point.
func patchSeries(s map[string]any, l *layout) {
	part, of, _ := strings.Cut(s["id"].(string), "-")
	s["z"] = layers[part]
	s["silent"] = true
	s["clip"] = false
	if s["type"] == "scatter" {
		s["itemStyle"].(map[string]any)["opacity"] = 1 // ECharts takes 0.8
	}
	if part == "marks" || part == "hollow" || part == "claim" {
		s["emphasis"] = map[string]any{"scale": 1.5, "itemStyle": map[string]any{
			"color": s["itemStyle"].(map[string]any)["color"], "borderColor": "--ink", "borderWidth": 1.6,
		}}
	}
	if part == "line" {
		n, _ := strconv.Atoi(of)
		if dash := l.series[n].look().dash; dash != nil {
			s["lineStyle"].(map[string]any)["type"] = dash
		}
	}
	if label, ok := s["label"].(map[string]any); ok && part == "label" {
		label["textBorderColor"], label["textBorderWidth"] = "--card", 4
	}
}
