package theme

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"wattsheet/generator/disk"
	"wattsheet/generator/publication"
	"wattsheet/generator/record"
)

// AssetsFolder holds what pages share. A file's name there carries a digest of
// its bytes, so that a browser may keep it for good.
const AssetsFolder = "assets"

// DigestLength is how many hexadecimal digits of the digest a name carries.
const DigestLength = 8

// Assets gives the theme's styles, scripts and icons and the chart script as outputs,
// and the paths of all but the icons below the site's root by their names: "style.css" to
// "assets/style.0a1b2c3d.css", "echarts.js" to "assets/echarts.….js".
//
// Without a chart script there is no path for echarts.js, and a warning: pages
// then keep their still charts.
func (t Theme) Assets() ([]publication.Output, map[string]string, record.Problems, error) {
	var outputs []publication.Output
	paths := map[string]string{}
	for _, pattern := range []string{"*.css", "script/*.js"} {
		names, err := fs.Glob(t.Files, pattern)
		if err != nil {
			return nil, nil, nil, err
		}
		slices.Sort(names)
		for _, name := range names {
			data, err := fs.ReadFile(t.Files, name)
			if err != nil {
				return nil, nil, nil, fmt.Errorf("the theme's %s can't be read: %w", name, disk.Cause(err))
			}
			outputs = append(outputs, hashed(name, data, paths))
		}
	}
	icons, err := t.icons()
	if err != nil {
		return nil, nil, nil, fmt.Errorf("the theme's icons can't be read: %w", disk.Cause(err))
	}
	outputs = append(outputs, icons...)
	script, licences, err := t.Bundle()
	if err != nil {
		return outputs, paths, record.Problems{noBundle(err)}, nil
	}
	outputs = append(outputs, hashed("echarts.js", script, paths),
		publication.Output{Path: AssetsFolder + "/THIRD-PARTY.txt", Bytes: licences})
	return outputs, paths, nil, nil
}

// hashed makes the output of one shared file and notes its path under its name.
func hashed(name string, data []byte, paths map[string]string) publication.Output {
	base := path.Base(name)
	ending := path.Ext(base)
	to := AssetsFolder + "/" + strings.TrimSuffix(base, ending) + "." + ShortDigest(data) + ending
	paths[base] = to
	return publication.Output{Path: to, Bytes: data}
}

// Published is where a style, a script or an icon of the theme is published; empty for what
// can't be read.
func (t Theme) Published(name string) string {
	if path.Dir(name) == iconsFolder || name == IconFile {
		return path.Base(name)
	}
	data, err := fs.ReadFile(t.Files, name)
	if err != nil {
		return ""
	}
	return hashed(name, data, map[string]string{}).Path
}

// ShortDigest tells bytes from others of the same name: the first hexadecimal digits of their SHA-256.
func ShortDigest(data []byte) string {
	digest := sha256.Sum256(data)
	return hex.EncodeToString(digest[:])[:DigestLength]
}

// noBundle turns the theme's error, a sentence and perhaps a hint, into a
// warning.
func noBundle(err error) record.Problem {
	summary, hint, _ := strings.Cut(err.Error(), "\nhint: ")
	return record.Problem{Severity: record.Warning, Summary: summary + "; pages keep their still charts", Hint: hint}
}
