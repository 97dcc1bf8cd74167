package harp

import "slices"

// Origin says where a number comes from. Short keys stand for published sources:
//
//	LEGACY   The Harp Legacy Project, Typical Compositional Issues
//	PHIL     Philharmonia Orchestra, instrument guide: Harp
//	RK       N. Rimsky-Korsakov, Principles of Orchestration, 1913
//	HANDOUT  "Writing for the Pedal Harp", handout by an orchestral harpist
//	SHEET-PED  Composing for harp, players' information sheet on pedals
//	ABRSM    ABRSM, Harp syllabuses from 2005 and from 2019
type Origin string

// CommonPractice marks a number for which no published source was found. All times
// are of this kind: no published source gives notes a second for the harp. They
// were fitted to working thresholds of practice, and are advice, not measurement.
const CommonPractice Origin = "common practice, no source"

const (
	tenth  Origin = "LEGACY, PHIL: a tenth between thumb and ring finger is general"
	gap12  Origin = "LEGACY: a fifth or wider is comfortable between 1 and 2; the limit: common practice, no source"
	close3 Origin = "LEGACY: 2-3 and 3-4 must stay close, no number given; the numbers: common practice, no source"
	octave Origin = "RK: close position; PHIL: octave and fifth is the typical chord; the number: common practice, no source"
)

// Unit is what a constant counts.
type Unit string

// The units.
const (
	Seconds   Unit = "seconds"
	Minutes   Unit = "minutes"
	PerSecond Unit = "a second"
	Steps     Unit = "steps"
	Count     Unit = "times"
	Cost      Unit = "placings" // a cost of 1 is one placing more
	Load      Unit = "load"     // time needed ÷ time there is
)

// Whole says whether only whole numbers make sense.
func (u Unit) Whole() bool { return u == Steps || u == Count }

// Most is the largest value that a setting may give.
func (u Unit) Most() float64 {
	switch u {
	case Steps, PerSecond:
		return 100
	case Count:
		return 1000
	case Cost:
		return 1e6
	default:
		return 60
	}
}

// Constant is one number of the hand profiles.
type Constant struct {
	Name            string // as settings name it
	Unit            Unit
	Standard, Small float64
	Origin          Origin
	About           string
	field           func(*Hand) number
}

// Constants lists every number of a hand profile, in the model's order.
func Constants() []Constant { return slices.Clone(constants) }

var constants = slices.Concat(spanTable, orderTable, changeTable, costTable, sayTable, overNotesTable, tiringTable)

var spanTable = slices.Concat(
	span("span.1-2", 5, 7, gap12, func(h *Hand) *Span { return &h.Spans[1][2] }),
	span("span.2-3", 3, 4, close3, func(h *Hand) *Span { return &h.Spans[2][3] }),
	span("span.3-4", 3, 4, close3, func(h *Hand) *Span { return &h.Spans[3][4] }),
	span("span.1-3", 6, 8, CommonPractice, func(h *Hand) *Span { return &h.Spans[1][3] }),
	span("span.2-4", 5, 6, CommonPractice, func(h *Hand) *Span { return &h.Spans[2][4] }),
	span("span.1-4", 7, 9, tenth, func(h *Hand) *Span { return &h.Spans[1][4] }),
	[]Constant{
		{"span.outer.comfortable", Steps, 7, 6, octave, "lowest to highest string of a placing", steps(func(h *Hand) *int { return &h.Outer.Comfortable })},
		{"span.outer.most", Steps, 9, 8, tenth, "lowest to highest string of a placing", steps(func(h *Hand) *int { return &h.Outer.Most })},
	},
)

// span gives the two rows of a pair of fingers. A small hand reaches one step less
// at most; what is comfortable stays.
func span(name string, comfortable, most float64, origin Origin, field func(*Hand) *Span) []Constant {
	const about = "steps between these two fingers when none is used between them"
	return []Constant{
		{name + ".comfortable", Steps, comfortable, comfortable, origin, about, steps(func(h *Hand) *int { return &field(h).Comfortable })},
		{name + ".most", Steps, most, most - 1, origin, about, steps(func(h *Hand) *int { return &field(h).Most })},
	}
}

var orderTable = []Constant{
	both("afresh", Seconds, 1, "a gap from which the hand starts afresh; no placing contains one", func(h *Hand) *float64 { return &h.Afresh }),
	both("order.straight-up.least", Seconds, .060, "least time between two strokes of a rising placing", func(h *Hand) *float64 { return &h.StraightUp.Least }),
	both("order.straight-down.least", Seconds, .070, "of a falling placing", func(h *Hand) *float64 { return &h.StraightDown.Least }),
	both("order.crossed-up.least", Seconds, .085, "of the order 4-2-3-1", func(h *Hand) *float64 { return &h.CrossedUp.Least }),
	both("order.crossed-down.least", Seconds, .105, "of the order 1-3-2-4", func(h *Hand) *float64 { return &h.CrossedDown.Least }),
	both("order.turned.least", Seconds, .120, "of any other order", func(h *Hand) *float64 { return &h.Turned.Least }),
}

