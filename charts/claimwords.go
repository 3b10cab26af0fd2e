package charts

import "wattsheet/generator/sheet"

// ClaimWords says in words what the line of a claim shows, as the line's own label
// does: for who draws it elsewhere.
func ClaimWords(c *sheet.Claim) string { return claimAlternative(c) }
