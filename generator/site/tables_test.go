package site

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"wattsheet/generator/publication"
)

// A readTable is a table as a reader of RFC 4180 has it: rows by column.
type readTable []map[string]string

func tableFrom(t *testing.T, data string) readTable {
	t.Helper()
	// RFC 4180, section 2, 1: every line ends with CRLF. Within quotes there may be others,
	// which csv.Reader leaves to us.
	if !strings.HasSuffix(data, "\r\n") {
		t.Fatal("the table doesn't end with CRLF")
	}
	r := csv.NewReader(strings.NewReader(data))
	rows, err := r.ReadAll() // checks that all rows have as many fields (section 2, 4)
	if err != nil {
		t.Fatal(err)
	}
	var out readTable
	for _, row := range rows[1:] {
		cells := map[string]string{}
		for i, name := range rows[0] {
			if _, twice := cells[name]; twice {
				t.Fatalf("two columns are called %s", name)
			}
			cells[name] = row[i]
		}
		out = append(out, cells)
	}
	return out
}

// tree reads a JSON file as what any reader has of it.
func treeOf(t *testing.T, data string) map[string]any {
	t.Helper()
	d := json.NewDecoder(strings.NewReader(data))
	d.UseNumber()
	out := map[string]any{}
	if err := d.Decode(&out); err != nil {
		t.Fatal(err)
	}
	return out
}

// leafSaid is a leaf of a JSON tree as a cell says it: "" for what isn't there.
func leafSaid(of any, path ...string) string {
	for _, key := range path {
		m, _ := of.(map[string]any)
		of = m[key]
	}
	switch v := of.(type) {
	case json.Number:
		return v.String()
	case string:
		return v
	case bool:
		return strconv.FormatBool(v)
	case []any:
		var all []string
		for _, one := range v {
			all = append(all, leafSaid(one))
		}
		return strings.Join(all, "; ")
	}
	return ""
}

// wholeDemo are the files of the demo, by path.
func wholeDemo(t *testing.T) map[string]string {
	t.Helper()
	s, problems, err := Load("../..", today)
	if err != nil || problems.Errors() {
		t.Fatal(err, problems)
	}
	outputs, problems, err := s.outputs(stillOnly())
	if err != nil || problems.Errors() {
		t.Fatal(err, problems)
	}
	files := map[string]string{}
	for _, o := range outputs {
		files[o.Path] = string(o.Bytes)
	}
	return files
}

// Every cell of the claims' table is what sheet.json says, digit for digit, and there is a
// row for each of its claims.
func TestTablesAreTheSheets(t *testing.T) {
	files := wholeDemo(t)
	claims, runs, units := tableFrom(t, files["data/claims.csv"]), tableFrom(t, files["data/runs.csv"]), tableFrom(t, files["data/units.csv"])
	n, m := 0, 0
	for _, u := range units {
		sheet := treeOf(t, files["units/"+u["slug"]+"/sheet.json"])
		unitIsRow(t, sheet, u)
		list := sheet["claims"].([]any)
		if u["claims"] != strconv.Itoa(len(list)) || u["runs"] != strconv.Itoa(len(sheet["runs"].([]any))) {
			t.Errorf("%s: %s claims, %s runs", u["slug"], u["claims"], u["runs"])
		}
		for _, c := range list {
			if claims[n]["slug"] != u["slug"] {
				t.Fatalf("row %d of claims.csv is of %s, not %s", n, claims[n]["slug"], u["slug"])
			}
			claimIsRow(t, c.(map[string]any), claims[n])
			n++
		}
		// The unit's own table has the same rows behind the slug; TestFiguresReadBack has its figures.
		for _, row := range tableFrom(t, files["units/"+u["slug"]+"/runs.csv"]) {
			for name, cell := range row {
				if runs[m][name] != cell || runs[m]["slug"] != u["slug"] {
					t.Errorf("%s, run %s: %s is %q and %q", u["slug"], row["run"], name, cell, runs[m][name])
				}
			}
			runIsRow(t, sheet, row)
			m++
		}
	}
	if n != len(claims) || m != len(runs) || n < 50 || m < 200 {
		t.Errorf("%d of %d claims, %d of %d runs were compared", n, len(claims), m, len(runs))
	}
}

