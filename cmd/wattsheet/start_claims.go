package main

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// A startClaim is a claim as record.toml gets it; what is empty isn't claimed.
type startClaim struct {
	ID, Watts, Ohms, Volts, Pct string
	Channels                    int
	Bridged                     bool
}

func (s *unitAnswers) takeClaims(answer string) error {
	s.Claims = nil
	ids := map[string]int{}
	for part := range strings.SplitSeq(answer, ";") {
		if strings.TrimSpace(part) == "" {
			continue
		}
		c, err := readClaim(part, len(s.Channels))
		if err != nil {
			return err
		}
		for _, other := range s.Claims {
			if same := other; same.with(c) == c {
				return fmt.Errorf("two claims are for the same conditions: %s\nhint: state what tells them apart, or keep one", strings.TrimSpace(part))
			}
		}
		if ids[c.ID]++; ids[c.ID] > 1 {
			c.ID += "-" + strconv.Itoa(ids[c.ID])
		}
		s.Claims = append(s.Claims, c)
	}
	return nil
}

// with is the claim with another's figure and name.
func (c startClaim) with(other startClaim) startClaim {
	c.Watts, c.ID = other.Watts, other.ID
	return c
}

// claimParts are the figures of a claim in the order in which they are typed without
// units: the key, the units and what it is.
var claimParts = []struct {
	key, what string
	units     []string
	to        func(*startClaim) *string
}{
	{"load_ohm", "load", ohmTyped, func(c *startClaim) *string { return &c.Ohms }},
	{"power_w", "watts", wattsTyped, func(c *startClaim) *string { return &c.Watts }},
	{"supply_v", "supply volts", voltsTyped, func(c *startClaim) *string { return &c.Volts }},
	{"thdn_pct", "distortion", []string{"%", "pct", "percent"}, func(c *startClaim) *string { return &c.Pct }},
}

const claimHint = "as in: 4 ohm 100 W 14.4 V 1 %"

// idle are words that say of a claim what it is anyway: watts are measured ones, and a
// channel's, and a percentage is of distortion.
var idle = []string{"at", "into", "and", "with", "rms", "per", "channel", "ch", "ch.", "each", "thd", "thd+n"}

// bounds are signs that are printed before a distortion: as much as that, or less.
var bounds = []string{"≤", "<=", "<"}

// puffs are words that are printed beside watts and say nothing that can be measured.
var puffs = []string{"max", "max.", "maximum", "peak", "pmpo", "music", "total"}

// readClaim reads a claim as people write it: numbers with their units in any order,
// or without in the order of claimParts.
func readClaim(text string, channels int) (c startClaim, err error) {
	words := claimWords(text)
	next := 0
	for i := 0; i < len(words); i++ {
		word := words[i]
		if strings.EqualFold(word, "bridged") {
			c.Bridged = true
			continue
		}
		if slices.Contains(puffs, strings.ToLower(word)) {
			return c, fmt.Errorf("%q of the claim %q names no condition\nhint: leave the word out, and say later in printed_in how it is printed; watts are a channel's, not those of all together", word, strings.TrimSpace(text))
		}
		if i+1 < len(words) && times(words[i+1]) {
			if err := c.driven(word, text, channels); err != nil {
				return c, err
			}
			i++
			continue
		}
		if times(word) {
			return c, fmt.Errorf("%q of the claim %q has no number of channels before it\nhint: the channels stand before the watts, as in 4 x 100 W", word, strings.TrimSpace(text))
		}
		bounded := false
		for _, sign := range bounds {
			if behind, is := strings.CutPrefix(word, sign); is {
				word, bounded = behind, true
				break
			}
		}
		if err := thousands("", word); err != nil { // a key's own are looked at by takesNumber
			return c, fmt.Errorf("of the claim %q: %w", strings.TrimSpace(text), err)
		}
		if word = pointed(word); !plainNumber(word) {
			return c, fmt.Errorf("%q of the claim %q isn't understood\nhint: %s", word, strings.TrimSpace(text), claimHint)
		}
		part := next
		if i+1 < len(words) {
			if p := partOf(words[i+1]); p >= 0 {
				part = p
				i++
			}
		}
		if bounded && (part >= len(claimParts) || claimParts[part].key != "thdn_pct") {
			return c, fmt.Errorf("a bound before %s of the claim %q says what only a distortion can be\nhint: 4 ohm 100 W <1 %%; a figure for the load, watts or volts stands alone", word, strings.TrimSpace(text))
		}
		if part >= len(claimParts) {
			return c, fmt.Errorf("the claim %q has more figures than load, watts, volts and distortion\nhint: %s", strings.TrimSpace(text), claimHint)
		}
		next = part + 1
		p := claimParts[part]
		to := p.to(&c)
		if *to != "" {
			return c, fmt.Errorf("the claim %q has two figures for the %s\nhint: a semicolon stands between two claims; %s", strings.TrimSpace(text), p.what, claimHint)
		}
		if err := takesNumber("record.toml", "claim", p.key, false, to)(word); err != nil {
			return c, err
		}
	}
	return c, c.complete(text, channels)
}

