package site

import (
	"encoding/json"
	"fmt"
	"regexp"
	"strings"
	"testing"

	"golang.org/x/net/html"
)

// dataIn is the JSON that a script of data holds, behind its last assignment.
func dataIn(t *testing.T, text string, into any) {
	t.Helper()
	_, object, found := strings.Cut(text, `] = `)
	if !found {
		_, object, _ = strings.Cut(text, "wattsheet.list = ")
	}
	d := json.NewDecoder(strings.NewReader(object))
	d.UseNumber()
	if err := d.Decode(into); err != nil {
		t.Fatal(err)
	}
}

// amountIn is how an amount of the index reads with its unit: "(208.3 ± 4.4) W"; empty for 0.
func amountIn(v any, unit string) string {
	text, there := v.(string)
	if !there {
		return ""
	}
	text = strings.TrimSuffix(text, "?")
	if value, u, both := strings.Cut(text, "|"); both {
		text = "(" + value + " ± " + u + ")"
	}
	return text + " " + unit
}

func intIn(v any) int { n, _ := v.(json.Number).Int64(); return int(n) }

// The index for scripts, as indexRow and indexClaim describe it, has the figures of sheet.json:
// the best run's, the means', the claims', their counts, and the price.
func TestIndexReadsBack(t *testing.T) {
	_, outputs := demo()
	files := map[string]string{}
	for _, o := range outputs {
		files[o.Path] = string(o.Bytes)
	}
	var head indexHead
	dataIn(t, files[indexName], &head)
	var rows [][]any
	for _, part := range head.Parts {
		var some [][]any
		dataIn(t, files[dataFolder+"/"+part[0]], &some)
		rows = append(rows, some...)
	}
	if len(rows) != head.Count || len(rows) < 10 {
		t.Fatalf("%d rows of %d", len(rows), head.Count)
	}
	line := &readback{count: map[string]int{}}
	var points []linePoint
	for _, row := range rows {
		points = append(points, indexRowReadsBack(t, &head, row, files["units/"+row[0].(string)+"/sheet.json"])...)
	}
	line.onOneScale(points)
	for _, wrong := range line.wrong {
		t.Error(wrong)
	}
}

func indexRowReadsBack(t *testing.T, head *indexHead, row []any, sheet string) (points []linePoint) {
	t.Helper()
	at := row[0].(string)
	var file struct {
		fileSheet
		Unit struct {
			Maker, Model string
			Price        json.Number
		}
		Runs []struct {
			fileRun
			Method, Outcome string
			Valid           bool
		}
	}
	if err := json.Unmarshal([]byte(sheet), &file); err != nil {
		t.Fatal(at, err)
	}
	own := &readback{figures: map[string]bool{}, count: map[string]int{}}
	own.readFile(generic(t, []byte(sheet)))
	same := func(what, said, want string) {
		if said != want {
			t.Errorf("%s, %s: the index says %q, sheet.json gives %q", at, what, said, want)
		}
	}
	same("maker", head.Makers[intIn(row[1])], file.Unit.Maker)
	same("model", row[2].(string), file.Unit.Model)
	if file.Unit.Price != "" && floatOf(row[8].(json.Number)) != floatOf(file.Unit.Price) {
		t.Errorf("%s: the price is %v", at, row[8])
	}
	best := fileRun{}
	for _, r := range file.Runs {
		if r.Valid && r.Outcome == "completed" && r.Method == head.Methods[0][0] && r.Total != nil &&
			(best.Total == nil || ratOf(r.Total.Value).Cmp(ratOf(best.Total.Value)) > 0) {
			best = r.fileRun
		}
	}
	same("power", amountIn(row[11], "W"), best.Total.text())
	same("efficiency", amountIn(row[14], "%"), best.Efficiency.text())
	if said := amountIn(row[13], "W/"+head.Currency); said != "" {
		over := func(n json.Number) json.Number {
			return json.Number(ratOf(n).Quo(ratOf(n), ratOf(file.Unit.Price)).FloatString(15))
		}
		same("power for money", said, (&fileFigure{Value: over(best.Total.Value), Expanded: over(best.Total.Expanded), Unit: "W/" + head.Currency}).text())
	}
	for list := row[15].([]any); len(list) >= 4; list = list[4:] {
		for i, unit := range []string{"W", "%"} {
			if said := amountIn(list[2+i], unit); said != "" && !own.figures[said] {
				t.Errorf("%s: %s at a load is no figure of sheet.json", at, said)
			}
		}
	}
	counts := map[string]int{}
	for _, c := range file.Claims {
		counts[c.Verdict]++
	}
	for list := row[9].([]any); len(list) >= 2; list = list[2:] {
		counts[head.Verdicts[intIn(list[0])][0]] -= intIn(list[1])
	}
	for word, n := range counts {
		if n != 0 {
			t.Errorf("%s: %d more claims are %s in sheet.json", at, n, word)
		}
	}
	if len(row) > 16 {
		points = indexClaimReadsBack(t, head, at, row[16].([]any), file.Claims)
	}
	return points
}

