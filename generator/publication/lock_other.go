//go:build !unix

package publication

import (
	"io/fs"
	"os"
)

// lock does nothing where the standard library has no locks for files: there it is left
// to the user not to run two builds at once.
func lock(*os.File) error { return nil }

// others knows of no owners there.
func others(fs.FileInfo) bool { return false }
