package record

import "wattsheet/generator/quantity"

// acceptances are the words of [Rule.Acceptance] with the probabilities that they
// stand for. With a guard band of U the limit is passed by k·u, k = t(0.975; ν), so
// that is 97.5 % on one side.
var acceptances = []struct {
	word             string
	metFrom, shortTo float64
}{
	{"simple", 0.5, 0.5},
	{"guarded", 0.95, 0.05},
	{"guarded-by-U", 0.975, 0.025},
}

// AcceptanceBounds gives the probabilities that a word of [Rule.Acceptance] stands
// for; ok is false where it is none.
func AcceptanceBounds(word string) (metFrom, shortTo float64, ok bool) {
	for _, a := range acceptances {
		if a.word == word {
			return a.metFrom, a.shortTo, true
		}
	}
	return 0, 0, false
}

// named sets the probabilities that a rule's name stands for. Beside a name they
// can't be given: one would have to win.
func (r *Rule) named() (problems Problems) {
	metFrom, shortTo, ok := AcceptanceBounds(r.Acceptance)
	if !ok {
		return nil
	}
	for _, n := range []struct {
		key   string
		given *Number
		value float64
	}{{"met_from", &r.MetFrom, metFrom}, {"short_to", &r.ShortTo, shortTo}} {
		if n.given.Given() {
			problems = append(problems, n.given.Problem(n.key+" stands beside acceptance, which sets it already",
				"acceptance = "+quoted(r.Acceptance)+" means met_from = "+quantity.Float(metFrom)+" and short_to = "+quantity.Float(shortTo)+"; leave out one or the other"))
		}
		n.given.Value, n.given.Text = n.value, quantity.Float(n.value)
	}
	return problems
}
