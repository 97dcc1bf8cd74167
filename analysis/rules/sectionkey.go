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
	s := stretchOf(t, sec)
	k := sectionKey{sec: sec, from: max(1, sec.From-sectionContext), to: min(t.Bars(), sec.To+sectionContext), tempi: s.Tempi}
	k.bars = make([]*score.Content, 0, len(t.Voices)*(k.to-k.from+1))
	eachBar(t, k.from, k.to, func(b *score.Bar) {
		if b == nil {
			k.bars = append(k.bars, nil)
			return
		}
		k.bars = append(k.bars, b.Content)
	})
	k.order = orderOf(t, k.from, k.to)
	return k
}

// eachBar visits some bars of all voices, one voice after the other; nil where a voice
// has none.
func eachBar(t *score.Tune, from, to int, visit func(b *score.Bar)) {
	for _, v := range t.Voices {
		for n := from; n <= to; n++ {
			visit(v.Bar(n))
		}
	}
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

// holds says whether the tune still holds the same there.
func (k *sectionKey) holds(o *sectionKey) bool {
	return k.sec == o.sec && k.from == o.from && k.to == o.to && k.order == o.order && slices.EqualFunc(k.tempi, o.tempi, sameTempo) &&
		slices.EqualFunc(k.bars, o.bars, func(a, b *score.Content) bool { return a == b || a.Equal(b) })
}

// sameTempo leaves out where the field stands in the file.
func sameTempo(a, b score.Tempo) bool {
	return a.Bar == b.Bar && a.Onset == b.Onset && a.Beat == b.Beat && a.PerMinute == b.PerMinute && a.Text == b.Text
}
