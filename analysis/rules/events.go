package rules

import (
	"sort"

	"fourfold/analysis/hands"
	"fourfold/parser/score"
)

// eventAt is a sounding event of the part as it stands in its voice.
type eventAt struct {
	*score.Event
	voice *score.Voice
	bar   int // number
	start int // of the bar in the file
	hand  *Hand
	other *Hand
	t     float64 // seconds
	until float64 // seconds: where its written length ends
}

// eachMarked visits the sounding events of both staves that have something written
// over them, voice by voice.
func (p *Part) eachMarked(visit func(eventAt)) {
	for _, ev := range p.marked {
		visit(ev)
	}
}

// takenAt is the hand that takes an event, and when.
type takenAt struct {
	hand *Hand
	t    float64
}

// findMarked lists the events with something written over them. The hand is the one
// that a mark names, else the staff's, and the time that of its stroke.
func (p *Part) findMarked() (out []eventAt) {
	struck := map[*score.Event]takenAt{}
	for _, h := range p.Hands() {
		for i := len(h.Plucks) - 1; i >= 0; i-- { // of a roll the first string counts
			for _, pl := range h.Plucks[i] {
				if marked(pl.Event) {
					struck[pl.Event] = takenAt{h, h.Strokes[i].T}
				}
			}
		}
	}
	for _, h := range p.Hands() {
		for _, v := range p.Player.Voices() {
			if !h.voices[v.ID] {
				continue
			}
			for b := range v.Bars() {
				for e := range v.Bars()[b].Events() {
					ev := &v.Bars()[b].Events()[e]
					if ev.Kind != score.Sound || !marked(ev) || !ev.Onset.Valid() {
						continue
					}
					number := v.Number(b)
					at, ok := struck[ev]
					if !ok { // held over by a tie, or inside a glissando
						at = takenAt{h, p.Timeline.Seconds(number, ev.Onset)}
					}
					length := p.Timeline.Between(number, ev.Onset, number, ev.Onset.Add(ev.Duration))
					out = append(out, eventAt{ev, v, number, v.Bars()[b].Start, at.hand, p.otherThan(at.hand), at.t, at.t + length})
				}
			}
		}
	}
	return out
}

// otherThan is the other hand; nil where it has nothing.
func (p *Part) otherThan(h *Hand) *Hand {
	if h == p.Left {
		return p.Right
	}
	return p.Left
}

// marked says whether anything is written over an event, a note in it or a grace note.
func marked(ev *score.Event) bool {
	if len(ev.Notes) == 0 {
		return false
	}
	if len(ev.Marks) > 0 {
		return true
	}
	for n := range ev.Notes {
		if len(ev.Notes[n].Marks) > 0 {
			return true
		}
	}
	for g := range ev.Graces {
		if marked(&ev.Graces[g]) {
			return true
		}
	}
	return false
}

// eventFinding starts a finding on a whole event.
func (p *Part) eventFinding(rule string, ev eventAt) Finding {
	return Finding{Rule: rule, Severity: p.severity(rule), Tune: p.Tune.Number, Voice: ev.voice.ID, Bar: ev.bar, EndBar: ev.bar,
		Span: ev.Span.Shift(ev.start), Hand: ev.hand.Name, From: strokeNear(ev.hand, ev.t), To: strokeNear(ev.hand, ev.t)}
}

func strokeNear(h *Hand, t float64) int {
	i := sort.Search(len(h.Strokes), func(i int) bool { return h.Strokes[i].T >= t-1e-9 })
	return max(0, min(i, len(h.Strokes)-1))
}

// plucksOf are the event's notes as plucks, for their names.
func (ev eventAt) plucks() (out []hands.Pluck) {
	for n := range ev.Notes {
		out = append(out, hands.Pluck{Voice: ev.voice, Bar: ev.bar, Onset: ev.Onset, Event: ev.Event, Note: &ev.Notes[n],
			Span: ev.Notes[n].Span.Shift(ev.start)})
	}
	return out
}

// isBound says whether what a hand strikes between two times, the first included,
// keeps it from helping the other: one that strikes only within a while of the first
// can join in after it, and one that strikes only within a while of the second can
// leave before it.
func (h *Hand) isBound(from, until, while float64) bool {
	if h == nil {
		return false
	}
	first := sort.Search(len(h.Strokes), func(i int) bool { return h.Strokes[i].T >= from-1e-9 })
	end := sort.Search(len(h.Strokes), func(i int) bool { return h.Strokes[i].T >= until-1e-9 })
	return first < end && h.Strokes[end-1].T-from >= while && until-h.Strokes[first].T >= while
}
