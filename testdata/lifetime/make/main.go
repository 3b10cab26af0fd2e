// Command make writes the content of a large site: go run ./testdata/lifetime/make UNITS FOLDER
package main

import (
	"fmt"
	"os"
	"strconv"

	"wattsheet/testdata/lifetime"
)

func main() {
	if len(os.Args) != 3 {
		fmt.Fprintln(os.Stderr, "usage: make UNITS FOLDER")
		os.Exit(2)
	}
	n, err := strconv.Atoi(os.Args[1])
	if err == nil {
		err = lifetime.Write(os.Args[2], n)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "make:", err)
		os.Exit(1)
	}
}
