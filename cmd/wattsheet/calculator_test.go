package main

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// A calculator reads an arithmetic expression as explain prints it and does what a
// person with a pocket calculator would: + − · / ^ ² ⁴ √( ) %, 10·lg( ), and F(z; ν)
// and t(p; ν) as from a table. It is written apart from the program, and takes
// Student's t by integrating its density.
type calculator struct {
	text string
	at   int
	// each number as printed may be off by half a unit of its sixth digit: the
	// bump-th one is moved by so much
	numbers, bump int
	dry           bool // only read, without the tables of F and t
	failed        bool
}

// rounding is by how much a printed number of six significant digits may be off.
func rounding(x float64) float64 {
	if x == 0 {
		return 0
	}
	return 0.5 * math.Pow(10, math.Floor(math.Log10(math.Abs(x)))-5)
}

// evaluated computes an expression, and by how much the rounding of its numbers may
// shift the result; ok is false where the text is no expression.
func evaluated(text string) (x, off float64, numbers int, ok bool) {
	run := func(bump int) (float64, int, bool) {
		c := &calculator{text: text, bump: bump}
		x := c.sum()
		c.blanks()
		return x, c.numbers, !c.failed && c.at == len(c.text)
	}
	x, numbers, ok = run(-1)
	for i := range numbers {
		if y, _, fine := run(i); fine {
			off += math.Abs(y - x)
		}
	}
	return x, off, numbers, ok && numbers > 0
}

// readable reports whether a text is an expression.
func readable(text string) bool {
	c := &calculator{text: text, bump: -1, dry: true}
	c.sum()
	c.blanks()
	return !c.failed && c.at == len(c.text) && c.numbers > 0
}

func (c *calculator) blanks() {
	for strings.HasPrefix(c.text[c.at:], " ") {
		c.at++
	}
}

func (c *calculator) took(token string) bool {
	c.blanks()
	if strings.HasPrefix(c.text[c.at:], token) {
		c.at += len(token)
		return true
	}
	return false
}

func (c *calculator) sum() float64 {
	x := c.product()
	for {
		switch {
		case c.took("+ "):
			x += c.product()
		case c.took("− "):
			x -= c.product()
		default:
			return x
		}
	}
}

func (c *calculator) product() float64 {
	x := c.power()
	for {
		switch {
		case c.took("·"):
			x *= c.power()
		case c.took("/"):
			x /= c.power()
		default:
			return x
		}
	}
}

func (c *calculator) power() float64 {
	x := c.atom()
	for {
		switch {
		case c.took("%"):
			x /= 100
		case c.took("²"):
			x *= x
		case c.took("⁴"):
			x *= x * x * x
		case c.took("^"):
			x = math.Pow(x, c.atom())
		default:
			return x
		}
	}
}

var numeral = regexp.MustCompile(`^[-−]?[0-9]+(\.[0-9]+)?(e-?[0-9]+)?`)

func (c *calculator) atom() float64 {
	switch {
	case c.took("√("):
		return math.Sqrt(c.closed())
	case c.took("√"):
		return math.Sqrt(c.atom())
	case c.took("lg("):
		return math.Log10(c.closed())
	case c.took("F("):
		return c.table(studentBelow)
	case c.took("t("):
		return c.table(studentQuantile)
	case c.took("("):
		return c.closed()
	case c.took("∞"):
		return math.Inf(1)
	}
	c.blanks()
	m := numeral.FindString(c.text[c.at:])
	if m == "" {
		c.failed, c.at = true, len(c.text)
		return math.NaN()
	}
	c.at += len(m)
	x, _ := strconv.ParseFloat(strings.ReplaceAll(m, "−", "-"), 64)
	if c.numbers == c.bump {
		x += rounding(x)
	}
	c.numbers++
	return x
}

func (c *calculator) closed() float64 {
	x := c.sum()
	c.failed = c.failed || !c.took(")")
	return x
}

func (c *calculator) table(of func(x, nu float64) float64) float64 {
	x := c.sum()
	c.failed = c.failed || !c.took(";")
	nu := c.closed()
	if c.dry || c.failed {
		return 0
	}
	return of(x, nu)
}

// studentBelow is P(T <= z): the density, from its definition with the gamma
// function, by Simpson's rule.
func studentBelow(z, nu float64) float64 {
	if z > 0 {
		return 1 - studentBelow(-z, nu)
	}
	density := studentDensity(nu)
	const steps = 500
	h, sum := -z/steps, 0.0
	for i := 0; i <= steps; i++ {
		w := 2.0 + 2*float64(i%2)
		if i == 0 || i == steps {
			w = 1
		}
		sum += w * density(z+float64(i)*h)
	}
	return 0.5 - sum*h/3
}

func studentDensity(nu float64) func(t float64) float64 {
	if nu > 1e9 { // the gamma functions' difference drowns; the density is the normal's to 1e-9
		return func(t float64) float64 { return math.Exp(-t*t/2) / math.Sqrt(2*math.Pi) }
	}
	a, _ := math.Lgamma((nu + 1) / 2)
	b, _ := math.Lgamma(nu / 2)
	front := math.Exp(a-b) / math.Sqrt(nu*math.Pi)
	return func(t float64) float64 { return front * math.Exp(-(nu+1)/2*math.Log1p(t*t/nu)) }
}

// studentQuantile finds t by Newton's steps from 0, between which and the quantile
// the distribution function is bent one way only.
func studentQuantile(p, nu float64) float64 {
	density, t := studentDensity(nu), 0.0
	for range 60 {
		step := (p - studentBelow(t, nu)) / density(t)
		if t += step; math.Abs(step) < 1e-10*math.Max(1, math.Abs(t)) {
			break
		}
	}
	return t
}

