package record

// A Correction tells of results that were published and have changed since. It is
// what a sealed result may change by; it stays in the record for good.
type Correction struct {
	Place
	Date      Date     `toml:"date" need:"yes" about:"the day of the correction"`
	Kind      string   `toml:"kind" need:"yes" one:"mistake|method|retest" about:"mistake: something was wrong and is mended; method: nothing was wrong, it is measured or computed better; retest: nothing was wrong, further runs count too"`
	Reason    string   `toml:"reason" need:"yes" form:"prose" about:"what was wrong, or what is better now, for a reader"`
	NoticedBy string   `toml:"noticed_by" need:"yes" form:"name" about:"who noticed it: the tester, a viewer, the maker"`
	Effect    string   `toml:"effect" need:"yes" form:"prose" about:"what changes for a reader, in words"`
	Changes   []string `toml:"changes" need:"yes" form:"name" about:"the sealed results that it covers, as wattsheet check names them: run r1, claim 4-ohm, run r1 / channel L / power"`
	Hold      Hold     `toml:"hold" about:"until when it is kept out of what is published, as is what it tells of: until and a time, true, or the id of a [[hold]]"`
}
