package rules

import (
	"cmp"
	"slices"

	"fourfold/analysis/feet"
	"fourfold/analysis/hands"
	"fourfold/parser/score"
)

// Ends is what the bars of a section hold that other sections ask about: where each pedal
// or lever is first and last needed, what is written over the music. It is read from the
// events alone, without hands.
type Ends struct {
	length      float64   // seconds that the bars last
	first, last []use     // of each letter, or of each string of a lever harp; in order of these
	tuned       []use     // the first on each string without discs
	signs       []barSign // bars at which a player may jump
	named       [7]bool   // letters that a pedal mark names
	marked      bool      // there are pedal marks
	full        bool      // one of them gives all seven
	dynamic     string    // the last one; "" for none
	unreached   []string  // keys that the levers do not reach where a note asks for it
}

// use is a note that asks for a pedal or a lever.
type use struct {
	of     int     // the letter; the string on a lever harp, or one without discs
	pos    int8    // semitones from the natural
	t      float64 // seconds from the start of its section; in Around see there
	at     noteAt
	marked bool // a pedal mark names the letter between the section that asks and here
}

// noteAt says where a note stands, in numbers that no edit of other bars changes.
type noteAt struct {
	voice, bar         int
	event, grace, note int // the number of the grace note's event, -1 for none
}

// Equal says whether two sections look the same to all others.
func (e Ends) Equal(o Ends) bool {
	return e.length == o.length && slices.Equal(e.first, o.first) && slices.Equal(e.last, o.last) && slices.Equal(e.tuned, o.tuned) &&
		slices.Equal(e.signs, o.signs) && e.named == o.named && e.marked == o.marked && e.full == o.full && e.dynamic == o.dynamic &&
		slices.Equal(e.unreached, o.unreached)
}

// endsOf reads the bars of a section for the others. The settings are those of the tune.
func endsOf(t *score.Tune, player Player, set Settings, sec Section) Ends {
	s := t.Stretch(sec.From, sec.To)
	tl := s.Timeline(score.TempoChoice{Override: set.Tempo, Default: set.DefaultTempo})
	voices := player.In(s).Voices()
	r := endsReader{set: set, first: map[int]use{}, last: map[int]use{}, tuned: map[int]use{}}
	r.length = tl.Seconds(sec.To+1, score.Zero)
	if len(voices) == 0 {
		return r.Ends
	}
	r.signs = signsOf(voices[0])
	for number := sec.From; number <= sec.To; number++ {
		r.bar = r.bar[:0]
		for i, v := range s.Voices {
			if b := v.Bar(number); b != nil && slices.Contains(voices, v) {
				r.gather(i, number, b)
			}
		}
		slices.SortStableFunc(r.bar, func(a, b written) int { return cmp.Or(a.onset.Cmp(b.onset), cmp.Compare(a.order, b.order)) })
		for i := range r.bar {
			r.bar[i].t = tl.Seconds(number, r.bar[i].onset)
			r.take(&r.bar[i])
		}
	}
	r.Ends.first, r.Ends.last, r.Ends.tuned = inOrderOf(r.first), inOrderOf(r.last), inOrderOf(r.tuned)
	return r.Ends
}

// endsReader reads the bars of a section, one after the other.
type endsReader struct {
	Ends
	set                Settings
	first, last, tuned map[int]use
	bar                []written  // what asks for something in the bar being read
	keys               [7][7]int8 // the key in which each letter was last used
}

// written is what asks for something at one place of a bar.
type written struct {
	use
	onset   score.Frac
	order   int          // within a place: marks, grace notes, notes, glissandi
	mark    feet.Setting // of a mark
	key     *score.Key   // in force
	dynamic string
}

const (
	ofMark = iota
	ofGrace
	ofNote
	ofSweep
)

