package score

import (
	"maps"
	"math"
	"reflect"
	"slices"
)

// standing is what a mark holds of the reader that few lines change: marks share it.
type standing struct {
	env                 env
	part, number, title string
	voice               int     // the current one, -1 for none
	voices              []voice // as they were; each with its Voice, but without bars and the place of its bar line
	at, music           int     // of the mark that it was made for, from which its places count
	names               bool    // the voices name places or bars: it is no other mark's
	low                 int     // the first byte of the file that they name
}

// lowest is the first byte of the file that is named where the mark stands at a byte.
func (s *standing) lowest(at int) int {
	if s.low == math.MinInt || s.low == math.MaxInt {
		return s.low
	}
	return s.low + at - s.at
}

// fewStandings is how many are tried again.
const fewStandings = 8

// standing gives that of the reader at a mark: one of the last few if it holds the same.
func (r *reader) standing(m *mark) *standing {
	for k := len(r.stands) - 1; k >= 0; k-- {
		if r.stands[k].holds(r) {
			return r.stands[k]
		}
	}
	s := &standing{env: r.env.own(), part: r.part, number: r.tune.Number, title: r.tune.Title, voice: -1, at: m.at, music: m.music, low: math.MaxInt}
	r.env = r.env.own()
	r.ownSymbols = false
	for i, v := range r.voices {
		if v == r.voice {
			s.voice = i
		}
		s.voices = append(s.voices, v.clone())
		s.voices[i].open.Span = Span{}
		s.look(&s.voices[i])
	}
	if len(r.stands) >= fewStandings {
		r.stands = append(r.stands[:0], r.stands[1:]...)
	}
	r.stands = append(r.stands, s)
	return s
}

// look finds out which places a voice names.
func (s *standing) look(v *voice) {
	switch {
	case !v.plain():
		s.names, s.low = true, math.MinInt
	case v.undeclared != (Span{}):
		s.names, s.low = true, min(s.low, v.undeclared.Start)
	}
	for _, ends := range [][]slurEnd{v.slurs, v.slurCloses} {
		for _, e := range ends {
			s.names, s.low = true, min(s.low, e.span.Start)
		}
	}
	s.names = s.names || v.words != (wordPlace{}) || v.symbols != (wordPlace{})
}

// plain says whether a voice is between two bars, and nothing is open but slurs.
func (v *voice) plain() bool {
	return !v.started && v.saved == nil && !v.broken.Valid() && v.tuplet.left == 0 && v.slurOpen == 0 &&
		len(v.events)+len(v.ties)+len(v.links)+len(v.marks)+len(v.graces)+len(v.bar.marks) == 0
}

// holds says whether a reader is in that state, and no place is in it.
func (s *standing) holds(r *reader) bool {
	if s.names || s.part != r.part || s.number != r.tune.Number || s.title != r.tune.Title || len(s.voices) != len(r.voices) ||
		(s.voice >= 0) != (r.voice != nil) || s.voice >= 0 && s.voice != r.voice.index || !s.env.equal(&r.env) {
		return false
	}
	for i, v := range r.voices {
		if !v.plain() || !s.voices[i].like(v) {
			return false
		}
	}
	return true
}

// like says whether two plain voices are the same but for where they have come to.
func (v *voice) like(o *voice) bool {
	return v.before == o.before && v.unit == o.unit && v.key == o.key && v.meter == o.meter && v.open.Text == o.open.Text &&
		v.shift == o.shift && v.staff == o.staff && v.index == o.index && v.part == o.part && v.ending == o.ending &&
		v.pos == o.pos && v.longest == o.longest && v.layer == o.layer && v.last == o.last && v.back == o.back && v.tuplets == o.tuplets &&
		v.visits == o.visits && v.undeclared == o.undeclared && v.words == o.words && v.symbols == o.symbols &&
		v.bar.Frame.equal(&o.bar.Frame) && v.bar.open == o.bar.open && v.bar.close == o.bar.close && v.out.like(o.out) &&
		slices.Equal(v.acc, o.acc) && slices.Equal(v.slurs, o.slurs) && slices.Equal(v.slurCloses, o.slurCloses)
}

