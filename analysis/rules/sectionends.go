package rules

import (
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
	whispers    bool      // bisbigliando is written in it
	unreached   []string  // keys that the levers do not reach where a note asks for it
}

// use is a note that asks for a pedal or a lever.
type use struct {
	of     int8 // the letter; the string on a lever harp, or one without discs
	pos    int8 // semitones from the natural
	marked bool // a pedal mark names the letter between the section that asks and here
	at     noteAt
	t      float64 // seconds from the start of its section; in Around see there
}

// noteAt says where a note stands, in numbers that no edit of other bars changes.
type noteAt struct {
	bar                int32
	voice              int16
	event, grace, note int16 // the number of the grace note's event, -1 for none
}

// Equal says whether two sections look the same to all others.
func (e Ends) Equal(o Ends) bool {
	return e.length == o.length && slices.Equal(e.first, o.first) && slices.Equal(e.last, o.last) && slices.Equal(e.tuned, o.tuned) &&
		slices.Equal(e.signs, o.signs) && e.named == o.named && e.marked == o.marked && e.full == o.full && e.dynamic == o.dynamic && e.whispers == o.whispers &&
		slices.Equal(e.unreached, o.unreached)
}

// endsOf reads the bars of a section for the others. The settings are those of the tune.
func endsOf(t *score.Tune, player Player, set Settings, sec Section) Ends {
	s := t.Stretch(sec.From, sec.To)
	tl := s.Timeline(score.TempoChoice{Override: set.Tempo, Default: set.DefaultTempo})
	voices := player.In(s).Voices()
	r := endsReader{set: set}
	r.length = tl.Seconds(sec.To+1, score.Zero)
	if len(voices) == 0 {
		return r.Ends
	}
	r.signs = signsOf(voices[0])
	for number := sec.From; number <= sec.To; number++ {
		for i, v := range s.Voices {
			if b := v.Bar(number); b != nil && slices.Contains(voices, v) {
				r.read(int16(i), int32(number), b)
			}
		}
		for i := range r.sweeps {
			r.sweep(&r.sweeps[i])
		}
		r.sweeps = r.sweeps[:0]
	}
	r.Ends.first, r.Ends.last, r.Ends.tuned = r.uses(&r.first, tl), r.uses(&r.last, tl), r.uses(&r.tuned, tl)
	return r.Ends
}

// endsReader reads the bars of a section, one after the other.
type endsReader struct {
	Ends
	set                Settings
	first, last, tuned [mostOf]offer
	marks              [feet.Letters]markAt // the first that names each letter
	dynamicAt          markAt
	sweeps             []sweep // of the bar that is being read
}

// mostOf is more than any letter or string.
const mostOf = 64

// offer is a use and its place in its bar.
type offer struct {
	use
	known bool
	onset score.Frac
	order int8 // within a place: grace notes, notes, glissandi
	key   [7]int8
}

const (
	ofGrace = iota
	ofNote
	ofSweep
)

// markAt is where something is written; bar 0 for nowhere.
type markAt struct {
	bar   int32
	onset score.Frac
}

// sweep is where a glissando begins or ends.
type sweep struct {
	at    noteAt
	onset score.Frac
	key   *score.Key
}

// before says whether an offer comes before another.
func (o *offer) before(p *offer) bool {
	if o.at.bar != p.at.bar {
		return o.at.bar < p.at.bar
	}
	if c := o.onset.Cmp(p.onset); c != 0 {
		return c < 0
	}
	return o.order < p.order
}

// read reads a bar of a voice.
func (r *endsReader) read(voice int16, number int32, b *score.Bar) {
	events := b.Events()
	for e := range events {
		ev := &events[e]
		if len(ev.Marks) > 0 {
			r.readMarks(ev, number)
		}
		if ev.Kind != score.Sound || !ev.Onset.Valid() {
			continue
		}
		at := noteAt{number, voice, int16(e), -1, 0}
		for g := range ev.Graces {
			at.grace = int16(g)
			r.readNotes(&ev.Graces[g], ev.Onset, at, ofGrace, &b.Key)
		}
		at.grace = -1
		r.readNotes(ev, ev.Onset, at, ofNote, &b.Key)
		if len(ev.Marks) > 0 && (hands.GlissandoStarts(ev) || hands.GlissandoEnds(ev)) {
			r.sweeps = append(r.sweeps, sweep{at, ev.Onset, &b.Key})
		}
	}
}

