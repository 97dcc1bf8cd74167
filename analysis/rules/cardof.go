package rules

import (
	"fmt"
	"math"
	"sort"

	"fourfold/analysis/hands"
	"fourfold/parser/score"
)

// Card describes the group that the note at a byte offset belongs to; false
// where no note of this part stands there. In a glissando it is that of the note that
// it starts from.
func (p *Part) Card(offset int) (Card, bool) {
	g, sweeps := p.glissandoAt(offset)
	if sweeps {
		offset = g.From.Span.Start
	}
	for _, h := range p.Played {
		if h == nil {
			continue
		}
		i, ok := p.strokeAt(h, offset)
		if !ok {
			continue
		}
		c := p.card(h, h.placingOf(i))
		c.at = Place{h.Plucks[i][0].Bar, h.Plucks[i][0].Onset}
		c.now = instantOf(&h.Plucks[i][0])
		if p.Pedals != nil {
			setting := p.settingPlayed(c.at.Bar, h.Strokes[i].T)
			c.Pedals, c.Diagram = SettingWords(setting), Diagram(setting)
		}
		if sweeps && p.Pedals != nil {
			c.Glissando = p.glissandoWords(g)
		}
		return c, true
	}
	return Card{}, false
}

// strokeAt finds the stroke with a note or chord at the offset. A note itself
// wins over the chord around it.
func (p *Part) strokeAt(h *Hand, offset int) (stroke int, ok bool) {
	first, last := p.strokesIn(h, score.Span{Start: offset, End: offset + 1})
	for i := first; i < last; i++ {
		for _, pl := range h.Plucks[i] {
			if pl.Span.Start <= offset && offset < pl.Span.End {
				return i, true
			}
			if e := wholeEvent(pl); !ok && e.Start <= offset && offset < e.End {
				stroke, ok = i, true
			}
		}
	}
	return stroke, ok
}

// strokesIn gives the strokes of a hand, from first up to last, that may have a note
// in a span of the file: those of the bars there and of their neighbours.
func (p *Part) strokesIn(h *Hand, span score.Span) (first, last int) {
	from, to := math.MaxInt, 0
	for _, v := range p.Player.Voices() {
		if lo, hi := v.BarsIn(span); lo < hi {
			from, to = min(from, v.Number(lo)), max(to, v.Number(hi-1))
		}
	}
	first = sort.Search(len(h.Plucks), func(i int) bool { return h.Plucks[i][0].Bar >= from-1 })
	last = sort.Search(len(h.Plucks), func(i int) bool { return h.Plucks[i][0].Bar > to+1 })
	return first, max(first, last)
}

func (p *Part) card(h *Hand, k int) Card {
	pl := h.Solution.Placings[k]
	first := firstInText(h.Plucks[pl.From])
	beat := p.Timeline.BeatAt(first.Bar, first.Onset)
	low, high := h.extent(pl)
	c := Card{
		Span: p.spanOf(h, pl.From, pl.To, first), Hand: h.Name, Bar: first.Bar, Beat: BeatName(first.Onset, beat),
		Order: orderWords(pl, h),
		Tempo: TempoWords(p.Timeline.QuartersAt(first.Bar, first.Onset), beat),
	}
	if low < high {
		c.Extent = IntervalWords(high - low)
	}
	for i := pl.From; i <= pl.To; i++ {
		c.Strokes = append(c.Strokes, p.cardStroke(h.Plucks[i], pl.Fingers[i-pl.From]))
	}
	c.Ends = endWords[h.Solution.Why(k)]
	p.sayNext(&c, h, k)
	p.sayTempi(&c, h, k, beat)
	return c
}

func (p *Part) cardStroke(plucks []hands.Pluck, fingers []int) (s CardStroke) {
	for j, pl := range plucks {
		s.Names = append(s.Names, p.Typed(pl))
		s.Pitches = append(s.Pitches, p.pitch(pl))
		f := 0
		if j < len(fingers) {
			f = fingers[j]
		}
		s.Fingers = append(s.Fingers, f)
	}
	return s
}

