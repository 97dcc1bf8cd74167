package hands

import (
	"cmp"
	"slices"

	"fourfold/parser/score"
)

// layer is what goes on from note to note of a voice, or of what is laid over it.
type layer struct {
	side     Side
	named    bool // a mark names the hand; it holds to the end of its bar
	sweeping bool // inside a glissando
}

// layers are those of a voice, by their numbers.
type layers []layer

// of gives a layer, which begins with the staff's hand.
func (l *layers) of(number int, staff Side) *layer {
	for len(*l) <= number {
		*l = append(*l, layer{side: staff})
	}
	return &(*l)[number]
}

// gather reads the events of a voice into the instants of the hands.
func gather(lists *[2][]instant, v *score.Voice, staff Side, layout Layout) {
	var all layers
	events, notes := 0, 0
	bars := v.Bars()
	for b := range bars {
		for _, ev := range bars[b].Events() {
			events, notes = events+1, notes+len(ev.Notes)
			for _, grace := range ev.Graces {
				notes += len(grace.Notes)
			}
		}
	}
	lists[staff] = slices.Grow(lists[staff], events)
	g := gathering{voice: v, room: make([]Pluck, 0, notes)}
	for b := range bars {
		g.bar, g.number = &bars[b], v.Number(b)
		for i := range all {
			all[i].side, all[i].named = staff, false
		}
		bar := g.bar.Events()
		for e := range bar {
			ev := &bar[e]
			if ev.Kind != score.Sound || !ev.Onset.Valid() {
				continue
			}
			l := all.of(ev.Layer, staff)
			if marked, ok := handMark(ev); ok {
				l.side, l.named = marked, true
			}
			side, named := l.side, l.named
			if crossed, ok := layout.side(v.ID, ev.Staff); ok && !named {
				side, named = crossed, crossed != staff
			}
			in := instant{bar: g.number, onset: ev.Onset, length: score.Zero}
			if GlissandoEnds(ev) {
				l.sweeping = false
			}
			if l.sweeping {
				in.swept = g.plucks(ev, Pluck{Onset: ev.Onset})
			} else {
				g.take(&in, ev, Pluck{Onset: ev.Onset, Named: named, Bound: side != staff})
			}
			l.sweeping = l.sweeping || GlissandoStarts(ev)
			lists[side] = append(lists[side], in)
		}
	}
}

// gathering is the reading of a voice.
type gathering struct {
	voice  *score.Voice
	bar    *score.Bar
	number int     // of the bar
	room   []Pluck // for the plucks of all: each instant has a piece of it
}

// take adds an event's plucks and graces to an instant, each as one is.
func (g *gathering) take(in *instant, ev *score.Event, as Pluck) {
	grace := as
	grace.Grace = true
	for i := range ev.Graces { // they have no onset of their own
		in.graces = append(in.graces, g.plucks(&ev.Graces[i], grace))
	}
	in.plucks = g.plucks(ev, as)
	if len(in.plucks) > 1 && HasMark(ev, "arpeggio") {
		in.roll = true
		if in.length.Less(ev.Duration) {
			in.length = ev.Duration
		}
		for i := range in.plucks {
			in.plucks[i].Rolled = true
		}
	}
}

// plucks are those of an event, each as one is.
func (g *gathering) plucks(ev *score.Event, as Pluck) []Pluck {
	from := len(g.room)
	as.Voice, as.Bar, as.Event = g.voice, g.number, ev
	for n := range ev.Notes {
		note := &ev.Notes[n]
		if note.TieFrom {
			continue
		}
		as.Note, as.Span = note, note.Span.Shift(g.bar.Start)
		g.room = append(g.room, as)
	}
	out := g.room[from:len(g.room):len(g.room)]
	for _, f := range PrintedFingers(ev) {
		for i := range out {
			if f.Note >= 0 && out[i].Note == &ev.Notes[f.Note] {
				out[i].Finger = f.Finger
			}
		}
	}
	return out
}

// merged orders the instants and joins those at one place. It takes the list over.
func merged(list []instant) []instant {
	order := func(a, b instant) int { return cmp.Or(cmp.Compare(a.bar, b.bar), a.onset.Cmp(b.onset)) }
	if !slices.IsSortedFunc(list, order) {
		slices.SortStableFunc(list, order)
	}
	out := list[:0]
	for _, in := range list {
		n := len(out) - 1
		if n < 0 || out[n].bar != in.bar || out[n].onset != in.onset {
			out = append(out, in)
			continue
		}
		out[n].plucks = append(out[n].plucks, in.plucks...)
		out[n].graces = append(out[n].graces, in.graces...)
		out[n].swept = append(out[n].swept, in.swept...)
		out[n].roll = out[n].roll || in.roll
		if out[n].length.Less(in.length) {
			out[n].length = in.length
		}
	}
	return out
}
