package score

// sink takes the notes of a tune as they are read, for a reading that keeps no
// bars. Events come in the order written; those of one bar may come in several
// calls, so that a bar without end needs no memory.
type sink interface {
	notes(v *voice, bar int, events []Event)
	// barEnd says how long a bar has become.
	barEnd(v *voice, bar int, length Frac)
	// named gives the sink's name of a note of the events handed over last.
	named(events []Event, event, note int) int
	// extend lengthens a note.
	extend(v *voice, name int, by Frac)
}

// sinkEvents is how many events of a bar wait before they go to the sink.
const sinkEvents = 64

// flush hands all events but the last few over, ties joined as far as they are
// known.
func (v *voice) flush(r *reader, keep int) {
	n := len(v.events) - keep
	if n <= 0 {
		return
	}
	for i := range v.events[:n] {
		notes := v.events[i].Notes
		for j := range notes {
			notes[j].Joined = notes[j].Duration
		}
	}
	links := v.links[:0]
	for _, l := range v.links {
		if l.note.bar != v.number || l.note.event >= n {
			links = append(links, l)
			continue
		}
		by := v.events[l.note.event].Notes[l.note.note].Duration
		if l.head.name >= 0 {
			r.sink.extend(v, l.head.name, by)
		} else {
			h := &v.events[l.head.event].Notes[l.head.note]
			h.Joined = sum(h.Joined, by)
		}
	}
	v.links = links
	r.sink.notes(v, v.number, v.events[:n])
	for i := range v.links {
		v.rename(r, &v.links[i].head, n)
		if v.links[i].note.bar == v.number {
			v.links[i].note.event -= n
		}
	}
	for i := range v.ties {
		t := &v.ties[i]
		v.rename(r, &t.head, n)
		if t.origin.bar == v.number {
			t.origin.event -= n
		}
	}
	copy(v.events, v.events[n:])
	v.events = v.events[:keep]
	v.last -= n
}

// rename gives a head that has gone to the sink the sink's name.
func (v *voice) rename(r *reader, head *noteRef, n int) {
	if head.name >= 0 || head.bar != v.number {
		return
	}
	if head.event < n {
		head.name = r.sink.named(v.events, head.event, head.note)
		return
	}
	head.event -= n
}
