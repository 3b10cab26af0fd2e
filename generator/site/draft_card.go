package site

import (
	"encoding/json"
	"slices"

	"wattsheet/generator/publication"
)

// theWords is the class of what a card says; only [madeKind.From] has it.
const theWords class = "words"

// card publishes a unit's card. Drawing it takes longer than most of what an edit asks for, and
// few edits change what it says: one that says the same as that in the folder is kept.
func (b *builder) card(u *unit) (*madeKind, error) {
	if u.part.sheet == nil {
		return b.put(nil, nil)
	}
	from := b.draft.cardInputs(u.part)
	if was := u.entry; was != nil && b.right(nil) {
		if made := was.Kinds[kindCard]; made != nil && slices.Equal(made.From, from) && made.Outputs.Count() == 1 && b.out.Has(made.Outputs, false) {
			return made, b.out.Keep(made.Outputs)
		}
	}
	b.mu.Lock()
	b.cards++
	b.mu.Unlock()
	made, err := b.put([]Output{u.part.binder.unitCard(u.part.sheet)}, nil)
	if made != nil {
		made.From = from
	}
	return made, err
}

// cardInputs are all that the bytes of a part's card follow from.
func (d *Draft) cardInputs(p *part) inputs {
	words, err := json.Marshal(p.binder.cardOf(p.sheet))
	if err != nil {
		panic(err) // it is made of texts and whole numbers
	}
	return inputs{{theProgram, programName, d.program}, {theWords, "what the card says", publication.DigestOf(words)}}
}
