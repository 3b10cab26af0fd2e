package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"wattsheet/generator/record"
	"wattsheet/generator/site"
)

// unitAnswers is what a new unit's files are filled in with.
type unitAnswers struct {
	Maker, Model, Folder, Kind, Class, Supply, Price, How, From string
	Lowest                                                      string
	Channels, Fuses                                             []string
	Claims                                                      []startClaim

	taken    func(folder string) bool // a unit has that folder
	currency string
	loads    []benchLoad // ids in bench.toml
}

func unitQuestions(s *unitAnswers) []question {
	unit := func(key string, to *string) func(string) error { return takesText("record.toml", "unit", key, to) }
	perhaps := func(take func(string) error) func(string) error {
		return func(answer string) error {
			if answer == "" {
				return nil
			}
			return take(answer)
		}
	}
	return []question{
		{flag: "maker", value: "TEXT", does: "who makes the unit", asks: "Maker", take: unit("maker", &s.Maker)},
		{flag: "model", value: "TEXT", does: "the model's name", asks: "Model", take: unit("model", &s.Model)},
		{flag: "folder", value: "NAME", does: "its folder, part of its address; of maker and model if absent", asks: "Folder, which is also its address",
			usual: func() string { return s.freeFolder() }, take: s.takeFolder},
		{flag: "channels", value: "NAMES", does: "the channels' names, or how many", asks: "Channels, how many or their names",
			usual: always("2"), take: s.takeChannels},
		{flag: "kind", value: "TEXT", does: "what kind of amplifier, in the trade's words", asks: "Kind",
			usual: func() string { return kindOf(len(s.Channels)) }, take: perhaps(unit("kind", &s.Kind))},
		{flag: "class", value: "CLASS", does: "the output stage's class: A, AB, B, D, G, H", asks: "Class: A, AB, B, D, G or H (Enter if not known)",
			take: perhaps(unit("class", &s.Class))},
		{flag: "supply", value: "KIND", does: "what it runs from: dc or mains", asks: "Supply: dc or mains", usual: always("dc"), take: unit("supply", &s.Supply)},
		{flag: "fuses", value: "AMPERES", does: "the unit's own fuses, one number each: 30 30", asks: "Its own fuses in amperes, each (Enter if it has none)",
			take: s.takeFuses},
		{flag: "lowest", value: "OHMS", does: "the lowest load that the maker allows, a channel", asks: "Lowest load a channel, in ohms (Enter if not stated)",
			take: takesUnit(ohmTyped, takesNumber("record.toml", "unit", "lowest_ohm", true, &s.Lowest))},
		{flag: "price", value: "NUMBER", does: "its price, in the site's currency", asks: "Price (Enter if not known)",
			take: s.takePrice},
		{flag: "how", value: "WORD", does: "how it came here: bought, lent, given, own", asks: "How it came here: bought, lent, given or own",
			usual: always("bought"), take: takesText("record.toml", "source", "how", &s.How)},
		{flag: "from", value: "TEXT", does: "from whom: a shop, the maker, a viewer", asks: "From whom, as readers are told",
			usual: func() string { return either(s.How == "own", "the tester", "a shop") }, take: takesText("record.toml", "source", "from", &s.From)},
		{flag: "claims", value: "CLAIMS", does: "what the maker claims, as it prints them", asks: "Claims, with a semicolon between two (Enter: none)",
			explains: "What does the maker claim? Load, watts a channel, supply volts, distortion:\n  4 ohm 100 W 14.4 V 1 %; 2 ohm 160 W 14.4 V 1 %\nLeave out what isn't printed. Of a bridged pair: 4 ohm 300 W bridged.",
			take:     s.takeClaims},
	}
}

func (s *unitAnswers) takeFolder(answer string) error {
	if _, problems := record.DecodeRecord(&record.File{}, answer); len(problems) > 0 {
		for _, p := range problems {
			if strings.Contains(p.Summary, "folder is called") {
				return fmt.Errorf("%s\nhint: %s", p.Summary, p.Hint)
			}
		}
	}
	if s.taken != nil && s.taken(answer) {
		return fmt.Errorf("there is already a unit %q; nothing was written\nhint: give this one another folder", answer)
	}
	s.Folder = answer
	return nil
}

// mostChannels is what a record takes.
const mostChannels = 64

// takeChannels takes names, or how many there are, which get the usual names.
func (s *unitAnswers) takeChannels(answer string) error {
	names := channelsTyped(answer)
	if n, err := strconv.Atoi(answer); err == nil {
		if n < 1 || n > mostChannels {
			return fmt.Errorf("%q is no number of channels\nhint: from 1 to %d", answer, mostChannels)
		}
		names = channelNames(n)
	}
	seen := map[string]bool{}
	for _, name := range names {
		if err := mistake("record.toml", "unit", "channels", "["+record.Quote(name)+"]"); err != nil {
			return err
		}
		if seen[name] || strings.Contains(name, "+") {
			return fmt.Errorf("%q can't name a channel\nhint: each channel has a name of its own, without +: L R", name)
		}
		seen[name] = true
	}
	if len(names) == 0 {
		return errors.New("a unit has a channel at least\nhint: how many, as in 2, or their names, as in L R")
	}
	s.Channels = names
	return nil
}

// channelsTyped splits names at commas, where there is one, else at blanks.
func channelsTyped(answer string) (names []string) {
	if !strings.ContainsAny(answer, ",;") {
		return strings.Fields(answer)
	}
	for _, name := range strings.FieldsFunc(answer, func(r rune) bool { return r == ',' || r == ';' }) {
		if name = strings.TrimSpace(name); name != "" {
			names = append(names, name)
		}
	}
	return names
}

