package rules

import (
	"context"
	"math"

	"fourfold/parser/score"
)

// Limit is what bounds the tempo of some music.
type Limit struct {
	Load  float64 // the need divided by the time there is; 0 where nothing limits the tempo
	Bar   int
	Onset score.Frac
	Who   string // "right hand", "left foot"
}

// over gives the one of two limits that asks more; of equals the first in the music.
func (l Limit) over(o Limit) Limit {
	if o.Load > l.Load || o.Load == l.Load && l.Load > 0 && (o.Bar < l.Bar || o.Bar == l.Bar && o.Onset.Less(l.Onset)) {
		return o
	}
	return l
}

// Sum is what a player's sections add up to, and what bounds the tempo.
func (l *Long) Sum(player int) (sum Summary, most Limit) {
	var feet Limit
	for _, r := range l.parts[player].read {
		sum = sum.with(r.sum)
		most, feet = most.over(r.most), feet.over(r.slow)
	}
	if feet.Load > most.Load && feet.Load > 1+tolerance && !math.IsInf(feet.Load, 1) {
		return sum, feet
	}
	return sum, most
}

// slowest is how much the music of a section must slow down for its feet; infinite where no
// tempo helps.
func (p *Part) slowest() (most Limit) {
	if p.Pedals == nil {
		return most
	}
	for i := range p.Pedals.Plan.Moves {
		m := &p.Pedals.Plan.Moves[i]
		if at := p.Pedals.Note(m.Demand); m.Late > 0 && p.section.From <= at.Bar && at.Bar <= p.section.To {
			most = most.over(Limit{m.Stretch, at.Bar, at.Onset, m.Foot.String() + " foot"})
		}
	}
	return most
}

// with adds the figures of the next section.
func (s Summary) with(o Summary) Summary {
	s.Moves, s.Late = s.Moves+o.Moves, s.Late+o.Late
	if o.BusiestMoves > s.BusiestMoves {
		s.BusiestBar, s.BusiestMoves = o.BusiestBar, o.BusiestMoves
	}
	return s
}

// Settings are those of the tune.
func (l *Long) Settings() Settings { return l.set }

// Assumed says whether the tune gives no tempo.
func (l *Long) Assumed(t *score.Tune) bool { return tempoAround(t, 1, l.set).Assumed() }

// TempoAt is the tempo in force at a place, in quarters a minute, and its beat.
func (l *Long) TempoAt(t *score.Tune, bar int, onset score.Frac) (quarters float64, beat score.Frac) {
	tl := tempoAround(t, bar, l.set)
	return tl.QuartersAt(bar, onset), tl.BeatAt(bar, onset)
}

// tempoAround is the timeline of one bar.
func tempoAround(t *score.Tune, bar int, set Settings) *score.Timeline {
	return t.Stretch(bar, bar).Timeline(score.TempoChoice{Override: set.Tempo, Default: set.DefaultTempo})
}

// limitOf is what bounds the tempo of a section's hands: the tightest place as they share
// the notes, or the finding about speed that says most clearly that it is too much. The
// only error is the context's.
func (p *Part) limitOf(ctx context.Context, found []Finding) (most Limit, err error) {
	worst, err := p.TightestIn(ctx, p.section.From, p.section.To)
	if worst.Load > 0 {
		most = Limit{worst.Load, worst.Pluck.Bar, worst.Pluck.Onset, handNames[worst.Side]}
	}
	for i := range found {
		f := &found[i]
		if f.Speed == nil || f.Severity > Warning || f.Hand == "" {
			continue
		}
		h := p.Right
		if f.Hand == handNames[1] {
			h = p.Left
		}
		at := h.Plucks[f.From][0]
		most = most.over(Limit{f.Speed.Load, at.Bar, at.Onset, f.Hand})
	}
	return most, err
}
