package rules

import (
	"fmt"

	"fourfold/analysis/hands"
)

const sharedStringName = "hands/shared-string"

// SharedString finds strings that one hand strikes right after the other.
var SharedString = Rule{
	Name:  sharedStringName,
	Title: "both hands on one string, one right after the other",
	Doc: `Two hands cannot have their fingers on one string at once. Where they strike it in turn, the second has to wait
until the first is out of the way, and its touch stops the sound. At the piano, where a key comes up by itself, hands
share a key without thinking of it.

Fails: c by the right hand and c by the left an eighth of a second later. Passes: the same half a second later; or
one hand for both; or two strings that sound alike, as B♯ and C.

Both hands on one string at one instant are no finding: one of them plays it. Good harp parts have the figure now and
then (Mozart's concerto for flute and harp, second movement, at 0.11 s), so this is a hint.

What to do: give both notes to one hand where it has time, or put one of them on another string.

Where the facts come from: both hands on one string at once are not possible, and each touch damps; the quarter of a
second is common practice, no source.`,
	Whole:    checkSharedString,
	Fingered: true,
}

// strikeOf is one pluck of a string by a hand.
type strikeOf struct {
	hand  *Hand
	pluck *hands.Pluck
	t     float64
}

func checkSharedString(p *Part) (out []Finding) {
	if p.Right == nil || p.Left == nil {
		return nil
	}
	last := map[int]strikeOf{}  // by string
	found := map[int]*sharing{} // by string: the row of such strikes that may go on
	var rows []*sharing
	p.eachStrike(func(s strikeOf) {
		str := s.pluck.Note.String
		before, again := last[str]
		last[str] = s
		gap := s.t - before.t
		if !again || before.hand == s.hand || gap <= tolerance || gap >= p.Settings.Hand.InTheWay-tolerance {
			return
		}
		if row := found[str]; row != nil && s.t-row.last.t < p.Settings.Hand.Afresh {
			row.last = s
			row.more++
			return
		}
		row := &sharing{before: before, first: s, last: s}
		found[str], rows = row, append(rows, row)
	})
	for _, row := range rows {
		out = append(out, p.sharingFinding(row))
	}
	return out
}

// sharing is a row of strikes of one string in which the hands take turns.
type sharing struct {
	before, first, last strikeOf
	more                int // strikes after the first
}

func (p *Part) sharingFinding(row *sharing) Finding {
	s := row.first
	f := p.finding(sharedStringName, *s.pluck)
	f.Severity = p.speedSeverity(f.Severity)
	f.EndBar = row.last.pluck.Bar
	f.Message = fmt.Sprintf("%s (%s) is struck by the %s %s after the %s: the hands are in each other's way on one string, and the touch stops its sound.",
		quoted(p.Typed(*s.pluck)), p.pitch(*s.pluck), s.hand.Name, seconds(s.t-row.before.t), row.before.hand.Name)
	if row.more > 0 {
		f.Message += moreLikeIt(row.more, f.Bar, f.EndBar)
	}
	f.Advice = "Give both notes to one hand where it has time, or put one of them on another string."
	f.Related = []Related{{Span: row.before.pluck.Span, Message: "struck here by the " + row.before.hand.Name}}
	return f
}

// eachStrike visits the strikes of both staves as written, in order of time; of two at
// once the right hand's comes first.
func (p *Part) eachStrike(visit func(strikeOf)) {
	strike := func(h *Hand, i int) {
		for k := range h.Plucks[i] {
			visit(strikeOf{h, &h.Plucks[i][k], h.Strokes[i].T})
		}
	}
	i, j := 0, 0
	for i < len(p.Right.Strokes) || j < len(p.Left.Strokes) {
		if j == len(p.Left.Strokes) || i < len(p.Right.Strokes) && p.Right.Strokes[i].T <= p.Left.Strokes[j].T {
			strike(p.Right, i)
			i++
		} else {
			strike(p.Left, j)
			j++
		}
	}
}
