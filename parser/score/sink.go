package score

// sink takes the bars of a tune as they close, for a reading that keeps none.
type sink interface {
	// bar gets a finished bar.
	bar(v *voice, number int, length Frac, events []Event)
	// named gives the sink's name of a note of the bar just handed over.
	named(events []Event, event, note int) int
	// extend lengthens a note.
	extend(v *voice, flat int, by Frac)
}

func (v *voice) sinkBar(r *reader) {
	for _, l := range v.links {
		if l.head.bar == v.number && l.head.flat < 0 {
			h := &v.events[l.head.event].Notes[l.head.note]
			h.Joined = sum(h.Joined, v.events[l.note.event].Notes[l.note.note].Duration)
		}
	}
	r.sink.bar(v, v.number, v.bar.Length, v.events)
	for _, l := range v.links {
		if l.head.flat >= 0 {
			r.sink.extend(v, l.head.flat, v.events[l.note.event].Notes[l.note.note].Duration)
		}
	}
	v.links = v.links[:0]
	for i := range v.ties {
		if h := &v.ties[i].head; h.flat < 0 && h.bar == v.number {
			h.flat = r.sink.named(v.events, h.event, h.note)
		}
	}
}
