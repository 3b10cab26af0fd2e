// Package logbook takes readings as they are typed at the bench and appends them to
// a unit's record. What stands in the record is never touched: a run is one write
// behind its end, and nothing is written that the record's decoder and checks don't
// take.
//
// A [Book] is the record on the disk, a [Dialogue] what is said over it. The
// dialogue knows no terminal: it takes a line and gives an answer.
package logbook
