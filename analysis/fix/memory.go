package fix

import (
	"bytes"
	"slices"
	"sync"
	"weak"

	"fourfold/analysis/rules"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// Memory keeps the answers about findings by the music that they rest on, from text to
// text: after an edit elsewhere a finding is not worked out again. It also keeps the
// excerpts that were read last, since the findings of a bar are asked about one after
// another. The settings must stay as they are. The zero value is ready; many may ask at
// once.
type Memory struct {
	mu     sync.Mutex
	known  map[subject]Answer // its places are those of the excerpt
	shapes map[shape]bool     // of the findings that are known
	scenes []*scene           // the one that was read last comes last
	cuts   []cutting          // the one that was made last comes last
}

// cutting is an excerpt and what it was cut from. It does not keep the tune.
type cutting struct {
	tune   weak.Pointer[score.Tune]
	lo, hi int
	x      *excerpt
}

// cut cuts bars out of a tune, where that has not been done just now: in a long text it
// takes as long as the half of what else is asked about a finding. A tune that is the same
// stands where it stood, below the same header.
func (m *Memory) cut(f *syntax.File, t *score.Tune, lo, hi int) *excerpt {
	if m == nil {
		return cut(f, t, lo, hi)
	}
	of := weak.Make(t)
	m.mu.Lock()
	i := slices.IndexFunc(m.cuts, func(c cutting) bool { return c.tune == of && c.lo == lo && c.hi == hi })
	var known *excerpt
	if i >= 0 {
		known = m.cuts[i].x
	}
	m.mu.Unlock()
	if known != nil {
		return known
	}
	x := cut(f, t, lo, hi)
	m.mu.Lock()
	defer m.mu.Unlock()
	m.cuts = append(m.cuts, cutting{of, lo, hi, x})
	m.cuts = m.cuts[max(0, len(m.cuts)-mostScenes):]
	return x
}

// mostScenes is how many excerpts are kept.
const mostScenes = 4

// scene reads an excerpt of a tune; false where it is not the music that was cut out.
func (m *Memory) scene(q Question, t *score.Tune, x *excerpt) (*scene, bool) {
	if m == nil {
		return readScene(q, t, x)
	}
	index := tuneIndex(q.Score, t)
	m.mu.Lock()
	i := slices.IndexFunc(m.scenes, func(s *scene) bool { return s.from == index && bytes.Equal(s.text, x.text) })
	var known *scene
	if i >= 0 {
		known = m.scenes[i]
	}
	m.mu.Unlock()
	if known != nil {
		return known, x.faithful(t, known.tune)
	}
	sc, ok := readScene(q, t, x)
	if !ok {
		return nil, false
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	m.scenes = append(m.scenes, sc)
	m.scenes = m.scenes[max(0, len(m.scenes)-mostScenes):]
	return sc, true
}

// subject is a finding with the music around it.
type subject struct {
	rule, hand, voice string
	at                score.Span // in the excerpt
	first             int        // bar of the excerpt in the tune, from 0
	excerpt           string
}

// shape is what a finding looks like wherever it stands: it tells most of those that are
// not known without the music around them.
type shape struct {
	rule, hand, voice string
	length            int
}

func shapeOf(f rules.Finding) shape {
	return shape{f.Rule, f.Hand, f.Voice, f.Span.End - f.Span.Start}
}

// mayKnow is false where nothing like a finding is known.
func (m *Memory) mayKnow(f rules.Finding) bool {
	if m == nil {
		return false
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.shapes[shapeOf(f)]
}

// mostKnown bounds the answers that are kept, each with some two thousand bytes of
// music; past it the memory starts anew.
const mostKnown = 512

// subjectOf names what a question is about: the bars around its finding. False where
// the finding has no place of its own there.
func subjectOf(f rules.Finding, x *excerpt) (subject, bool) {
	at, ok := x.inside(f.Span)
	return subject{f.Rule, f.Hand, f.Voice, at, x.first, string(x.text)}, ok
}

// Known gives the answer to a question whose bars have been asked about before.
func Known(q Question) (Answer, bool) {
	t, ok := q.tune()
	if !ok || len(q.Finding.Certain) > 0 || !q.Memory.mayKnow(q.Finding) {
		return Answer{}, false
	}
	x := q.excerpt(t, around)
	s, ok := subjectOf(q.Finding, x)
	if !ok {
		return Answer{}, false
	}
	a, ok := q.Memory.find(s, x)
	if ok {
		a.Why = whyNot(q.Finding, a)
	}
	return a, ok
}

// find gives the answer about a subject with its places in the file, where it is known.
func (m *Memory) find(s subject, x *excerpt) (Answer, bool) {
	if m == nil {
		return Answer{}, false
	}
	m.mu.Lock()
	a, ok := m.known[s]
	m.mu.Unlock()
	if !ok {
		return Answer{}, false
	}
	a.Fixes = slices.Clone(a.Fixes)
	for i := range a.Fixes {
		if a.Fixes[i].Edits, ok = x.homeEdits(a.Fixes[i].Edits); !ok {
			return Answer{}, false
		}
	}
	return a, true
}

// keep remembers an answer whose places are those of the file.
func (m *Memory) keep(s subject, x *excerpt, a Answer) {
	if m == nil {
		return
	}
	a.Fixes = slices.Clone(a.Fixes)
	for i := range a.Fixes {
		edits, ok := x.insideEdits(a.Fixes[i].Edits)
		if !ok {
			return
		}
		a.Fixes[i].Edits = edits
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.known == nil || len(m.known) >= mostKnown {
		m.known, m.shapes = map[subject]Answer{}, map[shape]bool{}
	}
	m.shapes[shape{s.rule, s.hand, s.voice, s.at.End - s.at.Start}] = true
	m.known[s] = a
}
