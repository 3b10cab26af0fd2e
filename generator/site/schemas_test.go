package site

import (
	"fmt"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"wattsheet/generator/record"
)

// checker is a program of the test tools.
func checker(t *testing.T, name string) string {
	t.Helper()
	path, err := filepath.Abs("../../testdata/tools/" + name)
	if err == nil {
		_, err = os.Stat(path)
	}
	if _, found := exec.LookPath("node"); err == nil {
		err = found
	}
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal(err)
		}
		t.Skip(err)
	}
	return path
}

// Every sheet of the demo is valid by the published schema, says a JSON Schema validator
// (ajv); one with another key, or without one, isn't.
func TestSheetsAreValid(t *testing.T) {
	checker(t, "node_modules/ajv/package.json")
	root := t.TempDir()
	files := wholeDemo(t)
	var names []string
	for path, text := range files {
		if strings.HasSuffix(path, "/sheet.json") && strings.Count(path, "/") == 2 {
			names = append(names, filepath.Join(root, fmt.Sprintf("%d.json", len(names))))
			writeFile(t, names[len(names)-1], text)
		}
	}
	schema := filepath.Join(root, "schema.json")
	writeFile(t, schema, files["schema/sheet.schema.json"])
	check := func(of ...string) (string, error) {
		c := exec.Command("node", append([]string{checker(t, "schema.mjs"), schema}, of...)...)
		out, err := c.CombinedOutput()
		return string(out), err
	}
	if out, err := check(names...); err != nil || len(names) < 10 {
		t.Errorf("%d sheets: %v\n%s", len(names), err, out[:min(len(out), 3000)])
	}
	text, err := os.ReadFile(names[0])
	if err != nil {
		t.Fatal(err)
	}
	for what, bad := range map[string]string{
		"another key": strings.Replace(string(text), `"slug"`, `"slugs": 1, "slug"`, 1),
		"no key":      strings.Replace(string(text), `"headline"`, `"tested"`, 1),
		"a text":      strings.Replace(string(text), `"version": 1`, `"version": "1"`, 1),
	} {
		writeFile(t, filepath.Join(root, "bad.json"), bad)
		if out, err := check(filepath.Join(root, "bad.json")); err == nil {
			t.Errorf("%s: %s", what, out)
		}
	}
}

// The TOML checker that editors use finds the published schemas by the first lines of the
// demo's files, nothing wrong in these, and each usual slip in a spoiled one.
func TestEditorsSchemas(t *testing.T) {
	t.Parallel() // beside others that wait for other programs
	program := checker(t, "node_modules/@taplo/cli/dist/cli.js")
	root := t.TempDir()
	b := &binder{site: &Site{Content: &record.Content{Site: &record.Site{}}}}
	for _, o := range b.schemas() {
		put(t, root, "public/"+o.Path, string(o.Bytes))
	}
	lint := func(files ...string) (string, error) {
		c := exec.Command("node", append([]string{program, "lint", "--no-auto-config"}, files...)...)
		c.Dir = root
		out, err := c.CombinedOutput()
		return string(out), err
	}
	records, err := filepath.Glob("../../content/units/*/record.toml")
	if err != nil || len(records) < 10 {
		t.Fatal(records, err)
	}
	var names []string
	for _, from := range append(records, "../../content/bench.toml", "../../content/methods.toml", "../../content/site.toml") {
		text, err := os.ReadFile(from)
		if err != nil {
			t.Fatal(err)
		}
		name := strings.TrimPrefix(filepath.ToSlash(from), "../../")
		names = append(names, name)
		put(t, root, name, string(text))
		line, _, _ := strings.Cut(string(text), "\n")
		to, named := strings.CutPrefix(line, "#:schema ")
		want := "public/" + schemaFolder + "/" + strings.TrimSuffix(path.Base(name), ".toml") + schemaEnding
		if !named || path.Join(path.Dir(name), to) != want {
			t.Errorf("%s begins with %q, and its schema is %s", name, line, want)
		}
	}
	if out, err := lint(names...); err != nil {
		t.Errorf("%v\n%s", err, out[:min(len(out), 3000)])
	}
	good, err := os.ReadFile(records[0])
	if err != nil {
		t.Fatal(err)
	}
	var spoiled []string
	for what, bad := range map[string]string{
		"another-key":       strings.Replace(string(good), "maker =", "brand = \"x\"\nmaker =", 1),
		"a-text":            strings.Replace(string(good), "year = ", "year = \"new\" # ", 1),
		"out-of-range":      strings.Replace(string(good), "year = ", "year = 1 # ", 1),
		"none-of-the-words": strings.Replace(string(good), "how = \"", "how = \"x", 1),
		"no-model":          strings.Replace(string(good), "model =", "# model =", 1),
	} {
		if bad == string(good) {
			t.Errorf("%s: nothing was spoiled", what)
		}
		spoiled = append(spoiled, "content/units/"+what+"/record.toml")
		put(t, root, spoiled[len(spoiled)-1], bad)
	}
	out, err := lint(append(spoiled, names[0])...)
	for _, name := range spoiled {
		if err == nil || !regexp.MustCompile(`invalid file.*`+regexp.QuoteMeta(name)).MatchString(out) {
			t.Errorf("nothing is found in %s: %s", name, out[:min(len(out), 3000)])
		}
	}
	if strings.Contains(out, names[0]) {
		t.Errorf("something is found in %s", names[0])
	}
}

func writeFile(t *testing.T, name, text string) {
	t.Helper()
	if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}
