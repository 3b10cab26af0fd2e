package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"wattsheet/generator/disk"
	"wattsheet/generator/logbook"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

func importCommand() *command {
	c := &command{
		name: "import", does: "add the rows of a table to a record, as runs", takes: `UNIT FILE.csv [--columns LIST] [--method ID]
       [--load IDS] [--driven NAMES] [--offset HOURS] [--separator WORD]
       [--head LINE] [--comma] [--yes] [--root DIR]`,
		about: `Reads what a spreadsheet or a logger saved as CSV, says how it understands the
columns, shows what would be added, asks, and then adds a [[run]] for each row
to the unit's record.toml. What stands there isn't touched, and all is checked
before anything is written.

Columns are known by their heads: the key of a run, such as out_v, or words in
plain use, such as "Vout L (V)" or "Battery (mV)". --columns names them
otherwise: out_v=Left; out_v=Right; supply_v:mV=Batt; remarks=7 takes the
seventh, and remarks= none. Several columns of a reading are the channels', in
this order. Where no column has them, --method, --load and --driven say what all
rows have, and runs without an id are numbered on.

The separator, the line of the heads and decimal commas are guessed, and said.
To keep runs in a table for good, put it beside the record as runs.csv, with
[runs_file] in the record.`,
		flags: []option{rootOption,
			{"columns", "LIST", "key=head or key:unit=head, with semicolons between"},
			{"method", "ID", "the method of all rows"},
			{"load", "IDS", "the loads of all rows, one a driven channel: a4 b4"},
			{"driven", "NAMES", "the channels that all rows drive"},
			{"offset", "HOURS", "the time zone's offset of times without one: +01:00"},
			{"separator", "WORD", "comma, semicolon or tab"},
			{"head", "LINE", "the line of the heads, 0 where there is none"},
			{"comma", "", "numbers have a decimal comma"},
			{"yes", "", "add them without asking"},
		},
		examples: []string{"wattsheet import ottersprocket-20 bench.csv --method thd1 --load four --yes"},
	}
	c.run = func(u *ui, args []string) int { return runImport(u, c, args) }
	return c
}

// An importing is what the flags of import say.
type importing struct {
	root, columns, method, load, driven, offset, separator, head, comma, yes string
}

// flags are where the values of the flags go.
func (i *importing) flags() map[string]*string {
	return map[string]*string{
		"root": &i.root, "columns": &i.columns, "method": &i.method, "load": &i.load, "driven": &i.driven,
		"offset": &i.offset, "separator": &i.separator, "head": &i.head, "comma": &i.comma, "yes": &i.yes,
	}
}

func runImport(u *ui, c *command, args []string) int {
	i := importing{root: "."}
	words, status, ok := c.read(u, args, i.flags(), 2)
	if !ok {
		return status
	}
	if len(words) < 2 {
		return u.misused(errors.New("import needs a unit and a file\nhint: wattsheet import UNIT FILE.csv; UNIT is the name of its folder in content/units"))
	}
	loaded, status, ok := u.siteAtWork(i.root, u.clock())
	if !ok {
		return status
	}
	whole := loaded.Whole()
	s, err := sheetOf(whole, words[0])
	if err != nil {
		return u.failed(err)
	}
	file, err := readTable(words[1])
	if err != nil {
		return u.failed(err)
	}
	mapping, err := i.mapping(record.GuessLayout(file, s.Record.Unit.Channels))
	if err != nil {
		return u.misused(err)
	}
	added, problems := i.rows(s.Record, file, mapping)
	content := contentWith(loaded.Content, whole, added)
	if !problems.Errors() {
		problems = append(problems, content.Check()...)
	}
	if problems.Errors() {
		u.problems(forImport(problems))
		u.note("", "%s; nothing was written", tally(problems))
		return exitFailed
	}
	runs := added.Runs[len(s.Record.Runs):]
	if len(runs) == 0 {
		return u.failed(errors.New("the table has no rows below its heads\nhint: --head says in which line the heads stand; where there are none, --head 0 --columns \"out_v=1; supply_v=2\" goes by number"))
	}
	mapping.say(u, &added.Unit)
	sayRuns(u, runs)
	sayOdd(u, content, added, file.Name)
	return u.adding(&i, s.Slug, runs)
}

// largestTable is what a table may have in bytes.
const largestTable = 8 << 20

// readTable reads the file to be imported.
func readTable(name string) (*record.File, error) {
	info, err := os.Stat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("there is no %s\nhint: name the table that the spreadsheet or logger saved as CSV", name)
	case err != nil:
		return nil, fmt.Errorf("%s can't be read: %w\nhint: it has to be a file that you may read", name, disk.Cause(err))
	case !info.Mode().IsRegular():
		return nil, fmt.Errorf("%s is not a plain file\nhint: name the table that the spreadsheet or logger saved as CSV", name)
	case info.Size() > largestTable:
		return nil, fmt.Errorf("%s has more than 8 MB\nhint: import a part of it; a logger's samples are not runs", name)
	}
	text, err := os.ReadFile(name)
	if err != nil {
		return nil, fmt.Errorf("%s can't be read: %w\nhint: it has to be a file that you may read", name, disk.Cause(err))
	}
	return &record.File{Name: filepath.ToSlash(name), Text: text}, nil
}