// claimIsRow compares a claim of sheet.json with its row.
func claimIsRow(t *testing.T, c map[string]any, row map[string]string) {
	t.Helper()
	want := map[string]string{
		"claim": leafSaid(c, "id"), "label": leafSaid(c, "label"), "quantity": leafSaid(c, "stated", "quantity"), "claimed_w": leafSaid(c, "stated", "power_w"),
		"load_ohm": leafSaid(c, "stated", "load_ohm"), "channels": leafSaid(c, "stated", "channels"), "of": leafSaid(c, "stated", "of"),
		"driven": leafSaid(c, "stated", "driven"), "bridged": leafSaid(c, "stated", "bridged"), "supply_v": leafSaid(c, "stated", "supply_v"),
		"thdn_pct": leafSaid(c, "stated", "thdn_pct"), "signal": leafSaid(c, "stated", "signal"), "duration_s": leafSaid(c, "stated", "duration_s"),
		"printed_in": leafSaid(c, "stated", "printed_in"), "conditions": leafSaid(c, "conditions"), "assumed": leafSaid(c, "assumed"),
		"limit_w": leafSaid(c, "limit_w"), "verdict": leafSaid(c, "verdict"), "reason": leafSaid(c, "reason"), "why": leafSaid(c, "why"),
		"freq_low_hz": endOf(c, 0), "freq_high_hz": endOf(c, -1), "level_db_k": leafSaid(c, "level", "k"),
		"p_low": leafSaid(c, "p", "low"), "p_high": leafSaid(c, "p", "high"), "channel": leafSaid(c, "weakest"),
		"bar_low_w": leafSaid(c, "bar_w", "low"), "bar_high_w": leafSaid(c, "bar_w", "high"),
		"level_db": leafSaid(c, "level", "value"), "level_expanded_db": leafSaid(c, "level", "expanded"),
		"flip_shift_w": leafSaid(c, "flip", "shift_w"), "flip_shift_to": leafSaid(c, "flip", "shift_to"),
	}
	channels, _ := c["channels"].([]any)
	for _, ch := range channels {
		if leafSaid(ch, "channel") != leafSaid(c, "weakest") {
			continue
		}
		for name, key := range map[string]string{
			"measured_w": "value", "measured_expanded_w": "expanded", "measured_w_k": "k", "measured_w_dof": "dof", "measured_w_lacks": "incomplete",
		} {
			want[name] = leafSaid(ch, "mean", key)
		}
		want["class"], want["runs"] = leafSaid(ch, "class"), leafSaid(ch, "runs")
	}
	for name := range row {
		if _, compared := want[name]; !compared && row[name] != "" && !slices.Contains([]string{"slug", "sheet", "unit"}, name) {
			t.Errorf("claim %s: %s is %q, and sheet.json has no such thing", want["claim"], name, row[name])
		}
	}
	for name, text := range want {
		if row[name] != text {
			t.Errorf("claim %s: %s is %q, and %q in sheet.json", want["claim"], name, row[name], text)
		}
	}
}

// endOf is the first or last frequency of a claim.
func endOf(c map[string]any, i int) string {
	stated, _ := c["stated"].(map[string]any)
	switch v := stated["freq_hz"].(type) {
	case []any:
		return leafSaid(v[(i+len(v))%len(v)])
	case json.Number:
		return v.String()
	}
	return ""
}

// unitIsRow compares all of a sheet with its row of units.csv.
func unitIsRow(t *testing.T, sheet map[string]any, row map[string]string) {
	t.Helper()
	want := map[string]string{
		"slug": leafSaid(sheet, "slug"), "sheet": leafSaid(sheet, "sheet"), "currency": leafSaid(sheet, "site", "currency"),
		"came": leafSaid(sheet, "source", "how"), "came_from": leafSaid(sheet, "source", "from"), "links_earn": leafSaid(sheet, "source", "links_earn"),
		"tested": leafSaid(sheet, "tested")[:len("2006-01-02")], "headline": leafSaid(sheet, "headline"),
		"page": leafSaid(sheet, "site", "address") + "units/" + leafSaid(sheet, "slug") + "/",
	}
	for _, name := range []string{"maker", "model", "year", "kind", "class", "use", "supply", "condition", "price"} {
		want[name] = leafSaid(sheet, "unit", name)
	}
	channels, _ := sheet["unit"].(map[string]any)["channels"].([]any)
	runs, _ := sheet["runs"].([]any)
	claims, _ := sheet["claims"].([]any)
	want["channels"], want["runs"], want["claims"] = strconv.Itoa(len(channels)), strconv.Itoa(len(runs)), strconv.Itoa(len(claims))
	for _, word := range []string{"met", "short", "open", "untested", "incomparable"} {
		n := 0
		for _, c := range claims {
			if leafSaid(c, "verdict") == word {
				n++
			}
		}
		want["claims_"+word] = strconv.Itoa(n)
	}
	for name, cell := range row {
		if text, compared := want[name]; !compared || cell != text {
			t.Errorf("%s: %s is %q in units.csv, and %q in sheet.json", want["slug"], name, cell, text)
		}
	}
}

