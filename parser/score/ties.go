package score

// noteRef says where a note of the voice is: bar number, event, note. In a
// reading that keeps no bars, the sink names it once it has got it; -1 before.
type noteRef struct{ bar, event, note, name int }

// maxTies bounds the ties open at one time in a voice: more than any hand can
// hold, and few enough to look through for every note.
const maxTies = 256

// openTie waits for its second note.
type openTie struct {
	layer  int
	str    int // the note's line or space, as Note.String
	alter  int
	midi   int
	origin noteRef
	head   noteRef // the first of the chain
	span   Span    // of the file
}

// tieLink adds a tied note's duration to the first of its chain.
type tieLink struct{ head, note noteRef }

// tieNote opens a tie from a note of the last event.
func (v *voice) tieNote(note int, span Span) {
	if len(v.ties) >= maxTies {
		return
	}
	n := &v.events[v.last].Notes[note]
	at := noteRef{bar: v.number, event: v.last, note: note, name: -1}
	t := openTie{layer: v.layer, str: n.String, alter: n.Alter, midi: n.Midi, origin: at, head: at, span: span}
	if n.TieFrom {
		for i := len(v.links) - 1; i >= 0 && v.links[i].note.event == v.last; i-- {
			if v.links[i].note.note == note {
				t.head = v.links[i].head
			}
		}
	}
	v.ties = append(v.ties, t)
}

// carried gives the alteration that a tie from the bar before brings to a note
// without an accidental of its own.
func (v *voice) carried(str int) (int, bool) {
	for i := range v.ties {
		if t := &v.ties[i]; t.str == str && v.reaches(t) {
			return t.alter, true
		}
	}
	return 0, false
}

// reaches says whether a tie can end on the event that comes now: the next one
// of its layer, or one at the start of the next bar, whose layers may be
// written in another order.
func (v *voice) reaches(t *openTie) bool {
	return v.continues(t, v.layer, v.pos)
}

// aside says whether a tie begins in a bar that `&&` has put aside: it waits there,
// for no music goes back in time.
func (v *voice) aside(t *openTie) bool { return t.origin.bar > v.number }

// continues says whether music of a layer at a place of the bar can take a tie up: in
// the tie's own bar only in its own layer, in a later one only at the start.
func (v *voice) continues(t *openTie, layer int, at Frac) bool {
	if t.origin.bar == v.number {
		return t.layer == layer
	}
	return !v.aside(t) && at.Sign() == 0
}

// endTies joins the open ties to the event just placed, and drops those of its
// layer that it does not continue.
func (v *voice) endTies(r *reader, e *Event) {
	if len(v.ties) == 0 {
		return
	}
	kept := v.ties[:0]
	var lost []openTie
	at := noteRef{bar: v.number, event: v.last, name: -1}
	for _, t := range v.ties {
		if v.aside(&t) {
			kept = append(kept, t)
			continue
		}
		matched := false
		if v.continues(&t, e.Layer, e.Onset) {
			for i := range e.Notes {
				n := &e.Notes[i]
				if n.String == t.str && n.Midi == t.midi && !n.TieFrom {
					at.note = i
					n.TieFrom, matched = true, true
					v.links = append(v.links, tieLink{t.head, at})
					v.markTied(r, t.origin)
					break
				}
			}
		}
		switch {
		case matched:
		case t.layer == e.Layer && (t.layer == 0 || t.origin.bar == v.number):
			lost = append(lost, t)
		default:
			kept = append(kept, t)
		}
	}
	v.ties = kept
	v.reportLost(r, lost)
}

func (v *voice) markTied(r *reader, at noteRef) {
	if r.sink != nil {
		return
	}
	switch {
	case at.bar == v.number:
		v.events[at.event].Notes[at.note].TieTo = true
	case at.bar <= v.out.list.n:
		v.note(r, at).TieTo = true
	}
}

// restTies drops the ties of the layer that a rest cuts. A hidden rest keeps
// those that another layer of the bar may still take up.
func (v *voice) restTies(r *reader, hidden bool) {
	v.loseTies(r, func(t openTie) bool {
		return t.layer == v.layer && (t.layer == 0 || t.origin.bar == v.number) && !(hidden && t.origin.bar < v.number)
	})
}

// dropLateTies reports the ties that the bar just closed did not take up.
func (v *voice) dropLateTies(r *reader) {
	v.loseTies(r, func(t openTie) bool { return t.origin.bar < v.number-1 })
}

func (v *voice) loseTies(r *reader, gone func(openTie) bool) {
	if len(v.ties) == 0 {
		return
	}
	kept := v.ties[:0]
	var lost []openTie
	for _, t := range v.ties {
		if gone(t) {
			lost = append(lost, t)
		} else {
			kept = append(kept, t)
		}
	}
	v.ties = kept
	v.reportLost(r, lost)
}

func (v *voice) reportLost(r *reader, lost []openTie) {
	for _, t := range lost {
		r.problemAt(RuleTie, v.out.ID, t.origin.bar, t.span,
			"The tie on "+pitchName(t.str, t.alter)+" reaches no note of the same pitch: tie it to the same note, or use a slur `( )`.")
	}
}
