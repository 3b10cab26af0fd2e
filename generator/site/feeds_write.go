package site

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
)

// An atomFeed is an Atom document: RFC 4287, section 4.1.1.
type atomFeed struct {
	XMLName  xml.Name    `xml:"http://www.w3.org/2005/Atom feed"`
	Lang     string      `xml:"xml:lang,attr"`
	ID       string      `xml:"id"`
	Title    string      `xml:"title"`
	Subtitle string      `xml:"subtitle,omitempty"`
	Updated  string      `xml:"updated"`
	Author   atomPerson  `xml:"author"`
	Links    []atomLink  `xml:"link"`
	Entries  []atomEntry `xml:"entry"`
}

type atomPerson struct {
	Name string `xml:"name"`
}

type atomLink struct {
	Rel  string `xml:"rel,attr"`
	Type string `xml:"type,attr,omitempty"`
	Href string `xml:"href,attr"`
}

// An atomEntry is one entry: section 4.1.2.
type atomEntry struct {
	ID        string     `xml:"id"`
	Title     string     `xml:"title"`
	Updated   string     `xml:"updated"`
	Published string     `xml:"published,omitempty"`
	Links     []atomLink `xml:"link"`
	Summary   string     `xml:"summary,omitempty"`
	Content   atomText   `xml:"content"`
}

type atomText struct {
	Type string `xml:"type,attr"`
	Text string `xml:",chardata"`
}

const atomType, feedType = "application/atom+xml", "application/feed+json"

// atom writes the feed as an Atom document.
func (f *feed) atom(base string) []byte {
	doc := atomFeed{
		Lang: pageLanguage, ID: f.ID, Title: f.Title, Subtitle: f.Subtitle, Updated: f.Updated, Author: atomPerson{f.Author},
		Links: []atomLink{{"self", atomType, base + f.Folder + feedAtom}, {"alternate", "text/html", f.Home}, {"alternate", feedType, base + f.Folder + feedJSON}},
	}
	for _, e := range f.Entries {
		doc.Entries = append(doc.Entries, atomEntry{
			ID: e.ID, Title: e.Title, Updated: e.Updated, Published: e.Published, Summary: e.Summary, Content: atomText{"html", e.Content},
			Links: []atomLink{{"alternate", "text/html", e.URL}, {"related", "application/json", e.Data}},
		})
	}
	return xmlFile(doc)
}

// xmlFile writes a document with its declaration.
func xmlFile(doc any) []byte {
	data, err := xml.MarshalIndent(doc, "", " ")
	if err != nil {
		panic(err) // texts always can be written
	}
	return append([]byte(xml.Header), append(data, '\n')...)
}

// A jsonFeed is a document of JSON Feed 1.1 (jsonfeed.org/version/1.1).
type jsonFeed struct {
	Version     string       `json:"version"`
	Title       string       `json:"title"`
	HomePageURL string       `json:"home_page_url"`
	FeedURL     string       `json:"feed_url"`
	Description string       `json:"description,omitempty"`
	Icon        string       `json:"icon,omitempty"`
	Authors     []jsonAuthor `json:"authors"`
	Language    string       `json:"language"`
	Items       []jsonItem   `json:"items"`
}

type jsonAuthor struct {
	Name string `json:"name"`
	URL  string `json:"url"`
}

type jsonItem struct {
	ID            string    `json:"id"`
	URL           string    `json:"url"`
	Title         string    `json:"title"`
	ContentHTML   string    `json:"content_html"`
	Summary       string    `json:"summary,omitempty"`
	DatePublished string    `json:"date_published,omitempty"`
	DateModified  string    `json:"date_modified"`
	Sheet         jsonSheet `json:"_sheet"`
}

// A jsonSheet is our own part of an item; names of extensions begin with a low line.
type jsonSheet struct {
	About  string `json:"about"`
	Number string `json:"number"`
	URL    string `json:"url"`
}

// json writes the feed as a JSON Feed. icon is the path of a large icon; empty without.
func (f *feed) json(base, icon string) []byte {
	doc := jsonFeed{
		Version: "https://jsonfeed.org/version/1.1", Title: f.Title, HomePageURL: f.Home, FeedURL: base + f.Folder + feedJSON,
		Description: f.Subtitle, Authors: []jsonAuthor{{f.Author, base}}, Language: pageLanguage, Items: []jsonItem{},
	}
	if icon != "" {
		doc.Icon = base + icon
	}
	for _, e := range f.Entries {
		doc.Items = append(doc.Items, jsonItem{
			ID: e.ID, URL: e.URL, Title: e.Title, ContentHTML: e.Content, Summary: e.Summary,
			DatePublished: e.Published, DateModified: e.Updated,
			Sheet: jsonSheet{base + methodologyName + "/", e.Number, e.Data},
		})
	}
	return jsonFile(doc)
}

// jsonFile writes a document with a line for each value.
func jsonFile(doc any) []byte {
	var b bytes.Buffer
	e := json.NewEncoder(&b) // it escapes <, > and &
	e.SetIndent("", " ")
	if err := e.Encode(doc); err != nil {
		panic(err) // texts always can be written
	}
	return b.Bytes()
}
