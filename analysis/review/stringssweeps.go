package review

import (
	"fmt"

	"fourfold/analysis/hands"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// sweep is a glissando of one hand, from its first note to the one it lands on.
type sweep struct {
	from, to   hands.Pluck
	start, end float64 // seconds
	inside     []hands.Swept
}

// sweepsOf finds the glissandi of a hand; none where it has no staff.
func sweepsOf(h *rules.Hand) (out []sweep) {
	if h == nil {
		return nil
	}
	open := map[*score.Voice]*sweep{}
	for i, plucks := range h.Plucks {
		for _, pl := range plucks {
			if sw := open[pl.Voice]; sw != nil && hands.GlissandoEnds(pl.Event) {
				sw.to, sw.end = pl, h.Strokes[i].T
				out = append(out, *sw)
				delete(open, pl.Voice)
			}
			if hands.GlissandoStarts(pl.Event) && (open[pl.Voice] == nil || open[pl.Voice].from.Event != pl.Event) {
				open[pl.Voice] = &sweep{from: pl, start: h.Strokes[i].T}
			}
		}
	}
	for i := range out {
		for _, n := range h.Swept {
			if n.Voice == out[i].from.Voice && n.T > out[i].start && n.T < out[i].end {
				out[i].inside = append(out[i].inside, n)
			}
		}
	}
	return out
}

// swept says whether the way between two strokes is a glissando.
func (s *stringsPicture) swept(t1, t2 float64) bool {
	for _, list := range s.sweeps {
		for _, sw := range list {
			if sw.start == t1 && sw.end == t2 {
				return true
			}
		}
	}
	return false
}

// sweep draws a glissando: its way over the strings and, open, the notes that are
// written inside it.
func (s *stringsPicture) sweep(side int, h *rules.Hand, sw sweep) {
	var points []point
	add := func(t float64, n *score.Note) {
		if y, ok := s.rows[n.String]; ok && s.holds(t) {
			points = append(points, point{s.x(t), y})
		}
	}
	add(sw.start, sw.from.Note)
	for _, n := range sw.inside {
		add(n.T, n.Note)
	}
	add(sw.end, sw.to.Note)
	if len(points) < 2 {
		return
	}
	title := fmt.Sprintf("Glissando of the %s from %s to %s, bar %d beat %s: the hand sweeps over all strings between.", h.Name,
		rules.Pitch(sw.from.Note), rules.Pitch(sw.to.Note), sw.from.Bar, beatName(s.p, sw.from.Bar, sw.from.Onset))
	s.mark("sweep "+handClass[side], title, func() {
		s.path("sw", polyline(points))
		a, b := points[(len(points)-1)/2], points[len(points)/2]
		x, y := (a.x+b.x)/2, (a.y+b.y)/2
		if x-70 > axisWidth {
			s.text("tiny e w-name", x-8, y-6, "glissando")
		} else {
			s.text("tiny s w-name", x+10, y+12, "glissando")
		}
	})
	for _, n := range sw.inside {
		if s.holds(n.T) {
			s.sweptNote(side, h, n)
		}
	}
}

func (s *stringsPicture) sweptNote(side int, h *rules.Hand, n hands.Swept) {
	class, title := "swept "+handClass[side], fmt.Sprintf("%s, swept by the %s, bar %d beat %s", rules.Pitch(n.Note), h.Name, n.Bar, beatName(s.p, n.Bar, n.Onset))
	if k := s.blame(n.Note); k > 0 {
		class += " fault"
		title += fmt.Sprintf(", part of finding %d", k)
	}
	x, y := s.x(n.T), s.rows[n.Note.String]
	s.mark(class, title, func() {
		if side == 0 {
			s.circle("n", x, y, 3.4)
		} else {
			s.rect("n", x-3.2, y-3.2, 6.4, 6.4, 1)
		}
	})
}

// eachSwept visits the notes that are written inside glissandi; such a note stays
// with its staff's hand.
func eachSwept(p *rules.Part, visit func(side int, n hands.Swept)) {
	for side, h := range written(p) {
		if h == nil {
			continue
		}
		for _, n := range h.Swept {
			visit(side, n)
		}
	}
}
