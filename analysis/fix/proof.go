package fix

import (
	"slices"

	"fourfold/analysis/harp"
	"fourfold/analysis/rules"
)

// prove writes the candidate into the text, reads it and analyses it again. It
// holds if its promise is kept, the finding is gone, nothing as severe has come
// in the bars touched or beside them, and a hand that was given notes is free.
func (s *site) prove(c candidate) (written, refusal) {
	w, why := s.write(c.change)
	if why != "" {
		return written{}, why
	}
	if !c.promise(s.tune, w.tune) {
		return written{}, promiseBroken
	}
	parts, is := rules.RunSome(w.text, w.tune, s.set, s.matters)
	switch {
	case c.slower && len(c.graces) == 0:
		if why := s.slowerHolds(is); why != "" {
			return written{}, why
		}
	case !answered(s.finding, s.was, is), s.livesOn(parts, is):
		return written{}, stillThere
	case worse(s.finding, weight(s.finding), s.was, is), c.slower && s.newPlaces(is):
		return written{}, othersCome
	case c.spare && s.moves(parts) > s.moves([]*rules.Part{s.part}):
		return written{}, pedalNeeded
	case len(c.give) > 0 && !s.isFree(parts, c.change):
		return written{}, otherBusy
	}
	w.warned = !c.slower && worse(s.finding, rules.Warning, s.was, is)
	return w, ""
}

// moves counts the pedal moves of the finding's player.
func (s *site) moves(parts []*rules.Part) int {
	for _, p := range parts {
		if p.Player.Has(s.finding.Voice) && p.Pedals != nil {
			return len(p.Pedals.Plan.Moves)
		}
	}
	return 0
}

// answered says whether there is one finding less of the rule where f was.
func answered(f rules.Finding, was, is []rules.Finding) bool {
	same := func(g rules.Finding) bool {
		return g.Rule == f.Rule && g.Hand == f.Hand && g.EndBar >= f.Bar && g.Bar <= f.EndBar
	}
	return countIf(is, same) < countIf(was, same)
}

// livesOn says whether strokes at fault are still at fault in another finding of the same
// rule: one that has taken up this one beside its own.
func (s *site) livesOn(parts []*rules.Part, is []rules.Finding) bool {
	if s.hand == nil {
		return false
	}
	from, to := s.hand.Strokes[s.finding.From].T, s.hand.Strokes[s.finding.To].T
	covering := func(list []rules.Finding, parts []*rules.Part) (n int) {
		for _, g := range list {
			h := handOf(parts, g)
			if g.Rule != s.finding.Rule || g.Hand != s.finding.Hand || h == nil || g.To >= len(h.Strokes) || !s.samePlayer(s.finding, g) {
				continue
			}
			if first, last := max(from, h.Strokes[g.From].T), min(to, h.Strokes[g.To].T); last-first > tolerance || from == to && last >= first {
				n++
			}
		}
		return n
	}
	return covering(is, parts) >= covering(s.was, s.parts)
}

// handOf is the hand that a finding is about; nil for none.
func handOf(parts []*rules.Part, f rules.Finding) *rules.Hand {
	for _, p := range parts {
		for _, h := range p.Hands() {
			if h.Name == f.Hand && p.Player.Has(f.Voice) {
				return h
			}
		}
	}
	return nil
}

// slowerHolds says whether, at a slower tempo, the finding is gone and nothing is
// found but where something was; the refusal is "" where it is so. A neighbour with a
// stroke in common may need a slower one still. The strokes are those that were, so
// findings of a player are compared by them; one that covered many may leave several.
func (s *site) slowerHolds(is []rules.Finding) refusal {
	over := func(f, g rules.Finding) bool {
		if f.Hand == "" || g.Hand == "" {
			return f.Rule == g.Rule && f.Hand == g.Hand && f.Voice == g.Voice && f.Bar == g.Bar
		}
		return f.Hand == g.Hand && f.From <= g.To && g.From <= f.To && s.samePlayer(f, g)
	}
	own := func(g rules.Finding) bool { return g.Rule == s.finding.Rule && over(s.finding, g) }
	if countIf(is, own) >= countIf(s.was, own) {
		return stillThere
	}
	for _, g := range is {
		if weight(g) > weight(s.finding) || g.Hand == "" && g.Speed == nil {
			continue
		}
		known := false
		for _, f := range s.was {
			known = known || weight(f) <= weight(g) && over(f, g)
		}
		if !known {
			return othersCome
		}
	}
	return ""
}

