package rules

import (
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
	for _, h := range p.Hands() {
		other := p.Left
		if h == p.Left {
			other = p.Right
		}
		for _, v := range p.Player.Voices() {
			if !h.voices[v.ID] {
				continue
			}
			for b := range v.Bars {
				for e := range v.Bars[b].Events {
					ev := &v.Bars[b].Events[e]
					if ev.Kind != score.Sound || !marked(ev) || !ev.Onset.Valid() {
						continue
					}
					number := v.Number(b)
					visit(eventAt{ev, v, number, v.Bars[b].Start, h, other,
						p.Timeline.Seconds(number, ev.Onset), p.Timeline.Seconds(number, ev.Onset.Add(ev.Duration))})
				}
			}
		}
	}
}

// marked says whether anything is written over an event, a note in it or a grace note.
func marked(ev *score.Event) bool { return len(ev.Notes) > 0 && len(allMarks(ev)) > 0 }

// allMarks are those over an event, inside its chord, and over its grace notes.
func allMarks(ev *score.Event) []score.Mark {
	all := ev.Marks
	for n := range ev.Notes {
		all = append(all[:len(all):len(all)], ev.Notes[n].Marks...)
	}
	for g := range ev.Graces {
		all = append(all[:len(all):len(all)], allMarks(&ev.Graces[g])...)
	}
	return all
}

// eventFinding starts a finding on a whole event.
func (p *Part) eventFinding(rule string, ev eventAt) Finding {
	return Finding{Rule: rule, Severity: p.severity(rule), Tune: p.Tune.Number, Voice: ev.voice.ID, Bar: ev.bar, EndBar: ev.bar,
		Span: ev.Span.Shift(ev.start), Hand: ev.hand.Name, From: strokeNear(ev.hand, ev.t), To: strokeNear(ev.hand, ev.t)}
}

func strokeNear(h *Hand, t float64) int {
	for i, s := range h.Strokes {
		if s.T >= t-1e-9 {
			return i
		}
	}
	return max(0, len(h.Strokes)-1)
}

// plucksOf are the event's notes as plucks, for their names.
func (ev eventAt) plucks() (out []hands.Pluck) {
	for n := range ev.Notes {
		out = append(out, hands.Pluck{Voice: ev.voice, Bar: ev.bar, Onset: ev.Onset, Event: ev.Event, Note: &ev.Notes[n],
			Span: ev.Notes[n].Span.Shift(ev.start)})
	}
	return out
}

// restsDuring says whether a hand strikes nothing between two times, the first
// included.
func (h *Hand) restsDuring(from, until float64) bool {
	if h == nil {
		return true
	}
	for _, s := range h.Strokes {
		if s.T >= from-1e-9 && s.T < until-1e-9 {
			return false
		}
	}
	return true
}
