package picture

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"strings"
)

var (
	// pngSignature is from the PNG specification (W3C, third edition), 5.2.
	pngSignature = []byte("\x89PNG\r\n\x1a\n")
	// jpegSignature is the marker SOI (ITU-T T.81, table B.1) and the first
	// byte of the marker after it.
	jpegSignature = []byte("\xff\xd8\xff")
)

func isPNG(data []byte) bool  { return bytes.HasPrefix(data, pngSignature) }
func isJPEG(data []byte) bool { return bytes.HasPrefix(data, jpegSignature) }

// decode reads a picture and how it has to be turned. Its size is looked at
// before anything of that size is made.
func decode(data []byte) (image.Image, orientation, error) {
	header, whole, turn := png.DecodeConfig, png.Decode, upright
	switch {
	case isPNG(data):
	case isJPEG(data):
		header, whole, turn = jpeg.DecodeConfig, jpeg.Decode, orientationOf(data)
	default:
		return nil, 0, &Error{other(data), "save the picture as .jpg (photographs) or .png"}
	}
	c, err := header(bytes.NewReader(data))
	if err != nil {
		return nil, 0, broken(err)
	}
	if err := bounded(data, c.Width, c.Height); err != nil {
		return nil, 0, err
	}
	pixels, err := whole(bytes.NewReader(data))
	if err != nil {
		return nil, 0, broken(err)
	}
	if size := pixels.Bounds().Size(); size != image.Pt(c.Width, c.Height) {
		return nil, 0, broken(errors.New("its size is given twice"))
	}
	return pixels, turn, nil
}

// bounded refuses a picture that is empty, too large, or far larger than its
// bytes can fill.
func bounded(data []byte, width, height int) error {
	pixels := int64(width) * int64(height)
	switch {
	case width <= 0 || height <= 0:
		return broken(errors.New("it has no pixels"))
	case width > MaxPixels || height > MaxPixels || pixels > MaxPixels:
		return &Error{
			fmt.Sprintf("this picture has %d × %d pixels, more than %d million", width, height, MaxPixels/1_000_000),
			"save it smaller; a page shows at most 1600 pixels of width",
		}
	case isPNG(data) && int64(height)*rowBytes(data, width) > 1100*int64(len(data)):
		// DEFLATE makes at most 258 bytes of 2 bits, 1032 to one
		// (RFC 1951, 3.2.5 and 3.2.6).
		return broken(io.ErrUnexpectedEOF)
	}
	return nil
}

// rowBytes gives the bytes of a row of a PNG from the depth and the colour type
// in its header (PNG specification, 11.2.1 and table 11.1), at least 1.
func rowBytes(data []byte, width int) int64 {
	const depthAt, typeAt = 24, 25
	if len(data) <= typeAt {
		return 1
	}
	samples := map[byte]int64{2: 3, 4: 2, 6: 4}[data[typeAt]] // colour, grey and alpha, colour and alpha
	return max(int64(width)*int64(data[depthAt])*max(samples, 1)/8, 1)
}

// broken is the error for a picture that its decoder refuses.
func broken(err error) *Error {
	why := err.Error()
	short := strings.HasSuffix(why, "not enough pixel data") || strings.HasSuffix(why, "short Huffman data")
	if short || errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return &Error{"this picture is cut short", "copy it again from where it came, whole"}
	}
	for _, room := range []string{"invalid JPEG format: ", "unsupported JPEG feature: ", "png: invalid format: ", "png: unsupported feature: "} {
		why = strings.TrimPrefix(why, room)
	}
	return &Error{"this picture is damaged or of an unusual kind: " + why, "open it in a picture program and save it anew"}
}

// other says of which format bytes are that are neither JPEG nor PNG.
func other(data []byte) string {
	is := func(at int, text string) bool { return len(data) >= at && bytes.HasPrefix(data[at:], []byte(text)) }
	kind := ""
	switch {
	case len(data) == 0:
		return "this picture's file is empty"
	case is(0, "GIF8"):
		kind = "GIF"
	case is(0, "RIFF") && is(8, "WEBP"):
		kind = "WebP"
	case is(4, "ftypavif"):
		kind = "AVIF"
	case is(4, "ftyphei"), is(4, "ftypmif1"):
		kind = "HEIF"
	case is(0, "II*\x00"), is(0, "MM\x00*"):
		kind = "TIFF"
	case is(0, "BM") && len(data) >= 14 && int64(binary.LittleEndian.Uint32(data[2:])) == int64(len(data)):
		kind = "BMP"
	case is(0, "<svg"), is(0, "<?xml"):
		kind = "SVG or XML"
	default:
		return "this file is neither a JPEG nor a PNG picture"
	}
	return "this picture is in the format " + kind + ", not JPEG or PNG"
}
