package site

import (
	"fmt"
	"strings"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// A videoObject is a video about the unit.
type videoObject struct {
	thing
	Description string `json:"description"`
	Thumbnail   string `json:"thumbnailUrl"`
	Uploaded    string `json:"uploadDate"`
	Duration    string `json:"duration,omitempty"`
	URL         string `json:"url"`
	Player      string `json:"embedUrl,omitempty"`
	Parts       []clip `json:"hasPart,omitempty"`
}

// A clip is what is seen in a video from a second on. Its address is the page's own, which
// finds what is seen at that second.
type clip struct {
	thing
	Start int    `json:"startOffset"`
	End   int    `json:"endOffset,omitempty"`
	URL   string `json:"url"`
}

// videosOf are the videos of a page for machines: those of which all is known that has to
// be said, which is the day of publication and, for the still, the site's address.
func (b *binder) videosOf(page *unitPage, s *sheet.Sheet) (out []any) {
	for i, v := range watchingOf(s.Record).out {
		if v.Published.Text == "" || page.Preview.Image == "" {
			continue
		}
		shown := &page.Videos[i]
		o := videoObject{
			thing: thing{"VideoObject", page.Canonical + "#" + shown.ID, v.Title}, Thumbnail: page.Preview.Image,
			Description: shortened(join(" ", strings.Join(shown.About, " "), s.Headline), 5000),
			Uploaded:    v.Published.Text, Duration: duration(v.Seconds()), URL: v.Address,
			Parts: clipsOf(page.Canonical, shown, v),
		}
		if p, ok := v.Player(); ok {
			o.Player = p.Waiting
		}
		out = append(out, o)
	}
	return out
}

// clipsOf are what is seen in a video; what is seen at one second is one clip, which ends
// where the next begins.
func clipsOf(canonical string, shown *videoPart, v *record.Video) (out []clip) {
	which := ""
	if shown.Number > 1 {
		which = "video=" + v.ID + "&"
	}
	for _, m := range shown.Marks {
		if n := len(out); n > 0 && out[n-1].Start == m.Seconds {
			out[n-1].Name += "; " + m.Text
			continue
		}
		out = append(out, clip{thing: thing{Type: "Clip", Name: m.Text}, Start: m.Seconds, URL: fmt.Sprintf("%s?%st=%d", canonical, which, m.Seconds)})
	}
	for i := range out {
		if out[i].End = v.Seconds(); i+1 < len(out) {
			out[i].End = out[i+1].Start
		}
	}
	return out
}

// duration writes seconds as ISO 8601 does: PT18M40S; empty for none.
func duration(seconds int) string {
	if seconds == 0 {
		return ""
	}
	text := "PT"
	for _, part := range []struct {
		n    int
		unit string
	}{{seconds / 3600, "H"}, {seconds / 60 % 60, "M"}, {seconds % 60, "S"}} {
		if part.n > 0 {
			text += itoa(part.n) + part.unit
		}
	}
	return text
}
