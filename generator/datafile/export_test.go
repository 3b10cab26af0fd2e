package datafile

import "testing"

// What the tests of whole sheets need, which come by way of the site's loader.
var LaidOut = laidOut

// LaidOutIs is a value as its file should have it: encoding/json's texts and numbers.
func LaidOutIs(t *testing.T, v any) []byte { return laidOutIs(t, v) }
