package site

import (
	"bytes"
	"path"
	"regexp"
	"strings"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// DescriptionFile is a unit's own template for the description of its videos.
const DescriptionFile = "description.txt"

// isSpoken reports whether a file goes with a unit's video: its subtitles, or the template
// of its description. Nothing of them is published; their numbers are looked at.
func isSpoken(name string) bool {
	ending := strings.ToLower(path.Ext(name))
	return name == DescriptionFile || ending == ".srt" || ending == ".vtt"
}

func (s *Site) keepSpoken(files []*record.File) {
	s.spoken = map[string][]*record.File{}
	for _, f := range files {
		if f != nil {
			slug := path.Base(path.Dir(f.Name))
			s.spoken[slug] = append(s.spoken[slug], f)
		}
	}
}

// Description is the template that a unit has for the descriptions of its videos; nil
// where it has none.
func (s *Site) Description(slug string) *record.File {
	for _, f := range s.spoken[slug] {
		if path.Base(f.Name) == DescriptionFile {
			return f
		}
	}
	return nil
}

// misspoken finds the numbers in subtitles and descriptions that disagree with the
// record, with all that is held in it: a video is made before things open.
func (s *Site) misspoken() (problems record.Problems) {
	for _, r := range s.behind.content.Records {
		if len(s.spoken[r.Slug]) == 0 {
			continue
		}
		known := s.wholeOf(r).Knows()
		for _, f := range s.spoken[r.Slug] {
			for _, one := range known.Typed(wordsOf(f.Text)) {
				problems = append(problems, f.Problem(record.Warning, one.At, one.Length, typedSays(one),
					"if it is that figure, say what the record says; what is burned into a film needs a correction"))
			}
		}
	}
	return problems
}

// wholeOf is the sheet of a record with what is held in it.
func (s *Site) wholeOf(r *record.Record) *sheet.Sheet {
	for _, one := range s.Sheets {
		if one.Record == r {
			return one
		}
	}
	return sheet.Evaluate(s.behind.content, r)
}

// cueTags is what subtitles have within their text: <i>, {\an8} (common practice, no source).
var cueTags = regexp.MustCompile(`<[^<>\n]*>|\{[^{}\n]*\}`)

// wordsOf is a text with blanks in place of its tags, of the same length.
func wordsOf(text []byte) []byte {
	return cueTags.ReplaceAllFunc(bytes.Clone(text), func(tag []byte) []byte { return bytes.Repeat([]byte(" "), len(tag)) })
}
