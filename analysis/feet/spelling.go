package feet

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// Spelling is a passage respelled so that the feet have least to do.
type Spelling struct {
	// Cost counts 1 for a move, 1.5 for one over two notches, 100 for each quarter
	// of a second that a move is late, 0.05 for each note that is not as written.
	Cost float64
	// Music is the instants as they were given, in their order, respelled.
	Music []Instant
	// Respelled is how many notes are not as written.
	Respelled int
	// Impossible is which instants have no spelling (G, G sharp and A together). They
	// stay as written, ask nothing of the feet and cost nothing.
	Impossible []int
	// Proved says that no spelling is cheaper. It is always so for short passages
	// and for music that the feet can play; in a long one that hurries them
	// throughout, only the most promising ways are followed.
	Proved bool
}

// LateCost is what a second of lateness counts in a Cost: 100 for each quarter.
const LateCost = 400

// SpellOptions says where the feet start from.
type SpellOptions struct {
	Initial Setting // Free for pedals that are set before the music as it wants them
	Start   float64 // seconds: from when on pedals may move
	Busy    Busy    // Steady where it is zero
	Strings Strings
}

// A first search follows few ways and gives a good spelling to measure the rest
// by. The second follows all that can still become cheaper: some hundreds a
// moment in hurried chromatic music, and never more than mostWays or, in short
// passages, as many as make mostLabels in all.
const (
	fewWays    = 32
	mostWays   = 1500
	mostLabels = 1_500_000
)

// Spell finds the cheapest spelling of a passage: each note on any string that
// sounds it, no letter at two positions in one instant, fixed notes and written
// doublings as they are. The lateness of a foot is by the window rule: it takes
// its moves in the order of their deadlines, each from the later of when it is
// free and the letter's last use; of several for one instant first the one that
// can start first, then the one of fewer notches. It fails only when the context
// ends.
//
// The search goes through the music with all ways of spelling it side by side.
// Of two ways with the same setting, one that is no dearer and whose pedals are
// ready no later makes the other superfluous; and a way that cannot become
// cheaper than a spelling already found is given up.
func Spell(ctx context.Context, music []Instant, o SpellOptions) (Spelling, error) {
	if o.Busy == (Busy{}) {
		o.Busy = Steady
	}
	s := speller{options: o, music: moments(music, o.Strings)}
	s.ahead = lookAhead(s.music, o.Busy)
	s.asWritten()
	for _, width := range []int{fewWays, max(mostWays, mostLabels/(len(s.music)+1))} {
		if err := s.search(ctx, width); err != nil {
			return Spelling{}, err
		}
		if s.proved {
			break
		}
	}
	return s.spelling(music), nil
}

// CostAsSpelled gives what Spell would count for the passage as it is written;
// false where some instant cannot be played so.
func CostAsSpelled(music []Instant, o SpellOptions) (float64, bool) {
	if o.Busy == (Busy{}) {
		o.Busy = Steady
	}
	s := speller{options: o, music: moments(music, o.Strings)}
	s.asWritten()
	if s.path == nil {
		return 0, false
	}
	return float64(s.cost) / costMove, true
}

type speller struct {
	options SpellOptions
	music   []moment
	ahead   *ahead
	cost    int64   // of path; the largest number while there is none
	path    []int32 // the choice for each moment
	proved  bool
}

func (s *speller) first() label {
	a := label{pos: s.options.Initial, parent: -1}
	for l := range a.ready {
		a.ready[l] = s.options.Start
		if a.pos[l] == Free {
			a.ready[l] = math.Inf(-1)
		}
	}
	return a
}

// asWritten takes the spelling as it is for the first path, if it can be played.
func (s *speller) asWritten() {
	s.cost = math.MaxInt64
	at := s.first()
	path := make([]int32, len(s.music))
	for i := range s.music {
		m := &s.music[i]
		switch {
		case len(m.choices) == 0:
			continue
		case m.choices[0].respelled > 0:
			return
		}
		at = at.step(&m.choices[0], m.t, s.options.Busy)
	}
	s.cost, s.path = at.cost, path
}

