package rules

import (
	"fmt"
	"slices"
	"sort"
	"strings"

	"fourfold/analysis/feet"
)

const markWrongName = "feet/mark-wrong"

// MarkWrong finds pedal marks that the notes after them contradict.
var MarkWrong = Rule{
	Name:  markWrongName,
	Title: "a pedal mark says something else than the notes",
	Doc: `A pedal mark is a letter with its sign (F♯, F#, Bb, Cn), a setting spelled out (D C B♭ | E F G A) or the
diagram of seven marks (-^-|v---: up is flat, the middle natural, down sharp). The next note of the letter must
be what the mark says, unless another mark comes between.

Fails: "_F♯" under a note after which the next F is natural. Passes: "_F♯" before ^f.

What to do: correct the mark or the note.

Where the forms come from: letter and new accidental, two lines, diagram (a harp notation dissertation of the
Sibelius Academy; read); the ASCII forms are ours.`,
	Whole: checkMarkWrong,
}

func checkMarkWrong(p *Part) (out []Finding) {
	if p.Pedals == nil {
		return nil
	}
	for i, m := range p.Pedals.Marks {
		if wrong, far := p.Pedals.contradicted(i); len(wrong) > 0 && !far {
			out = append(out, p.markWrongFinding(m, wrong))
		}
	}
	return out
}

// contradicted are the notes that a mark is wrong for, a letter each. Far says that one
// of them may be for a way back that leads further than the section sees.
func (d *Pedals) contradicted(mark int) (wrong []int, far bool) {
	m := d.Marks[mark]
	for _, l := range feet.PedalOrder {
		pos := m.Setting[l]
		if pos == feet.Free {
			continue
		}
		if demand, not := d.contradicts(mark, l, pos); not {
			wrong = append(wrong, demand)
			far = far || slices.ContainsFunc(d.across, func(from int) bool { return m.Bar <= from && from < d.from[demand].Bar })
		}
	}
	return wrong, far
}

// farMarks finds the wrong marks of a section before ways that lead further than it sees.
func (p *Part) farMarks() (out []Finding) {
	for i, m := range p.Pedals.Marks {
		if m.Bar < p.section.From || m.Bar > p.section.To {
			continue
		}
		if wrong, far := p.Pedals.contradicted(i); len(wrong) > 0 && far {
			out = append(out, p.markWrongFinding(m, wrong))
		}
	}
	return out
}

// contradicts finds the note that a mark is wrong for: the next of its letter
// before another mark names it. A mark over a note may also hold from after it, and
// one at the end of a repeat for the way back.
func (d *Pedals) contradicts(mark int, l feet.Letter, pos feet.Pos) (demand int, wrong bool) {
	m := d.Marks[mark]
	// Rolled chords may reach into the next bar.
	first := sort.Search(len(d.from), func(i int) bool { return d.from[i].Bar >= m.Bar-1 })
	for i := first; i < len(d.from); i++ {
		demand, at := d.Demands[i], d.from[i]
		order := comparePlaces(at.Bar, at.Onset, m.Bar, m.Onset)
		if demand.Letter != l || order < 0 || order == 0 && demand.Pos != pos {
			continue
		}
		for _, other := range d.Marks[mark+1:] {
			if comparePlaces(other.Bar, other.Onset, at.Bar, at.Onset) > 0 {
				break
			}
			if other.Setting[l] != feet.Free {
				return 0, false
			}
		}
		if at.Bar > d.last && d.trusted[l] {
			return 0, false
		}
		return i, demand.Pos != pos && !d.leadsBack(m.Bar, at.Bar, l, pos)
	}
	return 0, false
}

// leadsBack says whether a letter set in one bar and not used before another is for the
// way back at the end of a repeat between them.
func (d *Pedals) leadsBack(marked, next int, l feet.Letter, pos feet.Pos) bool {
	for _, s := range d.Seams {
		if s.from < marked || s.from >= next {
			continue
		}
		for i, m := range s.Moves {
			if m.Letter == l && m.To == pos && s.Notes[i].Bar >= s.to {
				return true
			}
		}
	}
	return false
}

// markWrongFinding is one finding for all letters that a mark has wrong; demands are
// the notes that it is wrong for, a letter each.
func (p *Part) markWrongFinding(m PedalMark, demands []int) Finding {
	f := p.finding(markWrongName, *p.Pedals.Note(demands[0]).Pluck)
	f.Span, f.Voice, f.Bar, f.EndBar = m.Span, m.Voice, m.Bar, m.Bar
	var parts []string
	for _, d := range demands {
		at, l := p.Pedals.Note(d), p.Pedals.Demands[d].Letter
		parts = append(parts, fmt.Sprintf("says %s, and the next %v, %s in bar %d, needs %s", LetterName(int(l), int(m.Setting[l])), l,
			p.needWords(at, l), at.Bar, LetterName(int(l), int(p.Pedals.Demands[d].Pos))))
		f.Related = append(f.Related, Related{Span: at.Span, Message: "the note that the mark is wrong for"})
	}
	f.Message = "The mark " + strings.Join(parts, "; it ") + "."
	f.Advice = "Correct the mark or the note."
	return f
}
