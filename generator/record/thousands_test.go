package record

import (
	"strings"
	"testing"
)

// Numbers as people write them in letters are told with the number that is meant, never with
// one that is a thousand times as small; where both could be meant, with both.
func TestThousands(t *testing.T) {
	for text, want := range map[string]string{
		"price = 1.299,00":      "price = 1299.00",
		"price = 1.299.000":     "1299000",
		"price = 1,299.50":      "price = 1299.50",
		"price = 1,299,000 # €": "price = 1299000",
		"price = 1 299":         "price = 1299",
		"price = 12 299,5":      "price = 12299.5",
		"price = 1'299.50":      "price = 1299.50",
		"price = 1’299":         "price = 1299",
		"price = 1,299":         "price = 1.299 or price = 1299",
		"price = 112.34.5670":   "a number is written 74.3",
		"price = 0,299":         "price = 0.299",
		"power_w = 74,3":        "power_w = 74.3",
	} {
		_, problems := DecodeRecord(&File{Name: "record.toml", Text: []byte("[unit]\n" + text + "\n")}, "two-75")
		if len(problems) != 1 || !strings.HasSuffix(": "+problems[0].Hint, ": "+want) {
			t.Errorf("%s: %v", text, problems)
		}
	}
}

// A list that is given twice is no table whose head lacks a bracket.
func TestListGivenTwice(t *testing.T) {
	for text, want := range map[string]string{
		"[unit]\nchannels = [\"a\"]\nchannels = [\"b\"]": "keep one of the two",
		"[[run]]\nid = \"a\"\n[run]\nid = \"b\"":         "[[run]]",
	} {
		_, problems := DecodeRecord(&File{Name: "record.toml", Text: []byte(text + "\n")}, "two-75")
		if len(problems) == 0 || !strings.Contains(problems[0].Hint, want) {
			t.Errorf("%s: %v", text, problems)
		}
	}
}
