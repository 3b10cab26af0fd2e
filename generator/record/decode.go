package record

import (
	"bytes"
	"math"
	"reflect"
	"strconv"
	"strings"
	"time"
)

// DecodeSite reads content/site.toml. Like all decoders here it gives a usable
// value whatever the text is, and all problems of the file at once.
func DecodeSite(f *File) (*Site, Problems) {
	s, problems := decode(f, new(Site), "site.toml")
	problems = append(problems, s.Rule.named()...)
	problems.Sort()
	return s, problems
}

// DecodeBench reads content/bench.toml.
func DecodeBench(f *File) (*Bench, Problems) { return decode(f, new(Bench), "bench.toml") }

// DecodeMethods reads content/methods.toml.
func DecodeMethods(f *File) (*Methods, Problems) { return decode(f, new(Methods), "methods.toml") }

// DecodeRecord reads the record of one unit. The slug is the name of the unit's
// folder.
func DecodeRecord(f *File, slug string) (*Record, Problems) {
	r, problems := decode(f, &Record{Slug: slug}, "record.toml")
	if why, hint := badID(slug); why != "" {
		problems = append(problems, r.Problem("the unit's folder is called "+quoted(slug)+", "+why, hint))
		problems.Sort()
	}
	return r, problems
}

// withoutMark is a text without the byte order marks that some editors put
// before it.
func withoutMark(text []byte) []byte {
	mark := []byte("\ufeff")
	for bytes.HasPrefix(text, mark) {
		text = text[len(mark):]
	}
	return text
}

func decode[T any](f *File, out *T, role string) (*T, Problems) {
	d := &decoder{file: f, role: role}
	empty, v := *out, reflect.ValueOf(out).Elem()
	s := schemaOf(v.Type())
	quick := &decoder{file: f, role: role}
	if _, tree := quick.scan(); tree != nil && tree.plain() {
		quick.table(s, Place{f, tree.root}, "", byTree{}, v)
		if len(quick.problems) == 0 {
			return out, nil
		}
		*out = empty
	}
	values, root := d.parse()
	if values == nil {
		d.absent(s, v)
		v.Field(s.place).Set(reflect.ValueOf(Place{f, root}))
		return out, d.problems
	}
	d.table(s, Place{f, root}, "", byAuthority(values), v)
	d.problems.Sort()
	return out, d.problems
}

// A decoder fills one file's value, collecting its problems.
type decoder struct {
	file     *File
	role     string // the file's own name, for "belongs in …"
	problems Problems
}

func (d *decoder) add(p Problem) { d.problems = append(d.problems, p) }

// table fills a struct from a table. The head is how people write the table,
// "[[run]]"; it is "" for the file's top.
func (d *decoder) table(s *schema, where Place, head string, values keyed, out reflect.Value) {
	*(out.Field(s.place).Addr().Interface().(*Place)) = where
	var room [64]*node
	kids := room[:]
	if len(s.fields) > len(kids) {
		kids = make([]*node, len(s.fields))
	}
	meant := d.known(s, where, head, values, kids)
	for i := range s.fields {
		f := &s.fields[i]
		switch kid := kids[i]; {
		case kid != nil:
			d.value(f, Place{d.file, kid}, head, values.value(f.key, kid), out.Field(f.index))
		case values.has(f.key):
			d.disagree(where, f.key)
		case f.need && !meant[f.key]:
			d.add(where.Problem(missing(f, head), missingHint(f, head)))
			d.otherwise(f, out.Field(f.index))
		case f.falls:
			d.otherwise(f, out.Field(f.index))
		}
	}
}

// known finds where the schema's keys stand, field by field, and refuses those that it
// doesn't have. It gives the keys that were probably meant, so that they aren't called
// missing as well.
func (d *decoder) known(s *schema, where Place, head string, values keyed, kids []*node) map[string]bool {
	var meant map[string]bool
	for _, kid := range where.node.kids {
		if f := s.byKey[kid.name]; f != nil {
			if _, tree := values.(byTree); tree || values.has(kid.name) {
				kids[f.order] = kid
			}
			continue
		}
		if _, tree := values.(byTree); !tree && !values.has(kid.name) {
			d.disagree(where, kid.name)
			continue
		}
		summary, hint, keys := unknownKey(s, kid.name, head, d.role)
		if within := takenUp(s, kid); len(within) > 0 && len(keys) == 0 {
			keys, hint = within, "these belong to "+headOr(head, d.role)+" itself, without a head of their own: "+strings.Join(within, ", ")
		}
		d.add(Place{d.file, kid}.keyProblem(summary, hint))
		kid.refused = true
		for _, key := range keys {
			if meant == nil {
				meant = map[string]bool{}
			}
			meant[key] = true
		}
	}
	return meant
}

