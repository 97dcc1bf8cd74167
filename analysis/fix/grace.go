package fix

import (
	"fmt"
	"sort"
	"strings"

	"fourfold/analysis/hands"
	"fourfold/parser/score"
)

// graceNotes writes grace notes that run up to their note as a rolled chord with
// it, which sounds the same and is set at once; or leaves them out, in the same tempo or
// in a slower one.
func graceNotes(s *site) (out []candidate) {
	events := s.graced()
	rolls, outs := change{graces: map[noteAt]bool{}}, change{graces: map[noteAt]bool{}}
	for _, at := range events {
		span, ok := s.graceSpan(at)
		if !ok {
			continue
		}
		none := score.Edit{Span: span}
		outs.marks, outs.graces[at] = append(outs.marks, none), false
		name := strings.TrimSpace(string(s.text[span.Start:span.End]))
		out = append(out, candidate{title: fmt.Sprintf("Leave out the grace notes %s (same notes, same rhythm)", name),
			change: change{marks: []score.Edit{none}, graces: map[noteAt]bool{at: false}}, promise: untouched})
		if text, ok := s.asRoll(at); ok {
			pitches := s.pitchesAt(at)
			edit := []score.Edit{none, {Span: pitches, Text: text}}
			rolls.marks, rolls.graces[at] = append(rolls.marks, edit...), true
			out = append([]candidate{{title: fmt.Sprintf("Roll the grace notes and their note as one chord: %s", text),
				change: change{marks: edit, graces: map[noteAt]bool{at: true}}, promise: gracesJoin}}, out...)
		}
	}
	if len(rolls.graces) > 1 {
		out = append(out, candidate{title: fmt.Sprintf("Roll %d notes with their grace notes as chords", len(rolls.graces)), change: rolls, promise: gracesJoin})
	}
	if len(outs.graces) > 1 {
		out = append(out, candidate{title: fmt.Sprintf("Leave out the grace notes at %d places (same notes, same rhythm)", len(outs.graces)),
			change: outs, promise: untouched})
	}
	return append(out, s.slowerWithout(outs)...)
}

// slowerWithout leaves grace notes out and takes the passage slower: where a finding has
// no time both at the pace of grace notes, which no tempo changes, and at the beat's.
func (s *site) slowerWithout(graces change) (out []candidate) {
	if len(graces.graces) == 0 || !speedRules(s.finding.Rule) || s.finding.Speed == nil {
		return nil
	}
	var strokes []hands.Stroke
	for i := s.finding.From; i <= s.finding.To; i++ {
		if !s.hand.Plucks[i][0].Grace {
			strokes = append(strokes, s.hand.Strokes[i])
		}
	}
	load := hands.Ceiling(strokes, s.set.Hand)
	if load <= 1 {
		return nil
	}
	which := fmt.Sprintf("the grace notes at %d places", len(graces.graces))
	if span := graces.marks[0].Span; len(graces.marks) == 1 {
		which = "the grace notes " + strings.TrimSpace(string(s.text[span.Start:span.End]))
	}
	for _, c := range s.slowerThan(s.finding.Speed.Tempo / load) {
		tempo, _, _ := strings.Cut(c.title, ",")
		c.title = fmt.Sprintf("%s and leave out %s (same notes otherwise, same rhythm)", tempo, which)
		c.graces, c.marks = graces.graces, append(append([]score.Edit{}, graces.marks...), c.marks...)
		out = append(out, c)
	}
	return out
}

// graced are the events with grace notes in and around the finding, in order; each
// is named by its first note.
func (s *site) graced() (out []noteAt) {
	if s.hand == nil {
		return s.gracedAtFault()
	}
	seen := map[*score.Event]bool{}
	lo, hi := max(0, s.finding.From-1), min(len(s.hand.Plucks)-1, s.finding.To+1)
	for i := lo; i <= hi; i++ {
		for _, pl := range s.hand.Plucks[i] {
			if at, ok := s.mainNote(pl); ok && !seen[s.event(at)] {
				seen[s.event(at)] = true
				out = append(out, at)
			}
		}
	}
	return out
}

