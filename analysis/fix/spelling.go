package fix

import (
	"context"
	"maps"
	"math"

	"fourfold/analysis/feet"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// spelling is the question for the cheapest spelling of a scope.
type spelling struct {
	*scope
	plucked []rules.Plucked
	fixed   []bool // keep their spelling
	spots   map[*score.Note]spot
	ways    [][2]int // the bars before and after each way back to the start of a repeat
}

func (s *scope) newSpelling(keep map[int]bool) *spelling {
	sp := &spelling{scope: s, plucked: s.part.Plucked(), spots: map[*score.Note]spot{}}
	eachNote(s.tune, func(at spot, _ *score.Bar, _ *score.Event, n *score.Note) { sp.spots[n] = at })
	sp.fixed = s.binding(sp.plucked, sp.spots)
	for i, pl := range sp.plucked {
		b := pl.Bar - 1
		sp.fixed[i] = sp.fixed[i] || b < s.first || b > s.last || keep[b]
	}
	for _, w := range s.part.Ways() {
		if w[1] <= w[0] {
			sp.ways = append(sp.ways, w)
		}
	}
	return sp
}

// sounded is the music that is to be spelled, and the note behind each of its notes; nil
// for one that only says where the pedals are.
type sounded struct {
	music []feet.Instant
	from  [][]*score.Note
}

func (m *sounded) add(t float64, n feet.Note, of *score.Note) {
	if len(m.music) == 0 || t-m.music[len(m.music)-1].T > tolerance {
		m.music, m.from = append(m.music, feet.Instant{T: t}), append(m.from, nil)
	}
	k := len(m.music) - 1
	m.music[k].Notes, m.from[k] = append(m.music[k].Notes, n), append(m.from[k], of)
}

// cheapest gives the notes that the cheapest spelling changes. With known, the spelling
// found before, the ways back to the starts of repeats count.
func (sp *spelling) cheapest(ctx context.Context, known map[spot]pitch) (map[spot]pitch, error) {
	m := sp.sounded(known)
	best, err := feet.Spell(ctx, m.music, feet.SpellOptions{Initial: feet.AllFree(), Strings: feet.StringsOf(sp.part.Settings.Instrument, m.music)})
	if err != nil {
		return nil, err
	}
	to := map[spot]pitch{}
	for i := range m.music {
		for k, n := range best.Music[i].Notes {
			if was := m.from[i][k]; was != nil && (n.String != was.String || n.Alter != was.Alter) {
				for _, held := range sp.chain(sp.spots[was]) {
					to[held] = pitch{n.String, n.Alter}
				}
			}
		}
	}
	return to, nil
}

func (sp *spelling) sounded(known map[spot]pitch) *sounded {
	m, shift, ways := &sounded{}, 0.0, sp.ways
	if known == nil {
		ways = nil
	}
	glissandi := sp.held()
	for i, pl := range sp.plucked {
		for len(ways) > 0 && pl.Bar > ways[0][0] {
			shift = sp.wayBack(m, ways[0], i, shift, known)
			ways = ways[1:]
		}
		for len(glissandi) > 0 && glissandi[0].t <= pl.T+tolerance {
			m.add(glissandi[0].t+shift, glissandi[0].note, nil)
			glissandi = glissandi[1:]
		}
		m.add(pl.T+shift, feet.Note{String: pl.Note.String, Alter: pl.Note.Alter, Fixed: sp.fixed[i]}, pl.Note)
	}
	for _, w := range ways {
		shift = sp.wayBack(m, w, len(sp.plucked), shift, known)
	}
	return m
}

// pauseAfter is how long after a way back the music goes on from where it stood before
// it, in seconds: long enough for the feet to return without being late.
const pauseAfter = 60.0

// wayBack adds what the feet must do on a way back: the first note of each letter after
// it comes as soon as when it is played; then, if music follows, after a pause that costs
// them nothing but the moves, what the repeat uses stands again as at its end. It gives by
// how much all that follows is later.
func (sp *spelling) wayBack(m *sounded, w [2]int, next int, shift float64, known map[spot]pitch) float64 {
	end, start := sp.part.Timeline.Seconds(w[0]+1, score.Zero), sp.part.Timeline.Seconds(w[1], score.Zero)
	var seen [feet.Letters]bool
	for i, open := 0, feet.Letters; i < next && open > 0; i++ {
		n := sp.known(i, known)
		if l := n.Letter(); sp.plucked[i].Bar >= w[1] && !seen[l] {
			seen[l] = true
			open--
			m.add(end+shift+max(0, sp.plucked[i].T-start), n, nil)
		}
	}
	if next == len(sp.plucked) {
		return shift
	}
	shift += end - start + pauseAfter
	var last []int
	seen = [feet.Letters]bool{}
	for i := next - 1; i >= 0 && len(last) < feet.Letters && sp.plucked[i].Bar >= w[1]; i-- {
		if l := sp.known(i, known).Letter(); !seen[l] {
			seen[l] = true
			last = append(last, i)
		}
	}
	for k := len(last) - 1; k >= 0; k-- {
		m.add(max(sp.plucked[last[k]].T, start)+shift, sp.known(last[k], known), nil)
	}
	return shift
}

// known is a note as it was spelled last, to stay so.
func (sp *spelling) known(i int, known map[spot]pitch) feet.Note {
	n := sp.plucked[i].Note
	if p, ok := known[sp.spots[n]]; ok {
		return feet.Note{String: p.str, Alter: p.alter, Fixed: true}
	}
	return feet.Note{String: n.String, Alter: n.Alter, Fixed: true}
}

// mostReturns is how often the spelling is asked for anew with the ways back as the last one
// has them.
const mostReturns = 3

// withWaysBack looks for a spelling that is cheaper where the ways back count, and gives
// the cheapest that it meets: the plain one, or none at all.
func (sp *spelling) withWaysBack(ctx context.Context, plain map[spot]pitch) (best map[spot]pitch, err error) {
	least := costOf(sp.part)
	next := plain
	for round := range mostReturns + 1 {
		if len(next) > 0 {
			cost, err := sp.cost(ctx, next)
			if err != nil {
				return nil, err
			}
			if cost < least || cost == least && round == 0 {
				best, least = next, cost
			}
		}
		last := next
		if next, err = sp.cheapest(ctx, last); err != nil || maps.Equal(next, last) {
			return best, err
		}
	}
	return best, nil
}

// cost is what a spelling asks of the feet, infinite for one that cannot be written.
func (sp *spelling) cost(ctx context.Context, to map[spot]pitch) (float64, error) {
	after, why := sp.reletter(to, nil)
	if why != "" {
		return math.Inf(1), nil
	}
	part, err := sp.partIn(ctx, after)
	if err != nil {
		return 0, err
	}
	return costOf(part), nil
}

// costOf counts the moves of a part, those on ways back too, and lateness as the speller
// weighs it.
func costOf(p *rules.Part) float64 {
	cost := float64(movesOf(p))
	late := func(m feet.Move) { cost += feet.LateCost * m.Late }
	for _, m := range p.Pedals.Plan.Moves {
		late(m)
	}
	for _, s := range p.Pedals.Seams {
		for _, m := range s.Moves {
			late(m)
		}
	}
	return cost
}

// movesOf counts the moves of a part, those on ways that the page does not show too.
func movesOf(p *rules.Part) int {
	n := len(p.Pedals.Plan.Moves)
	for _, s := range p.Pedals.Seams {
		n += len(s.Moves)
	}
	return n
}
