package kit

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"

	"rsc.io/qr"

	"wattsheet/charts"
	"wattsheet/generator/picture"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// The scales that pictures are drawn at, by the height that their names say.
var scales = []struct {
	times  int
	suffix string
}{{1, "-1080.png"}, {2, "-2160.png"}}

// A sight is a picture of a kit, before it is drawn or, for any other size, traced.
type sight struct {
	name  string
	from  []Result
	draw  func(times int) ([]byte, error)
	trace func() ([]byte, error)
}

// sound is for what can always be drawn.
func sound(draw func(times int) []byte, trace func() []byte) (func(int) ([]byte, error), func() ([]byte, error)) {
	return func(times int) ([]byte, error) { return draw(times), nil }, func() ([]byte, error) { return trace(), nil }
}

// pictures makes the pictures at each scale and for any other, on all processors.
func (m *maker) pictures() {
	sights := append(m.tables(), m.claimLines()...)
	sights = append(sights, m.chart()...)
	sights = append(sights, m.endCard()...)
	sights = append(sights, guide(sights)...)
	type job struct {
		sight
		file string
		make func() ([]byte, error)
		data []byte
		err  error
	}
	var jobs []*job
	for _, s := range sights {
		for _, at := range scales {
			jobs = append(jobs, &job{sight: s, file: s.name + at.suffix, make: func() ([]byte, error) { return s.draw(at.times) }})
		}
		jobs = append(jobs, &job{sight: s, file: s.name + ".svg", make: s.trace})
	}
	next := make(chan *job)
	var hands sync.WaitGroup
	for range min(len(jobs), runtime.GOMAXPROCS(0)) {
		hands.Go(func() {
			for j := range next {
				j.data, j.err = j.make()
			}
		})
	}
	for _, j := range jobs {
		next <- j
	}
	close(next)
	hands.Wait()
	for _, j := range jobs {
		if j.err != nil {
			m.problems = append(m.problems, m.Sheet.Record.Unit.Problem(fmt.Sprintf("the picture %s can't be made: %v", j.file, j.err), "this is a mistake of this program; please report it"))
			continue
		}
		m.add(j.file, j.data, j.from...)
	}
}

// plate is what all plates say.
func (m *maker) plate() picture.Plate {
	_, where, _ := strings.Cut(m.address(), "://")
	p := picture.Plate{Name: m.Sheet.Name, Sheet: "Sheet " + m.Sheet.Number, Foot: m.plusMinus(), Where: where}
	if !picture.Writes(p.Name) { // not drawn as a row of boxes
		p.Name = m.Sheet.Slug
	}
	return p
}

// source is who supplied the unit, in letters that pictures have.
func (m *maker) source() string {
	if !picture.Writes(m.Sheet.Disclosure) {
		return sheet.DisclosureWithoutNames(m.Sheet.Record.Source)
	}
	return m.Sheet.Disclosure
}

// rows are claims as pictures show them, on the scale of all of the sheet's.
func (m *maker) rows() []picture.CardRow {
	spans := charts.ClaimSpans(m.Sheet.Claims)
	rows := make([]picture.CardRow, len(m.Sheet.Claims))
	for i, c := range m.Sheet.Claims {
		row := picture.CardRow{Label: c.Label, Verdict: string(c.Verdict), Word: c.Word}
		row.Figure, row.Of = measured(c)
		if spans[i] != nil {
			line := picture.CardLine(*spans[i])
			row.Line = &line
		}
		rows[i] = row
	}
	return rows
}

// drawnOf is how a claim is drawn, to be remembered: its line may move though its figure
// reads the same.
func drawnOf(c *sheet.Claim, row picture.CardRow) Result {
	if row.Line == nil {
		return Result{"line of claim " + c.ID, "none"}
	}
	return Result{"line of claim " + c.ID, fmt.Sprintf("%+v", *row.Line)}
}

