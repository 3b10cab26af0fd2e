package site

import (
	"encoding/json"
	"html/template"
	"slices"
	"strings"

	"wattsheet/generator/formula"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// Structured data says in schema.org's words what a page says, for machines that read
// pages. It holds nothing that the page doesn't show, and no stars. Search engines read it
// only within the page.

// A thing is a node of the graph: what it is, and by what address others name it.
type thing struct {
	Type string `json:"@type"`
	ID   string `json:"@id,omitempty"`
	Name string `json:"name,omitempty"`
}

// A product is the unit.
type product struct {
	thing
	Brand    thing         `json:"brand"`
	Model    string        `json:"model"`
	Category string        `json:"category,omitempty"`
	Claims   []property    `json:"additionalProperty,omitempty"`
	Measured []observation `json:"hasMeasurement,omitempty"`
}

// A property is a figure that the maker states, or a condition of one.
type property struct {
	thing
	Value       json.Number `json:"value,omitempty"`
	UnitCode    string      `json:"unitCode,omitempty"`
	Description string      `json:"description,omitempty"`
	Reference   []property  `json:"valueReference,omitempty"`
	URL         string      `json:"url,omitempty"`
	PropertyID  string      `json:"propertyID,omitempty"` // where it is said what the property is
}

// An observation is a measured figure with its uncertainty. It is a QuantitativeValue,
// so that a product may have it as a measurement.
type observation struct {
	thing
	Property  thing       `json:"measuredProperty"`
	Value     json.Number `json:"value,omitempty"`
	UnitCode  string      `json:"unitCode,omitempty"`
	Margin    *property   `json:"marginOfError,omitempty"`
	Technique string      `json:"measurementTechnique,omitempty"`
	Method    string      `json:"measurementMethod,omitempty"`
	Note      string      `json:"description,omitempty"`
	URL       string      `json:"url,omitempty"`
}

// A dataset is the sheet with its files.
type dataset struct {
	thing
	Description string       `json:"description"`
	Identifier  string       `json:"identifier"`
	Version     string       `json:"version,omitempty"`
	URL         string       `json:"url,omitempty"`
	Free        bool         `json:"isAccessibleForFree"`
	License     string       `json:"license,omitempty"`
	Creator     thing        `json:"creator"`
	About       thing        `json:"about"`
	Variables   []property   `json:"variableMeasured,omitempty"`
	Technique   []string     `json:"measurementTechnique,omitempty"`
	Files       []download   `json:"distribution"`
	Corrections []correction `json:"correction,omitempty"`
}

type download struct {
	thing
	URL    string `json:"contentUrl"`
	Format string `json:"encodingFormat"`
}

type correction struct {
	thing
	Text string `json:"text"`
	Date string `json:"datePublished,omitempty"`
	URL  string `json:"url,omitempty"`
}

// A breadcrumb is the way from the front page.
type breadcrumb struct {
	thing
	Items []step `json:"itemListElement"`
}

type step struct {
	thing
	Position int    `json:"position"`
	Item     string `json:"item"`
}

// A website is what the front page is of.
type website struct {
	thing
	URL       string     `json:"url,omitempty"`
	Publisher publishing `json:"publisher"`
}

type publishing struct {
	thing
	Corrections string `json:"correctionsPolicy"`
}

// unitCodes are the codes of units in UN/CEFACT Recommendation 20, by symbol.
var unitCodes = map[string]string{
	"W": "WTT", "V": "VLT", "A": "AMP", "Ω": "OHM", "Hz": "HTZ", "%": "P1", "dB": "2N", "s": "SEC", "°C": "CEL", "kg": "KGM", "mm": "MMT",
}

// graph writes nodes as a data block. encoding/json writes < as \u003c, so that no text
// can end the block, or begin a comment in it.
func graph(nodes ...any) template.HTML {
	text, err := json.Marshal(struct {
		Context string `json:"@context"`
		Graph   []any  `json:"@graph"`
	}{"https://schema.org", nodes})
	if err != nil {
		panic("site: structured data can't be written: " + err.Error()) // plain types only
	}
	return template.HTML(`<script type="application/ld+json">` + string(text) + "</script>\n")
}

// structured is what the page of a sheet says for machines.
func (b *binder) structured(page *unitPage, s *sheet.Sheet) template.HTML {
	return graph(append(b.videosOf(page, s), b.productOf(page, s), b.datasetOf(page, s), breadcrumb{thing{Type: "BreadcrumbList"}, []step{
		{thing{Type: "ListItem", Name: page.Site}, 1, b.at(&page.head, "")},
		{thing{Type: "ListItem", Name: s.Name}, 2, b.at(&page.head, unitsFolder+"/"+s.Slug+"/")},
	}})...)
}

// at is the address of a page by its folder below the root: a whole one, where the
// site's is known.
func (b *binder) at(h *head, folder string) string {
	if address := b.site.Content.Site.Address; address != "" {
		return strings.TrimRight(address, "/") + "/" + folder
	}
	return h.Root + folder + "index.html"
}

// powerIs is where the methodology says what a channel's power is: the same for what is claimed
// and what was measured.
func (b *binder) powerIs(h *head) string {
	return b.at(h, methodologyName+"/") + "#formula-" + formula.PowerVolts
}

func (b *binder) productOf(page *unitPage, s *sheet.Sheet) product {
	unit := &s.Record.Unit
	p := product{
		thing: thing{"Product", page.Canonical + "#unit", s.Name}, Brand: thing{Type: "Brand", Name: unit.Maker},
		Model: unit.Model, Category: kindOf(unit),
	}
	for _, c := range s.Claims {
		of := capital(powerCalled(c.Rec.Bridged)) + " at " + c.Label
		p.Claims = append(p.Claims, property{
			thing: thing{Type: "PropertyValue", Name: of + ", claimed"}, Value: numeral(with(c.Rec.PowerW, "")), UnitCode: unitCodes["W"],
			Description: c.Word + ". Claimed for " + c.Conditions, Reference: statedConditions(c.Rec), URL: page.Canonical + "#claim-" + c.ID,
			PropertyID: b.powerIs(&page.head),
		})
		if c.Weakest == nil || c.Weakest.Mean == nil {
			continue
		}
		p.Measured = append(p.Measured, b.observed(page, s, c, of+", measured: "+c.Weakest.Mean.Text))
	}
	return p
}

// observed is the measured figure of a claim: of the channel that decides.
func (b *binder) observed(page *unitPage, s *sheet.Sheet, c *sheet.Claim, name string) observation {
	f := c.Weakest.Mean
	o := observation{
		thing: thing{Type: "Observation", Name: name}, Property: thing{"Property", b.powerIs(&page.head), powerCalled(c.Rec.Bridged)},
		Value: numeral(f.ValueText), UnitCode: unitCodes[f.Unit], URL: page.Canonical + "#claim-" + c.ID,
	}
	if f.UText != "" {
		o.Margin = &property{thing: thing{Type: "QuantitativeValue", Name: "U for 95" + nbsp + "%"}, Value: numeral(f.UText), UnitCode: unitCodes[f.Unit]}
	}
	if len(f.Incomplete) > 0 {
		o.Note = lacking([]*sheet.Claim{c})
	}
	for _, id := range c.Weakest.Runs {
		if r := runOf(s, id); r != nil && r.Method != nil {
			o.Technique, o.Method = r.Method.Title, b.at(&page.head, methodologyName+"/")+"#method-"+r.Method.ID
			break
		}
	}
	return o
}

// powerCalled is what a claim's or a run's power is called: that of two channels that drive
// one load together isn't a channel's.
func powerCalled(bridged bool) string {
	if bridged {
		return "output power, bridged"
	}
	return "output power a channel"
}

// statedConditions are the conditions of a claim that have a number.
func statedConditions(c *record.Claim) (out []property) {
	load := "load a channel"
	if c.Bridged {
		load = "load, bridged"
	}
	for _, one := range []struct {
		name, unit string
		n          record.Number
	}{
		{load, "Ω", c.LoadOhm}, {"supply voltage", "V", c.SupplyV}, {"distortion, THD+N", "%", c.ThdnPct}, {"duration", "s", c.DurationS},
	} {
		if one.n.Given() {
			out = append(out, property{thing: thing{Type: "PropertyValue", Name: one.name}, Value: numeral(with(one.n, "")), UnitCode: unitCodes[one.unit]})
		}
	}
	return out
}

var plainSigns = strings.NewReplacer("−", "-", nbsp, "")

// numeral makes a number for machines of one for people; none of what isn't one.
func numeral(text string) json.Number {
	text = plainSigns.Replace(text)
	if !json.Valid([]byte(text)) {
		return ""
	}
	return json.Number(text)
}

func (b *binder) datasetOf(page *unitPage, s *sheet.Sheet) dataset {
	d := dataset{
		thing:       thing{"Dataset", page.Canonical + "#sheet", "Sheet " + s.Number + ": " + s.Name},
		Description: shortened(join(" ", s.Headline, s.Subline, s.Disclosure), 5000),
		Identifier:  s.Number, Version: page.Version, URL: page.Canonical, Free: true,
		Creator: thing{Type: "Organization", Name: page.Tester}, About: thing{Type: "Product", ID: page.Canonical + "#unit"},
	}
	for _, bridged := range []bool{false, true} {
		if slices.ContainsFunc(s.Runs, func(r *sheet.Run) bool { return r.Valid && r.Bridged == bridged }) {
			d.Variables = append(d.Variables, property{thing: thing{Type: "PropertyValue", Name: powerCalled(bridged)}, UnitCode: unitCodes["W"]})
		}
	}
	d.License = b.site.Content.Site.Licence.Address
	for _, m := range page.Methods {
		d.Technique = append(d.Technique, m.Text)
	}
	for _, file := range page.Downloads {
		format := "application/json"
		if strings.HasSuffix(file.Href, ".csv") {
			format = "text/csv"
		}
		d.Files = append(d.Files, download{thing{Type: "DataDownload", Name: file.Text}, page.Canonical + file.Href, format})
	}
	for _, c := range page.Ledger.Corrections {
		text := c.Kind + ": " + strings.Join(append(c.Reason, c.Effect...), " ")
		d.Corrections = append(d.Corrections, correction{thing{Type: "CorrectionComment"}, text, c.Date.ISO, page.Canonical + "#" + c.ID})
	}
	return d
}

// structuredFront is what the front page says for machines.
func (b *binder) structuredFront(page *frontPage) template.HTML {
	return graph(website{thing{Type: "WebSite", Name: page.Site}, page.Canonical, publishing{
		thing{Type: "Organization", Name: page.Tester}, b.at(&page.head, correctionsName+"/"),
	}})
}
