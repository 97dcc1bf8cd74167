package score

import "slices"

// trail is what a tune remembers of its reading, so that after an edit it can
// be read from the last line before the edit, and only until the reader is in
// the state that it was in before.
type trail struct {
	start int       // of the tune in the file
	lines int       // of the tune
	marks []mark    // in order of their lines; the last one stands after the last line
	read  []Problem // found while reading, in that order
	bars  []Problem // found in its bars after that, in that order
}

// mark is the state of the reader before a line of the body. A mark is dropped
// when a later line changes a bar that was done before it.
type mark struct {
	line   int // of the tune, from 0
	at     int // where it starts in the file
	places []voicePlace
	*standing
	problems, tempi, settings int // so far
	music, rests              int
}

// voicePlace is how far a voice has come at a mark.
type voicePlace struct {
	bars int  // done
	open Span // of the bar line that opens the next bar; it counts from the mark
}

const (
	marksApart   = 8  // lines between two marks, at least
	shortTune    = 24 // lines below which no marks are kept
	roomForMarks = 8  // that an edit adds
	voicesAMark  = 2  // lines that a voice more puts between two marks
)

// record keeps a mark before line i of the file where the reader is at rest.
func (r *reader) record(i int) {
	if r.trail == nil || !r.body {
		return
	}
	n := i - r.block.First
	if k := len(r.trail.marks); k > 0 && n < r.trail.marks[k-1].line+r.apart() || !r.atRest() {
		return
	}
	if f := r.file.Line(i).Field; f == 'w' || f == 's' {
		return
	}
	r.trail.marks = append(r.trail.marks, r.mark(n))
}

func (r *reader) apart() int { return max(marksApart, voicesAMark*len(r.voices)) }

// openEvents is how much may be open at a mark.
const openEvents = 256

// atRest says whether the reader stands between two bars of every voice with nothing
// begun that a later line would end. Only there may a reading be taken on: what is
// half done is not worth carrying over an edit.
func (r *reader) atRest() bool {
	for _, v := range r.voices {
		if v.started || len(v.ties) > 0 {
			return false
		}
	}
	return r.nothingWaits()
}

// canEnd says whether a mark may stand after the last line: a bar and ties may be
// open there, since nothing comes that could end them.
func (r *reader) canEnd() bool { return r.nothingWaits() }

// nothingWaits says whether no voice holds what belongs to notes still to come, and
// little enough at all to be kept.
func (r *reader) nothingWaits() bool {
	if r.last.code != 0 {
		return false
	}
	for _, v := range r.voices {
		if v.back > 0 || len(v.links) > 0 || len(v.graces) > 0 || len(v.marks) > 0 || v.slurOpen > 0 ||
			v.broken.Valid() || v.tuplet.left > 0 || max(len(v.events), len(v.slurs), len(v.slurCloses)) > openEvents {
			return false
		}
	}
	return true
}

func (r *reader) mark(n int) mark {
	m := mark{line: n, at: r.file.Start(r.block.First + n), problems: len(r.tune.Problems), tempi: len(r.tune.Tempi),
		settings: len(r.tune.Settings), music: r.music, rests: r.rests}
	m.places = take(r.placesFor(len(r.voices)), len(r.voices))
	for i, v := range r.voices {
		m.places[i].bars = v.out.list.n
		if v.open.Text != "" {
			m.places[i].open = v.open.Span.Shift(-m.at)
		}
	}
	m.standing = r.standing(&m)
	return m
}

// placesFor is room for at least so many places.
func (r *reader) placesFor(n int) *[]voicePlace {
	if n > len(r.places) {
		r.places = make([]voicePlace, max(n, 64))
	}
	return &r.places
}

// dropMarks tells the trail that a bar is changed that was done before: marks after it
// are dropped.
func (v *voice) dropMarks(r *reader, bar int) {
	if r.trail == nil || bar > v.out.list.n {
		return
	}
	marks := r.trail.marks
	for k := len(marks); k > 0 && len(marks[k-1].places) > v.index && marks[k-1].places[v.index].bars >= bar; k-- {
		marks = marks[:k-1]
	}
	r.trail.marks = marks
}

// clone gives a copy that shares nothing that may change. What no longer
// matters is cleared, so that equal states compare equal.
func (v *voice) clone() voice {
	c := *v
	out := *v.out
	out.list = barList{}
	c.out = &out
	c.bar.marks = cloned(v.bar.marks)
	c.events = cloneEvents(v.events)
	c.graces = cloneEvents(v.graces)
	c.marks = cloned(v.marks)
	c.acc, c.ties, c.links = cloned(v.acc), cloned(v.ties), cloned(v.links)
	c.slurs, c.slurCloses = cloned(v.slurs), cloned(v.slurCloses)
	c.shared, c.low, c.loose, c.body, c.room, c.notes = 0, 0, nil, body{}, nil, nil
	if !v.broken.Valid() {
		c.brokenSpan = Span{}
	}
	if v.tuplet.left == 0 {
		c.tuplet = tuplet{}
	} else if o := v.tuplet.outer; o != nil {
		outer := *o
		c.tuplet.outer = &outer
	}
	if !v.started {
		c.bar.start = 0
	}
	return c
}

func cloned[T any](s []T) []T {
	if len(s) == 0 {
		return nil
	}
	return slices.Clone(s)
}

func cloneEvents(events []Event) []Event {
	out := cloned(events)
	for i := range out {
		e := &out[i]
		e.Notes, e.Marks, e.Graces = cloned(e.Notes), slices.Clone(e.Marks), cloneEvents(e.Graces)
		for j := range e.Notes {
			e.Notes[j].Marks = slices.Clone(e.Notes[j].Marks)
		}
	}
	return out
}

// restart goes back to a mark of an old reading of the tune.
func (r *reader) restart(m *mark, old *Tune) {
	r.body, r.long = true, old.long
	r.stands = append(r.stands, m.standing)
	r.env, r.part, r.music, r.rests = m.env.own(), m.part, m.music, m.rests
	r.tune.Problems = cloned(old.trail.read[:m.problems])
	r.tune.Tempi = cloned(old.Tempi[:m.tempi])
	r.tune.Settings = cloned(old.Settings[:m.settings])
	r.tune.Number, r.tune.Title = m.number, m.title
	voices := m.restored()
	for i := range voices {
		v := &voices[i]
		done := m.places[i].bars
		if done > 0 {
			v.out.list.share(&old.Voices[i].list, 0, done, 0)
		}
		v.shared, v.low = done, done
		r.voices = append(r.voices, v)
		r.byID[v.out.ID] = v
		if i == m.voice {
			r.voice = v
		}
	}
}

// calm says whether nothing waits in the voices that a bar after a mark would keep relative
// to its own start: such a bar cannot be taken over when text before it grows.
func calm(voices []voice, from int) bool {
	for i := range voices {
		v := &voices[i]
		if v.started && v.bar.start < from || len(v.marks) > 0 || len(v.graces) > 0 || v.slurOpen > 0 {
			return false
		}
	}
	return true
}
