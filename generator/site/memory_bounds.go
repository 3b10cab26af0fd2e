package site

import (
	"os"
	"path/filepath"
)

// MemoryBounds are what suits a build of the site below root: by how much the heap may grow
// before garbage is collected, in percent, and a soft limit of memory in bytes (see
// [runtime/debug.SetGCPercent] and [runtime/debug.SetMemoryLimit]). What a build keeps is small
// beside what passes through it: some 25 kB a unit, for which the limit leaves room, as near it
// garbage would be collected all the time.
func MemoryBounds(root string) (percent int, limit int64) {
	units, _ := os.ReadDir(filepath.Join(root, contentFolder, unitsFolder)) // a build says if there are none
	return 1600, 256<<20 + int64(len(units))*25<<10
}
