package site

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"math"
	"os"
	"path"
	"path/filepath"
	"strings"
	"testing"

	"github.com/andybalholm/cascadia"
	"golang.org/x/net/html"

	"wattsheet/generator/capture"
	"wattsheet/generator/publication"
)

const (
	capturesMethod = `
[[method]]
id = "burst"
title = "tone burst"
signal = "burst"
freq_hz = 1000
thdn_pct = 1
burst_ms = 40
every_ms = 400
answers_unstated = true
wording = "Bursts over a lower level."
`
	capturesTables = `
[[run]]
id = "r2"
method = "thd1"
load = "four"
capture = "c02"
capture_as = "steps"
at = 2026-05-04T11:00:00+02:00

[[run]]
id = "r3"
method = "burst"
load = "four"
capture = "c03"
at = 2026-05-04T12:00:00+02:00
%s
[[capture]]
id = "c02"
file = "two.wav"
channel = [ { column = 1, role = "out", scale = 40, scale_pct = 0.5 } ]

[[capture]]
id = "c03"
file = "three.csv"
rate_hz = 8000
publish = "whole"
channel = [ { column = 1, role = "out", scale = 1, scale_pct = 0.5 }, { column = 2, role = "supply_v", scale = 1, scale_pct = 0.5 } ]
`
)

// stepsWAV rises by 1.5 dB each 0.8 s and is cut at 28 V.
func stepsWAV() string {
	return wavOf(8000, samples(8000, 12.8, func(t float64) float64 {
		peak := 30 * math.Pow(10, (math.Floor(t/0.8)-13)*1.5/20)
		return math.Max(-28, math.Min(28, peak*math.Sin(2*math.Pi*1000.3*t))) / 40
	}))
}

// burstsCSV has bursts of 40 ms each 0.4 s that pull the supply down by 0.5 V.
func burstsCSV() string {
	var b strings.Builder
	b.WriteString("out,supply\n")
	for i := range 12800 {
		t := float64(i) / 8000
		level, supply := 2.0, 14.4
		if at := math.Mod(t, 0.4); at >= 0.1 && at < 0.14 {
			level, supply = 25, 13.9
		}
		fmt.Fprintf(&b, "%.4f,%.3f\n", level*math.Sin(2*math.Pi*1000*t), supply)
	}
	return b.String()
}

// capturesFiles are those of a unit with a steady tone, steps and bursts; hold stands in
// the last run.
func capturesFiles(t *testing.T, hold string) map[string]string {
	t.Helper()
	folder := path.Dir(tinyCapture) + "/"
	return map[string]string{
		tinyRecord:             withRun(t, "capture = \"c01\"\nfrom_s = 0.5\nto_s = 3.5\nout_v = 20.1\nsupply_v = 13.5\n", fmt.Sprintf(capturesTables, hold)+tinyScale),
		"content/methods.toml": tinyFile(t, "content/methods.toml") + capturesMethod,
		tinyCapture:            steadyWAV(), folder + "two.wav": stepsWAV(), folder + "three.csv": burstsCSV(),
	}
}

// outputsOf are the files of a site by path.
func capturesSite(t *testing.T, root string) map[string][]byte {
	t.Helper()
	outputs, problems, err := loaded(t, root).Outputs()
	if err != nil || len(problems) > 0 {
		t.Fatal(err, problems)
	}
	all := map[string][]byte{}
	for _, o := range outputs {
		all[o.Path] = o.Bytes
	}
	return all
}

func find(n *html.Node, selector string) []*html.Node {
	return cascadia.QueryAll(n, cascadia.MustCompile(selector))
}

const capturesAt = "units/ottersprocket-20/captures/"

// The page says what was recorded and what came of it, and each file that it offers is
// there with the digest that it states.
func TestCapturesPage(t *testing.T) {
	root := tiny(t, capturesFiles(t, ""))
	all := capturesSite(t, root)
	page := parse(t, all[capturesAt+"index.html"])
	text := content(page)
	for _, want := range []string{
		"Captures of Ottersprocket 20", "Read from capture c01, 0.5 to 3.5 s, as a steady tone.", "a tone whose level rises in steps", "bursts of a tone",
		"A typed reading disagrees. Supply voltage was typed as", "The typed reading agrees with the capture", "Excerpt, 1.500 to 2.500 s",
		"WAV, 49 kB, columns 1, 2 and 3 as recorded", "The whole capture (CSV, ", "0.5 %, by divider", "0.5 A ± 0.05 A", "Bursts of run r3",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the page doesn't say %q", want)
		}
	}
	links := 0
	for _, file := range find(page, ".capture-file") {
		href := attr(find(file, "a")[0], "href")
		data := all[capturesAt+href]
		sum := sha256.Sum256(data)
		if len(data) == 0 || content(find(file, "code")[0]) != hex.EncodeToString(sum[:]) {
			t.Errorf("%s: %d bytes, digest %x", href, len(data), sum)
		}
		links++
	}
	if links != 3 {
		t.Errorf("%d files", links)
	}
	ids := map[string]bool{}
	for _, f := range find(page, "figure.chart") {
		ids[attr(f, "id")] = true
	}
	for _, id := range []string{"wave-r1", "supply-r1", "current-r1", "spectrum-r1", "sweep-r2", "wave-r2", "spectrum-r2", "wave-r3", "supply-r3"} {
		if !ids["chart-"+id] || !bytes.Contains(all[capturesAt+"charts.js"], []byte(`"chart-`+id+`": `)) {
			t.Errorf("no chart %s", id)
		}
	}
	unit := parse(t, all["units/ottersprocket-20/index.html"])
	for _, run := range []string{"r1", "r2", "r3"} {
		if len(find(unit, `a[href="captures/index.html#run-`+run+`"]`)) == 0 || len(find(page, "#run-"+run)) == 0 {
			t.Errorf("the unit's page doesn't lead to the capture of run %s", run)
		}
	}
	for _, file := range []string{"c01/r1.wav", "c02/r2.wav", "c03/three.csv"} {
		if !strings.Contains(string(all["data/"+capturesSums]), "../"+capturesAt+file) {
			t.Errorf("data/%s doesn't list %s", capturesSums, file)
		}
	}
}

