package feet

import (
	"context"
	"math"
	"math/rand"
	"slices"
	"testing"

	"fourfold/analysis/harp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// windowRule counts the cost of a passage as it is spelled, from its windows: an
// independent reading of the rule.
func windowRule(music []Instant, tuned map[int]Pos, initial Setting, start float64) float64 {
	var demands []Demand
	for _, m := range music {
		for _, n := range m.Notes {
			if _, fixed := tuned[n.String]; !fixed {
				demands = append(demands, Demand{T: m.T, Letter: Letter(n.String % 7), Pos: Pos(n.Alter)})
			}
		}
	}
	windows := Windows(demands, initial, start)
	cost := 0.0
	free := [2]float64{math.Inf(-1), math.Inf(-1)}
	for len(windows) > 0 {
		// The next move of those with the first deadline: the one that can start first.
		next := 0
		begins := func(w Window) float64 { return math.Max(w.Release, free[w.Letter.Foot()]) }
		for i, w := range windows {
			if w.Deadline > windows[0].Deadline+1e-9 {
				break
			}
			v := windows[next]
			if begins(w) < begins(v) || begins(w) == begins(v) && w.Notches() < v.Notches() {
				next = i
			}
		}
		w := windows[next]
		windows = slices.Delete(slices.Clone(windows), next, next+1)
		end := begins(w) + Steady.Of(w)
		free[w.Letter.Foot()] = end
		cost += 1 + .5*float64(w.Notches()-1)
		if late := end - w.Deadline; late > 1e-9 {
			cost += 100 * late / .25
		}
	}
	return cost
}

// twinSpell tries every spelling of every note.
func twinSpell(music []Instant, strings Strings, initial Setting, start float64) float64 {
	least := math.Inf(1)
	type place struct{ instant, note int }
	var places []place
	work := make([]Instant, len(music))
	for i, m := range music {
		work[i] = Instant{T: m.T, Notes: slices.Clone(m.Notes)}
		for k := range m.Notes {
			places = append(places, place{i, k})
		}
	}
	midi := func(n Note) int { return []int{0, 2, 4, 5, 7, 9, 11}[n.String%7] + 12*(n.String/7) + n.Alter }
	playable := func() bool {
		for i := range work {
			strs, letters := map[int]bool{}, map[int]int{}
			for j := range work {
				if math.Abs(work[j].T-work[i].T) > 1e-9 {
					continue
				}
				for _, n := range work[j].Notes {
					if strs[n.String] {
						return false
					}
					strs[n.String] = true
					if _, fixed := strings.Tuned[n.String]; fixed {
						continue
					}
					if p, ok := letters[n.String%7]; ok && p != n.Alter {
						return false
					}
					letters[n.String%7] = n.Alter
				}
			}
		}
		return true
	}
	var try func(k int, respelled float64)
	try = func(k int, respelled float64) {
		if k == len(places) {
			if playable() {
				least = math.Min(least, respelled+windowRule(work, strings.Tuned, initial, start))
			}
			return
		}
		written := music[places[k].instant].Notes[places[k].note]
		n := &work[places[k].instant].Notes[places[k].note]
		for str := strings.Lowest; str <= strings.Highest; str++ {
			for alter := -1; alter <= 1; alter++ {
				other := Note{String: str, Alter: alter}
				if midi(other) != midi(written) {
					continue
				}
				if tuned, fixed := strings.Tuned[str]; fixed && int(tuned) != alter {
					continue
				}
				same := str == written.String && alter == written.Alter
				if written.Fixed && !same {
					continue
				}
				n.String, n.Alter = str, alter
				if same {
					try(k+1, respelled)
				} else {
					try(k+1, respelled+.05)
				}
			}
		}
		*n = written
	}
	try(0, 0)
	return least
}

// randomMusic makes so many different notes in instants of one to three.
func randomMusic(r *rand.Rand, notes int, tempo float64, low, range_ int) []Instant {
	var music []Instant
	t := 0.0
	for count := 0; count < notes; {
		m := Instant{T: t}
		for range 1 + r.Intn(4)/2 {
			n := Note{String: low + r.Intn(range_), Alter: r.Intn(3) - 1, Fixed: r.Intn(12) == 0}
			if r.Intn(15) == 0 {
				n.Alter *= 2
			}
			fresh := true
			for _, other := range m.Notes {
				fresh = fresh && other.String != n.String
			}
			if fresh && count < notes {
				m.Notes = append(m.Notes, n)
				count++
			}
		}
		music = append(music, m)
		if r.Intn(4) > 0 {
			t += tempo * float64(1+r.Intn(3))
		} else {
			t += tempo * r.Float64()
		}
	}
	return music
}

func randomSetting(r *rand.Rand) Setting {
	s := AllFree()
	for l := range s {
		if r.Intn(2) == 0 {
			s[l] = Pos(r.Intn(3) - 1)
		}
	}
	return s
}

func TestSpellAsByTryingAllSpellings(t *testing.T) {
	r := rand.New(rand.NewSource(4))
	late, saved, impossible := 0, 0, 0
	for n := range 4000 {
		low := 28
		if n%5 == 0 {
			low = 7
		}
		music := randomMusic(r, 1+r.Intn(8), .05+r.Float64()*.6, low, 3+r.Intn(10))
		strings := StringsOf(harp.Concert(), music)
		initial := randomSetting(r)
		got, err := Spell(context.Background(), music, SpellOptions{Initial: initial, Strings: strings})
		require.NoError(t, err)
		want := twinSpell(music, strings, initial, 0)
		if math.IsInf(want, 1) {
			require.NotEmpty(t, got.Impossible)
			impossible++
			continue
		}
		require.Empty(t, got.Impossible, "%+v", music)
		require.True(t, got.Proved)
		require.InDelta(t, want, got.Cost, 2e-6*float64(len(music)), "%v %+v", initial, music)
		require.InDelta(t, got.Cost, windowRule(got.Music, strings.Tuned, initial, 0)+.05*float64(got.Respelled), 2e-6*float64(len(music)))
		if asWritten, ok := CostAsSpelled(music, SpellOptions{Initial: initial, Strings: strings}); ok {
			require.LessOrEqual(t, got.Cost, asWritten)
			if got.Cost < asWritten {
				saved++
			}
		}
		if want > 50 {
			late++
		}
	}
	assert.Greater(t, late, 500)
	assert.Greater(t, saved, 500)
	assert.Greater(t, impossible, 10)
}

func cheapest(t *testing.T, music []Instant) Spelling {
	t.Helper()
	s, err := Spell(context.Background(), music, SpellOptions{Initial: AllFree(), Strings: StringsOf(harp.Concert(), music)})
	require.NoError(t, err)
	return s
}

func at(t float64, notes ...Note) Instant { return Instant{T: t, Notes: notes} }

func TestSpellInstantsOfOneTimeTogether(t *testing.T) {
	c, cSharp := Note{String: 35}, Note{String: 28, Alter: 1}
	s := cheapest(t, []Instant{at(1, c), at(1+1e-10, cSharp), at(0)})
	assert.Equal(t, .05, s.Cost)
	assert.Equal(t, []Instant{at(1, c), at(1+1e-10, Note{String: 29, Alter: -1}), at(0)}, s.Music)

	s = cheapest(t, []Instant{at(0, c), at(0, c)})
	assert.Zero(t, s.Cost, "one string for both hands is one note")
}

func TestSpellKeepsWhatCostsNothing(t *testing.T) {
	music := []Instant{at(0, Note{String: 28, Alter: -1}), at(3, Note{String: 31, Alter: -1}), at(6, Note{String: 37, Alter: 1})}
	s := cheapest(t, music)
	assert.Zero(t, s.Cost)
	assert.Equal(t, music, s.Music)
}

// A doubling on two strings is meant (Sibelius Academy, Tremolo: both spellings are
// written); a harmonic is played on the string that is written.
func TestSpellKeepsDoublingsAndHarmonics(t *testing.T) {
	doubling := at(0, Note{String: 34, Alter: 1}, Note{String: 35})
	s := cheapest(t, []Instant{doubling, at(5, Note{String: 34}), at(10, Note{String: 34, Alter: 1}, Note{String: 35})})
	assert.Equal(t, doubling, s.Music[0])
	assert.Equal(t, doubling.Notes, s.Music[2].Notes)
	// B natural between may be the C string's flat: that takes two moves, as two of B would.
	assert.InDelta(t, 2, s.Cost, .06)

	harmonic := Note{String: 28, Alter: 1, Fixed: true}
	s = cheapest(t, []Instant{at(0, Note{String: 28}), at(5, harmonic)})
	assert.Equal(t, harmonic, s.Music[1].Notes[0])
	assert.Equal(t, Note{String: 27, Alter: 1}, s.Music[0].Notes[0], "the other note gives way")
}

// C1 and D1 have no discs (handout "Writing for the Pedal Harp"): they take the
// pitch that they are tuned to and no other (100 Orchestration Tips, no. 65).
func TestSpellUndiscedStrings(t *testing.T) {
	music := []Instant{at(0, Note{String: 7, Alter: -1}), at(1, Note{String: 7, Alter: -1}), at(2, Note{String: 28}), at(3, Note{String: 7})}
	strings := StringsOf(harp.Concert(), music)
	assert.Equal(t, map[int]Pos{7: Flat, 8: Natural}, strings.Tuned)
	s := cheapest(t, music)
	assert.Equal(t, []int{3}, s.Impossible, "low C flat, then low C")
	assert.Zero(t, s.Cost, "no pedal moves for the low string")
	assert.Equal(t, music, s.Music)
}

func TestSpellBeyondTheHarp(t *testing.T) {
	music := []Instant{at(0, Note{String: 6, Alter: 1}, Note{String: 60}), at(1, Note{String: 39, Alter: 1}), at(2, Note{String: 38, Alter: 1})}
	s := cheapest(t, music)
	assert.Empty(t, s.Impossible)
	assert.Equal(t, Note{String: 7}, s.Music[0].Notes[0], "low B sharp is the C string")
	assert.Equal(t, Note{String: 60}, s.Music[0].Notes[1], "there is no such string: nothing to respell")
}

func TestSpellEndsWithTheContext(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	music := chromaticPart(10, 1)
	_, err := Spell(ctx, music, SpellOptions{Initial: AllFree(), Strings: StringsOf(harp.Concert(), music)})
	assert.ErrorIs(t, err, context.Canceled)
}

func TestSpellNothing(t *testing.T) {
	s := cheapest(t, nil)
	assert.Zero(t, s.Cost)
	assert.True(t, s.Proved)
	assert.Empty(t, s.Music)
}

// The cost does not depend on when the music starts.
func TestSpellShifted(t *testing.T) {
	r := rand.New(rand.NewSource(11))
	for range 200 {
		music := randomMusic(r, 12, .3, 28, 14)
		strings := StringsOf(harp.Concert(), music)
		shift := 100 * r.Float64()
		later := make([]Instant, len(music))
		for i, m := range music {
			later[i] = Instant{T: m.T + shift, Notes: m.Notes}
		}
		a, err := Spell(context.Background(), music, SpellOptions{Initial: AllFree(), Strings: strings})
		require.NoError(t, err)
		b, err := Spell(context.Background(), later, SpellOptions{Initial: AllFree(), Start: shift, Strings: strings})
		require.NoError(t, err)
		require.InDelta(t, a.Cost, b.Cost, 1e-4)
		require.True(t, a.Proved && b.Proved)
	}
}

// Long hurried music: what is said to be proved is not beaten by looking at more
// ways.
func TestSpellProvedIsTheLeast(t *testing.T) {
	for _, quarter := range []float64{1, .7, .4} {
		music := chromaticPart(25, quarter)
		o := SpellOptions{Initial: AllFree(), Strings: StringsOf(harp.Concert(), music), Busy: Steady}
		got, err := Spell(context.Background(), music, o)
		require.NoError(t, err)
		require.True(t, got.Proved)
		wide := speller{options: o, music: moments(music, o.Strings), cost: math.MaxInt64}
		wide.ahead = &ahead{floor: make([]int64, len(wide.music)+1), above: make([][allSettings]uint8, len(wide.music)+1)}
		require.NoError(t, wide.search(context.Background(), 3000))
		assert.InDelta(t, float64(wide.cost)/costMove, got.Cost, 1e-3, "quarter %g", quarter)
	}
}
