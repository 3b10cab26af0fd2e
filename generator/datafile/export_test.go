package datafile

import (
	"testing"

	"wattsheet/generator/sheet"
)

// What the tests of whole sheets need, which come by way of the site's loader.
var LaidOut = laidOut

// LaidOutIs is a value as its file should have it: encoding/json's texts and numbers.
func LaidOutIs(t *testing.T, v any) []byte { return laidOutIs(t, v) }

// Of is a sheet as its file has it.
func Of(s *sheet.Sheet) *Sheet {
	return dataOf(s, causeDesks.New().(*causes)) // which nobody clears
}