// runIsRow compares how a run was made, and how it ended, with its row of runs.csv.
func runIsRow(t *testing.T, sheet map[string]any, row map[string]string) {
	t.Helper()
	for _, run := range sheet["runs"].([]any) {
		if leafSaid(run, "id") != row["run"] {
			continue
		}
		want := map[string]string{"invalid_because": leafSaid(run, "invalid"), "unit": leafSaid(sheet, "name"), "sheet": leafSaid(sheet, "sheet")}
		for _, name := range []string{"at", "outcome", "valid", "method", "freq_hz", "bridged", "ambient_c", "warm_up_min", "lasted_s", "remarks"} {
			want[name] = leafSaid(run, name)
		}
		channels, _ := run.(map[string]any)["channels"].([]any)
		want["driven"] = strconv.Itoa(len(channels))
		for _, c := range channels {
			if leafSaid(c, "channel") == row["channel"] {
				want["load"], want["nominal_ohm"] = leafSaid(c, "load"), leafSaid(c, "nominal_ohm")
			}
		}
		for name, text := range want {
			if row[name] != text {
				t.Errorf("%s, run %s: %s is %q in runs.csv, and %q in sheet.json", row["unit"], row["run"], name, row[name], text)
			}
		}
		return
	}
	t.Errorf("%s: sheet.json has no run %s", row["unit"], row["run"])
}

// The descriptor keeps the rules of Data Package 2.0 (datapackage.org/standard, read in its
// profiles): names, types, keys that are columns, and hashes of the files that stand there.
// The rules are stated from memory.
func TestDataPackage(t *testing.T) {
	files := wholeDemo(t)
	p := treeOf(t, files["data/datapackage.json"])
	names := regexp.MustCompile(`^[-a-z0-9._/]+$`)
	types := []string{"string", "number", "integer", "boolean", "date", "year"}
	fields := map[string]map[string]string{} // of each resource, by name: the types
	for _, one := range p["resources"].([]any) {
		r := one.(map[string]any)
		name, data := leafSaid(r, "name"), files["data/"+leafSaid(r, "path")]
		if _, elsewhere, found := strings.Cut(leafSaid(r, "path"), "/units/"); found {
			if data = files["units/"+elsewhere]; leafSaid(r, "hash") != "sha256:"+string(publication.DigestOf([]byte(data))) || !names.MatchString(name) {
				t.Errorf("resource %q has the hash %s", name, leafSaid(r, "hash"))
			}
			continue
		}
		if !names.MatchString(name) || fields[name] != nil || data == "" {
			t.Errorf("resource %q", name)
		}
		if leafSaid(r, "bytes") != strconv.Itoa(len(data)) || leafSaid(r, "hash") != "sha256:"+string(publication.DigestOf([]byte(data))) {
			t.Errorf("%s: bytes %s, hash %s", name, leafSaid(r, "bytes"), leafSaid(r, "hash"))
		}
		schema := r["schema"].(map[string]any)
		fields[name] = map[string]string{}
		table := tableFrom(t, data)
		head := strings.Split(strings.SplitN(data, "\r\n", 2)[0], ",")
		for i, f := range schema["fields"].([]any) {
			column := leafSaid(f, "name")
			if column != head[i] || !slices.Contains(types, leafSaid(f, "type")) || !strings.HasSuffix(leafSaid(f, "description"), ".") {
				t.Errorf("%s: field %v in place of %s", name, f, head[i])
			}
			fields[name][column] = leafSaid(f, "type")
			for _, row := range table {
				cellIs(t, name, f.(map[string]any), row[column])
			}
		}
		if len(fields[name]) != len(head) {
			t.Errorf("%s has %d columns and %d fields", name, len(head), len(fields[name]))
		}
		keysHold(t, name, schema, table)
	}
	if len(fields) != 3 || !strings.Contains(files["data/datapackage.json"], `"name": "CC-BY-4.0"`) {
		t.Errorf("%d resources", len(fields))
	}
}

