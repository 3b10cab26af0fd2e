package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"wattsheet/generator/record"
)

// siteAnswers is what a new site's files are filled in with.
type siteAnswers struct {
	Title, Tester, Currency string
	Volts, Amps             string
	Mains                   bool
	Meters                  []startMeter
	Usual                   []usualMeter
	Loads                   []startLoad
}

// A startMeter is an instrument as bench.toml gets it.
type startMeter struct {
	word                         string // by which it is chosen
	ID, Name, BandwidthHz, Crest string
	Ranges                       []startRange
}

type startRange struct{ Reads, To, Pct, Digits, Resolution string }

type usualMeter struct{ Reads, Meter string }

// A startLoad is a load as bench.toml gets it; Watts is empty where nobody knows.
type startLoad struct{ ID, Name, Ohms, Watts string }

// startMeters are the instruments that a new bench can have. Their figures are those of
// ordinary hand-held ones, on the poor side (common practice, no source).
var startMeters = []startMeter{
	{"ac-volts", "ac-meter", "true-rms multimeter, on AC volts at the load", "1000", "3", []startRange{
		{"out_v", "5.999", "1", "5", "0.001"}, {"out_v", "59.99", "1", "5", "0.01"}, {"out_v", "599.9", "1", "5", "0.1"}}},
	{"dc-volts", "dc-meter", "multimeter, on DC volts at the unit's supply terminals", "", "", []startRange{
		{"supply_v", "59.99", "0.5", "3", "0.01"}, {"supply_v", "599.9", "0.5", "3", "0.1"}}},
	{"clamp", "clamp", "DC current clamp, around the positive supply lead", "", "", []startRange{
		{"supply_a", "39.99", "2.5", "8", "0.01"}, {"supply_a", "399.9", "2.5", "8", "0.1"}}},
	{"distortion", "analyser", "distortion analyser, THD+N", "20000", "", []startRange{
		{"thdn_pct", "9.99", "10", "2", "0.01"}, {"thdn_pct", "100", "10", "2", "0.1"}}},
	{"watts", "watt-meter", "audio watt-meter at the unit's output terminals", "20000", "3", []startRange{
		{"power_w", "199.9", "2", "3", "0.1"}, {"power_w", "1999", "2", "3", "1"}}},
	{"mains", "mains-meter", "power meter for the mains, true power", "", "", []startRange{
		{"supply_w", "3680", "1", "5", "0.1"}, {"supply_v", "300", "1", "3", "0.1"}}},
}

// mainsFrom is the supply voltage from which on it is taken for the mains: cars have
// 12 or 24 V, ships up to 48 V, and the mains of no country less than 100 V.
const mainsFrom = 90

func siteQuestions(s *siteAnswers) []question {
	return []question{
		{flag: "title", value: "TEXT", does: "the site's name", asks: "The site's name", take: takesText("site.toml", "", "title", &s.Title)},
		{flag: "tester", value: "TEXT", does: "who tests and publishes", asks: "Who tests and publishes", take: takesText("site.toml", "", "tester", &s.Tester)},
		{flag: "currency", value: "CODE", does: "the currency of prices, as in EUR", asks: "Currency of prices, three letters",
			usual: always("EUR"), take: takesText("site.toml", "", "currency", &s.Currency)},
		{flag: "volts", value: "VOLTS", does: "the supply that units are tested at", asks: "Supply volts at which you test",
			explains: "14.4 is usual for car amplifiers, as with the engine running. 90 or more is\ntaken for the mains.",
			usual:    always("14.4"), take: s.takeVolts},
		{flag: "amps", value: "AMPERES", does: "what the supply can give", asks: "Amperes that this supply can give (Enter if not known)",
			take: takesUnit(amperesTyped, takesNumber("bench.toml", "supply", "amps", true, &s.Amps))},
		{flag: "meters", value: "WORDS", does: "of " + meterWords(), asks: "Meters",
			explains: "Which meters do you have? Of these:\n  " + meterWords() + "\nThey get rough figures to start with, to be replaced by those of yours. Without\ndistortion a claim can be found short, but never met.",
			usual:    func() string { return either(s.Mains, "ac-volts, mains", "ac-volts, dc-volts, clamp") }, take: s.takeMeters},
		{flag: "loads", value: "OHMS", does: "your load resistors, one number each: 4 4 2 2", asks: "Load resistors, in ohms, one number each",
			usual: always("4, 4"), take: s.takeLoads},
		{flag: "watts", value: "WATTS", does: "what the loads stand as long as a run lasts, for all or each", asks: "Watts that they stand, one number or one each (Enter: 50)",
			explains: "Not what is printed on them: what each stands for as long as a run lasts, on\nits heat sink and with its fan.",
			take:     s.takeWatts},
	}
}

