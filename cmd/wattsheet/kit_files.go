package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"wattsheet/generator/disk"
	"wattsheet/generator/kit"
	"wattsheet/generator/record"
)

// kitsFolder is where kits are, below the root.
const kitsFolder = ".wattsheet/kit"

// A keptKit is a kit that was written, as it remembers itself.
type keptKit struct {
	folder string
	name   string // of the file that remembers it
	memory *kit.Memory
}

// problem is a warning about one of the kit's files.
func (k keptKit) problem(file, summary, hint string) record.Problem {
	return record.Problem{Severity: record.Warning, Summary: summary, Hint: hint, File: filepath.ToSlash(filepath.Join(k.folder, file))}
}

// again is the command that made the kit.
func (k keptKit) again() string {
	text := "wattsheet kit " + k.memory.Unit
	if k.memory.Held {
		text += " --with-held"
	}
	if k.memory.Plain {
		text += " --no-chapters"
	}
	return text
}

// keptKits reads what the kits of a site remember, or the one kit in a folder. Files of
// the usual place are named from the root.
func keptKits(root, out string) (kits []keptKit, problems record.Problems) {
	folders := []string{out}
	if out == "" {
		folders = nil
		entries, err := os.ReadDir(filepath.Join(root, kitsFolder))
		if err != nil {
			return nil, nil // there is none yet
		}
		for _, e := range entries {
			if e.IsDir() && !strings.HasPrefix(e.Name(), ".") {
				folders = append(folders, filepath.Join(kitsFolder, e.Name()))
			}
		}
	}
	for _, folder := range folders {
		k := keptKit{folder: folder}
		at := folder
		if out == "" {
			at = filepath.Join(root, folder)
		}
		memory, name, err := readKit(at)
		k.name = name
		switch {
		case errors.Is(err, fs.ErrNotExist):
		case err != nil:
			problems = append(problems, k.problem(name, "what this kit was made from can't be read: "+disk.Cause(err).Error(), "make the kit again; until then nobody knows whether it still agrees"))
		default:
			k.memory = memory
			kits = append(kits, k)
		}
	}
	return kits, problems
}

// mostMemory is the size in bytes beyond which a kit's memory is refused.
const mostMemory = 8 << 20

// readKit reads what the kit in a folder remembers, and tells from which file.
func readKit(folder string) (memory *kit.Memory, name string, err error) {
	for _, name = range []string{kit.MemoryName, kit.HeldMemoryName} {
		path := filepath.Join(folder, name)
		info, err := os.Stat(path)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			continue
		case err != nil:
			return nil, name, err
		case !info.Mode().IsRegular() || info.Size() > mostMemory:
			return nil, name, errors.New("it is no plain file of a usual size")
		}
		data, err := os.ReadFile(path)
		if err != nil {
			return nil, name, err
		}
		memory, err = kit.ReadMemory(data)
		return memory, name, err
	}
	return nil, "", fs.ErrNotExist
}

// writeKit puts a kit into its folder, in place of the one that was there. The new one is
// written whole beside it first, so that a killed program never leaves parts of two; killed
// between the last two steps it leaves both beside the place, under hidden names. A folder
// with files that no kit wrote is left alone.
func writeKit(folder string, made *kit.Kit, plain bool) error {
	if err := onlyKit(folder); err != nil {
		return err
	}
	parent, name := filepath.Split(filepath.Clean(folder))
	if parent == "" {
		parent = "."
	}
	failed := func(err error) error {
		return fmt.Errorf("the kit can't be written: %w\nhint: name a folder with --out that you may write to", disk.Cause(err))
	}
	if err := os.MkdirAll(parent, 0o755); err != nil {
		return failed(err)
	}
	fresh, err := os.MkdirTemp(parent, "."+name+"-*.tmp")
	if err != nil {
		return failed(err)
	}
	defer os.RemoveAll(fresh)
	if err := os.Chmod(fresh, 0o755); err != nil {
		return failed(err)
	}
	files := append(slices.Clone(made.Files), kit.File{Name: made.MemoryName(), Bytes: made.Memory(plain)})
	for _, f := range files {
		if err := os.WriteFile(filepath.Join(fresh, f.Name), f.Bytes, 0o644); err != nil {
			return failed(err)
		}
	}
	old := fresh + ".old"
	if err := os.Rename(folder, old); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return failed(err)
	}
	if err := os.Rename(fresh, folder); err != nil {
		return failed(errors.Join(err, os.Rename(old, folder)))
	}
	return os.RemoveAll(old)
}

// onlyKit is an error for a folder that has anything but a kit in it.
func onlyKit(folder string) error {
	entries, err := os.ReadDir(folder)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return fmt.Errorf("%s can't be read: %w\nhint: it has to be a folder; --out names another", folder, disk.Cause(err))
	}
	own := []string{kit.MemoryName, kit.HeldMemoryName}
	if memory, _, err := readKit(folder); err == nil {
		for _, f := range memory.Files {
			own = append(own, f.Name)
		}
	}
	for _, e := range entries {
		if !slices.Contains(own, e.Name()) {
			return fmt.Errorf("%s has %s, which no kit wrote, and a kit takes the place of all of its folder\nhint: move that elsewhere, or name another folder with --out", folder, e.Name())
		}
	}
	return nil
}
