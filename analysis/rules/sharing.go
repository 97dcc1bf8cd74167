package rules

import (
	"context"
	"fmt"
	"slices"
	"sort"

	"fourfold/analysis/hands"
	"fourfold/parser/score"
)

// deal says which hand takes a string at a moment, where it is not the staff's.
type deal map[dealKey]hands.Side

type dealKey struct {
	t   float64
	str int
	of  hands.Side // the staff it is written on
}

// share lets the hands help each other where one of them cannot play its staff:
// the notes in and around each such place are dealt anew, and the new deal is kept
// where it makes things better and brings no trouble elsewhere. What is kept
// shows in Played; the staves as written stay as they are. The only error is the
// context's; what was dealt by then is in the memory for the next reading.
func (p *Part) share(ctx context.Context) error {
	pieces := p.troubledPieces()
	given := make([][]dealKey, len(pieces))
	asked := p.piecesToDeal(pieces)
	err := eachAtOnce(ctx, p.workers, len(pieces), func(i int) { given[i] = p.dealAnew(pieces[i], asked.holds(i)) })
	if err != nil {
		return err
	}
	dealt := deal{}
	for _, keys := range given {
		for _, k := range keys {
			dealt[k] = 1 - k.of
		}
	}
	p.play(dealt)
	for len(dealt) > 0 {
		if err := ctx.Err(); err != nil {
			return err
		}
		fresh := p.freshTroubles()
		if len(fresh) == 0 {
			return nil
		}
		dealt.forget(fresh, p.Settings.Hand.Afresh)
		p.play(dealt)
	}
	return nil
}

// freshTroubles are those of the hands as they play where neither staff as
// written has one as great.
func (p *Part) freshTroubles() (out []window) {
	var written []trouble
	for _, h := range p.Hands() {
		written = append(written, h.troubles()...)
	}
	for _, h := range p.Played {
		if h == nil {
			continue
		}
		for _, t := range h.troubles() {
			if t.load > mostTouching(written, t.window)+tolerance {
				out = append(out, t.window)
			}
		}
	}
	return out
}

// mostTouching is the largest load of the troubles that touch a time; 0 for none.
func mostTouching(list []trouble, t window) (load float64) {
	for _, w := range list {
		if w.from <= t.to && t.from <= w.to {
			load = max(load, w.load)
		}
	}
	return load
}

// leastAround, in seconds, is where forget begins to look when the settings let a hand
// start afresh at once.
const leastAround = 0.1

// forget takes back what is dealt around some windows: within some seconds of each, or, where
// nothing is dealt there, so much further off as something is. What another window takes back
// too counts as dealt: else one of two that overlap would reach for deals far off.
func (d deal) forget(windows []window, around float64) {
	gone := deal{}
	for _, w := range windows {
		for by, found := max(around, leastAround), false; !found; by *= 2 {
			wider := window{w.from - by, w.to + by}
			for k, side := range d {
				if wider.holds(k.t) {
					gone[k], found = side, true
				}
			}
		}
	}
	for k := range gone {
		delete(d, k)
	}
}

// dealAnew shares the notes of a piece and gives what changes hands, if the hands
// then have less trouble. A piece that is not to be searched is dealt only where the
// deal is known.
func (p *Part) dealAnew(w piece, search bool) (given []dealKey) {
	written := hands.Written{Named: true, Two: p.Right != nil && p.Left != nil, Spared: true, Within: w.free}
	for side, h := range []*Hand{p.Right, p.Left} {
		if h == nil {
			continue
		}
		from, to := h.strokesIn(w.window)
		written.Staves[side] = h.Strokes[from:to]
		written.Bound[side] = h.named(from, to)
	}
	own := fromZero(written)
	work := func() []handedOver { return shared(own, p.Settings.solver()) }
	switch {
	case p.section != nil && !p.touches(w.window, p.section.From-borderBars, p.section.To+borderBars):
		return nil
	case p.section == nil && !search:
		work = nil
	}
	for _, o := range p.Settings.memory.recall(own, p.Settings.Hand, work) {
		given = append(given, dealKey{written.Staves[o.of][o.stroke].T, o.str, o.of})
	}
	return given
}

