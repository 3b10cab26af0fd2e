package site

import (
	"io/fs"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"wattsheet/themes"
)

// luminance is the relative luminance of a colour, #rrggbb (WCAG 2.2, section
// "Terms", relative luminance).
func luminance(t *testing.T, hex string) float64 {
	t.Helper()
	n, err := strconv.ParseUint(strings.TrimPrefix(hex, "#"), 16, 32)
	if err != nil || len(hex) != 7 {
		t.Fatalf("%q is no colour", hex)
	}
	linear := func(c uint64) float64 {
		s := float64(c&0xff) / 255
		if s <= 0.04045 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(n>>16) + 0.7152*linear(n>>8) + 0.0722*linear(n)
}

// contrast is the contrast ratio of two colours (WCAG 2.2, section "Terms",
// contrast ratio).
func contrast(t *testing.T, a, b string) float64 {
	t.Helper()
	x, y := luminance(t, a), luminance(t, b)
	return (math.Max(x, y) + 0.05) / (math.Min(x, y) + 0.05)
}

// TestContrast holds text to 4.5:1 (WCAG 2.2, 1.4.3, level AA) on every ground,
// in the light, the dark and the printed colours.
func TestContrast(t *testing.T) {
	// The definition gives the range of the ratio: 1 to 21.
	if most := contrast(t, "#000000", "#ffffff"); math.Abs(most-21) > 1e-9 {
		t.Fatalf("black on white is %v, want 21", most)
	}
	for name, colours := range palettes(t) {
		for _, text := range []string{"ink", "soft", "link", "met", "short", "open", "none", "series-1", "series-2", "series-3", "series-4"} {
			for _, ground := range []string{"paper", "card"} {
				if got := contrast(t, colours[text], colours[ground]); got < 4.5 {
					t.Errorf("%s: --%s on --%s is %.2f:1, want 4.5", name, text, ground, got)
				}
			}
		}
		seen := map[string]string{}
		for _, meaning := range []string{"met", "short", "open", "series-1", "series-2", "series-3", "series-4"} {
			if other := seen[colours[meaning]]; other != "" {
				t.Errorf("%s: --%s and --%s have one colour", name, meaning, other)
			}
			seen[colours[meaning]] = meaning
		}
	}
}

// palettes reads the colours of the default style: the light ones, and those that
// dark screens and print set otherwise.
func palettes(t *testing.T) map[string]map[string]string {
	t.Helper()
	style, err := fs.ReadFile(themes.Default(), "style.css")
	if err != nil {
		t.Fatal(err)
	}
	light, rest, _ := strings.Cut(string(style), "@media (prefers-color-scheme: dark)")
	dark, rest, _ := strings.Cut(rest, "/* ---- The page")
	_, print, found := strings.Cut(rest, "@media print")
	if !found {
		t.Fatal("the style has no print section")
	}
	set := func(css string) map[string]string {
		colours := map[string]string{}
		for _, found := range regexp.MustCompile(`--([a-z0-9-]+): (#[0-9a-f]{6})`).FindAllStringSubmatch(css, -1) {
			colours[found[1]] = found[2]
		}
		return colours
	}
	out := map[string]map[string]string{"light": set(light), "dark": set(dark), "print": set(print)}
	for name, colours := range out {
		if len(colours) < 12 {
			t.Fatalf("only %d colours of %s were found", len(colours), name)
		}
	}
	return out
}

// TestStyleKeepsToThePage: nothing is fetched from elsewhere, nothing moves, and
// nothing casts a shadow.
func TestStyleKeepsToThePage(t *testing.T) {
	style, err := fs.ReadFile(themes.Default(), "style.css")
	if err != nil {
		t.Fatal(err)
	}
	for _, no := range []string{"@import", "url(", "box-shadow", "animation", "transition", "@font-face"} {
		if strings.Contains(string(style), no) {
			t.Errorf("style.css has %s", no)
		}
	}
}
