package plan

import (
	"bytes"
	"encoding/json"
	"fmt"
	"unicode"
)

// JSON is the plan for programs, indented, with keys that carry their units. What a
// terminal might act on is escaped.
func (p *Plan) JSON() []byte {
	text, err := json.MarshalIndent(p, "", "  ")
	if err != nil {
		panic(err) // no type of a plan can fail
	}
	var out bytes.Buffer
	for _, r := range string(text) {
		if r != '\n' && !unicode.IsGraphic(r) && r <= 0xffff {
			fmt.Fprintf(&out, `\u%04x`, r)
		} else {
			out.WriteRune(r)
		}
	}
	out.WriteByte('\n')
	return out.Bytes()
}
