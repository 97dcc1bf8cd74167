package rules

import (
	"iter"
	"slices"

	"fourfold/analysis/feet"
	"fourfold/parser/score"
)

// barRun is some bars that are played one after another, by number, both included.
type barRun struct{ from, to int }

// playedOrder gives the numbers of a voice's bars as they are played: each repeat
// goes back once, and each time that the bar before the endings is left the next
// ending follows.
func playedOrder(v *score.Voice) (order []barRun) {
	back, endings := map[int]int{}, map[int][]int{}
	var leave []int // bars after which the player may go elsewhere
	for _, s := range seamsOf(v) {
		leave = append(leave, s.from)
		if s.to <= s.from {
			back[s.from] = s.to
		} else {
			endings[s.from] = append(endings[s.from], s.to)
		}
	}
	slices.Sort(leave)
	passed := map[int]int{} // how often the bar before endings was left
	for number, last := 1, v.Number(v.Len()-1); number <= last; {
		i, _ := slices.BinarySearch(leave, number)
		if i == len(leave) {
			return append(order, barRun{number, last})
		}
		at := leave[i]
		order = append(order, barRun{number, at})
		to, repeats := back[at]
		later := endings[at]
		switch pass := passed[at]; {
		case repeats:
			delete(back, at)
			number = to
		case pass > 0 && pass <= len(later):
			passed[at]++
			number = later[pass-1]
		default:
			passed[at]++
			number = at + 1
		}
	}
	return order
}

// playedAround gives the bars played up to a bar where it is first reached, itself
// the last, and those played after it. A bar that is never reached stands as on the
// page.
func playedAround(v *score.Voice, number int) (before, after []barRun) {
	order := playedOrder(v)
	i := slices.IndexFunc(order, func(r barRun) bool { return r.from <= number && number <= r.to })
	if i < 0 {
		order, i = []barRun{{1, v.Number(v.Len() - 1)}}, 0
	}
	number = min(number, order[i].to)
	before = append(slices.Clone(order[:i]), barRun{order[i].from, number})
	after = append([]barRun{{number + 1, order[i].to}}, order[i+1:]...)
	return before, after
}

// playedUpTo are the bars played up to a bar where it is first reached, the last first.
// Bars that no sign stands in are played as on the page: for repeats it looks only where
// there is one.
func playedUpTo(v *score.Voice, number int) iter.Seq[int] {
	return func(yield func(int) bool) {
		n := min(number, v.Number(v.Len()-1))
		walked := 0
		for ; n >= 1; n-- {
			if bar := v.Bar(n); bar != nil {
				if _, any := signAt(bar, n); any {
					break
				}
			}
			if walked++; !yield(n) {
				return
			}
		}
		if n < 1 {
			return
		}
		before, _ := playedAround(v, number)
		for n := range backwards(before) {
			if walked--; walked < 0 && !yield(n) {
				return
			}
		}
	}
}

// forwards are the bars of the runs in their order.
func forwards(runs []barRun) iter.Seq[int] {
	return func(yield func(int) bool) {
		for _, r := range runs {
			for n := r.from; n <= r.to; n++ {
				if !yield(n) {
					return
				}
			}
		}
	}
}

// backwards are the bars of the runs from the last to the first.
func backwards(runs []barRun) iter.Seq[int] {
	return func(yield func(int) bool) {
		for _, r := range slices.Backward(runs) {
			for n := r.to; n >= r.from; n-- {
				if !yield(n) {
					return
				}
			}
		}
	}
}

// settingPlayed gives where a note at a bar and a time of the page finds the pedals. Behind
// an ending that the player has left out on the way, the letters stand as the music
// that was played has left them.
func (p *Part) settingPlayed(number int, t float64) feet.Setting {
	s := p.Pedals.Plan.SettingAt(t)
	voices := p.Player.Voices()
	if len(p.Pedals.Seams) == 0 || len(voices) == 0 {
		return s
	}
	before, _ := playedAround(voices[0], number)
	if len(slices.Collect(forwards(before))) == number { // as on the page
		return s
	}
	left := map[int]feet.Setting{} // by bar: the last form of each letter there
	for i, d := range p.Pedals.Demands {
		bar := p.Pedals.from[i].Bar
		if bar == number && d.T > t+tolerance {
			continue
		}
		in, known := left[bar]
		if !known {
			in = feet.AllFree()
		}
		in[d.Letter] = d.Pos
		left[bar] = in
	}
	open := feet.AllFree()
	for n := range backwards(before) {
		in, known := left[n]
		for l := range open {
			if known && open[l] == feet.Free {
				open[l] = in[l]
			}
		}
	}
	for l, pos := range open {
		if pos != feet.Free {
			s[l] = pos
		}
	}
	return s
}
