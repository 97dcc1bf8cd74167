package analysis_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis"
	"fourfold/parser/score"
)

// What a card says right after a key, of the music around it and of any other, is what the
// whole says: fingering, tempi and pedals, also where the hands help each other. So do the
// findings that the music around decides.
func TestGlimpseCardsAreTheWholes(t *testing.T) {
	keys, shared := 0, 0
	for seed := range 6 {
		random := rand.New(rand.NewPCG(uint64(seed), 8))
		text := []byte(longPart(100))
		if seed%2 == 1 {
			text = []byte(randomPart(random, 80))
		}
		g := read(t, string(text)).Glimpse()
		for i := range 40 {
			start, end, insert := letterEdit(random, text)
			edited := append(append(append([]byte{}, text[:start]...), insert...), text[end:]...)
			next := g.Edit(context.Background(), g.File().Edit(start, end, []byte(insert)), start, end)
			if next == nil { // it reaches further than the music around it
				continue
			}
			keys, text = keys+1, edited
			offsets := notesAround(next.Score().Tunes[0], start)
			for range 10 {
				offsets = append(offsets, random.IntN(len(text)))
			}
			got := make([]string, len(offsets)) // asked before the whole is read, which the memory then knows
			for k, at := range offsets {
				card, ok := next.Card(context.Background(), at)
				got[k] = fmt.Sprint(card, ok)
			}
			whole, err := next.Whole(context.Background())
			require.NoError(t, err)
			for k, at := range offsets {
				card, ok := whole.Card(at)
				require.Equal(t, fmt.Sprint(card, ok), got[k], "seed %d, edit %d: %q at %d, card at %d", seed, i, insert, start, at)
			}
			shared += lent(whole)
			require.Equal(t, words(whole.Glimpse()), words(next), "seed %d, edit %d: %q at %d", seed, i, insert, start)
			g = next
			if i%8 == 7 {
				g = whole.Glimpse()
			}
		}
	}
	assert.Greater(t, keys, 150)
	assert.Greater(t, shared, 500, "hands help each other")
}

// words are what the findings say that the music nearby decides, and how gravely.
func words(g *analysis.Glimpse) (list []string) {
	all, _ := g.Pick(1<<30, 0)
	for _, f := range all {
		if !f.Far() {
			list = append(list, fmt.Sprint(f.Rule, f.Severity, f.Span, f.Message))
		}
	}
	return list
}

// notesAround are where the notes of the bars around a place stand.
func notesAround(t *score.Tune, offset int) (at []int) {
	bar, ok := t.BarAt(offset)
	if !ok {
		return nil
	}
	for _, v := range t.Voices {
		for n := bar - 2; n <= bar+2; n++ {
			b := v.Bar(n)
			if b == nil {
				continue
			}
			for _, e := range b.Events() {
				for _, of := range append(e.Graces, e) {
					for _, note := range of.Notes {
						at = append(at, b.Start+note.Span.Start)
					}
				}
			}
		}
	}
	return at
}

// lent is how many notes a hand takes from the other one's staff.
func lent(r *analysis.Reading) (n int) {
	for _, p := range r.Parts() {
		notes, _ := p.Placings(score.Span{End: len(r.Text())})
		for _, note := range notes {
			if note.Foreign {
				n++
			}
		}
	}
	return n
}

// randomPart is a two-staff part of so many bars of random sixteenths with chords, grace
// notes and hardly a rest, four bars a line.
func randomPart(random *rand.Rand, bars int) string {
	var b strings.Builder
	b.WriteString("X:1\nT:Dense\nM:4/4\nL:1/16\nQ:1/4=100\n%%score {RH LH}\nV:RH name=\"Harp\"\nV:LH clef=bass\nK:C\n")
	for _, staff := range []string{"V:RH c d e f ^f g a b c' G A B", "V:LH C, D, E, F, G, A, B, _B, C D E F"} {
		pitches := strings.Fields(staff)[1:]
		note := func() string { return pitches[random.IntN(len(pitches))] }
		b.WriteString(staff[:len("V:RH")] + "\n")
		for i := range bars {
			for range 4 {
				switch random.IntN(12) {
				case 0:
					b.WriteString("z4 ")
				case 1, 2:
					b.WriteString("[" + note() + note() + "]2" + note() + "2 ")
				case 3:
					b.WriteString("{" + note() + "}" + note() + "2" + note() + note() + " ")
				default:
					b.WriteString(note() + note() + note() + note() + " ")
				}
			}
			b.WriteString([]string{"| ", "| ", "| ", "|\n"}[i%4])
		}
	}
	return b.String()
}
