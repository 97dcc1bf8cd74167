package rules

import "context"

// Summary is what a section adds to the figures of its tune.
type Summary struct {
	Moves, Late              int // of pedals
	BusiestBar, BusiestMoves int // where most pedals move, 0 for nowhere
}

// fromAround asks the rules that rest on more than the hands in the section: the feet,
// the levers and the marks for them, and the repeats. Staves are enough. Its only error
// is the context's.
func (p *Part) fromAround(ctx context.Context, a Around) (found []Finding, sum Summary, err error) {
	p.around = &a
	p.beyond = p.findBeyond()
	p.seams = p.findSeams()
	p.Pedals = p.findPedals()
	for _, r := range All() {
		if err := ctx.Err(); err != nil {
			return nil, sum, err
		}
		if r.Whole != nil && !r.Fingered {
			found = append(found, afar(r.Whole(p))...)
		}
	}
	if p.Pedals != nil {
		sum = p.Pedals.summary(*p.section)
	}
	return found, sum, ctx.Err()
}

// summary counts the moves for the notes of a section.
func (d *Pedals) summary(sec Section) (s Summary) {
	bars := make([]int, sec.To-sec.From+1)
	for _, m := range d.Plan.Moves {
		bar := d.from[m.Demand].Bar
		if bar < sec.From || bar > sec.To {
			continue
		}
		s.Moves++
		if m.Late > tolerance {
			s.Late++
		}
		bars[bar-sec.From]++
		if n := bars[bar-sec.From]; n > s.BusiestMoves || n == s.BusiestMoves && bar < s.BusiestBar {
			s.BusiestBar, s.BusiestMoves = bar, n
		}
	}
	return s
}
