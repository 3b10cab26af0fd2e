package site

import (
	"bytes"
	"cmp"
	"fmt"
	"os"
	"path"
	"slices"
	"strconv"
	"strings"

	"wattsheet/generator/disk"
	"wattsheet/generator/publication"
	"wattsheet/generator/sheet"
)

// A tabled is what the site's tables have of one unit. Of its claims and runs there is a
// digest only: their rows are on the disk, or made again.
type tabled struct {
	Unit string // its row of units.csv
	Rows digest
	// Captures are the captures for download; none of most units.
	Captures []captureFile `json:",omitempty"`
}

func tabledOf(s *sheet.Sheet, rows tableRows) tabled {
	return tabled{string(appendCells(nil, unitCells, s)), rows.digest(), captureFiles(s)}
}

// tableOf gives for all slugs the number of the table that their unit is in.
func tableOf(slugs []string) map[string]string {
	out := map[string]string{}
	for i, slug := range slugs {
		out[slug] = strconv.Itoa(i/unitsPerTable + 1)
	}
	return out
}

// tableName is the name of a table's file by its number.
func tableName(table, number string) string {
	if number == "1" {
		return table + ".csv"
	}
	return table + "-" + number + ".csv"
}

// tableNumber is the number of the table that a path below data/ is of; empty for another
// file.
func tableNumber(name string) string {
	for _, table := range []string{tableClaims, tableRuns} {
		rest, is := strings.CutPrefix(name, table)
		number, ends := strings.CutSuffix(rest, ".csv")
		switch {
		case !is || !ends:
		case number == "":
			return "1"
		case strings.HasPrefix(number, "-"):
			return number[1:]
		}
	}
	return ""
}

// A tableFile is a file of a table without its bytes.
type tableFile struct {
	Name   string
	Digest digest
	Size   int
}

// A tableMaker makes the files of claims and runs, and remembers how they came out.
type tableMaker struct {
	rows  func(*brief) tableRows // good until they are asked for again
	known map[digest][]tableFile // by what they were made from; nil where nothing is kept
}

// files makes the files of claims and runs with a number, in room that [clearTables] takes back.
func (m *tableMaker) files(number string, units []*brief) []Output {
	claims, runs := append(largeRoom(), headOf(columnsOf(claimCells))...), append(largeRoom(), headOf(runColumns())...)
	for i, u := range units {
		rows := m.rows(u)
		if i == 0 { // the others have about as many
			claims, runs = slices.Grow(claims, len(units)*len(rows.Claims)*9/8), slices.Grow(runs, len(units)*len(rows.Runs)*9/8)
		}
		claims, runs = append(claims, rows.Claims...), append(runs, rows.Runs...)
	}
	outputs := []Output{
		{Path: dataFolder + "/" + tableName(tableClaims, number), Bytes: claims},
		{Path: dataFolder + "/" + tableName(tableRuns, number), Bytes: runs},
	}
	if m.known != nil {
		m.known[tableKey(number, units)] = described(outputs)
	}
	return outputs
}

// describe is what files would make, without its bytes: from memory, where it is known.
func (m *tableMaker) describe(number string, units []*brief) []tableFile {
	if known := m.known[tableKey(number, units)]; known != nil {
		return known
	}
	files := m.files(number, units)
	defer clearTables(files)
	return described(files)
}

// clearTables gives the room of tables back, when nobody needs their bytes any more.
func clearTables(files []Output) {
	for i := range files {
		largePages.Put(&files[i].Bytes)
	}
}

func described(outputs []Output) (out []tableFile) {
	for _, o := range outputs {
		out = append(out, tableFile{path.Base(o.Path), publication.DigestOf(o.Bytes), len(o.Bytes)})
	}
	return out
}

// tableKey is a digest of all that the files with a number are made from.
func tableKey(number string, units []*brief) digest {
	var b bytes.Buffer
	fmt.Fprintf(&b, "%s\n%s%s", number, headOf(columnsOf(claimCells)), headOf(runColumns()))
	for _, u := range units {
		fmt.Fprintf(&b, "%s\n", u.Tabled.Rows)
	}
	return publication.DigestOf(b.Bytes())
}

