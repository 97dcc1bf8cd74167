package rules

import (
	"context"

	"fourfold/parser/score"
)

// Ends is what the bars of a section hold that other sections ask about. Equal ends
// tell the others the same.
type Ends struct{}

// endsOf reads the ends of a section.
func endsOf(t *score.Tune, player Player, set Settings, sec Section) Ends { return Ends{} }

// Around is what lies beyond a section, as far as that section asks.
type Around struct{}

// aroundsOf tells each section what lies beyond it.
func aroundsOf(set Settings, secs []Section, ends []Ends) []Around { return make([]Around, len(secs)) }

// Summary is what a section adds to the figures of its tune.
type Summary struct {
	Moves, Late              int // of pedals
	BusiestBar, BusiestMoves int // where most pedals move, 0 for nowhere
}

// fromAround asks the rules that rest on what lies beyond the section: the feet, the
// levers, the marks. The part needs no fingering.
func (p *Part) fromAround(ctx context.Context, a Around) (found []Finding, sum Summary, err error) {
	p.seams = p.findSeams()
	p.Pedals = p.findPedals()
	for _, r := range All() {
		if err := ctx.Err(); err != nil {
			return nil, sum, err
		}
		if r.Whole != nil && !needsHandsOnly(r.Name) {
			found = append(found, afar(r.Whole(p))...)
		}
	}
	return found, sum, ctx.Err()
}

// joined finds what only all sections together tell.
func joined(text []byte, t *score.Tune, player Player, set Settings, secs []Section, locals []Local) []Finding {
	return nil
}

// seamsAcross reads the ways over the repeats and into the endings that leave a section.
func seamsAcross(ctx context.Context, text []byte, t *score.Tune, player Player, set Settings, secs []Section) ([]Finding, error) {
	return nil, nil
}
