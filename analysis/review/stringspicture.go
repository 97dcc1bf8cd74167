package review

import (
	"fmt"
	"html/template"
	"math"
	"slices"

	"fourfold/analysis/harp"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// Sizes of the picture of strings over time, in its own units, which are pixels
// where there is room.
const (
	axisWidth    = 46.0
	rowHeight    = 14.0
	gapHeight    = 28.0
	widestSystem = 620.0
	noteGap      = 27.0 // between two strokes of a hand, where there is room
	widestEmpty  = 4    // strings not used that are still drawn
)

// stringsPicture is one system of the picture: some bars of a part, strings from
// low to high, time from left to right.
type stringsPicture struct {
	drawing
	p        *rules.Part
	hands    [2]*rules.Hand // right, left: as written, or as they share the notes
	shared   bool           // they share: faults are the written hands'
	from, to int            // bars
	lo, hi   float64        // seconds
	perSec   float64
	rows     map[int]float64 // the height of each string drawn
	strings  []int           // those, highest first
	top, end float64         // of the strings
	r        float64         // radius of a note
	found    []located
	sweeps   [2][]sweep // of the staves' hands
	marks    *placeMarks
	gaps     []gap
}

// written are the hands as the staves have them.
func written(p *rules.Part) [2]*rules.Hand { return [2]*rules.Hand{p.Right, p.Left} }

// stringsPictures draws bars of a part, as many systems as they need.
func stringsPictures(p *rules.Part, hands [2]*rules.Hand, from, to int, found []located, shared bool) (out []template.HTML) {
	from, to = max(1, from), min(to, p.Timeline.Bars())
	perSec := scaleFor(p, hands, from, to)
	sweeps := [2][]sweep{sweepsOf(p.Right), sweepsOf(p.Left)}
	for bar := from; bar <= to; {
		last := bar
		for last < to && spanSeconds(p, bar, last+1)*perSec <= widestSystem {
			last++
		}
		pic := &stringsPicture{p: p, hands: hands, shared: shared, from: bar, to: last, found: found, sweeps: sweeps}
		if pic.layOut(perSec) {
			out = append(out, pic.draw())
		}
		bar = last + 1
	}
	return out
}

func spanSeconds(p *rules.Part, from, to int) float64 {
	return p.Timeline.Between(from, score.Zero, to+1, score.Zero)
}

// scaleFor gives units a second so that neighbouring strokes stand apart.
func scaleFor(p *rules.Part, hands [2]*rules.Hand, from, to int) float64 {
	lo, hi := p.Timeline.Seconds(from, score.Zero), p.Timeline.Seconds(to+1, score.Zero)
	least := .5
	for _, h := range hands {
		if h == nil {
			continue
		}
		for i := 1; i < len(h.Strokes); i++ {
			gap := h.Strokes[i].T - h.Strokes[i-1].T
			if h.Strokes[i-1].T >= lo-1e-9 && h.Strokes[i].T < hi && gap >= .06 && !h.Plucks[i][0].Rolled {
				least = min(least, gap)
			}
		}
	}
	return max(90, min(420, noteGap/least))
}

// layOut chooses times, scale and rows; false where nothing is played.
func (s *stringsPicture) layOut(perSec float64) bool {
	t0, t1 := s.p.Timeline.Seconds(s.from, score.Zero), s.p.Timeline.Seconds(s.to+1, score.Zero)
	if !(t1 > t0) || math.IsInf(t1-t0, 0) {
		return false
	}
	s.lo, s.hi = s.widened(t0, t1)
	s.perSec = min(max(perSec, 250/(s.hi-s.lo)), widestSystem/(s.hi-s.lo))
	s.r = max(4.5, min(7, s.perSec*noteGap/perSec/noteGap*13))
	s.width = axisWidth + (s.hi-s.lo)*s.perSec + 22
	s.strings = s.used()
	return len(s.strings) > 0
}

// widened adds up to a beat on each side for groups that reach over the bars.
func (s *stringsPicture) widened(t0, t1 float64) (lo, hi float64) {
	q, beat := tempoAt(s.p, s.from, score.Zero)
	margin := beat.Float() * 240 / q
	lo, hi = t0, t1
	for _, h := range s.hands {
		if h == nil {
			continue
		}
		for _, pl := range h.Solution.Placings {
			a, b := h.Strokes[pl.From].T, h.Strokes[pl.To].T
			if b < t0-1e-9 || a >= t1-1e-9 {
				continue
			}
			lo, hi = min(lo, max(a, t0-margin)), max(hi, min(b, t1+margin))
		}
	}
	if lo < t0 {
		lo -= 10 / 250.0
	}
	if hi > t1 {
		hi += 10 / 250.0
	}
	return lo, hi
}

// used are the strings that sound in view, highest first.
func (s *stringsPicture) used() (out []int) {
	for _, h := range s.hands {
		if h == nil {
			continue
		}
		for _, stroke := range h.Strokes {
			if s.holds(stroke.T) {
				out = append(out, stroke.Strings...)
			}
		}
	}
	for _, list := range s.sweeps {
		for _, sw := range list {
			for _, n := range sw.inside {
				if s.holds(n.T) {
					out = append(out, n.Note.String)
				}
			}
		}
	}
	slices.Sort(out)
	out = slices.Compact(out)
	slices.Reverse(out)
	return out
}

func (s *stringsPicture) holds(t float64) bool { return t >= s.lo-1e-9 && t <= s.hi+1e-9 }

func (s *stringsPicture) x(t float64) float64 { return axisWidth + 12 + (t-s.lo)*s.perSec*s.squeeze() }

// squeeze leaves room on the right for the last note.
func (s *stringsPicture) squeeze() float64 {
	full := (s.hi - s.lo) * s.perSec
	return (full - 6) / full
}

func (s *stringsPicture) draw() template.HTML {
	s.marks = newPlaceMarks(s)
	above, below := s.marks.bands()
	s.top = 34 + above
	y := s.top + 8
	s.rows = map[int]float64{}
	used := map[int]bool{}
	for i, str := range s.strings {
		used[str] = true
		if i > 0 {
			empty := s.strings[i-1] - str - 1
			if empty > widestEmpty {
				s.gaps = append(s.gaps, gap{y, empty, s.strings[i-1]})
				y += gapHeight
			} else {
				for k := 1; k <= empty; k++ {
					s.rows[str+empty+1-k] = y
					y += rowHeight
				}
			}
		}
		s.rows[str] = y
		y += rowHeight
	}
	s.end = y - rowHeight + 8
	s.height = s.end + below + 34
	s.axes(used)
	s.drawHands()
	for _, g := range s.gaps {
		s.gapWords(g)
	}
	s.marks.draw()
	return s.picture(s.name())
}

func (s *stringsPicture) name() string {
	return fmt.Sprintf("Strings over time, %s: which string each hand plays when, with which finger.", barsWords(s.from, s.to))
}

// gap is where strings that are not played are left out.
type gap struct {
	y       float64
	strings int
	above   int // the string over it
}

// gapWords say how many strings are left out; in words where no hand reaches over
// them.
func (s *stringsPicture) gapWords(g gap) {
	words := fmt.Sprintf("%d strings between, not played here", g.strings)
	s.mark("gap-mark", words, func() { s.text("tiny e faint", axisWidth-6, g.y+10, fmt.Sprintf("⋮ %d", g.strings)) })
	if !s.reachedOver(g) {
		s.text("tiny s gap", axisWidth+4, g.y+10, words)
	}
}

// reachedOver says whether one hand plays on both sides of a gap.
func (s *stringsPicture) reachedOver(g gap) bool {
	for _, h := range s.hands {
		if h == nil {
			continue
		}
		over, under := false, false
		for _, stroke := range h.Strokes {
			if s.holds(stroke.T) {
				over = over || stroke.Strings[len(stroke.Strings)-1] >= g.above
				under = under || stroke.Strings[0] < g.above
			}
		}
		if over && under {
			return true
		}
	}
	return false
}

// axes draw the strings with their names and the time in bars and beats.
func (s *stringsPicture) axes(used map[int]bool) {
	right := s.width - 8
	for _, str := range sortedKeys(s.rows) {
		y := s.rows[str]
		class := map[int]string{0: "st st-c", 3: "st st-f"}[(str%7+7)%7]
		if class == "" {
			class = "st"
		}
		s.line(class, axisWidth, y, right, y)
		if used[str] {
			s.text("label e", axisWidth-6, y+4, harp.StringName(str))
		} else if (str%7+7)%7 == 0 {
			s.text("tiny e faint", axisWidth-6, y+3.5, harp.StringName(str))
		}
	}
	s.text("tiny s faint", 2, 11, "string")
	s.timeAxis()
}

// timeAxis draws a line a bar and a line a beat, and says how long a beat is.
func (s *stringsPicture) timeAxis() {
	for bar := max(1, s.from-1); bar <= min(s.to+1, s.p.Timeline.Bars()); bar++ {
		start := s.p.Timeline.Seconds(bar, score.Zero)
		if s.holds(start) && bar <= s.to {
			s.line("barline", s.x(start)-11, 18, s.x(start)-11, s.end)
		}
		if s.holds(start) && bar <= s.to && bar >= s.from {
			s.text("label s", s.x(start)-6, 12, fmt.Sprintf("bar %d", bar))
		}
		beat := s.p.Timeline.BeatAt(bar, score.Zero)
		length := s.p.Timeline.Length(bar)
		for n, at := 1, score.Zero; n <= 32 && at.Less(length); n, at = n+1, at.Add(beat) {
			t := s.p.Timeline.Seconds(bar, at)
			if !s.holds(t) || !beat.Valid() || beat.Sign() <= 0 {
				continue
			}
			s.line("beat", s.x(t), s.top-4, s.x(t), s.end)
			s.text("tiny m faint", s.x(t), 28, fmt.Sprint(n))
		}
	}
	end := s.p.Timeline.Seconds(s.to+1, score.Zero)
	s.line("barline", s.x(end)-5, 18, s.x(end)-5, s.end)
	s.text("tiny e faint", axisWidth-6, 28, "beat")
	q, beat := tempoAt(s.p, s.from, score.Zero)
	words := fmt.Sprintf("time in beats: one beat lasts %.2f s (%s)", beat.Float()*240/q, rules.TempoWords(q, beat))
	s.text("tiny s faint", axisWidth, s.height-8, words)
}

func sortedKeys[T any](m map[int]T) []int {
	keys := make([]int, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
