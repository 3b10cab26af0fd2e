package record

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"
)

// What a clock shows is minutes and seconds, and from an hour on hours too; it reads
// back as it is written.
func TestClockReadsBack(t *testing.T) {
	for text, want := range map[string]int{
		"0:00": 0, "4:12": 252, "59:59": 3599, "1:00:00": 3600, "1:02:03": 3723, "90:00": 5400, "0:12:40": 760, "04:05": 245,
	} {
		if got, ok := ParseClock(text); got != want || !ok {
			t.Errorf("%s is %d, %t; want %d", text, got, ok, want)
		}
	}
	for _, text := range []string{"", "4", "4:1", "4:60", "1:60:00", ":12", "4:12 ", " 4:12", "-4:12", "4:12.5", "1:2:3:4", "1000:00", "٤:12"} {
		if got, ok := ParseClock(text); ok {
			t.Errorf("%q is taken for %d seconds", text, got)
		}
	}
	for s := range 2 * 3600 {
		if got, ok := ParseClock(Clock(s)); got != s || !ok {
			t.Fatalf("%d is written %s, which reads %d", s, Clock(s), got)
		}
	}
}

func TestParseMark(t *testing.T) {
	for text, want := range map[string]string{
		"4:12": " 252 true", "bench 4:12": "bench 252 true", "r2-day 1:02:03": "r2-day 3723 true",
		"bench  4:12": " 0 false", "Bench 4:12": " 0 false", "4:12 bench": " 0 false", "bench": " 0 false", "-x 4:12": " 0 false", " 4:12": " 0 false",
	} {
		video, seconds, ok := ParseMark(text)
		if !ok {
			video, seconds = "", 0
		}
		if got := fmt.Sprintf("%s %d %t", video, seconds, ok); got != want {
			t.Errorf("%q is %s, want %s", text, got, want)
		}
	}
}

// The forms by which hosts are asked for a second, as they document them: of the page
// t=76s in the query, t=76 at the short host, #t=1m16s, ?start=76; of the player in a
// frame start=76. A file takes #t=76 (Media Fragments URI 1.0, section 4.2.1). The ids
// are invented.
func TestAddressesWithASecond(t *testing.T) {
	const uuid = "9c9de5e8-0a1e-484a-b099-e80766180a6d"
	for _, row := range []struct{ address, page, player, origin string }{
		{"https://www.youtube.com/watch?v=Inv3nted_-0", "https://www.youtube.com/watch?v=Inv3nted_-0&t=76s",
			"https://www.youtube-nocookie.com/embed/Inv3nted_-0?autoplay=1&start=76", "https://www.youtube-nocookie.com"},
		{"https://m.youtube.com/watch?list=x&v=Inv3nted_-0&t=9s#t=3", "https://www.youtube.com/watch?v=Inv3nted_-0&t=76s",
			"https://www.youtube-nocookie.com/embed/Inv3nted_-0?autoplay=1&start=76", "https://www.youtube-nocookie.com"},
		{"https://YOUTU.be/Inv3nted_-0?si=abc", "https://youtu.be/Inv3nted_-0?t=76",
			"https://www.youtube-nocookie.com/embed/Inv3nted_-0?autoplay=1&start=76", "https://www.youtube-nocookie.com"},
		{"https://youtube.com/live/Inv3nted_-0", "https://www.youtube.com/watch?v=Inv3nted_-0&t=76s",
			"https://www.youtube-nocookie.com/embed/Inv3nted_-0?autoplay=1&start=76", "https://www.youtube-nocookie.com"},
		{"https://vimeo.com/123456789", "https://vimeo.com/123456789#t=1m16s",
			"https://player.vimeo.com/video/123456789?dnt=1&autoplay=1#t=76s", "https://player.vimeo.com"},
		{"https://vimeo.com/123456789/0a1b2c3d4e", "https://vimeo.com/123456789/0a1b2c3d4e#t=1m16s",
			"https://player.vimeo.com/video/123456789?dnt=1&h=0a1b2c3d4e&autoplay=1#t=76s", "https://player.vimeo.com"},
		{"https://videos.example:8443/w/kkGMgK9ZtnKfYAgnEtQxbv", "https://videos.example:8443/w/kkGMgK9ZtnKfYAgnEtQxbv?start=76",
			"https://videos.example:8443/videos/embed/kkGMgK9ZtnKfYAgnEtQxbv?p2p=0&warningTitle=0&autoplay=1&start=76", "https://videos.example:8443"},
		{"https://videos.example/videos/watch/" + uuid, "https://videos.example/videos/watch/" + uuid + "?start=76",
			"https://videos.example/videos/embed/" + uuid + "?p2p=0&warningTitle=0&autoplay=1&start=76", "https://videos.example"},
		{"https://bench.example/day.mp4", "https://bench.example/day.mp4#t=76", "", ""},
		{"http://bench.example/a%20b/day.WEBM?x=1#t=4", "http://bench.example/a%20b/day.WEBM?x=1#t=76", "", ""},
		// without https nothing is framed
		{"http://vimeo.com/123456789", "https://vimeo.com/123456789#t=1m16s", "", ""},
		// of no known form: as it is written
		{"https://bench.example/videos/7", "", "", ""},
		{"https://www.youtube.com/@bench", "", "", ""},
		{"https://www.youtube.com/watch?v=short", "", "", ""},
		{"https://www.youtube.com/watch?v=a%22onload%3D%22b", "", "", ""},
		{"https://www.youtube.com.bench.example/watch?v=Inv3nted_-0", "", "", ""},
		{"https://vimeo.com/123456789/0a1b?h=%3Cscript%3E", "https://vimeo.com/123456789/0a1b#t=1m16s",
			"https://player.vimeo.com/video/123456789?dnt=1&h=0a1b&autoplay=1#t=76s", "https://player.vimeo.com"},
		{"https://bench.example;script-src/w/kkGMgK9ZtnKfYAgnEtQxbv", "", "", ""},
		{"https://bench.example,*/w/kkGMgK9ZtnKfYAgnEtQxbv", "", "", ""},
		{"https://bench.example'/day.mp4", "", "", ""},
	} {
		v := &Video{Address: row.address}
		page, timed := v.AddressAt(76)
		p, framed := v.Player()
		player, origin := p.At(76), p.Origin
		want := row.page
		if want == "" {
			want = row.address
		}
		if page != want || timed != (row.page != "") || player != row.player || origin != row.origin || framed != (row.player != "") {
			t.Errorf("%s:\n page %s (%t)\n player %s, of %s", row.address, page, timed, player, origin)
		}
		if framed && (p.At(0) != p.Address || strings.Contains(p.Waiting, "autoplay") || !strings.HasPrefix(p.Address, p.Waiting) || !strings.HasPrefix(player, origin+"/")) {
			t.Errorf("the player %+v", p)
		}
		if start, _ := v.AddressAt(0); strings.Contains(start, "t=0") || strings.Contains(start, "start=") {
			t.Errorf("the beginning is %s", start)
		}
	}
}

