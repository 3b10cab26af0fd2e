package sheet

import (
	"reflect"
	"slices"
	"strings"
	"testing"
)

// TestEvaluateRunIsPartOfTheSheet holds what is evaluated for the last run of each
// demo record against the whole sheet, from the first run to the last.
func TestEvaluateRunIsPartOfTheSheet(t *testing.T) {
	claims, findings := 0, 0
	content := demoContent(t, "")
	for _, whole := range content.Records {
		for n := range whole.Runs {
			rec := *whole
			rec.Runs = whole.Runs[:n+1]
			s, part := Evaluate(content, &rec), EvaluateRun(content, &rec, n)
			id := rec.Runs[n].ID
			if a, b := runCalled(s, id), runCalled(part, id); a.Total != nil && a.Total.Text != b.Total.Text {
				t.Errorf("%s %s: total %s, in the sheet %s", rec.Slug, id, b.Total.Text, a.Total.Text)
			}
			for _, c := range s.Claims {
				i := slices.IndexFunc(part.Claims, func(o *Claim) bool { return o.ID == c.ID })
				looked := slices.ContainsFunc(c.Uses, func(u Use) bool { return u.Run == id })
				switch {
				case i < 0 && looked:
					t.Errorf("%s %s: claim %s is missing", rec.Slug, id, c.ID)
				case i >= 0:
					claims++
					if o := part.Claims[i]; o.Verdict != c.Verdict || o.PText != c.PText || o.Why != c.Why || !reflect.DeepEqual(o.Uses, c.Uses) {
						t.Errorf("%s %s: claim %s is %s (%s), in the sheet %s (%s)", rec.Slug, id, c.ID, o.Verdict, o.Why, c.Verdict, c.Why)
					}
				}
			}
			for _, f := range part.Findings {
				findings++
				if !slices.Contains(s.Findings, f) {
					t.Errorf("%s %s: the sheet doesn't have the finding %q", rec.Slug, id, f.Text)
				}
			}
			for _, f := range s.Findings {
				about := strings.HasPrefix(f.Text, "run "+id+":") || strings.HasPrefix(f.Text, "run "+id+",") || strings.HasSuffix(f.Text, "of run "+id+")")
				if about && !slices.Contains(part.Findings, f) {
					t.Errorf("%s %s: the finding %q is missing", rec.Slug, id, f.Text)
				}
			}
		}
	}
	if claims < 50 || findings < 3 {
		t.Errorf("%d claims and %d findings were compared", claims, findings)
	}
}

func runCalled(s *Sheet, id string) *Run {
	for _, r := range s.Runs {
		if r.ID == id {
			return r
		}
	}
	return nil
}
