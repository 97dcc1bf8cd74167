package score

import (
	"fmt"
	"sort"
	"strings"
)

func sortProblems(ps []Problem) {
	sort.SliceStable(ps, func(i, j int) bool { return ps[i].Span.Start < ps[j].Span.Start })
}

// checkBars compares the bars of a voice with their meter. The first bar may be
// a pickup, the last may leave its time; a bar cut in two by a repeat sign, a
// double bar or an ending is whole when its halves make one.
func (r *reader) checkBars(v *Voice) {
	n := len(v.Bars)
	for i := range v.Bars {
		b := &v.Bars[i]
		want := b.Meter.Length
		if want.Sign() <= 0 || !b.Length.Valid() {
			continue
		}
		c := b.Length.Cmp(want)
		if c == 0 || c < 0 && (i == 0 || i == n-1 || b.Close.Text == "" || v.split(i)) {
			continue
		}
		r.barLength(v, i, want)
	}
}

// split says whether a short bar stands at a section's edge, where the rest of
// its time may stand on the other side or at the start of the section.
func (v *Voice) split(i int) bool {
	return isSection(v.Bars[i].Open.Text) || isSection(v.Bars[i].Close.Text) || v.Bars[i].Ending != "" ||
		i+1 < len(v.Bars) && v.Bars[i+1].Ending != ""
}

// isSection says whether a bar line is more than a plain one.
func isSection(text string) bool {
	return strings.ContainsAny(text, ":[]") || strings.Count(text, "|") > 1
}

func (r *reader) barLength(v *Voice, i int, want Frac) {
	b := &v.Bars[i]
	span := b.content()
	var diff Frac
	word := "missing"
	if b.Length.Less(want) {
		diff = want.Sub(b.Length)
	} else {
		diff, word = b.Length.Sub(want), "too much"
	}
	r.problemAt(RuleBarLength, v.ID, i+1, span.Shift(b.Start),
		fmt.Sprintf("Bar %d of %s holds %s, its meter %s asks for %s: %s %s.",
			i+1, voiceName(v), b.Length, strings.TrimSpace(b.Meter.Text), want, durationName(diff), word))
}

// voiceName is how a message speaks of a voice.
func voiceName(v *Voice) string { return "voice " + v.ID }

// content is the span of a bar's events.
func (b *Bar) content() Span {
	if len(b.Events) == 0 {
		return Span{}
	}
	s := b.Events[0].Span
	for i := range b.Events {
		s.Start = min(s.Start, b.Events[i].Span.Start)
		s.End = max(s.End, b.Events[i].Span.End)
	}
	return s
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

// checkVoices compares the number of bars.
func (r *reader) checkVoices() {
	longest := 0
	for i, v := range r.voices {
		if len(v.out.Bars) > len(r.voices[longest].out.Bars) {
			longest = i
		}
	}
	for _, v := range r.voices {
		n, most := len(v.out.Bars), r.voices[longest].out
		if n == 0 || n == len(most.Bars) {
			continue
		}
		last := &v.out.Bars[n-1]
		r.problemAt(RuleVoices, v.out.ID, n, last.content().Shift(last.Start),
			fmt.Sprintf("Voice %s has %d %s, voice %s has %d: fill the missing bars with rests, as in `Z%d`.",
				v.out.ID, n, plural(n, "bar"), most.ID, len(most.Bars), len(most.Bars)-n))
	}
}
