package fix

import (
	"sort"
	"strings"

	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// receive writes the notes given away into the other staff, bar by bar. Where
// each of them meets a note, chord or rest of its own length, or a rest that
// holds a whole stretch of its line, it is written there; else the bar gets an
// overlay (&) that goes the rhythm of the notes' own voice with invisible rests
// between.
func (w *writer) receive() (out []score.Edit, why refusal) {
	type layer struct{ voice, bar, layer int }
	groups := map[layer][]noteAt{}
	for at := range w.give {
		l := layer{at.voice, at.bar, w.event(at).Layer}
		groups[l] = append(groups[l], at)
	}
	var order []layer
	for l := range groups {
		order = append(order, l)
		sort.Slice(groups[l], func(i, j int) bool {
			a, b := groups[l][i], groups[l][j]
			return a.event < b.event || a.event == b.event && a.note < b.note
		})
	}
	sort.Slice(order, func(i, j int) bool {
		a, b := order[i], order[j]
		return a.bar < b.bar || a.bar == b.bar && (a.voice < b.voice || a.voice == b.voice && a.layer < b.layer)
	})
	for i, l := range order {
		if l.bar >= w.tune.Voices[w.receiver].Len() {
			return nil, noOtherStaff
		}
		if i > 0 && order[i-1].bar == l.bar {
			return nil, textBreaks
		}
		edits, why := w.receiveBar(groups[l])
		if why != "" {
			return nil, why
		}
		out = append(out, edits...)
	}
	return out, ""
}

// receiveBar writes the notes of one bar and layer.
func (w *writer) receiveBar(notes []noteAt) ([]score.Edit, refusal) {
	for _, at := range notes {
		if w.event(at).Expanded {
			return nil, fromMacro
		}
	}
	if edits, ok := w.intoPlace(notes); ok {
		return edits, ""
	}
	return w.overlay(notes)
}

// intoPlace adds notes to what stands at their onset in the other staff. False,
// with nothing changed, where one of them finds no place.
func (w *writer) intoPlace(notes []noteAt) ([]score.Edit, bool) {
	first := notes[0]
	bar := &w.tune.Voices[w.receiver].Bars()[first.bar]
	chords := map[noteAt][]added{}
	rests := map[int]bool{}
	for _, at := range notes {
		ev := w.event(at)
		e, rest := meeting(bar, ev)
		if e < 0 {
			return nil, false
		}
		if rest {
			rests[e] = true
			continue
		}
		to := noteAt{w.receiver, first.bar, e, 0}
		chords[to] = append(chords[to], w.newHead(at))
	}
	var edits []score.Edit
	for e := range rests {
		edit, ok := w.fillRest(bar, &bar.Events()[e], first)
		if !ok {
			return nil, false
		}
		edits = append(edits, edit)
	}
	for to, list := range chords {
		w.of(to).added = append(w.of(to).added, list...)
	}
	return edits, true
}

// meeting finds the event of a bar that a note can join: a note or chord of its
// onset and length, or a rest that covers it.
func meeting(bar *score.Bar, ev *score.Event) (index int, rest bool) {
	for e := range bar.Events() {
		to := &bar.Events()[e]
		end := to.Onset.Add(to.Duration)
		switch {
		case to.Expanded || to.Layer > 0:
		case to.Kind == score.Sound && to.Onset == ev.Onset && to.Duration == ev.Duration && !tiedOver(to):
			return e, false
		case (to.Kind == score.Rest || to.Kind == score.MeasureRest) && !ev.Onset.Less(to.Onset) && !end.Less(ev.Onset.Add(ev.Duration)) && len(to.Marks) == 0 && to.Tuplet == 0 && !to.Broken:
			return e, true
		}
	}
	return -1, false
}

func tiedOver(ev *score.Event) bool {
	for n := range ev.Notes {
		if ev.Notes[n].TieTo {
			return true
		}
	}
	return false
}

// newHead is a note given away as it is written in its new staff.
func (w *writer) newHead(at noteAt) added {
	n := w.note(at)
	p := placed(w.placeOf(w.tune, at), n.String)
	p.voice = w.receiver
	text, _ := w.head(w.receiver, at.bar, pitchOf(n), w.marked[p])
	return added{n.String, text}
}

// fillRest writes the stretch of a line that a rest covers in the rest's place.
func (w *writer) fillRest(bar *score.Bar, rest *score.Event, from noteAt) (score.Edit, bool) {
	if rest.Span.End <= rest.Span.Start || rest.Kind == score.MeasureRest && !w.coversBar(bar, rest) || w.isSung(bar.Start+rest.Span.Start) {
		return score.Edit{}, false
	}
	sign := byte('z')
	if rest.Hidden {
		sign = 'x'
	}
	text, ok := w.line(from, rest.Onset, rest.Onset.Add(rest.Duration), sign)
	return score.Edit{Span: rest.Span.Shift(bar.Start), Text: text}, ok
}

// coversBar is false for a Z of several measures.
func (w *writer) coversBar(bar *score.Bar, rest *score.Event) bool {
	text := w.typed(bar, rest.Span)
	return text == "Z" || text == "Z1" || text == "X"
}

// overlay adds the notes at the end of the bar as a layer of its own.
func (w *writer) overlay(notes []noteAt) ([]score.Edit, refusal) {
	first := notes[0]
	bar := &w.tune.Voices[w.receiver].Bars()[first.bar]
	if bar.Closing == "" || w.isSung(bar.Start) {
		return nil, wordsUnder
	}
	text, ok := w.line(first, score.Zero, bar.Length, 'x')
	if !ok {
		return nil, textBreaks
	}
	at := bar.Start + bar.Close().Span.Start
	for _, m := range bar.Close().Marks {
		at = min(at, bar.Start+m.Span.Start)
	}
	text = "& " + text + " "
	if at > 0 && w.site.text[at-1] != ' ' {
		text = " " + text
	}
	return []score.Edit{{Span: score.Span{Start: at, End: at}, Text: text}}, ""
}

// token is one piece of a line that is written for the other staff.
type token struct {
	text     string
	rest     bool
	from, to score.Frac // of a rest, from the start of the bar
	unit     score.Frac // what a sign without a number lasts; not valid where a rest cannot be joined to others
}

// line writes a stretch of the layer that a note stands in: the notes given away
// in their rhythm, and rests for all others. False where the stretch does not
// begin and end between notes, or cuts a tuplet.
func (w *writer) line(of noteAt, from, to score.Frac, rest byte) (string, bool) {
	bar := w.bar(of)
	layer := w.event(of).Layer
	var tokens []token
	at := from
	last := -1
	for e := range bar.Events() {
		ev := &bar.Events()[e]
		if ev.Layer != layer || ev.Kind == score.Spacer || ev.Onset.Less(from) || !ev.Onset.Less(to) {
			continue
		}
		if ev.Onset != at || to.Less(at.Add(ev.Duration)) || ev.Kind == score.MeasureRest || ev.Expanded {
			return "", false
		}
		at = at.Add(ev.Duration)
		start := ev.Span.Start
		if last >= 0 {
			start = bar.Events()[last].Span.End
		} else if ev.Tuplet > 0 || ev.Broken {
			if start = w.tupletStart(bar, e); start < 0 {
				return "", false
			}
		}
		between := w.between(bar, start, ev.Span.Start)
		tokens = append(tokens, token{text: between})
		tokens = append(tokens, w.token(of, bar, e, rest))
		last = e
	}
	if at != to || last < 0 || bar.Events()[last].Tuplet > 0 && last+1 < len(bar.Events()) && bar.Events()[last+1].Tuplet == bar.Events()[last].Tuplet {
		return "", false
	}
	return joined(tokens, rest, bar.Meter), true
}

// tupletStart is where the sign of a tuplet stands that begins with an event; -1
// where the event is inside one.
func (w *writer) tupletStart(bar *score.Bar, e int) int {
	ev := &bar.Events()[e]
	if ev.Broken || e > 0 && bar.Events()[e-1].Tuplet == ev.Tuplet {
		return -1
	}
	if e == 0 {
		return 0
	}
	return bar.Events()[e-1].Span.End
}

// between keeps of the text between two notes what their rhythm needs, and blanks.
func (w *writer) between(bar *score.Bar, from, to int) string {
	var out strings.Builder
	file := w.parsed
	for i := file.LineAt(bar.Start + from); i < file.Lines() && file.Start(i) < bar.Start+to; i++ {
		at := file.Start(i)
		for _, l := range file.Line(i).Leaves {
			end := at + l.Len()
			if at >= bar.Start+from && end <= bar.Start+to {
				switch l.Kind() {
				case syntax.Tuplet, syntax.Broken:
					out.Write(w.site.text[at:end])
				case syntax.Space:
					out.WriteByte(' ')
				}
			}
			at = end
		}
	}
	return out.String()
}

// token writes one event: the notes that are given away, or a rest.
func (w *writer) token(of noteAt, bar *score.Bar, e int, rest byte) token {
	ev := &bar.Events()[e]
	var heads []added
	for n := range ev.Notes {
		if at := (noteAt{of.voice, of.bar, e, n}); w.give[at] {
			heads = append(heads, w.newHead(at))
		}
	}
	length := w.lengthText(bar, ev)
	switch len(heads) {
	case 0:
		return token{text: string(rest) + length, rest: true, from: ev.Onset, to: ev.Onset.Add(ev.Duration), unit: w.unitOf(bar, ev)}
	case 1:
		return token{text: heads[0].text + length}
	}
	text := "["
	for _, h := range heads {
		text += h.text
	}
	return token{text: text + "]" + length}
}

// lengthText is what stands behind the pitches of an event, without its tie.
func (w *writer) lengthText(bar *score.Bar, ev *score.Event) string {
	end := ev.Span.Start + 1
	if ev.Kind == score.Sound {
		end = core(w.site.text, bar, ev).End
		if ev.Chord && len(ev.Notes) > 0 && ev.Notes[0].Span != ev.Notes[0].Head {
			return strings.Trim(w.typed(bar, score.Span{Start: ev.Notes[0].Head.End, End: ev.Notes[0].Span.End}), ".-")
		}
	}
	return strings.Trim(w.typed(bar, score.Span{Start: end, End: ev.Span.End}), ".- ")
}

// joined writes the tokens; plain rests in a row become as few as can be read well,
// invisible ones one.
func joined(tokens []token, sign byte, m score.Meter) string {
	var out strings.Builder
	var row token // rests that are not written yet
	gap := ""
	flush := func() {
		switch {
		case row.unit.Valid() && sign == 'x':
			out.WriteString("x" + lengthOf(row.to.Sub(row.from).Div(row.unit)))
		case row.unit.Valid():
			out.WriteString(restsFor(sign, row.from, row.to, row.unit, m))
		}
		row = token{}
		out.WriteString(gap)
		gap = ""
	}
	for _, t := range tokens {
		switch {
		case t.rest && t.unit.Valid() && row.unit == t.unit:
			row.to, gap = t.to, ""
		case t.rest && t.unit.Valid():
			flush()
			row = t
		case strings.Trim(t.text, " ") == "":
			gap += t.text
		default:
			flush()
			out.WriteString(t.text)
		}
	}
	flush()
	return strings.TrimSpace(out.String())
}

// multiple reads a length such as 3/2, / or //; not valid where it is none.
func multiple(text string) score.Frac {
	num, den := int64(0), int64(1)
	digits, slash := "", false
	for _, r := range text {
		switch {
		case r >= '0' && r <= '9' && len(digits) < 6:
			digits += string(r)
		case r == '/' && (!slash || digits == ""):
			if !slash {
				num = number(digits, 1)
				digits = ""
			} else {
				den *= 2
			}
			slash = true
		default:
			return score.Frac{}
		}
	}
	if !slash {
		return score.F(number(digits, 1), 1)
	}
	return score.F(num, den*number(digits, 2))
}

func number(digits string, none int64) (n int64) {
	if digits == "" {
		return none
	}
	for _, r := range digits {
		n = 10*n + int64(r-'0')
	}
	return max(n, 1)
}

// lengthOf writes a number of unit lengths.
func lengthOf(f score.Frac) string {
	switch {
	case f == score.F(1, 1):
		return ""
	case f == score.F(1, 2):
		return "/"
	}
	return f.String()
}
