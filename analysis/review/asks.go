package review

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"sort"
	"strings"
	"sync"

	"fourfold/analysis"
	"fourfold/analysis/hands"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// Asks is what one player's tune asks of a harpist, in the figures that the
// page shows.
type Asks struct {
	Tune, Player int // from 0: which tune of the score, which part of the tune
	Name         string
	// Asked is the tempo of the score at the hardest place, Comfortable and Holds
	// what is easy and what is possible there; in the beat of the score, "" where
	// nothing limits the tempo.
	Asked, Comfortable, Holds string
	Load                      float64 // Asked ÷ Holds, 0 where nothing limits the tempo
	Bar                       int     // the hardest bar, 0 for none
	Who                       string  // who is short of time there: "right hand", "left foot"
	Assumed                   bool    // the score gives no tempo
	Moves, Late               int     // of pedals
	BusiestBar, BusiestMoves  int     // where most pedals move, 0 for nowhere
	Pedals                    bool    // the harp has pedals
}

// AsksOf works out what each part of a reading asks. The only error is the
// context's.
func AsksOf(ctx context.Context, r *analysis.Reading) (out []Asks, err error) {
	for i, t := range r.Score().Tunes {
		if l := r.Long(i); l != nil {
			out = append(out, asksOfLong(l, t, i)...)
			continue
		}
		parts := r.PartsOf(i)
		byPart := make([][]rules.Finding, len(parts))
		for _, f := range r.Touching(t.Span) {
			if k, ok := partOf(parts, f); ok {
				byPart[k] = append(byPart[k], f)
			}
		}
		for k, p := range parts {
			a, err := asksOf(ctx, p, byPart[k])
			if err != nil {
				return nil, err
			}
			a.Tune, a.Player = i, k
			out = append(out, a)
		}
	}
	return out, nil
}

// asksOfLong puts together what the sections of a long tune ask.
func asksOfLong(l *rules.Long, t *score.Tune, tune int) (out []Asks) {
	for i, player := range l.Players {
		sum, most := l.Sum(i)
		a := Asks{Tune: tune, Player: i, Name: player.Name, Assumed: l.Assumed(t), Pedals: l.Settings().Instrument.Pedals,
			Moves: sum.Moves, Late: sum.Late, BusiestBar: sum.BusiestBar, BusiestMoves: sum.BusiestMoves}
		bar, onset := 1, score.Zero
		if most.Load > 0 {
			bar, onset = most.Bar, orStart(most.Onset)
			a.Load, a.Bar, a.Who = most.Load, most.Bar, most.Who
		}
		q, beat := l.TempoAt(t, bar, onset)
		a.Asked = rules.TempoWords(q, beat)
		if a.Load > 0 {
			a.Holds, a.Comfortable = rules.TempoWords(q/a.Load, beat), rules.TempoWords(l.Settings().Hand.Comfortable*q/a.Load, beat)
		}
		out = append(out, a)
	}
	return out
}

func asksOf(ctx context.Context, p *rules.Part, findings []rules.Finding) (Asks, error) {
	f := footworkOf(p)
	worst, err := tightestPlace(ctx, p)
	l := limitOf(p, f, worst, speedFindings(p, findings))
	q, beat := tempoAt(p, max(1, l.bar), orStart(l.onset))
	a := Asks{Name: p.Player.Name, Asked: rules.TempoWords(q, beat), Load: l.load, Bar: l.bar, Who: l.who, Assumed: p.Timeline.Assumed(), Pedals: f.plan != nil}
	if l.load > 0 {
		a.Holds, a.Comfortable = rules.TempoWords(q/l.load, beat), rules.TempoWords(p.Settings.Hand.Comfortable*q/l.load, beat)
	}
	a.feet(f)
	return a, err
}

// speedFindings are the findings about speed that say it is too much.
func speedFindings(p *rules.Part, findings []rules.Finding) (out []located) {
	for _, f := range findings {
		if f.Speed == nil || f.Severity > rules.Warning {
			continue
		}
		if l, ok := locate(p, numbered{Finding: f}); ok {
			out = append(out, l)
		}
	}
	return out
}

// feet counts the moves, and finds the bar that has most of them.
func (a *Asks) feet(f footwork) {
	if f.plan == nil {
		return
	}
	a.Moves, a.Late = len(f.plan.Moves), len(f.late())
	inBar := map[int]int{}
	for _, m := range f.plan.Moves {
		bar := f.place(m).Bar
		inBar[bar]++
		if n := inBar[bar]; n > a.BusiestMoves || n == a.BusiestMoves && bar < a.BusiestBar {
			a.BusiestBar, a.BusiestMoves = bar, n
		}
	}
}

