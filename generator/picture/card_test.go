package picture

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"image"
	"image/png"
	"strings"
	"sync"
	"testing"
)

// A card of every kind of row.
func fullCard() Card {
	line := func(mean int) *CardLine {
		return &CardLine{Limit: 500, Drawn: true, Mean: mean, From: mean - 120, To: mean + 120, Low: mean - 100, High: mean + 90, EndFrom: true, EndTo: true}
	}
	return Card{
		Site: "Quorrin Bench", Sheet: "Sheet QB-0017, version 1", Tested: "tested 9 October 2026",
		Title: "Two of four claims met, one too close to call, one short.", Name: "Brindle Vane Otter 2, two channels, class AB",
		Source: "Bought by the tester from a shop in the next town. It stays with the tester. Nobody paid for this test.",
		Rows: []CardRow{
			{"8 Ω", "(63.1 ± 1.2) W", "of 60 W", "met", "Met", line(820)},
			{"4 Ω", "(109.4 ± 1.9) W", "of 110 W", "open", "Too close to call", line(470)},
			{"2 Ω, distortion not stated", "", "75 W claimed", "untested", "Untested", &CardLine{Limit: 500}},
			{"4 Ω bridged", "(324.8 ± 5.6) W", "of 340 W", "short", "Falls short", &CardLine{Limit: 500, Drawn: true, Off: -1}},
		},
		More: "2 more on the sheet.", Foot: "± is the 95\u00a0% uncertainty.", Where: "quorrin.example/units/brindle-vane-otter-2/",
	}
}

func siteCard() Card {
	return Card{
		Site: "13 units", Sheet: "54 claims", Title: "Quorrin Bench", Name: "What an amplifier delivers.",
		Counts: []CardCount{{"met", 26, "met"}, {"short", 10, "fall short"}, {"open", 7, "too close to call"}, {"untested", 2, "untested"}, {"incomparable", 2, "not comparable"}},
		Where:  "quorrin.example/",
	}
}

// hostileCard has texts that nobody expects.
func hostileCard() Card {
	c := fullCard()
	long := strings.Repeat("Waxwingtrestle", 40)
	c.Site, c.Sheet, c.Tested, c.Title, c.Name = long, long, long, long, long
	c.Source, c.Foot, c.Where = strings.Repeat("\u202e<script>&\x00\n ", 80), long, long
	for i := range c.Rows {
		c.Rows[i].Label, c.Rows[i].Figure, c.Rows[i].Of, c.Rows[i].Word = long, long, long, long
		c.Rows[i].Line = &CardLine{Limit: -9000, Drawn: true, Mean: 1 << 30, From: -1 << 30, To: 1 << 30, Low: -500, High: 9000, OpenLow: true, OpenHigh: true}
	}
	c.Rows[3].Verdict = "no such verdict"
	return c
}

func decoded(t *testing.T, data []byte) image.Image {
	t.Helper()
	p, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Link previews show pictures of 1200 by 630 pixels and cut what is near the edges; a
// card stays far below what any of them loads (common practice, no source).
func TestCardsSizeAndEdges(t *testing.T) {
	for name, card := range map[string]Card{"full": fullCard(), "site": siteCard(), "hostile": hostileCard(), "empty": {}} {
		data := card.Draw()
		if len(data) > 100_000 {
			t.Errorf("%s: %d bytes", name, len(data))
		}
		p := decoded(t, data)
		if p.Bounds() != image.Rect(0, 0, CardWidth, CardHeight) {
			t.Fatalf("%s: %v", name, p.Bounds())
		}
		inner := image.Rect(cardLeft-14, 34, cardRight+14, CardHeight-30)
		for y := range CardHeight {
			for x := range CardWidth {
				if r, g, b, _ := p.At(x, y).RGBA(); !image.Pt(x, y).In(inner) && (r>>8 != 0xfb || g>>8 != 0xfa || b>>8 != 0xf7) {
					t.Fatalf("%s: ink at %d, %d, too near the edge", name, x, y)
				}
			}
		}
	}
}

// The pixels are those that were seen and found right; whole numbers give them on every
// processor. After a change that is meant, look at the card, raise CardVersion and put
// the new digest here.
func TestCardsPixels(t *testing.T) {
	for name, want := range map[string]string{
		"full": "59e4305446a2af8b",
		"site": "edc8e7c705f76e08",
	} {
		card := map[string]Card{"full": fullCard(), "site": siteCard()}[name]
		c := card.paint()
		h := sha256.New()
		for _, p := range c.image.Pix {
			r, g, b, _ := c.image.Palette[p].RGBA()
			h.Write([]byte{byte(r >> 8), byte(g >> 8), byte(b >> 8)})
		}
		c.done()
		if got := hex.EncodeToString(h.Sum(nil))[:16]; got != want {
			t.Errorf("%s: the pixels have the digest %s, want %s", name, got, want)
		}
	}
}

// What a canvas has kept of other cards changes no byte, and cards may be drawn at once.
func TestCardsDrawnAtOnce(t *testing.T) {
	cards := []Card{fullCard(), siteCard(), hostileCard(), {Title: "Nothing"}}
	var want [][]byte
	for _, c := range cards {
		want = append(want, c.Draw())
	}
	var all sync.WaitGroup
	for n := range 8 {
		all.Go(func() {
			for i := range cards {
				i = (i + n) % len(cards)
				if !bytes.Equal(cards[i].Draw(), want[i]) {
					t.Errorf("card %d has other bytes", i)
				}
			}
		})
	}
	all.Wait()
}

func TestWrites(t *testing.T) {
	for text, want := range map[string]bool{
		"Brindle Vane Otter 2": true, "(63.1 ± 1.2)\u202fW at 4 \u2126 − 2 × ≤ …": true, "Žluťoučký Øst Ægir": true, "Волна": true,
		"山田": false, "قمر": false, "": true, "a\u202eb\n": true,
	} {
		if Writes(text) != want {
			t.Errorf("%q: %v", text, !want)
		}
	}
}

func BenchmarkCard(b *testing.B) {
	card := fullCard()
	for b.Loop() {
		card.Draw()
	}
}