func always(text string) func() string { return func() string { return text } }

func either(first bool, a, b string) string {
	if first {
		return a
	}
	return b
}

// takesText takes any text that a key of a file takes.
func takesText(file, table, key string, to *string) func(string) error {
	return func(answer string) error {
		if answer == "" {
			return errors.New("it can't be left out")
		}
		if !utf8.ValidString(answer) {
			return fmt.Errorf("%s has bytes that are no UTF-8 text\nhint: type it anew", key)
		}
		if err := mistake(file, table, key, record.Quote(answer)); err != nil {
			return err
		}
		*to = answer
		return nil
	}
}

// takesNumber takes a number that a key of a file takes, as typed; or nothing, where it may
// be left out.
func takesNumber(file, table, key string, optional bool, to *string) func(string) error {
	return func(answer string) error {
		if answer == "" && optional {
			return nil
		}
		if err := thousands(key, answer); err != nil {
			return err
		}
		if answer = pointed(answer); !plainNumber(answer) {
			return fmt.Errorf("%q is no plain number\nhint: digits, with a decimal point where there is a fraction", answer)
		}
		if err := mistake(file, table, key, answer); err != nil {
			return err
		}
		*to = answer
		return nil
	}
}

// mistake is the error that the records' decoder has against a value, or nil.
func mistake(file, table, key, value string) error {
	summary, hint := record.Mistake(file, table, key, value)
	switch {
	case summary == "":
		return nil
	case hint == "":
		return errors.New(summary)
	}
	return fmt.Errorf("%s\nhint: %s", summary, hint)
}

func (s *siteAnswers) takeVolts(answer string) error {
	if err := takesUnit(voltsTyped, takesNumber("site.toml", "assume", "supply_dc_v", false, &s.Volts))(answer); err != nil {
		return err
	}
	volts, err := strconv.ParseFloat(s.Volts, 64)
	s.Mains = volts >= mainsFrom
	return err
}

func meterWords() string {
	var words []string
	for _, m := range startMeters {
		words = append(words, m.word)
	}
	return strings.Join(words, ", ")
}

// listed splits an answer at commas and blanks.
func listed(answer string) []string {
	return strings.FieldsFunc(answer, func(r rune) bool { return r == ',' || r == ' ' || r == '\t' || r == ';' })
}

func (s *siteAnswers) takeMeters(answer string) error {
	words := listed(answer)
	for _, word := range words {
		if !slices.ContainsFunc(startMeters, func(m startMeter) bool { return m.word == word }) {
			return fmt.Errorf("there is no meter %q here\nhint: %s", word, didYouMean(word, strings.Split(meterWords(), ", "), "of "))
		}
	}
	s.Meters, s.Usual = nil, nil
	usual := map[string]bool{}
	for _, m := range startMeters {
		if !slices.Contains(words, m.word) {
			continue
		}
		s.Meters = append(s.Meters, m)
		for _, r := range m.Ranges {
			if other := m.word == "dc-volts" && s.Mains && slices.Contains(words, "mains"); !usual[r.Reads] && !other {
				usual[r.Reads] = true
				s.Usual = append(s.Usual, usualMeter{r.Reads, m.ID})
			}
		}
	}
	return nil
}

// mostLoads is more than a bench has; they are called a4, b4, … z4.
const mostLoads = 26

