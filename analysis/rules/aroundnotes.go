package rules

import (
	"cmp"
	"math"
	"slices"

	"fourfold/analysis/feet"
	"fourfold/analysis/hands"
	"fourfold/parser/score"
)

// noteOf finds a note of the whole tune; false where there is none.
func (p *Part) noteOf(at noteAt) (pl hands.Pluck, ok bool) {
	if int(at.voice) >= len(p.whole.Voices) {
		return pl, false
	}
	v := p.whole.Voices[at.voice]
	bar := v.Bar(int(at.bar))
	if bar == nil {
		return pl, false
	}
	events := bar.Events()
	if int(at.event) >= len(events) {
		return pl, false
	}
	ev := &events[at.event]
	pl = hands.Pluck{Voice: v, Bar: int(at.bar), Onset: ev.Onset, Event: ev}
	if at.grace >= 0 {
		if int(at.grace) >= len(ev.Graces) {
			return pl, false
		}
		pl.Event, pl.Grace = &ev.Graces[at.grace], true
	}
	if int(at.note) >= len(pl.Event.Notes) {
		return pl, false
	}
	pl.Note = &pl.Event.Notes[at.note]
	pl.Span = pl.Note.Span.Shift(bar.Start)
	return pl, true
}

// farUse is a note beyond what a part holds, at its time in the part.
type farUse struct {
	use
	pluck pluckAt
}

// findBeyond finds the notes before the section's stretch and after it that ask for a
// pedal or a lever.
func (p *Part) findBeyond() (out []farUse) {
	first, last := p.Tune.Voices[0].Before+1, p.Tune.Bars()
	begin := p.Timeline.Seconds(p.section.From, score.Zero)
	for _, u := range p.around.before {
		if pl, ok := p.noteOf(u.at); ok && int(u.at.bar) < first {
			out = append(out, farUse{u, pluckAt{Pluck: &pl, stroke: -1, t: min(begin+u.t, 0)}})
		}
	}
	end := p.Timeline.Seconds(p.section.To+1, score.Zero)
	final := p.Timeline.Seconds(last+1, score.Zero)
	for _, u := range p.around.after {
		if pl, ok := p.noteOf(u.at); ok && int(u.at.bar) > last {
			out = append(out, farUse{u, pluckAt{Pluck: &pl, stroke: -1, t: max(end+u.t, final)}})
		}
	}
	return out
}

// addBeyond puts what lies beyond a section among its demands, which are in order.
func (p *Part) addBeyond(d *Pedals) {
	if p.around != nil {
		d.across = p.around.across
	}
	if len(p.beyond) == 0 {
		return
	}
	for _, f := range p.beyond {
		if int(f.at.bar) > d.last {
			d.trusted[f.of] = f.marked
		}
		d.from = append(d.from, f.pluck)
		d.Demands = append(d.Demands, feet.Demand{T: f.pluck.t, Letter: feet.Letter(f.of), Pos: feet.Pos(f.pos), Rings: p.Settings.Instrument.Ring(f.pluck.Note.String)})
	}
	order := make([]int, len(d.from))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(d.from[a].t, d.from[b].t) })
	from, demands := make([]pluckAt, len(order)), make([]feet.Demand, len(order))
	for i, k := range order {
		from[i], demands[i] = d.from[k], d.Demands[k]
	}
	d.from, d.Demands = from, demands
}

// tunedBefore are the first notes before a section on the strings without discs.
func (p *Part) tunedBefore() (out []pluckAt) {
	if p.around == nil {
		return nil
	}
	first := p.Tune.Voices[0].Before + 1
	for _, u := range p.around.tuned {
		if pl, ok := p.noteOf(u.at); ok && int(u.at.bar) < first {
			out = append(out, pluckAt{Pluck: &pl, stroke: -1, t: math.Inf(-1)})
		}
	}
	return out
}
