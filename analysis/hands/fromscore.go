package hands

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"fourfold/analysis/harp"
	"fourfold/parser/score"
)

// Pluck is one note of a stroke and where it came from.
type Pluck struct {
	Voice  *score.Voice
	Bar    int // number, from 1
	Onset  score.Frac
	Event  *score.Event
	Note   *score.Note
	Span   score.Span // bytes of the file
	Grace  bool
	Rolled bool
	Named  bool // a mark over it, or before it in its bar, names the hand
	Bound  bool // so, and it is not the staff's
	Finger int  // the finger that is printed for it, 1 to 4; 0 for none
}

// Staff is what one hand reads as written: its strokes in time, and the plucks
// of each, string by string. Strokes[i].Strings and Plucks[i] run in step.
type Staff struct {
	Strokes []Stroke
	Plucks  [][]Pluck
	// Doubled are notes on a string that another note of their stroke has
	// already: two voices in unison, or one letter in two forms.
	Doubled []Doubled
	// Swept are written notes inside a glissando: the hand sweeps over them and
	// fingers none.
	Swept []Swept
}

// Swept is such a note and its time in seconds.
type Swept struct {
	T float64
	Pluck
}

// Doubled is such a note and the index of its stroke.
type Doubled struct {
	Stroke int
	Pluck
}

// instant is all that a hand strikes anew at one place of the score.
type instant struct {
	bar    int
	onset  score.Frac
	plucks []Pluck
	graces [][]Pluck // one entry a grace stroke
	swept  []Pluck
	roll   bool
	length score.Frac // of the longest rolled chord
}

// FromScore reads the two staves of a player: the upper one for the right hand,
// the lower one for the left, but for notes that a mark over them gives to the
// other hand. A note held over by a tie is no stroke; grace notes come before the
// note that they lead to; a chord with a roll mark is played from its lowest
// string up; after a fermata or a breath the next stroke comes later.
// Shape of the times and the constants: section 2 of the placing model,
// common practice, no source.
func FromScore(upper, lower []*score.Voice, layout Layout, tl *score.Timeline, hand harp.Hand) [2]Staff {
	var lists [2][]instant
	for side, voices := range [2][]*score.Voice{upper, lower} {
		for _, v := range voices {
			gather(&lists, v, Side(side), layout)
		}
	}
	pauses := pausesIn(append(append([]*score.Voice{}, upper...), lower...), hand)
	var out [2]Staff
	for side := range lists {
		out[side] = staffOf(merged(lists[side]), pauses, tl, hand)
	}
	return out
}

// staffOf puts the instants of one hand in time.
func staffOf(list []instant, pauses []pause, tl *score.Timeline, hand harp.Hand) (out Staff) {
	before, held, next := math.Inf(-1), 0.0, 0
	out.Grow(len(list))
	for _, in := range list {
		for next < len(pauses) && !in.before(pauses[next]) {
			held += pauses[next].length
			next++
		}
		t := tl.Seconds(in.bar, in.onset) + held
		for _, pl := range in.swept {
			out.Swept = append(out.Swept, Swept{t, pl})
		}
		if len(in.plucks) == 0 {
			continue
		}
		out.addGraces(in, t, before, hand)
		if in.roll {
			out.addRoll(in, t, tl, hand)
		} else {
			out.add(t, in.plucks)
		}
		before = t
	}
	out.sortByTime()
	return out
}

// Layout says which staves a player reads, counted from 1 through the score.
type Layout struct {
	Hands map[int]Side   // which hand reads a staff
	Home  map[string]int // on which staff a voice stands
}

// side is the hand that reads the staff that music of a voice is written into; false
// where it is the voice's own, or none of the player's.
func (l Layout) side(voice string, move score.StaffMove) (Side, bool) {
	if move == (score.StaffMove{}) {
		return 0, false
	}
	number := move.To
	if number == 0 {
		number = l.Home[voice]
	}
	side, ok := l.Hands[number+move.By]
	return side, ok
}

// addGraces puts the grace strokes before t, none earlier than half-way from
// the stroke before.
func (s *Staff) addGraces(in instant, t, before float64, hand harp.Hand) {
	n := float64(len(in.graces))
	if n == 0 {
		return
	}
	gap := math.Min(hand.Grace, (t-before)/(2*n))
	for i, g := range in.graces {
		if len(g) > 0 {
			s.add(t-(n-float64(i))*gap, g)
		}
	}
}

