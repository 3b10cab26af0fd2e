package main

import (
	"runtime"
	"runtime/debug"
	"strings"
)

func versionCommand() *command {
	c := &command{
		name: "version", does: "print which version this is",
		about:    "Prints the program's version, the revision it was built from, and Go's version.",
		examples: []string{"wattsheet version"},
	}
	c.run = func(u *ui, args []string) int { return runVersion(u, c, args) }
	return c
}

func runVersion(u *ui, c *command, args []string) int {
	if _, status, ok := c.read(u, args, nil, 0); !ok {
		return status
	}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		info = nil
	}
	u.say("%s", versionOf(info))
	return exitDone
}

// versionOf is a build's version as a line: the module's version, the revision
// where it is known, and the Go version.
func versionOf(info *debug.BuildInfo) string {
	version, parts := "unknown", []string(nil)
	if info != nil {
		if info.Main.Version != "" {
			version = info.Main.Version
		}
		parts = revision(info.Settings)
	}
	parts = append(parts, runtime.Version())
	return "wattsheet " + version + " (" + strings.Join(parts, ", ") + ")"
}

func revision(settings []debug.BuildSetting) []string {
	known := map[string]string{}
	for _, s := range settings {
		known[s.Key] = s.Value
	}
	id := known["vcs.revision"]
	if id == "" {
		return nil
	}
	text := "revision " + id[:min(12, len(id))]
	if day, _, ok := strings.Cut(known["vcs.time"], "T"); ok {
		text += " of " + day
	}
	if known["vcs.modified"] == "true" {
		text += ", changed since"
	}
	return []string{text}
}