// cellIs checks a cell against its field.
func cellIs(t *testing.T, table string, field map[string]any, cell string) {
	t.Helper()
	constraints, _ := field["constraints"].(map[string]any)
	if cell == "" {
		if constraints["required"] == true {
			t.Errorf("%s lacks a %s", table, leafSaid(field, "name"))
		}
		return
	}
	form := map[string]string{
		"number": `^-?\d+(\.\d+)?([eE][-+]?\d+)?$`, "integer": `^-?\d+$`, "boolean": `^(true|false)$`, "date": `^\d{4}-\d\d-\d\d$`, "year": `^\d{4}$`,
	}[leafSaid(field, "type")]
	if form != "" && !regexp.MustCompile(form).MatchString(cell) {
		t.Errorf("%s: %s is %q and no %s", table, leafSaid(field, "name"), cell, leafSaid(field, "type"))
	}
	if words, _ := constraints["enum"].([]any); words != nil && !slices.ContainsFunc(words, func(w any) bool { return w == cell }) {
		t.Errorf("%s: %s is %q, and none of %v", table, leafSaid(field, "name"), cell, words)
	}
}

// keysHold checks that keys are unique.
func keysHold(t *testing.T, name string, schema map[string]any, table readTable) {
	t.Helper()
	keys, _ := schema["uniqueKeys"].([]any)
	if primary := schema["primaryKey"]; primary != nil {
		keys = append(keys, primary)
	}
	if keys == nil {
		t.Errorf("%s has no key", name)
	}
	for _, key := range keys {
		seen := map[string]bool{}
		for _, row := range table {
			var id strings.Builder
			for _, column := range key.([]any) {
				id.WriteString(row[column.(string)] + "\x00")
			}
			if seen[id.String()] {
				t.Errorf("%s has %q twice", name, id.String())
			}
			seen[id.String()] = true
		}
	}
}

// sha256sum itself finds every file of the data folder as SHA256SUMS says.
func TestChecksums(t *testing.T) {
	program, err := exec.LookPath("sha256sum")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal(err)
		}
		t.Skip("sha256sum is not here")
	}
	root := several(t)
	built(t, root, "public", today)
	check := exec.Command(program, "--strict", "-c", checksumsName)
	check.Dir = filepath.Join(root, "public", dataFolder)
	out, err := check.CombinedOutput()
	for _, name := range []string{"units.csv", "claims.csv", "runs.csv", packageName, citationName} {
		if !bytes.Contains(out, []byte(name+": OK\n")) {
			t.Errorf("%s isn't checked: %s", name, out)
		}
	}
	if err != nil {
		t.Errorf("%v: %s", err, out)
	}
}

// A copy of the data folder alone is whole by its own list; that of the captures is checked
// where their units are.
func TestChecksumsOfACopy(t *testing.T) {
	program, err := exec.LookPath("sha256sum")
	if err != nil {
		t.Skip("sha256sum is not here")
	}
	root := tiny(t, capturesFiles(t, ""))
	built(t, root, "public", today)
	data, alone := filepath.Join(root, "public", dataFolder), t.TempDir()
	if err := os.CopyFS(alone, os.DirFS(data)); err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct{ folder, list, has string }{
		{data, checksumsName, packageName + ": OK\n"},
		{alone, checksumsName, packageName + ": OK\n"},
		{data, capturesSums, "captures/c01/r1.wav: OK\n"},
	} {
		check := exec.Command(program, "--strict", "-c", row.list)
		check.Dir = row.folder
		if out, err := check.CombinedOutput(); err != nil || !strings.Contains(string(out), row.has) {
			t.Errorf("%s: %v: %s", row.list, err, out)
		}
	}
}

