package record

import "testing"

func TestProblemIsKeptWhole(t *testing.T) {
	f := &File{Name: "content/units/x/notes.md", Text: []byte("one\ntwo \x1b words\xff\n")}
	was := f.Problem(Warning, 8, 3, "odd", "mend it")
	was.before = true
	now, err := Kept(was.Keep())
	if err != nil || now.String() != was.String() || now.Severity != was.Severity || now.before != was.before {
		t.Errorf("got %v, %v\nwant %v", now, err, was)
	}
	if _, err := Kept([]byte("{")); err == nil {
		t.Error("half a problem is read")
	}
}