func (r *endsReader) readMarks(ev *score.Event, number int32) {
	at := markAt{number, ev.Onset}
	for _, m := range ev.Marks {
		if m.Kind == score.Decoration && dynamics[m.Text] {
			if !at.before(r.dynamicAt) {
				r.dynamic, r.dynamicAt = m.Text, at
			}
			continue
		}
		r.whispers = r.whispers || m.Kind == score.Annotation && bisbigliandoWords.MatchString(m.Text)
		if s, full, ok := pedalMarkOf(m); ok {
			r.marked, r.full = true, r.full || full
			for l, pos := range s {
				if pos == feet.Free {
					continue
				}
				r.named[l] = true
				if r.marks[l].bar == 0 || at.before(r.marks[l]) {
					r.marks[l] = at
				}
			}
		}
	}
}

func (m markAt) before(o markAt) bool {
	return m.bar < o.bar || m.bar == o.bar && m.onset.Less(o.onset)
}

// readNotes counts the notes of an event in.
func (r *endsReader) readNotes(ev *score.Event, onset score.Frac, at noteAt, order int8, key *score.Key) {
	for n := range ev.Notes {
		note := &ev.Notes[n]
		if note.TieFrom || !r.set.Instrument.Has(note.String) || note.String < 0 || note.String >= mostOf {
			continue
		}
		at.note = int16(n)
		o := offer{use: use{of: int8(note.String), pos: int8(note.Alter), at: at}, known: true, onset: onset, order: order, key: key.Sign}
		l := letterOf(note)
		switch {
		case r.set.Instrument.Levers:
			if raised := note.Alter - int(r.set.Instrument.Open[l]); raised >= 0 && raised <= 1 {
				r.ask(&o)
			} else if int(key.Sign[l]) == note.Alter && !slices.Contains(r.unreached, key.Text) {
				r.unreached = append(r.unreached, key.Text)
			}
		case r.set.Instrument.Fixed(note.String):
			putFirst(&r.tuned, &o)
		case feet.Pos(note.Alter).Valid():
			o.of = int8(l)
			r.ask(&o)
		}
	}
}

// ask counts a use in.
func (r *endsReader) ask(o *offer) {
	putFirst(&r.first, o)
	if last := &r.last[o.of]; !last.known || !o.before(last) {
		*last = *o
	}
}

func putFirst(list *[mostOf]offer, o *offer) {
	if first := &list[o.of]; !first.known || o.before(first) {
		*first = *o
	}
}

// sweep lets a glissando ask for all seven letters: those that were used in the section
// and key stand so, the others as the key has them. (In the section itself holdGlissandi
// says it exactly.)
func (r *endsReader) sweep(s *sweep) {
	if !r.set.Instrument.Pedals {
		return
	}
	for l, sign := range settingOfKey(*s.key) {
		o := offer{use: use{of: int8(l), pos: int8(sign), at: s.at}, known: true, onset: s.onset, order: ofSweep, key: s.key.Sign}
		if last := &r.last[l]; last.known && last.key == s.key.Sign {
			o.pos = last.pos
		}
		r.ask(&o)
	}
}

// uses lists what is asked for.
func (r *endsReader) uses(list *[mostOf]offer, tl *score.Timeline) (out []use) {
	for i := range list {
		o := &list[i]
		if !o.known {
			continue
		}
		o.t = tl.Seconds(int(o.at.bar), o.onset)
		if r.set.Instrument.Pedals && i < feet.Letters {
			m := r.marks[i]
			o.marked = m.bar > 0 && !(markAt{o.at.bar, o.onset}).before(m)
		}
		out = append(out, o.use)
	}
	return out
}
