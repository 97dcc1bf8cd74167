package fix

import (
	"context"
	"fmt"
	"regexp"
	"strings"

	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// mostStrokes is how many notes a tremolo is written out in at most.
const mostStrokes = 32

// tremoloOnTwo writes a tremolo out on two neighbouring strings that sound alike, by
// turns and the lower string first (a harp notation dissertation of the Sibelius
// Academy; read). It is offered if the spare pedal is free throughout and the hands,
// sharing it, have no more to complain of.
func tremoloOnTwo(ctx context.Context, q Question) (fixes []Fix, refused []refusal) {
	s, ok := newScope(q.text(), q.Finding.Span)
	if !ok || s.tune.Number != q.Finding.Tune || s.read(ctx) != nil {
		return nil, nil
	}
	tr, ok := s.tremoloAt(q.Finding.Span)
	if !ok {
		return nil, nil
	}
	for _, spare := range enharmonics(tr.pitch) {
		after, edits, why := s.writtenOut(tr, spare)
		if why == "" {
			why = s.tremoloGone(ctx, q.Finding, after)
		}
		if why != "" {
			refused = append(refused, why)
			continue
		}
		lower, upper := tr.pitch, spare
		if upper.str < lower.str {
			lower, upper = upper, lower
		}
		title := fmt.Sprintf("Write the tremolo out on two strings, %s and %s by turns, for both hands (same sound)", signed(lower), signed(upper))
		shown := &site{scene: &scene{text: s.File.Text(), tune: s.tune}}
		before, now := shown.preview(written{edits: edits, text: after.File.Text(), tune: after.Score.Tunes[s.index]})
		fixes = append(fixes, Fix{Title: title, Family: "tremolo", Rule: q.Finding.Rule, Edits: edits, Moved: tr.strokes, Before: before, After: now})
	}
	return fixes, refused
}

// tremoloNote is a single note with strokes through its stem.
type tremoloNote struct {
	at      spot
	pitch   pitch
	strokes int // notes that it stands for
	mark    score.Mark
	length  score.Frac // as typed
	head    string     // as typed
}

// tremoloMark is a decoration for a tremolo on one note.
var tremoloMark = regexp.MustCompile(`^(/{1,4}|trem[1-4])$`)

// tremoloAt finds the tremolo at a span of the file; false where it cannot be written
// out: chords, ties, tuplets, broken rhythm, macros, words under the notes.
func (s *scope) tremoloAt(span score.Span) (found tremoloNote, ok bool) {
	eachNote(s.tune, func(at spot, bar *score.Bar, ev *score.Event, n *score.Note) {
		if at.grace > 0 || ev.Span.Shift(bar.Start) != span {
			return
		}
		text := s.File.Text()
		typed := n.Span.Shift(bar.Start)
		if ev.Chord || ev.Expanded || ev.Broken || ev.Tuplet > 0 || n.TieTo || n.TieFrom || typed.End > len(text) ||
			(&site{cut: whole(text), file: s.File}).isSung(span.Start) {
			return
		}
		for _, m := range ev.Marks {
			if m.Kind != score.Decoration || !tremoloMark.MatchString(m.Text) {
				continue
			}
			slashes := strings.Count(m.Text, "/")
			if slashes == 0 {
				slashes = int(m.Text[len(m.Text)-1] - '0')
			}
			count := ev.Duration.Mul(score.F(int64(4)<<slashes, 1))
			if !count.Valid() || count.Den != 1 || count.Num < 2 || count.Num > mostStrokes {
				continue
			}
			head := n.Head.Shift(bar.Start)
			length := multiple(string(text[head.End:typed.End]))
			found, ok = tremoloNote{at, pitchOf(n), int(count.Num), m, length, string(text[head.Start:head.End])}, length.Valid()
		}
	})
	return found, ok
}

// writtenOut writes the tremolo on its own string and the spare one.
func (s *scope) writtenOut(tr tremoloNote, spare pitch) (Text, []score.Edit, refusal) {
	bar := &s.tune.Voices[tr.at.voice].Bars()[tr.at.bar]
	note := &bar.Events()[tr.at.event].Notes[0]
	was, ok := writtenString(tr.head)
	if !ok {
		return Text{}, nil, textBreaks
	}
	low, high := tr.pitch, spare
	if spare.str < tr.pitch.str {
		low, high = spare, tr.pitch
	}
	each := lengthOf(tr.length.Div(score.F(int64(tr.strokes), 1)))
	out := ""
	for i := range tr.strokes {
		p := []pitch{low, high}[i%2]
		head := letter(p.str - note.String + was)
		if i < 2 && s.wantsAccidental(tr.at, p) {
			head = accidentals[p.alter+2] + head
		}
		out += head + each
	}
	own := []score.Edit{{Span: tr.mark.Span.Shift(bar.Start)}, {Span: note.Span.Shift(bar.Start), Text: out}}
	marked := map[spot]bool{}
	for range mostRounds {
		edits := append(append([]score.Edit{}, own...), s.heads(nil, marked)...)
		after := s.edited(edits)
		if len(after.Score.Tunes) != len(s.Score.Tunes) {
			return Text{}, nil, textBreaks
		}
		wrong, why := s.aroundTremolo(after.Score.Tunes[s.index], tr)
		if why != "" || wrong == nil {
			return after, difference(s.File.Text(), after.File.Text()), why
		}
		if marked[*wrong] {
			return Text{}, nil, accidentalClash
		}
		marked[*wrong] = true
	}
	return Text{}, nil, accidentalClash
}

// wantsAccidental says whether a pitch must bear an accidental at a place: the key has
// it otherwise, or the letter bears one in the bar.
func (s *scope) wantsAccidental(at spot, p pitch) bool {
	bar := &s.tune.Voices[at.voice].Bars()[at.bar]
	l := p.str % 7
	if int(bar.Key.Sign[l]) != p.alter {
		return true
	}
	for e := range bar.Events()[:at.event] {
		for n := range bar.Events()[e].Notes {
			if note := &bar.Events()[e].Notes[n]; note.Explicit && note.String%7 == l {
				return true
			}
		}
	}
	return false
}

// aroundTremolo finds the first note that no longer sounds as it did. The notes of the
// tremolo sound as it does, one after the other.
func (s *scope) aroundTremolo(is *score.Tune, tr tremoloNote) (wrong *spot, why refusal) {
	if !sameLengths(s.tune, is) {
		return nil, textBreaks
	}
	got := map[spot]*score.Note{}
	eachNote(is, func(at spot, _ *score.Bar, _ *score.Event, n *score.Note) { got[at] = n })
	notes := 0
	eachNote(s.tune, func(at spot, _ *score.Bar, _ *score.Event, n *score.Note) {
		notes++
		to, first := at, at == tr.at
		if at.voice == tr.at.voice && at.bar == tr.at.bar && at.event > tr.at.event {
			to.event += tr.strokes - 1
		}
		have, ok := got[to]
		switch {
		case first:
			for i := range tr.strokes {
				to.event = at.event + i
				if have, ok := got[to]; !ok || have.Midi != n.Midi {
					why = textBreaks
				}
			}
		case !ok || have.String != n.String:
			why = textBreaks
		case have.Alter != n.Alter && wrong == nil:
			wrong = &at
		}
	})
	if len(got) != notes+tr.strokes-1 {
		why = textBreaks
	}
	return wrong, why
}

// tremoloGone proves the change: the finding is gone, nothing as severe has come, and
// the spare pedal is free throughout: no pedal has to move for it.
func (s *scope) tremoloGone(ctx context.Context, f rules.Finding, after Text) refusal {
	_, was, err := rulesOf(ctx, s.Text, s.tune)
	_, is, errAfter := rulesOf(ctx, after, after.Score.Tunes[s.index])
	if err != nil || errAfter != nil || !answered(f, was, is) {
		return stillThere
	}
	part, err := s.partIn(ctx, after)
	if err != nil || len(part.Pedals.Plan.Moves) > len(s.part.Pedals.Plan.Moves) {
		return pedalNeeded
	}
	if worse, err := s.worseAfter(ctx, after); err != nil || len(worse) > 0 {
		return othersCome
	}
	return ""
}