// tables are the numbers of the files of claims and runs, with the units in each.
func tablesOf(units []*brief) [][]*brief { return slices.Collect(slices.Chunk(units, unitsPerTable)) }

// rowsFolder is where the rows of units are kept, below the site's root: as they are, since
// they are a fiftieth of what is published of a unit, and packing them costs more than all
// else that is done with them.
const rowsFolder = ".wattsheet/cache/rows"

// rows are the kept rows of a unit that have a digest, read into given room; ok is false
// where they aren't there.
func (m *memory) rows(slug string, of digest, room *[]byte) (out tableRows, ok bool) {
	if m == nil {
		return out, false
	}
	text, err := disk.ReadInto(*room, m.root, path.Join(rowsFolder, slug), disk.Limit)
	if err == nil {
		*room = text
	}
	if err != nil || publication.DigestOf(text) != of {
		return out, false
	}
	size, rest, _ := bytes.Cut(text, []byte("\n"))
	n, err := strconv.Atoi(string(size))
	if err != nil || n < 0 || n > len(rest) {
		return out, false
	}
	return tableRows{rest[:n:n], rest[n:]}, true
}

// keepRows keeps the rows of a unit.
func (m *memory) keepRows(slug string, rows tableRows) {
	if m == nil || m.only || m.root.MkdirAll(rowsFolder, 0o755) != nil {
		return
	}
	m.write(path.Join(rowsFolder, slug), rows.text())
}

// clearRows removes the rows of units that there aren't any more.
func (m *memory) clearRows(units map[string]*unit) {
	if m == nil || m.only {
		return
	}
	removeOthers(m.root, rowsFolder, func(name string) bool { return units[name] != nil })
}

// tablesName is the entry of memory that says how the tables came out; no unit can have
// that name.
const tablesName = "_tables"

// readTables reads how the tables came out last, unless that is known.
func (d *Draft) readTables() {
	if d.tables != nil {
		return
	}
	d.tables = map[digest][]tableFile{}
	if d.memory != nil {
		d.memory.load(path.Join(memoryFolder, tablesName), &d.tables)
	}
}

// tableMaker makes the site's tables from rows that were kept, and evaluates units of
// which there are none.
func (d *Draft) tableMaker(content *os.Root) *tableMaker {
	d.readTables()
	var room []byte
	return &tableMaker{known: d.tables, rows: func(b *brief) tableRows {
		if rows, ok := d.memory.rows(b.slug(), b.Tabled.Rows, &room); ok {
			return rows
		}
		u := d.units[b.slug()]
		defer d.letGo(u)
		s := d.load(content, u, false).sheet
		if s == nil {
			if u.good == nil {
				return tableRows{}
			}
			s = u.good.sheet // it has mistakes now, and its brief is that of before
		}
		rows := tableRowsOf(s)
		d.memory.keepRows(u.slug, rows)
		return rows
	}}
}

// keepTables remembers how the tables of the units came out, and forgets all others.
func (d *Draft) keepTables() {
	briefs, _ := d.briefs()
	keep := map[digest][]tableFile{}
	for i, units := range tablesOf(briefs) {
		key := tableKey(strconv.Itoa(i+1), units)
		if files := d.tables[key]; files != nil {
			keep[key] = files
		}
	}
	if d.tables = keep; d.memory != nil {
		d.memory.save(path.Join(memoryFolder, tablesName), keep)
	}
}

// tableMaker makes the site's tables from its sheets.
func (s *Site) tableMaker() *tableMaker {
	return &tableMaker{known: map[digest][]tableFile{}, rows: func(b *brief) tableRows {
		i, found := slices.BinarySearchFunc(s.Sheets, b.slug(), func(one *sheet.Sheet, slug string) int { return cmp.Compare(one.Slug, slug) })
		if !found {
			return tableRows{}
		}
		return tableRowsOf(s.Sheets[i])
	}}
}