// step is where a label came from, kept for the way back.
type step struct{ parent, choice int32 }

// search goes through the music with at most so many labels a moment, and keeps
// the best path if it is cheaper than what is known. What was cut off and could
// have become cheaper leaves the result unproved.
func (s *speller) search(ctx context.Context, width int) error {
	labels := []label{s.first()}
	trail := make([][]step, len(s.music))
	cut := int64(math.MaxInt64)
	f := newFront()
	for i := range s.music {
		if len(labels) == 0 {
			break
		}
		if i%64 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		labels = s.advance(f, labels, i)
		if len(labels) > width {
			cut = min(cut, s.narrow(labels, i+1, width))
			labels = labels[:width]
		}
		trail[i] = make([]step, len(labels))
		for k := range labels {
			trail[i][k] = step{labels[k].parent, labels[k].choice}
		}
	}
	if len(labels) > 0 {
		s.keep(labels, trail)
	}
	s.proved = cut >= s.cost
	return nil
}

// advance takes every label through one moment in every way, and keeps those that
// are not covered and can still become cheaper than the path that is known.
func (s *speller) advance(f *front, labels []label, i int) []label {
	m := &s.music[i]
	f.clear()
	for k := range labels {
		if len(m.choices) == 0 {
			same := labels[k]
			same.parent = int32(k)
			f.add(same)
			continue
		}
		for c := range m.choices {
			next := labels[k].step(&m.choices[c], m.t, s.options.Busy)
			if next.cost+s.ahead.from(i+1, next.pos) >= s.cost {
				continue
			}
			next.parent, next.choice = int32(k), int32(c)
			if i+1 < len(s.music) {
				next.forget(s.music[i+1].t, s.options.Busy)
			}
			f.add(next)
		}
	}
	return f.labels()
}

// narrow brings the most promising labels to the front and gives the least that
// any of the others could come to.
func (s *speller) narrow(labels []label, i, width int) int64 {
	promise := func(a *label) int64 { return a.cost + s.ahead.from(i, a.pos) }
	type ranked struct {
		promise int64
		place   int
	}
	order := make([]ranked, len(labels))
	for k := range labels {
		order[k] = ranked{promise(&labels[k]), k}
	}
	slices.SortFunc(order, func(a, b ranked) int {
		return cmp.Or(cmp.Compare(a.promise, b.promise), cmp.Compare(a.place, b.place))
	})
	best := make([]label, width)
	for k := range best {
		best[k] = labels[order[k].place]
	}
	copy(labels, best)
	return order[width].promise
}

// keep follows the cheapest label back to the start.
func (s *speller) keep(labels []label, trail [][]step) {
	best := 0
	for k := range labels {
		if labels[k].cost < labels[best].cost {
			best = k
		}
	}
	if labels[best].cost >= s.cost {
		return
	}
	s.cost = labels[best].cost
	s.path = make([]int32, len(trail))
	at := int32(best)
	for i := len(trail) - 1; i >= 0; i-- {
		s.path[i] = trail[i][at].choice
		at = trail[i][at].parent
	}
}

// spelling writes the path into the music.
func (s *speller) spelling(music []Instant) Spelling {
	out := Spelling{Cost: float64(s.cost) / costMove, Proved: s.proved}
	for _, instant := range music {
		out.Music = append(out.Music, Instant{T: instant.T, Notes: slices.Clone(instant.Notes)})
	}
	for i, m := range s.music {
		if len(m.choices) == 0 {
			for _, f := range m.from {
				if n := len(out.Impossible); n == 0 || out.Impossible[n-1] != f[0] {
					out.Impossible = append(out.Impossible, f[0])
				}
			}
			continue
		}
		chosen := m.choices[s.path[i]]
		out.Respelled += chosen.respelled
		for k, f := range m.from {
			n := &out.Music[f[0]].Notes[f[1]]
			n.String, n.Alter = chosen.notes[m.which[k]].String, chosen.notes[m.which[k]].Alter
		}
	}
	slices.Sort(out.Impossible)
	return out
}
