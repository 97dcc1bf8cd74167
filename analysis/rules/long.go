package rules

import (
	"context"
	"runtime"
	"slices"
	"sync"

	"fourfold/parser/score"
)

// Long is a tune that was read by sections, without their parts. It is never changed.
type Long struct {
	Players []Player
	Extra   []Finding // what belongs to no section
	Shelves []Shelf   // the findings of the sections
	parts   []longPart
	set     Settings // the tune's
	near    *nearParts
}

// mostKept is how many sections' parts are kept at most, some 3 MB each.
const mostKept = 4

// nearParts are the parts of the sections that were asked for last.
type nearParts struct {
	mu       sync.Mutex
	from, to int // the bars of the sections
	parts    []*Part
}

// longPart is one player's tune.
type longPart struct {
	secs []Section
	read []*sectionRead
}

// sectionRead is what is kept of a section. It is never changed.
type sectionRead struct {
	key     sectionKey
	strokes [2]int // of the section itself, right hand first
	ends    Ends
	local   Local // without its findings, which are in hands
	hands   []packed
	around  Around
	feet    []packed
	sum     Summary
	most    Limit    // of the hands
	slow    Limit    // of the feet
	speed   *speedAt // the first finding about speed; nil for none
}

// speedAt is where a finding about speed stands.
type speedAt struct {
	at    place
	bytes int
	voice string
	bar   int
}

// sectionReads are the sections of a player's tune that were read last, in one frame.
type sectionReads struct {
	mu    sync.Mutex
	frame frame
	read  []*sectionRead // by the number of the section; nil for one that was not read
}

// readLong reads a tune by sections. What was read before, with the settings' memory, and
// is the same still is taken over. The settings are those of the tune. The only error is
// the context's; the sections that were read by then are in the memory.
func readLong(ctx context.Context, text []byte, t *score.Tune, set Settings) (*Long, error) {
	l := &Long{Players: Players(t), set: set, near: &nearParts{}}
	for i, player := range l.Players {
		known := set.memory.sections(slot{tune: t.Number + " " + t.Title, player: player.Name}, frameOf(t, player, set))
		part, err := readSections(ctx, text, t, player, set, known)
		if err != nil {
			return nil, err
		}
		l.parts = append(l.parts, part)
		seams, err := seamsAcross(ctx, text, t, player, set, part.secs, part.ends())
		if err != nil {
			return nil, err
		}
		l.Extra = append(l.Extra, afar(seams)...)
		l.Extra = append(l.Extra, afar(joined(t, set, part.locals()))...)
		if f, ok := part.assumedTempo(t, player, set); ok {
			l.Extra = append(l.Extra, afar([]Finding{f})...)
		}
		l.Shelves = append(l.Shelves, part.shelves(i)...)
	}
	l.Extra = chosenSeverities(l.Extra, set)
	return l, nil
}

// readSections reads the sections that are not known, several at once.
func readSections(ctx context.Context, text []byte, t *score.Tune, player Player, set Settings, known *sectionReads) (longPart, error) {
	part := longPart{secs: set.sectionsOf(t)}
	part.read = make([]*sectionRead, len(part.secs))
	ends := make([]Ends, len(part.secs))
	for k, sec := range part.secs {
		if err := ctx.Err(); err != nil {
			return part, err
		}
		if part.read[k] = known.find(t, k, sec); part.read[k] != nil {
			ends[k] = part.read[k].ends
		} else {
			ends[k] = endsOf(t, player, set, sec)
		}
	}
	known.shorten(len(part.secs))
	arounds := aroundsOf(part.secs, ends)
	workers := 1 // behind the keys
	if part.unread() > len(part.read)/2 {
		workers = runtime.GOMAXPROCS(0)
	}
	errs := make([]error, len(part.secs))
	err := eachAtOnce(ctx, workers, len(part.secs), func(k int) {
		r := part.read[k]
		if r == nil || !r.around.Equal(arounds[k]) {
			if r, errs[k] = readSection(ctx, text, t, player, set, part.secs[k], r, ends[k], arounds[k]); errs[k] == nil {
				part.read[k] = r
				known.put(k, r)
			}
		}
	})
	for _, e := range errs {
		if err == nil {
			err = e
		}
	}
	return part, err
}

