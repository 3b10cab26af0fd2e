package site

import (
	"path"

	"wattsheet/generator/record"
)

// runsFile is the table of further runs beside a record.
const runsFile = "runs.csv"

// addRuns adds the rows of a unit's runs.csv to its record, where the record says how
// they are read. The problems known are the record's own.
func (l *loader) addRuns(r *record.Record, known record.Problems) record.Problems {
	name := path.Join(unitsFolder, r.Slug, runsFile)
	if !r.RunsFile.Given() {
		if known.Errors() || !l.exists(name) {
			return nil
		}
		return record.Problems{whole(name, record.Warning, "nothing reads this", "[runs_file] in record.toml says which column holds what; then its rows are runs")}
	}
	j := &job{name: name, missing: "[runs_file] in record.toml says how it is read; take that out where there is none", use: r.AddRuns}
	l.do(j)
	return j.problems
}
