package rules

import (
	"bytes"
	"fmt"

	"fourfold/analysis/hands"
	"fourfold/parser/score"
)

// tolerance is how close to 1 a load still counts as met.
const tolerance = 1e-9

// overloads makes a finding of each run with that cause.
func (p *Part) overloads(c cause, rule string) (out []Finding) {
	for _, h := range p.Hands() {
		for _, r := range h.runs {
			if r.cause == c && !p.onlyOnPage(h, r) {
				out = append(out, p.runFinding(rule, h, r))
			}
		}
	}
	return out
}

// runFinding says what is asked, what the hand can do, and how fast it holds.
func (p *Part) runFinding(rule string, h *Hand, r run) Finding {
	first, last := r.overload[0].need, r.overload[len(r.overload)-1].need
	f := p.strokeFinding(rule, h, first.From, last.To)
	f.Severity = p.speedSeverity(f.Severity)
	switch r.cause {
	case restrike:
		f.Message = p.restrikeMessage(h, r)
		if f.Severity != Off && p.nowAndThen(r) {
			f.Severity = Hint
		}
	case turn:
		f.Message = p.turnMessage(h, r)
	default:
		f.Message = p.newPlacingMessage(h, r)
	}
	if more := len(r.overload) - 1; more > 0 {
		end := h.Plucks[last.To][0].Bar
		f.Message += moreLikeIt(more, f.Bar, end)
	}
	f.Speed = p.speed(h, r.worst().need.From, r.load)
	f.Message += " " + p.speedWords(h, r, f.Speed)
	if h.onlyGraces(r) && f.Severity != Off {
		f.Severity = Hint
		f.Message += fmt.Sprintf(" The grace notes are counted at %s each; the player may give them more.", seconds(p.Settings.Hand.Grace))
	}
	f.Advice = adviceFor(r.cause)
	p.help(&f, h, h.timeOf(r), 1)
	f.Related = append(f.Related, p.restOf(h, first.From, last.To, f.Span)...)
	return f
}

// help turns a finding into a hint where the other hand takes what this one
// cannot, and says so. A need of this hand up to a load is another finding's business.
func (p *Part) help(f *Finding, h *Hand, t window, load float64) {
	if !p.isHelped(h, t, load) || f.Severity == Off {
		return
	}
	f.Severity = Hint
	if words := p.helpWords(h, t, load); words != "" {
		f.Message += " " + words
	}
}

// helpWithChord is help with what no hand takes at once. That the hand comes there, or
// goes on, in too short a time is found by itself.
func (p *Part) helpWithChord(f *Finding, h *Hand, t float64) {
	at, load := window{t, t}, 1.0
	for _, r := range h.runs {
		if h.timeOf(r).holds(t) {
			load = max(load, r.load)
		}
	}
	p.help(f, h, at, load)
}

// onlyGraces says whether all that a run has no time for begins or ends with a grace
// note, whose pace is the player's own.
func (h *Hand) onlyGraces(r run) bool {
	for _, o := range r.overload {
		if !h.Plucks[o.need.From][0].Grace && !h.Plucks[o.need.To][0].Grace {
			return false
		}
	}
	return true
}