const aVideo = "\n[[video]]\nid = \"bench\"\ntitle = \"On the bench\"\naddress = \"https://videos.example/7\"\nlasts = \"18:40\"\n"

// withVideo is the good content with a mark on run r01 and tables at the end.
func withVideo(t *testing.T, mark, rest string) *Content {
	t.Helper()
	return contentWith(t, "record.toml", endOfRun, endOfRun+"\nvideo = \""+mark+"\"\n"+rest)
}

// TestCheckVideos compares what is printed with testdata/videos.txt.
func TestCheckVideos(t *testing.T) {
	second := strings.NewReplacer("bench", "second", "/7", "/8").Replace(aVideo)
	var b strings.Builder
	for _, row := range []struct{ what, mark, rest string }{
		{"no video of that id", "bnech 4:12", aVideo},
		{"an id, but no video at all", "bench 4:12", ""},
		{"which of two", "4:12", aVideo + second},
		{"at the end", "18:40", aVideo},
		{"one address twice", "bench 4:12", aVideo + strings.Replace(second, "/8", "/7", 1)},
	} {
		problems := withVideo(t, row.mark, row.rest).Check()
		if len(problems) != 1 {
			t.Errorf("%s: %d problems", row.what, len(problems))
		}
		fmt.Fprintf(&b, "--- %s\n%s\n", row.what, problems.Error())
	}
	golden(t, "testdata/videos.txt", b.String())
	for what, c := range map[string]*Content{
		"a mark before there is a video": withVideo(t, "4:12", ""),
		"the only one":                   withVideo(t, "4:12", aVideo),
		"the only one, by its id":        withVideo(t, "bench 18:39", aVideo),
		"one of two":                     withVideo(t, "second 18:39", aVideo+second),
		"its length isn't known":         withVideo(t, "59:00", strings.Replace(aVideo, "lasts = \"18:40\"\n", "", 1)),
		"neither is out yet":             withVideo(t, "bench 4:12", strings.NewReplacer("address = \"https://videos.example/7\"\n", "").Replace(aVideo)+strings.NewReplacer("address = \"https://videos.example/8\"\n", "").Replace(second)),
	} {
		if problems := c.Check(); len(problems) > 0 {
			t.Errorf("%s: %v", what, problems)
		}
	}
}

// While a video is held its marks are out of what is published, those in others stay.
func TestMarksOfAHeldVideo(t *testing.T) {
	held := strings.NewReplacer("bench", "second", "/7", "/8").Replace(aVideo) + "hold = \"until 2026-12-05T18:00:00Z\"\n"
	for _, row := range []struct {
		rest, mark, at string
		want           string
	}{
		{aVideo + held, "second 4:12", "2026-12-05 17:59:59", ""},
		{aVideo + held, "second 4:12", "2026-12-05 18:00:00", "second 4:12"},
		{aVideo + held, "bench 4:12", "2026-12-05 17:59:59", "bench 4:12"},
		{held, "4:12", "2026-12-05 17:59:59", ""},
		{held, "4:12", "2026-12-05 18:00:00", "4:12"},
	} {
		c := withVideo(t, row.mark, row.rest)
		seen := c.Visible(utc(t, row.at)).Records[0]
		if got := seen.Runs[0].Video; got != row.want || c.Records[0].Runs[0].Video != row.mark {
			t.Errorf("%s at %s: the mark is %q", row.mark, row.at, got)
		}
	}
}

// Each table with the key video is gone through, so that a new one isn't forgotten.
func TestEveryMarkIsKnown(t *testing.T) {
	var r Record
	r.Claims, r.Runs, r.Specs, r.Functions = make([]Claim, 1), make([]Run, 1), make([]Spec, 1), make([]Function, 1)
	r.Thermals, r.Opinions, r.Pictures = make([]Thermal, 1), make([]Opinion, 1), make([]Picture, 1)
	var kinds []string
	r.marks(func(kind, _ string, _ Place, mark *string) {
		*mark = "4:12"
		kinds = append(kinds, kind)
	})
	var have []string
	for _, f := range schemaOf(reflect.TypeFor[Record]()).fields {
		if f.sub != nil && f.sub.byKey["video"] != nil {
			have = append(have, f.key)
		}
	}
	slices.Sort(kinds)
	slices.Sort(have)
	if len(r.Marks()) != len(kinds) || !slices.Equal(kinds, have) {
		t.Errorf("the key is in %v, gone through are %v", have, kinds)
	}
}
