package review

import (
	"fmt"
	"strconv"

	"fourfold/analysis/hands"
	"fourfold/analysis/rules"
)

const (
	pillHeight = 18.0
	pillRow    = 22.0
)

// placeMarks are the labels of the findings: those of the right hand, or of no
// hand, above the strings, those of the left hand below them.
type placeMarks struct {
	s     *stringsPicture
	pills []pill
	rows  [2]int // above, below
}

// pill is one label and the note that it points to.
type pill struct {
	f       located
	words   string
	x, w    float64
	below   bool
	row     int
	noteX   float64
	noteStr int
}

func newPlaceMarks(s *stringsPicture) *placeMarks {
	m := &placeMarks{s: s}
	var ends [2][]float64 // where each row is free from
	for _, f := range s.found {
		if s.shared {
			break
		}
		p, ok := m.pill(f)
		if !ok {
			continue
		}
		side := 0
		if p.below {
			side = 1
		}
		p.row = -1
		for r, end := range ends[side] {
			if p.x >= end+6 {
				p.row = r
				break
			}
		}
		if p.row < 0 {
			p.row = len(ends[side])
			ends[side] = append(ends[side], 0)
		}
		ends[side][p.row] = p.x + p.w
		m.pills = append(m.pills, p)
	}
	m.rows = [2]int{len(ends[0]), len(ends[1])}
	return m
}

// pill places the label of a finding over its first note in view.
func (m *placeMarks) pill(f located) (pill, bool) {
	s := m.s
	found := false
	p := pill{f: f, below: f.side == 1, words: m.words(f)}
	for _, h := range s.hands {
		if h == nil {
			continue
		}
		for i, plucks := range h.Plucks {
			for _, pl := range plucks {
				if f.notes[pl.Note] && s.holds(h.Strokes[i].T) && (!found || s.x(h.Strokes[i].T) < p.noteX) {
					p.noteX, p.noteStr, found = s.x(h.Strokes[i].T), pl.Note.String, true
				}
			}
		}
	}
	eachSwept(s.p, func(_ int, n hands.Swept) {
		if f.notes[n.Note] && s.holds(n.T) && (!found || s.x(n.T) < p.noteX) {
			p.noteX, p.noteStr, found = s.x(n.T), n.Note.String, true
		}
	})
	p.w = textWidth(p.words, 11.8) + 28
	p.x = max(axisWidth, min(p.noteX-9, s.width-8-p.w))
	if found {
		s.width = max(s.width, p.x+p.w+8)
	}
	return p, found
}

// words are the finding's short name and, where time is what lacks, the times at
// the worst place in view.
func (m *placeMarks) words(f located) string {
	words := shortName(f.Rule)
	if f.Speed == nil {
		return words
	}
	h := m.s.hands[max(0, f.side)]
	if h == nil {
		return words
	}
	worst := hands.Need{Load: 1 + 1e-9}
	for _, i := range m.s.shown(h) {
		for _, n := range append(h.Solution.Inside(i), h.Solution.Needs(i)...) {
			t := h.Strokes[n.To].T
			if n.Load > worst.Load && t >= f.from-1e-9 && t <= f.to+1e-9 && m.s.holds(t) {
				worst = n
			}
		}
	}
	if worst.Seconds > 0 {
		words += needWords(": needs %s, has %s", worst)
	}
	return words
}

// bands are the heights that the labels take above and below the strings.
func (m *placeMarks) bands() (above, below float64) {
	return float64(m.rows[0]) * pillRow, float64(m.rows[1]) * pillRow
}

func (m *placeMarks) draw() {
	for _, p := range m.pills {
		y := 34 + float64(p.row)*pillRow
		if p.below {
			y = m.s.end + 4 + float64(p.row)*pillRow
		}
		m.s.mark("pill "+p.f.severityClass(), fmt.Sprintf("Finding %d: %s", p.f.n, p.words), func() { m.drawPill(p, y) })
	}
}

func (m *placeMarks) drawPill(p pill, y float64) {
	s := m.s
	x := max(p.x+9, min(p.noteX, p.x+p.w-9))
	if row, ok := s.rows[p.noteStr]; ok {
		if p.below {
			s.line("leader", x, y, p.noteX, row+s.r+2)
		} else {
			s.line("leader", x, y+pillHeight, p.noteX, row-s.r-2)
		}
	}
	s.rect("pill-box", p.x, y, p.w, pillHeight, 9)
	s.circle("pill-dot", p.x+9, y+9, 7)
	s.text("pill-n m", p.x+9, y+12.8, strconv.Itoa(p.f.n))
	s.text("pill-t s", p.x+20, y+12.8, p.words)
}

// severityClass names a severity in the style sheet.
func (f numbered) severityClass() string { return "sev-" + f.severityWord() }

func (f numbered) severityWord() string {
	switch f.Severity {
	case rules.Error:
		return "error"
	case rules.Warning:
		return "warning"
	}
	return "hint"
}
