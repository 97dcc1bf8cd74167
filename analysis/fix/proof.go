package fix

import (
	"fourfold/analysis/rules"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// candidate is a rewrite that has not been proved.
type candidate struct {
	title   string
	edits   []score.Edit
	promise func(before, after *score.Tune) bool // what it says of the music
	moved   int
	steps   int
}

// prove applies the candidate, parses and analyses again. It holds if the
// finding is gone, nothing as severe has come in the bars touched or beside
// them, and its promise is kept. The text after it is returned too.
func (s *site) prove(c candidate) (Fix, string, bool) {
	text := applied(s.text, c.edits)
	after := score.Build(syntax.Parse(text))
	if len(after.Tunes) != len(s.Score.Tunes) {
		return Fix{}, "", false
	}
	before, now := s.Score.Tunes[s.tune], after.Tunes[s.tune]
	if !c.promise(before, now) {
		return Fix{}, "", false
	}
	_, was := rules.RunTune(s.text, before, s.Settings)
	_, is := rules.RunTune(text, now, s.Settings)
	if !answered(s.Finding, was, is) || worse(s.Finding, was, is) {
		return Fix{}, "", false
	}
	return Fix{Title: c.title, Rule: s.Finding.Rule, Edits: c.edits, Moved: c.moved, Steps: c.steps}, string(text), true
}

// answered says whether there is one finding less of the rule where f was.
func answered(f rules.Finding, was, is []rules.Finding) bool {
	same := func(g rules.Finding) bool {
		return g.Rule == f.Rule && g.Hand == f.Hand && g.EndBar >= f.Bar && g.Bar <= f.EndBar
	}
	return countIf(is, same) < countIf(was, same)
}

// worse says whether any rule as severe as f's finds more in the bars touched or
// beside them.
func worse(f rules.Finding, was, is []rules.Finding) bool {
	limit := weight(f)
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
// tempo turns into hints keeps its place.
func weight(f rules.Finding) rules.Severity {
	if s, ok := rules.Severities()[f.Rule]; ok {
		return s
	}
	return f.Severity
}

func near(f, g rules.Finding) bool { return g.EndBar >= f.Bar-1 && g.Bar <= f.EndBar+1 }

func countIf(list []rules.Finding, ok func(rules.Finding) bool) (n int) {
	for _, f := range list {
		if ok(f) {
			n++
		}
	}
	return n
}

// sameRhythm says whether all voices have the same bars, events and times.
func sameRhythm(before, after *score.Tune) bool {
	if len(before.Voices) != len(after.Voices) {
		return false
	}
	for v := range before.Voices {
		a, b := before.Voices[v].Bars, after.Voices[v].Bars
		if len(a) != len(b) {
			return false
		}
		for i := range a {
			if !sameTimes(&a[i], &b[i]) {
				return false
			}
		}
	}
	return true
}

func sameTimes(a, b *score.Bar) bool {
	if len(a.Events) != len(b.Events) || a.Length != b.Length {
		return false
	}
	for e := range a.Events {
		x, y := &a.Events[e], &b.Events[e]
		if x.Kind != y.Kind || x.Onset != y.Onset || x.Duration != y.Duration || len(x.Notes) != len(y.Notes) {
			return false
		}
	}
	return true
}

// sameNotes says whether each bar of each voice holds the same pitches, in
// whatever order.
func sameNotes(before, after *score.Tune) bool {
	for v := range before.Voices {
		for b := range before.Voices[v].Bars {
			left := map[pitch]int{}
			tally(left, &before.Voices[v].Bars[b], 1)
			tally(left, &after.Voices[v].Bars[b], -1)
			for _, n := range left {
				if n != 0 {
					return false
				}
			}
		}
	}
	return true
}

func tally(into map[pitch]int, bar *score.Bar, by int) {
	for e := range bar.Events {
		for _, n := range bar.Events[e].Notes {
			into[pitch{n.String, n.Alter}] += by
		}
	}
}
