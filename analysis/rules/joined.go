package rules

import "fourfold/parser/score"

// joined says what only all sections of a player's tune together tell: rows that reach
// over their borders. Locals stand in order of the sections.
func joined(t *score.Tune, set Settings, locals []Local) (out []Finding) {
	for hand := range 2 {
		open, stroke, severity, name := (*row)(nil), 0, Off, ""
		strokes := 0 // of the sections before
		close := func() {
			if open == nil {
				return
			}
			if why := open.tires(set); why != "" {
				start := open.at.in(t)
				f := Finding{Rule: tiringName, Severity: severity, Tune: t.Number, Voice: open.voice, Bar: open.firstBar, Hand: name,
					From: stroke, To: stroke, Span: score.Span{Start: start, End: start + open.length}}
				out = append(out, open.tiringFinding(f, why))
			}
			open = nil
		}
		for i := range locals {
			r := &locals[i].rows[hand]
			if r.strokes == 0 {
				close()
				continue
			}
			severity, name = r.severity, r.name
			if open != nil && r.goesOn {
				open.join(&r.first, r.gap)
			} else {
				close()
				first := r.first
				open, stroke = &first, strokes+first.stroke
			}
			if r.many {
				close()
				last := r.last
				open, stroke = &last, strokes+last.stroke
			}
			strokes += r.strokes
		}
		close()
	}
	return afar(out)
}