// An excerpt has the very samples of the capture, of the columns that are stated, within
// what its run was read from.
func TestExcerptIsTheCapture(t *testing.T) {
	all := capturesSite(t, tiny(t, capturesFiles(t, "")))
	read := func(data []byte) *capture.Memory {
		s, err := capture.ReadWAV(bytes.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		m, err := capture.Take(s, 0, math.Inf(1))
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	whole, part := read([]byte(steadyWAV())), read(all[capturesAt+"c01/r1.wav"])
	if part.Seconds() != 1 {
		t.Errorf("%g s", part.Seconds())
	}
	for ch := range 3 {
		for i, x := range part.Samples(ch) {
			if x != whole.Samples(ch)[12000+i] {
				t.Fatalf("channel %d, sample %d: %g, in the capture %g", ch+1, i, x, whole.Samples(ch)[12000+i])
			}
		}
	}
	if string(all[capturesAt+"c03/three.csv"]) != burstsCSV() {
		t.Error("the whole capture isn't the file")
	}
}

// What a held run was read from is nowhere: the files are those of the content without
// it.
func TestHeldCaptureIsNowhere(t *testing.T) {
	held := capturesSite(t, tiny(t, capturesFiles(t, "hold = true\n")))
	files := capturesFiles(t, "")
	record := files[tinyRecord]
	from, to := strings.Index(record, "[[run]]\nid = \"r3\""), strings.Index(record, "[[capture]]\nid = \"c02\"")
	record = record[:from] + record[to:]
	at, end := strings.Index(record, "[[capture]]\nid = \"c03\""), strings.Index(record, "[[capture]]\nid = \"c01\"")
	files[tinyRecord] = record[:at] + record[end:]
	delete(files, path.Dir(tinyCapture)+"/three.csv")
	without := capturesSite(t, tiny(t, files))
	for name, data := range held {
		if !bytes.Equal(data, without[name]) {
			t.Errorf("%s differs", name)
		}
	}
	if len(held) != len(without) {
		t.Errorf("%d files, without what is held %d", len(held), len(without))
	}
	if held[capturesAt+"index.html"] == nil || held[capturesAt+"c03/three.csv"] != nil {
		t.Error("the page is gone, or what is held is there")
	}
}

// A build that remembers has after each edit what a clean one has: another scale, another
// waveform, another way to publish, a hold.
func TestCapturesAreMadeAgain(t *testing.T) {
	root := tiny(t, capturesFiles(t, ""))
	built(t, root, "public", today)
	folder := path.Dir(tinyCapture) + "/"
	for _, edit := range []struct {
		what string
		make func()
	}{
		{"scale", func() {
			replaceIn(t, root, tinyRecord, "scale = 40, scale_pct = 0.5 } ]", "scale = 41, scale_pct = 0.5 } ]")
		}},
		{"waveform", func() {
			put(t, root, folder+"three.csv", strings.Replace(burstsCSV(), "out,supply", "first,second", 1))
		}},
		{"publish", func() { replaceIn(t, root, tinyRecord, `file = "two.wav"`, "file = \"two.wav\"\npublish = \"no\"") }},
		{"hold", func() { replaceIn(t, root, tinyRecord, `method = "burst"`, "method = \"burst\"\nhold = true") }},
	} {
		edit.make()
		before := tree(t, filepath.Join(root, "public"))
		built(t, root, "public", today)
		after := tree(t, filepath.Join(root, "public"))
		if len(unlike(before, after)) < 2 {
			t.Errorf("%s: nothing was made again", edit.what)
		}
		want := afresh(t, root, today)
		for _, one := range []map[string]string{after, want} {
			delete(one, publication.ManifestName)
		}
		if odd := unlike(after, want); odd != nil {
			t.Errorf("%s: not what a clean build makes: %v", edit.what, odd)
		}
	}
}

// What is too large for hosts isn't published whole, and is told of.
func TestLargeCaptureIsNotWhole(t *testing.T) {
	root := tiny(t, capturesFiles(t, ""))
	f, err := os.OpenFile(filepath.Join(root, path.Dir(tinyCapture), "two.wav"), os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(f.Truncate(largestWhole+1), f.Close()); err != nil { // what stands behind the samples isn't read
		t.Fatal(err)
	}
	replaceIn(t, root, tinyRecord, `file = "two.wav"`, "file = \"two.wav\"\npublish = \"whole\"")
	text, problems := problemsOf(t, root)
	if len(problems) != 1 || !strings.Contains(text, "two.wav has 24.0 MB, and files above 24 MB are not published whole") || !strings.Contains(text, `hint: publish = "excerpt" cuts out`) {
		t.Error(text)
	}
}
