package site

import (
	"bytes"
	"compress/flate"
	"encoding/json"
	"io"
	"sync"
)

// A packed is a value as compressed JSON: what a brief has for few pages only is kept so,
// as ten thousand briefs are in memory at once.
type packed []byte

// packers are used again: each has a table of some hundred kilobytes.
var packers = sync.Pool{New: func() any {
	w, err := flate.NewWriter(nil, flate.BestSpeed)
	if err != nil {
		panic(err) // only for a level that there isn't
	}
	return w
}}

// pack packs a value that JSON can write.
func pack(value any) packed {
	data, err := json.Marshal(value)
	if err != nil {
		panic(err) // texts and numbers always can be written
	}
	var out bytes.Buffer
	w := packers.Get().(*flate.Writer)
	defer packers.Put(w)
	w.Reset(&out)
	if _, err := w.Write(data); err != nil {
		panic(err) // a buffer takes all
	}
	if err := w.Close(); err != nil {
		panic(err)
	}
	return bytes.Clone(out.Bytes())
}

// An unpacker reads packed values, one after the other.
type unpacker struct {
	from   bytes.Reader
	reader io.ReadCloser
	text   bytes.Buffer
}

// unpackers are used again: each has a window of 32 kilobytes.
var unpackers = sync.Pool{New: func() any { return &unpacker{reader: flate.NewReader(nil)} }}

// into reads a packed value into the one that a pointer leads to. It was written by pack,
// and read back whole.
func (p packed) into(value any) {
	u := unpackers.Get().(*unpacker)
	defer unpackers.Put(u)
	u.from.Reset(p)
	u.text.Reset()
	err := u.reader.(flate.Resetter).Reset(&u.from, nil)
	if err == nil {
		_, err = u.text.ReadFrom(u.reader)
	}
	if err == nil {
		err = json.Unmarshal(u.text.Bytes(), value)
	}
	if err != nil {
		panic(err)
	}
}
