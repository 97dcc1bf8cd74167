package fix

import (
	"fourfold/analysis/feet"
	"fourfold/analysis/hands"
	"fourfold/parser/score"
)

// mostLooked is how many bars are looked at to say what an action could do: in a longer
// part it is offered, and says itself where there is nothing to do.
const mostLooked = 512

// feet says, from the notes alone, whether the scope's music asks anything of the pedals
// and whether one has to move: for a letter that it needs in two positions, or for a
// glissando.
func (s *scope) feet() (asks, move bool) {
	need := feet.AllFree()
	for _, v := range s.player.Voices() {
		if v.Len() > mostLooked {
			return true, true
		}
		for b := range v.Bars() {
			for _, ev := range v.Bars()[b].Events() {
				if hands.GlissandoStarts(&ev) {
					return true, true
				}
				if s.asksTwice(&need, ev.Notes) {
					return true, true
				}
				for g := range ev.Graces {
					if s.asksTwice(&need, ev.Graces[g].Notes) {
						return true, true
					}
				}
			}
		}
	}
	return need != feet.AllFree(), false
}

// asksTwice notes which position the letters of some notes need, and says whether one
// needs two.
func (s *scope) asksTwice(need *feet.Setting, notes []score.Note) bool {
	harp := s.set.Instrument
	for i := range notes {
		n := &notes[i]
		pos, l := feet.Pos(n.Alter), ((n.String%7)+7)%7
		if harp.Fixed(n.String) || !harp.Has(n.String) || !pos.Valid() {
			continue
		}
		if need[l] != feet.Free && need[l] != pos {
			return true
		}
		need[l] = pos
	}
	return false
}
