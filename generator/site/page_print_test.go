package site

import (
	"bytes"
	"context"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"wattsheet/generator/sheet"
)

// TestPrintedSheets prints every unit of the demo as a browser does: a sheet is at
// most two A4 pages (210 mm × 297 mm, ISO 216), each with the sheet's number, and
// ends with its mark and the way to the full page.
func TestPrintedSheets(t *testing.T) {
	s, dir := published(t)
	ctx := inBrowser(t)
	for _, sh := range s.Sheets {
		pdf := printed(t, ctx, filepath.Join(dir, "units", sh.Slug, "index.html"))
		boxes := pageBoxes(t, pdf)
		if len(boxes) < 1 || len(boxes) > 2 {
			t.Errorf("%s: printed on %d pages, want one or two", sh.Slug, len(boxes))
		}
		for _, box := range boxes {
			// A point is 1/72 inch; browsers round to whole pixels of 1/96 inch.
			if math.Abs(box[0]-210/25.4*72) > 0.75 || math.Abs(box[1]-297/25.4*72) > 0.75 {
				t.Errorf("%s: a page is %v points, want A4", sh.Slug, box)
			}
		}
		printedText(t, sh, pdf, len(boxes))
	}
}

func printed(t *testing.T, ctx context.Context, file string) []byte {
	t.Helper()
	if err := chromedp.Do(ctx, chromedp.Navigate("file://"+file)); err != nil {
		t.Fatal(err)
	}
	byPage := true
	pdf, err := chromedp.Run(ctx, func(ctx context.Context, target *chromedp.Target) ([]byte, error) {
		answer, err := cdp.Call(ctx, target, page.PrintToPDF, page.PrintToPDFParams{PreferCSSPageSize: &byPage})
		return answer.Data, err
	})
	if err != nil {
		t.Fatal(err)
	}
	return pdf
}

var mediaBox = regexp.MustCompile(`/MediaBox \[0 0 ([0-9.]+) ([0-9.]+)\]`)

// pageBoxes gives the width and height of each page in points: a page of a PDF
// file states them (ISO 32000-1, 7.7.3.3).
func pageBoxes(t *testing.T, pdf []byte) [][2]float64 {
	t.Helper()
	var out [][2]float64
	for _, box := range mediaBox.FindAllSubmatch(pdf, -1) {
		w, err1 := strconv.ParseFloat(string(box[1]), 64)
		h, err2 := strconv.ParseFloat(string(box[2]), 64)
		if err1 != nil || err2 != nil {
			t.Fatalf("%q is no size", box[0])
		}
		out = append(out, [2]float64{w, h})
	}
	return out
}

// printedText reads the pages with pdftotext where there is one.
func printedText(t *testing.T, sh *sheet.Sheet, pdf []byte, pages int) {
	t.Helper()
	reader, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Log("pdftotext is not installed: the pages' text isn't read")
		return
	}
	file := filepath.Join(t.TempDir(), "sheet.pdf")
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	text, err := exec.Command(reader, "-layout", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	read := bytes.Split(bytes.TrimSuffix(text, []byte("\f")), []byte("\f"))
	if len(read) != pages {
		t.Errorf("%s: %d pages have a text, want %d", sh.Slug, len(read), pages)
	}
	for i, p := range read {
		if foot := itoa(i+1) + " of " + itoa(pages); !strings.Contains(string(p), "Sheet "+sh.Number) || !strings.Contains(string(p), foot) {
			t.Errorf("%s: page %d lacks the sheet's number or %q", sh.Slug, i+1, foot)
		}
	}
	all := squeeze(string(text))
	want := []string{sh.Headline, sh.Disclosure, "■ End of sheet " + sh.Number, "/units/" + sh.Slug + "/"}
	for _, c := range sh.Claims {
		want = append(want, c.Word, c.PText)
	}
	for _, w := range want {
		if !strings.Contains(all, squeeze(w)) {
			t.Errorf("%s: %q isn't printed", sh.Slug, w)
		}
	}
}
