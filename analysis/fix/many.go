package fix

import (
	"context"

	"fourfold/analysis/rules"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// Text is a file with its findings: what many fixes at once are asked for.
type Text struct {
	File     *syntax.File
	Score    *score.Score
	Parts    []*rules.Part // where they have been read; nil for none
	Findings []rules.Finding
	Settings rules.Settings
	Memory   *Memory // nil for none
}

// Outcome is what many fixes come to. Its edits count from the text that was asked
// about, do not overlap and belong together.
type Outcome struct {
	Edits []score.Edit
	After []byte // the text with all of them
	Fixed []Fix  // one for each finding answered, in the order taken; their own edits count from texts on the way
	Left  []Left // what was asked for and stays
	Whole bool   // false where the context ended first
}

// Left is a finding that could not be fixed, and why.
type Left struct {
	Finding rules.Finding
	Why     string
}

// Wanted chooses the findings that are to be fixed.
type Wanted func(rules.Finding) bool

// OfRule wants the findings of one rule, in one tune or, for "", in all.
func OfRule(rule, tune string) Wanted {
	return func(f rules.Finding) bool { return f.Rule == rule && (tune == "" || f.Tune == tune) }
}

// Warnings wants all warnings and errors.
func Warnings(f rules.Finding) bool { return f.Severity <= rules.Warning }

// Serious wants what the table of rules holds for a warning or an error, also where a
// hand that could help, a lone staff or a missing tempo has made a hint of it.
func Serious(f rules.Finding) bool { return f.Severity != rules.Off && weight(f) <= rules.Warning }

// All fixes what is wanted one finding after the other, each with its preferred
// fix. After each the whole text is read again; a fix that brings as severe a
// finding anywhere is taken back. A slower tempo is never taken by itself: that is
// for the composer to say.
func All(ctx context.Context, t Text, wanted Wanted) Outcome {
	return t.taking(ctx, wanted, func(fx Fix) bool { return !fx.Slower },
		"Its fixes would slow the piece down or bring something as severe elsewhere.")
}

// Kept is All with those fixes alone that keep every pitch where it sounded: what
// may be done without looking at each.
func Kept(ctx context.Context, t Text, wanted Wanted) Outcome {
	return t.taking(ctx, wanted, Fix.Keeps, "Its fixes would change what sounds, or bring something as severe elsewhere.")
}

// taking goes through what is wanted in the order of the text and takes for each the
// first fix that may be taken; otherwise says why one that has fixes stays. Findings
// far from each other are fixed together and read once, ever more of them; where that
// brings anything as severe, half as many.
func (t Text) taking(ctx context.Context, wanted Wanted, may func(Fix) bool, otherwise string) Outcome {
	out := Outcome{Whole: true}
	now := t
	given := map[identity]string{} // findings given up, and why
	for most := 1; ctx.Err() == nil; most = min(2*most, mostTogether) {
		batch := now.apart(most, wanted, func(id identity) bool { return given[id] != "" })
		if len(batch) == 0 {
			break
		}
		asked := now.asked(ctx, batch, may, func(f rules.Finding, a Answer) { given[identify(f)] = a.whyNot(otherwise) })
		for n := len(asked); n > 0; n /= 2 {
			if fixes, next, ok := now.take(ctx, asked[:n]); ok {
				now, out.Fixed = next, append(out.Fixed, fixes...)
				break
			}
			if n == 1 && ctx.Err() == nil {
				given[identify(asked[0].Finding)] = otherwise
			}
		}
	}
	out.Whole = ctx.Err() == nil
	return t.outcome(ctx, out, now, wanted, given)
}

// outcome sums up what became of a text. Why a finding stays is known of those that
// were given up; of the others there was no time to try.
func (t Text) outcome(ctx context.Context, out Outcome, now Text, wanted Wanted, given map[identity]string) Outcome {
	for _, f := range now.Findings {
		if !wanted(f) {
			continue
		}
		why := given[identify(f)]
		if why == "" {
			why = "There was no time to try."
		}
		out.Left = append(out.Left, Left{f, why})
	}
	out.After = now.File.Text()
	out.Edits = difference(t.File.Text(), out.After)
	return out
}

// identity knows a finding again after edits elsewhere.
type identity struct {
	rule, tune, voice, hand, message string
	bar                              int
}

func identify(f rules.Finding) identity {
	return identity{f.Rule, f.Tune, f.Voice, f.Hand, f.Message, f.Bar}
}

// next is the first finding that is wanted and not given up.
func (t Text) next(wanted Wanted, given func(identity) bool) (rules.Finding, bool) {
	for _, f := range t.Findings {
		if wanted(f) && !given(identify(f)) {
			return f, true
		}
	}
	return rules.Finding{}, false
}

// Question asks about one finding of the text.
func (t Text) Question(f rules.Finding) Question {
	return Question{File: t.File, Score: t.Score, Finding: f, Settings: t.Settings, Memory: t.Memory}
}

// accept applies a fix and reads the whole text again. False where that is no gain:
// no fewer findings as severe as the one answered.
func (t Text) accept(ctx context.Context, fx Fix, f rules.Finding) (Text, bool) {
	if fx.Slower {
		return Text{}, false
	}
	next, ok := t.after(ctx, fx.Edits)
	return next, ok && next.asSevere(f) < t.asSevere(f) && !newKind(t, next, f)
}

// asSevere counts the findings at least as severe as one, by the table of rules.
func (t Text) asSevere(f rules.Finding) (n int) {
	return countIf(t.Findings, func(g rules.Finding) bool { return weight(g) <= weight(f) })
}

// newKind says whether a rule as severe finds more in a bar than before, beyond the
// rule that is answered.
func newKind(before, after Text, f rules.Finding) bool {
	type spot struct {
		rule, tune, voice string
		bar               int
	}
	count := map[spot]int{}
	for _, g := range before.Findings {
		count[spot{g.Rule, g.Tune, g.Voice, g.Bar}]++
	}
	for _, g := range after.Findings {
		s := spot{g.Rule, g.Tune, g.Voice, g.Bar}
		if count[s]--; count[s] < 0 && weight(g) <= weight(f) {
			return true
		}
	}
	return false
}
