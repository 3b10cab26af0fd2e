package site

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"wattsheet/generator/publication"
)

// builtInto builds the site of a root into a folder anywhere, without mistakes.
func builtInto(t *testing.T, root, out string) {
	t.Helper()
	at, err := filepath.Rel(root, out)
	if err != nil {
		t.Fatal(err)
	}
	built(t, root, at, time.Time{})
}

// A site isn't built over another one: the folder stays as it was, and the message says what to do. What it says helps.
func TestAnotherSitesFolder(t *testing.T) {
	one, two := several(t), several(t)
	replaced("content/site.toml", "title =", "title = \"Two\" # ")(t, two)
	replaced("content/site.toml", "address =", "# ")(t, two)
	out := filepath.Join(t.TempDir(), "out")
	builtInto(t, one, out)
	was := tree(t, out)
	for _, build := range []func() error{
		func() error { _, err := Build(two, time.Time{}, out); return err },
		func() error {
			s, _, err := Load(two, time.Time{})
			if err != nil {
				t.Fatal(err)
			}
			_, err = s.Publish(out, nil)
			return err
		},
	} {
		err := build()
		if err == nil || !strings.Contains(err.Error(), `out holds the site "`) || !strings.Contains(err.Error(), `" of https://bench.example/, and this one is "Two"; nothing was changed`+"\nhint: choose another folder with --out; or delete ") {
			t.Fatalf("the error is %v", err)
		}
		if other := unlike(tree(t, out), was); len(other) > 0 {
			t.Errorf("there are others now: %q", other)
		}
	}

	// Who takes the line away says that it is one site.
	line, rest, _ := strings.Cut(was[publication.ManifestName], "\n")
	if !strings.HasPrefix(line, "# {") {
		t.Fatalf("the manifest begins with %q", line)
	}
	put(t, out, publication.ManifestName, rest)
	builtInto(t, two, out)
	if line, _, _ := strings.Cut(tree(t, out)[publication.ManifestName], "\n"); line != `# {"title":"Two"}` {
		t.Errorf("the manifest begins with %q", line)
	}
	// Now it is another's for the first, though that remembers it.
	if _, err := Build(one, time.Time{}, out); err == nil || !strings.Contains(err.Error(), `holds the site "Two"`) {
		t.Errorf("the error is %v", err)
	}
}

// A site that has another name now knows its folder where it was built before; so does one that was copied, by its units.
func TestFolderOfARenamedSite(t *testing.T) {
	root := several(t)
	out := filepath.Join(root, "public")
	builtInto(t, root, out)
	replaced("content/site.toml", "title =", "title = \"Renamed\" # ")(t, root)
	builtInto(t, root, out)
	if err := os.RemoveAll(filepath.Join(root, ".wattsheet")); err != nil {
		t.Fatal(err)
	}
	builtInto(t, root, out)
}

// What a killed run of another site was writing is that site's too; a run that left nothing claims nothing.
func TestAnotherSitesKilledRun(t *testing.T) {
	root := several(t)
	out := t.TempDir()
	mine := (publication.Mark{Title: "Killed"}).Line()
	put(t, out, publication.JournalName, mine)
	builtInto(t, root, out)
	for _, path := range []string{publication.ManifestName, "index.html"} {
		if err := os.Remove(filepath.Join(out, path)); err != nil {
			t.Fatal(err)
		}
	}
	put(t, out, "index.html", "half")
	put(t, out, publication.JournalName, mine+string(publication.DigestOf([]byte("half")))+"  index.html\n")
	if _, err := Build(root, time.Time{}, out); err == nil || !strings.Contains(err.Error(), `holds the site "Killed"`) {
		t.Errorf("the error is %v", err)
	}
}

func TestSpoiledMark(t *testing.T) {
	root := several(t)
	out := filepath.Join(root, "public")
	builtInto(t, root, out)
	_, rest, _ := strings.Cut(tree(t, out)[publication.ManifestName], "\n")
	for _, line := range []string{"# ", "# {", `# {"title":""}`, "# a note"} {
		put(t, out, publication.ManifestName, line+"\n"+rest)
		if _, err := Build(root, time.Time{}, out); err == nil || !strings.Contains(err.Error(), ".wattsheet, line 1: this doesn't say which site the folder has\nhint: put that file back as it was, or move ") {
			t.Errorf("%s: the error is %v", line, err)
		}
	}
	put(t, out, publication.ManifestName, `# {"title":"x"}`+"\n"+rest[:20]+"\n")
	if _, err := Build(root, time.Time{}, out); err == nil || !strings.Contains(err.Error(), "line 2: this is not a list") {
		t.Errorf("the error is %v", err)
	}
}
