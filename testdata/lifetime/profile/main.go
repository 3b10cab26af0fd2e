// Command profile builds a site and writes where the processor's time went:
// go run ./testdata/lifetime/profile ROOT PROFILE
package main

import (
	"fmt"
	"os"
	"path/filepath"
	"runtime/debug"
	"runtime/pprof"
	"time"

	"wattsheet/generator/site"
)

func main() {
	if len(os.Args) != 3 {
		fmt.Fprintln(os.Stderr, "usage: profile ROOT PROFILE")
		os.Exit(2)
	}
	percent, limit := site.MemoryBounds(os.Args[1])
	debug.SetGCPercent(percent)
	debug.SetMemoryLimit(limit)
	f, err := os.Create(os.Args[2])
	check(err)
	check(pprof.StartCPUProfile(f))
	built, err := site.Build(os.Args[1], time.Date(2026, 11, 26, 12, 0, 0, 0, time.UTC), filepath.Join(os.Args[1], "public"))
	pprof.StopCPUProfile()
	check(f.Close())
	check(err)
	if built.Problems.Errors() {
		check(built.Problems)
	}
}

func check(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, "profile:", err)
		os.Exit(1)
	}
}
