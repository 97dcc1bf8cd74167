package rules

import (
	"encoding/binary"
	"math"
	"strings"

	"fourfold/parser/score"
)

// packed are findings that begin in one voice, kept small. Their places are told by the
// bars of the tune, and their strokes from the first of their section, so that they hold
// for every text that has these bars. They are never changed.
type packed struct {
	voice    int // of the tune
	from, to int // the bars that they begin in; from is 0 where one stands before the first
	n        int
	count    [Hint + 1]int // by severity
	words    string        // what they say, each once
	ends     []uint32      // of each of the words
	data     []byte
}

// pack packs the findings of a section by their voices, in their order. The strokes
// before are those that the part has before the section, right hand first.
func pack(t *score.Tune, found []Finding, before [2]int) (out []packed) {
	if len(found) == 0 {
		return nil
	}
	by := make([][]int, len(t.Voices)+1)
	for i := range found {
		at := placeAt(t, found[i].Span.Start)
		by[at.voice] = append(by[at.voice], i)
	}
	for voice, list := range by {
		if len(list) == 0 {
			continue
		}
		w := packer{tune: t, before: before, known: map[string]uint64{}}
		w.out.voice, w.out.n = voice, len(list)
		for _, i := range list {
			w.finding(&found[i])
		}
		w.out.words = w.words.String()
		out = append(out, w.out)
	}
	return out
}

// packer packs findings one after another.
type packer struct {
	tune   *score.Tune
	before [2]int
	known  map[string]uint64
	words  strings.Builder
	out    packed
}

func (w *packer) finding(f *Finding) {
	at := placeAt(w.tune, f.Span.Start)
	if len(w.out.data) == 0 || at.bar < w.out.from {
		w.out.from = at.bar
	}
	w.out.to = max(w.out.to, at.bar)
	w.out.count[f.Severity]++
	w.word(f.Rule)
	w.int(int(f.Severity))
	w.word(f.Voice)
	w.int(f.Bar)
	w.int(f.EndBar - f.Bar)
	w.word(f.Hand)
	first := w.before[sideOf(f.Hand)]
	if f.Hand == "" {
		first = 0
	}
	w.int(f.From - first)
	w.int(f.To - f.From)
	w.span(f.Span)
	w.word(f.Message)
	w.word(f.Advice)
	w.flag(f.far)
	w.int(len(f.Related))
	for _, r := range f.Related {
		w.span(r.Span)
		w.word(r.Message)
	}
	w.flag(f.Speed != nil)
	if f.Speed != nil {
		for _, x := range f.Speed.figures() {
			w.out.data = binary.LittleEndian.AppendUint64(w.out.data, math.Float64bits(*x))
		}
	}
	w.int(len(f.Certain))
	for _, c := range f.Certain {
		w.word(c.Title)
		w.int(len(c.Edits))
		for _, e := range c.Edits {
			w.span(e.Span)
			w.word(e.Text)
		}
	}
}

func (w *packer) int(n int) { w.out.data = binary.AppendVarint(w.out.data, int64(n)) }

func (w *packer) flag(is bool) {
	if is {
		w.int(1)
	} else {
		w.int(0)
	}
}

func (w *packer) word(s string) {
	i, ok := w.known[s]
	if !ok {
		i = uint64(len(w.known))
		w.known[s] = i
		w.words.WriteString(s)
		w.out.ends = append(w.out.ends, uint32(w.words.Len()))
	}
	w.out.data = binary.AppendUvarint(w.out.data, i)
}

func (w *packer) place(p place) {
	w.int(p.voice - w.out.voice)
	w.int(p.bar)
	w.int(p.at)
}

// span tells a span by its first and its last byte.
func (w *packer) span(s score.Span) {
	first := placeAt(w.tune, s.Start)
	last := first
	if s.End > s.Start {
		last = placeAt(w.tune, s.End-1)
	}
	w.place(first)
	if one := last.voice == first.voice && last.bar == first.bar; one {
		w.flag(true)
		w.int(s.End - s.Start)
	} else {
		w.flag(false)
		w.place(last)
	}
}

