package datafile

import "wattsheet/generator/record"

// A dataCorrection tells of sealed results that were changed.
type dataCorrection struct {
	// Date is the day of the correction, YYYY-MM-DD.
	Date string `json:"date"`
	// Kind is mistake, where something was wrong, method, where it is measured or
	// computed better, or retest, where further runs count too.
	Kind string `json:"kind"`
	// Reason is what was wrong, or what is better now.
	Reason string `json:"reason"`
	// NoticedBy is who noticed it.
	NoticedBy string `json:"noticed_by"`
	// Effect is what changes for a reader, in words.
	Effect string `json:"effect"`
	// Changes are the results that it covers, as the ledger names them.
	Changes []string `json:"changes"`
}

func dataOfCorrections(all []record.Correction) (out []dataCorrection) {
	for _, c := range all {
		out = append(out, dataCorrection{
			Date: c.Date.Text, Kind: c.Kind, Reason: c.Reason, NoticedBy: c.NoticedBy, Effect: c.Effect, Changes: list(c.Changes),
		})
	}
	return out
}

func (t *tomlText) correction(c dataCorrection) {
	t.head("[[correction]]")
	t.date("date", c.Date)
	t.text("kind", c.Kind)
	t.text("reason", c.Reason)
	t.text("noticed_by", c.NoticedBy)
	t.text("effect", c.Effect)
	t.texts("changes", c.Changes)
}
