package datafile

import (
	"bytes"
	"encoding/csv"
	"math"
	"strconv"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// The functions below append one cell of a table in the form of RFC 4180.

// AppendCell appends a text's cell, in quotes where it needs them; encoding/csv writes
// those.
func AppendCell(b []byte, text string) []byte {
	if !needsQuotes(text) {
		return append(b, text...)
	}
	q := inQuotes.Get().(*quotesDesk)
	defer inQuotes.Put(q)
	q.quoted.Reset()
	q.Write([]string{text}) // into memory, which can't fail
	q.Flush()
	return append(b, bytes.TrimSuffix(q.quoted.Bytes(), []byte("\r\n"))...)
}

// A quotesDesk writes cells in quotes.
type quotesDesk struct {
	*csv.Writer
	quoted bytes.Buffer
}

// inQuotes are used again: each has a buffer of four kilobytes.
var inQuotes = sync.Pool{New: func() any {
	q := &quotesDesk{}
	q.Writer = csv.NewWriter(&q.quoted)
	q.UseCRLF = true
	return q
}}

// needsQuotes reports whether encoding/csv may put a text in quotes.
func needsQuotes(text string) bool {
	if text == "" {
		return false
	}
	first, _ := utf8.DecodeRuneInString(text)
	return unicode.IsSpace(first) || text[0] == '\\' || strings.ContainsAny(text, "\",\r\n")
}

// AppendNumber appends a number's cell; empty where it is infinite or none.
func AppendNumber(b []byte, x float64) []byte {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return b
	}
	return quantity.AppendFloat(b, x)
}

// appendPositive appends a number's cell; empty where it is not known.
func appendPositive(b []byte, x float64) []byte {
	if x <= 0 {
		return b
	}
	return AppendNumber(b, x)
}

// AppendTyped appends the cell of a number of the record, which may be absent.
func AppendTyped(b []byte, n record.Number) []byte {
	if n.Text == "" {
		return b
	}
	return AppendNumber(b, n.Value)
}

// CellText is a text's cell before it is quoted. Spreadsheets take a text that begins with
// one of the signs below for a formula, the wide ones as well.
func CellText(text string) string {
	if first, _ := utf8.DecodeRuneInString(text); text == "" || !strings.ContainsRune("=+-@\t\r\n＝＋－＠", first) {
		return text
	}
	if _, err := strconv.ParseFloat(text, 64); err == nil && !strings.ContainsAny(text, "xXpPiInN_") {
		return text
	}
	return "'" + text
}