func orderWords(pl hands.Placing, h *Hand) string {
	switch pl.Order {
	case hands.StraightUp:
		return "upwards, one finger after another"
	case hands.StraightDown:
		return "downwards, one finger after another"
	case hands.CrossedUp:
		return "upwards with the middle fingers crossed over: 4 2 3 1"
	case hands.CrossedDown:
		return "downwards with the middle fingers crossed over: 1 3 2 4"
	case hands.Turned:
		return "with a turn: it goes one way and comes back"
	}
	if len(h.Strokes[pl.From].Strings) > 1 {
		return "all at once"
	}
	return "one note"
}

// endWords say why a group ends.
var endWords = map[hands.Why]string{
	hands.WhyEnd:       "the music ends here",
	hands.WhyRest:      "a rest or a long note frees the hand after it",
	hands.WhyAlone:     "no hand takes these notes at once, so they stand alone",
	hands.WhyNextAlone: "no hand takes the next notes at once, so they stand alone",
	hands.WhyRestruck:  "the next note uses one of its strings again",
	hands.WhyFifth:     "the next note would be a fifth string, and there are four fingers",
	hands.WhyTooWide:   "with the next note it would be wider than the hand",
	hands.WhyFingers:   "with the next note the inner fingers would not reach",
	hands.WhyPrinted:   "no placing has the printed fingers of the next note too",
	hands.WhyTurn:      "with the next note it would turn back",
	hands.WhyCheaper:   "it could go on, but another grouping lies easier",
}

// changeWords say how the hand gets to the next group.
var changeWords = map[hands.Change]string{
	hands.CrossUnder: "the fingers pass under the thumb",
	hands.CrossOver:  "the thumb passes over the fingers",
	hands.Pivot:      "the hand turns about the last string",
	hands.SamePlace:  "the hand stays where it is",
	hands.Leap:       "the hand leaps",
	hands.Afresh:     "the hand has time to start afresh",
}

func (p *Part) sayNext(c *Card, h *Hand, k int) {
	if k+1 >= len(h.Solution.Placings) {
		c.Next, c.last = "nothing follows", true
		return
	}
	next := h.Solution.Placings[k+1]
	plucks := h.Plucks[next.From]
	c.NextHave = h.Strokes[next.From].T - h.Strokes[h.Solution.Placings[k].To].T
	c.Next = fmt.Sprintf("%s%s in bar %d: %s", quoted(p.strokeName(plucks)), p.pitchAside(plucks), plucks[0].Bar, changeWords[next.Change])
	if n, ok := binding(h.Solution.Needs(k + 1)); ok {
		c.NextNeed = n.Seconds
		c.NextHave = n.Have
	}
}

func binding(needs []hands.Need) (b hands.Need, ok bool) {
	for _, n := range needs {
		if n.Load > b.Load {
			b, ok = n, true
		}
	}
	return b, ok
}

// sayTempi gives how fast this group and the way into and out of it hold: the
// finding's figures where there is one, else those of the fingering shown.
func (p *Part) sayTempi(c *Card, h *Hand, k int, beat score.Frac) {
	load := 0.0
	for _, u := range []int{2*k - 1, 2 * k, 2*k + 1} {
		if u < 0 || (u+1)/2 >= len(h.Solution.Placings) {
			continue
		}
		if n, ok := binding(h.needsOf(u)); ok && n.Load > load {
			load = n.Load
		}
	}
	for _, r := range h.runs {
		if k >= r.from && k <= r.to {
			load = r.load
		}
	}
	if load <= 0 {
		return
	}
	s := p.speed(h, h.Solution.Placings[k].From, load)
	c.Comfortable, c.Holds = TempoWords(s.ComfortableUpTo, beat), TempoWords(s.HoldsUpTo, beat)
}
