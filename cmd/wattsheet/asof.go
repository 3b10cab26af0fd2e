package main

import (
	"fmt"
	"time"

	"wattsheet/generator/record"
)

// asOfOption is the flag for the instant whose site is wanted.
var asOfOption = option{"as-of", "TIME", "as it may be seen then, as in 2026-12-05T18:00:00Z; now if absent"}

// parseAsOf is the instant that --as-of names, or now. The error is one for people.
func parseAsOf(text string, now time.Time) (time.Time, error) {
	if text == "" {
		return now, nil
	}
	at, why, hint := record.ParseTime(text)
	if why != "" {
		return at, fmt.Errorf("--as-of is %q: %s\nhint: %s", text, why, hint)
	}
	return at, nil
}