// newPlaces says whether anything as severe is found in a bar where nothing was.
func (s *site) newPlaces(is []rules.Finding) bool {
	for _, g := range is {
		if weight(g) > weight(s.finding) {
			continue
		}
		if !slices.ContainsFunc(s.was, func(f rules.Finding) bool {
			return weight(f) <= weight(g) && f.Voice == g.Voice && f.Bar <= g.EndBar && g.Bar <= f.EndBar
		}) {
			return true
		}
	}
	return false
}

// samePlayer says whether two findings are about one harpist: in a tune for several each
// has hands of these names.
func (s *site) samePlayer(f, g rules.Finding) bool {
	return f.Voice == g.Voice || slices.ContainsFunc(rules.Players(s.tune), func(p rules.Player) bool { return p.Has(f.Voice) && p.Has(g.Voice) })
}

// worse says whether any rule as severe as a limit finds more in the bars that f
// touches or beside them.
func worse(f rules.Finding, limit rules.Severity, was, is []rules.Finding) bool {
	for _, g := range is {
		if weight(g) > limit || !near(f, g) {
			continue
		}
		alike := func(x rules.Finding) bool { return x.Rule == g.Rule && x.Voice == g.Voice && near(f, x) }
		if countIf(is, alike) > countIf(was, alike) {
			return true
		}
	}
	return false
}

// weight is a rule's severity by the table: what a lone staff or a missing
// tempo turns into hints keeps its place, and a rule that is off unless somebody asks
// for it weighs what it is found with.
func weight(f rules.Finding) rules.Severity {
	if s, ok := rules.DefaultSeverity(f.Rule); ok && s != rules.Off {
		return s
	}
	return f.Severity
}

// matters says whether a rule counts in the proof: it is the finding's own, or as
// severe, or gives warnings.
func (s *site) matters(rule string) bool {
	return rule == s.question.Finding.Rule || isAsSevere(rule, s.limit())
}

// limit is the severity from which a rule counts in the proof.
func (s *site) limit() rules.Severity { return max(weight(s.question.Finding), rules.Warning) }

func near(f, g rules.Finding) bool { return g.EndBar >= f.Bar-1 && g.Bar <= f.EndBar+1 }

func countIf(list []rules.Finding, ok func(rules.Finding) bool) (n int) {
	for _, f := range list {
		if ok(f) {
			n++
		}
	}
	return n
}

// isFree says whether the other hand, with the notes that it was given, has no
// need that is tight in the bars of those notes.
func (s *site) isFree(parts []*rules.Part, c change) bool {
	first, last := s.finding.Bar, s.finding.EndBar
	for at := range c.give {
		first, last = min(first, at.bar+1), max(last, at.bar+1)
	}
	for _, p := range parts {
		if !p.Player.Has(s.finding.Voice) {
			continue
		}
		for _, h := range p.Hands() {
			if h.Name == s.other.Name && busy(h, first, last, s.set.Hand) {
				return false
			}
		}
	}
	return true
}

// busy says whether no fingering of the placings that lie in some bars, and of those
// beside them, keeps every need within a load. The cheapest one may be tighter.
func busy(h *rules.Hand, first, last int, profile harp.Hand) bool {
	limit, pls := profile.Tight+tolerance, h.Solution.Placings
	from, to, over := -1, -1, false
	for i := range pls {
		pl := &pls[i]
		if h.Plucks[pl.To][0].Bar < first || h.Plucks[pl.From][0].Bar > last {
			continue
		}
		if from < 0 {
			from = i
		}
		to = i
		over = over || pl.Impossible || pl.Load > limit || pl.ChangeLoad > limit
	}
	if !over {
		return false
	}
	from, to = max(0, from-1), min(to+1, len(pls)-1)
	return h.Solution.Ceiling(pls[from].From, pls[to].To) > limit
}