// addRoll spreads the rolled notes upwards from the written time and strikes
// the others with the first of them.
func (s *Staff) addRoll(in instant, t float64, tl *score.Timeline, hand harp.Hand) {
	var rolled, plain []Pluck
	for _, p := range in.plucks {
		if p.Rolled {
			rolled = append(rolled, p)
		} else {
			plain = append(plain, p)
		}
	}
	sort.SliceStable(rolled, func(i, j int) bool { return rolled[i].Note.String < rolled[j].Note.String })
	gap := hand.Roll
	if !Reachable(stringsOf(rolled), hand) {
		half := tl.Between(in.bar, in.onset, in.bar, in.onset.Add(in.length)) / 2
		gap = math.Max(gap, math.Min(hand.WidestRoll, half/float64(len(rolled)-1)))
	}
	for i, p := range rolled {
		s.add(t+float64(i)*gap, []Pluck{p})
	}
	if len(plain) > 0 {
		s.add(t, plain)
	}
}

func stringsOf(plucks []Pluck) []int {
	out := make([]int, len(plucks))
	for i, p := range plucks {
		out[i] = p.Note.String
	}
	return out
}

// add puts a stroke at the end; sortByTime brings it to its place.
func (s *Staff) add(t float64, plucks []Pluck) {
	s.Strokes = append(s.Strokes, Stroke{T: score.Tick(t)})
	s.Plucks = append(s.Plucks, plucks)
}

// Add puts more notes on the staff at time t, which it keeps and leaves as they are;
// Settle must follow the last.
func (s *Staff) Add(t float64, plucks ...Pluck) { s.add(t, plucks) }

// Grow makes room for so many strokes more.
func (s *Staff) Grow(strokes int) {
	s.Strokes, s.Plucks = slices.Grow(s.Strokes, strokes), slices.Grow(s.Plucks, strokes)
}

// Settle brings what was added into order.
func (s *Staff) Settle() {
	s.Doubled = nil
	s.sortByTime()
}

// sortByTime orders the strokes, joins those of one instant, and gives each
// its strings from the lowest up, a string once.
func (s *Staff) sortByTime() {
	if !s.inOrder() {
		s.putInOrder()
	}
	count := 0
	for i := range s.Plucks {
		var again []Pluck
		s.Plucks[i], again = lowestFirst(s.Plucks[i])
		for _, p := range again {
			s.Doubled = append(s.Doubled, Doubled{i, p})
		}
		count += len(s.Plucks[i])
	}
	room := make([]int, 0, count)
	for i, plucks := range s.Plucks {
		from := len(room)
		for _, p := range plucks {
			room = append(room, p.Note.String)
		}
		s.Strokes[i].Strings, s.Strokes[i].Printed = room[from:len(room):len(room)], printedOn(plucks)
	}
}

// inOrder says whether each stroke comes after the one before.
func (s *Staff) inOrder() bool {
	for i := 1; i < len(s.Strokes); i++ {
		if s.Strokes[i].T-s.Strokes[i-1].T <= sameTime {
			return false
		}
	}
	return true
}

// putInOrder sorts the strokes and joins those of one instant.
func (s *Staff) putInOrder() {
	order := make([]int, len(s.Strokes))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(s.Strokes[i].T, s.Strokes[j].T) })
	strokes := make([]Stroke, 0, len(order))
	plucks := make([][]Pluck, 0, len(order))
	for _, i := range order {
		last := len(strokes) - 1
		if last >= 0 && s.Strokes[i].T-strokes[last].T <= sameTime {
			plucks[last] = slices.Concat(plucks[last], s.Plucks[i])
			continue
		}
		strokes = append(strokes, s.Strokes[i])
		plucks = append(plucks, s.Plucks[i])
	}
	s.Strokes, s.Plucks = strokes, plucks
}

// lowestFirst sorts by string and keeps the first pluck of each string; the
// others come second. The argument, which staves share, is left as it is.
func lowestFirst(in []Pluck) (out, again []Pluck) {
	if ascend(in) {
		return in, nil
	}
	in = slices.Clone(in)
	slices.SortStableFunc(in, func(a, b Pluck) int { return cmp.Compare(a.Note.String, b.Note.String) })
	for i, p := range in {
		if i > 0 && p.Note.String == out[len(out)-1].Note.String {
			again = append(again, p)
			if kept := &out[len(out)-1]; kept.Finger == 0 {
				kept.Finger = p.Finger
			}
			continue
		}
		out = append(out, p)
	}
	return out, again
}

// ascend says whether each pluck is on a higher string than the one before.
func ascend(plucks []Pluck) bool {
	for i := 1; i < len(plucks); i++ {
		if plucks[i].Note.String <= plucks[i-1].Note.String {
			return false
		}
	}
	return true
}

// Reachable says whether one hand takes these strings at once: at most four, and
// some choice of fingers within every span.
func Reachable(strings []int, profile harp.Hand) bool {
	alone := lone(Tidy([]Stroke{{Strings: strings}})[0], 0, newHand(profile))
	return !alone.forced
}
