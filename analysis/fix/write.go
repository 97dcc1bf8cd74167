package fix

import (
	"bytes"
	"sort"
	"strings"

	"fourfold/analysis/hands"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// written is a change put into the text and read again.
type written struct {
	edits  []score.Edit
	text   []byte
	tune   *score.Tune
	warned bool // of an error: a warning comes in its place
}

// write puts a change into the text. Accidentals are written where the new notes
// need them, and before later notes of the bar, so that all other notes sound as
// before. The refusal says why it cannot be done; "" where it can.
func (s *site) write(c change) (written, refusal) {
	w := &writer{site: s, change: c, marked: map[place]bool{}}
	if len(c.give) > 0 {
		if w.receiver = s.receiver(); w.receiver < 0 {
			return written{}, noOtherStaff
		}
	}
	w.keepMarks()
	expect := s.expected(c, w.receiver)
	for range 6 {
		w.events = map[noteAt]*eventEdit{}
		edits, why := w.edits(expect)
		if why != "" {
			return written{}, why
		}
		text := score.Apply(s.text, edits)
		after := score.Build(syntax.Parse(text))
		if len(after.Tunes) != len(s.score.Tunes) || len(after.Tunes[s.index].Voices) != len(s.tune.Voices) {
			return written{}, textBreaks
		}
		tune := after.Tunes[s.index]
		wrong, ok := differing(expect, soundsOf(tune))
		if !ok {
			return written{}, textBreaks
		}
		if len(wrong) == 0 {
			return written{edits: edits, text: text, tune: tune}, ""
		}
		for _, p := range wrong {
			if p.grace > 0 || w.marked[p] {
				return written{}, accidentalClash
			}
			w.marked[p] = true
		}
	}
	return written{}, accidentalClash
}

// receiver is the voice that takes notes given to the other hand: the first of
// its staff; -1 where there is none.
func (s *site) receiver() int {
	if s.other == nil {
		return -1
	}
	staff := s.part.Player.Upper
	if s.other == s.part.Left {
		staff = s.part.Player.Lower
	}
	for v, voice := range s.tune.Voices {
		if len(staff) > 0 && voice == staff[0] {
			return v
		}
	}
	return -1
}

// writer turns a change into edits.
type writer struct {
	*site
	change
	receiver int
	marked   map[place]bool // notes that bear an accidental
	events   map[noteAt]*eventEdit
}

// eventEdit is what changes at one note, chord or rest.
type eventEdit struct {
	heads map[int]string // by note
	gone  map[int]bool
	added []added
}

type added struct {
	str  int
	text string
}

// keepMarks lets notes that bore an accidental bear one in their new place.
func (w *writer) keepMarks() {
	for at, p := range w.pitch {
		if w.note(at).Explicit || p.alter != w.note(at).Alter {
			is := w.placeOf(w.tune, at)
			is.str = p.str
			w.marked[is] = int(w.bar(at).Key.Sign[((p.str%7)+7)%7]) != p.alter || w.note(at).Explicit && p.alter == w.note(at).Alter
		}
	}
	for at := range w.give {
		p := w.placeOf(w.tune, at)
		p.voice = w.receiver
		w.marked[p] = w.note(at).Explicit
	}
}

// of gives the edit of the event that a note stands in.
func (w *writer) of(at noteAt) *eventEdit {
	at.note = 0
	if w.events[at] == nil {
		w.events[at] = &eventEdit{heads: map[int]string{}, gone: map[int]bool{}}
	}
	return w.events[at]
}

func (w *writer) edits(expect sounds) (out []score.Edit, why refusal) {
	for at, p := range w.pitch {
		text, ok := w.head(at.voice, at.bar, p, w.marked[placed(w.placeOf(w.tune, at), p.str)])
		if !ok {
			return nil, accidentalClash
		}
		w.of(at).heads[at.note] = text
	}
	for _, notes := range []map[noteAt]bool{w.drop, w.give} {
		for at := range notes {
			w.of(at).gone[at.note] = true
		}
	}
	w.mark(expect)
	if len(w.give) > 0 {
		if out, why = w.receive(); why != "" {
			return nil, why
		}
	}
	for at, e := range w.events {
		more, why := w.rewritten(at, e)
		if why != "" {
			return nil, why
		}
		out = append(out, more...)
	}
	out = append(w.joinRests(out), w.marks...)
	sort.Slice(out, func(i, j int) bool { return out[i].Span.Start < out[j].Span.Start })
	for i := 1; i < len(out); i++ {
		if out[i].Span.Start < out[i-1].Span.End {
			return nil, textBreaks
		}
	}
	return out, ""
}

func placed(p place, str int) place {
	p.str = str
	return p
}

// mark writes accidentals before notes that the change leaves alone.
func (w *writer) mark(expect sounds) {
	for p, on := range w.marked {
		if !on || p.bar >= w.tune.Voices[p.voice].Len() {
			continue
		}
		bar := &w.tune.Voices[p.voice].Bars()[p.bar]
		for e := range bar.Events() {
			ev := &bar.Events()[e]
			if ev.Onset != p.onset || ev.Expanded {
				continue
			}
			for n := range ev.Notes {
				at := noteAt{p.voice, p.bar, e, n}
				if _, moved := w.pitch[at]; moved || ev.Notes[n].String != p.str || w.give[at] || w.drop[at] {
					continue
				}
				if text, ok := w.head(p.voice, p.bar, pitchOf(&ev.Notes[n]), true); ok {
					w.of(at).heads[n] = text
				}
			}
		}
	}
}

// rewritten writes one event anew: its heads alone where no note comes or goes.
func (w *writer) rewritten(at noteAt, e *eventEdit) (out []score.Edit, why refusal) {
	bar, ev := w.bar(at), w.event(at)
	if ev.Expanded {
		return nil, fromMacro
	}
	if len(e.gone) == 0 && len(e.added) == 0 {
		for n, text := range e.heads {
			out = append(out, score.Edit{Span: ev.Notes[n].Head.Shift(bar.Start), Text: text})
		}
		return out, ""
	}
	if why := w.mayChange(ev, e); why != "" {
		return nil, why
	}
	if len(e.gone) == len(ev.Notes) && len(e.added) == 0 && w.isSung(bar.Start+ev.Span.Start) {
		return nil, wordsUnder
	}
	texts := w.noteTexts(bar, ev, e)
	text := "[" + strings.Join(texts, "") + "]"
	switch len(texts) {
	case 0:
		text = "z"
	case 1:
		text = texts[0]
	}
	return []score.Edit{{Span: core(w.site.text, bar, ev).Shift(bar.Start), Text: text}}, ""
}

// noteTexts are the notes that an event has after the edit, those that come in
// before the first that lies above them.
func (w *writer) noteTexts(bar *score.Bar, ev *score.Event, e *eventEdit) (texts []string) {
	sort.Slice(e.added, func(i, j int) bool { return e.added[i].str < e.added[j].str })
	rest := e.added
	for n := range ev.Notes {
		if e.gone[n] {
			continue
		}
		for len(rest) > 0 && rest[0].str < ev.Notes[n].String {
			texts, rest = append(texts, rest[0].text), rest[1:]
		}
		text, ok := e.heads[n]
		if !ok {
			text = w.typed(bar, ev.Notes[n].Head)
		}
		texts = append(texts, text)
	}
	for _, a := range rest {
		texts = append(texts, a.text)
	}
	return texts
}

// core is the part of an event that holds its pitches: a note's head, a chord's
// brackets with what is in them. It counts from the bar.
func core(text []byte, bar *score.Bar, ev *score.Event) score.Span {
	if !ev.Chord {
		return ev.Notes[0].Head
	}
	at := ev.Span.Shift(bar.Start)
	return score.Span{Start: ev.Span.Start, End: ev.Span.Start + bytes.LastIndexByte(text[at.Start:at.End], ']') + 1}
}

// mayChange says why notes cannot come into an event or leave it.
func (w *writer) mayChange(ev *score.Event, e *eventEdit) refusal {
	for n := range ev.Notes {
		note := &ev.Notes[n]
		switch {
		case e.gone[n] && (note.TieTo || note.TieFrom), note.TieTo && len(e.added) > 0:
			return tieBreaks
		case ev.Chord && (len(note.Marks) > 0 || note.Span != note.Head):
			return marksInside
		}
	}
	if hasFinger(ev) {
		return printedFinger
	}
	if len(e.gone) < len(ev.Notes) {
		return ""
	}
	switch {
	case len(e.added) > 0:
		return textBreaks
	case ev.SlurOpen > 0 || ev.SlurClose > 0:
		return slurBreaks
	case len(ev.Graces) > 0:
		return graceBreaks
	}
	for _, m := range ev.Marks {
		if m.Kind == score.Decoration {
			return decorationBreaks
		}
	}
	return ""
}

func tied(pl hands.Pluck) bool { return pl.Note.TieTo || pl.Note.TieFrom }

func hasFinger(ev *score.Event) bool {
	for _, m := range ev.Marks {
		if m.Kind == score.Decoration && len(m.Text) == 1 && m.Text[0] >= '0' && m.Text[0] <= '5' {
			return true
		}
	}
	return false
}