// tightestPlace is what loadsOf finds, without measuring every bar: from the bar
// whose fingering is shown with the largest load on, until no other can be worse.
// A bar's load is at most that of the fingering, as another one only asks less.
func tightestPlace(ctx context.Context, p *rules.Part) (worst tightest, err error) {
	most := make([]float64, p.Timeline.Bars())
	ways := [][2]*rules.Hand{p.Played}
	if p.Played != written(p) {
		ways = append(ways, written(p))
	}
	for _, hands := range ways {
		boundLoads(most, hands)
	}
	order := make([]int, 0, len(most))
	for i, load := range most {
		if load > 0 {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(most[b], most[a]) })
	m := barMeasure{measure: measure{part: p, bars: make([]barLoad, len(most))}, hands: map[*rules.Hand][]measuredPassage{}}
	for _, i := range order {
		if most[i] < worst.load || ctx.Err() != nil {
			break
		}
		if most[i] == worst.load && i+1 > worst.pluck.Bar {
			continue
		}
		here := m.bar(i+1, ways)
		if w := tightestOf([]barLoad{here}); w.load > worst.load || w.load == worst.load && w.load > 0 && w.pluck.Bar < worst.pluck.Bar {
			worst = w
		}
	}
	return worst, ctx.Err()
}

// boundLoads raises the load of each bar to that of the placings in it and of the
// ways to them.
func boundLoads(most []float64, hands [2]*rules.Hand) {
	for _, h := range hands {
		if h == nil {
			continue
		}
		for _, pl := range h.Solution.Placings {
			for bar := h.Plucks[pl.From][0].Bar; bar <= h.Plucks[pl.To][0].Bar; bar++ {
				most[bar-1] = max(most[bar-1], pl.Load, pl.ChangeLoad)
			}
		}
	}
}

// barMeasure takes the loads of single bars.
type barMeasure struct {
	measure
	hands map[*rules.Hand][]measuredPassage
}

// measuredPassage is a passage and its ceiling, worked out once.
type measuredPassage struct {
	hands.Passage
	ceiling func() float64
}

// bar measures one bar as loadsOf does: as the hands share the notes or, where
// that is easier, as they are written.
func (m *barMeasure) bar(bar int, ways [][2]*rules.Hand) barLoad {
	var least barLoad
	for i, way := range ways {
		m.from, m.to, m.bars[bar-1] = bar, bar, barLoad{}
		for side, h := range way {
			if h != nil {
				m.hand(h, side, bar)
			}
		}
		if i == 0 || least.worse(m.bars[bar-1]) {
			least = m.bars[bar-1]
		}
	}
	return least
}

// hand takes the loads of a hand's placings that touch a bar.
func (m *barMeasure) hand(h *rules.Hand, side, bar int) {
	passages := m.passages(h)
	pls := h.Solution.Placings
	first := sort.Search(len(pls), func(i int) bool { return h.Plucks[pls[i].To][0].Bar >= bar })
	for i := first; i < len(pls) && h.Plucks[pls[i].From][0].Bar <= bar; i++ {
		p := passages[sort.Search(len(passages), func(k int) bool { return passages[k].To >= i })]
		m.placing(h, side, p.Passage, i, p.ceiling)
	}
}

// passages are those of a hand.
func (m *barMeasure) passages(h *rules.Hand) []measuredPassage {
	if known, ok := m.hands[h]; ok {
		return known
	}
	var list []measuredPassage
	for _, p := range h.Solution.Passages() {
		list = append(list, measuredPassage{p, sync.OnceValue(func() float64 { return ceilingOf(h, p.From, p.To) })})
	}
	m.hands[h] = list
	return list
}

// String says it in one line: "♩ = 132 asked, holds up to ♩ = 101 · hardest: bar 12,
// right hand · 14 pedal moves, 1 late · busiest: bar 9, 3 moves".
func (a Asks) String() string {
	asked := a.Asked + " asked"
	if a.Assumed {
		asked = a.Asked + " assumed"
	}
	var parts []string
	if a.Holds == "" {
		parts = append(parts, asked+", any tempo holds")
	} else {
		parts = append(parts, asked+", holds up to "+a.Holds, fmt.Sprintf("hardest: bar %d, %s", a.Bar, a.Who))
	}
	switch {
	case !a.Pedals:
	case a.Moves == 0:
		parts = append(parts, "no pedal moves")
	default:
		moves := rules.Count(a.Moves, "pedal move")
		if a.Late > 0 {
			moves += fmt.Sprintf(", %d late", a.Late)
		}
		parts = append(parts, moves, fmt.Sprintf("busiest: bar %d, %s", a.BusiestBar, rules.Count(a.BusiestMoves, "move")))
	}
	return strings.Join(parts, " · ")
}
