package review

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"fourfold/analysis/hands"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// handClass names the colour and shape of a hand; the shape alone tells them
// apart too: round for the right, square for the left.
var handClass = [2]string{"rh", "lh"}

// drawHands draws the groups, the ways between them and the notes.
func (s *stringsPicture) drawHands() {
	for side, h := range s.hands {
		if h != nil {
			s.groups(side, h)
		}
	}
	for side, h := range written(s.p) {
		for _, sw := range s.sweeps[side] {
			s.sweep(side, h, sw)
		}
	}
	for side, h := range s.hands {
		if h != nil {
			s.ways(side, h)
		}
	}
	for side, h := range s.hands {
		if h != nil {
			s.notes(side, h)
		}
	}
}

// shown are the placings of a hand with a stroke in view.
func (s *stringsPicture) shown(h *rules.Hand) (out []int) {
	for i, pl := range h.Solution.Placings {
		for k := pl.From; k <= pl.To; k++ {
			if s.holds(h.Strokes[k].T) {
				out = append(out, i)
				break
			}
		}
	}
	return out
}

// track is the way through the notes of a placing that are in view, a chord
// entered at the string that is nearest.
func (s *stringsPicture) track(h *rules.Hand, pl hands.Placing) (points []point) {
	for i := pl.From; i <= pl.To; i++ {
		if !s.holds(h.Strokes[i].T) {
			continue
		}
		strings := slices.Clone(h.Strokes[i].Strings)
		if n := len(points); n > 0 && len(strings) > 1 {
			y := points[n-1].y
			if math.Abs(s.rows[strings[0]]-y) > math.Abs(s.rows[strings[len(strings)-1]]-y) {
				slices.Reverse(strings)
			}
		}
		for _, str := range strings {
			points = append(points, point{s.x(h.Strokes[i].T), s.rows[str]})
		}
	}
	return points
}

// groups draws each placing as one shape around its notes.
func (s *stringsPicture) groups(side int, h *rules.Hand) {
	for _, i := range s.shown(h) {
		pl := h.Solution.Placings[i]
		data := polyline(s.track(h, pl))
		s.mark("group "+handClass[side], s.groupWords(h, pl), func() {
			s.path("g-edge", data)
			s.path("g-fill", data)
			s.path("g-tint", data)
		})
		if pl.Order == hands.Turned {
			s.turns(side, h, pl)
		}
	}
}

func (s *stringsPicture) groupWords(h *rules.Hand, pl hands.Placing) string {
	notes := 0
	for i := pl.From; i <= pl.To; i++ {
		notes += len(h.Strokes[i].Strings)
	}
	first := h.Plucks[pl.From][0]
	words := fmt.Sprintf("One group of the %s: %s set together, bar %d beat %s", h.Name, rules.Count(notes, "string"), first.Bar, beatName(s.p, first.Bar, first.Onset))
	switch pl.Order {
	case hands.StraightUp:
		words += ", played upwards"
	case hands.StraightDown:
		words += ", played downwards"
	case hands.CrossedUp, hands.CrossedDown:
		words += ", played with the middle fingers crossed over"
	case hands.Turned:
		words += ", played with a turn: it goes one way and comes back"
	}
	return words + "."
}

// turns marks where a group changes direction inside itself.
func (s *stringsPicture) turns(side int, h *rules.Hand, pl hands.Placing) {
	for i := pl.From + 1; i < pl.To; i++ {
		if !s.holds(h.Strokes[i].T) {
			continue
		}
		a, b, c := middle(h.Strokes[i-1]), middle(h.Strokes[i]), middle(h.Strokes[i+1])
		if (b-a)*(c-b) >= 0 {
			continue
		}
		y := s.rows[h.Strokes[i].Strings[0]] + s.r + 11
		if b > a {
			y = s.rows[h.Strokes[i].Strings[len(h.Strokes[i].Strings)-1]] - s.r - 5
		}
		s.text("tiny m turn "+handClass[side], s.x(h.Strokes[i].T), y, "turn")
	}
}

func middle(st hands.Stroke) float64 {
	sum := 0
	for _, str := range st.Strings {
		sum += str
	}
	return float64(sum) / float64(len(st.Strings))
}

// wayNames are short words for the way from one group to the next; the longer
// ones are read out.
var wayNames = map[hands.Change][2]string{
	hands.CrossUnder: {"under", "the fingers pass under the thumb"},
	hands.CrossOver:  {"over", "the thumb passes over the fingers"},
	hands.Pivot:      {"", "the hand turns about the last string"},
	hands.SamePlace:  {"", "the hand stays where it is"},
	hands.Leap:       {"jump", "the hand jumps"},
}