// takenUp are the keys of a table that stand in one within it which it doesn't have: a head
// [claim.more] takes what follows away from its claim.
func takenUp(s *schema, kid *node) (keys []string) {
	for _, one := range kid.kids {
		if s.byKey[one.name] != nil {
			keys = append(keys, one.name)
		}
	}
	return keys
}

// disagree reports that the scanner and the TOML decoder see different things.
func (d *decoder) disagree(where Place, key string) {
	d.add(where.Problem("the place of "+quoted(key)+" isn't found, which is a mistake of this program",
		"write the key in a plainer way: a bare key in a table with its own head"))
}

// absent applies what is taken for the keys of a table that isn't there.
func (d *decoder) absent(s *schema, out reflect.Value) {
	for i := range s.fields {
		d.otherwise(&s.fields[i], out.Field(s.fields[i].index))
	}
}

// otherwise applies what is taken for one absent key. A number's Place stays
// zero, so that it isn't taken for one that was written.
func (d *decoder) otherwise(f *field, to reflect.Value) {
	if f.kind == aTable {
		d.absent(f.sub, to)
	}
	if f.otherwise == "" {
		return
	}
	switch out := to.Addr().Interface().(type) {
	case *string:
		*out = f.otherwise
	case *Number:
		out.Value, _ = strconv.ParseFloat(f.otherwise, 64)
		out.Text = f.otherwise
	}
}

// value fills one field from what was written.
func (d *decoder) value(f *field, where Place, head string, raw any, to reflect.Value) {
	switch out := to.Addr().Interface().(type) {
	case *string:
		*out = d.text(f, where, raw, f.otherwise)
	case *bool:
		*out = d.flag(f, where, raw)
	case *[]string:
		*out = d.texts(f, where, raw)
	case *Number:
		*out = d.number(f, where, raw)
	case *Numbers:
		*out = Numbers{where, items(d, f, where, raw, d.number)}
	case *Ref:
		*out = d.ref(f, where, raw)
	case *Refs:
		*out = Refs{where, items(d, f, where, raw, d.ref)}
	case *Date:
		*out = Date{where, d.date(f, where, raw)}
	case *Moment:
		*out = Moment{where, d.moment(f, where, raw)}
	case *Hold:
		*out = d.hold(f, where, raw)
	default:
		d.sub(f, where, subHead(f, head), raw, to)
	}
}

// sub fills a table or an array of tables.
func (d *decoder) sub(f *field, where Place, head string, raw any, to reflect.Value) {
	list, isList := tableList(raw)
	values, isTable := tableOf(raw)
	switch {
	case f.kind == aTable && isTable:
		d.table(f.sub, where, head, values, to)
		return
	case f.kind == tables && isList && len(list) == len(where.node.items):
		out := reflect.MakeSlice(to.Type(), len(list), len(list))
		for i, values := range list {
			d.table(f.sub, where.Item(i), head, values, out.Index(i))
		}
		to.Set(out)
		d.unique(f, where, out)
		return
	}
	hint := "write it under a head of its own: " + head
	if f.key == "hold" {
		hint = "write it under [unit] to hold the whole unit, or under what is to be held; [[hold]] is for groups"
	}
	d.add(where.Problem(shapeSummary(f, where, raw), hint))
	if f.kind == aTable {
		d.absent(f.sub, to)
	}
}

// tableOf gives a table in either form.
func tableOf(raw any) (keyed, bool) {
	switch raw := raw.(type) {
	case map[string]any:
		return byAuthority(raw), true
	case byTree:
		return raw, true
	}
	return nil, false
}

// tableList gives an array of tables in any form.
func tableList(raw any) (list []keyed, ok bool) {
	switch raw := raw.(type) {
	case treeTables:
		list = make([]keyed, raw)
		for i := range list {
			list[i] = byTree{}
		}
		return list, true
	case []map[string]any:
		for _, values := range raw {
			list = append(list, byAuthority(values))
		}
		return list, true
	case []any:
		for _, item := range raw {
			values, ok := item.(map[string]any)
			if !ok {
				return nil, false
			}
			list = append(list, byAuthority(values))
		}
		return list, true
	}
	return nil, false
}

// unique refuses an id that an earlier table of the same list has.
func (d *decoder) unique(f *field, where Place, list reflect.Value) {
	id := f.sub.byKey["id"]
	if id == nil {
		return
	}
	first := make(map[string]Place, list.Len())
	for i := range list.Len() {
		text := list.Index(i).Field(id.index).String()
		if text == "" {
			continue
		}
		at := where.Item(i).Key("id")
		if before, taken := first[text]; taken {
			d.add(at.Problem(quoted(text)+" is already the id of another "+f.key+", in line "+strconv.Itoa(before.line()),
				"give each "+f.key+" an id of its own"))
			continue
		}
		first[text] = at
	}
}

