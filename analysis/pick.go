package analysis

import (
	"slices"
	"sort"

	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// pick chooses the findings that matter most to somebody at a place of the text: all,
// up to a limit; beyond it half of them are the nearest, and half the gravest, of
// which again the nearest come first. Of two that are as near, the one before the
// place counts as nearer. They come in the order of the text, with how many more
// there are.
func (k *kept) pick(notation []rules.Finding, limit, point int) (list []rules.Finding, more int) {
	total := len(notation)
	for i := range k.shelves {
		total += len(k.shelves[i].findings)
	}
	if total <= limit {
		list = slices.Clone(notation)
		for i := range k.shelves {
			list = append(list, k.listed(&k.shelves[i])...)
		}
		inOrder(list)
		return list, 0
	}
	p := picking{kept: k, notation: notation, point: point, taken: map[spot]bool{}}
	p.nearest(limit/2, func(rules.Severity) bool { return true })
	for grave := rules.Error; grave <= rules.Hint && len(p.list) < limit; grave++ {
		p.nearest(limit-len(p.list), func(s rules.Severity) bool { return s == grave })
	}
	inOrder(p.list)
	return p.list, total - len(p.list)
}

// picking is the work of one pick.
type picking struct {
	*kept
	notation []rules.Finding
	point    int
	taken    map[spot]bool
	list     []rules.Finding
}

// spot is a finding's place: its shelf, -1 for the notation, and its number there.
type spot struct{ shelf, number int }

// candidate is a finding that may be taken.
type candidate struct {
	spot
	at int // where it starts
	f  *rules.Finding
}

// nearest takes up to n more of the wanted findings, going outwards from the point.
func (p *picking) nearest(n int, wanted func(rules.Severity) bool) {
	up, down := p.walk(wanted, 1), p.walk(wanted, -1)
	a, okA := up()
	b, okB := down()
	for ; n > 0 && (okA || okB); n-- {
		if okB && (!okA || p.point-b.at <= a.at-p.point) {
			p.take(b)
			b, okB = down()
		} else {
			p.take(a)
			a, okA = up()
		}
	}
}

func (p *picking) take(c candidate) {
	p.taken[c.spot] = true
	f := *c.f
	if c.shelf >= 0 {
		move(&f, p.changes[p.shelves[c.shelf].seen:])
	}
	p.list = append(p.list, f)
}

// walk goes over the wanted findings that are not taken yet, from the point to the
// end of the text or, backwards, to its start.
func (p *picking) walk(wanted func(rules.Severity) bool, step int) func() (candidate, bool) {
	shelved, noted := p.walkShelves(wanted, step), p.walkNotation(wanted, step)
	a, okA := shelved()
	b, okB := noted()
	return func() (c candidate, ok bool) {
		if okA && (!okB || (b.at-a.at)*step >= 0) {
			c, ok = a, true
			a, okA = shelved()
			return c, ok
		}
		c, ok = b, okB
		if okB {
			b, okB = noted()
		}
		return c, ok
	}
}

func (p *picking) walkNotation(wanted func(rules.Severity) bool, step int) func() (candidate, bool) {
	i := sort.Search(len(p.notation), func(i int) bool { return p.notation[i].Span.Start >= p.point })
	if step < 0 {
		i--
	}
	return func() (candidate, bool) {
		for ; i >= 0 && i < len(p.notation); i += step {
			f, at := &p.notation[i], spot{-1, i}
			if wanted(f.Severity) && !p.taken[at] {
				i += step
				return candidate{at, f.Span.Start, f}, true
			}
		}
		return candidate{}, false
	}
}

func (p *picking) walkShelves(wanted func(rules.Severity) bool, step int) func() (candidate, bool) {
	k := sort.Search(len(p.shelves), func(i int) bool { return p.shelves[i].first >= p.point })
	if k > 0 {
		k-- // the point may lie within the one before
	}
	if step > 0 && k > 0 && k == len(p.shelves) {
		k--
	}
	i := -1
	return func() (candidate, bool) {
		for ; k >= 0 && k < len(p.shelves); k, i = k+step, -1 {
			s := &p.shelves[k]
			if !p.holds(s, wanted) {
				continue
			}
			if i < 0 {
				i = p.enter(s, step)
			}
			for ; i >= 0 && i < len(s.findings); i += step {
				f, at := &s.findings[i], spot{k, i}
				if wanted(f.Severity) && !p.taken[at] {
					start := movedSpan(score.Span{Start: f.Span.Start, End: f.Span.Start}, p.changes[s.seen:]).Start
					if (start >= p.point) != (step > 0) {
						continue
					}
					if i += step; i < 0 {
						k, i = k+step, -1
					}
					return candidate{at, start, f}, true
				}
			}
		}
		return candidate{}, false
	}
}

// enter is the first finding to look at when a walk comes to a shelf.
func (p *picking) enter(s *shelf, step int) int {
	if step > 0 {
		return 0
	}
	return len(s.findings) - 1
}

// holds says whether a shelf has any wanted finding.
func (p *picking) holds(s *shelf, wanted func(rules.Severity) bool) bool {
	for severity, n := range s.count {
		if n > 0 && wanted(rules.Severity(severity)) {
			return true
		}
	}
	return false
}
