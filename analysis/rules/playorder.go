package rules

import (
	"fourfold/analysis/feet"
	"fourfold/parser/score"
)

// playedOrder gives the numbers of a voice's bars as they are played: each repeat
// goes back once, and each time that the bar before the endings is left the next
// ending follows.
func playedOrder(v *score.Voice) (order []int) {
	back, endings := map[int]int{}, map[int][]int{}
	for _, s := range seamsOf(v) {
		if s.to <= s.from {
			back[s.from] = s.to
		} else {
			endings[s.from] = append(endings[s.from], s.to)
		}
	}
	passed := map[int]int{} // how often the bar before endings was left
	for number, last := 1, v.Number(len(v.Bars)-1); number <= last; {
		order = append(order, number)
		to, repeats := back[number]
		later := endings[number]
		switch pass := passed[number]; {
		case repeats:
			delete(back, number)
			number = to
		case pass > 0 && pass <= len(later):
			passed[number]++
			number = later[pass-1]
		default:
			passed[number]++
			number++
		}
	}
	return order
}

// playedAround gives the bars played up to a bar where it is first reached, itself
// the last, and those played after it. A bar that is never reached stands as on the
// page.
func playedAround(v *score.Voice, number int) (before, after []int) {
	order := playedOrder(v)
	for i, n := range order {
		if n == number {
			return order[:i+1], order[i+1:]
		}
	}
	for n := 1; n <= v.Number(len(v.Bars)-1); n++ {
		if n <= number {
			before = append(before, n)
		} else {
			after = append(after, n)
		}
	}
	return before, after
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
	if len(before) == number { // as on the page
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
	for i := len(before) - 1; i >= 0; i-- {
		in, known := left[before[i]]
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
