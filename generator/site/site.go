// Package site knows which outputs exist and what each is made from: it loads
// the content, evaluates it, renders pages and data files, and writes public/.
package site

import (
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// A Site is the content of one site as it may be published at an instant, decoded
// and evaluated: what is held then is not in its fields. It is only read once it
// is made.
type Site struct {
	Content *record.Content
	Sheets  []*sheet.Sheet // by slug
	// Notes holds the source of each unit's notes.md by slug; a unit without
	// notes has no entry.
	Notes map[string]*record.File
	// Prose holds the source of content/prose/*.md by name without the ending.
	Prose map[string]*record.File

	// spoken holds the texts that go with the units' videos, by slug, then by name.
	spoken map[string][]*record.File

	// behind is the content with what is held, for the tester's eyes only.
	behind withheld

	// folder is the content folder's absolute path without symbolic links; empty
	// for a site that was not loaded from a disk. The output must stay apart
	// from it.
	folder string
	// root is the folder that the content folder lies in, likewise.
	root string
	// untouched says that nothing may be written on the disk, not even the cache.
	untouched bool
	// sealed holds what was sealed of each unit, by slug.
	sealed map[string]*sealed
	// addresses is the file of promised addresses; nil where there is none.
	addresses []byte
	// neighbours are the units that follow one of the site, or that it follows, for a
	// site of one unit; nil where Sheets has them.
	neighbours []*sheet.Sheet
	// pictures holds what is known of each picture, by slug and file.
	pictures map[pictureName]*source
	// captures holds what is known of each capture's file, by slug and file.
	captures map[captureName]*captured
}
