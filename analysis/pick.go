package analysis

import (
	"cmp"
	"math"
	"slices"

	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// store is some findings of a glimpse that stand near each other.
type store struct {
	region score.Span // where they begin
	n      int
	count  [rules.Hint + 1]int // by severity
	list   func() []rules.Finding
}

// stores are all findings of a text, in the order in which they are told.
func (g *Glimpse) stores() (all []store) {
	n := len(g.notation)/shelfSize + 1 + len(g.kept.shelves)
	for _, shelves := range g.long {
		n += len(shelves)
	}
	all = make([]store, 0, n)
	for from := 0; from < len(g.notation); from += shelfSize {
		list := g.notation[from:min(len(g.notation), from+shelfSize)]
		s := store{region: score.Span{Start: list[0].Span.Start, End: list[len(list)-1].Span.Start + 1}, n: len(list), list: func() []rules.Finding { return list }}
		for i := range list {
			s.count[list[i].Severity]++
		}
		all = append(all, s)
	}
	for i := range g.kept.shelves {
		shelf, end := &g.kept.shelves[i], math.MaxInt
		if i+1 < len(g.kept.shelves) {
			end = g.kept.shelves[i+1].first + 1
		}
		all = append(all, store{score.Span{Start: shelf.first, End: end}, len(shelf.findings), shelf.count, func() []rules.Finding { return g.kept.listed(shelf) }})
	}
	for i, shelves := range g.long {
		t := g.score.Tunes[i]
		for k := range shelves {
			s := store{region: shelves[k].Region(t), n: shelves[k].Len(), list: func() []rules.Finding { return shelves[k].Findings(t) }}
			for severity := range s.count {
				s.count[severity] = shelves[k].Count(rules.Severity(severity))
			}
			all = append(all, s)
		}
	}
	return all
}

// distance is how far from a place the nearest of them may begin. What begins before
// the place counts as nearer.
func (s *store) distance(point int) int {
	switch {
	case point < s.region.Start:
		return distance(s.region.Start, point)
	case point >= s.region.End:
		return distance(s.region.End-1, point)
	}
	return 0
}

func distance(at, point int) int {
	if at < point {
		return 2*(point-at) - 1
	}
	return 2 * (at - point)
}

// pick chooses the findings that matter most to somebody at a place of the text: all,
// up to a limit; beyond it half of them are the nearest, and half the gravest, of
// which again the nearest come first. Of two that are as near, the one before the
// place counts as nearer. They come in the order of the text, with how many more
// there are.
func pick(stores []store, limit, point int) (list []rules.Finding, more int) {
	total := 0
	for i := range stores {
		total += stores[i].n
	}
	if total <= limit {
		for i := range stores {
			list = append(list, stores[i].list()...)
		}
		inOrder(list)
		return list, 0
	}
	p := picking{stores: stores, point: point, read: make([][]rules.Finding, len(stores)), taken: map[spot]bool{}}
	p.order = make([]far, len(stores))
	for i := range stores {
		p.order[i] = far{i, stores[i].distance(point)}
	}
	slices.SortFunc(p.order, func(a, b far) int { return cmp.Or(cmp.Compare(a.distance, b.distance), cmp.Compare(a.store, b.store)) })
	p.nearest(limit/2, func(rules.Severity) bool { return true })
	for grave := rules.Error; grave <= rules.Hint && len(p.list) < limit; grave++ {
		p.nearest(limit-len(p.list), func(s rules.Severity) bool { return s == grave })
	}
	slices.SortFunc(p.list, func(a, b candidate) int {
		return cmp.Or(cmp.Compare(a.f.Span.Start, b.f.Span.Start), cmp.Compare(a.f.Severity, b.f.Severity), a.spot.compare(b.spot))
	})
	for _, c := range p.list {
		list = append(list, *c.f)
	}
	return list, total - len(list)
}

// picking is the work of one pick.
type picking struct {
	stores []store
	order  []far // the nearest store first
	point  int
	read   [][]rules.Finding // of the stores that were looked into
	taken  map[spot]bool
	list   []candidate
}

// far is a store and how far it is.
type far struct{ store, distance int }

// spot is a finding's place: its store, and its number there.
type spot struct{ store, number int }

func (s spot) compare(o spot) int {
	return cmp.Or(cmp.Compare(s.store, o.store), cmp.Compare(s.number, o.number))
}

// candidate is a finding that may be taken.
type candidate struct {
	spot
	distance int
	f        *rules.Finding
}

// compare puts the nearer first.
func (c candidate) compare(o candidate) int {
	if c.distance != o.distance {
		return cmp.Compare(c.distance, o.distance)
	}
	return c.spot.compare(o.spot)
}

// nearest takes up to n more of the wanted findings, the nearest first.
func (p *picking) nearest(n int, wanted func(rules.Severity) bool) {
	var found []candidate
	for _, o := range p.order {
		if len(found) >= n {
			slices.SortFunc(found, candidate.compare)
			if found = found[:n]; n == 0 || found[n-1].distance < o.distance {
				break
			}
		}
		if !p.stores[o.store].holds(wanted) {
			continue
		}
		for i := range p.findings(o.store) {
			f, at := &p.read[o.store][i], spot{o.store, i}
			if wanted(f.Severity) && !p.taken[at] {
				found = append(found, candidate{at, distance(f.Span.Start, p.point), f})
			}
		}
	}
	slices.SortFunc(found, candidate.compare)
	found = found[:min(n, len(found))]
	for _, c := range found {
		p.taken[c.spot] = true
	}
	p.list = append(p.list, found...)
}

// findings are those of a store.
func (p *picking) findings(store int) []rules.Finding {
	if p.read[store] == nil {
		p.read[store] = p.stores[store].list()
	}
	return p.read[store]
}

// holds says whether there is any wanted finding.
func (s *store) holds(wanted func(rules.Severity) bool) bool {
	for severity, n := range s.count {
		if n > 0 && wanted(rules.Severity(severity)) {
			return true
		}
	}
	return false
}
