package rules

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"fourfold/analysis/feet"
	"fourfold/parser/score"
)

// PedalSeam is what the feet do on a way that the page does not show: back to the
// start of a repeat, or into a later ending. Times are seconds as if the music
// there followed on the page.
type PedalSeam struct {
	seam
	Moves []feet.Move
	Notes []pluckAt // that need them, move by move
}

// Bars are the numbers of the bar before the seam and of the bar after.
func (s PedalSeam) Bars() (from, to int) { return s.from, s.to }

// seamSeconds is how much music on each side of a seam is planned with it; of all
// letters the last use before and the first after count, however far.
const seamSeconds = 8.0

// pedalSeams plans the feet over each seam of the part.
func (p *Part) pedalSeams(d *Pedals) (out []PedalSeam) {
	seams := p.waysBack()
	if len(seams) == 0 {
		return nil
	}
	bars, uses := indexBars(len(d.from), func(i int) int { return d.from[i].Bar }), usesOf(d.Demands)
	for _, s := range seams {
		if over := p.pedalsOver(s, d, bars, uses); len(over.Moves) > 0 {
			out = append(out, over)
		}
	}
	return out
}

// pedalsOver plans the feet over one seam.
func (p *Part) pedalsOver(s seam, d *Pedals, bars barIndex, uses letterUses) PedalSeam {
	out := PedalSeam{seam: s}
	last, first := bars.lastUpTo(s.from), bars.firstFrom(s.to)
	if last < 0 || first < 0 {
		return out
	}
	held := func(i int) float64 { return p.heldUp(*d.from[i].Pluck, d.from[i].t) }
	shift := p.Timeline.Seconds(s.from+1, score.Zero) - p.Timeline.Seconds(s.to, score.Zero) + held(last) - held(first)
	var demands []feet.Demand
	var from []pluckAt
	add := func(i int, t float64) {
		demand := d.Demands[i]
		demand.T = t
		demands, from = append(demands, demand), append(from, d.from[i])
	}
	left := [feet.Letters]int{-1, -1, -1, -1, -1, -1, -1}
	if s.again > 0 {
		left = uses.leftBehind(bars.firstFrom(s.again), last, first)
		ago := p.Timeline.Seconds(s.to, score.Zero) - p.Timeline.Seconds(s.again, score.Zero)
		for _, i := range left {
			if i >= 0 {
				add(i, max(0, d.Demands[i].T-ago))
			}
		}
	}
	for _, i := range uses.before(d.Demands, last) {
		if left[d.Demands[i].Letter] < 0 {
			add(i, d.Demands[i].T)
		}
	}
	before := len(demands)
	var firstUse [feet.Letters]float64
	var seen [feet.Letters]bool
	end := p.endOfWay(s)
	for _, i := range uses.after(d.Demands, first) {
		demand := d.Demands[i]
		if d.from[i].Bar > end {
			continue
		}
		if !seen[demand.Letter] {
			seen[demand.Letter], firstUse[demand.Letter] = true, demand.T+shift
		}
		add(i, demand.T+shift)
	}
	start := min(demands[0].T, d.Demands[0].T)
	for _, m := range feet.PlanOf(demands, feet.PlanOptions{Start: start, Initial: feet.AllFree()}).Moves {
		if m.Demand >= before && m.Deadline <= firstUse[m.Letter]+tolerance {
			out.Moves, out.Notes = append(out.Moves, m), append(out.Notes, from[m.Demand])
		}
	}
	return out
}

// endOfWay is the last bar that follows a seam as on the page: an ending that is
// repeated ends with its repeat.
func (p *Part) endOfWay(s seam) int {
	v := p.page()
	if s.to > s.from {
		for number := s.to; v.Bar(number) != nil; number++ {
			if repeats(v.Bar(number).Closing) {
				if neverFollows(v, number) {
					return number
				}
				break
			}
		}
	}
	return math.MaxInt
}

// letterUses are the demands of each letter, in order of time.
type letterUses [feet.Letters][]int

func usesOf(demands []feet.Demand) (u letterUses) {
	for i, d := range demands {
		u[d.Letter] = append(u[d.Letter], i)
	}
	return u
}

// leftBehind are the last uses of letters in endings before one, where the music from
// the start of the repeat into it, demands from again up to last, does not use them: a
// pedal stands where it was left. Of other letters it gives -1.
func (u *letterUses) leftBehind(again, last, first int) (left [feet.Letters]int) {
	for l, uses := range u {
		left[l] = -1
		k := sort.SearchInts(uses, first) // uses on the page before the ending
		if k > 0 && uses[k-1] > last && sort.SearchInts(uses, again) == sort.SearchInts(uses, last+1) {
			left[l] = uses[k-1]
		}
	}
	return left
}

// before are the demands that count before a seam, in order of time: what is near it,
// and the last of each letter.
func (u *letterUses) before(demands []feet.Demand, last int) (at []int) {
	near := last
	for near > 0 && demands[near-1].T > demands[last].T-seamSeconds {
		near--
	}
	for _, uses := range u {
		if k := sort.SearchInts(uses, last+1); k > 0 && uses[k-1] < near {
			at = append(at, uses[k-1])
		}
	}
	slices.Sort(at)
	for i := near; i <= last; i++ {
		at = append(at, i)
	}
	return at
}

// after are those that count after a seam: what is near it, and the first of each
// letter.
func (u *letterUses) after(demands []feet.Demand, first int) (at []int) {
	i := first
	for ; i < len(demands) && demands[i].T <= demands[first].T+seamSeconds; i++ {
		at = append(at, i)
	}
	near := len(at)
	for _, uses := range u {
		if k := sort.SearchInts(uses, first); k < len(uses) && uses[k] >= i {
			at = append(at, uses[k])
		}
	}
	slices.Sort(at[near:])
	return at
}

// OnPage says whether the player ever makes a move where the page has it: not if
// between the last use and the need one ending follows another.
func (p *Part) OnPage(m feet.Move) bool {
	v := p.page()
	was, ok := p.Pedals.lastUse(m)
	if !ok || v == nil {
		return true
	}
	for b := was.Bar; b < p.Pedals.Note(m.Demand).Bar; b++ {
		if neverFollows(v, b) {
			return false
		}
	}
	return true
}

// lateSeams are the moves that come late on a way that the page does not show.
func (p *Part) lateSeams() (out []Finding) {
	for _, s := range p.Pedals.Seams {
		for i, m := range s.Moves {
			if m.Late <= tolerance {
				continue
			}
			at := s.Notes[i]
			f := p.finding(lateName, *at.Pluck)
			if p.section != nil {
				f.of = s.from
			}
			f.Severity = p.speedSeverity(f.Severity)
			if m.Hurried && f.Severity != Off {
				f.Severity = Hint
			}
			f.Message = s.words() + ": for " + p.needWords(at, m.Letter) + " the " + m.Foot.String() + " foot comes " + seconds(m.Late) + " late with " + moveWords(m) + "."
			if f.Speed = p.pedalSpeed(m, at); f.Speed != nil {
				f.Message += fmt.Sprintf(" In time up to %s.", TempoWords(f.Speed.HoldsUpTo, p.Timeline.BeatAt(at.Bar, at.Onset)))
			}
			f.Advice = "Let the part end in the setting that it begins with, or leave time before the repeat."
			out = append(out, f)
		}
	}
	return out
}
