package harp

import (
	"fmt"
	"math"
)

// Hand is what one hand can do: every constant of the placing model. Times are
// seconds, distances steps (string numbers), costs in placings. The values and
// their origins are in the table of Constants; a Hand is only filled from it.
type Hand struct {
	Name string

	// Spans between two neighbouring used fingers, Spans[f][g] with f < g, and
	// Outer between the lowest and the highest string of a placing.
	Spans [5][5]Span
	Outer Span

	// Afresh is the gap from which the hand starts with no memory of what it did.
	Afresh float64

	// Orders of play within a placing.
	StraightUp, StraightDown, CrossedUp, CrossedDown, Turned Order

	// A finger cycle: pluck, close, find the string, press.
	Cycle        float64 // on the same string
	CyclePerStep float64 // more for each step of way
	MostSteps    int     // steps counted at most, in cycles and leaps
	CycleUnder   float64 // more in a cross-under
	CycleOver    float64 // more in a cross-over
	CyclePerNote float64 // more for each further string of its stroke
	NewFinger    float64 // a finger that the placing before did not use
	SameNext     float64 // one string in two neighbouring strokes
	SameString   float64 // one string in two placings, otherwise

	// CrossReach is how far a crossing finger lands from the placing it leaves.
	CrossReach int
	// Changes from one placing to the next.
	CrossUnder, CrossOver, Pivot, SamePlace, Leap Change

	// Costs.
	Placing        float64 // each placing
	PerStep        float64 // each step beyond comfortable
	PerFinger      float64 // top string off the thumb, each finger away
	SameStrings    float64 // the same strings again in the same place
	Restrike       float64 // each string in two neighbouring placings…
	RestrikeWithin float64 // …less than this apart, seconds
	Overload       float64 // a load of 2, a load of 1 being free
	Impossible     float64 // a stroke that no hand takes
	Unprinted      float64 // each printed finger that is not the one taken

	// Two hands.
	OtherStaff   float64 // each placing that takes notes from the other hand's staff
	SharedString float64 // one string struck by both hands…
	SharedWithin float64 // …less than this apart, seconds
	Interlocked  float64 // right hand below the left

	// Thresholds of load for what is said, not for what is chosen.
	Tight, Comfortable float64

	// Strokes made from ornaments.
	Grace      float64 // a grace note
	Roll       float64 // one string of a rolled chord to the next
	WidestRoll float64 // where the roll needs a second placing

	// What is written over notes, in seconds, see the table.
	Fermata, Breath, LongTrill, Muffle           float64
	HurriedReturn, InTheWay, BuzzWithin, DampsBy float64

	// From when playing tires: minutes, strokes a second, numbers of bars, chords and
	// groups, see the table.
	TiringQuick, TiringQuickRate, TiringBars, TiringBarsRate float64
	TiringRestless, TiringChords, TiringWide                 float64
}

// Span is a distance in steps: up to Comfortable it costs nothing, beyond Most it
// cannot be taken.
type Span struct{ Comfortable, Most int }

// Order is one order of play: the least time between two neighbouring strokes in
// seconds, and what the placing costs more.
type Order struct{ Least, Cost float64 }

// Change is one way from a placing to the next: the least time between the strokes
// on both sides, and the cost; both with a part for each step of the way (leaps).
type Change struct{ Least, Cost, LeastPerStep, CostPerStep float64 }

// Fits says whether the distance can be taken.
func (s Span) Fits(steps int) bool { return steps <= s.Most }

// Beyond gives the steps beyond comfortable.
func (s Span) Beyond(steps int) int { return max(0, steps-s.Comfortable) }

// Standard is a typical adult hand, the default.
func Standard() Hand {
	return filled("standard", func(c Constant) float64 { return c.Standard })
}

// Small is a hand that does not reach a tenth.
func Small() Hand { return filled("small", func(c Constant) float64 { return c.Small }) }

// HandNamed finds a profile by name: "standard" or "small".
func HandNamed(name string) (Hand, bool) {
	for _, h := range []Hand{Standard(), Small()} {
		if h.Name == name {
			return h, true
		}
	}
	return Hand{}, false
}

func filled(name string, value func(Constant) float64) Hand {
	h := Hand{Name: name}
	for _, c := range constants {
		c.field(&h).set(value(c))
	}
	return h
}

// Set changes one constant by its name in the table. The error says what is wrong
// with the name or the value; the hand is then unchanged.
func (h *Hand) Set(name string, value float64) error {
	for _, c := range constants {
		if c.Name != name {
			continue
		}
		if math.IsNaN(value) || value < 0 || value > c.Unit.Most() {
			return fmt.Errorf("%s must lie between 0 and %g %s", name, c.Unit.Most(), c.Unit)
		}
		if c.Unit.Whole() && value != math.Trunc(value) {
			return fmt.Errorf("%s is counted in whole %s", name, c.Unit)
		}
		c.field(h).set(value)
		return nil
	}
	return fmt.Errorf("a hand has no constant named %q", name)
}

// Get reads one constant by its name in the table.
func (h *Hand) Get(name string) (float64, bool) {
	for _, c := range constants {
		if c.Name == name {
			return c.field(h).get(), true
		}
	}
	return 0, false
}
