package feet

import (
	"math/rand"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// whole is what can be seen of a plan.
func whole(p *Plan) Plan {
	return Plan{Initial: p.Initial, Final: p.Final, Moves: p.Moves, Feet: p.Feet, Clashes: p.Clashes}
}

// sameArrangement compares groups, hulls and all.
func sameArrangement(t *testing.T, want, got *arrangement) {
	t.Helper()
	require.Len(t, got.groups, len(want.groups))
	for i := range want.groups {
		require.Equal(t, *want.groups[i], *got.groups[i])
	}
	require.Equal(t, want.late, got.late)
}

// edited changes some demands: others in their place, some gone, some come, and all
// that follows moved in time.
func edited(r *rand.Rand, demands []Demand) []Demand {
	out := slices.Clone(demands)
	at := r.Intn(len(out) + 1)
	end := min(len(out), at+r.Intn(4))
	switch r.Intn(5) {
	case 0:
		for i := at; i < end; i++ {
			out[i].Pos = Pos(r.Intn(3) - 1)
		}
		return out
	case 1:
		for i := at; i < end; i++ {
			out[i].Letter = Letter(r.Intn(Letters))
		}
		return out
	}
	t := 0.0
	if at > 0 {
		t = out[at-1].T
	}
	var fresh []Demand
	for range r.Intn(4) {
		t = toTick(t + r.Float64()*.4)
		fresh = append(fresh, Demand{T: t, Letter: Letter(r.Intn(Letters)), Pos: Pos(r.Intn(3) - 1), Rings: 1.5})
	}
	by := 0.0
	if end < len(out) {
		by = max(0, t-out[end].T)
		if r.Intn(2) == 0 {
			by = max(by, toTick(r.Float64()*2-1))
		}
		if at > 0 {
			by = max(by, out[at-1].T-out[end].T)
		}
	}
	for i := end; i < len(out); i++ {
		out[i].T += by
	}
	return slices.Concat(out[:at], fresh, out[end:])
}

// A plan that is taken on over a chain of edits is the plan made anew, to the last
// bit: moves, times, lateness, crossings, and what the next edit will take on.
func TestReplanIsThePlan(t *testing.T) {
	r := rand.New(rand.NewSource(21))
	late, crossed, moves := 0, 0, 0
	for piece := range 60 {
		demands := ringing(r, randomDemands(r, 60, []Letter{C, D, E, F, G, A, B}))
		pace := []float64{.4, 1, 2, 5}[piece%4]
		for i := range demands {
			demands[i].T = toTick(demands[i].T * pace)
		}
		o := PlanOptions{Initial: AllFree()}
		var p *Plan
		for range 25 {
			p = p.Replan(demands, o)
			want := PlanOf(demands, o)
			require.Equal(t, whole(want), whole(p))
			for f := range p.steady {
				sameArrangement(t, want.steady[f].placed, p.steady[f].placed)
			}
			for _, m := range p.Moves {
				moves++
				if m.Late > 0 {
					late++
				}
				if m.Crossed {
					crossed++
				}
			}
			demands = edited(r, demands)
		}
	}
	assert.Greater(t, moves, 10000)
	assert.Greater(t, late, 2000)
	assert.Greater(t, crossed, 100)
}

// An edit leaves what lies far from it untouched: the very same groups.
func TestReplanTakesOnWhatIsFarOff(t *testing.T) {
	r := rand.New(rand.NewSource(22))
	demands := ringing(r, randomDemands(r, 400, []Letter{C, D, E, F, G, A, B}))
	for i := range demands {
		demands[i].T = toTick(20 * demands[i].T)
	}
	before := PlanOf(demands, PlanOptions{Initial: AllFree()})
	changed := slices.Clone(demands)
	changed[len(changed)/2].Pos = (changed[len(changed)/2].Pos+2)%3 - 1
	after := before.Replan(changed, PlanOptions{Initial: AllFree()})
	for f := range after.steady {
		kept, groups := 0, after.steady[f].placed.groups
		for _, g := range groups {
			if slices.Contains(before.steady[f].placed.groups, g) {
				kept++
			}
		}
		assert.Greater(t, kept, len(groups)*9/10)
	}
}

func TestReplanWithOtherOptionsBeginsAnew(t *testing.T) {
	demands := []Demand{ask(0, "C"), ask(.375, "C#")}
	p := PlanOf(demands, PlanOptions{Initial: AllFree()})
	o := PlanOptions{Initial: AllFree(), Steady: Hurried}
	assert.Equal(t, whole(PlanOf(demands, o)), whole(p.Replan(demands, o)))
	unordered := []Demand{demands[1], demands[0]}
	assert.Equal(t, whole(PlanOf(unordered, PlanOptions{Initial: AllFree()})), whole(p.Replan(unordered, PlanOptions{Initial: AllFree()})))
	assert.Empty(t, p.Replan(nil, PlanOptions{Initial: AllFree()}).Moves)
}
