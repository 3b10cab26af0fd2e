package kit

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"wattsheet/generator/record"
)

// The limits of descriptions, as a large platform's help pages state them: 5,000 bytes of
// UTF-8, and neither < nor >.
const mostBytes = 5000

// The parts of a description that a template can name.
var parts = []string{"verdict", "results", "disclosure", "address", "chapters"}

// usual is the description where a unit has no template of its own. Platforms show some
// 120 characters before a click, so the verdict stands first, and the disclosure near it.
const usual = `{verdict}

{address}

{disclosure}

{results}

{chapters}
`

var placeholder = regexp.MustCompile(`\{[^{}\n]*\}`)

// description makes the text below a video: the template, each {part} on a line of its own
// replaced. A part that has nothing to say leaves its line out.
func (m *maker) description(f film) ([]byte, []Result) {
	texts := map[string][]line{}
	from := []Result{m.headline(), m.disclosed()}
	unit := m.Sheet.Record.Unit.Key("model")
	texts["verdict"] = []line{{text: m.headline().Says, from: unit}}
	if text := m.Sheet.Disclosure; text != "" {
		texts["disclosure"] = []line{{text: text, from: m.Sheet.Record.Source.Place}}
	}
	if address := m.address(); address != "" {
		texts["address"] = []line{{text: "Every reading, the method, and what was corrected since: " + address, from: m.Site.Key("address")}}
		from = append(from, Result{"address", address})
	} else {
		m.problems = append(m.problems, m.noAddress())
	}
	for _, c := range m.Sheet.Claims {
		texts["results"] = append(texts["results"], line{text: claimSays(c), from: c.Rec.Place})
		from = append(from, resultOf(c))
	}
	if len(texts["results"]) > 0 {
		texts["results"] = append([]line{{text: "What was measured. " + m.plusMinus(), from: unit}}, texts["results"]...)
	}
	if chapters := m.chapters(f); len(chapters) > 0 && !m.Plain {
		texts["chapters"] = append([]line{{text: "Chapters", from: chapters[0].from}}, chapters...)
		from = append(from, Result{"chapters" + f.suffix, string(bytes.TrimSpace(lines(chapters)))})
	}
	if m.Template != nil {
		sum := sha256.Sum256(m.Template.Text)
		from = append(from, Result{"template of the description", hex.EncodeToString(sum[:8])})
	}
	all := m.filled(texts)
	m.allowed(all, "a description")
	text := lines(all)
	if len(text) > mostBytes {
		m.problems = append(m.problems, m.tooLong(texts, len(text)))
	}
	return text, from
}

func (m *maker) noAddress() record.Problem {
	p := m.Site.Problem("the site has no address, so no text can lead to the unit's page", `address = "https://…/" in site.toml is where the site is published`)
	p.Severity = record.Warning
	return p
}

// filled is the template with its parts in place.
func (m *maker) filled(texts map[string][]line) (all []line) {
	file := m.Template
	if file == nil {
		file = &record.File{Text: []byte(usual)}
	}
	at, named := 0, false
	for text := range strings.SplitAfterSeq(string(file.Text), "\n") {
		here := line{text: strings.TrimRight(text, "\r\n"), file: file, at: at}
		at += len(text)
		word := strings.TrimSpace(here.text)
		part := strings.Trim(word, "{}")
		switch {
		case placeholder.FindString(word) != word || word == "":
			if odd := placeholder.FindString(word); odd != "" {
				m.problems = append(m.problems, here.problem("a part of a description stands on a line of its own, and "+odd+" doesn't", "put "+odd+" on the next line"))
			}
			all = append(all, here)
		case !slices.Contains(parts, part):
			m.problems = append(m.problems, here.problem("there is no part "+word+" of a description", "the parts are {"+strings.Join(parts, "}, {")+"}"))
		default:
			named = named || part == "disclosure"
			all = append(all, texts[part]...)
		}
	}
	if m.Template != nil && !named {
		m.problems = append(m.problems, m.whole("this leaves out who supplied the unit", "put {disclosure} on a line of its own, near the top"))
	}
	return m.tidy(all)
}

// tidy leaves out blank lines that follow one another, and those at both ends.
func (m *maker) tidy(all []line) (out []line) {
	for _, one := range all {
		if strings.TrimSpace(one.text) == "" && (len(out) == 0 || strings.TrimSpace(out[len(out)-1].text) == "") {
			continue
		}
		out = append(out, one)
	}
	for len(out) > 0 && strings.TrimSpace(out[len(out)-1].text) == "" {
		out = out[:len(out)-1]
	}
	return out
}

// brackets are what stands in a plain text of a platform for what no platform takes there.
var brackets = strings.NewReplacer("<", "‹", ">", "›")

// allowed sees to what no platform takes. A plain text has no escapes: in what comes from
// the record, as a model's name, other brackets stand in their place, and that is told once; a
// template's words are the tester's to change.
func (m *maker) allowed(all []line, in string) {
	told := false
	for i, one := range all {
		at := strings.IndexAny(one.text, "<>")
		if at < 0 {
			continue
		}
		odd := one.text[at : at+1]
		p := one.problem(fmt.Sprintf("%q stands in %s, and platforms take neither < nor > there", odd, in), `write it in words: "under 1 %", "over 100 W"`)
		if one.file == nil {
			all[i].text = brackets.Replace(one.text)
			p.Severity, p.Summary, p.Hint = record.Warning, fmt.Sprintf("platforms take neither < nor > in %s, so %s stands there for %s", in, brackets.Replace(odd), odd), ""
			if told {
				continue
			}
			told = true
		}
		m.problems = append(m.problems, p)
	}
}

func (m *maker) tooLong(texts map[string][]line, size int) record.Problem {
	var shares []string
	for _, part := range parts {
		if n := len(lines(texts[part])); n > 0 {
			shares = append(shares, fmt.Sprintf("%s %d", part, n))
		}
	}
	summary := fmt.Sprintf("the description has %s, and platforms take %d", numbered(size, "byte"), mostBytes)
	hint := "its parts have, in bytes: " + strings.Join(shares, ", ") + "; Ω, ± and ° count two, ≤ and – three"
	if m.Template != nil {
		return m.whole(summary, hint+"; leave one out of this template")
	}
	return m.Sheet.Record.Unit.Problem(summary, hint+"; a description.txt beside the record can leave one out")
}

// whole is a mistake of the template as a whole.
func (m *maker) whole(summary, hint string) record.Problem {
	return record.Problem{Severity: record.Error, Summary: summary, Hint: hint, File: m.Template.Name}
}
