package kit

import (
	"bytes"
	"image/png"
	"io"
	"path"
	"testing"
)

// BenchmarkMake compares making a kit with decoding and encoding its pictures once.
func BenchmarkMake(b *testing.B) {
	of := newBench(b).subject(unit)
	made, problems := Make(of)
	if problems.Errors() {
		b.Fatal(problems)
	}
	b.Run("kit", func(b *testing.B) {
		for b.Loop() {
			Make(of)
		}
	})
	b.Run("its pictures once", func(b *testing.B) {
		for b.Loop() {
			n := 0
			for _, f := range made.Files {
				if path.Ext(f.Name) != ".png" {
					continue
				}
				img, err := png.Decode(bytes.NewReader(f.Bytes))
				if err == nil {
					err = (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(io.Discard, img)
				}
				if err != nil {
					b.Fatal(err)
				}
				n++
			}
			if n == 0 {
				b.Fatal("the kit has no pictures")
			}
		}
	})
}
