package record

import (
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// A plainly is how one message of the TOML decoder is said to people: the
// beginning of the message, our summary ("%s" is what the message quotes last)
// and the hint.
type plainly struct{ starts, summary, hint string }

// What is said of a line that is still being typed; within brackets it means something else, see [unclosed].
const (
	noValue = "the key has no value"
	noKey   = "a key is missing before the ="
	noSign  = "the key isn't followed by ="
)

var (
	openList  = plainly{"expected a comma (',') or array", "the list isn't closed, or lacks a comma", "a list is [17.52, 17.48]"}
	openTable = plainly{"expected a comma or an inline", "the table isn't closed, or lacks a comma", `a table within a line is { out_v = "meter", supply_a = "clamp" }`}
)

var plainlies = []plainly{
	{"expected value but found '\\n'", noValue, "write one after the =, or take the line out"},
	{"unexpected EOF; expected value", noValue, "write one after the =, or take the line out"},
	{"expected value but found", "%s is no value", ""},
	{"expected a top-level item to end", "the line goes on after its end: %s is too much", ""},
	{"strings cannot contain newlines", "the text isn't closed on its line", `end it with a quote; a text of several lines stands between """ and """`},
	{"unexpected EOF; expected key separator", noSign, "a line is key = value, and a key has no blanks in it: power_w = 74.3"},
	{"unexpected EOF; expected '\"\"\"'", "a text is never closed", `end it with """ where it ends`},
	{"unexpected EOF; expected \"'''\"", "a text is never closed", "end it with ''' where it ends"},
	{"unexpected EOF; expected", "the text isn't closed on its line", "end it with a quote"},
	{"unexpected '\"\"\"\"\"\"'", "the text ends in too many quotes", `end it with """`},
	{"unexpected '=': key name appears blank", noKey, "a line is key = value"},
	{"unexpected '.': keys cannot start", "a key can't start with a point", "a line is key = value"},
	{"unexpected '='", "a name is missing after the point of a key", "a line is key = value"},
	{"unexpected '.'", "a name is missing between two points of a key", "a line is key = value"},
	{"expected '.' or '='", noSign, "a line is key = value, and a key has no blanks in it: power_w = 74.3"},
	openList,
	openTable,
	{"unexpected comma", "a comma stands where a value is needed", "a list is [17.52, 17.48]"},
	{"expected '.' or ']' to end table", "the head of the table isn't closed", "a head is [unit], or [[run]] where there may be several"},
	{"expected end of table array name", "the head of the table isn't closed", "where there may be several tables, the head has two brackets on each side: [[run]]"},
	{"unexpected end of table name", "the head of the table is empty", "a head is [unit], or [[run]] where there may be several"},
	{"unexpected table separator", "a name is missing in the head of the table", "a head is [unit], or [[run]] where there may be several"},
	{"floats must start with a digit", "the number starts with a point", "write a zero before it: 0.5"},
	{"invalid datetime", "%s is no date", "a date is 2026-10-09, a date and time 2026-10-09T14:05:00+02:00; the month has to have the day, and the day the hour"},
	{"invalid escape in string", "a backslash stands before a letter that makes no escape", `write \\ for a backslash, or put the text in single quotes: '…'`},
	{"invalid escape", "a backslash stands before a blank", `write \\ for a backslash, or put the text in single quotes: '…'`},
	{"expected two hexadecimal", `the escape \x needs two digits`, "write \\\\ for a backslash, or the character itself: the file is UTF-8"},
	{"expected four hexadecimal", `the escape \u needs four digits`, "write \\\\ for a backslash, or the character itself: the file is UTF-8"},
	{"expected eight hexadecimal", `the escape \U needs eight digits`, "write \\\\ for a backslash, or the character itself: the file is UTF-8"},
	{"Escaped character", "the escape names no character", `write \\ for a backslash, or the character itself: the file is UTF-8`},
	{"TOML files cannot contain control characters: '0x0d'", "a carriage return stands here alone, as very old programs end lines", "save the file with line ends of today, LF or CR LF, in your editor"},
	{"TOML files cannot contain control", "an invisible control character stands here", "delete it and type the text again"},
	{"files cannot contain NULL", "the file isn't UTF-8 text", "save the file as UTF-8 in your editor"},
	{"cannot use sign", "a sign stands before a number that isn't decimal", "a number is written -3.5"},
	{"not a ", "a number that isn't decimal lacks digits, or has wrong ones", "a number is written 74.3"},
	{"expected a digit", "a sign stands without a number", "write the number after it: -3.5"},
}

var invalidNumber = regexp.MustCompile(`^(?:Invalid (?:integer|float)(?: value:)?|invalid float:) *["']?([^"']*)["']?:? ?(.*)$`)

// plainer says a message of the TOML decoder in plainer words, with what is
// probably to be done.
func plainer(message, line string) (summary, hint string) {
	if m := bareClock.FindStringSubmatch(line); m != nil && (strings.HasPrefix(message, "invalid datetime") || strings.HasPrefix(message, "expected a top-level item to end")) {
		return m[2] + " is no value: what a video's clock shows stands in quotes", m[1] + ` = "` + m[2] + `"`
	}
	for _, one := range plainlies {
		if !strings.HasPrefix(message, one.starts) {
			continue
		}
		summary, hint = one.summary, one.hint
		if strings.Contains(summary, "%s") {
			summary = strings.ReplaceAll(summary, "%s", quotedIn(message))
		}
		if hint == "" {
			hint = lineHint(line)
		}
		return summary, hint
	}
	if m := invalidNumber.FindStringSubmatch(message); m != nil {
		if dateByDay.MatchString(m[1]) {
			return short(m[1]) + " is neither a number nor a date", brokenNumberHint(m[1], m[2])
		}
		return short(m[1]) + " is no number", brokenNumberHint(m[1], m[2])
	}
	message = strings.TrimSuffix(message, ".")
	switch {
	case strings.Contains(message, "cannot be used as an array"):
		return "this head has two brackets, but its name is used without them above", "where there may be several tables, each head has two brackets: [[run]]"
	case strings.Contains(message, "already"):
		return "this name has a value already", "a key or a table stands once; a further run or claim starts with its own head, [[run]] or [[claim]]"
	case strings.Contains(message, "is out of range for"):
		return "the number is too large", "check its digits; a number is written 74.3"
	}
	return lowerFirst(message), "a line is key = value; a table's head is [unit] or [[run]]"
}

func lowerFirst(text string) string {
	r, size := utf8.DecodeRuneInString(text)
	return string(unicode.ToLower(r)) + text[size:]
}

func brokenNumberHint(number, why string) string {
	switch {
	case dateByDay.MatchString(number):
		return "a date is year, month and day: 2026-10-09"
	case strings.Contains(why, "leading zero"):
		return "without zeros before it: " + strings.TrimLeft(number, "0+-")
	case strings.HasSuffix(number, "."):
		return "without the point, or with digits after it: " + number + "0"
	}
	if manyDots.MatchString(number) {
		return "nothing stands between thousands: " + unparted(number)
	}
	return "a number is written 74.3"
}

// quotedIn gives what a message of the TOML decoder quotes: 'x' or "x".
func quotedIn(message string) string {
	from := strings.IndexAny(message, `'"`)
	if from < 0 {
		return "it"
	}
	quote := message[from]
	to := strings.LastIndexByte(message, quote)
	inner := message[from+1 : max(to, from+1)]
	if text, err := strconv.Unquote(`"` + strings.ReplaceAll(strings.ReplaceAll(inner, `\'`, `'`), `"`, `\"`) + `"`); err == nil {
		inner = text
	}
	if inner == `"` || inner == "'" {
		return "a further quote"
	}
	return quoted(inner)
}

var (
	decimalComma = regexp.MustCompile(`^\s*([\w-]+)\s*=\s*([+-]?[0-9]+),([0-9]+)`)
	bareUnit     = regexp.MustCompile(`^\s*([\w-]+)\s*=\s*([+-]?[0-9]+(?:\.[0-9]+)?)\s*[\p{L}\p{Sc}%°Ω]`)
	scaledUnit   = regexp.MustCompile(`^\s*[\w-]+\s*=\s*[+-]?[0-9]+(?:\.[0-9]+)?\s*[kmMµ](?:W|V|A|Ω|[oO]hm|Hz)\b`)
	signBefore   = regexp.MustCompile(`^\s*([\w-]+)\s*=\s*\p{Sc}\s*([0-9]+(?:\.[0-9]+)?)\s*$`)
	bareList     = regexp.MustCompile(`^\s*([\w-]+)\s*=\s*([0-9.]+(?:, +[0-9.]+)+)\s*$`)
	dateByDay    = regexp.MustCompile(`^[0-9]{1,2}[./-][0-9]{1,2}[./-][0-9]{2,4}$`)
	bareClock    = regexp.MustCompile(`^\s*(video|lasts)\s*=\s*([0-9]{1,3}(?::[0-5][0-9]){1,2})\s*$`)
	slashDate    = regexp.MustCompile(`=\s*[0-9]{1,4}/[0-9]{1,2}/[0-9]{1,4}`)
	innerQuote   = regexp.MustCompile(`=\s*"[^"]*"[^",\s]`)
	afterComma   = regexp.MustCompile(`=\s*(?:"[^"]*"|[\w.+:-]+|\[.*\])\s*[,;]`)
	yesNo        = regexp.MustCompile(`(?i)^\s*([\w-]+)\s*=\s*(true|false|yes|no|on|off)\b`)
	longSign     = regexp.MustCompile(`^\s*([\w-]+)\s*=\s*[−–—‐‑‒]\s*([0-9]+(?:\.[0-9]+)?)`)
	otherRemark  = regexp.MustCompile(`^\s*([\w-]+)\s*=\s*("[^"]*"|[\w.+:-]*[\w.]|\[.*\])\s*(?://|/\*|--)\s*(.*?)\s*(?:\*/)?\s*$`)
	oddQuote     = regexp.MustCompile(`=\s*\[?\s*[“”„‟‘’‚«»‹›` + "`" + `]`)
	bareWord     = regexp.MustCompile(`^\s*([\w-]+)\s*=\s*([^\s"'#\[{][^"'#]*)`)
	afterHead    = regexp.MustCompile(`^\s*(\[\[[^\[\]]+\]\]|\[[^\[\]]+\])`)
)

// lineHint looks at the whole line for what was probably meant.
func lineHint(line string) string {
	line = line[:min(len(line), 4*window)]
	if m := parted.FindStringSubmatch(line); m != nil {
		return "nothing stands between thousands, and a decimal is written with a point: " + m[1] + " = " + unparted(m[2])
	}
	if m := unclearComma.FindStringSubmatch(line); m != nil {
		return "a decimal is written with a point, and nothing stands between thousands: " + m[1] + " = " + m[2] + "." + m[3] + " or " + m[1] + " = " + m[2] + m[3]
	}
	if m := decimalComma.FindStringSubmatch(line); m != nil {
		return "a decimal is written with a point: " + m[1] + " = " + m[2] + "." + m[3]
	}
	if slashDate.MatchString(line) {
		return "a date is year, month and day: 2026-10-09"
	}
	if scaledUnit.MatchString(line) {
		return "a number stands alone, in the unit that the key names: convert it, as 0.15 kW to 150 W"
	}
	if m := bareUnit.FindStringSubmatch(line); m != nil {
		return "a number stands alone, its unit is in the key: " + m[1] + " = " + m[2]
	}
	if m := longSign.FindStringSubmatch(line); m != nil {
		return "the sign is a plain hyphen: " + m[1] + " = -" + m[2]
	}
	if m := otherRemark.FindStringSubmatch(line); m != nil {
		return "a remark begins with #: " + m[1] + " = " + short(m[2]) + " # " + short(m[3])
	}
	if m := signBefore.FindStringSubmatch(line); m != nil {
		return "a number stands alone, without a currency: " + m[1] + " = " + m[2]
	}
	if m := bareList.FindStringSubmatch(line); m != nil {
		return "several values stand in brackets: " + m[1] + " = [" + m[2] + "]"
	}
	if m := yesNo.FindStringSubmatch(line); m != nil {
		return "true or false, in lower case and without quotes: " + m[1] + " = true"
	}
	if oddQuote.MatchString(line) {
		return `texts stand in straight quotes: "…"`
	}
	if afterComma.MatchString(line) {
		return "each key stands on a line of its own, with nothing after its value"
	}
	if innerQuote.MatchString(line) {
		return `a quote within a text is written \", or the text stands in single quotes: '…'`
	}
	if m := bareWord.FindStringSubmatch(line); m != nil {
		return "a text stands in quotes: " + m[1] + ` = "` + short(strings.TrimSpace(m[2])) + `"`
	}
	if m := afterHead.FindStringSubmatch(line); m != nil {
		return "the head of a table stands alone on its line: " + short(m[1])
	}
	return "nothing stands behind a value but a comment, which starts with #"
}

// Numbers with something between thousands: "1.299,00", "1,299.50", "1 299", "1'299". Of "1,299" nobody
// can say what the comma is.
var (
	parted = regexp.MustCompile(`^\s*([\w-]+)\s*=\s*([+-]?[0-9]{1,3}(?:(?:\.[0-9]{3})+,[0-9]+|(?:\.[0-9]{3}){2,}|(?:,[0-9]{3})+\.[0-9]+|(?:,[0-9]{3}){2,}` +
		`|(?:[ '\x{2019}\x{00a0}\x{202f}][0-9]{3})+(?:[.,][0-9]+)?))\s*(?:#.*)?$`)
	manyDots     = regexp.MustCompile(`^[+-]?[0-9]{1,3}(?:\.[0-9]{3}){2,}$`)
	unclearComma = regexp.MustCompile(`^\s*([\w-]+)\s*=\s*([+-]?[1-9][0-9]{0,2}),([0-9]{3})\s*(?:#.*)?$`)
)

// unparted takes out of a number what stands between thousands: its last mark is the point of its
// decimals, where no other is the same.
func unparted(text string) string {
	last := strings.LastIndexAny(text, ".,")
	digits := strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' || r == '+' || r == '-' {
			return r
		}
		return -1
	}, text)
	if last < 0 || strings.Count(text, text[last:last+1]) > 1 {
		return digits
	}
	decimals := len(text) - last - 1
	return digits[:len(digits)-decimals] + "." + digits[len(digits)-decimals:]
}
