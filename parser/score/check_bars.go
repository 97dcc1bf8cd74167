package score

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// sortProblems puts problems in the order of the text, and those of one place, as notes of
// a macro are, in that of their bars.
func sortProblems(ps []Problem) {
	slices.SortStableFunc(ps, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(a.Span.Start, b.Span.Start), cmp.Compare(a.Bar, b.Bar))
	})
}

// checked says that all bars are checked but for those with an index from one up to
// another, the last excluded, and what was said about them.
type checked struct {
	from, to int
	said     []Problem
}

// checkBars compares bars with their meter, and then the bars of one number
// with one another.
func (r *reader) checkBars() {
	from, to := 0, 0
	for _, v := range r.voices {
		to = max(to, v.out.list.n)
	}
	before := len(r.tune.Problems)
	if c := r.checked; c != nil {
		from, to = c.from, min(c.to, to)
		r.tune.Problems = append(r.tune.Problems, c.said...)
	}
	said := map[int]bool{} // bars about which something has been said
	for _, v := range r.voices {
		for i := from; i < min(to, v.out.list.n); i++ {
			if r.checkBar(v.out, i) {
				said[i] = true
			}
		}
	}
	if len(r.voices) > 1 {
		r.compareBars(from, to, said)
	}
	if r.trail != nil {
		r.trail.bars = slices.Clone(r.tune.Problems[before:])
	}
}

// checkBar reports a bar that its meter does not fit. The first may be a
// pickup, the last may leave its time, and a bar cut in two at a section's edge
// is whole when its halves make one.
func (r *reader) checkBar(v *Voice, i int) bool {
	b := v.list.at(i)
	want := b.Meter.Length
	if want.Sign() <= 0 {
		return false
	}
	switch b.Length.Cmp(want) {
	case 0:
		return false
	case -1:
		if i == 0 || i == v.list.n-1 || v.split(i) || r.halves(i) {
			return false
		}
		r.shortBar(v, i, want)
	default:
		r.longBar(v, i, want)
	}
	return true
}

// split says whether a short bar stands at a section's edge, where the rest of
// its time may stand on the other side or at the start of the section.
func (v *Voice) split(i int) bool {
	return isSection(v.list.at(i).Opening) || isSection(v.list.at(i).Closing) || v.list.at(i).Ending != "" ||
		i+1 < v.list.n && v.list.at(i+1).Ending != ""
}

// isSection says whether a bar line is more than a plain one.
func isSection(text string) bool {
	return strings.ContainsAny(text, ":[]") || strings.Count(text, "|") > 1
}

// halves says whether bar i is one half of a bar that all voices, two at least,
// write as two: they agree on both lengths, and together these make one.
func (r *reader) halves(i int) bool {
	return len(r.voices) > 1 && (r.halvesFrom(i) || i > 0 && r.halvesFrom(i-1))
}

func (r *reader) halvesFrom(i int) bool {
	var a, b Frac
	for _, v := range r.voices {
		bars := &v.out.list
		if bars.n == 0 {
			continue
		}
		if i+1 >= bars.n {
			return false
		}
		one, two := bars.at(i), bars.at(i+1)
		if a.Valid() && (one.Length.Cmp(a) != 0 || two.Length.Cmp(b) != 0) {
			return false
		}
		a, b = one.Length, two.Length
		if one.Meter.Length.Cmp(sum(a, b)) != 0 {
			return false
		}
	}
	return true
}

// shortBar points at the bar line that comes too early.
func (r *reader) shortBar(v *Voice, i int, want Frac) {
	b := v.list.at(i)
	span := b.Close().Span
	if b.Closing == "" {
		span = b.content()
	}
	r.problemAt(RuleBarLength, v.ID, i+1, span.Shift(b.Start),
		fmt.Sprintf("%s holds %s, its meter %s asks for %s: %s missing.",
			r.barName(v, i), barTime(b.Length), strings.TrimSpace(b.Meter.Text), barTime(want), durationName(want.Sub(b.Length))))
}

