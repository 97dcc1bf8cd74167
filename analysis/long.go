package analysis

import (
	"slices"

	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// shelvedLong are the findings of the long tunes of a text, by tune; none for a tune that
// is read as one. They are told by bars, so that an edit changes those around it alone.
type shelvedLong [][]rules.Shelf

// longOf takes them from what the rules say.
func longOf(r *rules.Result) shelvedLong {
	out := make(shelvedLong, len(r.Long))
	for i, l := range r.Long {
		if l != nil {
			out[i] = l.Shelves
		}
	}
	return out
}

// around are the shelves of a tune whose findings begin in some bars.
func (s shelvedLong) around(tune, from, to int) (in, out []rules.Shelf) {
	for _, shelf := range s[tune] {
		if first, last := shelf.Bars(); first <= to && last >= from {
			in = append(in, shelf)
		} else {
			out = append(out, shelf)
		}
	}
	return in, out
}

// after gives the findings after an edit, between two bars of one tune: those of the whole
// tune that it touches are left out, and of the others those in the bars that were read
// anew have their new ones in their place.
func (s shelvedLong) after(tune int, was, is *score.Tune, c change, first, last int, near *rules.Near, asked [2]int) shelvedLong {
	next := slices.Clone(s)
	if s[tune] == nil {
		return next
	}
	if last >= is.Bars() {
		last = max(last, was.Bars())
	}
	in, out := s.around(tune, first, last)
	lists := make([][]rules.Finding, len(in))
	var among []rules.Finding
	for i, shelf := range in {
		for _, f := range shelf.Findings(was) {
			move(&f, []change{c})
			if f.Far() && c.touches(f.Span) {
				continue
			}
			lists[i] = append(lists[i], f)
			if near != nil && !f.Far() && f.Bar >= near.From && f.Bar <= near.To {
				among = append(among, f)
			}
		}
	}
	var fresh []rules.Finding
	from, to := 1, 0
	if near != nil {
		from, to = bordersOf(append(among, near.Findings...), near, is, asked[0], asked[1])
		for _, f := range near.Findings {
			if f.Bar >= from && f.Bar <= to {
				fresh = append(fresh, f)
			}
		}
	}
	for i, shelf := range in {
		left := slices.DeleteFunc(lists[i], func(f rules.Finding) bool { return !f.Far() && f.Bar >= from && f.Bar <= to })
		out = append(out, shelf.Refilled(is, left)...)
	}
	next[tune] = append(out, rules.Shelf{}.Refilled(is, fresh)...)
	return next
}

// touches says whether the bytes that a change has put in lie in a span.
func (c *change) touches(s score.Span) bool { return s.Start < c.end+c.by && c.start < s.End }
