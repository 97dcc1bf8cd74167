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
	var away []PedalSeam // of the section that was left last
	var last *Part
	marks := func() {
		if last != nil && last.Pedals != nil {
			last.Pedals.Seams = away
			found = append(found, last.farMarks()...)
		}
		away, last = nil, nil
	}
	eachSeam(secs, ends, func(k int, w seam) {
		if secs[k].holdsWay(w) || ctx.Err() != nil {
			return
		}
		if tl == nil {
			tl = t.Timeline(score.TempoChoice{Override: set.Tempo, Default: set.DefaultTempo})
			arounds = aroundsOf(secs, ends)
		}
		if last != nil && *last.section != secs[k] {
			marks()
		}
		to := k
		for to > 0 && w.to < secs[to].From {
			to--
		}
		for to+1 < len(secs) && w.to > secs[to].To {
			to++
		}
		p := &Part{Player: player, Tune: t, Settings: set, text: text, Timeline: tl, whole: t, section: &secs[k],
			around: &Around{seams: []seam{w}, across: arounds[k].across}}
		pieces := piecesOf(w, secs[k], secs[to])
		p.readPieces(pieces)
		p.readBeyond(pieces, arounds[k], arounds[to])
		found = append(found, p.acrossSeam()...)
		if last = p; p.Pedals != nil {
			away = append(away, p.Pedals.Seams...)
		}
	})
	marks()
	return found, ctx.Err()
}

// piecesOf are the bars to read for a way, in order and apart: the sections at its ends,
// and a repeat before an ending.
func piecesOf(w seam, from, to Section) []Section {
	switch {
	case w.to <= w.from && to.To < from.From:
		return []Section{to, from}
	case w.again > 0:
		from.From = min(from.From, w.again)
	}
	return []Section{{min(from.From, to.From), max(from.To, to.To)}}
}

// readPieces reads the staves in some bars, as if the tune had no others.
func (p *Part) readPieces(pieces []Section) {
	var staves [2]hands.Staff
	for _, piece := range pieces {
		player := p.Player.In(p.whole.Stretch(piece.From, piece.To))
		p.parted = append(p.parted, player.Voices()...)
		read := hands.FromScore(player.Upper, player.Lower, layoutOf(p.Tune, p.Player), p.Timeline, p.Settings.Hand)
		for side := range staves {
			staves[side] = followedBy(staves[side], read[side])
		}
	}
	p.Right = plainHand(handNames[hands.Right], p.Player.Upper, staves[hands.Right])
	p.Left = plainHand(handNames[hands.Left], p.Player.Lower, staves[hands.Left])
}

// readBeyond finds what lies beyond the sections at the two ends of a way.
func (p *Part) readBeyond(pieces []Section, from, to Around) {
	type asking struct { // a glissando asks for all letters
		at noteAt
		of int8
	}
	known := map[asking]bool{}
	add := func(list []use, marks bool) {
		for _, u := range list {
			key := asking{u.at, u.of}
			inside := func(s Section) bool { return s.From <= int(u.at.bar) && int(u.at.bar) <= s.To }
			if known[key] || slices.ContainsFunc(pieces, inside) {
				continue
			}
			known[key] = true
			u.marked = u.marked && marks
			if pl, ok := p.noteOf(u.at); ok {
				p.beyond = append(p.beyond, farUse{u, pluckAt{Pluck: &pl, stroke: -1, t: p.Timeline.Seconds(pl.Bar, pl.Onset)}})
			}
		}
	}
	add(from.after, true)
	add(from.before, false)
	add(to.after, false)
	add(to.before, false)
}

// acrossSeam finds what goes wrong on a way.
func (p *Part) acrossSeam() (found []Finding) {
	p.seams = p.findSeams()
	for _, r := range []Rule{Restrike, Turn, NewPlacing} {
		found = append(found, r.Whole(p)...)
	}
	if p.Settings.Instrument.Pedals {
		p.Pedals = p.demands()
		p.Pedals.Seams = p.pedalSeams(p.Pedals)
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
