package record

// A Contact is one letter to the maker, or one from them, about the test.
type Contact struct {
	Place
	Date     Date   `toml:"date" need:"yes" about:"the day of it"`
	How      string `toml:"how" form:"name" about:"by what way, and whom it reached: by e-mail, to the technical department"`
	About    string `toml:"about" need:"yes" form:"name" about:"what it was about: the readings of all runs, before publication"`
	AnswerBy Date   `toml:"answer_by" about:"until which day the maker was given time to answer before publication"`
}

// A Reply is the maker's answer. It is published unedited, and as prominently as
// the verdict.
type Reply struct {
	Place
	Date Date   `toml:"date" need:"yes" about:"the day of the answer"`
	From string `toml:"from" need:"yes" form:"name" about:"who answers, as they sign"`
	Text string `toml:"text" need:"yes" form:"prose" about:"the answer, word for word and whole"`
}
