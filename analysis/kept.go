package analysis

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// kept are the findings of a text in the order of the text, kept on shelves: an
// edit changes the shelves around it, and all others only learn that they have
// moved. So keeping them costs by the shelf and not by the finding.
type kept struct {
	shelves []shelf
	changes []change // since the oldest shelf was filled
	turn    int      // the shelf that was renewed last
}

// shelf holds findings that stand together. They are never changed.
type shelf struct {
	findings []rules.Finding
	first    int                 // where in the text of now the first one starts
	seen     int                 // so many changes are counted in
	count    [rules.Hint + 1]int // by severity
}

// change is an edit: the bytes from start to end became by more.
type change struct{ start, end, by int }

const (
	shelfSize = 64
	renewed   = 64   // one shelf in so many is filled anew after each edit
	longest   = 1024 // bytes that a finding on one line may cover
)

// shelve puts findings, in order, on shelves.
func shelve(findings []rules.Finding) kept { return kept{shelves: appendShelves(nil, findings, 0)} }

func appendShelves(out []shelf, findings []rules.Finding, seen int) []shelf {
	for len(findings) > 0 {
		n := min(len(findings), shelfSize)
		s := shelf{findings: findings[:n:n], first: findings[0].Span.Start, seen: seen}
		for i := range s.findings {
			s.count[s.findings[i].Severity]++
		}
		out = append(out, s)
		findings = findings[n:]
	}
	return out
}

// after gives the findings after an edit; those of the whole tune that it touches
// are left out.
func (k kept) after(c change) kept {
	next := kept{shelves: slices.Clone(k.shelves), changes: append(slices.Clone(k.changes), c), turn: k.turn}
	for i := range next.shelves {
		next.shelves[i].first = c.offset(next.shelves[i].first)
	}
	next.renew()
	next.rewrite(score.Span{Start: max(0, c.start-longest), End: max(c.end+c.by, c.start)}, nil, func(f *rules.Finding) bool {
		return f.Far() && c.touches(f.Span)
	})
	return next
}

// renew fills a few shelves anew, in turn, so that none falls far behind.
func (k *kept) renew() {
	for n := 1 + len(k.shelves)/renewed; n > 0 && len(k.shelves) > 0; n-- {
		k.turn = (k.turn + 1) % len(k.shelves)
		s := &k.shelves[k.turn]
		*s = appendShelves(nil, k.listed(s), len(k.changes))[0]
	}
	oldest := len(k.changes)
	for i := range k.shelves {
		oldest = min(oldest, k.shelves[i].seen)
	}
	k.changes = slices.Clone(k.changes[oldest:])
	for i := range k.shelves {
		k.shelves[i].seen -= oldest
	}
}

// listed gives the findings of a shelf as they stand now.
func (k *kept) listed(s *shelf) []rules.Finding {
	changes := k.changes[s.seen:]
	if len(changes) == 0 {
		return s.findings
	}
	out := slices.Clone(s.findings)
	for i := range out {
		move(&out[i], changes)
	}
	return out
}

// move brings a finding to where it now stands.
func move(f *rules.Finding, changes []change) {
	f.Span = movedSpan(f.Span, changes)
	if len(f.Related) > 0 {
		f.Related = slices.Clone(f.Related)
		for i := range f.Related {
			f.Related[i].Span = movedSpan(f.Related[i].Span, changes)
		}
	}
	if len(f.Certain) > 0 {
		f.Certain = slices.Clone(f.Certain)
		for i := range f.Certain {
			edits := slices.Clone(f.Certain[i].Edits)
			for j := range edits {
				edits[j].Span = movedSpan(edits[j].Span, changes)
			}
			f.Certain[i].Edits = edits
		}
	}
}

func movedSpan(s score.Span, changes []change) score.Span {
	for i := range changes {
		c := &changes[i]
		start := c.offset(s.Start)
		s = score.Span{Start: start, End: max(start, c.end2(s.End))}
	}
	return s
}

// offset is where a place stands after the change; one inside moves to its start.
func (c *change) offset(at int) int {
	switch {
	case at >= c.end:
		return at + c.by
	case at > c.start:
		return c.start
	}
	return at
}

// end2 is offset for the end of a span: what is put in right after it is not in it.
func (c *change) end2(at int) int {
	if at <= c.start {
		return at
	}
	return c.offset(at)
}

