package rules

import "context"

// Carry is what a section hands to the next one. The zero Carry is the start of the
// tune. It holds nothing of the score.
type Carry struct{}

// Equal says whether the next section finds the same with either.
func (c Carry) Equal(o Carry) bool { return c == o }

// Summary is what a section adds to the figures of its tune.
type Summary struct {
	Moves, Late              int // of pedals
	BusiestBar, BusiestMoves int // where most pedals move, 0 for nowhere
}

// carried asks the rules that rest on what came before: the feet, and the repeats.
func (p *Part) carried(ctx context.Context, l Local, c Carry) (found []Finding, sum Summary, next Carry, err error) {
	p.seams = p.findSeams()
	p.Pedals = p.findPedals()
	for _, r := range All() {
		if err := ctx.Err(); err != nil {
			return nil, sum, next, err
		}
		if r.Whole == nil || needsHandsOnly(r.Name) {
			continue
		}
		for _, f := range afar(r.Whole(p)) {
			if p.section.holds(&f) {
				found = append(found, f)
			}
		}
	}
	return found, sum, next, ctx.Err()
}
