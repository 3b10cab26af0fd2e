package datafile

import "wattsheet/generator/record"

// A dataReply is the maker's answer, word for word.
type dataReply struct {
	// Date is the day of the answer, YYYY-MM-DD.
	Date string `json:"date"`
	// From is who answers, as they sign.
	From string `json:"from"`
	// Text is the answer, whole and unedited.
	Text string `json:"text"`
}

// A dataContact is one letter to the maker, or from them.
type dataContact struct {
	// Date is the day of it, YYYY-MM-DD.
	Date string `json:"date"`
	// About is what it was about.
	About string `json:"about"`
	// How is by what way, and whom it reached.
	How string `json:"how,omitempty"`
	// AnswerBy is until which day the maker was given time to answer.
	AnswerBy string `json:"answer_by,omitempty"`
}

// maker puts what passed between tester and maker into the file.
func (d *Sheet) maker(r *record.Record) {
	d.Follows = r.Unit.Follows.ID
	for _, c := range r.Contacts {
		d.Contacts = append(d.Contacts, dataContact{Date: c.Date.Text, About: c.About, How: c.How, AnswerBy: c.AnswerBy.Text})
	}
	if r.Reply.Given() {
		d.Reply = &dataReply{Date: r.Reply.Date.Text, From: r.Reply.From, Text: r.Reply.Text}
	}
}

// maker writes it back.
func (t *tomlText) maker(d *Sheet) {
	for _, c := range d.Contacts {
		t.head("[[contact]]")
		t.date("date", c.Date)
		t.text("about", c.About)
		t.text("how", c.How)
		t.date("answer_by", c.AnswerBy)
	}
	if d.Reply != nil {
		t.head("[reply]")
		t.date("date", d.Reply.Date)
		t.text("from", d.Reply.From)
		t.text("text", d.Reply.Text)
	}
}