// What the tester didn't state isn't in the citation, and no text breaks out of it.
func TestCitation(t *testing.T) {
	root := several(t)
	replaceIn(t, root, "content/site.toml", "tester = ", "tester = \"A: \\\"b\\\" # c\" #")
	built(t, root, "public", today)
	data, err := os.ReadFile(filepath.Join(root, "public", dataFolder, citationName))
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(data), "\n  - name: \"A: \\\"b\\\" # c\"\n") || strings.Contains(string(data), "license") {
		t.Errorf("%s", data)
	}
}

// A large site has its claims and runs in several files; an edit makes only that file again
// which has the unit, and rows that were lost are made again.
func TestTablesOfALargeSite(t *testing.T) {
	var slugs []string
	for i := range 2*unitsPerTable + 1 {
		slugs = append(slugs, strconv.Itoa(10_000+i))
	}
	of := tableOf(slugs)
	if of[slugs[0]] != "1" || of[slugs[unitsPerTable-1]] != "1" || of[slugs[unitsPerTable]] != "2" || of[slugs[2*unitsPerTable]] != "3" {
		t.Error("units are in other tables")
	}
	for _, name := range []string{"claims.csv", "runs.csv", "claims-2.csv", "runs-17.csv"} {
		if table, _, _ := strings.Cut(strings.TrimSuffix(name, ".csv"), "-"); tableName(table, tableNumber(name)) != name {
			t.Errorf("%s is %q", name, tableNumber(name))
		}
	}
	if tableNumber("runs.json") != "" || tableNumber("units.csv") != "" {
		t.Error("another file is taken for a table")
	}
}

// Rows that were kept are those that were made; without them, or with other ones in their
// place, units are evaluated again, and the files are the same.
func TestRowsAreMadeAgain(t *testing.T) {
	root := several(t)
	built(t, root, "public", today)
	name := filepath.Join(root, "public", dataFolder, "runs.csv")
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	kept, err := filepath.Glob(filepath.Join(root, rowsFolder, "*"))
	if err != nil || len(kept) < 2 {
		t.Fatal(kept, err)
	}
	torn, err := os.ReadFile(kept[0])
	if err != nil {
		t.Fatal(err)
	}
	for what, spoil := range map[string]func() error{
		"gone":    func() error { return os.RemoveAll(filepath.Join(root, rowsFolder)) },
		"torn":    func() error { return os.WriteFile(kept[0], torn[:len(torn)-9], 0o644) },
		"another": func() error { return os.WriteFile(kept[1], torn, 0o644) },
	} {
		if err := spoil(); err != nil {
			t.Fatal(err)
		}
		if err := os.Remove(name); err != nil {
			t.Fatal(err)
		}
		built(t, root, "public", today)
		if got, err := os.ReadFile(name); err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s: runs.csv is another one, %v", what, err)
		}
	}
}

// How the tables came out is known also after a build with nothing to make, so that an edit
// doesn't make the tables of other units again.
func TestTablesStayKnown(t *testing.T) {
	root := several(t)
	for range 2 {
		built(t, root, "public", today)
		d, err := openDraft(root, stillOnly(), true)
		if err != nil {
			t.Fatal(err)
		}
		if d.readTables(); len(d.tables) != 1 {
			t.Errorf("%d tables are known", len(d.tables))
		}
		d.Close()
	}
}

// A name can't become a formula or a cell of its own.
func TestHostileTables(t *testing.T) {
	root := several(t)
	replaceIn(t, root, "content/units/fieldfarelug-1/record.toml", "maker = ", "maker = \"=1+2\\\",\\\"x\" #")
	built(t, root, "public", today)
	for _, name := range []string{"units.csv", "claims.csv", "runs.csv"} {
		data, err := os.ReadFile(filepath.Join(root, "public", dataFolder, name))
		if err != nil {
			t.Fatal(err)
		}
		found := false
		for _, row := range tableFrom(t, string(data)) {
			for _, cell := range row {
				if strings.ContainsAny(cell[:min(1, len(cell))], "=@") {
					t.Errorf("%s has the cell %q", name, cell)
				}
				found = found || strings.HasPrefix(cell, `'=1+2","x`)
			}
		}
		if !found {
			t.Errorf("%s doesn't have the name", name)
		}
	}
}
