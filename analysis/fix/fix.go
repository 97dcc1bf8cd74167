// Package fix finds rewrites that answer a finding. Each is tried on the text,
// parsed and analysed again by the same rules, and offered only if its finding
// is gone, nothing as severe has come and what it promises about the music
// holds.
package fix

import (
	"cmp"
	"context"
	"slices"
	"sort"

	"fourfold/analysis/rules"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// Fix is one proved change.
type Fix struct {
	Title  string // in musical words: what changes
	Family string // "reorder", "hand-over", …; "notation" for what the parser offers
	Rule   string // of the finding that it answers
	Edits  []score.Edit
	Moved  int    // notes that change
	Steps  int    // strings that they move, together
	Before string // the bars that change, as ABC, a line for each voice
	After  string
	Slower bool // the notes stay, the tempo gives way
	Warned bool // of an error: a warning comes in its place
}

// Keeps says whether every pitch sounds where it did: what changes is how it is
// spelled or which staff it stands on.
func (f Fix) Keeps() bool {
	switch f.Family {
	case "split", "hand-over", "spread", "respell", "passage", "two-strings", "notation":
		return true
	}
	return false
}

// place orders fixes before how little they change does: a chord that has too many
// strings is not rolled so that it comes too fast where leaving out a note mends it,
// and a slower tempo comes last.
func (f Fix) place() int {
	switch {
	case f.Slower:
		return 2
	case f.Warned:
		return 1
	}
	return 0
}

// Question is a finding and the reading that it stands in.
type Question struct {
	File     *syntax.File
	Score    *score.Score
	Finding  rules.Finding
	Settings rules.Settings
	Memory   *Memory // nil for none
	// Near asks for an answer at once, from the bars around: one that rests on more is
	// not looked for.
	Near bool
}

// Answer is what was found for one finding.
type Answer struct {
	Fixes   []Fix          // the one that changes least first, five at most
	Tried   int            // candidates
	Refused map[string]int // how many were not offered, by the reason
	Why     string         // why there is no fix; "" where there is one
	Far     bool           // the answer rests on more than Near allows: nothing was looked for
}

// mostOffered is how many fixes are offered for one finding.
const mostOffered = 5

// mostProved bounds how many candidates are tried on the text for one finding:
// those that change least come first.
const mostProved = 60

// family proposes rewrites of one kind.
type family struct {
	name    string
	answers func(rule string) bool
	propose func(*site) []candidate
}

// families are all kinds of rewrite.
var families = []family{
	{"reorder", anyOf(turnName, newPlacingName, restrikeName, tightName), reorder},
	{"other-end", anyOf(turnName, newPlacingName, restrikeName, tightName), otherEnd},
	{"split", speedRules, split},
	{"hand-over", lowOr(handRules), handOver},
	{"spread", anyOf(restrikeName, turnName, newPlacingName, tightName), spread},
	{"voicing", lowOr(handRules), voicing},
	{"doubled", handRules, doubled},
	{"roll", anyOf(reachName, tooManyName, stretchName), roll},
	{"together", anyOf(turnName, newPlacingName, restrikeName, tightName, trillName), together},
	{"strokes", anyOf(tremoloName), fewerStrokes},
	{"grace", eitherOf(speedRules, feetRules), graceNotes},
	{"thin", eitherOf(anyOf(tooManyName, reachName), feetRules), thin},
	{"marks", anyOf(rules.MarkWrong.Name, rules.MarkMissing.Name), pedalMarks},
	{"respell", feetRules, respell},
	{"passage", feetRules, passage},
	{"two-strings", anyOf(restrikeName, newPlacingName, turnName, tightName), twoStrings},
	{"octave", octaveRules, octave},
	{"tempo", hasSpeed, slower},
}

var (
	turnName       = rules.Turn.Name
	newPlacingName = rules.NewPlacing.Name
	restrikeName   = rules.Restrike.Name
	reachName      = rules.Reach.Name
	tooManyName    = rules.TooMany.Name
	stretchName    = rules.Stretch.Name
	tightName      = rules.Tight.Name
	rangeName      = rules.OutOfRange.Name
	trillName      = rules.Trill.Name
	undiscedName   = rules.Undisced.Name
	tremoloName    = rules.Tremolo.Name
	lowName        = rules.Low.Name
	buzzName       = rules.Buzz.Name
)

func anyOf(names ...string) func(string) bool {
	return func(rule string) bool {
		for _, n := range names {
			if n == rule {
				return true
			}
		}
		return false
	}
}

func eitherOf(a, b func(string) bool) func(string) bool {
	return func(rule string) bool { return a(rule) || b(rule) }
}

// lowOr adds the rule of notes that lie too low for the right hand.
func lowOr(rules func(string) bool) func(string) bool {
	return func(rule string) bool { return rule == lowName || rules(rule) }
}

// tried is a candidate with what orders it.
type tried struct {
	candidate
	family       string
	moved, steps int
}

// mostOfAFamily is how many fixes of one kind are offered for one finding, so that
// there is a choice between kinds.
const mostOfAFamily = 3

// superfluous says whether a candidate need not be tried beside what is offered
// already: there is enough of its family, or it does all that one of these does and
// changes more. Families are compared with each other only where notes are left out:
// a chord is not thinned by more than it must be.
func (t tried) superfluous(offered map[string][]change) bool {
	for family, changes := range offered {
		for _, c := range changes {
			if (family == t.family || len(t.drop) > 0 && len(c.drop) > 0) && t.holds(c) {
				return true
			}
		}
	}
	return len(offered[t.family]) >= mostOfAFamily
}

// For gives the proved fixes of a finding, the one that changes least first.
// Notation findings bring their own certain ones.
func For(ctx context.Context, q Question) []Fix { return Find(ctx, q).Fixes }

// Find gives the proved fixes of a finding and says what was refused. When the
// context ends, it gives what is proved by then.
func Find(ctx context.Context, q Question) Answer {
	a := q.find(ctx)
	if !a.Far {
		a.Why = whyNot(q.Finding, a)
	}
	return a
}

func (q Question) find(ctx context.Context) Answer {
	rule := q.Finding.Rule
	a := Answer{Refused: map[string]int{}}
	for _, c := range q.Finding.Certain {
		a.Fixes = append(a.Fixes, certainFix(q, c))
	}
	t, ok := q.tune()
	switch {
	case !ok || rule != rules.CheaperSpelling.Name && !slices.ContainsFunc(families, func(f family) bool { return f.answers(rule) }):
		return a
	case q.Near && (rule == rules.CheaperSpelling.Name || rule == tremoloName || isMark(rule)):
		return Answer{Far: true}
	case rule == rules.CheaperSpelling.Name:
		in, x := q.inExcerpt(t)
		a := findSpelling(ctx, in)
		a.Fixes = home(a.Fixes, x)
		return a
	case rule == tremoloName:
		in, x := q.inExcerpt(t)
		fixes, refused := tremoloOnTwo(ctx, in)
		a.Fixes = append(a.Fixes, home(fixes, x)...)
		a.Tried += len(fixes) + len(refused)
		for _, why := range refused {
			a.Refused[string(why)]++
		}
	}
	x := q.excerpt(t, around)
	subject, once := subjectOf(q.Finding, x)
	once = once && len(a.Fixes)+a.Tried == 0
	if known, ok := q.Memory.find(subject, x); once && ok {
		return known
	}
	s, ok := newSite(q, x)
	if !ok {
		a.Far = q.Near
		return a
	}
	s.search(ctx, &a)
	if once && ctx.Err() == nil && s.isNear() {
		q.Memory.keep(subject, x, a)
	}
	return a
}

// inExcerpt asks the same of the bars around where the tune is long, with the excerpt that
// holds them; of a tune that can be read as a whole, of the whole.
func (q Question) inExcerpt(t *score.Tune) (Question, *excerpt) {
	as := whole(q.File.Text())
	if t.Bars() <= mostWhole {
		return q, as
	}
	x := q.excerpt(t, farAround)
	span, ok := x.inside(q.Finding.Span)
	sc, read := q.Memory.scene(q, t, x)
	if !ok || !read {
		return q, as
	}
	q.File, q.Score = sc.parsed, sc.score
	q.Finding.Span, q.Finding.Bar, q.Finding.EndBar = span, q.Finding.Bar-x.first, q.Finding.EndBar-x.first
	return q, x
}

// home brings fixes of an excerpt home, as far as they can be.
func home(fixes []Fix, x *excerpt) (out []Fix) {
	for _, f := range fixes {
		if edits, ok := x.homeEdits(f.Edits); ok {
			f.Edits = edits
			out = append(out, f)
		}
	}
	return out
}

// search proves one candidate after the other until enough are offered.
func (s *site) search(ctx context.Context, a *Answer) {
	seen := map[string]bool{}
	offered := map[string][]change{} // by family
	certain := len(a.Fixes)
	var spots []string // where each of the others begins
	proved := 0
	for _, t := range s.candidates() {
		if len(a.Fixes) == mostOffered || proved == mostProved || ctx.Err() != nil {
			break
		}
		if t.superfluous(offered) {
			continue
		}
		a.Tried++
		// A figure put into one direction may leave a rest of the run to another
		// rule, which only the whole proof can tell.
		if t.family != "reorder" && !s.promising(t.candidate) {
			a.Refused[string(stillThere)]++
			continue
		}
		proved++
		w, why := s.prove(t.candidate)
		if why != "" {
			a.Refused[string(why)]++
			continue
		}
		if seen[string(w.text)] {
			continue
		}
		seen[string(w.text)] = true
		fx, ok := s.fix(t, w)
		if !ok {
			continue
		}
		if why := s.proveFar(t, fx.Edits); why != "" {
			a.Refused[string(why)]++
			continue
		}
		a.Fixes, spots = append(a.Fixes, fx), append(spots, s.begins(t.change))
		offered[t.family] = append(offered[t.family], t.change)
		if t.slower {
			break // the next would be slower still
		}
	}
	s.tellApart(a.Fixes[certain:], spots)
	slices.SortStableFunc(a.Fixes[certain:], func(x, y Fix) int { return cmp.Compare(x.place(), y.place()) })
}

// isNear says whether nothing was asked but the bars closest around.
func (s *site) isNear() bool { return s.far == nil && s.near }

// certainFix is a change that the finding itself brings.
func certainFix(q Question, c score.TextFix) Fix {
	fx := Fix{Title: c.Title, Family: "notation", Rule: q.Finding.Rule, Edits: c.Edits}
	if len(c.Edits) > 0 {
		at := c.Edits[0].Span.Start
		fx.Before, fx.After = lineAt(q.File.Text(), at), lineAt(score.Apply(q.File.Text(), c.Edits), at)
	}
	return fx
}

// candidates are those of all families, what changes least first; a slower tempo
// comes last.
func (s *site) candidates() (all []tried) {
	for _, f := range families {
		if !f.answers(s.finding.Rule) {
			continue
		}
		for _, c := range f.propose(s) {
			all = append(all, tried{c, f.name, c.moved(s), c.steps(s)})
		}
	}
	sort.SliceStable(all, func(i, j int) bool {
		a, b := all[i], all[j]
		switch {
		case a.slower != b.slower:
			return b.slower
		case a.moved != b.moved:
			return a.moved < b.moved
		}
		return a.steps < b.steps
	})
	return all
}

// fix brings a proved candidate home to the file.
func (s *site) fix(t tried, w written) (Fix, bool) {
	edits, ok := s.cut.homeEdits(w.edits)
	before, after := s.preview(w)
	return Fix{Title: t.title, Family: t.family, Rule: s.finding.Rule, Edits: edits,
		Moved: t.moved, Steps: t.steps, Before: before, After: after, Slower: t.slower, Warned: w.warned}, ok
}
