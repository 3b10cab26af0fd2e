package site

import (
	"slices"
	"strings"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// A kind is a group of outputs that are made together, from inputs of the same
// classes.
type kind string

// The kinds of a unit's outputs, and those that a site has once.
const (
	kindPage       kind = "page"       // index.html, charts.js
	kindDerivation kind = "derivation" // derivation/index.html
	kindBadges     kind = "badges"     // badge.svg, badge/<claim>.svg
	kindCard       kind = "card"       // card.png
	kindEmbed      kind = "embed"      // embed/…/index.html, embed/…/oembed.json
	kindData       kind = "data"       // sheet.json, runs.csv
	kindVersions   kind = "versions"   // v/<n>/index.html
	kindSealed     kind = "sealed"     // ledger.toml, v/<n>/sheet.json
	kindPictures   kind = "pictures"   // pictures/…
	kindBeside     kind = "beside"     // beside.js
	kindCaptures   kind = "captures"   // captures/index.html, captures/charts.js, captures/<id>/…

	kindAssets      kind = "assets"
	kindFront       kind = "front"
	kindOlder       kind = "older" // list/<n>/index.html, the list's pages after the first
	kindIndex       kind = "index" // data/list.js and its parts
	kindCorrections kind = "corrections"
	kindMethodology kind = "methodology"
	kindProse       kind = "prose"
	kindCompare     kind = "compare"
	kindFeeds       kind = "feeds"   // feed.atom, feed.json, and those of corrections
	kindSitemap     kind = "sitemap" // sitemap.xml, robots.txt
	kindAround      kind = "around"  // 404.html, manifest.webmanifest
	kindHosting     kind = "hosting" // _headers, _redirects, pages at old addresses
	kindLoads       kind = "loads"   // the index of loads
	kindLoad        kind = "load"    // the page of one, and those after it
	kindMakers      kind = "makers"  // the index of makers
	kindMaker       kind = "maker"   // the page of one
	kindTables      kind = "tables"  // data/claims.csv, data/runs.csv, and those after them
	kindPackage     kind = "package" // what else is in data/: units.csv, datapackage.json …
	kindSchemas     kind = "schemas" // schema/…
	kindNear        kind = "near"    // of each unit, the page of those near it
)

// unitKinds are those of a unit, in the order in which they are made.
var unitKinds = []kind{kindPage, kindEmbed, kindDerivation, kindBadges, kindCard, kindData, kindVersions, kindSealed, kindPictures, kindBeside, kindCaptures}

// listKinds are those that a site has once, or once for each member (see [memberKinds]),
// and that follow from what the tester wrote.
var listKinds = []kind{
	kindFront, kindOlder, kindIndex, kindCorrections, kindMethodology, kindProse, kindCompare,
	kindLoads, kindLoad, kindMakers, kindMaker, kindNear, kindTables, kindPackage, kindSchemas,
	kindFeeds, kindSitemap, kindAround, kindHosting,
}

// A class says what an input is.
type class string

const (
	theProgram    class = "program"    // this program itself
	theSite       class = "site"       // site.toml
	theBench      class = "bench"      // bench.toml
	theMethods    class = "methods"    // methods.toml
	theTheme      class = "theme"      // styles, scripts, and the templates that all pages share
	theNavigation class = "navigation" // which pages of prose there are, and their titles
	theProse      class = "prose"      // prose/*.md
	theRecord     class = "record"     // of the unit
	theNotes      class = "notes"
	theSpoken     class = "spoken" // subtitles and descriptions of its videos
	thePictures   class = "pictures"
	theCaptures   class = "captures"  // files that could be captures
	theLedger     class = "ledger"    // ledger.toml and sealed/*.json
	theNames      class = "names"     // which files the unit's folder has
	theHolds      class = "holds"     // what is held, here or where the unit's texts name it
	theOthers     class = "others"    // units that it follows or that follow it
	theDay        class = "day"       // where the maker's time to answer counts
	theExamples   class = "examples"  // the units that the methodology works through
	theAddresses  class = "addresses" // addresses.toml
)

// theLayout is the class of the template of one layout.
func theLayout(name string) class { return class("layout " + name) }

// inOrder are all classes, in the order in which people are told of them; templates of
// layouts stand before the theme.
var inOrder = []class{
	theRecord, theNotes, theSpoken, theCaptures, thePictures, theLedger, theNames, theOthers, theHolds, theProse,
	theRows, theAllCorrected, thePoints, theLoads, theMade, theMakers, theNear, theTabled, theTables, theFeeds, thePages, theFrames, theExamples, theAddresses,
	theBench, theMethods, theSite, theDay, theNavigation, theTheme, theProgram,
}

// sheetClasses are the classes that a sheet, and how it stands to its ledger, follow from.
var sheetClasses = []class{theProgram, theSite, theBench, theMethods, theRecord, theCaptures, theLedger, theHolds}

// madeFrom is the graph: the classes of the inputs that the outputs of each kind are
// made from. What a kind isn't listed with can't change its bytes; a test changes
// each input in turn and looks.
var madeFrom = map[kind][]class{
	kindPage:       append([]class{theTheme, theLayout("unit"), theNavigation, theNotes, thePictures, theOthers}, sheetClasses...),
	kindDerivation: append([]class{theTheme, theLayout("derivation"), theNavigation}, sheetClasses...),
	kindBadges:     {theProgram, theSite, theBench, theMethods, theRecord, theCaptures, theHolds},
	kindCard:       sheetClasses,
	kindEmbed:      append([]class{theTheme, theLayout("embed")}, sheetClasses...),
	kindData:       {theProgram, theSite, theBench, theMethods, theRecord, theCaptures, theHolds},
	kindVersions:   append([]class{theTheme, theLayout("version"), theNavigation}, sheetClasses...),
	kindSealed:     {theProgram, theLedger, theHolds},
	kindPictures:   {theProgram, theRecord, thePictures, theHolds},
	kindBeside:     {theProgram, theSite, theBench, theMethods, theRecord, theCaptures, theHolds},
	kindCaptures:   append([]class{theTheme, theLayout("captures"), theNavigation}, sheetClasses...),

	kindFront:       {theProgram, theSite, theMethods, theTheme, theLayout("front"), theNavigation, theRows, theLoads, theMakers},
	kindOlder:       {theProgram, theSite, theTheme, theLayout("older"), theNavigation, theRows},
	kindIndex:       {theProgram, theSite, theMethods, theRows},
	kindCorrections: {theProgram, theSite, theTheme, theLayout("corrections"), theNavigation, theProse, theAllCorrected},
	kindMethodology: {theProgram, theSite, theBench, theMethods, theTheme, theLayout("methodology"), theNavigation, theProse, theExamples},
	kindProse:       {theProgram, theSite, theTheme, theLayout("prose"), theNavigation, theProse, theHolds},
	kindCompare:     {theProgram, theSite, theMethods, theTheme, theLayout("beside"), theNavigation},
	kindFeeds:       {theProgram, theSite, theTheme, theFeeds},
	kindSitemap:     {theProgram, theSite, theNavigation, thePages},
	kindAround:      {theProgram, theSite, theTheme, theLayout("missing"), theNavigation},
	kindHosting:     {theProgram, theSite, theTheme, theLayout("moved"), theNavigation, thePages, theFrames, theAddresses},
	kindTables:      {theProgram, theTables},
	kindPackage:     {theProgram, theSite, theTabled},
	kindSchemas:     {theProgram, theSite},
	kindLoads:       {theProgram, theSite, theTheme, theLayout("loads"), theNavigation, theLoads},
	kindLoad:        {theProgram, theSite, theMethods, theTheme, theLayout("load"), theNavigation, thePoints},
	kindMakers:      {theProgram, theSite, theTheme, theLayout("makers"), theNavigation, theMakers},
	kindMaker:       {theProgram, theSite, theTheme, theLayout("maker"), theNavigation, theMade},
	kindNear:        {theProgram, theSite, theMethods, theTheme, theLayout("near"), theNavigation, theNear},
}

// besideUnits are the classes of what a unit's outputs are made from and that the site has
// once; what is held is looked at for each unit.
var besideUnits = slices.DeleteFunc(usedOf(unitKinds), func(c class) bool { return c == theHolds })

// usedOf are the classes that outputs of some kinds are made from.
func usedOf(kinds []kind) []class {
	used := slices.Clone(lookedAt)
	for _, k := range kinds {
		used = append(used, madeFrom[k]...)
	}
	slices.Sort(used)
	return slices.Compact(used)
}

// lookedAt are the classes that the mistakes in a unit, and its brief, follow from.
var lookedAt = append([]class{theNotes, theSpoken, thePictures, theNames, theOthers, theDay}, sheetClasses...)

// kindOfPath tells which kind of a unit's outputs, or of the site's, has a path.
func kindOfPath(path string) (slug string, k kind) {
	rest, isUnit := strings.CutPrefix(path, unitsFolder+"/")
	if !isUnit {
		switch path {
		case "index.html", cardName:
			return "", kindFront
		case correctionsName + "/index.html":
			return "", kindCorrections
		case methodologyName + "/index.html":
			return "", kindMethodology
		case feedAtom, feedJSON, correctionsName + "/" + feedAtom, correctionsName + "/" + feedJSON:
			return "", kindFeeds
		case robotsName:
			return "", kindSitemap
		case missingName, webManifest:
			return "", kindAround
		case headersName, redirectsName:
			return "", kindHosting
		case compareName + "/index.html":
			return "", kindCompare
		case indexName:
			return "", kindIndex
		case makersFolder + "/index.html":
			return "", kindMakers
		case loadsFolder + "/index.html":
			return "", kindLoads
		}
		switch folder, rest, _ := strings.Cut(path, "/"); {
		case folder == olderFolder && strings.HasSuffix(rest, "/index.html"):
			return "", kindOlder
		case folder == dataFolder && strings.HasPrefix(rest, "list-"):
			return "", kindIndex
		case folder == schemaFolder:
			return "", kindSchemas
		case folder == dataFolder && tableNumber(rest) != "":
			return "", kindTables
		case folder == dataFolder && slices.Contains(packageNames, rest):
			return "", kindPackage
		case folder == loadsFolder:
			return "", kindLoad
		case folder == makersFolder:
			return "", kindMaker
		}
		if strings.HasSuffix(path, "/index.html") && strings.Count(path, "/") == 1 {
			return "", kindProse
		}
		if strings.HasPrefix(path, "sitemap") && strings.HasSuffix(path, ".xml") {
			return "", kindSitemap
		}
		return "", kindAssets
	}
	slug, rest, _ = strings.Cut(rest, "/")
	if rest == nearName+"/index.html" {
		return "", kindNear // it is made of what briefs say, like a list
	}
	folder, _, _ := strings.Cut(rest, "/")
	switch {
	case rest == "index.html", rest == chartsFile:
		return slug, kindPage
	case folder == embedName:
		return slug, kindEmbed
	case folder == derivationName:
		return slug, kindDerivation
	case folder == "badge", rest == "badge.svg":
		return slug, kindBadges
	case rest == cardName:
		return slug, kindCard
	case rest == "sheet.json", rest == "runs.csv":
		return slug, kindData
	case folder == "v" && strings.HasSuffix(rest, "/index.html"):
		return slug, kindVersions
	case folder == "v", rest == ledgerFile:
		return slug, kindSealed
	case folder == picturesFolder:
		return slug, kindPictures
	case rest == besideName:
		return slug, kindBeside
	case folder == capturesName:
		return slug, kindCaptures
	}
	return slug, ""
}

// unitOutputs makes the outputs of one kind of a unit.
func (b *binder) unitOutputs(k kind, s *sheet.Sheet) (outputs []Output, problems record.Problems, err error) {
	folder := unitsFolder + "/" + s.Slug + "/"
	one := func(o Output, p record.Problems) ([]Output, record.Problems, error) {
		return []Output{o}, p, nil
	}
	switch k {
	case kindPage:
		outputs, problems = b.unitPage(s)
	case kindDerivation:
		page := b.derivationPage(s)
		defer page.late.clear()
		return one(b.render("derivation", folder+derivationName+"/", page))
	case kindBadges:
		outputs = badgeOutputs(s, b.badgesOf(s))
	case kindEmbed:
		outputs, problems = b.embeds(s)
	case kindCard:
		outputs = []Output{b.unitCard(s)}
	case kindData:
		outputs, err = dataOutputs(s)
	case kindVersions:
		if st := b.site.Ledger(s.Slug); st != nil {
			outputs, problems = b.versions(s, st)
		}
	case kindSealed:
		outputs = b.site.sealedOutputs(s.Slug)
	case kindPictures:
		outputs, err = b.site.pictureOutputs(s.Slug)
	case kindBeside:
		outputs = make([]Output, 1)
		outputs[0], err = besideOutput(s)
	case kindCaptures:
		outputs, problems, err = b.captures(s)
	}
	return outputs, problems, err
}

// listOutputs makes the outputs of one group of a list, of what is known of its units.
// find gives the sheet of a unit that the methodology page works through.
func (b *binder) listOutputs(g *group, find func(n int) *sheet.Sheet) (outputs []Output, problems record.Problems) {
	one := *b
	one.problems = nil
	switch g.kind {
	case kindFront:
		outputs = []Output{one.front(g.units), {Path: cardName, Bytes: one.frontCard(g.units).Draw()}}
	case kindOlder:
		outputs = one.older(g.units)
	case kindIndex:
		outputs = indexOutputs(g.units, one.site.Content)
	case kindCorrections:
		outputs = []Output{one.corrections(g.units)}
	case kindMethodology:
		bracket, budget := examples(g.units)
		outputs = []Output{one.methodology(find(bracket), find(budget))}
	case kindCompare:
		outputs = []Output{one.besidePage()}
	case kindProse:
		for _, name := range one.proseNames() {
			outputs = append(outputs, one.prosePage(name))
		}
	case kindFeeds:
		outputs = one.feeds(g.units)
	case kindSitemap:
		outputs = one.sitemap(g.units)
	case kindAround:
		outputs = one.around()
	case kindHosting:
		outputs = one.hosting(g.units)
	case kindLoads:
		outputs = []Output{one.loads(g.units)}
	case kindLoad:
		outputs = one.load(g.member, g.units)
	case kindNear:
		outputs = []Output{one.near(g.member, g.units)}
	case kindSchemas:
		outputs = one.schemas()
	case kindTables:
		outputs = one.tables.files(g.member, g.units)
	case kindPackage:
		outputs = one.dataPackage(g.units)
	case kindMakers:
		outputs = []Output{one.makers(g.units)}
	case kindMaker:
		outputs = one.maker(g.member, g.units)
	}
	return slices.DeleteFunc(outputs, func(o Output) bool { return o.Path == "" }), one.problems
}
