package fix

import (
	"bytes"
	"sort"

	"fourfold/analysis/rules"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// excerpt is one tune of a file cut down to some bars: what a fix is tried on, so
// that trying costs the same in a long part as in a short one. What stays stands
// as it was.
type excerpt struct {
	text   []byte
	pieces []piece // in order
	first  int     // index of its first bar in the tune
	all    bool    // no bar of the tune is left out
}

// piece is n bytes of the file, from on, that stand in the excerpt at a place.
type piece struct{ at, from, n int }

// home gives the place in the file of a span of the excerpt. False where the
// excerpt has left out something inside it.
func (x *excerpt) home(s score.Span) (score.Span, bool) {
	i := sort.Search(len(x.pieces), func(i int) bool { return x.pieces[i].at+x.pieces[i].n > s.Start })
	if i > 0 && i < len(x.pieces) && s.Start == s.End && x.pieces[i].at == s.Start {
		i-- // an insertion belongs to what stands before it
	}
	if i == len(x.pieces) {
		i--
	}
	if i < 0 || s.End > x.pieces[i].at+x.pieces[i].n {
		return score.Span{}, false
	}
	return s.Shift(x.pieces[i].from - x.pieces[i].at), true
}

// is says whether a finding of the excerpt is one of the file.
func (x *excerpt) is(f, of rules.Finding) bool {
	home, ok := x.home(f.Span)
	return ok && f.Rule == of.Rule && f.Hand == of.Hand && home == of.Span
}

// inside gives the place in the excerpt of a span of the file. False where the excerpt
// does not hold it in one piece.
func (x *excerpt) inside(s score.Span) (score.Span, bool) {
	i := sort.Search(len(x.pieces), func(i int) bool { return x.pieces[i].from+x.pieces[i].n > s.Start })
	if i > 0 && s.Start == s.End && x.pieces[i-1].from+x.pieces[i-1].n == s.Start {
		i-- // an insertion belongs to what stands before it
	}
	if i == len(x.pieces) || s.Start < x.pieces[i].from || s.End > x.pieces[i].from+x.pieces[i].n {
		return score.Span{}, false
	}
	return s.Shift(x.pieces[i].at - x.pieces[i].from), true
}

// insideEdits takes edits of the file into the excerpt.
func (x *excerpt) insideEdits(edits []score.Edit) ([]score.Edit, bool) { return moved(edits, x.inside) }

// homeEdits brings edits back to the file.
func (x *excerpt) homeEdits(edits []score.Edit) ([]score.Edit, bool) { return moved(edits, x.home) }

func moved(edits []score.Edit, to func(score.Span) (score.Span, bool)) ([]score.Edit, bool) {
	out := make([]score.Edit, len(edits))
	for i, e := range edits {
		s, ok := to(e.Span)
		if !ok {
			return nil, false
		}
		out[i] = score.Edit{Span: s, Text: e.Text}
	}
	return out, true
}

// whole is a file that is not cut.
func whole(text []byte) *excerpt {
	return &excerpt{text: text, pieces: []piece{{0, 0, len(text)}}, all: true}
}

// cut keeps the header of the file and of the tune, every field that may still have a say,
// and of the music the bars with index lo to hi.
func cut(f *syntax.File, t *score.Tune, lo, hi int) *excerpt {
	c := &cutter{file: f, excerpt: &excerpt{first: lo, all: lo == 0 && hi >= t.Bars()-1}, kept: barSpans(t, lo, hi), named: map[string]bool{}}
	for _, block := range f.Blocks() {
		switch {
		case block.Kind == syntax.FreeBlock, block.Kind == syntax.TuneBlock && f.Start(block.First) != t.Span.Start:
			continue
		}
		sung := false // whether the music line before is kept
		for i := block.First; i < block.End; i++ {
			l := f.Line(i)
			start, end := f.Start(i), f.Start(i)+l.Len()
			switch body := l.Zone == syntax.TuneBody; {
			case body && l.Kind == syntax.CommentLine:
			case l.Kind == syntax.MusicLine:
				sung = c.music(i)
			case l.Kind == syntax.FieldLine && (l.Field == 'w' || l.Field == 's' || l.Field == 'W'):
				sung = false
			case l.Kind == syntax.PlusLine && !sung && body:
			case body && l.Kind == syntax.FieldLine && l.Field == 'V' && c.isName(f.LineText(i)[len("V:"):]):
				c.voice, sung = score.Span{Start: start, End: end}, true
			default:
				c.take(start, end)
				sung = true
			}
		}
		if block.Kind == syntax.FileHeaderBlock && !bytes.HasSuffix(c.text, []byte("\n\n")) {
			c.text = append(c.text, '\n')
		}
	}
	return c.excerpt
}

// cutter makes an excerpt.
type cutter struct {
	*excerpt
	file  *syntax.File
	kept  []score.Span // bars, in order
	voice score.Span   // the field that names the voice, where it is not kept yet
	named map[string]bool
}

// take keeps a piece of the file, with the voice that it belongs to.
func (c *cutter) take(from, to int) {
	if v := c.voice; v.End > v.Start {
		c.keep(c.file.Text(), v.Start, v.End)
		c.voice = score.Span{}
	}
	c.keep(c.file.Text(), from, to)
}

// isName says whether a V: field names a voice that it has named before, and nothing else:
// then it is needed only where something follows that is kept.
func (c *cutter) isName(value []byte) bool {
	name := bytes.TrimSpace(value)
	if c.named[string(name)] {
		return true
	}
	if len(name) > 0 && !bytes.ContainsAny(name, " \t=%") {
		c.named[string(name)] = true
	}
	return false
}

// passes says of a line without bars that are kept whether it holds no field but the name
// of a voice at its start, which it then notes.
func (c *cutter) passes(line int) bool {
	text, at := c.file.LineText(line), 0
	if value, ok := bytes.CutPrefix(text, []byte("[V:")); ok {
		end := bytes.IndexByte(value, ']')
		if end < 0 || !c.isName(value[:end]) {
			return false
		}
		at = len("[V:") + end + 1
		c.voice = score.Span{Start: c.file.Start(line), End: c.file.Start(line) + at}
	}
	return bytes.IndexByte(text[at:], ':') < 0
}

// music keeps of a line the leaves in the bars kept, and fields.
func (c *cutter) music(line int) bool {
	f := c.file
	at, before, field := f.Start(line), len(c.text), -1
	touched := c.touches(at, at+f.Line(line).Len())
	if !touched && c.passes(line) {
		return false
	}
	end, named := 0, -1 // where the last field ends
	for _, leaf := range f.Line(line).Leaves {
		from, to := at, at+leaf.Len()
		at = to
		switch kind := leaf.Kind(); {
		case kind == syntax.FieldName:
			field = from
		case kind == syntax.LineEnd:
			end = from
		case kind == syntax.FieldEnd && field >= 0:
			if value, ok := bytes.CutPrefix(f.Text()[field:from], []byte("[V:")); ok && c.isName(value) {
				c.voice = score.Span{Start: field, End: to}
			} else {
				c.take(field, to)
			}
			field, named = -1, to
		case kind == syntax.Space && touched && from == named: // what is put in before the first note stands behind it
			c.take(from, to)
		case field < 0 && within(c.kept, from):
			c.take(from, to)
		}
	}
	if field >= 0 {
		c.take(field, max(end, field))
	}
	if len(c.text) == before {
		return false
	}
	if end > 0 {
		c.keep(f.Text(), end, at)
	}
	return true
}

// touches says whether bars that are kept stand between two places.
func (c *cutter) touches(from, to int) bool {
	i := sort.Search(len(c.kept), func(i int) bool { return c.kept[i].End > from })
	return i < len(c.kept) && c.kept[i].Start < to
}

func within(spans []score.Span, at int) bool {
	i := sort.Search(len(spans), func(i int) bool { return spans[i].End > at })
	return i < len(spans) && spans[i].Start <= at
}

func (x *excerpt) keep(text []byte, from, to int) {
	n := len(x.pieces)
	if n > 0 && x.pieces[n-1].from+x.pieces[n-1].n == from && x.pieces[n-1].at+x.pieces[n-1].n == len(x.text) {
		x.pieces[n-1].n += to - from
	} else {
		x.pieces = append(x.pieces, piece{len(x.text), from, to - from})
	}
	x.text = append(x.text, text[from:to]...)
}

// barSpans are the places in the file of some bars of all voices, in order.
func barSpans(t *score.Tune, lo, hi int) (out []score.Span) {
	for _, v := range t.Voices {
		for b := lo; b <= hi && b < v.Len(); b++ {
			if s := barSpan(&v.Bars()[b]); s.End > s.Start {
				out = append(out, s)
			}
		}
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Start < out[j].Start })
	for i := 1; i < len(out); i++ {
		out[i].Start = max(out[i].Start, out[i-1].Start)
		out[i].End = max(out[i].End, out[i-1].End)
	}
	return out
}

