package rules

import (
	"fmt"
	"strings"

	"fourfold/analysis/hands"
	"fourfold/parser/score"
)

// seam is a jump that the player makes where the page does not go on: back to the
// start of a repeat, or into a later ending.
type seam struct {
	from, to int // numbers of the bar before it and the bar after
	again    int // of a way into an ending: where the repeat before it goes back to; else 0
}

// words say what the jump is.
func (s seam) words() string {
	if s.to <= s.from {
		return fmt.Sprintf("On the way back from bar %d to bar %d", s.from, s.to)
	}
	return fmt.Sprintf("On the way from bar %d into the ending at bar %d", s.from, s.to)
}

// barSign is a bar whose lines or ending say where the player goes on.
type barSign struct {
	bar                             int
	starts, double, repeats, ending bool // starts: its first line; double, repeats: its last
}

// signsOf are the bars of a voice that have any.
func signsOf(v *score.Voice) (out []barSign) {
	for i, bar := range v.Bars() {
		if s, any := signAt(&bar, v.Number(i)); any {
			out = append(out, s)
		}
	}
	return out
}

// signAt says of a bar with a number whether it has any.
func signAt(bar *score.Bar, number int) (s barSign, any bool) {
	s = barSign{number, startsSection(bar.Opening), bar.Closing == "||", repeats(bar.Closing), bar.Ending != ""}
	return s, s != barSign{bar: number}
}

// seamsOf reads the repeats of a voice.
func seamsOf(v *score.Voice) []seam { return seamsAt(signsOf(v)) }

// seamsAt reads the repeats at some bars of a tune, in their order. A repeat without a
// start goes back to the last double bar or end of a repeat, else to the first bar. Each
// ending after the first is entered from the bar before the first one.
func seamsAt(signs []barSign) (out []seam) {
	start, beforeEndings := 1, 0
	for i, s := range signs {
		endingNext := i+1 < len(signs) && signs[i+1].bar == s.bar+1 && signs[i+1].ending
		if s.starts && s.bar > 1 {
			start = s.bar
			if !s.ending {
				beforeEndings = 0
			}
		}
		if s.ending {
			if beforeEndings == 0 {
				beforeEndings = s.bar - 1
			} else if beforeEndings > 0 {
				out = append(out, seam{from: beforeEndings, to: s.bar})
			}
		}
		if s.repeats {
			out = append(out, seam{from: s.bar, to: start})
		}
		if s.double || s.repeats && !endingNext {
			start = s.bar + 1
			if !endingNext {
				beforeEndings = 0
			}
		}
	}
	back := map[int]int{}
	for _, s := range out {
		if s.to <= s.from {
			back[s.from] = s.to
		}
	}
	for i := range out {
		if s := &out[i]; s.to > s.from {
			s.again = back[s.to-1]
		}
	}
	return out
}

func repeats(line string) bool { return strings.HasPrefix(line, ":") }

// startsSection says whether a bar begins a part that a repeat may go back to. A
// later ending, which follows the end of a repeat, does not. So does the bar after a
// double line.
func startsSection(open string) bool {
	return strings.HasSuffix(open, ":") || open == "||" || open == "[|"
}

// neverFollows says whether the page goes on from one bar to the next where the
// player never does: from an ending that is repeated into the next ending.
func neverFollows(v *score.Voice, bar int) bool {
	is, next := v.Bar(bar), v.Bar(bar+1)
	return is != nil && next != nil && repeats(is.Closing) && next.Ending != ""
}

// page is the voice whose bar lines say where the player goes on, of the whole tune also
// in a section; nil without voices.
func (p *Part) page() *score.Voice {
	voices := p.Player.Voices()
	if len(voices) > 0 && p.whole != nil {
		voices = p.Player.In(p.whole).Voices()
	}
	if len(voices) == 0 {
		return nil
	}
	return voices[0]
}

// Ways are the ways that the page does not show, by the number of the bar before each
// and of the bar after: back to the start of a repeat, and into later endings.
func (p *Part) Ways() (out [][2]int) {
	for _, w := range p.waysBack() {
		out = append(out, [2]int{w.from, w.to})
	}
	return out
}

// inWhole is a voice of the part in the whole tune.
func (p *Part) inWhole(v *score.Voice) *score.Voice {
	if p.whole != nil {
		if all := voicesIn(p.whole, []*score.Voice{v}); len(all) > 0 {
			return all[0]
		}
	}
	return v
}

// waysBack are the seams of the part; of a section those that it is to look at.
func (p *Part) waysBack() []seam {
	if p.around != nil {
		return p.around.seams
	}
	v := p.page()
	if v == nil {
		return nil
	}
	return seamsOf(v)
}

// onlyOnPage says whether all needs of a run lead over a place that the player
// never passes.
func (p *Part) onlyOnPage(h *Hand, r run) bool {
	v := p.page()
	if v == nil {
		return false
	}
	for _, o := range r.overload {
		from, to := h.Plucks[o.need.From][0].Bar, h.Plucks[o.need.To][0].Bar
		over := false
		for b := from; b < to; b++ {
			over = over || neverFollows(v, b)
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
	seams := p.waysBack()
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
	var staff hands.Staff
	last, first := bars.lastUpTo(s.from)+1, bars.firstFrom(s.to)
	if last == 0 || first < 0 {
		return seamHand{}, false
	}
	shift := p.Timeline.Seconds(s.from+1, score.Zero) - p.Timeline.Seconds(s.to, score.Zero) +
		p.strokeHeldUp(h, last-1) - p.strokeHeldUp(h, first)
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
	joined := &Hand{Name: h.Name, Staff: staff, Solution: p.Settings.solver().Solve(staff.Strokes), voices: h.voices}
	joined.runs = findRuns(joined)
	return seamHand{s, joined, before}, true
}

// heldUp is by how much fermatas and breaths before a note have put it off, in seconds.
func (p *Part) heldUp(pl hands.Pluck, t float64) float64 {
	return max(0, t-p.Timeline.Seconds(pl.Bar, pl.Onset))
}

// strokeHeldUp is the same for a stroke; in a roll the first string counts.
func (p *Part) strokeHeldUp(h *Hand, stroke int) float64 {
	at := h.Plucks[stroke][0]
	held := p.heldUp(at, h.Strokes[stroke].T)
	for i := stroke - 1; at.Rolled && i >= 0 && h.Plucks[i][0].Bar == at.Bar && h.Plucks[i][0].Onset == at.Onset; i-- {
		held = p.heldUp(h.Plucks[i][0], h.Strokes[i].T)
	}
	return held
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
