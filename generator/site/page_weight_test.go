package site

import (
	"bytes"
	"compress/gzip"
	"regexp"
	"slices"
	"strings"
	"testing"

	"wattsheet/testdata/lifetime"
)

// zipped is how many bytes a text takes on the way to a reader.
func zipped(t *testing.T, texts ...[]byte) int {
	t.Helper()
	n := 0
	for _, text := range texts {
		var b bytes.Buffer
		w, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write(text); err != nil {
			t.Fatal(err)
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		n += b.Len()
	}
	return n
}

// The most that pages may weigh, in bytes. The first is about what a server sends before
// it waits for an answer (ten segments, RFC 6928); the others are ours.
const (
	toFirstChart   = 14_000  // of a unit's page, compressed
	unitPageWeight = 40_000  // compressed
	ownScripts     = 20_000  // compressed
	anyPageWeight  = 100_000 // compressed, with styles and scripts
	derivationsRaw = 400_000 // of a unit of 30 runs and 8 claims
)

// TestPagesAreLight: the weight of each unit's pages, without pictures and the chart
// library, for the demo.
func TestPagesAreLight(t *testing.T) {
	s, outputs := demo()
	weigh(t, s, outputs)
}

// TestLifetimePagesAreLight: the same for a unit of 30 runs and 8 claims, with all that
// its derivations weigh.
func TestLifetimePagesAreLight(t *testing.T) {
	root := t.TempDir()
	if err := lifetime.Write(root, 1); err != nil {
		t.Fatal(err)
	}
	s, problems, err := Load(root, today)
	if err != nil || problems.Errors() {
		t.Fatal(err, problems)
	}
	outputs, problems, err := s.Outputs()
	if err != nil || problems.Errors() {
		t.Fatal(err, problems)
	}
	weigh(t, s, outputs)
	if runs, claims := len(s.Sheets[0].Runs), len(s.Sheets[0].Claims); runs != 30 || claims != 8 {
		t.Errorf("the unit has %d runs and %d claims, want 30 and 8", runs, claims)
	}
	for _, o := range outputs {
		if strings.HasSuffix(o.Path, "/"+derivationName+"/index.html") && len(o.Bytes) > derivationsRaw {
			t.Errorf("%s has %d bytes, want at most %d", o.Path, len(o.Bytes), derivationsRaw)
		}
	}
}

func weigh(t *testing.T, s *Site, outputs []Output) {
	t.Helper()
	heaviest := 0
	for _, o := range outputs {
		if !strings.HasSuffix(o.Path, ".html") {
			continue
		}
		if n := zipped(t, linked(o, outputs, ".js")...); n > ownScripts {
			t.Errorf("the scripts of %s weigh %d bytes, want at most %d", o.Path, n, ownScripts)
		}
	}
	for _, sh := range s.Sheets {
		for _, o := range outputs {
			if !strings.HasPrefix(o.Path, "units/"+sh.Slug+"/") || !strings.HasSuffix(o.Path, ".html") {
				continue
			}
			n := zipped(t, o.Bytes)
			shared := slices.Concat(linked(o, outputs, ".js"), linked(o, outputs, ".css"))
			if len(shared) < 2 {
				t.Errorf("%s has %d styles and scripts", o.Path, len(shared))
			}
			assets := zipped(t, shared...)
			if assets+n > anyPageWeight {
				t.Errorf("%s weighs %d bytes with styles and scripts, want at most %d", o.Path, assets+n, anyPageWeight)
			}
			if o.Path != "units/"+sh.Slug+"/index.html" {
				continue
			}
			if heaviest = max(heaviest, n); n > unitPageWeight {
				t.Errorf("%s weighs %d bytes, want at most %d", o.Path, n, unitPageWeight)
			}
			if top, _, chart := bytes.Cut(o.Bytes, []byte(`<figure class="chart"`)); chart && zipped(t, top) > toFirstChart {
				t.Errorf("%s reaches its first chart after %d bytes, want at most %d", o.Path, zipped(t, top), toFirstChart)
			}
		}
	}
	t.Logf("the heaviest unit's page weighs %d bytes", heaviest)
}

// assetLink matches where a page names a style or a script.
var assetLink = regexp.MustCompile(`(?:src|href)="(?:\.\./)*(assets/[^"]+)"`)

// linked are the bytes of the styles or scripts that a page links to, but for the chart
// library, which comes when a chart is seen.
func linked(page Output, outputs []Output, ext string) (out [][]byte) {
	for _, m := range assetLink.FindAllSubmatch(page.Bytes, -1) {
		for _, o := range outputs {
			if o.Path == string(m[1]) && strings.HasSuffix(o.Path, ext) && !strings.Contains(o.Path, "echarts") {
				out = append(out, o.Bytes)
			}
		}
	}
	return out
}