// columnsOf stands before a table's name where its columns are decoded as if they stood
// in a record.
const columnsOf = "columns of "

// rows gives the record with a run for each row.
func (i *importing) rows(r *record.Record, file *record.File, mapping *importMap) (*record.Record, record.Problems) {
	table, problems := record.DecodeRunsFile(&record.File{Name: columnsOf + file.Name, Text: []byte(mapping.table())})
	out := *r
	out.RunsFile, out.Runs = *table, slices.Clone(r.Runs)
	if problems.Errors() {
		return &out, problems
	}
	return &out, append(problems, out.AddNumberedRuns(file)...)
}

// contentWith is the content with a record in the place of the one that it has.
func contentWith(content *record.Content, whole []*sheet.Sheet, r *record.Record) *record.Content {
	all := *content
	all.Records = nil
	for _, s := range whole {
		one := s.Record
		if s.Slug == r.Slug {
			one = r
		}
		all.Records = append(all.Records, one)
	}
	return &all
}

// mostEvaluated is up to how many runs of a unit a table is looked at for findings
// before it's added: each run is compared with each other.
const mostEvaluated = 400

// sayOdd prints what is odd in the new runs, while it can still be left out.
func sayOdd(u *ui, content *record.Content, r *record.Record, file string) {
	if len(r.Runs) > mostEvaluated {
		return
	}
	var odd []sheet.Finding
	for _, f := range sheet.Evaluate(content, r).Findings {
		if name, _, _ := f.Place.Position(); name == file {
			odd = append(odd, f)
		}
	}
	if len(odd) > 0 {
		u.say("")
		sayGroup(u, findingGroup{of: file, findings: odd})
	}
}

// mostProblems is how many problems of a table are printed.
const mostProblems = 40

// forImport says in hints which flag helps, in the place of a key of [runs_file].
func forImport(problems record.Problems) record.Problems {
	flags := strings.NewReplacer(
		"where this file has a comma, say decimal_comma = true in [runs_file]", "where this file has a comma: --comma",
		`or to [runs_file]: utc_offset = "+01:00"`, "or give it here: --offset +01:00",
		"head_line of [runs_file] is another", "--head names another",
		"head_line of [runs_file] says in which line they stand", "--head says in which line they stand",
		"name this one by its number in [runs_file]: number = ", "name this one by its number in --columns: KEY=",
		"name the loads of bench.toml, one a driven channel, or give load_ohm", "name the loads of bench.toml, one a driven channel: --load ID; or name the column: --columns load=HEAD",
		`or say what all rows have: { key = "method", is = "…" }`, "or say what all rows have: --method ID",
		"type what the meter at the output showed, one reading a driven channel: out_v = 17.52", "name the column that has the output: --columns out_v=HEAD, or power_w=HEAD",
		`name the column: { key = "method", head = "…" }`, "name the column: --columns method=HEAD",
	)
	out := slices.Clone(problems[:min(len(problems), mostProblems)])
	for i := range out {
		out[i].Hint = flags.Replace(out[i].Hint)
		if name, made := strings.CutPrefix(out[i].File, columnsOf); made { // a text that nobody wrote
			out[i] = record.Problem{Severity: out[i].Severity, Summary: out[i].Summary, Hint: out[i].Hint, File: name}
		}
	}
	return out
}

// adding asks, and adds the runs. The record is locked meanwhile, as log locks it.
func (u *ui) adding(i *importing, slug string, runs []record.Run) int {
	book, err := logbook.Open(i.root, slug)
	if err != nil {
		return u.noBook(err)
	}
	defer book.Close()
	rows, err := book.Propose(runs)
	if err != nil {
		return u.failed(err)
	}
	name := filepath.ToSlash(filepath.Join(i.root, "content", "units", slug, "record.toml"))
	if i.yes == "" {
		if ok, err := u.confirmed(fmt.Sprintf("add %s to %s? y or n [n]", count(len(runs), "run"), name)); err != nil || !ok {
			if err != nil {
				return u.failed(err)
			}
			u.say("nothing was written")
			return exitDone
		}
	}
	if err := rows.Write(); err != nil {
		return u.noBook(err)
	}
	u.say("added %s to %s", count(len(runs), "run"), name)
	u.say("next: wattsheet check looks for what is odd in them")
	return exitDone
}

// confirmed asks for a yes. At the end of the input nobody has said it.
func (u *ui) confirmed(question string) (bool, error) {
	none := ""
	a := newAsker(u, map[string]*string{"yes": &none})
	yes := false
	err := a.ask(yesOrNo(question, &yes))
	if err == nil && !yes && a.ended {
		return false, errors.New("nobody said yes; nothing was written\nhint: --yes adds without asking")
	}
	return yes, err
}

func yesOrNo(asks string, yes *bool) question {
	return question{flag: "yes", asks: asks, take: func(answer string) error {
		switch strings.ToLower(answer) {
		case "y", "yes":
			*yes = true
		case "", "n", "no":
		default:
			return fmt.Errorf("%q is neither y nor n", answer)
		}
		return nil
	}}
}