// gather lists what a bar of a voice asks for.
func (r *endsReader) gather(voice, number int, b *score.Bar) {
	events := b.Events()
	for e := range events {
		ev := &events[e]
		r.gatherMarks(ev)
		if ev.Kind != score.Sound || !ev.Onset.Valid() {
			continue
		}
		at := noteAt{voice, number, e, -1, 0}
		for g := range ev.Graces {
			at.grace = g
			r.gatherNotes(&ev.Graces[g], ev.Onset, at, ofGrace, &b.Key)
		}
		at.grace = -1
		r.gatherNotes(ev, ev.Onset, at, ofNote, &b.Key)
		if len(ev.Marks) > 0 && (hands.GlissandoStarts(ev) || hands.GlissandoEnds(ev)) {
			r.bar = append(r.bar, written{use: use{at: at}, onset: ev.Onset, order: ofSweep, key: &b.Key})
		}
	}
}

func (r *endsReader) gatherMarks(ev *score.Event) {
	for _, m := range ev.Marks {
		w := written{onset: ev.Onset, order: ofMark, mark: feet.AllFree()}
		if m.Kind == score.Decoration && dynamics[m.Text] {
			w.dynamic = m.Text
		} else if s, full, ok := pedalMarkOf(m); ok {
			w.mark, r.marked, r.full = s, true, r.full || full
		} else {
			continue
		}
		r.bar = append(r.bar, w)
	}
}

func (r *endsReader) gatherNotes(ev *score.Event, onset score.Frac, at noteAt, order int, key *score.Key) {
	for n := range ev.Notes {
		note := &ev.Notes[n]
		if note.TieFrom || !r.set.Instrument.Has(note.String) {
			continue
		}
		at.note = n
		r.bar = append(r.bar, written{use: use{of: note.String, pos: int8(note.Alter), at: at}, onset: onset, order: order, key: key})
	}
}

// take counts one thing in, in order of the music.
func (r *endsReader) take(w *written) {
	switch {
	case w.order == ofMark:
		if w.dynamic != "" {
			r.dynamic = w.dynamic
		}
		for l, pos := range w.mark {
			r.named[l] = r.named[l] || pos != feet.Free
		}
	case w.order == ofSweep:
		r.sweep(w)
	case r.set.Instrument.Levers:
		r.takeLever(w)
	case r.set.Instrument.Fixed(w.of):
		putFirst(r.tuned, w.use)
	case feet.Pos(w.pos).Valid():
		w.of = letterOfString(w.of)
		r.keys[w.of] = w.key.Sign
		r.ask(w.use)
	}
}

// ask counts a use in.
func (r *endsReader) ask(u use) {
	if !r.set.Instrument.Levers {
		u.marked = r.named[u.of]
	}
	putFirst(r.first, u)
	r.last[u.of] = u
}

func putFirst(list map[int]use, u use) {
	if _, known := list[u.of]; !known {
		list[u.of] = u
	}
}

// sweep lets a glissando ask for all seven letters: those that were used before it in
// the section and key stand so, the others as the key has them. (In the section itself
// holdGlissandi says it exactly.)
func (r *endsReader) sweep(w *written) {
	if r.set.Instrument.Levers || !r.set.Instrument.Pedals {
		return
	}
	for l, sign := range settingOfKey(*w.key) {
		u := w.use
		u.of, u.pos = l, int8(sign)
		if last, known := r.last[l]; known && r.keys[l] == w.key.Sign {
			u.pos = last.pos
		}
		r.keys[l] = w.key.Sign
		r.ask(u)
	}
}

// takeLever counts a note of a lever harp in.
func (r *endsReader) takeLever(w *written) {
	raised := int(w.pos) - int(r.set.Instrument.Open[letterOfString(w.of)])
	if raised >= 0 && raised <= 1 {
		r.ask(w.use)
		return
	}
	if w.key.Sign[letterOfString(w.of)] == w.pos && !slices.Contains(r.unreached, w.key.Text) {
		r.unreached = append(r.unreached, w.key.Text)
	}
}

// inOrderOf lists uses by what they are of.
func inOrderOf(of map[int]use) []use {
	list := make([]use, 0, len(of))
	for _, u := range of {
		list = append(list, u)
	}
	slices.SortFunc(list, func(a, b use) int { return cmp.Compare(a.of, b.of) })
	return list
}
