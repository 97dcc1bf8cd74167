package feet

import (
	"math"
	"math/rand"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func ask(t float64, name string) Demand {
	l, alter, err := parsePitch(name)
	if err != nil {
		panic(err)
	}
	return Demand{T: t, Letter: l, Pos: Pos(alter)}
}

func TestPlanInTime(t *testing.T) {
	p := PlanOf([]Demand{ask(0, "C"), ask(1, "C#"), ask(1, "E"), ask(3, "Eb")}, PlanOptions{Initial: AllFree()})
	require.Len(t, p.Moves, 2)
	c, e := p.Moves[0], p.Moves[1]
	assert.Equal(t, "D C B | E F G A", p.Initial.String())
	assert.Equal(t, "D C# B | Eb F G A", p.Final.String())
	assert.Equal(t, Move{Letter: C, To: Sharp, Foot: Left, Release: 0, Deadline: 1, At: 0, End: .5, Stretch: 1, Demand: 1}, c)
	assert.Equal(t, Move{Letter: E, To: Flat, Foot: Right, Release: 1, Deadline: 3, At: 1, End: 1.5, Stretch: 1, Demand: 3}, e)
	assert.Equal(t, "D C B | E F G A", p.SettingAt(.9).String())
	assert.Equal(t, "D C# B | E F G A", p.SettingAt(1).String())
	assert.Equal(t, "D C# B | Eb F G A", p.SettingAt(100).String())
	assert.Equal(t, FootPlan{Moves: 1, Stretch: 1}, p.Feet[Left])
}

func TestPlanWaitsUntilTheStringIsQuiet(t *testing.T) {
	long := ask(0, "C")
	long.Rings = 1.5
	p := PlanOf([]Demand{long, ask(4, "C#")}, PlanOptions{Initial: AllFree()})
	assert.Equal(t, 1.5, p.Moves[0].At)
	assert.False(t, p.Moves[0].Rings)

	p = PlanOf([]Demand{long, ask(1.9, "C#")}, PlanOptions{Initial: AllFree()})
	assert.Equal(t, 0., p.Moves[0].At, "it rings either way: the more time to spare the better")
	assert.True(t, p.Moves[0].Rings)
}

func TestPlanLateAndHurried(t *testing.T) {
	p := PlanOf([]Demand{ask(0, "C"), ask(.3, "C#")}, PlanOptions{Initial: AllFree()})
	assert.InDelta(t, .2, p.Moves[0].Late, 1e-12)
	assert.True(t, p.Moves[0].Hurried, "0.25 s is there")
	assert.InDelta(t, .5/.3, p.Moves[0].Stretch, 1e-9)
	assert.InDelta(t, .5/.3, p.Feet[Left].Stretch, 1e-9)
	assert.Equal(t, 0., p.Feet[Left].Hurried)

	p = PlanOf([]Demand{ask(0, "C"), ask(.2, "C#")}, PlanOptions{Initial: AllFree()})
	assert.InDelta(t, .3, p.Moves[0].Late, 1e-12)
	assert.False(t, p.Moves[0].Hurried)
	assert.InDelta(t, .05, p.Feet[Left].Hurried, 1e-12)
}

// Two pedals at the same instant, one for each foot, are ordinary (Sibelius
// Academy, Pedaling; handout "Writing for the Pedal Harp").
func TestOnePedalForEachFootAtOneInstant(t *testing.T) {
	for _, pair := range [][2]string{{"C", "G"}, {"B", "E"}, {"D", "A"}} {
		p := PlanOf([]Demand{ask(0, pair[0]), ask(0, pair[1]), ask(.5, pair[0]+"#"), ask(.5, pair[1]+"#")}, PlanOptions{Initial: AllFree()})
		require.Len(t, p.Moves, 2)
		for _, m := range p.Moves {
			assert.Zero(t, m.Late)
			assert.Empty(t, m.SameFoot)
		}
	}
}

// Two of one foot in the time of one move: neighbours are awkward, D with B not
// possible (a harpists' forum, citing P. Stickney, American Harp Journal 29/4).
func TestTwoPedalsOfOneFootAtOneInstant(t *testing.T) {
	p := PlanOf([]Demand{ask(0, "D"), ask(0, "C"), ask(.5, "D#"), ask(.5, "C#")}, PlanOptions{Initial: AllFree()})
	require.Len(t, p.Moves, 2)
	assert.Equal(t, []int{1}, p.Moves[0].SameFoot)
	assert.Equal(t, []int{0}, p.Moves[1].SameFoot)
	assert.InDelta(t, .5, p.Feet[Left].Late, 1e-12)
	assert.InDelta(t, 2, p.Feet[Left].Stretch, 1e-9)
	assert.True(t, Adjacent(D, C))
	assert.True(t, Adjacent(B, C))
	assert.False(t, Adjacent(D, B))
	assert.False(t, Adjacent(B, E), "they are neighbours, but not under one foot")
	assert.True(t, Adjacent(E, F))
	assert.False(t, Adjacent(E, A))
}

// A foot may cross to the neighbour over the middle (Inglefield and Neill,
// Writing for the Pedal Harp, 1985; from memory).
func TestFootCrossesToSaveALateMove(t *testing.T) {
	demands := []Demand{ask(0, "E"), ask(0, "G"), ask(.5, "Eb"), ask(.5, "G#")}
	p := PlanOf(demands, PlanOptions{Initial: AllFree()})
	require.Len(t, p.Moves, 2)
	crossed := 0
	for _, m := range p.Moves {
		assert.Zero(t, m.Late)
		if m.Crossed {
			crossed++
			assert.Equal(t, E, m.Letter)
			assert.Equal(t, Left, m.Foot)
		}
	}
	assert.Equal(t, 1, crossed)
	assert.Equal(t, 1, p.Feet[Left].Moves)

	p = PlanOf(demands, PlanOptions{Initial: AllFree(), Uncrossed: true})
	assert.InDelta(t, .5, p.Feet[Right].Late, 1e-12)

	p = PlanOf([]Demand{ask(0, "A"), ask(0, "G"), ask(.5, "A#"), ask(.5, "G#")}, PlanOptions{Initial: AllFree()})
	assert.InDelta(t, .5, p.Feet[Right].Late, 1e-12, "only E is in reach of the left foot")

	p = PlanOf(append(demands, ask(0, "D"), ask(.5, "D#")), PlanOptions{Initial: AllFree()})
	assert.InDelta(t, .5, p.Feet[Right].Late, 1e-12, "the left foot has its own move")
}

// Same letter at two positions in one instant: impossible as spelled (handout
// "Writing for the Pedal Harp"; players' pedals sheet).
func TestPlanLeavesClashesToTheSpelling(t *testing.T) {
	p := PlanOf([]Demand{ask(0, "C"), ask(2, "C#"), ask(2, "C"), ask(4, "C")}, PlanOptions{Initial: AllFree()})
	require.Len(t, p.Clashes, 1)
	assert.Equal(t, Clash{T: 2, Letter: C, Positions: []Pos{Natural, Sharp}, Demands: []int{1, 2}}, p.Clashes[0])
	assert.Empty(t, p.Moves)

	p = PlanOf([]Demand{ask(0, "C"), ask(2, "C#"), ask(2, "Cb"), ask(4, "C#")}, PlanOptions{Initial: AllFree()})
	require.Len(t, p.Moves, 1)
	assert.Equal(t, 1, p.Moves[0].Demand)
}

func TestPlanUnasked(t *testing.T) {
	flats := Setting{Flat, Flat, Flat, Natural, Flat, Flat, Flat}
	p := PlanOf([]Demand{ask(0, "C#")}, PlanOptions{Initial: AllFree(), Unasked: flats})
	assert.Equal(t, "Db C# Bb | Eb F Gb Ab", p.Initial.String())
	assert.Empty(t, p.Moves)
}

// Slower music by a factor, with slower feet by the same, is late by that factor
// more and needs the same stretch; and nothing depends on when the piece starts.
func TestScalingAndShifting(t *testing.T) {
	r := rand.New(rand.NewSource(6))
	for range 300 {
		demands := ringing(r, randomDemands(r, 8, []Letter{C, D, E, F, G, A, B}))
		factor, shift := .25+4*r.Float64(), 50*r.Float64()-25
		scaled, shifted := make([]Demand, len(demands)), make([]Demand, len(demands))
		for i, d := range demands {
			scaled[i], shifted[i] = d, d
			scaled[i].T *= factor
			scaled[i].Rings *= factor
			shifted[i].T += shift
		}
		was := PlanOf(demands, PlanOptions{Initial: AllFree()})
		slow := PlanOf(scaled, PlanOptions{
			Initial: AllFree(),
			Steady:  Busy{One: Steady.One * factor, Two: Steady.Two * factor},
			Hurried: Busy{One: Hurried.One * factor, Two: Hurried.Two * factor},
		})
		moved := PlanOf(shifted, PlanOptions{Initial: AllFree(), Start: shift})
		require.Len(t, slow.Moves, len(was.Moves))
		require.Len(t, moved.Moves, len(was.Moves))
		for f := range was.Feet {
			require.InDelta(t, was.Feet[f].Late*factor, slow.Feet[f].Late, 1e-7)
			require.InDelta(t, was.Feet[f].Late, moved.Feet[f].Late, 1e-7)
			if math.IsInf(was.Feet[f].Stretch, 1) {
				continue
			}
			require.InEpsilon(t, was.Feet[f].Stretch, slow.Feet[f].Stretch, 1e-6)
			require.InEpsilon(t, was.Feet[f].Stretch, moved.Feet[f].Stretch, 1e-6)
		}
	}
}

// At the tempo divided by the stretch the same foot is in time, a little faster
// it is not.
func TestStretchIsTheLeast(t *testing.T) {
	r := rand.New(rand.NewSource(7))
	hard := 0
	for range 300 {
		windows := Windows(randomDemands(r, 10, rightLetters), AllFree(), 0)
		s := Stretch(windows, Steady)
		if s == 1 || math.IsInf(s, 1) {
			continue
		}
		hard++
		at := func(slower float64) float64 {
			slow := make([]Window, len(windows))
			for i, w := range windows {
				slow[i] = w
				slow[i].Release *= slower
				slow[i].Deadline *= slower
			}
			return Late(slow, Steady)
		}
		require.Less(t, at(s*1.000001), 1e-6)
		require.Positive(t, at(s*.99999))
	}
	assert.Greater(t, hard, 100)
}

func TestPlanOfNothing(t *testing.T) {
	p := PlanOf(nil, PlanOptions{Initial: AllFree()})
	assert.Empty(t, p.Moves)
	assert.Equal(t, "D C B | E F G A", p.Final.String())
	assert.Equal(t, 1., p.Feet[Right].Stretch)
}