// barSpan is where a bar stands in the file, with the bar line that closes it.
func barSpan(b *score.Bar) score.Span {
	end := b.Close().Span.End
	for e := range b.Events() {
		end = max(end, b.Events()[e].Span.End)
	}
	return score.Span{Start: b.Start, End: b.Start + end}
}

// faithful says whether the excerpt, read by itself, is the music that was cut
// out: bars, times and pitches. Ties into it and out of it may be cut.
func (x *excerpt) faithful(t, cut *score.Tune) bool {
	if len(t.Voices) != len(cut.Voices) {
		return false
	}
	for v := range t.Voices {
		was, is := t.Voices[v].Bars(), cut.Voices[v].Bars()
		if t.Voices[v].ID != cut.Voices[v].ID || len(is) > max(0, len(was)-x.first) {
			return false
		}
		for b := range is {
			if !sameBar(&was[x.first+b], &is[b], b > 0 && b < len(is)-1) {
				return false
			}
		}
	}
	return true
}

func sameBar(a, b *score.Bar, ties bool) bool {
	if a.Key.Sign != b.Key.Sign || a.Meter.Text != b.Meter.Text || !sameTimes(a, b) {
		return false
	}
	for e := range a.Events() {
		for n := range a.Events()[e].Notes {
			x, y := &a.Events()[e].Notes[n], &b.Events()[e].Notes[n]
			if x.String != y.String || x.Alter != y.Alter {
				return false
			}
			if ties && (x.TieFrom != y.TieFrom || x.TieTo != y.TieTo) {
				return false
			}
		}
	}
	return true
}