// complete counts the channels and names the claim.
func (c *startClaim) complete(text string, channels int) error {
	switch {
	case c.Ohms == "" || c.Watts == "":
		return fmt.Errorf("the claim %q needs a load and watts\nhint: %s", strings.TrimSpace(text), claimHint)
	case c.Bridged && channels < 2:
		return errors.New("a unit with one channel has nothing to bridge\nhint: take the word bridged out")
	}
	most := channels
	c.ID = strings.ReplaceAll(c.Ohms, ".", "-") + "-ohm"
	if c.Bridged {
		most, c.ID = channels/2, c.ID+"-bridged"
	}
	if c.Channels == 0 {
		c.Channels = most
	}
	if c.Channels > most {
		return fmt.Errorf("the claim %q is for %d at once, the unit has %d\nhint: bridged, two channels are one pair", strings.TrimSpace(text), c.Channels, most)
	}
	return nil
}

// driven takes how many channels, or pairs, give the watts at once: the 4 of 4 x 100 W.
func (c *startClaim) driven(word, text string, channels int) error {
	n, err := strconv.Atoi(word)
	if err != nil || n < 1 || n > channels {
		return fmt.Errorf("%q of the claim %q is no number of this unit's channels\nhint: from 1 to %d; %s", word, strings.TrimSpace(text), channels, claimHint)
	}
	if c.Channels != 0 {
		return fmt.Errorf("the claim %q says twice how many channels\nhint: a semicolon stands between two claims; %s", strings.TrimSpace(text), claimHint)
	}
	c.Channels = n
	return nil
}

// times reports whether a word is the sign between channels and watts.
func times(word string) bool { return word == "x" || word == "X" || word == "×" }

// claimWords splits a claim into numbers and units, also where no blank stands between
// them. A colon, a comma with a blank behind it and the words in idle only part it.
func claimWords(text string) (words []string) {
	for _, field := range strings.Fields(text) {
		field = strings.TrimLeft(strings.TrimRight(field, ",:"), "@")
		if field == "" || slices.Contains(idle, strings.ToLower(field)) {
			continue
		}
		prefix := ""
		if at := strings.IndexAny(field, "xX×"); at > 0 && plainNumber(field[:at]) {
			sign, behind := field[at:], ""
			if _, size := utf8.DecodeRuneInString(sign); size < len(sign) {
				sign, behind = sign[:size], sign[size:]
			}
			words = append(words, field[:at], sign)
			if field = behind; field == "" {
				continue
			}
		}
		if n := strings.IndexAny(field, "0123456789"); n > 0 && times(field[:n]) {
			words = append(words, field[:n])
			field = field[n:]
		}
		for _, sign := range bounds {
			if behind, is := strings.CutPrefix(field, sign); is {
				prefix, field = sign, behind
				break
			}
		}
		if n := strings.IndexFunc(field, func(r rune) bool { return (r < '0' || r > '9') && r != '.' && r != ',' }); n > 0 && partOf(strings.TrimPrefix(field[n:], "-")) >= 0 {
			words = append(words, prefix+field[:n], strings.TrimPrefix(field[n:], "-"))
			continue
		}
		words = append(words, prefix+field)
	}
	return words
}

// partOf is which figure a unit belongs to, or −1.
func partOf(unit string) int {
	for i, p := range claimParts {
		for _, u := range p.units {
			if strings.EqualFold(u, unit) {
				return i
			}
		}
	}
	return -1
}