// named are the notes of some strokes that a mark gives to this hand.
func (h *Hand) named(from, to int) (out []hands.Stroke) {
	for i := from; i < to; i++ {
		s := hands.Stroke{T: h.Strokes[i].T}
		for _, pl := range h.Plucks[i] {
			if pl.Named {
				s.Strings = append(s.Strings, pl.Note.String)
			}
		}
		if len(s.Strings) > 0 {
			out = append(out, s)
		}
	}
	return out
}

// touches says whether a window touches some bars, as far as the tune has them.
func (p *Part) touches(w window, from, to int) bool {
	from, to = max(1, from), min(to, p.Home().Bars())
	return w.to >= p.Timeline.Seconds(from, score.Zero) && w.from < p.Timeline.Seconds(to+1, score.Zero)
}

// piecesBeside is how many pieces are searched on each side of those asked about. With one,
// some cards in ten thousand differ from the whole's.
const piecesBeside = 2

// pieceRange is some pieces in a row, by place: the first, and the one behind the last.
type pieceRange struct{ from, to int }

func (r pieceRange) holds(i int) bool { return r.from <= i && i < r.to }

// piecesToDeal are the pieces that must be searched for the fingering of what is asked
// about: those that touch it, and the next two on each side, since what a hand takes there
// decides how it comes and goes on.
func (p *Part) piecesToDeal(pieces []piece) pieceRange {
	if !p.isStretch {
		return pieceRange{0, len(pieces)}
	}
	begin, end := p.Timeline.Seconds(p.asked[0], score.Zero), p.Timeline.Seconds(p.asked[1]+1, score.Zero)
	from := sort.Search(len(pieces), func(i int) bool { return pieces[i].to >= begin })
	to := sort.Search(len(pieces), func(i int) bool { return pieces[i].from >= end })
	return pieceRange{max(0, from-piecesBeside), min(len(pieces), to+piecesBeside)}
}

// ways is how many ways to share are kept at a time. Fewer miss deals in real harp parts;
// twelve take a fifth longer and find one more in the repertoire.
const ways = 8

// shared lists what the hands hand over in a stretch; nothing where that does not
// lessen their trouble.
func shared(w hands.Written, solver *hands.Solver) (out []handedOver) {
	sharing := solver.ShareQuickly(w, ways)
	played := sharing.Strokes()
	for of, strokes := range w.Staves {
		for i, s := range strokes {
			for _, str := range s.Strings {
				if struck(played[1-of], s.T, str) && !struck(w.Staves[1-of], s.T, str) {
					out = append(out, handedOver{hands.Side(of), i, str})
				}
			}
		}
	}
	if len(out) == 0 {
		return nil
	}
	before := 0.0
	for _, strokes := range w.Staves {
		before += missing(solver.Solve(strokes))
	}
	two := sharing.Solve()
	if missing(two.Hands[0])+missing(two.Hands[1]) >= before-tolerance {
		return nil
	}
	return out
}

func struck(strokes []hands.Stroke, t float64, str int) bool {
	i := sort.Search(len(strokes), func(i int) bool { return strokes[i].T >= t-1e-9 })
	return i < len(strokes) && strokes[i].T-t <= 1e-9 && indexOf(strokes[i].Strings, str) >= 0
}

// missing adds up by how much a hand misses; a stroke that no hand takes counts
// as ten.
func missing(s *hands.Solution) (sum float64) {
	for _, pl := range s.Placings {
		sum += max(0, pl.Load-1) + max(0, pl.ChangeLoad-1)
		if pl.Impossible {
			sum += notTaken
		}
	}
	return sum
}

// takes is the hand that takes a note of a hand's staff.
func (d deal) takes(t float64, pl hands.Pluck, of hands.Side) hands.Side {
	if to, ok := d[dealKey{t, pl.Note.String, of}]; ok && !pl.Named {
		return to
	}
	return of
}

