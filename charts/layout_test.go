package charts

import (
	"strings"
	"testing"
)

// Everything lies within the plot, also in the views that the live chart adds.
func TestPointsLieInThePlot(t *testing.T) {
	for _, p := range everyPlot(t) {
		for _, f := range []frame{wideFrame, tallFrame} {
			for v := range p.views {
				l := layoutOf(p, f, v)
				plot := box{l.left - 0.01, l.top - 0.01, l.width - l.right + 0.01, l.height - l.bottom + 0.01}
				for _, q := range p.points {
					if at, ok := l.spot(q); ok && !(box{at.x, at.high, at.x, at.low}).within(plot) {
						t.Errorf("%s, %s %s: point %d at %v is not in %v", p.id, f.name, p.views[v].id, q.n, at, plot)
					}
				}
			}
		}
	}
}

// A drawing for a phone has its ticks' texts at its edge, whatever the axis is called; the
// title keeps within it.
func TestTallUsesItsWidth(t *testing.T) {
	for _, p := range everyPlot(t) {
		for v := range p.views {
			l := layoutOf(p, tallFrame, v)
			widest := 0.0
			for _, at := range l.scale.ticks {
				widest = max(widest, textWidth(tickText(at), false))
			}
			if gap := l.left - 10 - widest; gap < 0 || gap > 16 {
				t.Errorf("%s %s: the ticks' texts begin %.1f from the edge", p.id, p.views[v].id, gap)
			}
			if title := textWidth(l.view.axis, true); l.titleEnd() < title || l.titleEnd() > l.width-l.right {
				t.Errorf("%s %s: the title ends at %.1f, and is %.1f long", p.id, p.views[v].id, l.titleEnd(), title)
			}
		}
	}
}

// No label covers a mark, an upright, a claim, another label, or a line; and the
// names that have no room are in the legend.
func TestLabelsCoverNothing(t *testing.T) {
	placed := 0
	for _, p := range everyPlot(t) {
		for _, f := range []frame{wideFrame, tallFrame} {
			l := layoutOf(p, f, 0)
			named := 0
			for _, item := range l.legend {
				if !item.more {
					named++
				}
			}
			for i, name := range l.labels {
				if !name.placed {
					continue
				}
				placed++
				if i < len(l.series) {
					named++
				}
				for _, q := range l.points {
					if at, ok := l.spot(q); ok && name.box.overlaps(box{at.x - markRadius, at.high, at.x + markRadius, at.low}) {
						t.Errorf("%s %s: label %q covers point %d", p.id, f.name, name.text, q.n)
					}
				}
				for _, k := range l.strokes {
					if b, ok := l.strokeBox(k); ok && name.box.overlaps(b) {
						t.Errorf("%s %s: label %q covers a claim", p.id, f.name, name.text)
					}
				}
				for j, other := range l.labels {
					if i != j && other.placed && name.box.overlaps(other.box) {
						t.Errorf("%s %s: labels %q and %q cover each other", p.id, f.name, name.text, other.text)
					}
				}
				for j, line := range l.lines {
					if sampled(line, name.box) {
						t.Errorf("%s %s: label %q lies on a line of %q", p.id, f.name, name.text, l.series[l.of[j]].name)
					}
				}
				for _, k := range l.curves {
					if sampled(l.curveLine(k), name.box) {
						t.Errorf("%s %s: label %q lies on a curve", p.id, f.name, name.text)
					}
				}
			}
			if named != len(l.series) {
				t.Errorf("%s %s: %d of %d series named", p.id, f.name, named, len(l.series))
			}
		}
	}
	if placed < 300 {
		t.Errorf("only %d labels placed", placed)
	}
}

// A series' name is whole at its line, or in the legend in three lines at most, which keep within
// the drawing.
func TestNamesAreWhole(t *testing.T) {
	broken := 0
	for _, p := range everyPlot(t) {
		for _, f := range []frame{wideFrame, tallFrame} {
			l := layoutOf(p, f, 0)
			whole := func(series int, text string) {
				label := l.series[series].label
				if fits := 4+34+6+textWidth(label, true) <= 2*(l.width-l.right); text != label && fits && strings.Contains(label, " ") {
					t.Errorf("%s %s: %q is named %q", p.id, f.name, label, text)
				}
			}
			for i := range l.series {
				if l.labels[i].placed && !l.series[i].quiet {
					whole(i, l.labels[i].text)
				}
			}
			told := map[int][]string{}
			for _, item := range l.legend {
				told[item.series] = append(told[item.series], item.text)
				if end := item.x + 34 + 6 + textWidth(item.text, true); item.x < 4 || end > l.width-l.right+0.01 || item.y > l.height {
					t.Errorf("%s %s: %q goes from %v to %v in a legend of %v", p.id, f.name, item.text, item.x, end, l.width)
				}
			}
			for series, lines := range told {
				whole(series, strings.Join(lines, " "))
				if len(lines) > 1 {
					broken++
				}
				if len(lines) > 3 {
					t.Errorf("%s %s: a name of %d lines", p.id, f.name, len(lines))
				}
			}
		}
	}
	if broken == 0 {
		t.Error("no name is too long for a line: they aren't tried")
	}
}

// sampled reports whether a line passes through a box, by walking along it.
func sampled(line polyline, b box) bool {
	for i := 1; i < len(line); i++ {
		for k := 0.0; k <= 100; k++ {
			d := dot{line[i-1].x + (line[i].x-line[i-1].x)*k/100, line[i-1].y + (line[i].y-line[i-1].y)*k/100}
			if b.distance(d) == 0 {
				return true
			}
		}
	}
	return false
}

// A long name is broken at blanks; only what is too long for that is cut.
func TestWrapped(t *testing.T) {
	for _, row := range []struct {
		text string
		want string
	}{
		{"", ""}, {"heat sink", "heat sink"}, {"heat sink above the output stage", "heat sink above|the output stage"},
		{"a b c d e f g h i j k l m n o p q r s t u v w x y z a b c d e f g", "a b c d e f g h i j|k l m n o p q r s|t u v w x y z a…"}, {"Wwwwwwwwwwwwwwwwwwwwwww", "Wwwwwwww…"},
	} {
		lines := wrapped(row.text, 140, 3)
		if got := strings.Join(lines, "|"); got != row.want {
			t.Errorf("%q is broken as %q, want %q", row.text, got, row.want)
		}
		for _, line := range lines {
			if textWidth(line, true) > 140 {
				t.Errorf("%q is wider than its room", line)
			}
		}
	}
}
