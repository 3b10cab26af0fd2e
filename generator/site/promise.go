package site

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path"
	"slices"
	"strings"

	"wattsheet/generator/disk"
	"wattsheet/generator/publication"
	"wattsheet/generator/record"
)

// addressesFile has the addresses of all pages that were ever promised.
const addressesFile = "addresses.toml"

const (
	promiseHead = "# The addresses of all pages that this site has published, as wattsheet build\n" +
		"# --promise keeps them. A build that would lose one fails; say in site.toml where a\n" +
		"# page is now: [[moved]] from = \"/old/\" to = \"/new/\". Not to be edited by hand.\n" +
		"pages = [\n"
	promiseFoot = "]\n"
)

// A promise is one address, as a folder from the root, and where it begins in the file.
type promise struct {
	folder string
	at     int
}

// promiseText is the file with some addresses, which are sorted.
func promiseText(folders []string) []byte {
	var b strings.Builder
	b.WriteString(promiseHead)
	for _, f := range folders {
		b.WriteString("  \"/" + f + "\",\n")
	}
	b.WriteString(promiseFoot)
	return []byte(b.String())
}

// promiseFile is the file for messages.
func promiseFile(text []byte) *record.File {
	return &record.File{Name: path.Join(contentFolder, addressesFile), Text: text}
}

// readPromises reads what promiseText wrote. Anything else is told with its line: lines
// that are missing at the end, out of order, or no addresses.
func readPromises(text []byte) ([]promise, *record.Problem) {
	from, size := 0, 0
	wrong := func(summary string) *record.Problem {
		p := promiseFile(text).Problem(record.Error, from, size, summary,
			"the file is written by wattsheet build --promise: put it back as it was, from a backup or version control")
		return &p
	}
	var out []promise
	open, shut := false, false
	for row := range strings.Lines(string(text)) {
		from, size = from+size, len(row)
		whole := strings.HasSuffix(row, "\n")
		row = strings.TrimRight(row, "\r\n")
		address, isAddress := strings.CutPrefix(row, `  "/`)
		switch {
		case !whole:
			return nil, wrong("the file is cut short")
		case !open && strings.HasPrefix(row, "#"):
		case !open && row == "pages = [":
			open = true
		case open && !shut && row == "]":
			shut = true
		case open && !shut && isAddress && strings.HasSuffix(address, `",`):
			folder := strings.TrimSuffix(address, `",`)
			if strings.ContainsAny(folder, "\"\\ ") || folder != "" && (!strings.HasSuffix(folder, "/") || publication.Plain(strings.TrimSuffix(folder, "/")) != nil) {
				return nil, wrong("this is no address of a page")
			}
			if len(out) > 0 && out[len(out)-1].folder >= folder {
				return nil, wrong("the addresses aren't in order, each once")
			}
			out = append(out, promise{folder, from + len(`  "`)})
		default:
			return nil, wrong("this isn't what the file has there")
		}
	}
	if !shut {
		return nil, wrong("the file is cut short")
	}
	return out, nil
}

// promises finds the addresses that were promised and would be gone. One below another
// that is gone is not told by itself.
func (b *binder) promises(pages []sitePage, moves []move) {
	if b.site.addresses == nil {
		return
	}
	all, damaged := readPromises(b.site.addresses)
	if damaged != nil {
		b.problems = append(b.problems, *damaged)
		return
	}
	there := map[string]bool{}
	for _, p := range pages {
		there[p.Path] = true
	}
	for _, m := range moves {
		there[m.from] = true
	}
	gone := ""
	for _, p := range all {
		if there[p.folder] || gone != "" && strings.HasPrefix(p.folder, gone) {
			continue
		}
		gone = p.folder
		b.problems = append(b.problems, promiseFile(b.site.addresses).Problem(record.Error, p.at, len(p.folder)+1,
			"/"+p.folder+" was published, and there would be no page",
			"put it back, or say in site.toml which page stands for it: [[moved]] from = \"/"+p.folder+"\" to = \"/…/\""))
	}
}

// readAddresses reads the file of promised addresses; nil where there is none.
func readAddresses(content *os.Root) ([]byte, error) {
	data, err := disk.Read(content, addressesFile, disk.Limit)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err == nil && data == nil {
		data = []byte{}
	}
	return data, err
}

// Promise adds the addresses of all pages, as the draft was built last, to the file of
// promised ones, and gives how many are new and how many there are. The file is written
// whole: a new one is put in its place. The error's text is one for people.
func (d *Draft) Promise() (added, all int, err error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	content, err := d.content()
	if err != nil {
		return 0, 0, err
	}
	defer content.Close()
	name := path.Join(contentFolder, addressesFile)
	text, err := readAddresses(content)
	if err != nil {
		return 0, 0, fmt.Errorf("%s can't be read: %w", name, disk.Cause(err))
	}
	folders := map[string]bool{}
	if text != nil {
		was, damaged := readPromises(text)
		if damaged != nil {
			return 0, 0, record.Problems{*damaged}
		}
		for _, p := range was {
			folders[p.folder] = true
		}
	}
	before := len(folders)
	briefs, _ := d.briefs()
	for _, p := range d.frame.binder.pages(briefs) {
		folders[p.Path] = true
	}
	if len(folders) == before && text != nil {
		return 0, before, nil
	}
	beside := publication.Hidden(addressesFile)
	err = content.WriteFile(beside, promiseText(slices.Sorted(maps.Keys(folders))), 0o644)
	if err == nil {
		err = content.Rename(beside, addressesFile)
	}
	if err != nil {
		content.Remove(beside)
		return 0, 0, fmt.Errorf("%s can't be written: %w\nhint: the site is published, its addresses aren't promised yet; allow content to be written to, then build again", name, disk.Cause(err))
	}
	return len(folders) - before, len(folders), nil
}

// asWarnings are problems that don't keep a site from being written.
func asWarnings(problems record.Problems) record.Problems {
	out := slices.Clone(problems)
	for i := range out {
		out[i].Severity = record.Warning
	}
	return out
}