// play fingers both hands under a deal.
func (p *Part) play(d deal) {
	if len(d) == 0 {
		p.Played = [2]*Hand{p.Right, p.Left}
		return
	}
	var dealt [2]hands.Staff
	for of, h := range []*Hand{p.Right, p.Left} {
		if h == nil {
			continue
		}
		side := hands.Side(of)
		dealt[side].Grow(len(h.Strokes))
		for i, plucks := range h.Plucks {
			t := h.Strokes[i].T
			if !slices.ContainsFunc(plucks, func(pl hands.Pluck) bool { return d.takes(t, pl, side) != side }) {
				dealt[side].Add(t, plucks...)
				continue
			}
			for _, pl := range plucks {
				dealt[d.takes(t, pl, side)].Add(t, pl)
			}
		}
	}
	p.bothHands(func(side hands.Side) {
		dealt[side].Settle()
		if len(dealt[side].Strokes) > 0 {
			p.Played[side] = p.fingered(handNames[side], dealt[side], true)
		}
	})
}

var handNames = [2]string{"right hand", "left hand"}

// isHelped says whether the other hand is free to take what h cannot between two
// times: as they play, h has no need above a load there, and no need of the other is
// tight, or tighter than its own staff is around there.
func (p *Part) isHelped(h *Hand, t window, load float64) bool {
	for side, played := range p.Played {
		if played == nil {
			continue
		}
		limit := load
		if handNames[side] != h.Name {
			limit = max(p.Settings.Hand.Tight, p.writtenLoad(side, t))
		}
		if played.busierThan(limit, t) {
			return false
		}
	}
	return true
}

// writtenLoad is the largest load up to 1 that a hand's own staff asks of it in a time
// and the time of a fresh start around it.
func (p *Part) writtenLoad(side int, t window) (load float64) {
	h := []*Hand{p.Right, p.Left}[side]
	if h == nil {
		return 0
	}
	around := p.Settings.Hand.Afresh
	pls := h.Solution.Placings
	first := sort.Search(len(pls), func(i int) bool { return h.Strokes[pls[i].To].T >= t.from-around })
	for i := first; i < len(pls) && h.Strokes[pls[i].From].T <= t.to+around; i++ {
		for _, l := range [2]float64{pls[i].Load, pls[i].ChangeLoad} {
			if l <= 1 {
				load = max(load, l)
			}
		}
	}
	return load
}

// busierThan says whether a need of the placings in a time, or of the way into
// them, is above a load, or a stroke is one that no hand takes.
func (h *Hand) busierThan(load float64, t window) bool {
	pls := h.Solution.Placings
	first := sort.Search(len(pls), func(i int) bool { return h.Strokes[pls[i].To].T >= t.from })
	for i := first; i < len(pls) && h.Strokes[pls[i].From].T <= t.to; i++ {
		if pls[i].Impossible || pls[i].Load > load+tolerance || pls[i].ChangeLoad > load+tolerance {
			return true
		}
	}
	return false
}

// helpWords name the hand and the notes that it takes from the other's staff. Where h
// still has a need above 1, nothing is said of that.
func (p *Part) helpWords(h *Hand, t window, load float64) string {
	other := 0
	if h.Name == handNames[0] {
		other = 1
	}
	var names []string
	if helper := p.Played[other]; helper != nil {
		for i, plucks := range helper.Plucks {
			if !t.holds(helper.Strokes[i].T) {
				continue
			}
			for _, pl := range plucks {
				if h.plays(pl) {
					names = append(names, quoted(p.Typed(pl)))
				}
			}
		}
	}
	if len(names) == 0 {
		return ""
	}
	const shown = 6
	more := ""
	if len(names) > shown {
		more = fmt.Sprintf(" and %s more", count(len(names)-shown, "note"))
		names = names[:shown]
	}
	so := "it can be played"
	if load > 1 {
		so = "two hands take it"
	}
	if more != "" {
		return fmt.Sprintf("The %s is free to take %s%s: shared so, %s.", handNames[other], joinComma(names), more, so)
	}
	return fmt.Sprintf("The %s is free to take %s: shared so, %s.", handNames[other], list(names), so)
}

func joinComma(words []string) string {
	s := ""
	for i, w := range words {
		if i > 0 {
			s += ", "
		}
		s += w
	}
	return s
}

// plays says whether a note is this hand's own as written.
func (h *Hand) plays(pl hands.Pluck) bool {
	return h.voices[pl.Voice.ID] != pl.Bound
}
