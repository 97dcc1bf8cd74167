package rules

import (
	"fmt"
	"reflect"
	"slices"

	"fourfold/parser/score"
)

// frame is what all sections of a player's tune rest on. Sections that were read in
// another frame are of no use.
type frame struct {
	about   string // the tune, its voices and staves, and the player
	assumed bool   // no tempo is given
	set     Settings
}

func frameOf(t *score.Tune, player Player, set Settings) frame {
	about := fmt.Sprintf("%q %q %v %q %v", t.Number, t.Title, t.Staves, player.Name, player.Lone)
	for _, v := range t.Voices {
		about += fmt.Sprintf(" %q %q %q %q %v", v.ID, v.Name, v.Subname, v.Clef, v.Cue)
	}
	for _, voices := range [2][]*score.Voice{player.Upper, player.Lower} {
		about += " /"
		for _, v := range voices {
			about += fmt.Sprintf(" %q", v.ID)
		}
	}
	f := frame{about: about, assumed: set.Tempo <= 0, set: set}
	for _, q := range t.Tempi {
		f.assumed = f.assumed && (q.PerMinute <= 0 || q.Bar > t.Bars()+1)
	}
	f.set.memory = nil
	return f
}

func (f frame) equal(o frame) bool {
	return f.about == o.about && f.assumed == o.assumed && reflect.DeepEqual(f.set, o.set)
}

// sectionKey is all that a section and the music beside it hold.
type sectionKey struct {
	sec      Section
	from, to int              // the bars of the stretch
	bars     []*score.Content // of all voices, one voice after the other; nil where a voice has none
	tempi    []score.Tempo    // in force in the stretch
	order    uint64           // in which order the bars of the voices stand in the file
}

func sectionKeyOf(t *score.Tune, sec Section) sectionKey {
	k := sectionKey{sec: sec, from: max(1, sec.From-sectionContext), to: min(t.Bars(), sec.To+sectionContext), tempi: tempiIn(t, max(1, sec.From-sectionContext), sec.To+sectionContext)}
	k.bars = make([]*score.Content, 0, len(t.Voices)*(k.to-k.from+1))
	for _, v := range t.Voices {
		for n := k.from; n <= k.to; n++ {
			k.bars = append(k.bars, contentOf(v, n))
		}
	}
	k.order = orderOf(t, k.from, k.to)
	return k
}

// tempiIn are the tempi in force in some bars.
func tempiIn(t *score.Tune, from, to int) []score.Tempo {
	tempi := t.TempiFrom(from)
	return slices.DeleteFunc(tempi, func(q score.Tempo) bool { return q.Bar > to+1 })
}

// contentOf is what a bar holds; nil where the voice has none of that number.
func contentOf(v *score.Voice, number int) *score.Content {
	if b := v.Bar(number); b != nil {
		return b.Content
	}
	return nil
}

// holds says whether a tune holds the same in a section and beside it, and whether its
// bars are the very ones.
func (k *sectionKey) holds(t *score.Tune, sec Section) (same, very bool) {
	if k.sec != sec || k.to != min(t.Bars(), sec.To+sectionContext) || len(k.bars) != len(t.Voices)*(k.to-k.from+1) ||
		!slices.EqualFunc(k.tempi, tempiIn(t, k.from, k.to), sameTempo) {
		return false, false
	}
	very = true
	i := 0
	for _, v := range t.Voices {
		for n := k.from; n <= k.to; n++ {
			is := contentOf(v, n)
			if is != k.bars[i] {
				if very = false; !is.Equal(k.bars[i]) {
					return false, false
				}
			}
			i++
		}
	}
	return k.order == orderOf(t, k.from, k.to), very
}

// orderOf tells how the bars of the voices lie among each other in the file.
func orderOf(t *score.Tune, from, to int) (sign uint64) {
	for i, v := range t.Voices {
		for n := from; i > 0 && n <= to; n++ {
			a, b := t.Voices[i-1].Bar(n), v.Bar(n)
			if a != nil && b != nil && a.Start < b.Start {
				sign = mixed(sign, uint64(n-from)<<8|uint64(i))
			}
		}
	}
	return sign
}

// sameTempo leaves out where the field stands in the file.
func sameTempo(a, b score.Tempo) bool {
	return a.Bar == b.Bar && a.Onset == b.Onset && a.Beat == b.Beat && a.PerMinute == b.PerMinute && a.Text == b.Text
}
