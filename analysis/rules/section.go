package rules

import (
	"context"

	"fourfold/parser/score"
)

// A long tune is read section by section, each with some music on each side of it, so
// that what a reading holds at once does not grow with the tune, and that an edit costs
// what its section costs. What a section's music decides by itself is its Local; what lies
// further off, as far as the section asks, is its Around.

// Section is some bars of a long tune that are read together, by number, both included.
type Section struct{ From, To int }

const (
	sectionBars  = 128 // of a section
	longSections = 4   // sections that a tune must exceed to be read by them
)

// barsASection is how many bars a section has.
func (s Settings) barsASection() int {
	if s.section > 0 {
		return s.section
	}
	return sectionBars
}

// IsLong says whether a tune is read by sections.
func (s Settings) IsLong(t *score.Tune) bool {
	return !t.IsStretch() && s.section >= 0 && t.Bars() > longSections*s.barsASection()
}

// InSections gives the settings with so many bars a section instead of the usual ones; 0
// for the usual ones, -1 to read any tune as one.
func (s Settings) InSections(bars int) Settings {
	s.section = bars
	return s
}

// sectionsOf are the sections of a long tune.
func (s Settings) sectionsOf(t *score.Tune) (out []Section) {
	n, last := s.barsASection(), t.Bars()
	for from := 1; from <= last; from += n {
		out = append(out, Section{from, min(last, from+n-1)})
	}
	return out
}

// sectionContext is how many bars are read on each side of a section, so that what is
// found in it does not depend on what lies further off.
const sectionContext = 16

// stretchOf is a section with the music beside it.
func stretchOf(t *score.Tune, sec Section) *score.Tune {
	return t.Stretch(max(1, sec.From-sectionContext), min(t.Bars(), sec.To+sectionContext))
}

// sectionPart reads a player's share of a section. Without hands only the staves are
// read: which strokes there are, and no fingering. The settings are those of the tune.
// The only error is the context's.
func sectionPart(ctx context.Context, text []byte, t *score.Tune, player Player, set Settings, sec Section, withHands bool) (*Part, error) {
	s := stretchOf(t, sec)
	p := &Part{Player: player.In(s), Tune: s, Settings: set, text: text, isStretch: true, asked: [2]int{sec.From, sec.To}, section: &sec, whole: t, workers: 1}
	if !withHands {
		p.readHands(plainHand)
		return p, ctx.Err()
	}
	p.readHands(p.newHand)
	return newPart(ctx, p)
}

// In gives the player's voices in a stretch of the tune.
func (p Player) In(t *score.Tune) Player {
	p.Upper, p.Lower = voicesIn(t, p.Upper), voicesIn(t, p.Lower)
	return p
}

func voicesIn(t *score.Tune, of []*score.Voice) (out []*score.Voice) {
	for _, v := range of {
		for _, w := range t.Voices {
			if w.ID == v.ID {
				out = append(out, w)
				break
			}
		}
	}
	return out
}

// holds says whether a finding is a section's.
func (s Section) holds(f *Finding) bool {
	bar := f.Bar
	if f.of > 0 {
		bar = f.of
	}
	return s.From <= bar && bar <= s.To
}

// cut keeps the findings that begin in a section.
func (s Section) cut(found []Finding) (out []Finding) {
	for i := range found {
		if s.holds(&found[i]) {
			out = append(out, found[i])
		}
	}
	return out
}
