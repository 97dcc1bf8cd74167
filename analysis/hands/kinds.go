package hands

// Order is the order in which the strings of a placing are played.
type Order uint8

// The orders of play.
const (
	Straight     Order = iota // a lone stroke, neither up nor down
	StraightUp                // every stroke above the one before
	StraightDown              // every stroke below the one before
	CrossedUp                 // 4-2-3-1
	CrossedDown               // 1-3-2-4
	Turned                    // any other
)

var orderNames = [...]string{"straight", "straight-up", "straight-down", "crossed-up", "crossed-down", "turned"}

func (o Order) String() string { return orderNames[o] }

// Change is the way from one placing to the next.
type Change uint8

// The changes, in the order in which the first that fits is taken.
const (
	NoChange   Change = iota // before the first placing
	Afresh                   // after a gap: no needs, no cost
	CrossUnder               // the fingers pass under the thumb, going up
	CrossOver                // the thumb passes over the fingers, going down
	Pivot                    // the hand turns about the string it has just played
	SamePlace                // the hand stays where it is
	Leap                     // anything else
)

var changeNames = [...]string{"", "afresh", "cross-under", "cross-over", "pivot", "same place", "leap"}

func (c Change) String() string { return changeNames[c] }

// NeedKind tells what takes the time.
type NeedKind uint8

// The needs.
const (
	OrderGap    NeedKind = iota // from one stroke of a placing to its next
	FingerCycle                 // a finger from its string in one placing to its string in the next
	NewFinger                   // a finger that the placing before did not use
	SameString                  // a string in two placings
	ChangeLeast                 // from the last stroke of one placing to the first of the next
	needKindsEnd
)

var needNames = [needKindsEnd]string{"order of play", "finger cycle", "new finger", "same string", "change"}

func (k NeedKind) String() string { return needNames[k] }

// Need is one thing that takes a hand time, and the time there is for it.
type Need struct {
	Kind          NeedKind
	Seconds, Have float64 // needed, and there; seconds
	// Load is Seconds ÷ Have. A need that is met to within 1e-9 s has a load of at
	// most 1.
	Load     float64
	From, To int // the strokes it lies between, by index
	// FromString and ToString are the strings that the finger or the string need
	// ties together. For a new finger only ToString counts; for the two kinds about
	// whole strokes neither does.
	FromString, ToString int
	Finger               int // 1 to 4 for finger needs, else 0
}

// load gives need ÷ have, held at 1 where the need is met within the tolerance.
func load(need, have float64) float64 {
	l := need / have
	if l > 1 && need <= have+sameTime {
		return 1
	}
	return l
}
