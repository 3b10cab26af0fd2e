package main

import (
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"time"

	"wattsheet/generator/site"
)

// A draft is the site in memory for watch: it is made as a whole after each change.
type draft struct {
	root   string // as it was given, for messages
	folder string // absolute

	lock    sync.Mutex
	outputs map[string]site.Output // the last good ones
	opens   time.Time              // zero if nothing opens by itself
}

// newDraft is a draft of nothing yet. The error says that there is no content.
func newDraft(root, folder string) (*draft, error) {
	if info, err := os.Stat(filepath.Join(folder, "content")); err != nil || !info.IsDir() {
		if _, _, err := site.Inspect(root, time.Time{}); err != nil { // it says so in the words of build
			return nil, err
		}
	}
	return &draft{root: root, folder: folder, outputs: map[string]site.Output{}}, nil
}

func (d *draft) Refresh(asOf time.Time, names []string) (site.Refreshed, error) {
	s, problems, err := site.Load(d.root, asOf)
	if err != nil {
		return site.Refreshed{}, err
	}
	r := site.Refreshed{Problems: problems, Evaluated: len(s.Sheets)}
	var opens time.Time
	for _, h := range s.Held() {
		if !h.Opens.ByHand && h.Opens.At.After(asOf) && (opens.IsZero() || h.Opens.At.Before(opens)) {
			opens = h.Opens.At
		}
	}
	var outputs []site.Output
	if !problems.Errors() {
		outputs, problems, err = s.Outputs()
		r.Problems = append(r.Problems, problems...)
		r.Problems.Sort()
	}
	d.lock.Lock()
	defer d.lock.Unlock()
	d.opens = opens
	if err == nil && !r.Problems.Errors() {
		d.outputs = make(map[string]site.Output, len(outputs))
		for _, o := range outputs {
			d.outputs[o.Path] = o
		}
	}
	return r, err
}

func (d *draft) Sweep(<-chan struct{}) (site.Refreshed, error) { return site.Refreshed{}, nil }

func (d *draft) Open(path string) (site.Output, error) {
	d.lock.Lock()
	defer d.lock.Unlock()
	o, ok := d.outputs[path]
	if !ok {
		return site.Output{}, fs.ErrNotExist
	}
	return o, nil
}

func (d *draft) Folders() []string { return []string{filepath.Join(d.folder, "content")} }

func (d *draft) Opens() (time.Time, bool) {
	d.lock.Lock()
	defer d.lock.Unlock()
	return d.opens, !d.opens.IsZero()
}
