package score

import (
	"container/heap"
	"slices"
)

// noteList holds the sounding notes of one tune in six bytes each. Times and
// pitches are indexes into tables: a tune has few different ones.
type noteList struct {
	byID    map[string]*noteVoice
	times   []Frac
	index   map[Frac]uint32
	pitches []heard
	heard   map[heard]uint32
	first   []int // of each event handed over last: its first note
	fresh   int   // the time that extend made last, if nothing else has it
}

// heard is what a note sounds: its string, alteration and key.
type heard struct{ str, alter, midi int }

// noteVoice holds the notes of one voice, bar by bar in the order written. The
// onset of a note is kept as the time since the note before it in the bar.
type noteVoice struct {
	id              string
	lengths, counts column // of each bar: its length, its number of notes
	since           column
	durations       column
	pitches         column
	cursor          Frac // onset of the note before, from the start of its bar
	layered         bool // some notes are not in order of their onsets
	far             map[int][]barNote
	farAt           []farNote // the notes in far, in the order of their names
}

// barNote is a note with its onset in its bar.
type barNote struct {
	onset           Frac
	duration, pitch uint32
}

// manyTimes is how large a table of times may stay for the next tune.
const manyTimes = 1024

func newNoteList() *noteList {
	return &noteList{byID: map[string]*noteVoice{}, index: map[Frac]uint32{}, heard: map[heard]uint32{}, fresh: -1}
}

// clear makes the list ready for another tune.
func (l *noteList) clear() {
	clear(l.byID)
	if len(l.times) > manyTimes {
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

func (l *noteList) pitch(n *Note) uint32 {
	h := heard{n.String, n.Alter, n.Midi}
	i, ok := l.heard[h]
	if !ok {
		i = uint32(len(l.pitches))
		l.pitches = append(l.pitches, h)
		l.heard[h] = i
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
	w := l.voice(v.out.ID)
	before := int(w.duration(name))
	total := sum(l.times[before], by)
	if last := len(l.times) - 1; l.fresh == last && before == last {
		delete(l.index, l.times[last])
		l.times = l.times[:last]
	}
	known := len(l.times)
	now := l.intern(total)
	w.setDuration(name, now)
	if int(now) == known {
		l.fresh = known
	}
}

func (v *noteVoice) add(l *noteList, bar int, events []Event) {
	l.first = l.first[:0]
	for i := range events {
		e := &events[i]
		if bar <= v.lengths.n {
			l.first = append(l.first, farName+len(v.farAt))
		} else {
			l.first = append(l.first, v.durations.n)
		}
		if e.Layer > 0 {
			v.layered = true
		}
		for j := range e.Notes {
			if n := &e.Notes[j]; !n.TieFrom {
				v.push(l, bar, e.Onset, n)
			}
		}
	}
}

// farName is where the names of notes begin that an overlay lays over a bar that
// has ended.
const farName = 1 << 40

// farNote is where such a note is kept: its bar and its place in it.
type farNote struct{ bar, at int }

// duration gives the duration of the note with the name.
func (v *noteVoice) duration(name int) uint32 {
	if name >= farName {
		f := v.farAt[name-farName]
		return v.far[f.bar][f.at].duration
	}
	return v.durations.at(name)
}

func (v *noteVoice) setDuration(name int, duration uint32) {
	if name >= farName {
		f := v.farAt[name-farName]
		v.far[f.bar][f.at].duration = duration
		return
	}
	v.durations.set(name, duration)
}

// push adds a note. One that an overlay lays over a bar that has ended is kept
// aside.
func (v *noteVoice) push(l *noteList, bar int, onset Frac, n *Note) {
	b := barNote{onset, l.intern(n.Joined), l.pitch(n)}
	if bar <= v.lengths.n {
		if v.far == nil {
			v.far = map[int][]barNote{}
		}
		v.farAt = append(v.farAt, farNote{bar, len(v.far[bar])})
		v.far[bar] = append(v.far[bar], b)
		v.layered = true
		return
	}
	v.since.add(l.intern(sum(onset, Frac{-v.cursor.Num, v.cursor.Den})))
	v.durations.add(b.duration)
	v.pitches.add(b.pitch)
	v.cursor = onset
	v.open(bar)
	v.counts.set(bar-1, v.counts.at(bar-1)+1)
}

func (v *noteVoice) open(bar int) {
	for v.counts.n < bar {
		v.counts.add(0)
	}
}

func (v *noteVoice) end(l *noteList, bar int, length Frac) {
	if bar <= v.lengths.n {
		if l.times[v.lengths.at(bar-1)].Less(length) {
			v.lengths.set(bar-1, l.intern(length))
		}
		return
	}
	v.open(bar)
	v.lengths.add(l.intern(length))
	v.cursor = Zero
}

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
		h := l.pitches[w.note.pitch]
		do(SoundingNote{t.Number, w.voice.id, w.bar, w.onset, l.times[w.note.duration], pitchName(h.str, h.alter), h.midi})
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
	bars   []barNote
	note   barNote
	onset  Frac
}

// load goes to the next note; false where there is none.
func (w *walk) load() bool {
	v := w.voice
	for {
		switch {
		case len(w.bars) > 0:
			w.note = w.bars[0]
			w.bars = w.bars[1:]
		case w.left > 0:
			w.note = w.decode()
		case w.bar >= v.counts.n:
			return false
		default:
			w.nextBar()
			continue
		}
		w.onset = sum(w.start, w.note.onset)
		return true
	}
}

func (w *walk) nextBar() {
	v := w.voice
	if w.bar > 0 {
		w.start = sum(w.start, w.list.times[v.lengths.at(w.bar-1)])
	}
	w.bar++
	w.left, w.cursor = v.counts.at(w.bar-1), Zero
	if v.layered {
		w.sortBar()
	}
}

func (w *walk) decode() barNote {
	v, i := w.voice, w.next
	w.next++
	w.left--
	w.cursor = sum(w.cursor, w.list.times[v.since.at(i)])
	return barNote{w.cursor, v.durations.at(i), v.pitches.at(i)}
}

// sortBar puts the notes of a bar with several layers in order.
func (w *walk) sortBar() {
	w.bars = slices.Grow(w.bars[:0], int(w.left))
	for w.left > 0 {
		w.bars = append(w.bars, w.decode())
	}
	w.bars = append(w.bars, w.voice.far[w.bar]...)
	slices.SortStableFunc(w.bars, func(a, b barNote) int { return a.onset.Cmp(b.onset) })
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