// gracedAtFault are the events one of whose grace notes a finding of the feet marks.
func (s *site) gracedAtFault() (out []noteAt) {
	for v, voice := range s.tune.Voices {
		for b := range voice.Bars() {
			bar := &voice.Bars()[b]
			for e := range bar.Events() {
				ev := &bar.Events()[e]
				for g := range ev.Graces {
					if !ev.Expanded && len(ev.Notes) > 0 && anyHolds([]score.Span{s.finding.Span}, ev.Graces[g].Span.Shift(bar.Start)) {
						out = append(out, noteAt{v, b, e, 0})
						break
					}
				}
			}
		}
	}
	return out
}

// mainNote finds the event that a pluck's grace notes, or the pluck itself as a
// grace note, lead to.
func (s *site) mainNote(pl hands.Pluck) (noteAt, bool) {
	for v, voice := range s.tune.Voices {
		if voice != pl.Voice || pl.Bar > voice.Len() {
			continue
		}
		for e := range voice.Bars()[pl.Bar-1].Events() {
			ev := &voice.Bars()[pl.Bar-1].Events()[e]
			if len(ev.Graces) == 0 || ev.Expanded || len(ev.Notes) == 0 {
				continue
			}
			if ev == pl.Event {
				return noteAt{v, pl.Bar - 1, e, 0}, true
			}
			for g := range ev.Graces {
				if &ev.Graces[g] == pl.Event {
					return noteAt{v, pl.Bar - 1, e, 0}, true
				}
			}
		}
	}
	return noteAt{}, false
}

// graceSpan is the grace group in the excerpt with its braces.
func (s *site) graceSpan(at noteAt) (score.Span, bool) {
	bar, ev := s.bar(at), s.event(at)
	first, last := ev.Graces[0].Span.Shift(bar.Start), ev.Graces[len(ev.Graces)-1].Span.Shift(bar.Start)
	from := strings.LastIndexByte(string(s.text[:first.Start]), '{')
	to := strings.IndexByte(string(s.text[last.End:]), '}')
	if from < 0 || to < 0 {
		return score.Span{}, false
	}
	span := score.Span{Start: from, End: last.End + to + 1}
	if inside := string(s.text[span.Start:span.End]); strings.ContainsAny(inside, "()\n") || strings.Count(inside, "{") > 1 || strings.Count(inside, "}") > 1 {
		return score.Span{}, false
	}
	return span, true
}

// asRoll writes an event with its grace notes as a rolled chord. False where they
// do not rise, or no hand takes them at once.
func (s *site) asRoll(at noteAt) (string, bool) {
	bar, ev := s.bar(at), s.event(at)
	if hasFinger(ev) || hands.HasMark(ev, "arpeggio") {
		return "", false
	}
	var strs []int
	var heads []string
	add := func(n *score.Note) bool {
		if n.TieTo || n.TieFrom || len(n.Marks) > 0 || len(strs) > 0 && n.String <= strs[len(strs)-1] {
			return false
		}
		strs, heads = append(strs, n.String), append(heads, s.typed(bar, n.Head))
		return true
	}
	for g := range ev.Graces {
		if len(ev.Graces[g].Notes) != 1 || !add(&ev.Graces[g].Notes[0]) {
			return "", false
		}
	}
	notes := make([]*score.Note, 0, len(ev.Notes))
	for n := range ev.Notes {
		if ev.Chord && ev.Notes[n].Span != ev.Notes[n].Head {
			return "", false
		}
		notes = append(notes, &ev.Notes[n])
	}
	sort.SliceStable(notes, func(i, j int) bool { return notes[i].String < notes[j].String })
	for _, n := range notes {
		if !add(n) {
			return "", false
		}
	}
	return "!arpeggio![" + strings.Join(heads, "") + "]", hands.Reachable(strs, s.set.Hand)
}

// pitchesAt is the place in the excerpt of what an event's pitches are written in.
func (s *site) pitchesAt(at noteAt) score.Span {
	return core(s.text, s.bar(at), s.event(at)).Shift(s.bar(at).Start)
}

// gracesJoin: every string that was struck, as a grace note or not, is struck still
// in the same bar, and bars last as long.
func gracesJoin(before, after *score.Tune) bool {
	return sameLengths(before, after) && sameStruck(before, after)
}

func sameStruck(before, after *score.Tune) bool {
	left := map[place]int{}
	for by, t := range map[int]*score.Tune{1: before, -1: after} {
		for p, alters := range soundsOf(t) {
			for _, a := range alters {
				left[place{p.voice, p.bar, score.F(int64(a), 1), 0, p.str}] += by
			}
		}
	}
	for _, n := range left {
		if n != 0 {
			return false
		}
	}
	return true
}
