package rules

import (
	"fmt"
	"strings"

	"fourfold/analysis/hands"
	"fourfold/parser/score"
)

// seam is a jump that the player makes where the page does not go on: back to the
// start of a repeat, or into a later ending.
type seam struct{ from, to int } // numbers of the bar before it and the bar after

// words say what the jump is.
func (s seam) words() string {
	if s.to <= s.from {
		return fmt.Sprintf("On the way back from bar %d to bar %d", s.from, s.to)
	}
	return fmt.Sprintf("On the way from bar %d into the ending at bar %d", s.from, s.to)
}

// seamsOf reads the repeats of a voice. A repeat without a start goes back to the
// last double bar or end of a repeat, else to the first bar. Each ending after
// the first is entered from the bar before the first one.
func seamsOf(v *score.Voice) (out []seam) {
	start, beforeEndings := 1, 0
	for i := range v.Bars {
		bar, number := &v.Bars[i], v.Number(i)
		if i > 0 && startsSection(bar.Open.Text, v.Bars[i-1].Close.Text) {
			start = number
			if bar.Ending == "" {
				beforeEndings = 0
			}
		}
		if bar.Ending != "" {
			if beforeEndings == 0 {
				beforeEndings = number - 1
			} else if beforeEndings > 0 {
				out = append(out, seam{beforeEndings, number})
			}
		}
		if repeats(bar.Close.Text) {
			out = append(out, seam{number, start})
			if i+1 < len(v.Bars) && v.Bars[i+1].Ending == "" {
				start, beforeEndings = number+1, 0
			}
		}
	}
	return out
}

func repeats(line string) bool { return strings.HasPrefix(line, ":") }

// startsSection says whether a bar begins a part that a repeat may go back to. A
// later ending, which follows the end of a repeat, does not.
func startsSection(open, before string) bool {
	return strings.HasSuffix(open, ":") || open == "||" || open == "[|" || before == "||"
}

// neverFollows says whether the page goes on from one bar to the next where the
// player never does: from an ending that is repeated into the next ending.
func neverFollows(v *score.Voice, bar int) bool {
	is, next := v.Bar(bar), v.Bar(bar+1)
	return is != nil && next != nil && repeats(is.Close.Text) && next.Ending != ""
}

// onlyOnPage says whether all needs of a run lead over a place that the player
// never passes.
func (p *Part) onlyOnPage(h *Hand, r run) bool {
	voices := p.Player.Voices()
	if len(voices) == 0 {
		return false
	}
	for _, o := range r.overload {
		from, to := h.Plucks[o.need.From][0].Bar, h.Plucks[o.need.To][0].Bar
		over := false
		for b := from; b < to; b++ {
			over = over || neverFollows(voices[0], b)
		}
		if !over {
			return false
		}
	}
	return true
}

// seamReach is how many strokes on each side of a seam are looked at: two
// placings and more.
const seamReach = 12

// seamHand is one hand's way over a seam: its last strokes before it and its first
// after, as if they followed each other on the page.
type seamHand struct {
	seam
	hand   *Hand
	before int // strokes before the seam
}

// findSeams reads the ways over the seams of both hands.
func (p *Part) findSeams() (out []seamHand) {
	voices := p.Player.Voices()
	if len(voices) == 0 {
		return nil
	}
	seams := seamsOf(voices[0])
	if len(seams) == 0 {
		return nil
	}
	all := p.Hands()
	bars := make([]barIndex, len(all))
	for i, h := range all {
		bars[i] = indexBars(len(h.Strokes), func(k int) int { return h.Plucks[k][0].Bar })
	}
	for _, s := range seams {
		for i, h := range all {
			if sh, ok := p.over(s, h, bars[i]); ok {
				out = append(out, sh)
			}
		}
	}
	return out
}

// over joins the strokes around a seam.
func (p *Part) over(s seam, h *Hand, bars barIndex) (seamHand, bool) {
	end := p.Timeline.Seconds(s.from+1, score.Zero)
	shift := end - p.Timeline.Seconds(s.to, score.Zero)
	var staff hands.Staff
	last, first := bars.lastUpTo(s.from)+1, bars.firstFrom(s.to)
	if last == 0 || first < 0 {
		return seamHand{}, false
	}
	a, b := h.slice(max(0, last-seamReach), last), h.slice(first, min(len(h.Strokes), first+seamReach))
	before := len(a.Strokes)
	for i := range b.Strokes {
		b.Strokes[i].T += shift
	}
	if b.Strokes[0].T-a.Strokes[before-1].T >= p.Settings.Hand.Afresh || b.Strokes[0].T <= a.Strokes[before-1].T {
		return seamHand{}, false
	}
	staff.Strokes = append(a.Strokes, b.Strokes...)
	staff.Plucks = append(a.Plucks, b.Plucks...)
	joined := &Hand{Name: h.Name, Staff: staff, Solution: hands.Solve(staff.Strokes, p.Settings.Hand), voices: h.voices}
	joined.runs = findRuns(joined, p.Settings.Hand)
	return seamHand{s, joined, before}, true
}

// slice copies the strokes from one to another.
func (h *Hand) slice(from, to int) (s hands.Staff) {
	s.Strokes = append(s.Strokes, h.Strokes[from:to]...)
	s.Plucks = append(s.Plucks, h.Plucks[from:to]...)
	return s
}

// seamFindings are the overloads of one cause that lie across a seam.
func (p *Part) seamFindings(c cause, rule string) (out []Finding) {
	for _, s := range p.seams {
		for _, r := range s.hand.runs {
			n := r.worst().need
			if r.cause != c || n.From >= s.before || n.To < s.before {
				continue
			}
			f := p.runFinding(rule, s.hand, r)
			at := firstInText(s.hand.Plucks[n.From])
			f.Span, f.Bar, f.EndBar, f.Voice = wholeEvent(at), s.from, s.from, at.Voice.ID
			f.Message = s.words() + ": " + f.Message
			f.Related = []Related{{Span: wholeEvent(firstInText(s.hand.Plucks[n.To])), Message: fmt.Sprintf("the way leads here, to bar %d", s.to)}}
			f.From, f.To, f.Hand = 0, 0, ""
			out = append(out, f)
		}
	}
	return out
}