var changeTable = []Constant{
	both("cycle", Seconds, .22, "a finger from its string back to the same string", func(h *Hand) *float64 { return &h.Cycle }),
	both("cycle.step", Seconds, .004, "more for each step of way", func(h *Hand) *float64 { return &h.CyclePerStep }),
	bothSteps("steps.counted", 25, "steps counted at most, for a finger and for a leap", func(h *Hand) *int { return &h.MostSteps }),
	both("cycle.cross-under", Seconds, .13, "more for every finger in a cross-under", func(h *Hand) *float64 { return &h.CycleUnder }),
	both("cycle.cross-over", Seconds, .19, "more for every finger in a cross-over", func(h *Hand) *float64 { return &h.CycleOver }),
	both("cycle.note", Seconds, .01, "more for each string beyond one in the finger's next stroke", func(h *Hand) *float64 { return &h.CyclePerNote }),
	both("finger.new", Seconds, .24, "a finger that the placing before did not use, from that placing's first stroke", func(h *Hand) *float64 { return &h.NewFinger }),
	both("string.next", Seconds, .18, "one string in two neighbouring strokes", func(h *Hand) *float64 { return &h.SameNext }),
	both("string.again", Seconds, .24, "one string in two neighbouring placings, otherwise", func(h *Hand) *float64 { return &h.SameString }),
	bothSteps("cross.reach", 3, "steps from the placing left to the nearest string after a crossing", func(h *Hand) *int { return &h.CrossReach }),
	both("cross-under.least", Seconds, .06, "least time across the change", func(h *Hand) *float64 { return &h.CrossUnder.Least }),
	both("cross-over.least", Seconds, .08, "least time across the change", func(h *Hand) *float64 { return &h.CrossOver.Least }),
	both("pivot.least", Seconds, .10, "least time across the change", func(h *Hand) *float64 { return &h.Pivot.Least }),
	both("same-place.least", Seconds, .16, "least time across the change", func(h *Hand) *float64 { return &h.SamePlace.Least }),
	both("leap.least", Seconds, .20, "least time across the change", func(h *Hand) *float64 { return &h.Leap.Least }),
	both("leap.least.step", Seconds, .008, "more for each step between the middles of the placings", func(h *Hand) *float64 { return &h.Leap.LeastPerStep }),
}

var costTable = []Constant{
	both("cost.placing", Cost, 1, "each placing", func(h *Hand) *float64 { return &h.Placing }),
	both("cost.straight-up", Cost, 0, "order of play", func(h *Hand) *float64 { return &h.StraightUp.Cost }),
	both("cost.straight-down", Cost, 0, "order of play", func(h *Hand) *float64 { return &h.StraightDown.Cost }),
	both("cost.crossed-up", Cost, .6, "order of play", func(h *Hand) *float64 { return &h.CrossedUp.Cost }),
	both("cost.crossed-down", Cost, .9, "order of play", func(h *Hand) *float64 { return &h.CrossedDown.Cost }),
	both("cost.turned", Cost, 1.5, "order of play", func(h *Hand) *float64 { return &h.Turned.Cost }),
	both("cost.step", Cost, .5, "each step beyond comfortable", func(h *Hand) *float64 { return &h.PerStep }),
	both("cost.finger", Cost, .1, "top string of the placing not on the thumb, each finger away", func(h *Hand) *float64 { return &h.PerFinger }),
	both("cost.cross-under", Cost, .3, "change", func(h *Hand) *float64 { return &h.CrossUnder.Cost }),
	both("cost.cross-over", Cost, .5, "change", func(h *Hand) *float64 { return &h.CrossOver.Cost }),
	both("cost.pivot", Cost, .4, "change", func(h *Hand) *float64 { return &h.Pivot.Cost }),
	both("cost.same-place", Cost, .6, "change", func(h *Hand) *float64 { return &h.SamePlace.Cost }),
	both("cost.same-strings", Cost, 0, "change to the same strings in the same place", func(h *Hand) *float64 { return &h.SameStrings }),
	both("cost.leap", Cost, .8, "change", func(h *Hand) *float64 { return &h.Leap.Cost }),
	both("cost.leap.step", Cost, .03, "more for each step between the middles of the placings", func(h *Hand) *float64 { return &h.Leap.CostPerStep }),
	both("cost.restrike", Cost, .5, "each string in two neighbouring placings that comes back soon", func(h *Hand) *float64 { return &h.Restrike }),
	both("restrike.within", Seconds, .5, "what soon means", func(h *Hand) *float64 { return &h.RestrikeWithin }),
	both("cost.overload", Cost, 100, "for a load of 2; in proportion from a load of 1", func(h *Hand) *float64 { return &h.Overload }),
	both("cost.unprinted", Cost, 10, "each printed finger that another one takes the place of", func(h *Hand) *float64 { return &h.Unprinted }),
	both("cost.impossible", Cost, 1000, "a stroke that no hand takes", func(h *Hand) *float64 { return &h.Impossible }),
	both("cost.other-staff", Cost, .8, "each placing with notes from the other hand's staff", func(h *Hand) *float64 { return &h.OtherStaff }),
	both("cost.shared-string", Cost, 2, "each pair of strikes of one string by both hands", func(h *Hand) *float64 { return &h.SharedString }),
	both("shared-string.within", Seconds, .5, "less than this apart", func(h *Hand) *float64 { return &h.SharedWithin }),
	both("cost.interlocked", Cost, .5, "each pair of placings with the right hand below the left", func(h *Hand) *float64 { return &h.Interlocked }),
}

