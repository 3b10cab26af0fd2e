package record

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// mostRowProblems is how many problems of rows are told: a wrong column makes one in
// every row.
const mostRowProblems = 40

// AddRuns adds the rows of runs.csv to the record's runs, as its [runs_file] says, and
// gives all problems of the file, with row and column. Every reading knows its cell, so
// that whatever is odd about it later is told with that place. A record without
// [runs_file] stays as it is.
func (r *Record) AddRuns(f *File) Problems { return r.addRuns(f, false) }

// AddNumberedRuns is AddRuns for a file whose rows may have no ids: they are numbered
// on from the record's last run.
func (r *Record) AddNumberedRuns(f *File) Problems { return r.addRuns(f, true) }

func (r *Record) addRuns(f *File, numbered bool) Problems {
	if !r.RunsFile.Given() {
		return nil
	}
	c := &csvReader{record: r, file: f, numbered: numbered}
	c.read()
	c.problems.Sort()
	return c.problems
}

// A csvReader makes runs of rows.
type csvReader struct {
	record    *Record
	file      *File
	numbered  bool
	grid      *grid
	columns   []csvColumn
	constants *csvRow         // what all rows have in common …
	constant  Run             // … as a run
	common    map[string]bool // its keys
	ids       map[string]Place
	last      string // the id that the next number follows, where rows are numbered
	problems  Problems
}

// A csvColumn is a column that is read.
type csvColumn struct {
	key, called string
	index       int
	power       int
}

func (c *csvReader) add(p Problem) { c.problems = append(c.problems, p) }

func (c *csvReader) read() {
	rf := &c.record.RunsFile
	if v := rf.HeadLine.Value; v < 0 || v > 1000 || separators[rf.Separator] == 0 {
		return // told by the record's decoder
	}
	var problems Problems
	c.grid, problems = readGrid(c.file, separators[rf.Separator], int(rf.HeadLine.Value))
	c.problems = append(c.problems, problems...)
	if problems.Errors() {
		return // nothing to find columns in
	}
	c.plan()
	if c.problems.Errors() {
		return
	}
	c.ids = map[string]Place{}
	for i := range c.record.Runs {
		id := c.record.Runs[i].ID
		c.ids[id] = c.record.Runs[i].Key("id")
		if id != "" && digit(id[len(id)-1]) {
			c.last = id
		}
	}
	for i, row := range c.grid.rows {
		if len(c.problems) > mostRowProblems {
			left := len(c.grid.rows) - i
			c.add(c.grid.problem(row[0], counted(left, "further row")+" not looked at", "mend what is told above first; a wrong column is wrong in every row"))
			return
		}
		c.row(row)
	}
}

// plan finds the column of each key, and reads what all rows have in common.
func (c *csvReader) plan() {
	rf := &c.record.RunsFile
	if rf.UTCOffset != "" && !offsetForm.MatchString(rf.UTCOffset) {
		c.add(rf.Key("utc_offset").Problem("utc_offset is "+quoted(rf.UTCOffset)+", which is no offset", "Z, or hours and minutes with their sign: +01:00"))
	}
	c.whole("head_line", rf.HeadLine)
	c.common = map[string]bool{}
	first := map[string]bool{}
	s := runSchema()
	for i := range rf.Columns {
		col := &rf.Columns[i]
		if col.Key == "" {
			continue
		}
		if first[col.Key] && (!s.several(col.Key) || col.Is != "" || c.common[col.Key]) {
			c.add(col.Place.Key("key").Problem("another column is for "+col.Key+" too", "only readings, loads and channels have several columns, one a channel"))
			continue
		}
		first[col.Key] = true
		c.column(col)
	}
	if c.constants != nil {
		c.constants.into(&c.constant)
	}
	for _, key := range []string{"id", "method"} {
		if !first[key] && !(key == "id" && c.numbered) {
			hint := `name the column: { key = "` + key + `", head = "…" }`
			if key == "method" {
				hint += `; or say what all rows have: { key = "method", is = "…" }`
			}
			c.add(rf.Key("column").Problem("no column is for "+key+", which every run needs", hint))
		}
	}
}

// whole refuses a number with a fraction.
func (c *csvReader) whole(key string, n Number) bool {
	if n.Value == math.Trunc(n.Value) {
		return true
	}
	c.add(n.Problem(key+" is "+n.Text+"; a whole number is needed", "write "+key+" without a fraction"))
	return false
}

// several reports whether a key takes several values, as channels do.
func (s *schema) several(key string) bool {
	f := s.byKey[key]
	return f != nil && (f.kind == numbers || f.kind == refs || f.kind == texts)
}

// column looks one column up.
func (c *csvReader) column(col *RunsColumn) {
	ways := 0
	for _, key := range []string{"head", "number", "is"} {
		if col.has(key) {
			ways++
		}
	}
	switch {
	case ways != 1:
		c.add(col.Problem("the column for "+col.Key+" needs one of head, number and is", `{ key = "`+col.Key+`", head = "…" } for a column of the file, is = "…" for what all rows have`))
		return
	case col.Is != "":
		c.same(col)
		return
	}
	called, index := c.find(col)
	if index < 0 {
		return
	}
	power := 0
	if col.Unit != "" {
		units := unitsOf(col.Key)
		p, known := units[col.Unit]
		if !known {
			c.add(col.Place.Key("unit").Problem("a column for "+col.Key+" can't be in "+quoted(col.Unit), columnUnits(units)))
			return
		}
		power = p
	}
	c.columns = append(c.columns, csvColumn{col.Key, called, index, power})
}