// tables are the tables of results; claims that one has no room for are in the next.
func (m *maker) tables() (all []sight) {
	rows := m.rows()
	first := 0
	for part := range slices.Chunk(rows, picture.TableRows) {
		name := "table"
		if len(rows) > picture.TableRows {
			name += "-" + strconv.Itoa(first/picture.TableRows+1)
		}
		table := picture.TablePlate{Plate: m.plate(), Title: m.Sheet.Headline, Source: m.source(), Rows: slices.Clone(part)}
		from := []Result{m.headline(), m.disclosed()}
		for i := range table.Rows {
			r, c := &table.Rows[i], m.Sheet.Claims[first+i]
			if r.Of = strings.TrimSuffix(r.Of, " claimed"); r.Figure == "" || c.Brief != "" {
				r.Of += " claimed"
			}
			from = append(from, resultOf(c), drawnOf(c, *r))
		}
		draw, trace := sound(table.Draw, table.Trace)
		all = append(all, sight{name, from, draw, trace})
		first += len(part)
	}
	return all
}

// claimLines are the claims, each by itself; those without a run have nothing to show.
func (m *maker) claimLines() (all []sight) {
	rows := m.rows()
	for i, c := range m.Sheet.Claims {
		if untested(c) {
			m.note("no picture of claim " + c.ID + ", which is untested")
			continue
		}
		p := picture.ClaimPlate{Plate: m.plate(), Row: rows[i], Conditions: c.Conditions}
		if !strings.Contains(p.Row.Figure, "±") {
			p.Foot = ""
		}
		from := []Result{{"unit", m.Sheet.Name}, resultOf(c), {"conditions of claim " + c.ID, c.Conditions}, drawnOf(c, rows[i])}
		draw, trace := sound(p.Draw, p.Trace)
		all = append(all, sight{"claim-" + c.ID, from, draw, trace})
	}
	return all
}

// chart is power by load.
func (m *maker) chart() []sight {
	c := charts.PowerByLoad(m.Sheet)
	if c == nil {
		m.note("no chart: no run gives a power")
		return nil
	}
	p := picture.ChartPlate{Plate: m.plate(), Title: c.Title, Drawing: c.Wide}
	sum := sha256.Sum256([]byte(c.Wide))
	from := []Result{{"unit", m.Sheet.Name}, {"title of the chart", c.Title}, {"drawing of the chart", hex.EncodeToString(sum[:8])}}
	for _, r := range m.Sheet.Runs {
		if result := resultOfRun(r); result.Says != "" {
			from = append(from, result)
		}
	}
	return []sight{{c.ID, from, p.Draw, p.Trace}}
}

// guide shows an editor where plates may lie, where there are any; it says nothing of the unit.
func guide(plates []sight) []sight {
	if len(plates) == 0 {
		return nil
	}
	draw, trace := sound(picture.Guide{}.Draw, picture.Guide{}.Trace)
	return []sight{{"safe-areas", nil, draw, trace}}
}

// endCard closes the film, with the way to the unit's page.
func (m *maker) endCard() []sight {
	address := m.address()
	if address == "" {
		m.note("no end card: it would lead to the unit's page, and site.toml states no address")
		return nil
	}
	code, err := qr.Encode(address, qr.M)
	if err != nil {
		p := m.Site.Key("address").Problem("the address of the unit's page is too long for a QR code: "+err.Error(), "shorten the site's address")
		p.Severity = record.Warning
		m.problems = append(m.problems, p)
		return nil
	}
	dark := make([][]bool, code.Size)
	for y := range dark {
		dark[y] = make([]bool, code.Size)
		for x := range dark[y] {
			dark[y][x] = code.Black(x, y)
		}
	}
	card := picture.EndCard{Plate: m.plate(), Site: m.Site.Title, Title: m.Sheet.Headline, Source: m.source(), Code: dark}
	if !picture.Writes(card.Site) {
		card.Site = strings.TrimSuffix(card.Where, "/")
	}
	from := []Result{m.headline(), m.disclosed(), {"address", address}}
	draw, trace := sound(card.Draw, card.Trace)
	return []sight{{"end-card", from, draw, trace}}
}
