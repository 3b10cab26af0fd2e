package site

import (
	"cmp"
	"html/template"
	"slices"
	"strconv"
	"strings"

	"wattsheet/generator/ledger"
	"wattsheet/generator/sheet"
)

// correctionsName is the page of all corrections, and the prose file of the site's
// policy that stands around them.
const correctionsName = "corrections"

// A correctionRow is one correction as pages show it.
type correctionRow struct {
	ID        string         // of a heading, unique on the page of its unit
	Date      day            // when it was made
	Kind      string         // in words
	Reason    []string       // why, a paragraph each
	Effect    []string       // what changes by it, in sentences
	NoticedBy string         // who noticed it
	Results   []correctedRow // what a reader cares for: verdicts, and the figures of claims
	More      []correctedRow // the rest
	Verdict   bool           // one of the results is another verdict
	Version   link           // the sealed version that has the corrected results
	Former    link           // and the one before, which has the results as they were
}

// A correctedRow is one result that was corrected.
type correctedRow struct {
	Of   string // what was corrected: the power of claim 4-ohm
	Was  string // the result before
	Now  string // the result now
	Why  string // what changed it: readings, the bench, the method; may be empty
	Href string // where it stands on the unit's page; empty where it is gone
}

// kinds of corrections say what they are: mending a mistake is told apart from
// measuring or computing better, and from measuring once more.
var kinds = map[string]string{
	"mistake": "A mistake was mended",
	"method":  "The method was improved; nothing was wrong before",
	"retest":  "Tested again: further runs count; nothing was wrong before",
}

// correctionOf prepares a correction for a page from which root leads to the unit's
// page.
func correctionOf(t ledger.Told, root string) correctionRow {
	row := correctionRow{
		Date: dayOf(t.Date), Kind: kinds[t.Kind], Reason: paragraphs(t.Reason), Effect: paragraphs(t.Effect), NoticedBy: t.NoticedBy,
		Verdict: t.VerdictChanged,
	}
	if t.Entry > 0 {
		row.Version = link{root + "v/" + strconv.Itoa(t.Entry) + "/index.html", "version " + strconv.Itoa(t.Entry)}
	}
	if t.Entry > 1 {
		row.Former = link{root + "v/" + strconv.Itoa(t.Entry-1) + "/index.html", "version " + strconv.Itoa(t.Entry-1)}
	}
	for _, r := range t.Results {
		to := &row.More
		if r.Verdict || strings.HasPrefix(r.Of, "claim ") || strings.HasPrefix(r.Of, "spec ") {
			to = &row.Results
		}
		*to = append(*to, correctedRow{Of: resultName(r.Of), Was: ledger.InWords(r.Was), Now: ledger.InWords(r.Now), Why: r.Why, Href: anchorOf(r.Of, root)})
	}
	if len(row.Results) == 0 {
		row.Results, row.More = row.More, nil
	}
	return row
}

// resultNames are the parts of a result's address in a ledger that are no words yet.
var resultNames = strings.NewReplacer("supply_power", "supply power", "supply_v", "supply volts", "supply_a", "supply current",
	"out_v", "output volts", "thdn", "distortion")

// resultName names a result for people: "run r04 / supply_a" is "run r04, supply
// current". The ids in it stay as the record has them.
func resultName(of string) string {
	head, rest, found := strings.Cut(of, " / ")
	if !found {
		return of
	}
	return head + ", " + strings.ReplaceAll(resultNames.Replace(rest), " / ", ", ")
}

// anchorOf is where a result stands on its unit's page.
func anchorOf(of, root string) string {
	head, _, _ := strings.Cut(of, " / ")
	kind, id, _ := strings.Cut(head, " ")
	page := ""
	if root != "" {
		page = root + "index.html"
	}
	switch kind {
	case "run", "claim", "spec":
		return page + "#" + kind + "-" + id
	}
	return ""
}

