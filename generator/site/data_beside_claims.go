package site

import (
	"strconv"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// claimedFor says what a claim is for, in words that don't depend on what else its maker
// claims: claims of several units stand beside each other where these words are the same.
// The power is a channel's, so which channels they are is left out, but how many are driven
// isn't, where that is fewer than the unit has. Distortion is named where it isn't what the
// site assumes of claims that name none. A label says only what tells a unit's own claims
// apart.
func claimedFor(c *record.Claim, u *record.Unit, rules *record.Assume) string {
	text := sheet.Ohms(c.LoadOhm.Value)
	all, one, several := len(u.Channels), "channel", "channels"
	if c.Bridged {
		text += " bridged"
		all, one, several = len(u.Channels)/2, "pair", "pairs"
	}
	switch driven := int(c.Driven.Or(c.Channels.Value)); {
	case driven == all:
	case driven == 1:
		text += ", one " + one + " driven"
	default:
		text += ", " + strconv.Itoa(driven) + " " + several + " driven"
	}
	if c.Signal == "burst" {
		text += ", burst"
	}
	if c.DurationS.Given() {
		text += ", " + with(c.DurationS, "s")
	}
	if len(c.FreqHz.Items) > 1 {
		text += ", over a band"
	}
	switch {
	case !c.ThdnPct.Given() && !rules.ThdnPct.Given():
		text += ", distortion not stated"
	case c.ThdnPct.Given() && !(rules.ThdnPct.Given() && c.ThdnPct.Value == rules.ThdnPct.Value):
		text += ", " + quantity.Float(c.ThdnPct.Value) + nbsp + "% THD+N"
	}
	return text
}
