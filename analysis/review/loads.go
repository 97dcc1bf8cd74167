package review

import (
	"math"

	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// barLoad is what one bar asks of hands and feet: the need divided by the time
// there is, so that 1 is the most that can be played.
type barLoad struct {
	rules.BarLoad
	feet float64
}

func (b barLoad) most() float64 { return max(b.Hands[0], b.Hands[1], b.feet) }

// stuck says that something in the bar cannot be played at any tempo.
func (b barLoad) stuck() bool {
	return b.Impossible[0] || b.Impossible[1] || math.IsInf(b.feet, 1)
}

// loadsOf measures each bar, from bar 1, and finds the tightest place of the hands.
func loadsOf(p *rules.Part, f footwork) (bars []barLoad, worst rules.Tightest) {
	hands, worst := p.Loads()
	bars = make([]barLoad, len(hands))
	for i := range hands {
		bars[i].BarLoad = hands[i]
	}
	if f.plan != nil {
		for _, m := range f.plan.Moves {
			if b := at(bars, f.place(m).Bar); b != nil {
				b.feet = max(b.feet, load(m))
			}
		}
	}
	return bars, worst
}

func at(bars []barLoad, bar int) *barLoad {
	if bar < 1 || bar > len(bars) {
		return nil
	}
	return &bars[bar-1]
}

// tempoAt is the tempo in force at a place, in quarters a minute, and its beat.
func tempoAt(p *rules.Part, bar int, onset score.Frac) (quarters float64, beat score.Frac) {
	return p.Timeline.QuartersAt(bar, onset), p.Timeline.BeatAt(bar, onset)
}