var sayTable = []Constant{
	both("tight", Load, .85, "a load above it is tight", func(h *Hand) *float64 { return &h.Tight }),
	both("comfortable", Load, .65, "a load up to it is comfortable", func(h *Hand) *float64 { return &h.Comfortable }),
	both("grace", Seconds, .09, "a grace note before the note it leads to", func(h *Hand) *float64 { return &h.Grace }),
	both("roll", Seconds, .07, "one string of a rolled chord to the next", func(h *Hand) *float64 { return &h.Roll }),
	both("roll.widest", Seconds, .12, "where the roll needs a second placing", func(h *Hand) *float64 { return &h.WidestRoll }),
}

var overNotesTable = []Constant{
	both("fermata", Seconds, 1, "more before the next stroke after a note under a fermata", func(h *Hand) *float64 { return &h.Fermata }),
	both("breath", Seconds, .25, "more before the next stroke after a breath", func(h *Hand) *float64 { return &h.Breath }),
	both("trill.long", Seconds, 1, "a shorter trill is an ornament of a few notes", func(h *Hand) *float64 { return &h.LongTrill }),
	both("muffle", Seconds, .25, "to pluck and muffle one note", func(h *Hand) *float64 { return &h.Muffle }),
	both("string.hurried", Seconds, .15, "a single return to a string, when hurried", func(h *Hand) *float64 { return &h.HurriedReturn }),
	both("string.two-hands", Seconds, .25, "two hands that strike one string sooner after each other are in each other's way", func(h *Hand) *float64 { return &h.InTheWay }),
	both("buzz.within", Seconds, .5, "a wire string plucked again sooner may buzz", func(h *Hand) *float64 { return &h.BuzzWithin }),
	both("damps.by", Seconds, .25, "so much of a note must be lost for a finger to count as stopping it", func(h *Hand) *float64 { return &h.DampsBy }),
}

var tiringTable = []Constant{
	both("tiring.quick", Minutes, 1, "without a rest, at the rate below", func(h *Hand) *float64 { return &h.TiringQuick }),
	both("tiring.quick.rate", PerSecond, 4, "strokes a second, on average", func(h *Hand) *float64 { return &h.TiringQuickRate }),
	both("tiring.bars", Count, 16, "bars without a rest, at the rate below", func(h *Hand) *float64 { return &h.TiringBars }),
	both("tiring.bars.rate", PerSecond, 6, "strokes a second, on average", func(h *Hand) *float64 { return &h.TiringBarsRate }),
	both("tiring.restless", Minutes, 2, "without a rest, however slow", func(h *Hand) *float64 { return &h.TiringRestless }),
	both("tiring.chords", Count, 24, "four-note chords without a rest", func(h *Hand) *float64 { return &h.TiringChords }),
	both("tiring.wide", Count, 12, "groups wider than an octave in a row", func(h *Hand) *float64 { return &h.TiringWide }),
}

// both is a row with one value for all hands and no published source.
func both(name string, unit Unit, value float64, about string, field func(*Hand) *float64) Constant {
	return Constant{name, unit, value, value, CommonPractice, about, func(h *Hand) number { return number{float: field(h)} }}
}

// bothSteps is the same for whole steps.
func bothSteps(name string, value float64, about string, field func(*Hand) *int) Constant {
	return Constant{name, Steps, value, value, CommonPractice, about, steps(field)}
}

func steps(field func(*Hand) *int) func(*Hand) number {
	return func(h *Hand) number { return number{whole: field(h)} }
}

// number is a field of a Hand: one of the two is there.
type number struct {
	float *float64
	whole *int
}

func (n number) set(value float64) {
	if n.whole != nil {
		*n.whole = int(value)
		return
	}
	*n.float = value
}

func (n number) get() float64 {
	if n.whole != nil {
		return float64(*n.whole)
	}
	return *n.float
}
