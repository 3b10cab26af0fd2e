package site

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// oddUnits are honest records as the demo has none: forty channels, a pair that was tried bridged only, names without a
// place to break, a load without a calibration, one claim or run or nothing at all.
func oddUnits() map[string]string {
	forty := func(each string) string { return strings.TrimSuffix(strings.Repeat(each+", ", 40), ", ") }
	var names []string
	for i := range 40 {
		names = append(names, fmt.Sprintf("%q", fmt.Sprint("c", i+1)))
	}
	unit := func(maker, model, channels, more string) string {
		return "[unit]\nmaker = \"" + maker + "\"\nmodel = \"" + model + "\"\nchannels = [" + channels + "]\n" + more + "[source]\nhow = \"bought\"\nfrom = \"a shop\"\n"
	}
	const run = "[[run]]\nid = \"r1\"\nmethod = \"thd1\"\nsupply_v = 14.4\nvideo = \"1:02:03\"\n"
	const video = "[[video]]\nid = \"film\"\ntitle = \"Forty\"\naddress = \"https://videos.example/w/abc\"\n"
	return map[string]string{
		"forty": unit("Ångström & Søn", "Forty/40", strings.Join(names, ", "), "price = 4999.5\nclass = \"D\"\n") +
			"[[claim]]\nid = \"all\"\npower_w = 25\nload_ohm = 4\nchannels = 40\nsupply_v = 14.4\nthdn_pct = 1\nfreq_hz = 1000\nvideo = \"1:00:03\"\n" + video +
			run + "load_ohm = 4\nout_v = [" + forty("10.01") + "]\nthdn_pct = [" + forty("1.0") + "]\nsupply_a = 98.5\n",
		"bridged": unit("Ångström & Søn", "Only bridged", `"L", "R"`, "lowest_ohm = 2\nlowest_bridged_ohm = 4\nprice = 0.99\n") +
			"[[claim]]\nid = \"br\"\npower_w = 0.5\nload_ohm = 4\nchannels = 1\nbridged = true\n" +
			run + "load = \"four\"\ndriven = [\"L+R\"]\nout_v = 1.42\nthdn_pct = 1\nsupply_a = 0.31\n",
		"long": unit("Zwölfzylindergesellschaft", "Modellnamenzusatz Sonderausführung", `"mono"`, "price = 12000\n") +
			"[[claim]]\nid = \"c\"\npower_w = 100\nload_ohm = 8\nchannels = 1\n" +
			run + "load_ohm = 8\nout_v = 28.4\nthdn_pct = 1\nsupply_a = 9.5\n",
		"no-claims": unit("Q", "0", `"L"`, "") + run + "load = \"four\"\nout_v = 12.1\n",
		"no-runs":   unit("Q", "1", `"L", "R"`, "") + "[[claim]]\nid = \"a\"\npower_w = 1e3\nload_ohm = 4\nchannels = 2\n",
		"nothing":   unit("Q", "2", `"L", "R"`, ""),
	}
}

// covered finds texts of the list's rows that lie on one another.
const covered = `[...document.querySelectorAll('.unit')].flatMap((row) => {
  const boxes = [];
  const all = document.createTreeWalker(row, NodeFilter.SHOW_TEXT);
  for (let node; (node = all.nextNode());) {
    if (!node.data.trim() || node.parentElement.closest('svg')) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    for (const r of range.getClientRects()) if (r.width > 1) boxes.push([r, node.data.trim()]);
  }
  return boxes.flatMap(([a, one], i) => boxes.slice(i + 1).filter(([b]) =>
    a.left < b.right - 1 && b.left < a.right - 1 && a.top < b.bottom - 5 && b.top < a.bottom - 5).map(([, two]) => row.id + ': ' + one + ' | ' + two)); })`

// Records as the demo has none make pages that keep to a phone, too, with text twice as large, where no text lies on
// another and axe-core finds nothing wrong.
func TestOddUnitsOnAPhone(t *testing.T) {
	t.Parallel() // beside others that wait for other programs
	script, err := os.ReadFile(tool(t, "axe-core/axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	files := map[string]string{}
	for slug, text := range oddUnits() {
		files["content/units/"+slug+"/record.toml"] = text
	}
	root := tiny(t, files)
	dir := filepath.Join(root, "public")
	if b, err := Build(root, today, dir); err != nil || b.Problems.Errors() {
		t.Fatal(err, b.Problems)
	}
	ctx := inBrowser(t)
	console := listen(ctx)
	for _, page := range htmlPages(t, dir) {
		at := "file://" + dir + "/" + page
		width := int64(320)
		if isEmbed(page) {
			width = 300
		}
		visit(t, ctx, at, "light", width)
		if wide := js[float64](t, ctx, `document.documentElement.scrollWidth`); wide > float64(width) {
			t.Errorf("%s is %v px wide at %d px", page, wide, width)
		}
		for _, text := range js[[]string](t, ctx, outsideInLarge) {
			t.Errorf("%s with text twice as large: outside its box is %s", page, text)
		}
		if said := console.take(); len(said) > 0 {
			t.Errorf("%s: %s", page, strings.Join(said, "\n"))
		}
		if slices.Contains([]string{"index.html", "units/forty/index.html", "units/no-claims/index.html"}, page) {
			isAccessible(t, ctx, at, string(script), width)
			console.take() // axe-core reads what the page's policy doesn't allow
		}
	}
	isAccessible(t, ctx, "file://"+dir+"/units/forty/index.html", string(script), 1280) // label and mark of a claim stand close there
	console.take()
	for _, width := range []int64{320, 390, 768, 1280} {
		for _, hash := range []string{"", "#q=q&sort=name"} { // the rows of the page, and those of its script
			visit(t, ctx, "file://"+dir+"/index.html", "light", width)
			js[bool](t, ctx, `(location.hash = '`+hash+`', new Promise((done) => setTimeout(() => done(true), 300)))`)
			for _, text := range js[[]string](t, ctx, covered) {
				t.Errorf("the list at %d px: %s", width, text)
			}
		}
	}
	if row := js[string](t, ctx, `document.querySelector('#unit-no-claims .unit-claims').textContent`); !strings.HasPrefix(row, "no claims recorded Set beside others") {
		t.Errorf("the row of a unit without claims says %q", row)
	}
	// At my load begins where there is a figure.
	if err := chromedp.Do(ctx, chromedp.Navigate("file://"+dir+"/units/long/index.html")); err != nil {
		t.Fatal(err)
	}
	if said := js[string](t, ctx, `document.querySelector('.at-answer h3').textContent + document.querySelector('[name=coils]:checked').value`); oneBlank(said) != "Single 8 Ω: 8 Ω1x8" {
		t.Errorf("of a unit that was tested at 8 Ω alone, at my load begins with %q", said)
	}
	// What was tried bridged only is asked about bridged first, and says so of a channel.
	if err := chromedp.Do(ctx, chromedp.Navigate("file://"+dir+"/units/bridged/index.html")); err != nil {
		t.Fatal(err)
	}
	answer := func() string {
		return js[string](t, ctx, `document.querySelector('.at-answer').textContent`)
	}
	if said := answer(); !strings.Contains(oneBlank(said), "(0.504 ± 0.017) W") {
		t.Errorf("at my load says first %q", said)
	}
	js[bool](t, ctx, `(document.querySelector('[name=to][value=channel]').click(), true)`)
	if said := answer(); !strings.Contains(said, "It was tested bridged only.") {
		t.Errorf("at my load says of a channel %q", said)
	}
}
