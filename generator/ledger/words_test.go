package ledger

import (
	"slices"
	"strings"
	"testing"
)

// The fixture's words: an answer, two letters of one day, a check, a disclosure.
var worded = []edit{
	{"record", "[source]\nhow = \"own\"\nfrom = \"nobody\"\n", `[source]
how = "given"
from = "the maker"
paid = "nothing"
links_earn = true
[settings]
boost = "off"
[[contact]]
date = 2026-05-06
about = "all readings"
answer_by = 2026-05-20
[[contact]]
date = 2026-05-06
about = "the load"
[reply]
date = 2026-05-12
from = "Invented, customer service"
text = "We maintain the claim."
[[function]]
name = "clip lamp"
result = "works"
how = "level raised slowly"
[[function]]
name = "clip lamp"
result = "fails"
`},
	{"record", "model = \"Two\"", "model = \"Two\"\nserial = \"77\"\ncondition = \"used\""},
	{"record", "id = \"2-ohm\"", "id = \"2-ohm\"\nprinted_in = \"manual, page 3\""},
	{"record", "id = \"r6\"", "id = \"r6\"\ninvalid = \"a lead was loose\""},
}

// Words that a reader relies on are sealed: each way to edit one or to take it out
// is a change with its own cause, and a correction of its head covers it.
func TestSealedWords(t *testing.T) {
	l := sealOf(t, nil, day1, worded...)
	for _, row := range []struct{ old, with, of, now, why string }{
		{"We maintain", "We withdraw", "reply / its wording", "edited", "the maker's reply was edited"},
		{"customer service", "head of sales", "reply / its wording", "edited", "the maker's reply was edited"},
		{"[reply]\ndate = 2026-05-12\nfrom = \"Invented, customer service\"\ntext = \"We maintain the claim.\"\n", "", "reply / its wording", "gone", "the maker's reply was taken out"},
		{"about = \"all readings\"", "about = \"one reading\"", "letter of 2026-05-06 / its wording", "edited", "the letter of 2026-05-06 was edited"},
		{"about = \"the load\"", "about = \"the loads\"", "letter of 2026-05-06 (2) / its wording", "edited", "the letter of 2026-05-06 (2) was edited"},
		{"answer_by = 2026-05-20", "answer_by = 2026-05-21", "letter of 2026-05-06 / its wording", "edited", "the letter of 2026-05-06 was edited"},
		{"how = \"given\"", "how = \"bought\"", "disclosure / its wording", "edited", "how the unit came to the bench, or what the tester has from it, was edited"},
		{"links_earn = true", "links_earn = false", "disclosure / its wording", "edited", "how the unit came to the bench, or what the tester has from it, was edited"},
		{"paid = \"nothing\"\n", "", "disclosure / its wording", "edited", "how the unit came to the bench, or what the tester has from it, was edited"},
		{"boost = \"off\"", "boost = \"on\"", "set-up / its wording", "edited", "how the unit was set was edited"},
		{"condition = \"used\"", "condition = \"new\"", "identity / its wording", "edited", "which unit this is, by [unit] or the name of its folder, was edited"},
		{"serial = \"77\"", "serial = \"78\"", "identity / its wording", "edited", "which unit this is, by [unit] or the name of its folder, was edited"},
		{"result = \"works\"", "result = \"partly\"", "function clip lamp / its result", "edited", "what the check of clip lamp came to was edited"},
		{"result = \"fails\"", "result = \"works\"", "function clip lamp (2) / its result", "edited", "what the check of clip lamp (2) came to was edited"},
		{"manual, page 3", "a rumour", "claim 2-ohm / where it is printed", "edited", "where claim 2-ohm is printed was edited"},
		{"a lead was loose", "it displeased", "run r6 / why it doesn't count", "edited", "why run r6 doesn't count was edited"},
		{"name = \"width\"", "name = \"height\"", "spec width / its name and where it is printed", "edited", "the name of spec width, or where it is printed, was edited"},
	} {
		changed := append(slices.Clone(worded), edit{"record", row.old, row.with})
		st := statusOf(t, l, changed...)
		if len(st.Uncovered) != 1 {
			t.Errorf("%s: %d changes, %v", row.with, len(st.Uncovered), st.Problems)
			continue
		}
		if c := st.Uncovered[0]; c.Of != row.of || c.Was != "as sealed" || c.Now != row.now || strings.Join(c.Why, "; ") != row.why {
			t.Errorf("%s: it is told as %+v", row.with, c)
		}
		if said := summaries(st); len(said) != 1 || !has(said, "isn't as entry 1 sealed it") {
			t.Errorf("%s: it says %q", row.with, said)
		}
		head, _, _ := strings.Cut(row.of, sep)
		told := statusOf(t, l, append(changed, correcting(`"`+head+`"`))...)
		if len(told.Problems) > 0 || len(told.Corrections) != 1 || len(told.Corrections[0].Results) != 1 {
			t.Errorf("%s: with a correction it says %v", row.with, told.Problems)
		}
	}
}

// What is said later for the first time is new, and what becomes of a unit may be
// told later; what goes with something else that is gone isn't told twice.
func TestWordsAreAdded(t *testing.T) {
	undecided := append(slices.Clone(worded), edit{"record", "paid = \"nothing\"", "paid = \"nothing\"\nafter = \"undecided\""})
	l := sealOf(t, nil, day1, undecided...)
	for _, row := range []struct{ old, with, unsealed string }{
		{"[reply]", "[[contact]]\ndate = 2026-06-01\nabout = \"this page\"\n[reply]", "letter of 2026-06-01"},
		{"[reply]", "[[function]]\nname = \"fan\"\nresult = \"works\"\n[reply]", "function fan"},
		{"after = \"undecided\"", "after = \"returned\"", "whereabouts"},
		{"[reply]", "[[opinion]]\nkind = \"like\"\ntext = \"Small.\"\n[reply]", ""},
	} {
		st := statusOf(t, l, append(slices.Clone(undecided), edit{"record", row.old, row.with})...)
		if got := strings.Join(st.Unsealed, ", "); got != row.unsealed || len(st.Problems) > 0 {
			t.Errorf("%s: not sealed are %q, want %q; %v", row.with, got, row.unsealed, st.Problems)
		}
	}
	valid := statusOf(t, l, append(slices.Clone(undecided), edit{"record", "\ninvalid = \"a lead was loose\"", ""})...)
	for _, c := range valid.Uncovered {
		if strings.Contains(c.Of, "why it doesn't count") {
			t.Error("a run that counts again has a reason to tell of")
		}
	}
	gone := statusOf(t, l, append(slices.Clone(undecided), edit{"record", "[[claim]]\nid = \"2-ohm\"\nprinted_in = \"manual, page 3\"\npower_w = 150\nload_ohm = 2\nchannels = 1\nsupply_v = 14.4\nthdn_pct = 1\n", ""})...)
	for _, c := range gone.Uncovered {
		if strings.Contains(c.Of, "printed") {
			t.Error("a claim that is gone is told of twice")
		}
	}
}
