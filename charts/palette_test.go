package charts

import (
	"io/fs"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"wattsheet/generator/verdict"
	"wattsheet/themes"
)

var property = regexp.MustCompile(`(--[a-z0-9-]+):\s*(#[0-9a-f]{6})`)

// palette reads the colours of a scheme from the theme: the first value of a custom
// property is the light one, and the first inside a dark block the dark one.
func palette(t *testing.T, dark bool) map[string]string {
	t.Helper()
	colours := map[string]string{}
	for _, name := range []string{"style.css", "chart.css"} {
		text, err := fs.ReadFile(themes.Default(), name)
		if err != nil {
			t.Fatal(err)
		}
		css := string(text)
		if dark {
			_, after, found := strings.Cut(css, "prefers-color-scheme: dark")
			if !found {
				t.Fatalf("%s has no dark scheme", name)
			}
			css = after
		}
		for _, m := range property.FindAllStringSubmatch(css, -1) {
			if _, set := colours[m[1]]; !set {
				colours[m[1]] = m[2]
			}
		}
	}
	return colours
}

// luminance is the relative luminance of a colour (WCAG 2.2, definitions).
func luminance(hex string) float64 {
	channel := func(from int) float64 {
		n, err := strconv.ParseUint(hex[from:from+2], 16, 8)
		if err != nil {
			panic(err)
		}
		c := float64(n) / 255
		if c <= 0.04045 {
			return c / 12.92
		}
		return math.Pow((c+0.055)/1.055, 2.4)
	}
	return 0.2126*channel(1) + 0.7152*channel(3) + 0.0722*channel(5)
}

// Names of series are text in their colour: at least 4.5 to 1 on the card (WCAG 2.2,
// 1.4.3). A verdict and a series never share a colour.
func TestPalette(t *testing.T) {
	for _, dark := range []bool{false, true} {
		colours := palette(t, dark)
		used := map[string]string{}
		for _, name := range []string{"--ink", "--met", "--short", "--open", "--series-1", "--series-2", "--series-3", "--series-4", "--series-5", "--series-6"} {
			colour, set := colours[name]
			if !set {
				t.Errorf("dark %v: %s is not set", dark, name)
				continue
			}
			a, b := luminance(colour), luminance(colours["--card"])
			if contrast := (max(a, b) + 0.05) / (min(a, b) + 0.05); contrast < 4.5 {
				t.Errorf("dark %v: %s has a contrast of %.2f on the card", dark, name, contrast)
			}
			if other := used[colour]; other != "" {
				t.Errorf("dark %v: %s and %s share a colour", dark, name, other)
			}
			used[colour] = name
		}
	}
}

// Outside a page a drawing has the theme's light colours.
func TestStandaloneColoursAreTheThemes(t *testing.T) {
	colours := palette(t, false)
	want := map[string]string{"--ink": inkColour, "--soft": softColour, "--line": lineColour, "--card": cardColour,
		"--met": verdictColours[verdict.Met], "--short": verdictColours[verdict.Short], "--open": verdictColours[verdict.Open]}
	for _, s := range styles {
		want[s.custom] = s.colour
	}
	for name, colour := range want {
		if colours[name] != colour {
			t.Errorf("%s is %s in the theme, %s in a drawing that stands alone", name, colours[name], colour)
		}
	}
}
