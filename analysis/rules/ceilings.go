package rules

// Ceiling is how fast some strokes of a hand can go: no fingering in the model does
// better.
type Ceiling struct {
	Bar      int // number
	From, To int // first and last stroke
	// Load is the least possible largest load of these strokes and of the way to the
	// next one; 0 where nothing is needed. A stroke that no hand takes has no say in it.
	Load float64
	// HoldsUpTo is the tempo for a load of 1, in quarters a minute, and 0 where nothing
	// limits it.
	HoldsUpTo  float64
	Impossible bool // among them is a stroke that no hand takes at any tempo
}

// BarCeilings are those of each bar in which the hand plays.
func (p *Part) BarCeilings(h *Hand) (out []Ceiling) {
	for from := 0; from < len(h.Strokes); {
		to := from
		for to+1 < len(h.Strokes) && h.Plucks[to+1][0].Bar == h.Plucks[from][0].Bar {
			to++
		}
		out = append(out, p.ceiling(h, from, to))
		from = to + 1
	}
	return out
}

// FigureCeilings are those of each figure of the hand: of the groups of three strokes
// and more that stand together in the beat, see Figures.
func (p *Part) FigureCeilings(h *Hand) (out []Ceiling) {
	for _, f := range p.Figures(h, 0, len(h.Strokes)-1) {
		if f.To-f.From >= 2 {
			out = append(out, p.ceiling(h, f.From, f.To))
		}
	}
	return out
}

// PieceCeiling is that of all the hand plays; false where it plays nothing.
func (p *Part) PieceCeiling(h *Hand) (Ceiling, bool) {
	if len(h.Strokes) == 0 {
		return Ceiling{}, false
	}
	return p.ceiling(h, 0, len(h.Strokes)-1), true
}

func (p *Part) ceiling(h *Hand, from, to int) Ceiling {
	at := h.Plucks[from][0]
	c := Ceiling{Bar: at.Bar, From: from, To: to,
		Load: h.Solution.Ceiling(from, min(to+1, len(h.Strokes)-1))}
	if c.Load > 0 {
		c.HoldsUpTo = p.Timeline.QuartersAt(at.Bar, at.Onset) / c.Load
	}
	for _, pl := range h.Solution.Placings {
		c.Impossible = c.Impossible || pl.Impossible && from <= pl.From && pl.From <= to
	}
	return c
}
