package rules_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

const header = "X:1\nT:t\nM:none\nL:1/4\nK:C\n"

// What the words of each rule of the notation call a fault is found by it, and
// what they call right is not.
func TestNotationDocs(t *testing.T) {
	examples := map[string]struct{ fails, passes string }{
		score.RuleSyntax:     {header + "C ^ D\n", header + "C ^D\n"},
		score.RuleUnclosed:   {header + "[CEG D E F\n", header + "[CEG] D E F\n"},
		score.RuleBarLength:  {strings.Replace(header, "none", "4/4", 1) + "C D E F | C D E | C D E F |]\n", strings.Replace(header, "none", "4/4", 1) + "C D E F | C D E F |]\n"},
		score.RuleVoices:     {header + "V:RH\nC D | E F |\nV:LH\nC D |\n", header + "V:RH\nC D | E F |\nV:LH\nC D | E F |\n"},
		score.RuleTie:        {header + "C- D |\n", header + "C- C |\n"},
		score.RuleBroken:     {header + "C D E F> |\n", header + "C D E> F |\n"},
		score.RuleTuplet:     {header + "(3 C D | E\n", header + "(3 C D E |\n"},
		score.RuleDecoration: {header + "!trll!C\n", header + "!trill!C\n"},
		score.RuleField:      {header + "C [T:Title] D\n", header + "C D\n"},
		score.RuleScoreVoice: {"X:1\nT:t\n%%score {RH LH}\nL:1/4\nK:C\nV:RH\nC\n", "X:1\nT:t\n%%score {RH LH}\nL:1/4\nK:C\nV:RH\nC\nV:LH\nC\n"},
		score.RuleVoice:      {"X:1\nT:t\nV:RH\nL:1/4\nK:C\nV:RG\nC\n", "X:1\nT:t\nV:RH\nL:1/4\nK:C\nV:RH\nC\n"},
		score.RuleLyrics:     {header + "C D |\nw: one two three\n", header + "C D |\nw: one two\n"},
		score.RuleAccidental: {header + "^F ^F |\n", header + "^F F |\n"},
		score.RuleLoose:      {header + "+CEG+\n", header + "[CEG]\n"},
	}
	for _, r := range rules.Notation() {
		t.Run(r.Name, func(t *testing.T) {
			e, ok := examples[r.Name]
			if assert.True(t, ok, "no example") {
				assert.NotEmpty(t, ofRule(run(t, e.fails, rules.Defaults()), r.Name), e.fails)
				assert.Empty(t, ofRule(run(t, e.passes, rules.Defaults()), r.Name), e.passes)
			}
		})
	}
}
