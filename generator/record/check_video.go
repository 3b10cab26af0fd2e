package record

// videos checks that each mark is in a video of the record. Marks of a record without
// a video are kept for the day when it has one: a log writes them before there is any.
func (k *checker) videos(r *Record) {
	if len(r.Videos) == 0 {
		for _, m := range r.Marks() {
			if id, _, _ := ParseMark(m.Text); id != "" {
				k.dangling(Ref{m.Place, id}, nil, "video", "this record")
			}
		}
		return
	}
	ids := make([]string, len(r.Videos))
	first := map[string]*Video{}
	for i := range r.Videos {
		v := &r.Videos[i]
		ids[i] = v.ID
		if v.Address == "" {
			continue
		}
		if before := first[v.Address]; before != nil {
			k.add(v.Key("address"), "give each video its own address, and marks in one video its id", "the videos %s and %s have one address", quoted(before.ID), quoted(v.ID))
		}
		first[v.Address] = v
	}
	for _, m := range r.Marks() {
		id, at, ok := ParseMark(m.Text)
		switch v, _ := r.Marked(m.Text); {
		case !ok: // told by the decoder
		case v == nil && id == "":
			k.add(m.Place, "name it before the time: "+quoted(choose(ids[0] == "", "…", ids[0])+" "+m.Text), "the unit has %s; %s doesn't say which it is in", counted(len(ids), "video"), quoted(m.Text))
		case v == nil:
			k.dangling(Ref{m.Place, id}, ids, "video", "this record")
		case v.Seconds() > 0 && at >= v.Seconds():
			k.add(m.Place, "look at the time in the video, and at its lasts", "%s is beyond the end of the video %s, which lasts %s", Clock(at), quoted(v.ID), v.Lasts)
		}
	}
}
