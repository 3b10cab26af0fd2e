package record

import (
	"fmt"
	"strconv"
	"unicode/utf8"
)

// Quote writes a text as a basic string of TOML: what can't be seen is escaped, so
// that the result stands on one line and says what it holds.
func Quote(text string) string { return string(AppendQuote(nil, text)) }

// AppendQuote appends what [Quote] gives.
func AppendQuote(to []byte, text string) []byte {
	to = append(to, '"')
	for i := 0; i < len(text); {
		if c := text[i]; c >= ' ' && c < 0x7f {
			if c == '"' || c == '\\' {
				to = append(to, '\\')
			}
			to = append(to, c)
			i++
			continue
		}
		r, size := utf8.DecodeRuneInString(text[i:])
		i += size
		switch {
		case r == '\n':
			to = append(to, `\n`...)
		case strconv.IsPrint(r):
			to = utf8.AppendRune(to, r)
		case r > 0xffff:
			to = fmt.Appendf(to, `\U%08X`, r)
		default:
			to = fmt.Appendf(to, `\u%04X`, r)
		}
	}
	return append(to, '"')
}
