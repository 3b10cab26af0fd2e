package site

import (
	"reflect"
	"testing"
	"unsafe"
)

// A saying that has its own texts says the same, and nothing of it lies in what it was made of.
func TestBriefOwnsWhatItHolds(t *testing.T) {
	s, _ := published(t)
	for _, sh := range s.Sheets {
		b := briefOf(sh, s.Ledger(sh.Slug))
		says, was := &saying{b, sidesOf(b)}, &saying{b, sidesOf(b)}
		from := map[*byte]bool{}
		for _, text := range remade(reflect.ValueOf(was).Elem(), nil) {
			from[unsafe.StringData(text.String())] = true
		}
		says.own()
		if !reflect.DeepEqual(says, was) {
			t.Errorf("%s: the brief says something else: %+v, was %+v", sh.Slug, says, was)
		}
		var first, last uintptr
		texts := remade(reflect.ValueOf(says).Elem(), nil)
		for _, v := range texts {
			text := v.String()
			if text == "" {
				continue
			}
			if from[unsafe.StringData(text)] {
				t.Errorf("%s: %q lies where it lay", sh.Slug, text)
			}
			if at := uintptr(unsafe.Pointer(unsafe.StringData(text))); first == 0 {
				first, last = at, at
			} else if at != last {
				t.Errorf("%s: %q doesn't lie behind what is before it", sh.Slug, text)
			}
			last += uintptr(len(text))
		}
		if len(texts) < 20 {
			t.Errorf("%s: %d texts", sh.Slug, len(texts))
		}
	}
}