// like compares all but the bars.
func (v *Voice) like(o *Voice) bool {
	return v.ID == o.ID && v.Name == o.Name && v.Subname == o.Subname && v.Declared == o.Declared && v.Clef == o.Clef && v.Cue == o.Cue
}

func (e *env) equal(o *env) bool {
	return e.meter == o.meter && e.unit == o.unit && e.key == o.key && e.shift == o.shift && e.clef == o.clef && e.propagate == o.propagate &&
		e.charset == o.charset && maps.Equal(e.symbols, o.symbols) && slices.Equal(e.settings, o.settings) &&
		(e.layout == o.layout || reflect.DeepEqual(e.layout, o.layout)) &&
		(e.macros.none() && o.macros.none() || reflect.DeepEqual(e.macros, o.macros))
}

// restored gives the voices as they were at a mark, with all places where they are now.
func (m *mark) restored() []voice {
	voices := make([]voice, len(m.voices))
	by := move{from: math.MinInt, bytes: m.at - m.standing.at, music: m.music - m.standing.music}
	for i := range voices {
		v := m.voices[i].clone()
		if m.names {
			by.voice(&v)
		} else {
			v.number = m.places[i].bars + 1
		}
		if v.open.Text != "" {
			v.open.Span = m.places[i].open.Shift(m.at)
		}
		voices[i] = v
	}
	return voices
}

// same says whether two states of the reader are the same.
func (m *mark) same(o *mark) bool {
	if m.line != o.line || m.at != o.at || m.music != o.music || m.rests != o.rests || !slices.Equal(m.places, o.places) {
		return false
	}
	if m.standing == o.standing {
		return true
	}
	if m.part != o.part || m.number != o.number || m.title != o.title || m.voice != o.voice || !m.env.equal(&o.env) {
		return false
	}
	a, b := m.restored(), o.restored()
	return slices.EqualFunc(a, b, func(a, b voice) bool { return a.number == b.number && a.plain() && b.plain() && a.like(&b) })
}

// mark gives a mark as it is after the edit.
func (m *move) mark(o *mark) mark {
	n := *o
	n.line += m.lines
	n.at = m.offset(o.at)
	n.music += m.music
	n.rests += m.rests
	n.problems += m.problems
	n.tempi += m.tempi
	n.settings += m.settings
	n.places = m.places(o, n.at)
	n.standing = m.standing(o, &n)
	return n
}

// places moves how far voices have come.
func (m *move) places(o *mark, at int) []voicePlace {
	same := true
	for i, p := range o.places {
		same = same && (i >= len(m.bars) || m.bars[i].by == 0) && (o.voices[i].open.Text == "" || o.at+p.open.Start >= m.from)
	}
	if same {
		return o.places
	}
	places := slices.Clone(o.places)
	for i := range places {
		if i < len(m.bars) {
			places[i].bars += m.bars[i].by
		}
		if o.voices[i].open.Text != "" {
			places[i].open = m.span(places[i].open.Shift(o.at)).Shift(-at)
		}
	}
	return places
}

// standing moves what a mark holds of the reader.
func (m *move) standing(o, now *mark) *standing {
	s := o.standing
	layout := m.layout(s.env.layout)
	switch {
	case !s.names && layout == s.env.layout:
		return s
	case !s.names && m.standings[s] != nil:
		return m.standings[s]
	case layout == s.env.layout && s.lowest(o.at) >= m.from && !m.movesBars():
		return s
	}
	n := *s
	n.env.layout = layout
	if !s.names {
		if m.standings == nil {
			m.standings = map[*standing]*standing{}
		}
		m.standings[s] = &n
		return &n
	}
	n.at, n.music, n.voices, n.low = now.at, now.music, o.restored(), math.MaxInt
	for i := range n.voices {
		v := &n.voices[i]
		m.voice(v)
		v.open.Span = Span{}
		n.look(v)
	}
	return &n
}

func (m *move) movesBars() bool {
	return slices.ContainsFunc(m.bars, func(b barMove) bool { return b.by != 0 })
}