func columnUnits(units map[string]int) string {
	if len(units) == 0 {
		return "it has no unit: take unit out"
	}
	var known []string
	for _, u := range []string{"W", "mW", "kW", "V", "mV", "kV", "µV", "A", "mA", "µA", "Ω", "ohm", "mΩ", "kΩ", "Hz", "kHz", "%", "ppm", "s", "ms", "°C", "min"} {
		if _, is := units[u]; is {
			known = append(known, u)
		}
	}
	return "it takes " + strings.Join(known, ", ")
}

// find gives a column's index in the rows, and what it is called in messages; −1 when
// it isn't there, which is told.
func (c *csvReader) find(col *RunsColumn) (called string, index int) {
	if col.Number.Given() {
		const most = 1000 // the schema's bound, whose breach has been told
		if v := col.Number.Value; v < 1 || v > most || !c.whole("number", col.Number) {
			return "", -1
		}
		n := int(col.Number.Value)
		if c.grid.head != nil && n > len(c.grid.head) {
			c.add(col.Number.Problem("there is no column "+strconv.Itoa(n)+" in "+c.file.Name, "its head line has "+counted(len(c.grid.head), "cell")))
			return "", -1
		}
		called = "column " + strconv.Itoa(n)
		if c.grid.head != nil && c.grid.head[n-1].text != "" {
			called += ", " + quoted(c.grid.head[n-1].text)
		}
		return called, n - 1
	}
	at := col.Place.Key("head")
	if c.grid.head == nil {
		c.add(at.Problem("the file has no head line, so there is no column "+quoted(col.Head), "head_line says in which line the heads stand; or name the column by its number"))
		return "", -1
	}
	found, heads := -1, []string{}
	for i, cell := range c.grid.head {
		heads = append(heads, cell.text)
		if cell.text != strings.TrimSpace(col.Head) {
			continue
		}
		if found >= 0 {
			c.add(c.grid.problem(cell, "two columns are called "+quoted(cell.text), "name this one by its number in [runs_file]: number = "+strconv.Itoa(i+1)))
			return "", -1
		}
		found = i
	}
	if found < 0 {
		const most = 20
		if len(heads) > most {
			heads = append(heads[:most], "…")
		}
		hint := "its columns are " + strings.Join(heads, ", ")
		if near := nearest(col.Head, heads); near != "" {
			hint = "did you mean " + quoted(near) + "? " + hint
		}
		c.add(at.Problem("there is no column "+quoted(col.Head)+" in "+c.file.Name, hint))
		return "", -1
	}
	return "column " + quoted(c.grid.head[found].text), found
}

// same keeps what all rows have in common, with its place in the record.
func (c *csvReader) same(col *RunsColumn) {
	at := col.Place.Key("is")
	if c.constants == nil {
		c.constants = c.newRow(col.file, col.node)
	}
	c.constants.cell(csvColumn{key: col.Key}, gridCell{col.Is, at.node.value})
	c.common[col.Key] = true
}

// row makes a run of a row.
func (c *csvReader) row(cells []gridCell) {
	if n := len(c.grid.head); n > 0 && len(cells) > n && !blankRow(cells[n:]) {
		c.add(c.grid.problem(cells[n], fmt.Sprintf("the row has %s, the head line %d", counted(len(cells), "cell"), n),
			"a cell with the separator in it stands between quotes; or the numbers have decimal commas, and the separator is another"))
		return
	}
	from := cells[0].where
	from.length = max(from.length, 1)
	row := c.newRow(c.file, &node{name: "run", headed: true, value: from, key: from})
	for _, col := range c.columns {
		if col.index < len(cells) && cells[col.index].text != "" {
			row.cell(col, cells[col.index])
		}
	}
	var run Run
	row.into(&run)
	if c.numbered && run.ID == "" {
		c.last = idAfter(c.last, func(id string) bool { _, taken := c.ids[id]; return taken })
		run.ID = c.last
	}
	if before, taken := c.ids[run.ID]; taken && run.ID != "" {
		c.add(run.Key("id").Problem(quoted(run.ID)+" is already the id of another run, in "+before.called(), "give each run an id of its own"))
	} else {
		c.ids[run.ID] = run.Key("id")
	}
	c.record.Runs = append(c.record.Runs, run)
}

// called is a place for a sentence: the file and the line.
func (p Place) called() string {
	file, line, _ := p.Position()
	return file[strings.LastIndexByte(file, '/')+1:] + ", line " + strconv.Itoa(line)
}

// NextRunID is an id for a further run: the last one's with its number raised, r08
// after r07, and r01 where there is none.
func (r *Record) NextRunID() string {
	last, taken := "", map[string]bool{}
	for i := range r.Runs {
		id := r.Runs[i].ID
		taken[id] = true
		if id != "" && digit(id[len(id)-1]) {
			last = id
		}
	}
	return idAfter(last, func(id string) bool { return taken[id] })
}

// idAfter raises the number that an id ends in until it's free.
func idAfter(id string, taken func(string) bool) string {
	if id == "" {
		id = "r00"
	}
	for {
		stem := strings.TrimRight(id, "0123456789")
		n, err := strconv.Atoi(id[len(stem):])
		if err != nil || len(id) >= longestID {
			stem, n, id = "r", 0, "r00"
		}
		if id = fmt.Sprintf("%s%0*d", stem, len(id)-len(stem), n+1); !taken(id) {
			return id
		}
	}
}
