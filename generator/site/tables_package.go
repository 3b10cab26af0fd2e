package site

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

const (
	packageName   = "datapackage.json"
	citationName  = "CITATION.cff"
	checksumsName = "SHA256SUMS"
	// capturesSums is the same for the captures, which stand with their units: apart, so
	// that a copy of the data folder alone lacks nothing that its own list names.
	capturesSums = "captures.sha256"
)

// packageNames are the files of the data folder that the site has once, whatever its size.
var packageNames = []string{tableUnits, packageName, citationName, checksumsName, capturesSums}

// The profiles of Data Package 2.0, by which a descriptor says what it is.
const packageProfiles = "https://datapackage.org/profiles/2.0/"

// A packageJSON is datapackage.json by Data Package 2.0: what the files of the data folder
// are, column by column.
type packageJSON struct {
	Profile      string           `json:"$schema"`
	Name         string           `json:"name"`
	ID           string           `json:"id,omitempty"` // the address that the folder had first
	Title        string           `json:"title"`
	Description  string           `json:"description"` // CommonMark, as the standard has it
	Homepage     string           `json:"homepage,omitempty"`
	Licenses     []packageLicence `json:"licenses,omitempty"`
	Contributors []packagePerson  `json:"contributors"`
	Sources      []packageSource  `json:"sources"`
	Resources    []any            `json:"resources"` // tables, then other files
}

type packageLicence struct {
	Name  string `json:"name,omitempty"` // by SPDX
	Path  string `json:"path"`
	Title string `json:"title"`
}

type packagePerson struct {
	Title string   `json:"title"`
	Path  string   `json:"path,omitempty"`
	Roles []string `json:"roles"`
}

type packageSource struct {
	Title string `json:"title"`
	Path  string `json:"path,omitempty"`
}

// A packageTable is a tabular resource.
type packageTable struct {
	Profile     string         `json:"$schema"`
	Name        string         `json:"name"`
	Type        string         `json:"type"`
	Path        string         `json:"path"`
	Title       string         `json:"title"`
	Description string         `json:"description"`
	Format      string         `json:"format"`
	MediaType   string         `json:"mediatype"`
	Encoding    string         `json:"encoding"`
	Bytes       int            `json:"bytes"`
	Hash        string         `json:"hash"`
	Dialect     packageDialect `json:"dialect"`
	Schema      packageSchema  `json:"schema"`
}

type packageDialect struct {
	Profile    string `json:"$schema"`
	Header     bool   `json:"header"`
	Delimiter  string `json:"delimiter"`
	Terminator string `json:"lineTerminator"`
	Quote      string `json:"quoteChar"`
	Double     bool   `json:"doubleQuote"`
}

type packageSchema struct {
	Profile string           `json:"$schema"`
	Fields  []packageField   `json:"fields"`
	Missing []string         `json:"missingValues"`
	Primary []string         `json:"primaryKey,omitempty"`
	Unique  [][]string       `json:"uniqueKeys,omitempty"`
	Foreign []packageForeign `json:"foreignKeys,omitempty"`
}

type packageField struct {
	Name        string              `json:"name"`
	Type        string              `json:"type"`
	Description string              `json:"description"`
	Unit        string              `json:"unit,omitempty"`
	UnitCode    string              `json:"unitCode,omitempty"` // by UN/CEFACT Recommendation 20
	Constraints *packageConstraints `json:"constraints,omitempty"`
}

type packageConstraints struct {
	Required bool     `json:"required,omitempty"`
	Enum     []string `json:"enum,omitempty"`
}

type packageForeign struct {
	Fields    []string         `json:"fields"`
	Reference packageReference `json:"reference"`
}

type packageReference struct {
	Resource string   `json:"resource"`
	Fields   []string `json:"fields"`
}

// toUnits is the key by which claims and runs belong to a unit.
var toUnits = []packageForeign{{[]string{"slug"}, packageReference{"units", []string{"slug"}}}}

// dataPackage makes the files of the data folder that the site has once.
func (b *binder) dataPackage(units []*brief) []Output {
	table := []byte(headOf(columnsOf(unitCells)))
	for _, u := range units {
		table = append(table, u.Tabled.Unit...)
	}
	outputs := []Output{{Path: dataFolder + "/" + tableUnits, Bytes: table}}
	files := described(outputs)
	p := b.describedPackage()
	p.Resources = append(p.Resources, tableOfFile(files[0], "units", "Units", "A row for each unit that was tested.", packageSchema{
		Fields: packageFields(columnsOf(unitCells)), Primary: []string{"slug"},
	}))
	var claims, runs []any
	for i, some := range tablesOf(units) {
		two := b.tables.describe(strconv.Itoa(i+1), some)
		files = append(files, two...)
		claims = append(claims, tableOfFile(two[0], strings.TrimSuffix(two[0].Name, ".csv"), "Claims",
			"A row for each claim of a maker, with what was measured for it and what was decided.", packageSchema{
				Fields: packageFields(columnsOf(claimCells)), Primary: []string{"slug", "claim"}, Foreign: toUnits,
			}))
		runs = append(runs, tableOfFile(two[1], strings.TrimSuffix(two[1].Name, ".csv"), "Runs",
			"A row for each run and channel; figures of a whole run stand in each of its rows.", packageSchema{
				Fields: packageFields(runColumns()), Unique: [][]string{{"slug", "run", "channel"}}, Foreign: toUnits,
			}))
	}
	recorded, kept := b.packageCaptures(units)
	p.Resources = slices.Concat(p.Resources, claims, runs, recorded)
	outputs = append(outputs, Output{Path: dataFolder + "/" + packageName, Bytes: asIndented(p)}, Output{Path: dataFolder + "/" + citationName, Bytes: b.citation()})
	files = append(files, described(outputs[1:])...)
	outputs = append(outputs, Output{Path: dataFolder + "/" + checksumsName, Bytes: checksums(files)})
	if len(kept) > 0 {
		outputs = append(outputs, Output{Path: dataFolder + "/" + capturesSums, Bytes: checksums(kept)})
	}
	return outputs
}