// moreLikeIt counts the places that a finding in a bar stands for beside its own.
func moreLikeIt(more, bar, end int) string {
	where := fmt.Sprintf(", to bar %d", end)
	if end == bar {
		where = " in this bar"
	}
	return fmt.Sprintf(" (%s like it follow%s%s.)", count(more, "place"), plural(more, "s", ""), where)
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

func adviceFor(c cause) string {
	switch c {
	case restrike:
		return "Repeat it more slowly, share it with the other hand, or write it on two strings that sound alike."
	case turn:
		return "Put the notes of the figure in one direction, share them between the hands, or take it slower."
	}
	return "Let the hands alternate by groups, keep the group closer together, or take it slower."
}

// speed turns a load into the two tempi.
func (p *Part) speed(h *Hand, stroke int, load float64) *Speed {
	at := h.Plucks[stroke][0]
	tempo := p.Timeline.QuartersAt(at.Bar, at.Onset)
	return &Speed{Load: load, Tempo: tempo, HoldsUpTo: tempo / load, ComfortableUpTo: p.Settings.Hand.Comfortable * tempo / load}
}

// speedWords says both tempi in the beat of the score, and for a turn those of
// the figure in one direction.
func (p *Part) speedWords(h *Hand, r run, s *Speed) string {
	at := h.Plucks[r.worst().need.From][0]
	beat := p.Timeline.BeatAt(at.Bar, at.Onset)
	words := fmt.Sprintf("Comfortable up to %s, holds up to %s.", TempoWords(s.ComfortableUpTo, beat), TempoWords(s.HoldsUpTo, beat))
	if r.cause != turn {
		return words
	}
	if names, load, ok := p.inOneDirection(h, r); ok {
		s.OneDirectionHolds = s.Tempo / load
		s.OneDirectionEasily = p.Settings.Hand.Comfortable * s.Tempo / load
		words += fmt.Sprintf(" In one direction (%s): %s and %s.", quoted(names),
			tempoNumber(s.OneDirectionEasily, beat), tempoNumber(s.OneDirectionHolds, beat))
	}
	return words
}

// speedSeverity is a hint where the score gives no tempo.
func (p *Part) speedSeverity(s Severity) Severity {
	if p.Timeline.Assumed() && s != Off {
		return Hint
	}
	return s
}

// strokeFinding starts a finding on the strokes of a hand from one to another.
func (p *Part) strokeFinding(rule string, h *Hand, from, to int) Finding {
	a := firstInText(h.Plucks[from])
	f := p.finding(rule, a)
	f.Span = p.spanOf(h, from, to, a)
	f.Hand, f.From, f.To, f.EndBar = h.Name, from, to, h.Plucks[to][0].Bar
	return f
}

func firstInText(plucks []hands.Pluck) hands.Pluck {
	first := plucks[0]
	for _, pl := range plucks[1:] {
		if pl.Span.Start < first.Span.Start {
			first = pl
		}
	}
	return first
}

// spanOf covers the strokes from the note a on, as far as they stand on its
// line of the text in its voice. A chord is covered whole.
func (p *Part) spanOf(h *Hand, from, to int, a hands.Pluck) score.Span {
	broken := func(from, to int) bool { return bytes.ContainsAny(p.text[from:to], "\r\n") }
	span := wholeEvent(a)
	if span.Start < 0 || span.End > len(p.text) || broken(span.Start, span.End) {
		return span
	}
	for i := from; i <= to; i++ {
		for _, pl := range h.Plucks[i] {
			if pl.Voice != a.Voice {
				continue
			}
			e := wholeEvent(pl)
			lo, hi := min(span.Start, e.Start), max(span.End, e.End)
			if lo >= 0 && hi <= len(p.text) && !broken(lo, span.Start) && !broken(span.End, hi) {
				span = score.Span{Start: lo, End: hi}
			}
		}
	}
	return span
}

// wholeEvent is the span in the file of the note, or of the chord it is in.
func wholeEvent(pl hands.Pluck) score.Span {
	if !pl.Event.Chord {
		return pl.Span
	}
	return pl.Event.Span.Shift(pl.Span.Start - pl.Note.Span.Start)
}

// restOf points to strokes of the run that the finding's span leaves out: on the
// next lines, or in another voice of the staff.
func (p *Part) restOf(h *Hand, from, to int, span score.Span) []Related {
	for i := from; i <= to; i++ {
		a := firstInText(h.Plucks[i])
		if a.Span.Start >= span.End || a.Span.End <= span.Start {
			return []Related{{Span: p.spanOf(h, i, to, a), Message: "it goes on here, in bar " + fmt.Sprint(a.Bar)}}
		}
	}
	return nil
}

// quoted sets notes as typed apart from the words: `d`.
func quoted(s string) string { return "`" + s + "`" }

// pitchAside gives a single note's pitch in brackets, with a blank before.
func (p *Part) pitchAside(plucks []hands.Pluck) string {
	if len(plucks) != 1 {
		return ""
	}
	return " (" + p.pitch(plucks[0]) + ")"
}
