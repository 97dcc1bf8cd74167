package score

import "slices"

// slurEnd is one end of a slur, still without the other.
type slurEnd struct {
	bar  int
	span Span // of the file
}

// openSlur notes a ( of the voice.
func (v *voice) openSlur(span Span) {
	v.slurOpen++
	v.slurs = append(v.slurs, slurEnd{v.number, span})
}

// closeSlur matches a ) with the last ( of its voice.
func (v *voice) closeSlur(span Span) {
	if n := len(v.slurs); n > 0 {
		v.slurs = v.slurs[:n-1]
	} else {
		v.slurCloses = append(v.slurCloses, slurEnd{v.number, span})
	}
	if v.last >= 0 {
		v.events[v.last].SlurClose++
	}
}

// checkSlurs reports the slurs with one end. A slur may start in one voice and
// end in another of the same staff or of the staves braced with it, as piano
// and harp music often has it.
func (r *reader) checkSlurs() {
	for _, group := range r.slurGroups() {
		var opens, closes []slurEnd
		owner := map[Span]*voice{}
		for _, v := range group {
			opens = append(opens, v.slurs...)
			closes = append(closes, v.slurCloses...)
			for _, e := range v.slurs {
				owner[e.span] = v
			}
			for _, e := range v.slurCloses {
				owner[e.span] = v
			}
		}
		byBar := func(a, b slurEnd) int { return a.bar - b.bar }
		slices.SortStableFunc(opens, byBar)
		slices.SortStableFunc(closes, byBar)
		i := 0
		for _, c := range closes {
			if i < len(opens) && opens[i].bar <= c.bar {
				i++
				continue
			}
			r.problemAt(RuleUnclosed, owner[c.span].out.ID, c.bar, c.span, "This `)` closes no slur.",
				replace("Delete `)`", c.span, ""))
		}
		for _, o := range opens[i:] {
			r.problemAt(RuleUnclosed, owner[o.span].out.ID, o.bar, o.span, "This slur is never closed: put `)` after its last note.")
		}
	}
}

// slurGroups gives the voices among which a slur may wander.
func (r *reader) slurGroups() [][]*voice {
	var groups [][]*voice
	taken := map[*voice]bool{}
	byBrace := map[int]int{}
	for _, s := range r.tune.Staves {
		at := len(groups)
		if i, ok := byBrace[s.Brace]; ok && s.Brace > 0 {
			at = i
		} else {
			groups = append(groups, nil)
			byBrace[s.Brace] = at
		}
		for _, id := range s.Voices {
			if v := r.byID[id]; v != nil && !taken[v] {
				taken[v] = true
				groups[at] = append(groups[at], v)
			}
		}
	}
	for _, v := range r.voices {
		if !taken[v] {
			groups = append(groups, []*voice{v})
		}
	}
	return groups
}