// items reads one value, or each of a list. A bad item keeps its place in the
// list, so that counts stay right.
func items[T any](d *decoder, f *field, where Place, raw any, one func(*field, Place, any) T) []T {
	list, ok := raw.([]any)
	if !ok {
		return []T{one(f, where, raw)}
	}
	if len(list) == 0 {
		d.empty(f, where)
	}
	out := make([]T, len(list))
	for i, raw := range list {
		out[i] = one(f, where.Item(i), raw)
	}
	return out
}

func (d *decoder) empty(f *field, where Place) {
	hint := "leave the key out when there is nothing to say"
	if f.need {
		hint = f.key + ": " + f.about
	}
	d.add(where.Problem(f.key+" is empty", hint))
}

func (d *decoder) wrong(f *field, where Place, raw any) {
	needs := needed[f.kind]
	if where.node.name == "" { // an item of a list
		needs = map[kind]string{numbers: needed[aNumber], refs: needed[aRef]}[f.kind]
		needs = choose(needs == "", needed[f.kind], needs)
	}
	d.add(where.Problem(f.key+" is "+described(where, raw)+"; "+needs, wrongHint(f, where, raw)))
}

func (d *decoder) text(f *field, where Place, raw any, otherwise string) string {
	text, ok := raw.(string)
	if !ok {
		d.wrong(f, where, raw)
		return otherwise
	}
	if strings.TrimSpace(text) == "" {
		d.empty(f, where)
		return otherwise
	}
	if why, hint := badText(f, text); why != "" {
		d.add(where.Problem(f.key+" "+why, hint))
		if f.words != nil {
			where.node.refused = true
			return otherwise
		}
	}
	return text
}

func (d *decoder) texts(f *field, where Place, raw any) []string {
	list, ok := raw.([]any)
	if !ok {
		d.wrong(f, where, raw)
		return nil
	}
	if len(list) == 0 {
		d.empty(f, where)
	}
	one := *f
	one.kind = aText
	out := make([]string, len(list))
	for i, raw := range list {
		out[i] = d.text(&one, where.Item(i), raw, "")
	}
	return out
}

func (d *decoder) flag(f *field, where Place, raw any) bool {
	value, ok := raw.(bool)
	if !ok {
		d.wrong(f, where, raw)
	}
	return value
}

// smallest is the least number but 0 that is taken: what is smaller is a mistyped
// exponent, and its square and logarithm are lost in double precision.
const smallest = 1e-18

func (d *decoder) number(f *field, where Place, raw any) Number {
	n := Number{Place: where, Text: where.node.text}
	switch raw := raw.(type) {
	case int64:
		n.Value = float64(raw)
	case float64:
		n.Value = raw
	default:
		n.Text = ""
		d.wrong(f, where, raw)
		return n
	}
	switch {
	case math.IsNaN(n.Value) || math.IsInf(n.Value, 0):
		d.add(where.Problem(f.key+" is "+n.Text+", which no instrument shows", "leave the key out when there is no number"))
		n.Value, n.Text = 0, ""
	case n.Value != 0 && math.Abs(n.Value) < smallest && (f.bounds.holds(0) || f.bounds.holds(n.Value)):
		zero := choose(f.bounds.holds(0), ", or write 0", "")
		d.add(where.Problem(f.key+" is "+short(n.Text)+", too small to be anything measured", "check the exponent"+zero+"; "+f.key+": "+aboutWithUnit(f)))
	case !f.bounds.holds(n.Value):
		d.add(where.Problem(f.key+" is "+short(n.Text)+"; it has to be "+f.bounds.String(), f.key+": "+aboutWithUnit(f)))
	}
	return n
}

func (d *decoder) ref(f *field, where Place, raw any) Ref {
	return Ref{where, d.text(f, where, raw, "")}
}

func (d *decoder) date(f *field, where Place, raw any) string {
	if t, ok := raw.(time.Time); ok && t.Location().String() == "date-local" {
		return where.node.text
	}
	d.wrong(f, where, raw)
	return ""
}

// moment gives a moment as RFC 3339 has it: TOML also allows a blank or a small
// t between day and time, and leaving the seconds out.
func (d *decoder) moment(f *field, where Place, raw any) string {
	t, ok := raw.(time.Time)
	if !ok || strings.HasSuffix(t.Location().String(), "-local") {
		d.wrong(f, where, raw)
		return ""
	}
	const minutes = len("2026-10-09T14:05")
	text := where.node.text
	if len(text) < minutes {
		d.disagree(where, f.key)
		return ""
	}
	text = text[:10] + "T" + strings.ToUpper(text[11:])
	if len(text) == minutes || text[minutes] != ':' {
		text = text[:minutes] + ":00" + text[minutes:]
	}
	return text
}