// indexClaimReadsBack compares the leading claim, and says what its line draws.
func indexClaimReadsBack(t *testing.T, head *indexHead, at string, said []any, claims []fileClaim) []linePoint {
	t.Helper()
	for _, c := range claims {
		if c.ID != said[0].(string) {
			continue
		}
		v := head.Verdicts[intIn(said[2])]
		if v[0] != c.Verdict || v[1] != c.Word || said[3].(string) != string(c.Stated.PowerW) {
			t.Errorf("%s, %s: %v", at, c.ID, said)
		}
		if mean := amountIn(said[5], "W"); mean != "" && mean != c.weakest().text() {
			t.Errorf("%s, %s: mean %s, %s in sheet.json", at, c.ID, mean, c.weakest().text())
		}
		strokes, _ := said[9].([]any)
		claim := floatOf(c.Stated.PowerW)
		place := func(i int) float64 { return floatOf(strokes[i].(json.Number)) / 100 }
		points := []linePoint{{"limit", floatOf(c.LimitW) / claim, place(0)}}
		if f := c.weakest(); len(strokes) > 2 && intIn(strokes[1]) == 0 {
			points = append(points, linePoint{"mean", floatOf(f.Value) / claim, place(2)})
		}
		return points
	}
	t.Errorf("%s: sheet.json has no claim %v", at, said[0])
	return nil
}

// Embeds show the charts of the sheet's page, stroke by stroke, and lines of its claims to scale.
func TestEmbedsDrawThePagesCharts(t *testing.T) {
	s, outputs := demo()
	strokes := regexp.MustCompile(` (d|x|y|x1|x2|y1|y2|cx|cy|r|width|height)="[^"]*"`)
	drawn := func(n *html.Node) string {
		var b strings.Builder
		if err := html.Render(&b, n); err != nil {
			t.Fatal(err)
		}
		return fmt.Sprint(strokes.FindAllString(b.String(), -1))
	}
	compared, lines := 0, 0
	for _, sh := range s.Sheets {
		files := unitFiles(outputs, sh.Slug)
		page := parse(t, []byte(files["index.html"]))
		for _, figure := range queryAll(page, "figure.chart") {
			id := strings.TrimPrefix(attr(figure, "id"), "chart-")
			doc := parse(t, []byte(files["embed/"+id+"/index.html"]))
			if a, b := queryAll(figure, "svg.still-tall"), queryAll(doc, "svg.still-tall"); len(a) != 1 || len(b) != 1 || drawn(a[0]) != drawn(b[0]) {
				t.Errorf("%s: the embed of %s draws something else", sh.Slug, id)
			}
			compared++
		}
		var file fileSheet
		if err := json.Unmarshal([]byte(files["sheet.json"]), &file); err != nil {
			t.Fatal(err)
		}
		for _, c := range file.Claims {
			line := &readback{count: map[string]int{}}
			for _, drawing := range queryAll(parse(t, []byte(files["embed/claim-"+c.ID+"/index.html"])), "svg.claim-line") {
				line.onOneScale(line.linePoints(c, drawing))
				lines++
			}
			for _, wrong := range line.wrong {
				t.Errorf("%s, embed of %s: %s", sh.Slug, c.ID, wrong)
			}
		}
	}
	if compared < 40 || lines < 30 {
		t.Errorf("%d charts and %d claim lines were compared", compared, lines)
	}
}
