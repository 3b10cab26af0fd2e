package site

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/andybalholm/cascadia"

	"wattsheet/generator/record"
)

// A headerRule is one rule of a header file: a path, headers taken off, headers set.
type headerRule struct {
	path string
	off  []string
	set  map[string]string
}

// rulesOf reads a header file and holds it to the hosts' limits: 100 rules, 2,000
// characters a line, one splat a rule.
func rulesOf(t *testing.T, text string) (rules []headerRule) {
	t.Helper()
	for line := range strings.Lines(text) {
		line = strings.TrimSuffix(line, "\n")
		if len(line) > headerLine {
			t.Errorf("a line of %d characters", len(line))
		}
		inner, indented := strings.CutPrefix(line, "  ")
		switch {
		case !indented:
			if !strings.HasPrefix(line, "/") || strings.Count(line, "*") > 1 {
				t.Errorf("the path %q", line)
			}
			rules = append(rules, headerRule{path: line, set: map[string]string{}})
		case strings.HasPrefix(inner, "! "):
			last := &rules[len(rules)-1]
			last.off = append(last.off, inner[2:])
		default:
			name, value, ok := strings.Cut(inner, ": ")
			if !ok || strings.ContainsAny(name, " *") {
				t.Errorf("the line %q", line)
			}
			rules[len(rules)-1].set[name] = value
		}
	}
	if len(rules) > headerRules {
		t.Errorf("%d rules", len(rules))
	}
	return rules
}

// headersFor are the headers that a host sends with a path: all rules that match apply in
// turn, values of one name are joined, and "!" takes off what earlier rules set.
func headersFor(rules []headerRule, path string) map[string]string {
	out := map[string]string{}
	for _, r := range rules {
		form := regexp.QuoteMeta(r.path)
		form = strings.ReplaceAll(form, `\*`, ".*")
		form = regexp.MustCompile(`:[a-z]+`).ReplaceAllString(form, "[^/]+")
		if !regexp.MustCompile("^" + form + "$").MatchString(path) {
			continue
		}
		for _, name := range r.off {
			delete(out, name)
		}
		for name, value := range r.set {
			if out[name] != "" {
				value = out[name] + ", " + value
			}
			out[name] = value
		}
	}
	return out
}

// Each path gets its headers: one policy, that of the pages themselves and who may frame
// them; what has its digest in its name for good, all else looked at again.
func TestHeadersOfEachPath(t *testing.T) {
	files := made(t, loaded(t, addressed(t, nil, "https://x.example/", "")), withScript())
	rules := rulesOf(t, files["_headers"])
	own := attr(cascadia.Query(parse(t, []byte(files["index.html"])), cascadia.MustCompile("meta[http-equiv=Content-Security-Policy]")), "content")
	if own != pagePolicy {
		t.Errorf("pages have the policy %q, headers %q", own, pagePolicy)
	}
	if strings.Contains(pagePolicy, "unsafe") || !strings.HasPrefix(pagePolicy, "default-src 'none'") {
		t.Errorf("the policy is %q", pagePolicy)
	}
	for path := range files {
		got := headersFor(rules, "/"+strings.TrimSuffix(path, "index.html"))
		cache := "no-cache"
		if hashedAsset.MatchString(path) {
			cache = "public, max-age=31536000, immutable"
		}
		if got["Cache-Control"] != cache {
			t.Errorf("%s: Cache-Control is %q", path, got["Cache-Control"])
		}
		framed := "'none'"
		if _, rest, _ := strings.Cut(strings.TrimPrefix(path, unitsFolder+"/"), "/"); strings.HasPrefix(rest, embedName+"/") {
			framed = "*"
		}
		if got["Content-Security-Policy"] != pagePolicy+"; frame-ancestors "+framed || got["X-Content-Type-Options"] != "nosniff" || got["Referrer-Policy"] != "strict-origin-when-cross-origin" {
			t.Errorf("%s: %v", path, got)
		}
	}
	embed := headersFor(rules, "/units/otter-20/embed/power-by-load/")
	if embed["Content-Security-Policy"] != pagePolicy+"; frame-ancestors *" || embed["X-Content-Type-Options"] != "nosniff" {
		t.Errorf("an embedded page: %v", embed)
	}
	if headersFor(rules, "/units/otter-20/sheet.json")["Access-Control-Allow-Origin"] != "*" || headersFor(rules, "/units/otter-20/")["Access-Control-Allow-Origin"] != "" {
		t.Error("data may be read by anybody's programs, pages not")
	}
	plain := made(t, loaded(t, tiny(t, nil)), stillOnly())
	if strings.Contains(plain["_headers"], "Strict-Transport") || !strings.Contains(files["_headers"], "Strict-Transport") {
		t.Error("only a site whose address is https: promises to stay so")
	}
	below := made(t, loaded(t, addressed(t, nil, "https://x.example/tests/", "")), stillOnly())
	if strings.Contains(below["_headers"], "Strict-Transport") {
		t.Error("a site in a folder of a host speaks for the whole host")
	}
}