func (s *siteAnswers) takeLoads(answer string) error {
	s.Loads = nil
	numbers, err := numbersTyped(answer, ohmTyped)
	if err != nil {
		return err
	}
	count := map[string]int{}
	for _, ohms := range numbers {
		var n string
		if err := takesNumber("bench.toml", "load", "nominal_ohm", false, &n)(ohms); err != nil {
			return err
		}
		if count[n]++; count[n] > mostLoads {
			return fmt.Errorf("more than %d of %s Ω\nhint: begin with fewer; further ones are added to bench.toml", mostLoads, n)
		}
		letter := string(rune('a' + count[n] - 1))
		s.Loads = append(s.Loads, startLoad{letter + strings.ReplaceAll(n, ".", "-"), n + " Ω, drawer " + strings.ToUpper(letter), n, ""})
	}
	return nil
}

// takeWatts takes what the loads stand: one number for all, or one for each.
func (s *siteAnswers) takeWatts(answer string) error {
	watts, err := numbersTyped(answer, wattsTyped)
	if err != nil {
		return err
	}
	if n := len(watts); n > 1 && n != len(s.Loads) {
		return fmt.Errorf("%d numbers for %s\nhint: one for all, or one for each in the order of the loads", n, count(len(s.Loads), "load"))
	}
	for i, w := range watts {
		if err := takesNumber("bench.toml", "load", "max_w", false, &w)(w); err != nil {
			return err
		}
		for n := range s.Loads {
			if len(watts) == 1 || n == i {
				s.Loads[n].Watts = w
			}
		}
	}
	return nil
}

// startSite asks for a site and writes it.
func (u *ui) startSite(a *asker, content string, s *siteAnswers, questions, others []question) int {
	if err := a.strange("site", others); err != nil {
		return u.misused(err)
	}
	if err := vacant(content, "a site is begun only once; add what is missing by hand"); err != nil {
		return u.failed(err)
	}
	if err := a.all(questions); err != nil {
		return u.failed(err)
	}
	files, err := startFiles(s, [2]string{"site.toml", "site.toml"}, [2]string{"bench.toml", "bench.toml"}, [2]string{"methods.toml", "methods.toml"},
		[2]string{"about.md", "prose/about.md"}, [2]string{"methodology.md", "prose/methodology.md"})
	if err == nil {
		err = siteMistakes(files)
	}
	if err == nil {
		err = writeFolder(content, files)
	}
	if err != nil {
		return u.failed(notWritten(content, err))
	}
	u.written(content, files)
	u.lines("", "next: put the figures of your own instruments and loads into bench.toml, and read the caution there; then "+inRoot("start unit", content))
	return exitDone
}

// inRoot is a command as it is typed for the site whose content stands here.
func inRoot(command, content string) string {
	command = "wattsheet " + command
	if root := filepath.Dir(content); root != "." {
		command += " --root " + filepath.ToSlash(root)
	}
	return command
}

// siteMistakes reads the new files as check would.
func siteMistakes(files []startFile) error {
	content := &record.Content{}
	var problems, more record.Problems
	for _, f := range files {
		file := &record.File{Name: "content/" + f.name, Text: []byte(f.text)}
		switch f.name {
		case "site.toml":
			content.Site, more = record.DecodeSite(file)
		case "bench.toml":
			content.Bench, more = record.DecodeBench(file)
		case "methods.toml":
			content.Methods, more = record.DecodeMethods(file)
		default:
			more = nil
		}
		problems = append(problems, more...)
	}
	if problems = append(problems, content.Check()...); len(problems) > 0 {
		return problems
	}
	return nil
}

// vacant is the error that something stands where a folder is to be made.
func vacant(folder, hint string) error {
	if standing(folder) {
		return fmt.Errorf("%s is there already; nothing was written\nhint: %s", filepath.ToSlash(folder), hint)
	}
	return nil
}

// notWritten is the error of a folder that couldn't be written.
func notWritten(folder string, err error) error {
	if errors.Is(err, errStands) {
		return fmt.Errorf("%s has come to be meanwhile; nothing was written", filepath.ToSlash(folder))
	}
	return fmt.Errorf("%w; nothing was written", err)
}