// figures are all numbers of a speed.
func (s *Speed) figures() [6]*float64 {
	return [6]*float64{&s.Load, &s.Tempo, &s.HoldsUpTo, &s.ComfortableUpTo, &s.OneDirectionHolds, &s.OneDirectionEasily}
}

// sideOf is a hand's number by its name: 0 for the right hand.
func sideOf(hand string) int {
	if hand == handNames[1] {
		return 1
	}
	return 0
}

// unpack gives the findings as they stand in a tune that has their bars. The strokes
// first are those of the tune before the section, right hand first.
func (p *packed) unpack(t *score.Tune, first [2]int) []Finding {
	r := unpacker{packed: p, tune: t, data: p.data}
	out := make([]Finding, p.n)
	for i := range out {
		r.finding(&out[i], first)
	}
	return out
}

// each visits the findings without their places and without what they point to.
func (p *packed) each(number string, visit func(*Finding)) {
	r := unpacker{packed: p, tune: &score.Tune{Number: number}, data: p.data, bare: true}
	var f Finding
	for range p.n {
		f = Finding{}
		r.finding(&f, [2]int{})
		visit(&f)
	}
}

// unpacker unpacks findings one after another.
type unpacker struct {
	*packed
	tune *score.Tune
	data []byte
	bare bool // places and what the findings point to are passed over
}

func (r *unpacker) finding(f *Finding, first [2]int) {
	f.Tune = r.tune.Number
	f.Rule = r.word()
	f.Severity = Severity(r.int())
	f.Voice = r.word()
	f.Bar = r.int()
	f.EndBar = f.Bar + r.int()
	f.Hand = r.word()
	f.From = r.int()
	if f.Hand != "" {
		f.From += first[sideOf(f.Hand)]
	}
	f.To = f.From + r.int()
	f.Span = r.span()
	f.Message = r.word()
	f.Advice = r.word()
	f.far = r.int() == 1
	f.Related = r.related(r.int())
	if r.int() == 1 {
		f.Speed = &Speed{}
		for _, x := range f.Speed.figures() {
			*x = math.Float64frombits(binary.LittleEndian.Uint64(r.data))
			r.data = r.data[8:]
		}
	}
	f.Certain = r.fixes(r.int())
}

func (r *unpacker) related(n int) (out []Related) {
	if n > 0 && !r.bare {
		out = make([]Related, 0, n)
	}
	for range n {
		if x := (Related{r.span(), r.word()}); !r.bare {
			out = append(out, x)
		}
	}
	return out
}

func (r *unpacker) fixes(n int) (out []score.TextFix) {
	for range n {
		fix := score.TextFix{Title: r.word()}
		for range r.int() {
			fix.Edits = append(fix.Edits, score.Edit{Span: r.span(), Text: r.word()})
		}
		if !r.bare {
			out = append(out, fix)
		}
	}
	return out
}

func (r *unpacker) int() int {
	n, size := binary.Varint(r.data)
	r.data = r.data[size:]
	return int(n)
}

func (r *unpacker) word() string {
	i, size := binary.Uvarint(r.data)
	r.data = r.data[size:]
	from := uint32(0)
	if i > 0 {
		from = r.ends[i-1]
	}
	return r.words[from:r.ends[i]]
}

func (r *unpacker) place() int {
	p := place{r.voice + r.int(), r.int(), r.int()}
	if r.bare {
		return 0
	}
	return p.in(r.tune)
}

func (r *unpacker) span() score.Span {
	start := r.place()
	if r.int() == 1 {
		return score.Span{Start: start, End: start + r.int()}
	}
	return score.Span{Start: start, End: r.place() + 1}
}

// region is where the findings begin in the file, in a tune that has their bars.
func (p *packed) region(t *score.Tune) score.Span {
	s := score.Span{Start: t.Span.Start, End: t.Span.End}
	if p.voice < len(t.Voices) {
		v := t.Voices[p.voice]
		if i := p.from - v.Number(0); i >= 0 && i < v.Len() {
			s.Start = v.BarStart(i)
		}
		if i := p.to + 1 - v.Number(0); i >= 0 && i < v.Len() {
			s.End = v.BarStart(i)
		}
	}
	return s
}
