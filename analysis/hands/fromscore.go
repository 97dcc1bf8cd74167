package hands

import (
	"math"
	"sort"
	"strings"

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
}

// Staff is what one hand reads as written: its strokes in time, and the plucks
// of each, string by string. Strokes[i].Strings and Plucks[i] run in step.
type Staff struct {
	Strokes []Stroke
	Plucks  [][]Pluck
	// Doubled are notes on a string that another note of their stroke has
	// already: two voices in unison, or one letter in two forms.
	Doubled []Doubled
}

// Doubled is such a note and the index of its stroke.
type Doubled struct {
	Stroke int
	Pluck
}

// instant is all that sounds anew on a staff at one place of the score.
type instant struct {
	bar    int
	onset  score.Frac
	plucks []Pluck
	graces [][]Pluck // one entry a grace stroke
	roll   bool
	length score.Frac // of the longest rolled chord
}

// FromVoices reads the voices of one staff. A note held over by a tie is no
// stroke; grace notes come before the note that they lead to; a chord with a
// roll mark is played from its lowest string up.
// Shape of the times and the constants: section 2 of the placing model,
// common practice, no source.
func FromVoices(voices []*score.Voice, tl *score.Timeline, hand harp.Hand) Staff {
	var out Staff
	before := math.Inf(-1)
	for _, in := range instants(voices) {
		t := tl.Seconds(in.bar, in.onset)
		out.addGraces(in, t, before, hand)
		if in.roll {
			out.addRoll(in, t, tl, hand)
		} else if len(in.plucks) > 0 {
			out.add(t, in.plucks)
		}
		before = t
	}
	out.sortByTime()
	return out
}

// instants gathers what the voices strike, in the order of bars and onsets.
func instants(voices []*score.Voice) []instant {
	type place struct {
		bar   int
		onset score.Frac
	}
	at := map[place]int{}
	var list []instant
	for _, v := range voices {
		for b := range v.Bars {
			bar := &v.Bars[b]
			for e := range bar.Events {
				ev := &bar.Events[e]
				if ev.Kind != score.Sound || !ev.Onset.Valid() {
					continue
				}
				p := place{b + 1, ev.Onset}
				i, ok := at[p]
				if !ok {
					i = len(list)
					at[p] = i
					list = append(list, instant{bar: b + 1, onset: ev.Onset, length: score.Zero})
				}
				list[i].take(v, bar, ev)
			}
		}
	}
	sort.SliceStable(list, func(i, j int) bool {
		if list[i].bar != list[j].bar {
			return list[i].bar < list[j].bar
		}
		return list[i].onset.Less(list[j].onset)
	})
	return list
}

// take adds an event's plucks and graces to the instant.
func (in *instant) take(v *score.Voice, bar *score.Bar, ev *score.Event) {
	for g := range ev.Graces {
		in.graces = append(in.graces, plucksOf(v, bar, in.bar, &ev.Graces[g], true))
	}
	roll := HasMark(ev, "arpeggio")
	plucks := plucksOf(v, bar, in.bar, ev, false)
	if len(plucks) > 1 && roll {
		in.roll = true
		if in.length.Less(ev.Duration) {
			in.length = ev.Duration
		}
	}
	for i := range plucks {
		plucks[i].Rolled = roll && len(plucks) > 1
	}
	in.plucks = append(in.plucks, plucks...)
}

func plucksOf(v *score.Voice, bar *score.Bar, number int, ev *score.Event, grace bool) (out []Pluck) {
	for n := range ev.Notes {
		note := &ev.Notes[n]
		if note.TieFrom {
			continue
		}
		out = append(out, Pluck{Voice: v, Bar: number, Onset: ev.Onset, Event: ev, Note: note,
			Span: note.Span.Shift(bar.Start), Grace: grace})
	}
	return out
}

// HasMark says whether a decoration of that name stands over the event.
func HasMark(ev *score.Event, name string) bool {
	for _, m := range ev.Marks {
		if m.Kind == score.Decoration && strings.EqualFold(m.Text, name) {
			return true
		}
	}
	return false
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

func stringsOf(plucks []Pluck) (out []int) {
	for _, p := range plucks {
		out = append(out, p.Note.String)
	}
	return out
}

// add puts a stroke at the end; sortByTime brings it to its place.
func (s *Staff) add(t float64, plucks []Pluck) {
	s.Strokes = append(s.Strokes, Stroke{T: t})
	s.Plucks = append(s.Plucks, plucks)
}

// Add puts one more note on the staff at time t; Settle must follow the last.
func (s *Staff) Add(t float64, pl Pluck) { s.add(t, []Pluck{pl}) }

// Settle brings what was added into order.
func (s *Staff) Settle() {
	s.Doubled = nil
	s.sortByTime()
}

// sortByTime orders the strokes, joins those of one instant, and gives each
// its strings from the lowest up, a string once.
func (s *Staff) sortByTime() {
	order := make([]int, len(s.Strokes))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(i, j int) bool { return s.Strokes[order[i]].T < s.Strokes[order[j]].T })
	var strokes []Stroke
	var plucks [][]Pluck
	for _, i := range order {
		last := len(strokes) - 1
		if last >= 0 && s.Strokes[i].T-strokes[last].T <= sameTime {
			plucks[last] = append(plucks[last], s.Plucks[i]...)
			continue
		}
		strokes = append(strokes, s.Strokes[i])
		plucks = append(plucks, append([]Pluck{}, s.Plucks[i]...))
	}
	for i := range strokes {
		var again []Pluck
		plucks[i], again = lowestFirst(plucks[i])
		for _, p := range again {
			s.Doubled = append(s.Doubled, Doubled{i, p})
		}
		strokes[i].Strings = stringsOf(plucks[i])
	}
	s.Strokes, s.Plucks = strokes, plucks
}

// lowestFirst sorts by string and keeps the first pluck of each string; the
// others come second.
func lowestFirst(in []Pluck) (out, again []Pluck) {
	sort.SliceStable(in, func(i, j int) bool { return in[i].Note.String < in[j].Note.String })
	for i, p := range in {
		if i > 0 && p.Note.String == out[len(out)-1].Note.String {
			again = append(again, p)
			continue
		}
		out = append(out, p)
	}
	return out, again
}

// Reachable says whether one hand takes these strings at once: at most four, and
// some choice of fingers within every span.
func Reachable(strings []int, profile harp.Hand) bool {
	alone := lone(Tidy([]Stroke{{Strings: strings}})[0], 0, newHand(profile))
	return !alone.forced
}
