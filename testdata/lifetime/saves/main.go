// Command saves measures what watch does after a save, on a site of any size:
// go run ./testdata/lifetime/saves ROOT
//
// It refreshes a draft of the site in ROOT after an edit and opens the page of the unit
// that was edited, again and again, and prints the median times.
package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"time"

	"wattsheet/generator/site"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: saves ROOT")
		os.Exit(2)
	}
	root := os.Args[1]
	start := time.Now()
	d, err := site.OpenDraft(root)
	check(err)
	defer d.Close()
	_, err = d.Refresh(time.Now(), nil)
	check(err)
	fmt.Printf("first look %v", time.Since(start).Round(time.Millisecond))
	start = time.Now()
	_, err = d.Sweep(nil)
	check(err)
	fmt.Printf(", the rest %v\n", time.Since(start).Round(time.Millisecond))

	units, err := os.ReadDir(filepath.Join(root, "content", "units"))
	check(err)
	slug := units[len(units)/2].Name()
	page := "units/" + slug + "/index.html"
	for _, name := range []string{"content/units/" + slug + "/notes.md", "content/units/" + slug + "/record.toml", "content/bench.toml", "content/site.toml"} {
		path := filepath.Join(root, name)
		before, err := os.ReadFile(path)
		check(err)
		var refreshing, opening []time.Duration
		for i := range 9 {
			check(os.WriteFile(path, append(bytes.Clone(before), fmt.Sprintf("\n%*s", i+1, "")...), 0o644))
			start := time.Now()
			_, err := d.Refresh(time.Now(), []string{name})
			check(err)
			refreshing = append(refreshing, time.Since(start))
			start = time.Now()
			_, err = d.Open(page)
			check(err)
			opening = append(opening, time.Since(start))
		}
		check(os.WriteFile(path, before, 0o644))
		fmt.Printf("%-60s refresh %v, then its page %v\n", name, median(refreshing), median(opening))
	}
}

func median(all []time.Duration) time.Duration {
	slices.Sort(all)
	return all[len(all)/2].Round(10 * time.Microsecond)
}

func check(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, "saves:", err)
		os.Exit(1)
	}
}