// A statement is "left = right" in a derivation, where right is a number.
type statement struct{ left, right string }

// statements finds every equation in a derivation's text. What stands left of the
// sign is taken as far back as it is an expression; an equation of which that is
// nothing, such as "u = 0.3", only names its number. What looks like an expression
// but can't be read is returned as odd.
func statements(text string) (found []statement, odd []string) {
	parts := strings.Split(text, " = ")
	for i := 1; i < len(parts); i++ {
		left, right := parts[i-1], leadingExpression(parts[i])
		if right == "" {
			continue
		}
		expression := trailingExpression(left)
		switch {
		case expression != "":
			found = append(found, statement{expression, right})
		case arithmetic.MatchString(left) && !letters.MatchString(arithmetic.FindString(left)):
			odd = append(odd, left+" = "+right)
		}
	}
	return found, odd
}

// arithmetic is what ends as if it were computed, and letters that it is by symbols.
var (
	arithmetic = regexp.MustCompile(`[^ ]*[0-9)²⁴][·/)+−^][^ ]*$`)
	letters    = regexp.MustCompile(`[A-Za-zνΣΔ]`)
	unitAtEnd  = regexp.MustCompile(`[  ](W|V|A|Ω|dB|°C|K|%|l|W/EUR|W/l|W/kg)$`)
)

// trailingExpression is the longest end of a text that can be computed; a unit
// behind it is left out.
func trailingExpression(text string) string {
	text = strings.TrimRight(text, " ")
	text = text[max(0, len(text)-700):]
	if e := longestEnd(text); e != "" {
		return e
	}
	if m := unitAtEnd.FindStringIndex(text); m != nil {
		return longestEnd(text[:m[0]])
	}
	return ""
}

func longestEnd(text string) (longest string) {
	for i := range text {
		if i > 0 && !strings.ContainsRune(" (,:", rune(text[i-1])) {
			continue
		}
		if readable(text[i:]) {
			return text[i:]
		}
	}
	return ""
}

// leadingExpression is the longest beginning of a text that can be computed.
func leadingExpression(text string) (longest string) {
	for i := range text + " " {
		if i == 0 || i < len(text) && !strings.ContainsRune(" ,;\u00a0", rune(text[i])) && !strings.HasPrefix(text[i:], "\u00a0") {
			continue
		}
		if readable(text[:i]) {
			longest = text[:i]
		}
		if i > 700 {
			break
		}
	}
	return longest
}

// recomputed checks every equation of a derivation with its printed numbers, and
// returns how many there were.
func recomputed(t *testing.T, what, text string) int {
	t.Helper()
	text = strings.ReplaceAll(text, "\u00a0", " ")
	found, odd := statements(text)
	for _, o := range odd {
		t.Errorf("%s: can't be followed: …%s", what, o[max(0, len(o)-120):])
	}
	for _, s := range found {
		// a result in % is either a fraction or, of readings in %, the number itself
		if !agree(s.left, s.right) && !agree(s.left, strings.TrimSuffix(s.right, " %")) {
			x, off, _, _ := evaluated(s.left)
			t.Errorf("%s: %s = %s: the printed numbers give %.8g ± %.2g", what, s.left, s.right, x, off)
		}
	}
	return len(found)
}

// agree reports whether two expressions are equal within the rounding of the numbers
// in them; below 1e-9 they need not be.
func agree(left, right string) bool {
	x, off, _, _ := evaluated(left)
	y, offY, _, _ := evaluated(right)
	return math.Abs(x-y) <= 1.01*(off+offY)+1e-9*math.Max(math.Abs(x), 1) || x == y
}

// The calculator against results known from outside: JCGM 100:2008, table G.2 (t for
// 95 %: 2.26 at ν = 9, 1.960 at ∞), Φ(1.4) = 0.9192 (JCGM 106:2012, 7.3, the Zener
// diode, inputs from memory), 4.1.1's V²/R, and decimal arithmetic by hand.
func TestCalculator(t *testing.T) {
	for _, r := range []struct {
		text string
		want float64
	}{
		{"t(0.975; 9)", 2.262157}, {"t(0.975; ∞)", 1.959964}, {"F(1.4; ∞)", 0.9192433}, {"F(-2.262157; 9)", 0.025},
		{"20²/4·(1 + 0.01/4)", 100.25}, {"√(3² + 4²)", 5}, {"(2 + 4 − 3)/3", 1}, {"10·lg(100/150)", -1.7609126},
		{"100 %·69/92", 0.75}, {"85·(1 − 5 %)", 80.75}, {"2^-1·3", 1.5}, {"2⁴/(1⁴/8 + 1⁴/8)", 64}, {"0.0344/√3", 0.01986085}, {"30·1e-6/√3", 1.7320508e-5},
	} {
		x, _, _, ok := evaluated(r.text)
		if !ok || math.Abs(x-r.want) > 6e-7*math.Max(1e-4, math.Abs(r.want)) {
			t.Errorf("%s = %.8g, %v; want %v", r.text, x, ok, r.want)
		}
	}
	found, odd := statements("so u = (0.1 %·14.4 + 2·0.01)/√3 = 0.0344/√3 = 0.0198608 V [x] and y = 3 W, p = 0.05/2 = 0.025, at k·u = 2·3 = 6 W")
	if fmt.Sprint(found, odd) != "[{(0.1 %·14.4 + 2·0.01)/√3 0.0344/√3} {0.0344/√3 0.0198608} {0.05/2 0.025} {2·3 6}] []" {
		t.Errorf("found %v, odd %v", found, odd)
	}
}