// correctionRows are a unit's corrections, newest first. Those that no entry has yet
// refer to the newest version as the one before.
func correctionRows(st *ledger.Status, root string) []correctionRow {
	var out []correctionRow
	for i := len(st.Corrections) - 1; i >= 0; i-- {
		row := correctionOf(st.Corrections[i], root)
		row.ID = "correction-" + strconv.Itoa(i+1)
		if n := len(st.Versions); st.Corrections[i].Entry == 0 && n > 0 {
			row.Former = link{root + "v/" + strconv.Itoa(n) + "/index.html", "version " + strconv.Itoa(n)}
		}
		out = append(out, row)
	}
	slices.SortStableFunc(out, func(a, b correctionRow) int { return cmp.Compare(b.Date.ISO, a.Date.ISO) })
	return out
}

// correctedAt gives the corrections of a claim, as links to them.
func correctedAt(rows []correctionRow, claim string) []link {
	var out []link
	for _, r := range rows {
		hit := slices.ContainsFunc(r.Results, func(k correctedRow) bool { return k.Href == "#claim-"+claim })
		if hit {
			out = append(out, link{"#" + r.ID, r.Date.Text})
		}
	}
	return out
}

// ledgerPart is what a unit's page says of its versions and corrections.
type ledgerPart struct {
	Version     int             // the newest sealed one; 0 where nothing was sealed
	Sealed      moment          // when the newest version was sealed
	Unsealed    bool            // there are results that no version has yet
	Versions    []versionRow    // the sealed versions, the newest first
	Corrections []correctionRow // all of them, the newest first
	Verdicts    []correctionRow // those that changed a verdict: they stand at the top
	Policy      string          // the address of the policy, and how to report
}

func (b *binder) ledgerPart(s *sheet.Sheet, root string) ledgerPart {
	part := ledgerPart{Policy: root + correctionsName + "/index.html"}
	st := b.site.Ledger(s.Slug)
	if st == nil {
		return part
	}
	part.Versions, part.Corrections = versionRows(st), correctionRows(st, "")
	if st.Sealed() {
		last := st.Versions[len(st.Versions)-1]
		part.Version, part.Sealed = last.Number, momentOf(last.Date)
		part.Unsealed = len(st.Unsealed) > 0 || slices.ContainsFunc(st.Corrections, func(t ledger.Told) bool { return t.Entry == 0 })
	}
	for _, c := range part.Corrections {
		if c.Verdict {
			part.Verdicts = append(part.Verdicts, c)
		}
	}
	return part
}

// A correctionsPage is the policy, how to report an error, and every correction.
type correctionsPage struct {
	head
	Heading string          // the page's headline
	Lead    template.HTML   // the site's own policy up to its first heading; empty without one
	Text    template.HTML   // the rest of it
	Tester  string          // who tests and publishes
	Units   []correctedUnit // the units with corrections
	Sealed  int             // units with a sealed version
	Feed    *feedPair       // none where the site's address isn't known
	About   link            // the page that says how to reach the tester; empty without one
}

// A correctedUnit is one unit's corrections.
type correctedUnit struct {
	Link link            // the unit
	Rows []correctionRow // its corrections, the newest first
}

// corrections makes the page of that name.
func (b *binder) corrections(units []*brief) Output {
	folder := correctionsName + "/"
	text := b.texts[correctionsName]
	heading := text.Title
	if heading == "" {
		heading = "Corrections"
	}
	site := b.site.Content.Site
	page := correctionsPage{
		head:    b.head(folder, heading+" · "+site.Title, "The corrections policy of "+site.Title+", how to report an error, and every correction made."),
		Heading: heading, Lead: text.Lead, Text: text.Rest, Tester: site.Tester,
	}
	if b.base() != "" {
		page.Feed = &feedPair{feedAtom, feedJSON}
	}
	if about, ok := b.texts["about"]; ok {
		page.About = link{"../about/index.html", about.Title}
	}
	for _, of := range units {
		if of.Sealed {
			page.Sealed++
		}
		if len(of.Corrections) > 0 {
			page.Units = append(page.Units, correctedUnit{link{page.Root + of.Row.Link.Href, of.Row.Link.Text}, of.Corrections})
		}
	}
	slices.SortStableFunc(page.Units, func(a, c correctedUnit) int { return cmp.Compare(c.Rows[0].Date.ISO, a.Rows[0].Date.ISO) })
	return b.put("corrections", folder, page)
}
