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
