package site

import (
	"wattsheet/generator/publication"
	"wattsheet/generator/theme"
)

// An Output is one file of the published site.
type Output = publication.Output

// A Summary says what became of the files of a folder.
type Summary = publication.Summary

// ErrBusy says that another run is writing to the folder: it will be done some time.
var ErrBusy = publication.ErrBusy

// A digest tells bytes from others, those of outputs and of inputs alike.
type digest = publication.Digest

// siteLayout is how a site is laid out, as far as its publication has to know.
var siteLayout = publication.Layout{Assets: theme.AssetsFolder, Units: unitsFolder, Ledger: ledgerFile}

// openPublisher prepares the publication into a folder, for the site of a content
// folder, which it stays apart from. Who is given one closes it.
func openPublisher(content, dir string) (*publication.Publisher, error) {
	if err := apart(content, dir); err != nil {
		return nil, err
	}
	return publication.Open(dir, siteLayout)
}

// Publish makes a folder hold the outputs, and makes the folder where there is none. It may
// not be, contain, or lie inside the site's content.
func (s *Site) Publish(dir string, outputs []Output) (Summary, error) {
	p, err := openPublisher(s.folder, dir)
	if err != nil {
		return Summary{}, err
	}
	p.Owner = s.owner()
	defer p.Close()
	return p.Publish(outputs)
}

// owner is the site of a loaded content; nil where it says nothing of itself.
func (s *Site) owner() *publication.Owner {
	if s.Content == nil || s.Content.Site == nil {
		return nil
	}
	o := &publication.Owner{Mark: publication.Mark{Title: s.Content.Site.Title, Address: s.Content.Site.Address}, First: s.Content.Site.FirstAddress, Units: map[string]bool{}}
	for _, r := range s.Content.Records {
		o.Units[r.Slug] = true
	}
	return o
}

// owner is the site of a draft, for a folder of which is known how it was left; nil where the content says nothing of it.
func (d *Draft) owner(there *stamps) *publication.Owner {
	site := d.frame.content.Site
	if site == nil || site.Title == "" {
		return nil
	}
	o := &publication.Owner{Mark: publication.Mark{Title: site.Title, Address: site.Address}, First: site.FirstAddress, Units: map[string]bool{}, Left: there.units[markStamp]}
	for _, slug := range d.slugs {
		o.Units[slug] = true
	}
	return o
}

// markStamp is where stamps keep the mark that was left; no unit can have that name.
const markStamp = "_" + publication.ManifestName

// mark notes the mark that a run leaves.
func (s *stamps) mark(p *publication.Publisher) {
	if line := p.MarkLine(); line != "" {
		s.now[markStamp] = publication.DigestOf([]byte(line))
	}
}