// ways draws how the hand gets from each group to the next.
func (s *stringsPicture) ways(side int, h *rules.Hand) {
	for _, i := range s.shown(h) {
		if i == 0 {
			continue
		}
		pls := h.Solution.Placings
		a, b := pls[i-1], pls[i]
		names, ok := wayNames[b.Change]
		t1, t2 := h.Strokes[a.To].T, h.Strokes[b.From].T
		if !ok || !s.holds(t1) || !s.holds(t2) || s.swept(t1, t2) {
			continue
		}
		from := point{s.x(t1), s.nearRow(h.Strokes[a.To], h.Strokes[b.From])}
		to := point{s.x(t2), s.nearRow(h.Strokes[b.From], h.Strokes[a.To])}
		need, over := s.blamedNeed(side, h.Solution.Needs(i), h)
		title := fmt.Sprintf("From one group to the next: %s.", names[1])
		class := "way " + handClass[side] + " way-" + b.Change.String()
		if over {
			title += " " + needWords("It needs %s and has %s.", need)
			class = "way way-over"
		}
		s.mark(class, title, func() { s.way(names[0], from, to) })
	}
}

// nearRow is the height of the string of a stroke that is nearest to another.
func (s *stringsPicture) nearRow(of, other hands.Stroke) float64 {
	if middle(of) < middle(other) {
		return s.rows[of.Strings[len(of.Strings)-1]]
	}
	return s.rows[of.Strings[0]]
}

// way draws the line between the rims of two notes, with its name where there is
// room.
func (s *stringsPicture) way(name string, a, b point) {
	dx, dy := b.x-a.x, b.y-a.y
	long := math.Hypot(dx, dy)
	if long < 2*s.r+2 {
		return
	}
	ux, uy := dx/long, dy/long
	a, b = point{a.x + ux*s.r, a.y + uy*s.r}, point{b.x - ux*s.r, b.y - uy*s.r}
	s.line("w", a.x, a.y, b.x, b.y)
	tip := polyline([]point{
		{b.x - 6*ux + 3.5*uy, b.y - 6*uy - 3.5*ux}, {b.x, b.y}, {b.x - 6*ux - 3.5*uy, b.y - 6*uy + 3.5*ux}})
	s.path("w-tip", tip)
	if name != "" && long > 2*s.r+26 {
		s.text("tiny m w-name", (a.x+b.x)/2, (a.y+b.y)/2-4, name)
	}
}

// blamedNeed is the largest need above the time there is, where a finding of
// this hand stands; a finding is what makes a need a fault, since a need alone
// may be avoided by another fingering.
func (s *stringsPicture) blamedNeed(side int, needs []hands.Need, h *rules.Hand) (worst hands.Need, ok bool) {
	for _, n := range needs {
		if n.Load <= 1+1e-9 || n.Load <= worst.Load {
			continue
		}
		for _, f := range s.found {
			t := h.Strokes[n.To].T
			if (f.side == side || s.shared) && f.Speed != nil && t >= f.from-1e-9 && t <= f.to+1e-9 {
				worst, ok = n, true
			}
		}
	}
	return worst, ok
}

// notes draws each note with its finger.
func (s *stringsPicture) notes(side int, h *rules.Hand) {
	for _, i := range s.shown(h) {
		pl := h.Solution.Placings[i]
		for k := pl.From; k <= pl.To; k++ {
			if s.holds(h.Strokes[k].T) {
				s.stroke(side, h, k, pl.Fingers[k-pl.From])
			}
		}
		for _, n := range h.Solution.Inside(i) {
			if need, over := s.blamedNeed(side, []hands.Need{n}, h); over && s.holds(h.Strokes[n.From].T) && s.holds(h.Strokes[n.To].T) {
				a, b := h.Strokes[n.From], h.Strokes[n.To]
				s.mark("way way-over", needWords("Inside the group: it needs %s and has %s.", need), func() {
					s.way("", point{s.x(a.T), s.nearRow(a, b)}, point{s.x(b.T), s.nearRow(b, a)})
				})
			}
		}
	}
}

func (s *stringsPicture) stroke(side int, h *rules.Hand, k int, fingers []int) {
	for j, pl := range h.Plucks[k] {
		finger := 0
		if j < len(fingers) {
			finger = fingers[j]
		}
		x, y := s.x(h.Strokes[k].T), s.rows[h.Strokes[k].Strings[j]]
		class := "note " + handClass[side]
		title := fmt.Sprintf("%s, %s, %s, bar %d beat %s", rules.Pitch(pl.Note), h.Name, fingerName(finger), pl.Bar, beatName(s.p, pl.Bar, pl.Onset))
		if n := s.blame(pl.Note); n > 0 {
			class += " fault"
			title += fmt.Sprintf(", part of finding %d", n)
		}
		s.mark(class, title, func() {
			if side == 0 {
				s.circle("n", x, y, s.r)
			} else {
				s.rect("n", x-s.r+.5, y-s.r+.5, 2*s.r-1, 2*s.r-1, 1.5)
			}
			label := "–"
			if finger > 0 {
				label = strconv.Itoa(finger)
			}
			s.text("finger m", x, y+3.6*s.r/7, label)
		})
	}
}

// blame is the number of the finding that a note is part of, 0 for none.
func (s *stringsPicture) blame(n *score.Note) int {
	if s.shared {
		return 0
	}
	for _, f := range s.found {
		if f.notes[n] {
			return f.n
		}
	}
	return 0
}

func fingerName(f int) string {
	if f == 0 {
		return "no finger left"
	}
	return rules.FingerWords(f)
}
