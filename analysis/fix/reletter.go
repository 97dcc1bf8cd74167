package fix

import (
	"context"
	"sort"

	"fourfold/parser/score"
)

// spot names a note of a tune, grace notes too: indices of its voice, bar, event and
// note; grace is 0 for a note of the event itself, else which grace note, from 1.
type spot struct{ voice, bar, event, grace, note int }

// eachNote visits all notes of a tune, grace notes before their event's own.
func eachNote(t *score.Tune, visit func(spot, *score.Bar, *score.Event, *score.Note)) {
	for v, voice := range t.Voices {
		for b := range voice.Bars() {
			bar := &voice.Bars()[b]
			for e := range bar.Events() {
				ev := &bar.Events()[e]
				for g := range ev.Graces {
					for n := range ev.Graces[g].Notes {
						visit(spot{v, b, e, g + 1, n}, bar, ev, &ev.Graces[g].Notes[n])
					}
				}
				for n := range ev.Notes {
					visit(spot{v, b, e, 0, n}, bar, ev, &ev.Notes[n])
				}
			}
		}
	}
}

// mostRounds bounds how often accidentals are added: one of a letter in a bar each
// time.
const mostRounds = 64

// reletter writes notes of a tune on other strings that sound the same, wherever in
// the tune they stand, beside edits of its fields. Accidentals are written where the
// music would else sound otherwise. The refusal is "" where it can be done.
func (s *scope) reletter(to map[spot]pitch, fields []score.Edit) (Text, refusal) {
	if sung := s.cannotWrite(to); sung != "" {
		return Text{}, sung
	}
	marked := map[spot]bool{}
	for range mostRounds {
		edits := append(s.heads(to, marked), fields...)
		sort.Slice(edits, func(i, j int) bool {
			a, b := edits[i].Span, edits[j].Span
			return a.Start < b.Start || a.Start == b.Start && a.End < b.End
		})
		for i := 1; i < len(edits); i++ {
			if edits[i].Span.Start < edits[i-1].Span.End {
				return Text{}, textBreaks
			}
		}
		after := s.edited(edits)
		if len(after.Score.Tunes) != len(s.Score.Tunes) || !sameRhythm(s.tune, after.Score.Tunes[s.index]) {
			return Text{}, textBreaks
		}
		wrong, why := s.sounding(after.Score.Tunes[s.index], to)
		if why != "" {
			return Text{}, why
		}
		if len(wrong) == 0 {
			return s.tidied(after, to), ""
		}
		for _, at := range wrong {
			if marked[at] {
				return Text{}, accidentalClash
			}
			marked[at] = true
		}
	}
	return Text{}, accidentalClash
}

// cannotWrite is a refusal where a note to be written comes from a macro.
func (s *scope) cannotWrite(to map[spot]pitch) (why refusal) {
	eachNote(s.tune, func(at spot, _ *score.Bar, ev *score.Event, _ *score.Note) {
		if _, ok := to[at]; ok && ev.Expanded {
			why = fromMacro
		}
	})
	return why
}

// edited is the text after edits, read again between the first and the last of them.
func (s *scope) edited(edits []score.Edit) Text {
	if len(edits) == 0 {
		return Text{File: s.File, Score: s.Score, Settings: s.Settings}
	}
	text := s.File.Text()
	from, to := len(text), 0
	for _, e := range edits {
		from, to = min(from, e.Span.Start), max(to, e.Span.End)
	}
	after := score.Apply(text, edits)
	file := s.File.Edit(from, to, after[from:len(after)-(len(text)-to)])
	return Text{File: file, Score: score.Update(s.Score, s.File, file), Settings: s.Settings}
}

// heads writes the notes that change, and accidentals before those that are marked.
func (s *scope) heads(to map[spot]pitch, marked map[spot]bool) (edits []score.Edit) {
	text := s.File.Text()
	eachNote(s.tune, func(at spot, bar *score.Bar, ev *score.Event, n *score.Note) {
		p, moved := to[at]
		if !moved {
			p = pitchOf(n)
		}
		span := n.Head.Shift(bar.Start)
		if !moved && !marked[at] || ev.Expanded || span.Start < 0 || span.End > len(text) {
			return
		}
		was, ok := writtenString(string(text[span.Start:span.End]))
		if !ok || p.alter < -2 || p.alter > 2 {
			return
		}
		head := letter(p.str - n.String + was)
		if marked[at] {
			head = accidentals[p.alter+2] + head
		}
		edits = append(edits, score.Edit{Span: span, Text: head})
	})
	return edits
}

// sounding lists the notes that sound otherwise than they should: of each letter in a
// bar the first, as an accidental there may mend the rest.
func (s *scope) sounding(is *score.Tune, to map[spot]pitch) (wrong []spot, why refusal) {
	got := map[spot]pitch{}
	eachNote(is, func(at spot, _ *score.Bar, _ *score.Event, n *score.Note) { got[at] = pitchOf(n) })
	type letterOf struct{ voice, bar, letter int }
	seen := map[letterOf]bool{}
	notes := 0
	eachNote(s.tune, func(at spot, _ *score.Bar, ev *score.Event, n *score.Note) {
		notes++
		want, moved := to[at]
		if !moved {
			want = pitchOf(n)
		}
		have, ok := got[at]
		switch l := (letterOf{at.voice, at.bar, want.str % 7}); {
		case !ok || have.str != want.str:
			why = textBreaks
		case have.alter != want.alter && !seen[l]:
			seen[l] = true
			wrong = append(wrong, at)
			if ev.Expanded {
				why = fromMacro
			}
		}
	})
	if notes != len(got) {
		why = textBreaks
	}
	return wrong, why
}

// worseAfter gives the bars (from 0) in which the tune, read again, has warnings or
// errors that it had not. It fails only when the context ends.
func (s *scope) worseAfter(ctx context.Context, after Text) (bars map[int]bool, err error) {
	type place struct {
		rule, voice string
		bar         int
	}
	count := map[place]int{}
	_, was, err := rulesOf(ctx, s.Text, s.tune)
	if err != nil {
		return nil, err
	}
	for _, f := range was {
		count[place{f.Rule, f.Voice, f.Bar}]++
	}
	_, is, err := rulesOf(ctx, after, after.Score.Tunes[s.index])
	if err != nil {
		return nil, err
	}
	for _, f := range is {
		p := place{f.Rule, f.Voice, f.Bar}
		if count[p]--; count[p] < 0 && Warnings(f) {
			if bars == nil {
				bars = map[int]bool{}
			}
			for b := f.Bar - 1; b < f.EndBar; b++ {
				bars[b] = true
			}
		}
	}
	return bars, nil
}
