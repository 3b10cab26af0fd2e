package site

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"github.com/andybalholm/cascadia"
	"golang.org/x/net/html"

	"wattsheet/generator/sheet"
)

// vocabulary is what structured data is made of: types of schema.org and the properties
// of each that are used here (schema.org, as of 2026-08-20; Observation is a
// QuantitativeValue there, which Product.hasMeasurement takes).
var vocabulary = map[string]string{
	"Product":           "name brand model category additionalProperty hasMeasurement",
	"Brand":             "name",
	"PropertyValue":     "name value unitCode description valueReference url propertyID",
	"QuantitativeValue": "name value unitCode",
	"Observation":       "name measuredProperty value unitCode marginOfError measurementTechnique measurementMethod description url",
	"Property":          "name",
	"Dataset":           "name description identifier version url isAccessibleForFree license creator about variableMeasured measurementTechnique distribution correction",
	"DataDownload":      "name contentUrl encodingFormat",
	"CorrectionComment": "text datePublished url",
	"Organization":      "name correctionsPolicy",
	"BreadcrumbList":    "itemListElement",
	"ListItem":          "name position item",
	"WebSite":           "name url publisher",
	"VideoObject":       "name description thumbnailUrl uploadDate duration url embedUrl hasPart",
	"Clip":              "name startOffset endOffset url",
}

// codes are the units' codes that may stand there, of UN/CEFACT Recommendation 20.
const codes = " WTT VLT AMP OHM HTZ P1 2N SEC CEL KGM MMT "

// structuredOf reads the data block of a page: the nodes of its graph, by type.
func structuredOf(t *testing.T, doc *html.Node) (nodes map[string]map[string]any, block string) {
	t.Helper()
	found := cascadia.QueryAll(doc, cascadia.MustCompile("body > script[type='application/ld+json']"))
	if len(found) != 1 {
		t.Fatalf("%d data blocks", len(found))
	}
	block = found[0].FirstChild.Data
	var whole struct {
		Context string           `json:"@context"`
		Graph   []map[string]any `json:"@graph"`
	}
	if err := json.Unmarshal([]byte(block), &whole); err != nil || whole.Context != "https://schema.org" {
		t.Fatal(err, whole.Context)
	}
	nodes = map[string]map[string]any{}
	for _, n := range whole.Graph {
		nodes[n["@type"].(string)] = n
	}
	return nodes, block
}

// eachNode walks through all nodes below one, itself included.
func eachNode(v any, visit func(node map[string]any)) {
	switch v := v.(type) {
	case map[string]any:
		visit(v)
		for _, below := range v {
			eachNode(below, visit)
		}
	case []any:
		for _, below := range v {
			eachNode(below, visit)
		}
	}
}

