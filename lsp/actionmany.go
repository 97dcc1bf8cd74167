package lsp

import (
	"context"
	"fmt"
	"strings"
	"time"

	"fourfold/analysis/fix"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// budget is how long an action is worked on. Of many fixes at once, what is found by
// then is the answer, and what stays is said.
type budget struct {
	picked time.Duration // an action that somebody has picked
	listed time.Duration // one whose edit must come with the list, for editors that cannot ask later
}

func usualBudget() budget {
	return budget{picked: 2 * time.Second, listed: 300 * time.Millisecond}
}

// selectionOffers offer to fix all that is selected in one go.
func selectionOffers(_ context.Context, l *listing) []offer {
	serious := 0
	span := score.Span{Start: -1}
	for _, m := range l.meant {
		if fix.Serious(m.finding) {
			serious++
			if span.Start < 0 {
				span = m.finding.Span
			}
			span = score.Span{Start: min(span.Start, m.finding.Span.Start), End: max(span.End, m.finding.Span.End)}
		}
	}
	if !l.selected || serious < 2 {
		return nil
	}
	return []offer{{title: fmt.Sprintf("Mend the %d places of the selection together", serious),
		errand: errand{What: "selection", From: span.Start, To: span.End, slow: true}}}
}

func selectionErrand(ctx context.Context, d *desk, e errand) (done, bool) {
	return doneOf(d.reading.FixSelection(ctx, score.Span{Start: e.From, End: e.To}), true), true
}

// mostCounted is among how many findings those of a rule are counted for a title.
const mostCounted = 5000

// kindOffers offer to fix all findings of one rule, in the tune and in the file,
// where the one in hand has a fix that leaves the tempo alone.
func kindOffers(ctx context.Context, l *listing) (out []offer) {
	seen := map[string]bool{}
	for _, m := range l.answered() {
		rule, tune := m.finding.Rule, m.finding.Tune
		if seen[rule] || !mends(l.Answer(ctx, m.finding).Fixes) {
			continue
		}
		seen[rule] = true
		if l.Total() > mostCounted {
			out = append(out, offer{title: fmt.Sprintf("Mend all places of %s in this tune", rule),
				errand: errand{What: "kind", Rule: rule, Tune: tune, slow: true}})
			continue
		}
		inTune, inFile := l.Count(fix.OfRule(rule, tune)), l.Count(fix.OfRule(rule, ""))
		if inTune > 1 && tune != "" {
			out = append(out, offer{title: fmt.Sprintf("Mend all %d places of %s in this tune", inTune, rule),
				errand: errand{What: "kind", Rule: rule, Tune: tune, slow: true}})
		}
		if inFile > inTune || tune == "" && inFile > 1 {
			out = append(out, offer{title: fmt.Sprintf("Mend all %d places of %s in this file", inFile, rule),
				errand: errand{What: "kind", Rule: rule, slow: true}})
		}
	}
	return out
}

func mends(fixes []fix.Fix) bool {
	for _, x := range fixes {
		if !x.Slower {
			return true
		}
	}
	return false
}

func kindErrand(ctx context.Context, d *desk, e errand) (done, bool) {
	return doneOf(d.reading.FixAll(ctx, fix.OfRule(e.Rule, e.Tune)), true), true
}

// fixAllOffers mend the whole file with the fixes that keep every pitch where it
// sounds. An editor may take this action by itself, when a file is saved: it must not
// change the music.
func fixAllOffers(_ context.Context, l *listing) []offer {
	if !l.HasWarnings() {
		return nil
	}
	return []offer{{title: "Mend all that can be mended without changing what sounds", errand: errand{What: "all", slow: true}}}
}

func allErrand(ctx context.Context, d *desk, _ errand) (done, bool) {
	return doneOf(d.reading.FixKept(ctx, fix.Warnings), false), true
}

// mostSaid is how many places that stay are named in a message.
const mostSaid = 3

// doneOf tells what many fixes came to, and what stays.
func doneOf(o fix.Outcome, loud bool) done {
	d := done{edits: o.Edits, loud: loud}
	if len(o.Left) == 0 {
		return d
	}
	d.count = fmt.Sprintf("%d mended, %d left", len(o.Fixed), len(o.Left))
	said := []string{d.count}
	for i, left := range o.Left {
		if i == mostSaid {
			said = append(said, "…")
			break
		}
		said = append(said, stays(left.Finding, left.Why))
	}
	if !o.Whole {
		said = append(said, "There was no time to look further: ask again.")
	}
	d.said = strings.Join(said, " · ")
	return d
}

func stays(f rules.Finding, why string) string {
	return fmt.Sprintf("bar %d, %s: %s", f.Bar, f.Rule, why)
}
