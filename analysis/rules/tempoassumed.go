package rules

import (
	"fmt"

	"fourfold/parser/score"
)

const tempoAssumedName = "tempo/assumed"

// TempoAssumed is the note that says why findings about speed are only hints.
var TempoAssumed = Rule{
	Name:  tempoAssumedName,
	Title: "the score gives no tempo as a number",
	Doc: `Whether a hand has time depends on the tempo. Where a tune has no Q: field, or one with words
only, 90 quarter notes a minute are assumed, and findings that depend on speed are hints.

Fails: no Q:, or Q:"Andante". Passes: Q:1/4=72, or Q:"Andante" 1/4=72.

What to do: give a number in Q:.

Where the number comes from: common practice, no source; it can be set.`,
}

// assumedTempo says it once, where speed matters.
func assumedTempo(p *Part, findings []Finding) (Finding, bool) {
	if !p.Timeline.Assumed() {
		return Finding{}, false
	}
	for _, f := range findings {
		if f.Speed != nil && f.Tune == p.Tune.Number {
			span := f.Span
			if len(p.Tune.Tempi) > 0 {
				span = p.Tune.Tempi[0].Span
			}
			return Finding{Rule: tempoAssumedName, Severity: p.severity(tempoAssumedName), Tune: f.Tune, Voice: f.Voice, Bar: f.Bar, Span: span,
				Message: fmt.Sprintf("The score gives no tempo as a number: %s is assumed, so what depends on speed is only a hint.",
					TempoWords(p.Settings.DefaultTempo, score.F(1, 4))),
				Advice: "Write a number, for example Q:1/4=72."}, true
		}
	}
	return Finding{}, false
}
