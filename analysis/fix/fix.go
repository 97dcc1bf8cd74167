// Package fix finds rewrites that answer a finding. Each is tried on the text,
// parsed and analysed again by the same rules, and offered only if its finding
// is gone, nothing as severe has come and what it promises about the music
// holds.
package fix

import (
	"context"
	"sort"

	"fourfold/analysis/rules"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// Fix is one proved change.
type Fix struct {
	Title string // in musical words: what changes
	Rule  string // of the finding that it answers
	Edits []score.Edit
	Moved int // notes that change
	Steps int // strings that they move, together
}

// Question is a finding and the reading that it stands in.
type Question struct {
	File     *syntax.File
	Score    *score.Score
	Parts    []*rules.Part
	Finding  rules.Finding
	Settings rules.Settings
}

// most is how many fixes are offered for one finding.
const most = 5

// family proposes rewrites of one kind.
type family struct {
	rules   map[string]bool // the rules it may answer
	propose func(*site) []candidate
}

// families are all kinds of rewrite.
var families = []family{
	{rules: map[string]bool{rules.Turn.Name: true}, propose: reorder},
}

// For gives the proved fixes of a finding, the one that changes least first.
// Notation findings bring their own certain ones.
func For(ctx context.Context, q Question) []Fix {
	var out []Fix
	for _, c := range q.Finding.Certain {
		out = append(out, Fix{Title: c.Title, Rule: q.Finding.Rule, Edits: c.Edits})
	}
	s, ok := newSite(q)
	if !ok {
		return out
	}
	seen := map[string]bool{}
	for _, f := range families {
		if !f.rules[q.Finding.Rule] {
			continue
		}
		for _, c := range f.propose(s) {
			if ctx.Err() != nil {
				return out
			}
			if fx, text, ok := s.prove(c); ok && !seen[text] {
				seen[text] = true
				out = append(out, fx)
			}
		}
	}
	sort.SliceStable(out, func(i, j int) bool {
		if out[i].Moved != out[j].Moved {
			return out[i].Moved < out[j].Moved
		}
		return out[i].Steps < out[j].Steps
	})
	return out[:min(len(out), most)]
}
