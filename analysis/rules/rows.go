package rules

import "fourfold/analysis/hands"

// A row is what a hand plays without a rest, or the part of it that a section holds.
type row struct {
	strokes, chords     int     // chords: of four notes
	seconds             float64 // from its first stroke to its last
	firstBar, lastBar   int
	placings            int
	wide                int // most placings wider than an octave one after another
	wideFirst, wideLast int // so many at its beginning and its end
	stroke              int // its first, counted from the section's first
	voice               string
	at                  place // of its first note
	length              int   // bytes of the first note
}

// handRows are the rows of a hand that a section does not hold whole: the first one,
// which may have begun before it, and the last one, which may go on. Where there is but
// one it is the first.
type handRows struct {
	name        string
	severity    Severity
	gap         float64 // seconds from the stroke before the first row to its first
	strokes     int     // of the section
	first, last row
	many        bool // there is more than one row
	goesOn      bool // the first row had begun before
}

// rows are the rows of both hands in a section, right first.
func (p *Part) rows() (out [2]handRows) {
	for i, h := range []*Hand{p.Right, p.Left} {
		if h != nil {
			out[i] = p.rowsOf(h)
		}
	}
	return out
}

func (p *Part) rowsOf(h *Hand) (out handRows) {
	out = handRows{name: h.Name, severity: p.speedSeverity(p.severity(tiringName))}
	first := -1
	var now *row
	for _, pl := range h.Solution.Placings {
		if !p.section.has(h, pl.From) {
			continue
		}
		if first < 0 {
			first, out.goesOn = pl.From, pl.Change != hands.Afresh
			now = &out.first
			if first > 0 {
				out.gap = h.Strokes[first].T - h.Strokes[first-1].T
			}
			p.begin(now, h, pl.From, first)
		} else if pl.Change == hands.Afresh {
			out.many = true
			now = &out.last
			p.begin(now, h, pl.From, first)
		}
		now.add(h, pl, p.Settings)
		out.strokes = pl.To + 1 - first
	}
	return out
}

// has says whether a stroke stands in the section.
func (s Section) has(h *Hand, stroke int) bool {
	bar := h.Plucks[stroke][0].Bar
	return s.From <= bar && bar <= s.To
}

// begin starts a row at a stroke.
func (p *Part) begin(r *row, h *Hand, stroke, first int) {
	f := p.strokeFinding(tiringName, h, stroke, stroke)
	*r = row{firstBar: h.Plucks[stroke][0].Bar, stroke: stroke - first, voice: f.Voice,
		at: placeAt(p.Tune, f.Span.Start), length: f.Span.End - f.Span.Start}
}

// add counts a placing in.
func (r *row) add(h *Hand, pl hands.Placing, set Settings) {
	if r.strokes > 0 {
		r.seconds += h.Strokes[pl.From].T - h.Strokes[pl.From-1].T
	}
	r.seconds += h.Strokes[pl.To].T - h.Strokes[pl.From].T
	r.strokes += pl.To - pl.From + 1
	for i := pl.From; i <= pl.To; i++ {
		if len(h.Strokes[i].Strings) == 4 {
			r.chords++
		}
	}
	r.lastBar = h.Plucks[pl.To][0].Bar
	one := row{placings: 1}
	if h.wide(pl, set) {
		one.wide, one.wideFirst, one.wideLast = 1, 1, 1
	}
	r.joinWide(&one)
}

// joinWide counts the placings of a row in that follows.
func (r *row) joinWide(o *row) {
	r.wide = max(r.wide, o.wide, r.wideLast+o.wideFirst)
	if r.wideFirst == r.placings {
		r.wideFirst += o.wideFirst
	}
	if o.wideLast == o.placings {
		r.wideLast += o.wideLast
	} else {
		r.wideLast = o.wideLast
	}
	r.placings += o.placings
}

// join goes on with a row of the next section, which begins so many seconds after its
// last stroke.
func (r *row) join(o *row, gap float64) {
	r.strokes += o.strokes
	r.chords += o.chords
	r.seconds, r.lastBar = r.seconds+gap+o.seconds, o.lastBar
	r.joinWide(o)
}

// rowOf counts the placings of a passage.
func (h *Hand) rowOf(passage hands.Passage, set Settings) (r row) {
	pls := h.Solution.Placings
	from := pls[passage.From].From
	r.firstBar = h.Plucks[from][0].Bar
	for i := passage.From; i <= passage.To; i++ {
		r.add(h, pls[i], set)
	}
	return r
}
