package fix

import (
	"context"
	"fmt"
	"sort"

	"fourfold/analysis/feet"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

func spellTuneTitle(s *scope) string {
	if _, move := s.feet(); !move {
		return ""
	}
	return "Spell the whole part as the feet like it best (same sound)"
}

func spellSelectionTitle(s *scope) string {
	if !s.selected {
		return ""
	}
	return fmt.Sprintf("Spell %s as the feet like it best (same sound)", s.barWords())
}

// barWords name the bars of the scope.
func (s *scope) barWords() string {
	if s.first == s.last {
		return fmt.Sprintf("bar %d", s.first+1)
	}
	return fmt.Sprintf("bars %d to %d", s.first+1, s.last+1)
}

func spellTune(ctx context.Context, s *scope) (Acted, error) {
	s.first, s.last = 0, s.bars()-1
	return s.spell(ctx)
}

func spellSelection(ctx context.Context, s *scope) (Acted, error) { return s.spell(ctx) }

// mostRespelt is how often a spelling is asked for anew because the hands do not like
// what the feet do: the bars where they object then stay as written.
const mostRespelt = 6

// spell respells the bars of the scope, all else as it is. Hands and strings are asked
// again: bars where they would be worse off stay as they are.
func (s *scope) spell(ctx context.Context) (Acted, error) {
	keep := map[int]bool{}
	for range mostRespelt {
		to, err := s.spelling(ctx, keep)
		if err != nil {
			return Acted{}, err
		}
		if len(to) == 0 {
			return Acted{Why: "No other spelling asks less of the feet."}, nil
		}
		after, why := s.reletter(to, nil)
		if why != "" {
			return Acted{Why: "The best spelling cannot be written: " + string(why) + "."}, nil
		}
		if after, err = s.remarked(ctx, after); err != nil {
			return Acted{}, err
		}
		worse, err := s.worseAfter(ctx, after)
		if err != nil {
			return Acted{}, err
		}
		if len(worse) == 0 {
			part, err := s.partIn(ctx, after)
			if err != nil {
				return Acted{}, err
			}
			moves := movesOf(s.part) - movesOf(part)
			title := fmt.Sprintf("%s respelled: %s (same sound)", counted(len(to), "note"), movesSaved(moves))
			return Acted{Title: title, Edits: difference(s.File.Text(), after.File.Text()), After: after.File.Text()}, nil
		}
		for b := range worse {
			keep[b] = true
		}
	}
	return Acted{Why: "Every spelling that spares the feet brings the hands or the strings into trouble."}, nil
}

func movesSaved(n int) string {
	switch {
	case n > 0:
		return counted(n, "pedal move") + " fewer"
	case n < 0:
		return counted(-n, "pedal move") + " more, and the feet less hurried"
	}
	return "as many pedal moves, better placed"
}

// partIn finds the scope's part in a text that was edited.
func (s *scope) partIn(ctx context.Context, t Text) (*rules.Part, error) {
	tune := t.Score.Tunes[s.index]
	set, _ := t.Settings.ForTune(tune)
	for _, p := range rules.Players(tune) {
		if sameVoices(p, s.player) {
			return rules.FeetPart(t.File.Text(), tune, p, set), ctx.Err()
		}
	}
	return s.part, ctx.Err()
}

func sameVoices(a, b rules.Player) bool {
	if a.Name != b.Name {
		return false
	}
	for _, v := range b.Voices() {
		if !a.Has(v.ID) {
			return false
		}
	}
	return true
}

// rulesOf reads a tune of a text.
func rulesOf(ctx context.Context, t Text, tune *score.Tune) ([]*rules.Part, []rules.Finding, error) {
	return rules.RunTune(ctx, t.File.Text(), tune, t.Settings)
}

// spelling asks the feet for the cheapest spelling of the scope's bars but those that
// are to be kept. Notes that are held by ties go with the note that is plucked.
func (s *scope) spelling(ctx context.Context, keep map[int]bool) (map[spot]pitch, error) {
	sp := s.newSpelling(keep)
	plain, err := sp.cheapest(ctx, nil)
	if err != nil || len(sp.ways) == 0 {
		return plain, err
	}
	return sp.withWaysBack(ctx, plain)
}

// binding says which notes keep their spelling: those that are bound, and ties that lead
// out of the text's own notes.
func (s *scope) binding(all []rules.Plucked, spots map[*score.Note]spot) []bool {
	binds := rules.Bound(all)
	for i, pl := range all {
		at, ok := spots[pl.Note]
		binds[i] = binds[i] || !ok || pl.Note.TieTo && len(s.chain(at)) == 1
	}
	return binds
}

// held are the seven pedals at the beginning and the end of each glissando, as notes
// that stay.
func (s *scope) held() (out []struct {
	t    float64
	note feet.Note
}) {
	const middle = 28
	for _, g := range s.part.Pedals.Glissandi {
		for _, t := range []float64{g.Start, g.End} {
			for l, pos := range g.Setting {
				out = append(out, struct {
					t    float64
					note feet.Note
				}{t, feet.Note{String: middle + l, Alter: int(pos), Fixed: true}})
			}
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].t < out[j].t })
	return out
}

// chain is a note and those that it is tied on to.
func (s *scope) chain(at spot) (out []spot) {
	out = []spot{at}
	if at.grace > 0 {
		return out
	}
	bars := s.tune.Voices[at.voice].Bars()
	for {
		ev := &bars[at.bar].Events()[at.event]
		n := &ev.Notes[at.note]
		if !n.TieTo {
			return out
		}
		next, ok := tiedOn(bars, at, n)
		if !ok {
			return out
		}
		at = next
		out = append(out, at)
	}
}

// tiedOn finds the note that a note is tied to: of the same pitch, where it ends.
func tiedOn(bars []score.Bar, at spot, n *score.Note) (spot, bool) {
	ev := &bars[at.bar].Events()[at.event]
	b, onset := at.bar, ev.Onset.Add(ev.Duration)
	if onset.Cmp(bars[b].Length) >= 0 {
		b, onset = b+1, score.Zero
	}
	if b >= len(bars) {
		return spot{}, false
	}
	for e := range bars[b].Events() {
		next := &bars[b].Events()[e]
		if next.Onset != onset || next.Layer != ev.Layer {
			continue
		}
		for k := range next.Notes {
			if m := &next.Notes[k]; m.TieFrom && pitchOf(m) == pitchOf(n) {
				return spot{at.voice, b, e, 0, k}, true
			}
		}
	}
	return spot{}, false
}
