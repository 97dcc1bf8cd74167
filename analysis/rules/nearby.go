package rules

import (
	"context"

	"fourfold/parser/score"
)

// How much music is read on each side of the bars that are asked about: so many
// bars, and so many notes or chords of the busiest voice, that the fingering, and
// where the hands share, do not depend on what lies further off.
const (
	barsAround   = 3
	eventsAround = mostAtOnce + 4
)

// Near is what is known of some bars of a tune without reading the rest.
type Near struct {
	Parts    []*Part // without pedals and repeats, which rest on the whole tune
	Findings []Finding
	From, To int // the bars that were read, by number
}

// Nearby reads the bars from one number to another with what lies around them, and
// finds what does not depend on more: see Rule.Check. Near the ends of what was
// read findings may be missing or too many. Its only error is the context's.
func Nearby(ctx context.Context, text []byte, t *score.Tune, from, to int, set Settings) (*Near, error) {
	n, err := PartsNear(ctx, text, t, from, to, set)
	if err != nil {
		return nil, err
	}
	own, _ := set.ForTune(t)
	all := All()
	for _, p := range n.Parts {
		for i := range all {
			n.Findings = append(n.Findings, all[i].find(p)...)
		}
	}
	n.Findings = inOrder(chosenSeverities(notAllowed(text, n.Findings), own))
	return n, ctx.Err()
}

// PartsNear reads the same bars and leaves the findings out.
func PartsNear(ctx context.Context, text []byte, t *score.Tune, from, to int, set Settings) (*Near, error) {
	set, _ = set.ForTune(t)
	n := &Near{From: before(t, from, barsAround, eventsAround), To: after(t, to, barsAround, eventsAround)}
	s := t.Stretch(n.From, n.To)
	for _, player := range Players(s) {
		p := readStaves(text, s, player, set)
		p.asked = [2]int{from, to}
		if _, err := newPart(ctx, p); err != nil {
			return nil, err
		}
		n.Parts = append(n.Parts, p)
	}
	return n, nil
}

// before is the bar in which reading must begin for what follows from one on: so many
// bars and events before it.
func before(t *score.Tune, bar, bars, most int) int {
	events := 0
	for n := 0; bar > 1 && (n < bars || events < most); n++ {
		bar--
		events += busiest(t, bar)
	}
	return bar
}

// after is the bar up to which reading must go.
func after(t *score.Tune, bar, bars, most int) int {
	events, last := 0, t.Bars()
	for n := 0; bar < last && (n < bars || events < most); n++ {
		bar++
		events += busiest(t, bar)
	}
	return bar
}

// busiest is how many events the busiest voice has in a bar.
func busiest(t *score.Tune, number int) (most int) {
	for _, v := range t.Voices {
		if b := v.Bar(number); b != nil {
			most = max(most, b.Count())
		}
	}
	return most
}

// Notated gives what the parser found in a score, as findings in the order of the
// text.
func Notated(text []byte, s *score.Score, set Settings) []Finding {
	findings := chosenSeverities(notAllowed(text, notation("", s.Problems)), set)
	for _, t := range s.Tunes {
		if len(t.Problems) == 0 {
			continue
		}
		own, _ := set.ForTune(t)
		findings = append(findings, chosenSeverities(notAllowed(text, notation(t.Number, t.Problems)), own)...)
	}
	return inOrder(findings)
}

// Far says whether a finding may depend on more than the music around it.
func (f *Finding) Far() bool { return f.far }

// IsNotation says whether the parser found it.
func (f *Finding) IsNotation() bool { return f.notation }
