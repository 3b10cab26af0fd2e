package site

import (
	"bytes"
	"math"
	"os"
	"strings"
	"testing"
)

// sweptRoot is a site whose unit has a filter's corner and slope from one sweep, which is
// published whole, and that is all its captures.
func sweptRoot(t *testing.T) (root, wav string) {
	t.Helper()
	wav = stepsOf(8000, 10, 900, 1./12, func(f float64) float64 { return 1 / math.Sqrt(1+math.Pow(f/80, 4)) })
	specs := specOf("corner", "Hz", "80", "\"corner-high\"\nat_hz = 20\ntolerance = 2") + specOf("slope", "dB/octave", "12", "\"slope\"\nlow_hz = 160\nhigh_hz = 640\nmeasured = 14\npm = 0.1")
	return tiny(t, map[string]string{tinyRecord: tinyFile(t, tinyRecord) + specs + strings.Replace(sweptScale, "recorder", "publish = \"whole\"\nrecorder", 1), tinyCapture: wav}), wav
}

// The page of captures shows what stated figures were read from: the response once, the figure
// with its verdict, a typed figure that disagrees, the file. The unit's page leads there.
func TestCapturesPageOfStatedFigures(t *testing.T) {
	root, wav := sweptRoot(t)
	built(t, root, "public", today)
	file := func(name string) []byte {
		data, err := os.ReadFile(root + "/public/units/ottersprocket-20/" + name)
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	page := string(file("captures/index.html"))
	for _, want := range []string{
		`href="../index.html#spec-corner"`, `id="spec-slope"`, "as its upper corner, 3", "What was typed disagrees.", `href="s01/one.wav"`, "The response has fallen by 3", ">input<",
	} {
		if !strings.Contains(page, want) {
			t.Errorf("the page doesn't have %s", want)
		}
	}
	if n := strings.Count(page, "<figure"); n != 1 {
		t.Errorf("%d drawings of one response", n)
	}
	if !bytes.Equal(file("captures/s01/one.wav"), []byte(wav)) {
		t.Error("the file for download isn't the capture")
	}
	if !strings.Contains(string(file("index.html")), `href="captures/index.html#spec-corner"`) {
		t.Error("the unit's page doesn't lead to the capture")
	}
	if data := string(file("sheet.json")); !strings.Contains(data, `"response"`) || !strings.Contains(data, `"corner-high"`) {
		t.Error("sheet.json doesn't have the response")
	}
}
