package record

import "encoding/json"

// A kept is a problem with the source line that it shows.
type kept struct {
	Problem
	Source        []byte
	Caret         int
	Before, After bool
}

// Keep writes a problem so that [Kept] reads it back whole, for a cache.
func (p Problem) Keep() []byte {
	data, err := json.Marshal(kept{p, []byte(p.source), p.caret, p.before, p.after})
	if err != nil {
		panic(err) // texts and numbers always can be written
	}
	return data
}

// Kept reads what [Problem.Keep] wrote.
func Kept(data []byte) (Problem, error) {
	var k kept
	err := json.Unmarshal(data, &k)
	p := k.Problem
	p.source, p.caret, p.before, p.after = string(k.Source), k.Caret, k.Before, k.After
	return p, err
}