// readSection reads a section; of one that was read before, with something else around
// it, only what rests on that.
func readSection(ctx context.Context, text []byte, t *score.Tune, player Player, set Settings, sec Section, was *sectionRead, ends Ends, around Around) (*sectionRead, error) {
	p, err := sectionPart(ctx, text, t, player, set, sec, was == nil)
	if err != nil {
		return nil, err
	}
	r := &sectionRead{key: sectionKeyOf(t, sec), ends: ends, around: around}
	before := p.strokesBefore()
	var found []Finding
	if was != nil {
		r.local, r.hands, r.strokes, r.most = was.local, was.hands, was.strokes, was.most
	} else {
		if r.local, err = p.local(ctx); err != nil {
			return nil, err
		}
		found = chosenSeverities(sec.cut(r.local.Found), set)
		r.local.Found = nil
		if r.most, err = p.limitOf(ctx, found); err != nil {
			return nil, err
		}
		r.hands, r.strokes = pack(t, found, before), p.strokesOf(sec)
	}
	feet, sum, err := p.fromAround(ctx, around)
	if err != nil {
		return nil, err
	}
	feet = chosenSeverities(sec.cut(feet), set)
	r.feet, r.sum, r.slow = pack(t, feet, before), sum, p.slowest()
	if was != nil && was.speed != nil {
		r.speed = was.speed
	}
	for _, f := range append(found, feet...) {
		if r.speed == nil && f.Speed != nil {
			r.speed = &speedAt{placeAt(t, f.Span.Start), f.Span.End - f.Span.Start, f.Voice, f.Bar}
		}
	}
	return r, ctx.Err()
}

// strokesBefore counts the strokes of a section's part that stand before it.
func (p *Part) strokesBefore() [2]int {
	return p.strokesOf(Section{To: p.section.From - 1})
}

// strokesOf counts the strokes in some bars, right hand first.
func (p *Part) strokesOf(sec Section) (n [2]int) {
	for side, h := range []*Hand{p.Right, p.Left} {
		if h == nil {
			continue
		}
		for i := range h.Plucks {
			if bar := h.Plucks[i][0].Bar; bar >= sec.From && bar <= sec.To {
				n[side]++
			}
		}
	}
	return n
}

// unread counts the sections that are not read yet.
func (l *longPart) unread() (n int) {
	for _, r := range l.read {
		if r == nil {
			n++
		}
	}
	return n
}

func (l *longPart) locals() (out []Local) {
	for _, r := range l.read {
		out = append(out, r.local)
	}
	return out
}

func (l *longPart) ends() (out []Ends) {
	for _, r := range l.read {
		out = append(out, r.ends)
	}
	return out
}

// assumedTempo says once that the score gives no tempo, where speed matters.
func (l *longPart) assumedTempo(t *score.Tune, player Player, set Settings) (Finding, bool) {
	for _, r := range l.read {
		if at := r.speed; at != nil {
			start := at.at.in(t)
			f := Finding{Tune: t.Number, Voice: at.voice, Bar: at.bar, Span: score.Span{Start: start, End: start + at.bytes}, Speed: &Speed{}}
			p := &Part{Player: player, Tune: t, Settings: set, Timeline: tempoAround(t, 1, set)}
			return assumedTempo(p, []Finding{f})
		}
	}
	return Finding{}, false
}

// Shelf are findings of one section that begin in one voice.
type Shelf struct {
	Player, Section int    // from 0
	first           [2]int // the strokes of the tune before the section
	*packed
}

// Count is how many findings of a severity there are.
func (s Shelf) Count(of Severity) int { return s.count[of] }

// Len is how many findings there are.
func (s Shelf) Len() int { return s.n }

// Bars are those in which the findings begin.
func (s Shelf) Bars() (from, to int) { return s.from, s.to }

// Region is where the findings begin in the file, in a tune that has their bars.
func (s Shelf) Region(t *score.Tune) score.Span { return s.region(t) }

// Findings are the findings as they stand in a tune that has their bars.
func (s Shelf) Findings(t *score.Tune) []Finding { return s.unpack(t, s.first) }

// Each visits the findings without their places and without what they point to: to count
// some of them.
func (s Shelf) Each(number string, visit func(*Finding)) { s.each(number, visit) }

// Refilled are the shelves that hold other findings in the place of this one's.
func (s Shelf) Refilled(t *score.Tune, found []Finding) (out []Shelf) {
	for _, p := range pack(t, found, s.first) {
		out = append(out, Shelf{s.Player, s.Section, s.first, &p})
	}
	return out
}

// shelves are the findings of a player, section by section.
func (l *longPart) shelves(player int) (out []Shelf) {
	var first [2]int
	for k, r := range l.read {
		for _, list := range [2][]packed{r.hands, r.feet} {
			for i := range list {
				out = append(out, Shelf{player, k, first, &list[i]})
			}
		}
		first[0], first[1] = first[0]+r.strokes[0], first[1]+r.strokes[1]
	}
	return out
}