// longBar points at what is beyond the meter.
func (r *reader) longBar(v *Voice, i int, want Frac) {
	b := v.list.at(i)
	span := Span{-1, -1}
	events := b.Events()
	for k := range events {
		e := &events[k]
		if sum(e.Onset, e.Duration).Cmp(want) <= 0 {
			continue
		}
		if span.Start < 0 {
			span = e.Span
		}
		span.Start, span.End = min(span.Start, e.Span.Start), max(span.End, e.Span.End)
	}
	if span.Start < 0 {
		span = b.content()
	}
	r.problemAt(RuleBarLength, v.ID, i+1, span.Shift(b.Start),
		fmt.Sprintf("%s holds %s, its meter %s asks for %s: %s too much.",
			r.barName(v, i), barTime(b.Length), strings.TrimSpace(b.Meter.Text), barTime(want), durationName(b.Length.Sub(want))))
}

// barName is how a message speaks of a bar.
func (r *reader) barName(v *Voice, i int) string {
	if len(r.voices) == 1 && !v.Declared {
		return fmt.Sprintf("Bar %d", i+1)
	}
	return fmt.Sprintf("Bar %d of voice %s", i+1, v.ID)
}

// content is the span of a bar's events.
func (b *Bar) content() Span {
	events := b.Events()
	if len(events) == 0 {
		return Span{}
	}
	s := events[0].Span
	for i := range events {
		s.Start, s.End = min(s.Start, events[i].Span.Start), max(s.End, events[i].Span.End)
	}
	return s
}

// barTime is a time as a meter writes it: whole notes in quarters, "4/4".
func barTime(f Frac) string {
	if f.Den == 1 && f.Num > 0 {
		return fmt.Sprintf("%d/4", 4*f.Num)
	}
	return f.String()
}

// durationName says a time in words where notes have one.
func durationName(f Frac) string {
	names := map[Frac]string{
		F(1, 1): "a whole note is", F(1, 2): "a half note is", F(1, 4): "a quarter note is", F(1, 8): "an eighth note is",
		F(1, 16): "a sixteenth note is", F(1, 32): "a 32nd note is", F(1, 64): "a 64th note is",
		F(3, 4): "a dotted half note is", F(3, 8): "a dotted quarter note is", F(3, 16): "a dotted eighth note is",
	}
	if s, ok := names[f]; ok {
		return s
	}
	return f.String() + " of a whole note is"
}

// compareBars reports bars of one number that last unlike times in two voices,
// where the meter had nothing to say: pickups, split bars, free meter.
func (r *reader) compareBars(from, to int, said map[int]bool) {
	for i := from; i < to; i++ {
		if said[i] {
			continue
		}
		var longest *voice
		for _, v := range r.voices {
			if i < v.out.list.n && (longest == nil || longest.out.list.at(i).Length.Less(v.out.list.at(i).Length)) {
				longest = v
			}
		}
		for _, v := range r.voices {
			if i >= v.out.list.n {
				continue
			}
			b, l := v.out.list.at(i), longest.out.list.at(i)
			if b.Length.Less(l.Length) {
				r.problemAt(RuleVoices, v.out.ID, i+1, b.content().Shift(b.Start),
					fmt.Sprintf("Bar %d lasts %s in %s and %s in %s: %s missing here.",
						i+1, barTime(b.Length), v.out.ID, barTime(l.Length), longest.out.ID, durationName(l.Length.Sub(b.Length))))
			}
		}
	}
}

// checkVoices compares the number of bars.
func (r *reader) checkVoices() {
	var longest *Voice
	for _, v := range r.voices {
		if longest == nil || v.out.list.n > longest.list.n {
			longest = v.out
		}
	}
	for _, v := range r.voices {
		n := v.out.list.n
		if n == 0 || n == longest.list.n {
			continue
		}
		last, missing := v.out.list.at(n-1), longest.list.n-n
		rest := "Z"
		if missing > 1 {
			rest = fmt.Sprintf("Z%d", missing)
		}
		r.problemAt(RuleVoices, v.out.ID, n, last.content().Shift(last.Start),
			fmt.Sprintf("%s has %d %s, %s has %d: fill the missing bars with rests, as in `%s`.",
				v.out.ID, n, plural(n, "bar"), longest.ID, longest.list.n, rest))
	}
}
