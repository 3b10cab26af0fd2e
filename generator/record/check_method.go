package record

import (
	"regexp"
	"strconv"
	"strings"
)

// titledPct is a distortion in a method's title: at 1 % THD+N, 0,1% distortion.
var titledPct = regexp.MustCompile(`(?i)(\d+(?:[.,]\d+)?)[ \x{a0}\x{202f}]*%[ \x{a0}\x{202f}]*(?:of )?(?:THD|distortion)`)

// titled warns of a title with another distortion than the method's: readers see the
// title beside each figure, and what is decided goes by the key.
func (k *checker) titled(m *Method) {
	said := titledPct.FindAllStringSubmatch(m.Title, -1)
	if len(said) != 1 || !m.ThdnPct.Given() {
		return
	}
	pct, err := strconv.ParseFloat(strings.Replace(said[0][1], ",", ".", 1), 64)
	if err != nil || pct == m.ThdnPct.Value {
		return
	}
	p := m.Key("title").Problem("the title says "+said[0][1]+" % of distortion, but thdn_pct is "+m.ThdnPct.Text, "pages show the title beside each figure, and verdicts go by thdn_pct: mend the one that is wrong")
	p.Severity = Warning
	k.problems = append(k.problems, p)
}
