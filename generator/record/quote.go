package record

import (
	"fmt"
	"strconv"
	"strings"
)

// Quote writes a text as a basic string of TOML: what can't be seen is escaped, so
// that the result stands on one line and says what it holds.
func Quote(text string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range text {
		switch {
		case r == '"', r == '\\':
			b.WriteString("\\" + string(r))
		case r == '\n':
			b.WriteString(`\n`)
		case strconv.IsPrint(r):
			b.WriteRune(r)
		case r > 0xffff:
			fmt.Fprintf(&b, `\U%08X`, r)
		default:
			fmt.Fprintf(&b, `\u%04X`, r)
		}
	}
	b.WriteByte('"')
	return b.String()
}