// The data blocks hold schema.org's words only, codes of units from the list, no stars,
// and addresses that lead to a page or file of the site, and there to an element.
func TestStructuredDataKeepsTheRules(t *testing.T) {
	s, outputs := demo()
	files := map[string][]byte{}
	for _, o := range outputs {
		files[o.Path] = o.Bytes
	}
	address := strings.TrimSuffix(s.Content.Site.Address, "/") + "/"
	ids := map[string]map[string]bool{}
	leads := func(to string) bool {
		rest, below := strings.CutPrefix(to, address)
		at, fragment, _ := strings.Cut(rest, "#")
		at, _, _ = strings.Cut(at, "?t=")
		at, _, _ = strings.Cut(at, "?video=")
		if at == "" || strings.HasSuffix(at, "/") {
			at += "index.html"
		}
		if fragment == "" || !below {
			return below && files[at] != nil
		}
		if ids[at] == nil {
			ids[at] = map[string]bool{}
			for _, n := range cascadia.QueryAll(parse(t, files[at]), cascadia.MustCompile("[id]")) {
				ids[at][attr(n, "id")] = true
			}
		}
		return ids[at][fragment]
	}
	pages := []string{"index.html"}
	for _, sh := range s.Sheets {
		pages = append(pages, "units/"+sh.Slug+"/index.html")
	}
	for _, at := range pages {
		nodes, block := structuredOf(t, parse(t, files[at]))
		if strings.ContainsAny(block, "<>") {
			t.Errorf("%s: < or > in the block", at)
		}
		var packed bytes.Buffer
		z, _ := gzip.NewWriterLevel(&packed, 9)
		z.Write([]byte(block))
		z.Close()
		if packed.Len() > 3000 {
			t.Errorf("%s: the block has %d bytes, packed", at, packed.Len())
		}
		for _, top := range nodes {
			eachNode(top, func(n map[string]any) {
				allowed, known := vocabulary[n["@type"].(string)]
				if !known {
					t.Errorf("%s: the type %s", at, n["@type"])
				}
				for key, v := range n {
					if key[0] != '@' && !slices.Contains(strings.Fields(allowed), key) {
						t.Errorf("%s: %s has %s", at, n["@type"], key)
					}
					switch text, _ := v.(string); key {
					case "unitCode":
						if !strings.Contains(codes, " "+text+" ") {
							t.Errorf("%s: the unit code %s", at, text)
						}
					case "url", "contentUrl", "thumbnailUrl", "item", "measurementMethod", "correctionsPolicy":
						if n["@type"] == "VideoObject" && key == "url" {
							break // where it is watched
						}
						if !leads(text) {
							t.Errorf("%s: %s leads nowhere: %s", at, key, text)
						}
					}
				}
			})
		}
	}
}

// Each claim stands there with its verdict, and each measured one with value and margin
// as the sheet has them and the page shows them; a dataset has a name, a description of 50
// to 5,000 characters and files of known format (Google's guide to dataset markup).
func TestStructuredDataSaysWhatThePageSays(t *testing.T) {
	s, _ := demo()
	for _, sh := range s.Sheets {
		doc := document(t, "units/"+sh.Slug+"/index.html")
		nodes, _ := structuredOf(t, doc)
		product, data := nodes["Product"], nodes["Dataset"]
		claimed, _ := product["additionalProperty"].([]any)
		measured, _ := product["hasMeasurement"].([]any)
		if len(claimed) != len(sh.Claims) || product["name"] != sh.Name {
			t.Errorf("%s: %d of %d claims, %v", sh.Slug, len(claimed), len(sh.Claims), product["name"])
		}
		for i, c := range sh.Claims {
			n := claimed[i].(map[string]any)
			if is := n["propertyID"].(string); !strings.Contains(is, "/methodology/#formula-") {
				t.Errorf("%s, %s: the property is %s", sh.Slug, c.ID, is)
			}
			if n["value"] != c.ClaimW || !strings.HasPrefix(n["description"].(string), c.Word+".") || !strings.HasSuffix(n["url"].(string), "#claim-"+c.ID) {
				t.Errorf("%s, %s: %v", sh.Slug, c.ID, n)
			}
			if c.Weakest == nil || c.Weakest.Mean == nil {
				continue
			}
			n, measured = measured[0].(map[string]any), measured[1:]
			said := figureIn(n)
			if f := c.Weakest.Mean; said != f.Text || !strings.Contains(content(cascadia.Query(doc, cascadia.MustCompile("main"))), squeeze(f.Text)) {
				t.Errorf("%s, %s: %q as data, %q on the sheet", sh.Slug, c.ID, said, f.Text)
			}
		}
		if len(measured) > 0 {
			t.Errorf("%s: %d more measurements", sh.Slug, len(measured))
		}
		if n := len([]rune(data["description"].(string))); n < 50 || n > 5000 || data["name"] == "" || len(data["distribution"].([]any)) != 2 {
			t.Errorf("%s: the dataset %v", sh.Slug, data)
		}
		corrected, _ := data["correction"].([]any)
		if shown := cascadia.QueryAll(doc, cascadia.MustCompile("section.corrections > *[id]")); s.Ledger(sh.Slug) != nil && len(corrected) != len(s.Ledger(sh.Slug).Corrections) {
			t.Errorf("%s: %d corrections, shown %d", sh.Slug, len(corrected), len(shown))
		}
	}
}