// append adds the findings on the shelves, as they stand in the tune.
func (l *Long) append(out []Finding, t *score.Tune) []Finding {
	for _, s := range l.Shelves {
		out = append(out, s.Findings(t)...)
	}
	return out
}

// passed gives the tune without the findings that are allowed.
func (l *Long) passed(t *score.Tune, allowed allowances) *Long {
	if len(allowed) == 0 {
		return l
	}
	out := *l
	out.Extra = allowed.pass(l.Extra)
	out.Shelves = nil
	for _, s := range l.Shelves {
		if !allowed.touch(s.region(t)) {
			out.Shelves = append(out.Shelves, s)
			continue
		}
		found := s.Findings(t)
		if left := allowed.pass(found); len(left) < len(found) {
			out.Shelves = append(out.Shelves, s.Refilled(t, left)...)
		} else {
			out.Shelves = append(out.Shelves, s)
		}
	}
	return &out
}

// touch says whether any line that an allowance is about has bytes in a span.
func (all allowances) touch(span score.Span) bool {
	for i := range all {
		if over := all[i].over; over.Start < span.End && span.Start < over.End {
			return true
		}
	}
	return false
}

// find gives a section that holds what it held when it was read; nil for none.
func (s *sectionReads) find(t *score.Tune, k int, sec Section) *sectionRead {
	if s == nil {
		return nil
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if k >= len(s.read) || s.read[k] == nil {
		return nil
	}
	same, very := s.read[k].key.holds(t, sec)
	if same && !very { // so that the bars of older texts can go
		is := *s.read[k]
		is.key = sectionKeyOf(t, sec)
		s.read[k] = &is
	}
	if !same {
		return nil
	}
	return s.read[k]
}

// put keeps what was read.
func (s *sectionReads) put(k int, r *sectionRead) {
	if s == nil {
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	for len(s.read) <= k {
		s.read = append(s.read, nil)
	}
	s.read[k] = r
}

// shorten forgets the sections beyond the last.
func (s *sectionReads) shorten(n int) {
	if s == nil {
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.read = s.read[:min(n, len(s.read))]
}

// sections are the sections that were read of a player's tune in a frame.
func (m *Memory) sections(at slot, f frame) *sectionReads {
	if m == nil {
		return nil
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	s := m.long[at]
	if s == nil || !s.frame.equal(f) {
		s = &sectionReads{frame: f}
		m.long[at] = s
	}
	return s
}

// branched is a copy, for the reading of a text that is only tried.
func (s *sectionReads) branched() *sectionReads {
	s.mu.Lock()
	defer s.mu.Unlock()
	return &sectionReads{frame: s.frame, read: slices.Clone(s.read)}
}

// partsIn are the parts of the sections that have a bar in common with some bars, each
// player's read as one section. Those asked for last are kept.
func (l *Long) partsIn(ctx context.Context, text []byte, t *score.Tune, from, to int) (out []*Part, err error) {
	n := l.set.barsASection()
	from, to = max(1, (from-1)/n*n+1), min(t.Bars(), (to+n-1)/n*n)
	if from > to {
		return nil, nil
	}
	l.near.mu.Lock()
	defer l.near.mu.Unlock()
	if l.near.parts != nil && l.near.from == from && l.near.to == to {
		return l.near.parts, nil
	}
	for i := range l.parts {
		p, err := l.joint(ctx, text, t, i, Section{from, to})
		if err != nil {
			return nil, err
		}
		out = append(out, p)
	}
	if to-from < mostKept*n {
		l.near.from, l.near.to, l.near.parts = from, to, out
	}
	return out, nil
}

// joint reads the part of a player's sections in some bars as one section.
func (l *Long) joint(ctx context.Context, text []byte, t *score.Tune, player int, joint Section) (*Part, error) {
	part := l.parts[player]
	var secs []Section
	var ends []Ends
	at := -1
	for k, sec := range part.secs {
		switch {
		case sec.To < joint.From || sec.From > joint.To:
			secs, ends = append(secs, sec), append(ends, part.read[k].ends)
		case at < 0:
			at = len(secs)
			secs, ends = append(secs, joint), append(ends, endsOf(t, l.Players[player], l.set, joint))
		}
	}
	p, err := sectionPart(ctx, text, t, l.Players[player], l.set, joint, true)
	if err != nil {
		return nil, err
	}
	_, _, err = p.fromAround(ctx, aroundsOf(secs, ends)[at])
	return p, err
}
