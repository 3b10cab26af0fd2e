package site

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"image/png"
	"io"
	"path"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"wattsheet/generator/theme"
)

// filesWith makes all files of the demo with a text in every free field.
func filesWith(t *testing.T, text string) map[string]string {
	t.Helper()
	s, problems, err := Load("../..", today)
	if err != nil || problems.Errors() {
		t.Fatal(err, problems)
	}
	for _, r := range s.Content.Records {
		renameChannels(r, text)
		flood(reflect.ValueOf(r).Elem(), text)
	}
	for _, part := range []any{s.Content.Site, s.Content.Bench, s.Content.Methods} {
		flood(reflect.ValueOf(part).Elem(), text)
	}
	s.evaluate()
	s.Notes, s.addresses = nil, nil // notes cite channels by names that are others now, and makers have other addresses
	outputs, problems, err := s.rendered(theme.Default(), map[string]string{"style.css": "assets/style.css"})
	if err != nil || len(problems) > 0 {
		t.Fatal(err, problems)
	}
	files := map[string]string{}
	for _, o := range outputs {
		files[o.Path] = string(o.Bytes)
	}
	return files
}

// Every file that isn't a page is well-formed by its kind, says a hostile text as it was
// written where it says it, and has no line, element, cell or rule more than with a plain word.
func TestHostileFiles(t *testing.T) {
	text := "=cmd|' /C calc'!A1"
	for _, name := range []string{"script", "block", "quotes", "template", "lines", "bidi", "emoji"} {
		text += " " + smuggled[name]
	}
	text += " \"\"\" /* https://evil.example/ 301\n  Access-Control-Allow-Origin: * \u2028 --- \n- a: &b"
	plain, files := filesWith(t, "Word"), filesWith(t, text)
	count := map[string]int{}
	for name, got := range files {
		kind := path.Ext(name)
		if name == headersName || name == redirectsName || name == robotsName {
			kind = name
		}
		count[kind]++
		hostileFile(t, kind, name, got, plain[name], text)
	}
	for _, kind := range []string{".json", ".js", ".csv", ".atom", ".xml", ".svg", ".png", ".cff", ".webmanifest", headersName, robotsName} {
		if count[kind] == 0 {
			t.Errorf("no %s was looked at: %v", kind, count)
		}
	}
}

func hostileFile(t *testing.T, kind, name, got, plain, text string) {
	t.Helper()
	switch kind {
	case ".json", ".webmanifest":
		if !json.Valid([]byte(got)) {
			t.Errorf("%s is no JSON", name)
		}
	case ".js":
		object := regexp.MustCompile(`(?s)^.*?(\] = |window\.chartData = |wattsheet\.list = )`).ReplaceAllString(got, "")
		object = strings.TrimSuffix(strings.TrimSpace(object), ";")
		if strings.ContainsAny(got, "<>\u2028\u2029") || !json.Valid([]byte(object)) {
			t.Errorf("%s can end its script, or is no data", name)
		}
	case ".csv":
		hostileTable(t, name, got, plain)
	case ".atom":
		if text := atomOf(t, got, "https://"); len(text.Entries) == 0 && name == feedAtom {
			t.Errorf("%s has no entries", name)
		}
	case ".xml", ".svg":
		if a, b := elementsOf(t, name, got), elementsOf(t, name, plain); kind == ".svg" && a != b && !strings.Contains(name, "badge") || a == "" {
			t.Errorf("%s has the elements %s, not %s", name, a, b)
		}
	case ".png":
		if _, err := png.Decode(strings.NewReader(got)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	case ".cff":
		// A line is a key and a text in JSON's form, which is one of YAML 1.2 (section 1.3).
		line := regexp.MustCompile(`^(cff-version: 1\.2\.0|authors:|(  - )?[a-z-]+: (".*"))$`)
		for _, one := range strings.Split(strings.TrimSuffix(got, "\n"), "\n") {
			if m := line.FindStringSubmatch(one); m == nil || m[3] != "" && !json.Valid([]byte(m[3])) {
				t.Errorf("%s has the line %q", name, one)
			}
		}
	case headersName, redirectsName, robotsName:
		if got != plain {
			t.Errorf("%s has words of the content: %s", name, got)
		}
	}
}

// hostileTable reads a table: as many rows, and no cell that a spreadsheet takes for a formula.
func hostileTable(t *testing.T, name, got, plain string) {
	t.Helper()
	rows, err := csv.NewReader(strings.NewReader(got)).ReadAll()
	want, _ := csv.NewReader(strings.NewReader(plain)).ReadAll()
	if err != nil || len(rows) != len(want) {
		t.Errorf("%s: %d rows of %d, %v", name, len(rows), len(want), err)
	}
	number := regexp.MustCompile(`^-?[0-9.]+(e[-+]?[0-9]+)?$`)
	for _, row := range rows {
		for _, cell := range row {
			if cell != "" && strings.ContainsAny(cell[:1], "=+-@\t\r\n") && !number.MatchString(cell) {
				t.Errorf("%s has the cell %q", name, cell)
			}
		}
	}
}

// elementsOf are the elements of a document in their order.
func elementsOf(t *testing.T, name, text string) string {
	t.Helper()
	var b bytes.Buffer
	for d := xml.NewDecoder(strings.NewReader(text)); ; {
		token, err := d.Token()
		if err == io.EOF {
			return b.String()
		} else if err != nil {
			t.Errorf("%s: %v", name, err)
			return ""
		}
		if e, ok := token.(xml.StartElement); ok {
			b.WriteString(e.Name.Local + " ")
		}
	}
}