const otterMoved = "\n[[moved]]\nfrom = \"/units/otter/\"\nto = \"/units/ottersprocket-20/\"\n"

// An old address leads to the new one, with all below it: by the host, and by a page.
func TestMovedPagesLeadOn(t *testing.T) {
	root := addressed(t, nil, "https://x.example/amps/", "")
	appended("content/site.toml", otterMoved+"[[moved]]\nfrom = \"/imprint/\"\nto = \"/about/\"\n")(t, root)
	files := made(t, loaded(t, root), stillOnly())
	want := "/amps/units/otter/ /amps/units/ottersprocket-20/ 301\n" +
		"/amps/units/otter/derivation/ /amps/units/ottersprocket-20/derivation/ 301\n" +
		"/amps/units/otter/near/ /amps/units/ottersprocket-20/near/ 301\n" +
		"/amps/imprint/ /amps/about/ 301\n" +
		"/amps/units/otter/* /amps/units/ottersprocket-20/:splat 301\n" +
		"/amps/imprint/* /amps/about/:splat 301\n"
	if files["_redirects"] != want {
		t.Errorf("got\n%swant\n%s", files["_redirects"], want)
	}
	for from, to := range map[string]string{
		"units/otter/": "../../units/ottersprocket-20/index.html", "units/otter/derivation/": "../../../units/ottersprocket-20/derivation/index.html", "imprint/": "../about/index.html",
	} {
		doc := parse(t, []byte(files[from+"index.html"]))
		for selector, attribute := range map[string]string{"meta[http-equiv=refresh]": "0; url=" + to, "main a": to} {
			n := cascadia.Query(doc, cascadia.MustCompile(selector))
			if n == nil || attr(n, "content")+attr(n, "href") != attribute {
				t.Errorf("%s: %s doesn't lead to %s", from, selector, to)
			}
		}
		canonical := attr(cascadia.Query(doc, cascadia.MustCompile("link[rel=canonical]")), "href")
		if canonical != "https://x.example/amps/"+strings.TrimSuffix(strings.TrimLeft(to, "./"), "index.html") {
			t.Errorf("%s: the canonical address is %s", from, canonical)
		}
	}
	if strings.Contains(files["sitemap.xml"], "units/otter/") {
		t.Error("the sitemap has an old address")
	}
}

// A move from a page that is there, or to none, is a mistake with its place.
func TestMovesThatLeadNowhere(t *testing.T) {
	for text, want := range map[string]string{
		`from = "/about/"` + "\n" + `to = "/methodology/"`:                                                "there is a page at /about/",
		`from = "/was/"` + "\n" + `to = "/units/nothing/"`:                                                "there is no page at /units/nothing/",
		`from = "/was/"` + "\n" + `to = "/was/"`:                                                          "/was/ has moved itself",
		`from = "was"` + "\n" + `to = "/about/"`:                                                          "no address of a page",
		`from = "/was/../x/"` + "\n" + `to = "/about/"`:                                                   "no address of a page",
		`from = "https://x.example/"` + "\n" + `to = "/about/"`:                                           "an address with the site's name in it",
		`from = "/a/"` + "\n" + `to = "/b/"` + "\n[[moved]]\n" + `from = "/a/"` + "\n" + `to = "/about/"`: "stands in two",
	} {
		root := tiny(t, nil)
		appended("content/site.toml", "\n[[moved]]\n"+text+"\n")(t, root)
		s, problems, err := Load(root, today)
		if err != nil {
			t.Fatal(err)
		}
		if !problems.Errors() {
			_, problems, _ = s.outputs(stillOnly())
		}
		if !strings.Contains(problems.Error(), want) || !strings.Contains(problems.Error(), "content/site.toml:") {
			t.Errorf("%s\ngives\n%s", text, problems.Error())
		}
	}
}

// promised builds a site and keeps its addresses.
func promised(t *testing.T, root string) (added, all int) {
	t.Helper()
	d, err := openDraft(root, stillOnly(), false)
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	if b, err := d.Build(today, filepath.Join(root, "public")); err != nil || b.Problems.Errors() {
		t.Fatal(err, b.Problems)
	}
	if added, all, err = d.Promise(); err != nil {
		t.Fatal(err)
	}
	return added, all
}

