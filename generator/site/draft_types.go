package site

import "wattsheet/generator/record"

// A Refreshed says what bringing a draft up to date came to.
type Refreshed struct {
	Problems  record.Problems
	Pending   int // units not looked at again yet
	Evaluated int // units whose sheets were made anew
}
