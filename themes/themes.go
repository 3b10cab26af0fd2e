// Package themes holds the default theme (page templates, style and scripts) and the chart script that live charts
// need, both embedded in the program.
//
// The chart script is not part of the repository. go generate ./themes makes it from the npm packages that
// package-lock.json pins, into dist/, together with the licences that have to be published beside it. Without it
// everything builds, and pages keep their still charts.
package themes

import (
	"embed"
	"errors"
	"io/fs"
	"sync"
)

//go:generate npm ci --ignore-scripts --no-audit --no-fund
//go:generate npm run build

// ErrNoBundle says that the program was built before the chart script was made. Its text is one for people, with a
// hint on its second line.
var ErrNoBundle = errors.New("the chart script was not made yet\nhint: run go generate ./themes, then build again")

// defaultFiles leaves out files whose names begin with a dot or an underscore, as an editor's copies do.
//
//go:embed default
var defaultFiles embed.FS

// distFiles always has .gitkeep, so that it can be embedded before the bundle is made.
//
//go:embed all:dist
var distFiles embed.FS

// contract says which files a theme has and what its templates get; a test in generator/site writes it.
//
//go:embed contract.md
var contract []byte

// Contract returns the document of what a theme's templates get, for who makes a theme of their own. The caller must
// not change it.
func Contract() []byte { return contract }

// Default returns the files of the default theme: style.css, templates in pages/, scripts in script/. It is always the same
// value.
func Default() fs.FS { return defaultTheme() }

var defaultTheme = sync.OnceValue(func() fs.FS {
	files, err := fs.Sub(defaultFiles, "default")
	if err != nil {
		panic(err) // only for an invalid path, and this one is constant
	}
	return files
})

// Names lists the files of the default theme, sorted: a theme may have each of them.
func Names() (names []string) {
	err := fs.WalkDir(Default(), ".", func(name string, entry fs.DirEntry, err error) error {
		if err == nil && !entry.IsDir() {
			names = append(names, name)
		}
		return err
	})
	if err != nil {
		panic(err) // an embedded folder can be read
	}
	return names
}

// Bundle returns the chart script and the licences of what is in it, as they are published: the script as a classic
// script that sets the global echarts, the licences as plain text under the name THIRD-PARTY.txt, which the script's
// first line gives. The error is ErrNoBundle if either is missing, for one must not be published without the other.
func Bundle() (script, licences []byte, err error) {
	return bundle(distFiles)
}

// bundle reads both files of the bundle below dist/.
func bundle(files fs.FS) (script, licences []byte, err error) {
	script, err = fs.ReadFile(files, "dist/echarts.js")
	if err != nil {
		return nil, nil, ErrNoBundle
	}
	licences, err = fs.ReadFile(files, "dist/THIRD-PARTY.txt")
	if err != nil {
		return nil, nil, ErrNoBundle
	}
	return script, licences, nil
}