// replace puts the findings of some bars, read anew, in the place of those that
// were there. The borders lie where no finding reaches over them.
func (k *kept) replace(t *score.Tune, near *rules.Near, from, to int) {
	regions := regionsOf(t, near.From, near.To)
	among := append([]rules.Finding(nil), near.Findings...)
	for _, r := range regions {
		lo, hi := k.shelvesIn(r)
		for i := lo; i < hi; i++ {
			for _, f := range k.listed(&k.shelves[i]) {
				if !f.Far() && f.Tune == t.Number && f.Bar >= near.From && f.Bar <= near.To {
					among = append(among, f)
				}
			}
		}
	}
	from, to = bordersOf(among, near, t, from, to)
	fresh := make([]rules.Finding, 0, len(near.Findings))
	for _, f := range near.Findings {
		if f.Bar >= from && f.Bar <= to {
			fresh = append(fresh, f)
		}
	}
	for _, r := range regions {
		k.rewrite(r, within(fresh, r), func(f *rules.Finding) bool {
			return !f.Far() && f.Tune == t.Number && f.Bar >= from && f.Bar <= to
		})
	}
}

// bordersOf widens the bars that findings are replaced in until none of those around
// reaches over their ends.
func bordersOf(among []rules.Finding, near *rules.Near, t *score.Tune, from, to int) (int, int) {
	if to >= t.Bars() {
		to = math.MaxInt
	}
	for again := true; again; {
		again = false
		for i := range among {
			switch f := &among[i]; {
			case f.Bar < from && f.EndBar >= from && f.Bar > near.From:
				from, again = f.Bar, true
			case f.Bar <= to && f.EndBar > to && f.EndBar < near.To:
				to, again = f.EndBar, true
			}
		}
	}
	return from, to
}

// within are the findings that start in a span.
func within(in []rules.Finding, r score.Span) (out []rules.Finding) {
	for _, f := range in {
		if r.Start <= f.Span.Start && f.Span.Start < r.End {
			out = append(out, f)
		}
	}
	return out
}

// regionsOf are the places in the file where some bars of all voices stand, in order
// and apart.
func regionsOf(t *score.Tune, from, to int) (out []score.Span) {
	for _, v := range t.Voices {
		first, last := v.Bar(from), v.Bar(min(to, v.Len()))
		if first == nil || last == nil {
			continue
		}
		end := t.Span.End
		if next := v.Bar(to + 1); next != nil {
			end = next.Start
		}
		out = append(out, score.Span{Start: first.Start, End: max(first.Start, end)})
	}
	slices.SortFunc(out, func(a, b score.Span) int { return cmp.Compare(a.Start, b.Start) })
	apart := out[:0]
	for _, s := range out {
		if n := len(apart) - 1; n >= 0 && s.Start <= apart[n].End {
			apart[n].End = max(apart[n].End, s.End)
			continue
		}
		apart = append(apart, s)
	}
	return apart
}

// shelvesIn are the shelves that may hold findings starting in a span, the last one
// excluded.
func (k *kept) shelvesIn(r score.Span) (lo, hi int) {
	lo = sort.Search(len(k.shelves), func(i int) bool { return k.shelves[i].first >= r.Start })
	hi = sort.Search(len(k.shelves), func(i int) bool { return k.shelves[i].first >= r.End })
	return max(0, lo-1), hi
}

// rewrite takes findings that start in a span away and puts others there.
func (k *kept) rewrite(r score.Span, fresh []rules.Finding, gone func(*rules.Finding) bool) {
	lo, hi := k.shelvesIn(score.Span{Start: r.Start, End: max(r.End, r.Start+1)})
	var list []rules.Finding
	changed := len(fresh) > 0
	for i := lo; i < hi; i++ {
		for _, f := range k.listed(&k.shelves[i]) {
			if f.Span.Start >= r.Start && f.Span.Start < r.End && gone(&f) {
				changed = true
				continue
			}
			list = append(list, f)
		}
	}
	if !changed {
		return
	}
	list = append(list, fresh...)
	inOrder(list)
	k.shelves = slices.Concat(k.shelves[:lo], appendShelves(nil, list, len(k.changes)), k.shelves[hi:])
}

// inOrder sorts by place in the text, the worst first.
func inOrder(list []rules.Finding) {
	slices.SortStableFunc(list, func(a, b rules.Finding) int {
		return cmp.Or(cmp.Compare(a.Span.Start, b.Span.Start), cmp.Compare(a.Severity, b.Severity))
	})
}
