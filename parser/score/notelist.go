package score

import (
	"container/heap"
	"slices"
)

// noteList holds the sounding notes of one tune in twelve bytes each. Times are
// indexes into a table: a tune has few different ones.
type noteList struct {
	byID  map[string]*noteVoice
	times []Frac
	index map[Frac]uint32
	first []int // of each event handed over last: its first note
	fresh int   // the time that extend made last, if nothing else has it
}

// noteVoice holds the notes of one voice, bar by bar in the order written.
type noteVoice struct {
	id      string
	lengths []uint32 // of each bar
	counts  []uint32 // notes of each bar
	chunks  [][]packedNote
	count   int
	cursor  Frac // onset of the note before, from the start of its bar
	layered bool // some notes are not in order of their onsets
	far     map[int][]farNote
}

// packedNote keeps its onset as the time since the note before it in the bar.
type packedNote struct {
	since, duration uint32
	str             int16
	alter, midi     int8
}

// farNote is one that an overlay laid over an earlier bar.
type farNote struct {
	onset Frac
	packedNote
}

const noteChunk = 1024

func newNoteList() *noteList {
	return &noteList{byID: map[string]*noteVoice{}, index: map[Frac]uint32{}, fresh: -1}
}

// clear makes the list ready for another tune.
func (l *noteList) clear() {
	clear(l.byID)
	if len(l.times) > noteChunk {
		l.times, l.index, l.fresh = nil, map[Frac]uint32{}, -1
	}
}

func (l *noteList) voice(id string) *noteVoice {
	v := l.byID[id]
	if v == nil {
		v = &noteVoice{id: id, cursor: Zero}
		l.byID[id] = v
	}
	return v
}

func (l *noteList) intern(f Frac) uint32 {
	l.fresh = -1
	i, ok := l.index[f]
	if !ok {
		i = uint32(len(l.times))
		l.times = append(l.times, f)
		l.index[f] = i
	}
	return i
}

// notes, barEnd, named and extend make the list a sink.
func (l *noteList) notes(v *voice, bar int, events []Event) {
	l.voice(v.out.ID).add(l, bar, events)
}

func (l *noteList) barEnd(v *voice, bar int, length Frac) {
	l.voice(v.out.ID).end(l, bar, length)
}

func (l *noteList) named(events []Event, event, note int) int {
	n := l.first[event]
	for j := range note {
		if !events[event].Notes[j].TieFrom {
			n++
		}
	}
	return n
}

// extend lengthens a note. What it was before leaves the table if only this
// note had it, so that a long chain of ties needs no more room than a short one.
func (l *noteList) extend(v *voice, name int, by Frac) {
	n := l.voice(v.out.ID).at(name)
	total := sum(l.times[n.duration], by)
	if last := len(l.times) - 1; l.fresh == last && int(n.duration) == last {
		delete(l.index, l.times[last])
		l.times = l.times[:last]
	}
	known := len(l.times)
	n.duration = l.intern(total)
	if int(n.duration) == known {
		l.fresh = known
	}
}

func (v *noteVoice) add(l *noteList, bar int, events []Event) {
	l.first = l.first[:0]
	for i := range events {
		e := &events[i]
		l.first = append(l.first, v.count)
		if e.Layer > 0 {
			v.layered = true
		}
		for j := range e.Notes {
			n := &e.Notes[j]
			if n.TieFrom {
				continue
			}
			p := packedNote{0, l.intern(n.Joined), int16(n.String), int8(n.Alter), int8(max(-128, min(127, n.Midi)))}
			if bar <= len(v.lengths) {
				v.addFar(bar, farNote{e.Onset, p})
				continue
			}
			p.since = l.intern(sum(e.Onset, Frac{-v.cursor.Num, v.cursor.Den}))
			v.cursor = e.Onset
			v.push(p)
			v.open(bar)
			v.counts[bar-1]++
		}
	}
}

// addFar keeps a note of a bar that has ended. It has no name: a tie does not
// lengthen it.
func (v *noteVoice) addFar(bar int, n farNote) {
	if v.far == nil {
		v.far = map[int][]farNote{}
	}
	v.far[bar] = append(v.far[bar], n)
	v.layered = true
}