func channelNames(n int) []string {
	switch n {
	case 1:
		return []string{"mono"}
	case 2:
		return []string{"L", "R"}
	case 4:
		return []string{"FL", "FR", "RL", "RR"}
	case 5:
		return []string{"FL", "FR", "RL", "RR", "sub"}
	}
	var names []string
	for i := range n {
		names = append(names, "ch"+strconv.Itoa(i+1))
	}
	return names
}

func kindOf(channels int) string {
	words := []string{"", "mono", "two-channel", "three-channel", "four-channel", "five-channel", "six-channel"}
	if channels < len(words) {
		return words[channels]
	}
	return strconv.Itoa(channels) + "-channel"
}

func (s *unitAnswers) takeFuses(answer string) error {
	s.Fuses = nil
	numbers, err := numbersTyped(answer, amperesTyped)
	if err != nil {
		return err
	}
	for _, amperes := range numbers {
		if !plainNumber(amperes) {
			return fmt.Errorf("%q is no plain number\nhint: one number a fuse, as in 30 30", amperes)
		}
		if err := mistake("record.toml", "unit", "fuses_a", "["+amperes+"]"); err != nil {
			return err
		}
		s.Fuses = append(s.Fuses, amperes)
	}
	return nil
}

func (s *unitAnswers) takePrice(answer string) error {
	if answer != "" && s.currency == "" {
		return errors.New("site.toml names no currency, so there can't be a price\nhint: add it there first: currency = \"EUR\"")
	}
	return takesUnit([]string{s.currency, signs[s.currency]}, takesNumber("record.toml", "unit", "price", true, &s.Price))(answer)
}

// freeFolder is a folder's name made of maker and model that no unit has yet.
func (s *unitAnswers) freeFolder() string {
	name := site.UnitFolder(s.Maker + " " + s.Model)
	free := name
	for n := 2; s.taken != nil && s.taken(free); n++ {
		free = name + "-" + strconv.Itoa(n)
	}
	return free
}

// A benchLoad is a load element of the site's bench.
type benchLoad struct{ id, ohms string }

// LoadExample is the line of the loads in the example of a run, which stands in the
// comments: as many elements of one resistance as the unit has channels, or else the
// resistance alone.
func (s *unitAnswers) LoadExample() string {
	quoted := map[string][]string{}
	for _, l := range s.loads {
		alike := append(quoted[l.ohms], record.Quote(l.id))
		if quoted[l.ohms] = alike; len(alike) == len(s.Channels) {
			return "load = " + several(alike)
		}
	}
	ohms := "4"
	if len(s.loads) > 0 {
		ohms = s.loads[0].ohms
	}
	return "load_ohm = " + ohms
}

func (s *unitAnswers) ReadingExample() string { return s.example("19.02", "18.97") }
func (s *unitAnswers) PctExample() string     { return s.example("1.01", "0.99") }

// AmperesExample goes with these readings at an efficiency of about 60 %.
func (s *unitAnswers) AmperesExample() string {
	const each = 10.5
	return strconv.FormatFloat(each*float64(len(s.Channels)), 'f', 1, 64)
}

func (s *unitAnswers) example(one, other string) string {
	values := make([]string, len(s.Channels))
	for i := range values {
		values[i] = either(i%2 == 0, one, other)
	}
	return several(values)
}

// several writes one value as it is, and more as a list.
func several(values []string) string {
	if len(values) == 1 {
		return values[0]
	}
	return "[" + strings.Join(values, ", ") + "]"
}

// startUnit asks for a unit and writes it.
func (u *ui) startUnit(a *asker, content string, s *unitAnswers, questions, others []question) int {
	if err := a.strange("unit", others); err != nil {
		return u.misused(err)
	}
	units := filepath.Join(content, "units")
	if err := s.look(content, units); err != nil {
		return u.failed(err)
	}
	if err := a.all(questions); err != nil {
		return u.failed(err)
	}
	folder := filepath.Join(units, s.Folder)
	files, err := startFiles(s, [2]string{"record.toml", "record.toml"}, [2]string{"notes.md", "notes.md"})
	if err == nil {
		err = unitMistakes(files[0].text, s)
	}
	if err == nil {
		err = writeFolder(folder, files)
	}
	if err != nil {
		return u.failed(notWritten(folder, err))
	}
	u.written(folder, files)
	u.lines("", fmt.Sprintf("next: %s says what to expect of it and what is beyond the bench, %s takes the readings; what else is known of the unit goes into record.toml",
		inRoot("plan "+s.Folder, content), inRoot("log "+s.Folder, content)))
	return exitDone
}

// look reads what the site says already.
func (s *unitAnswers) look(content, units string) error {
	begun, err := siteBegun(content)
	if err != nil {
		return err
	}
	s.currency = begun.Currency
	if text, err := os.ReadFile(filepath.Join(content, "bench.toml")); err == nil {
		bench, _ := record.DecodeBench(&record.File{Name: "content/bench.toml", Text: text})
		for _, l := range bench.Loads {
			s.loads = append(s.loads, benchLoad{l.ID, l.NominalOhm.Text})
		}
	}
	s.taken = func(folder string) bool { return standing(filepath.Join(units, folder)) }
	return nil
}

// standing reports whether there is anything at a path.
func standing(path string) bool {
	_, err := os.Lstat(path)
	return !errors.Is(err, fs.ErrNotExist)
}

// unitMistakes reads the new record as check would, but for what it shares with the site.
func unitMistakes(text string, s *unitAnswers) error {
	r, problems := record.DecodeRecord(&record.File{Name: "content/units/" + s.Folder + "/record.toml", Text: []byte(text)}, s.Folder)
	problems = append(problems, (&record.Content{Records: []*record.Record{r}}).Check()...)
	if len(problems) > 0 {
		return problems
	}
	return nil
}
