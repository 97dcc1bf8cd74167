package rules

import (
	"context"
	"slices"

	"fourfold/analysis/hands"
	"fourfold/parser/score"
)

// seamsAcross finds what goes wrong on the ways of a long tune that leave a section: each
// is read from the sections at its two ends. The settings are those of the tune. The only
// error is the context's.
func seamsAcross(ctx context.Context, text []byte, t *score.Tune, player Player, set Settings, secs []Section, ends []Ends) (found []Finding, err error) {
	var tl *score.Timeline
	var arounds []Around
	eachSeam(secs, ends, func(k int, w seam) {
		if secs[k].holdsWay(w) || ctx.Err() != nil {
			return
		}
		if tl == nil {
			tl = t.Timeline(score.TempoChoice{Override: set.Tempo, Default: set.DefaultTempo})
			arounds = aroundsOf(secs, ends)
		}
		to := k
		for to > 0 && w.to < secs[to].From {
			to--
		}
		for to+1 < len(secs) && w.to > secs[to].To {
			to++
		}
		p := &Part{Player: player, Tune: t, Settings: set, text: text, Timeline: tl, whole: t, around: &Around{seams: []seam{w}}}
		found = append(found, p.acrossSeam(w, [2]Section{secs[k], secs[to]}, arounds[k].before, arounds[to].after)...)
	})
	return found, ctx.Err()
}

// acrossSeam finds what goes wrong on one way. The part has no staves yet; before and
// after are the notes beyond the sections at the ends of the way.
func (p *Part) acrossSeam(w seam, ends [2]Section, before, after []use) (found []Finding) {
	pieces := []Section{{w.to, ends[1].To}, {ends[0].From, w.from}}
	if w.to > w.from {
		pieces = []Section{{ends[0].From, ends[1].To}}
		if w.again > 0 {
			pieces[0].From = min(pieces[0].From, w.again)
		}
	}
	var staves [2]hands.Staff
	for _, piece := range pieces {
		player := p.Player.in(p.whole.Stretch(piece.From, piece.To))
		p.parted = append(p.parted, player.Voices()...)
		read := hands.FromScore(player.Upper, player.Lower, layoutOf(p.Tune, p.Player), p.Timeline, p.Settings.Hand)
		for side := range staves {
			staves[side] = followedBy(staves[side], read[side])
		}
	}
	for side, h := range []**Hand{&p.Right, &p.Left} {
		voices := [2][]*score.Voice{p.Player.Upper, p.Player.Lower}[side]
		*h = plainHand(handNames[side], voices, staves[side])
	}
	for _, u := range slices.Concat(before, after) {
		if slices.ContainsFunc(pieces, func(s Section) bool { return s.From <= u.at.bar && u.at.bar <= s.To }) {
			continue
		}
		if pl, ok := p.noteOf(u.at); ok {
			p.beyond = append(p.beyond, farUse{u, pluckAt{Pluck: pl, stroke: -1, t: p.Timeline.Seconds(pl.Bar, pl.Onset)}})
		}
	}
	p.seams = p.findSeams()
	if p.Settings.Instrument.Pedals {
		p.Pedals = p.demands()
		p.Pedals.Seams = p.pedalSeams(p.Pedals)
	}
	for _, r := range []Rule{Restrike, Turn, NewPlacing} {
		found = append(found, r.Whole(p)...)
	}
	if p.Pedals != nil {
		found = append(found, p.lateSeams()...)
	}
	return found
}

// followedBy puts what a hand reads later behind what it read before.
func followedBy(s, later hands.Staff) hands.Staff {
	for _, d := range later.Doubled {
		d.Stroke += len(s.Strokes)
		s.Doubled = append(s.Doubled, d)
	}
	s.Strokes = append(s.Strokes, later.Strokes...)
	s.Plucks = append(s.Plucks, later.Plucks...)
	s.Swept = append(s.Swept, later.Swept...)
	return s
}