func (v *noteVoice) open(bar int) {
	for len(v.counts) < bar {
		v.counts = append(v.counts, 0)
	}
}

func (v *noteVoice) end(l *noteList, bar int, length Frac) {
	if bar <= len(v.lengths) {
		if l.times[v.lengths[bar-1]].Less(length) {
			v.lengths[bar-1] = l.intern(length)
		}
		return
	}
	v.open(bar)
	v.lengths = append(v.lengths, l.intern(length))
	v.cursor = Zero
}

func (v *noteVoice) push(n packedNote) {
	last := len(v.chunks) - 1
	if last < 0 || len(v.chunks[last]) == noteChunk {
		v.chunks = append(v.chunks, nil)
		if last++; last > 0 {
			v.chunks[last] = make([]packedNote, 0, noteChunk)
		}
	}
	v.chunks[last] = append(v.chunks[last], n)
	v.count++
}

func (v *noteVoice) at(i int) *packedNote { return &v.chunks[i/noteChunk][i%noteChunk] }

// each gives the notes by onset, then by voice in the order of the voices, then
// as written.
func (l *noteList) each(t *Tune, do func(SoundingNote)) {
	var q queue
	for order, v := range t.Voices {
		w := &walk{list: l, voice: l.voice(v.ID), order: order, start: Zero}
		if w.load() {
			q = append(q, w)
		}
	}
	heap.Init(&q)
	for len(q) > 0 {
		w := q[0]
		n := &w.note
		do(SoundingNote{t.Number, w.voice.id, w.bar, w.onset, l.times[n.duration], pitchName(int(n.str), int(n.alter)), int(n.midi)})
		if w.load() {
			heap.Fix(&q, 0)
		} else {
			heap.Pop(&q)
		}
	}
}

// walk goes through the notes of a voice in order of onset.
type walk struct {
	list   *noteList
	voice  *noteVoice
	order  int
	next   int    // note
	bar    int    // number
	left   uint32 // notes of the bar still to come
	start  Frac   // of the bar
	cursor Frac   // onset in it of the note before
	bars   []farNote
	note   packedNote
	onset  Frac
}

// load goes to the next note; false where there is none.
func (w *walk) load() bool {
	v := w.voice
	for {
		switch {
		case len(w.bars) > 0:
			w.note, w.onset = w.bars[0].packedNote, sum(w.start, w.bars[0].onset)
			w.bars = w.bars[1:]
			return true
		case w.left > 0:
			w.note = w.decode()
			w.onset = sum(w.start, w.cursor)
			return true
		case w.bar >= len(v.counts):
			return false
		}
		if w.bar > 0 {
			w.start = sum(w.start, w.list.times[v.lengths[w.bar-1]])
		}
		w.bar++
		w.left, w.cursor = v.counts[w.bar-1], Zero
		if v.layered {
			w.sortBar()
		}
	}
}

func (w *walk) decode() packedNote {
	n := *w.voice.at(w.next)
	w.next++
	w.left--
	w.cursor = sum(w.cursor, w.list.times[n.since])
	return n
}

// sortBar puts the notes of a bar with several layers in order.
func (w *walk) sortBar() {
	w.bars = w.bars[:0]
	for w.left > 0 {
		n := w.decode()
		w.bars = append(w.bars, farNote{w.cursor, n})
	}
	w.bars = append(w.bars, w.voice.far[w.bar]...)
	slices.SortStableFunc(w.bars, func(a, b farNote) int { return a.onset.Cmp(b.onset) })
}

// queue orders the voices by their next onset.
type queue []*walk

func (q queue) Len() int { return len(q) }
func (q queue) Less(i, j int) bool {
	if c := q[i].onset.Cmp(q[j].onset); c != 0 {
		return c < 0
	}
	return q[i].order < q[j].order
}
func (q queue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *queue) Push(x any)   { *q = append(*q, x.(*walk)) }
func (q *queue) Pop() any {
	old := *q
	x := old[len(old)-1]
	*q = old[:len(old)-1]
	return x
}