// describedPackage is the package without its tables.
func (b *binder) describedPackage() *packageJSON {
	site := b.site.Content.Site
	p := &packageJSON{
		Profile: packageProfiles + "datapackage.json", Name: "amplifier-measurements", Title: site.Title,
		Description: join(" ", plainMark(sentence(site.Tagline)), "Measured amplifiers, what their makers claim, and what was decided, with expanded uncertainties for a coverage probability of 95 %. "+
			"A text that a spreadsheet would take for a formula has an apostrophe before it.", plainMark(site.Notice)),
		Homepage: b.base(), Contributors: []packagePerson{{Title: site.Tester, Path: b.base(), Roles: []string{"creator"}}},
		Sources: []packageSource{{Title: "How the figures were measured and decided"}},
	}
	if b.base() != "" {
		p.ID = b.lasting(dataFolder + "/")
		p.Sources[0].Path = b.base() + methodologyName + "/"
	}
	if l := site.Licence; l.Stated() {
		p.Licenses = []packageLicence{{l.SPDX, l.Address, l.Name}}
	}
	return p
}

// plainMark is a text that CommonMark shows as it is: what could begin markup in a sentence has
// a backslash before it (CommonMark 0.31.2, section 2.4).
func plainMark(text string) string { return markStarts.Replace(text) }

var markStarts = strings.NewReplacer(`\`, `\\`, "<", `\<`, "[", `\[`, "]", `\]`, "*", `\*`, "_", `\_`, "`", "\\`")

// tableOfFile describes one file.
func tableOfFile(f tableFile, name, title, about string, schema packageSchema) packageTable {
	schema.Profile, schema.Missing = packageProfiles+"tableschema.json", []string{""}
	return packageTable{
		Profile: packageProfiles + "dataresource.json", Name: name, Type: "table", Path: f.Name, Title: title, Description: about,
		Format: "csv", MediaType: "text/csv", Encoding: "utf-8", Bytes: f.Size, Hash: "sha256:" + string(f.Digest),
		Dialect: packageDialect{packageProfiles + "tabledialect.json", true, ",", "\r\n", `"`, true},
		Schema:  schema,
	}
}

func packageFields(columns []tableColumn) (out []packageField) {
	for _, c := range columns {
		f := packageField{Name: c.name, Type: c.kind, Description: c.about + ".", Unit: c.unit, UnitCode: unitCodes[c.unit]}
		if c.need || c.words != nil {
			f.Constraints = &packageConstraints{c.need, c.words}
		}
		out = append(out, f)
	}
	return out
}

// asIndented writes a value of plain types as JSON with a line end at its end; < and > in
// texts stay what they are, as the file is no page.
func asIndented(value any) []byte {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(value); err != nil {
		panic("site: " + err.Error())
	}
	return b.Bytes()
}

// citation is CITATION.cff by the Citation File Format 1.2.0: what site.toml states, and
// nothing else. A text in JSON's quotes is one in YAML's.
func (b *binder) citation() []byte {
	site := b.site.Content.Site
	var out bytes.Buffer
	line := func(key, text string) {
		if text != "" {
			fmt.Fprintf(&out, "%s: %s\n", key, bytes.TrimSpace(asIndented(text)))
		}
	}
	out.WriteString("cff-version: 1.2.0\n")
	line("message", "If you use these data, please cite them as below.")
	line("type", "dataset")
	line("title", site.Title)
	line("abstract", site.Tagline)
	out.WriteString("authors:\n")
	line("  - name", site.Tester)
	line("url", b.base())
	line("license", site.Licence.SPDX)
	line("license-url", site.Licence.Address)
	return out.Bytes()
}

// checksums is a list of digests, as sha256sum writes and checks it from the folder that
// it stands in.
func checksums(files []tableFile) []byte {
	var out bytes.Buffer
	for _, f := range slices.SortedFunc(slices.Values(files), func(a, b tableFile) int { return cmp.Compare(a.Name, b.Name) }) {
		fmt.Fprintf(&out, "%s  %s\n", f.Digest, f.Name)
	}
	return out.Bytes()
}