// A bridged pair has a load, not a load a channel, and what nothing measured is no variable.
func TestStructuredDataOfBridgedRuns(t *testing.T) {
	s, _ := demo()
	bridged := 0
	for _, sh := range s.Sheets {
		doc := document(t, "units/"+sh.Slug+"/index.html")
		nodes, _ := structuredOf(t, doc)
		variables := string(must(json.Marshal(nodes["Dataset"]["variableMeasured"])))
		for _, word := range []struct {
			name string
			is   bool
		}{{"output power a channel", false}, {"output power, bridged", true}} {
			has := slices.ContainsFunc(sh.Runs, func(r *sheet.Run) bool { return r.Valid && r.Bridged == word.is })
			if strings.Contains(variables, word.name) != has {
				t.Errorf("%s has %s: %t, and says %s", sh.Slug, word.name, has, variables)
			}
		}
		properties, _ := nodes["Product"]["additionalProperty"].([]any)
		for _, c := range sh.Claims {
			for _, p := range properties {
				if text := string(must(json.Marshal(p))); strings.Contains(text, "#claim-"+c.ID+`"`) {
					if strings.Contains(text, "a channel") == c.Rec.Bridged || strings.Contains(text, "load, bridged") != c.Rec.Bridged {
						t.Errorf("%s, claim %s, bridged %t: %s", sh.Slug, c.ID, c.Rec.Bridged, text)
					}
				}
			}
			if c.Rec.Bridged {
				bridged++
			}
		}
	}
	if bridged == 0 {
		t.Error("no claim of the demo is bridged")
	}
}

// figureIn writes an observation as people read it.
func figureIn(n map[string]any) string {
	f := func(v any) string { return strings.TrimSpace(string(must(json.Marshal(v)))) }
	if n["unitCode"] != "WTT" {
		return ""
	}
	name := n["name"].(string)
	_, text, _ := strings.Cut(name, "measured: ")
	margin, _ := n["marginOfError"].(map[string]any)
	bare := strings.NewReplacer("(", "", ")", "", nbsp, " ").Replace(text)
	fields := strings.Fields(bare) // 63.1 ± 1.2 W
	if margin == nil {
		return text
	}
	same := func(written string, v any) bool {
		return strings.TrimRight(strings.TrimRight(written, "0"), ".") == strings.TrimRight(strings.TrimRight(f(v), "0"), ".")
	}
	if len(fields) != 4 || !same(fields[0], n["value"]) || !same(fields[2], margin["value"]) {
		return ""
	}
	return text
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// No text ends the block or begins a comment in it, and all of it is read back
// (HTML Living Standard, 4.12.1.3: restrictions for contents of script elements).
func TestStructuredDataOfHostileTexts(t *testing.T) {
	for name, text := range smuggled {
		page := "<!DOCTYPE html><title>x</title><body>" + string(graph(thing{"Product", "", text})) + "<p id=after></p>"
		doc := parse(t, []byte(page))
		nodes, block := structuredOf(t, doc)
		if strings.ContainsAny(block, "<>") || nodes["Product"]["name"] != text || cascadia.Query(doc, cascadia.MustCompile("#after")) == nil {
			t.Errorf("%s: %q", name, block)
		}
	}
}

// A number for people that is none for machines is left out rather than spoiling the block.
func TestNumeral(t *testing.T) {
	for text, want := range map[string]string{"63.1": "63.1", "−0.5": "-0.5", "1178": "1178", "": "", "∞": "", "NaN": "", "1 2": ""} {
		if got := numeral(text); string(got) != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}
