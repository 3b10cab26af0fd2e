package site

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"wattsheet/generator/sheet"
)

// nearName is the folder, below a unit's, of the page of the units near it.
const nearName = "near"

// A nearPage is the units near one.
type nearPage struct {
	head
	Name    string    // the unit: Mossfettle Brackenjar 100
	Unit    link      // the unit's page
	Figure  string    // its own power at the main point; empty without one
	At      string    // the main point
	Like    []nearRow // units of the same kind with comparable power
	Maker   link      // the maker's page
	OfMaker []nearRow // other units by the same maker
	Find    string    // the list of all units, of those tested at the main point's load; empty without a figure
}

// A nearRow is one unit near another.
type nearRow struct {
	Link    link   // the unit
	About   string // kind and year
	Figure  string // its total power there; empty without one
	Why     string // whether they are told apart, in a sentence
	Compare link   // where both stand beside each other; no address where they can't
}

// near makes the page of the units near one; units are that one and those near it.
func (b *binder) near(slug string, units []*brief) Output {
	folder := unitsFolder + "/" + slug + "/" + nearName + "/"
	i := slices.IndexFunc(units, func(of *brief) bool { return of.slug() == slug })
	own := units[i]
	name := own.Row.Link.Text
	page := nearPage{
		head: b.head(folder, "Near "+sheet.Isolated(name)+" · "+b.site.Content.Site.Title, "Units of the same maker as "+sheet.Isolated(name)+", and of the same kind with comparable power."),
		Name: name, Unit: link{"../index.html", name}, At: own.Near.Pointed,
	}
	page.Maker = link{page.Root + makersFolder + "/" + own.Maker.Slug + "/index.html", own.Maker.Name}
	b.pointsStyle(&page.head)
	var standing *sheet.Compact
	at := sheet.Point{Method: b.site.Content.Method(own.Near.Method)}
	if at.Method != nil {
		standing = b.mains.of(own, own.Near)
	}
	if standing != nil {
		at.Ohm = standing.Ohm
		page.Figure, page.Find = standing.Total, finderHref(page.Root, standing.Ohm)
	}
	var like []*brief
	for _, other := range units {
		if other == own {
			continue
		}
		row := nearRow{Link: link{page.Root + other.Row.Link.Href, other.Row.Link.Text}, About: other.Row.Kind}
		if theirs := b.mains.of(other, own.Near); standing != nil && theirs != nil {
			row.Figure, row.Why = theirs.Total, sheet.CompactApart(standing, theirs, at).Why
			row.Compare = link{compareHref(page.Root, at, slug, other.slug()), "Beside each other"}
		}
		if other.Maker.Slug == own.Maker.Slug {
			page.OfMaker = append(page.OfMaker, row)
		}
		if row.Figure != "" && comparable(own.Near, other.Near) {
			page.Like, like = append(page.Like, row), append(like, other)
		}
	}
	byPower(page.Like, like)
	return b.put("near", folder, page)
}

// comparable reports whether two units are of one kind, with comparable power at one main
// point.
func comparable(a, b nearBrief) bool {
	return a.Kind == b.Kind && a.Method == b.Method && a.Load == b.Load && math.Abs(math.Log(float64(a.TotalW/b.TotalW))) <= math.Log(nearRatio)
}

// byPower sorts rows by the power of the units that they are of, the largest first.
func byPower(rows []nearRow, of []*brief) {
	order := make([]int, len(rows))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return -cmp.Compare(of[a].Near.TotalW, of[b].Near.TotalW) })
	was := slices.Clone(rows)
	for i, n := range order {
		rows[i] = was[n]
	}
}

// standsAt is where a unit stands at the main point of this one; nil where it doesn't.
func (b *brief) standsAt(main nearBrief) *sheet.Compact {
	for _, p := range b.partsAt(ohmsOf(main.Load)) {
		if c := p.Standing; c.Method == main.Method && !c.Bridged && c.Total != "" {
			return c
		}
	}
	return nil
}

// A mains keeps where units stand, as pages of those near a unit ask for it: at a unit's own
// main point a dozen do; at another's, those of its maker, which lie together by slug. A nil one
// keeps nothing.
type mains struct {
	own    sync.Map // a [sheet.Compact] by [brief]
	mu     sync.Mutex
	others map[standsAt]*sheet.Compact
}

// A standsAt is a unit at the main point of another.
type standsAt struct {
	of           *brief
	method, load string
}

// othersKept is how many places at others' points are kept at most.
const othersKept = 1000

// of is where a unit stands at a main point; nil where it doesn't.
func (m *mains) of(b *brief, main nearBrief) *sheet.Compact {
	if m == nil {
		return b.standsAt(main)
	}
	if main.Method == b.Near.Method && main.Load == b.Near.Load {
		known, ok := m.own.Load(b)
		if !ok {
			known, _ = m.own.LoadOrStore(b, b.standsAt(main))
		}
		return known.(*sheet.Compact)
	}
	key := standsAt{b, main.Method, main.Load}
	m.mu.Lock()
	c, ok := m.others[key]
	m.mu.Unlock()
	if !ok {
		c = b.standsAt(main)
		m.keep(key, c)
	}
	return c
}

// keep keeps a place, and forgets all when there are too many.
func (m *mains) keep(key standsAt, c *sheet.Compact) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.others == nil || len(m.others) >= othersKept {
		m.others = make(map[standsAt]*sheet.Compact, othersKept)
	}
	m.others[key] = c
}