// A promised address is there in each later build, or the build fails and says what to do;
// a move keeps the promise. While content is edited it is only a warning.
func TestPromisedAddressesStay(t *testing.T) {
	root := several(t)
	if added, all := promised(t, root); added != all || all < 12 {
		t.Errorf("%d of %d are new", added, all)
	}
	first, err := os.ReadFile(filepath.Join(root, "content/addresses.toml"))
	if err != nil {
		t.Fatal(err)
	}
	if added, _ := promised(t, root); added != 0 {
		t.Errorf("%d are new with nothing changed", added)
	}
	if err := os.Rename(filepath.Join(root, "content/units/fieldfarelug-1"), filepath.Join(root, "content/units/fieldfare")); err != nil {
		t.Fatal(err)
	}
	before := tree(t, filepath.Join(root, "public"))
	d, err := openDraft(root, stillOnly(), false)
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	b, err := d.Build(today, filepath.Join(root, "public"))
	line := strings.Count(string(first[:strings.Index(string(first), `"/units/fieldfarelug-1/"`)]), "\n") + 1
	want := fmt.Sprintf("content/addresses.toml:%d:4: /units/fieldfarelug-1/ was published, and there would be no page\n"+
		"   %[1]d |   \"/units/fieldfarelug-1/\",\n      |    ^^^^^^^^^^^^^^^^^^^^^^\nhint: put it back, or say in site.toml which page stands for it: [[moved]] from = \"/units/fieldfarelug-1/\" to = \"/…/\"", line)
	wrong := slices.DeleteFunc(b.Problems, func(p record.Problem) bool { return p.Severity != record.Error })
	if err != nil || wrong.Error() != want {
		t.Errorf("%v\ngot\n%s\nwant\n%s", err, wrong.Error(), want)
	}
	if odd := unlike(before, tree(t, filepath.Join(root, "public"))); odd != nil {
		t.Errorf("the build failed and changed %v", odd)
	}
	checked, err := d.check(today, nil)
	if err != nil || !checked.Problems.Errors() {
		t.Errorf("check finds nothing: %v", err)
	}
	other := filepath.Join(root, "watched")
	watched, err := d.Publish(other, nil)
	if err != nil || watched.Problems.Errors() || !strings.Contains(watched.Problems.Error(), "warning: content/addresses.toml") && !strings.Contains(watched.Problems.Error(), "was published") {
		t.Errorf("watch: %v %v", err, watched.Problems)
	}
	if b, _ := d.Build(today, filepath.Join(root, "public")); !b.Problems.Errors() {
		t.Error("after watch the build doesn't fail any more")
	}
	appended("content/site.toml", "\n[[moved]]\nfrom = \"/units/fieldfarelug-1/\"\nto = \"/units/fieldfare/\"\n")(t, root)
	if added, _ := promised(t, root); added != 3 { // the unit, its derivation and those near it
		t.Errorf("moved: %d are new", added)
	}
	d2, err := openDraft(root, stillOnly(), true)
	if err != nil {
		t.Fatal(err)
	}
	defer d2.Close()
	if _, err := d2.Refresh(today, nil); err != nil {
		t.Fatal(err)
	}
	if page := openedAt(t, d2, "units/fieldfarelug-1/index.html"); !strings.Contains(page, "has moved") {
		t.Error("watch doesn't show the page at the old address")
	}
}

// Whatever is done to the file of promised addresses is noticed, with the line.
func TestDamagedPromisesAreNoticed(t *testing.T) {
	text := string(promiseText([]string{"", "about/", "units/a/", "units/a/v/1/"}))
	if all, damaged := readPromises([]byte(text)); damaged != nil || len(all) != 4 || all[3].folder != "units/a/v/1/" || all[0].folder != "" {
		t.Fatalf("%v %v", all, damaged)
	}
	for cut := range len(text) {
		if _, damaged := readPromises([]byte(text[:cut])); damaged == nil {
			t.Errorf("cut at %d: not noticed", cut)
		}
	}
	for old, now := range map[string]string{
		`"/about/",`: `"/about/"`, `  "/about/",`: `  "/zoo/",`, `"/units/a/",`: `"/units/../a/",`, `"/units/a/v/1/",`: `"/units/a/",`, "pages = [\n": "", `"/about/",` + "\n": "<<<<<<< ours\n",
	} {
		_, damaged := readPromises([]byte(strings.Replace(text, old, now, 1)))
		if damaged == nil || damaged.Line == 0 || damaged.Hint == "" {
			t.Errorf("%q for %q: %v", now, old, damaged)
		}
	}
	root := tiny(t, map[string]string{"content/addresses.toml": strings.Replace(text, "about", "../x", 1)})
	_, problems, err := loaded(t, root).outputs(stillOnly())
	if err != nil || !strings.Contains(problems.Error(), "content/addresses.toml:6:1: this is no address of a page") {
		t.Errorf("%v %v", err, problems)
	}
}

// hashedAsset matches files whose names carry their digests.
var hashedAsset = regexp.MustCompile(`^assets/.*\.[0-9a-f]{8}\.(css|js)$`)
