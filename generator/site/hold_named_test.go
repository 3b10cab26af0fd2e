package site

import (
	"strings"
	"testing"
)

// Words that name a held run or unit are told of, with their place, and only there.
func TestWordsThatNameWhatIsHeld(t *testing.T) {
	const hint = "\nhint: take it out until then, if it tells something of what is held"
	for _, row := range []struct{ name, file, old, with, says string }{
		{"notes", "notes.md", "", "Then r2 was made.\n", `notes.md:1:6: warning: this names run "r2", which is held until its hold is taken out`},
		{"a part of a word", "notes.md", "", "Model r22, or x-r2, r2b.\n", ""},
		{"a remark", "record.toml", "id = \"r1\"\n", "id = \"r1\"\nremarks = \"as (r2)\"\n", `this names run "r2", which is held`},
		{"a caption's like", "record.toml", "[[run]]\n", "[[opinion]]\nkind = \"like\"\ntext = \"Warmer than in r2.\"\n[[run]]\n", `this names run "r2", which is held`},
		{"the maker's reply", "record.toml", "[[run]]\n", "[reply]\ndate = 2026-10-01\nfrom = \"the maker\"\ntext = \"In r2 it gave more.\"\n[[run]]\n", `this names run "r2", which is held`},
		{"a held opinion", "record.toml", "[[run]]\n", "[[opinion]]\nkind = \"like\"\ntext = \"Warmer than in r2.\"\nhold = true\n[[run]]\n", ""},
		{"another unit's name", "notes.md", "", "Beside the Ottersprocket 40 it is small.\n", `notes.md:1:12: warning: this names the unit "forty", which is held until its hold is taken out`},
		{"a prose file", "../../prose/soon.md", "", "# Soon\n\nThe Ottersprocket 40.\n", `soon.md:3:5: warning: this names the unit "forty", which is held`},
		{"a prose file that names a run", "../../prose/soon.md", "", "# Soon\n\nThe run r2.\n", ""},
	} {
		record := tinyFile(t, tinyRecord) + "\n[[run]]\nid = \"r2\"\nmethod = \"thd1\"\nload = \"four\"\nout_v = 20.10\nthdn_pct = 1.00\nsupply_v = 14.40\nhold = true\n"
		forty := strings.Replace(strings.Replace(tinyFile(t, tinyRecord), `"20"`, `"40"`, 1), "[unit]\n", "[unit]\nhold = true\n", 1)
		root := tiny(t, map[string]string{tinyRecord: record, "content/units/forty/record.toml": forty})
		if row.old == "" {
			put(t, root, sealedUnit+row.file, row.with)
		} else {
			replaceIn(t, root, sealedUnit+row.file, row.old, row.with)
		}
		s, problems := inspected(t, root)
		_, more, err := s.Outputs()
		if err != nil || problems.Errors() || more.Errors() {
			t.Fatal(problems, more, err)
		}
		got := more.Error()
		if row.says == "" && strings.Contains(got, "this names") || !strings.Contains(got, row.says) || row.says != "" && !strings.Contains(got, hint) {
			t.Errorf("%s: it says %q, want %q", row.name, got, row.says)
		}
	}
}
