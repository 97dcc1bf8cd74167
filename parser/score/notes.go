package score

import (
	"bufio"
	"cmp"
	"container/heap"
	"io"
	"slices"
	"strconv"

	"fourfold/parser/syntax"
)

// SoundingNote is one note as it sounds: ties joined, graces and rests left
// out. Onset and Duration are in whole notes, the onset from the start of the
// voice in written order.
type SoundingNote struct {
	Tune, Voice string
	Bar         int
	Onset       Frac
	Duration    Frac
	Pitch       string // "C#5", "C##5", "Bb4"
	Midi        int
}

// Notes lists the sounding notes of a tune: by onset, then by voice in the
// order of the voices, then as written.
func Notes(t *Tune) []SoundingNote {
	l := newNoteList()
	for _, v := range t.Voices {
		nv := l.voice(v.ID)
		for i := range v.Bars {
			nv.add(l, i+1, v.Bars[i].Length, v.Bars[i].Events)
		}
	}
	var out []SoundingNote
	l.each(t, func(n SoundingNote) { out = append(out, n) })
	return out
}

// WriteNotes prints the sounding notes of a file as JSON lines. It keeps no
// score, only one tune's notes in 16 bytes each, so that a large file needs
// little memory.
func WriteNotes(f *syntax.File, w io.Writer) error {
	out := bufio.NewWriterSize(w, 1<<16)
	b := newFileReader(f)
	var line []byte
	for _, block := range f.Blocks() {
		if block.Kind != syntax.TuneBlock {
			continue
		}
		l := newNoteList()
		t := b.tune(block, l)
		l.each(t, func(n SoundingNote) {
			line = n.appendJSON(line[:0])
			out.Write(append(line, '\n'))
		})
	}
	return out.Flush()
}

func (n *SoundingNote) appendJSON(b []byte) []byte {
	b = append(b, `{"tune":`...)
	b = appendString(b, n.Tune)
	b = append(b, `,"voice":`...)
	b = appendString(b, n.Voice)
	b = append(b, `,"bar":`...)
	b = strconv.AppendInt(b, int64(n.Bar), 10)
	b = append(b, `,"onset":"`...)
	b = append(b, n.Onset.String()...)
	b = append(b, `","duration":"`...)
	b = append(b, n.Duration.String()...)
	b = append(b, `","pitch":"`...)
	b = append(b, n.Pitch...)
	b = append(b, `","midi":`...)
	b = strconv.AppendInt(b, int64(n.Midi), 10)
	return append(b, '}')
}

// noteList holds the notes of one tune in little space.
type noteList struct {
	byID    map[string]*noteVoice
	lengths []Frac // different lengths and onsets in bars
	index   map[Frac]uint32
	first   []int // of each event of the bar handed over last: its first note
}

type noteVoice struct {
	id     string
	bars   []uint32 // length of each bar
	chunks [][]packedNote
	count  int
	sorted bool
}

// packedNote is a note in 16 bytes; times are indexes into lengths.
type packedNote struct {
	bar, onset, duration uint32
	str                  int16
	alter                int8
	midi                 int8
}

const noteChunk = 1024

func newNoteList() *noteList {
	return &noteList{byID: map[string]*noteVoice{}, index: map[Frac]uint32{}}
}

func (l *noteList) voice(id string) *noteVoice {
	v := l.byID[id]
	if v == nil {
		v = &noteVoice{id: id, sorted: true}
		l.byID[id] = v
	}
	return v
}

func (l *noteList) intern(f Frac) uint32 {
	i, ok := l.index[f]
	if !ok {
		i = uint32(len(l.lengths))
		l.lengths = append(l.lengths, f)
		l.index[f] = i
	}
	return i
}

// add takes the notes of a bar; bars of far overlays may come twice.
func (v *noteVoice) add(l *noteList, number int, length Frac, events []Event) {
	if number > len(v.bars) {
		v.bars = append(v.bars, l.intern(length))
	} else if old := v.bars[number-1]; l.lengths[old].Less(length) {
		v.bars[number-1] = l.intern(length)
	}
	if number < len(v.bars) {
		v.sorted = false
	}
	l.first = l.first[:0]
	for i := range events {
		e := &events[i]
		l.first = append(l.first, v.count)
		if e.Layer > 0 {
			v.sorted = false
		}
		for j := range e.Notes {
			n := &e.Notes[j]
			if n.TieFrom {
				continue
			}
			v.push(packedNote{uint32(number), l.intern(e.Onset), l.intern(n.Joined), int16(n.String), int8(n.Alter), int8(max(-128, min(127, n.Midi)))})
		}
	}
}

func (v *noteVoice) push(n packedNote) {
	if v.count%noteChunk == 0 {
		v.chunks = append(v.chunks, make([]packedNote, 0, noteChunk))
	}
	last := len(v.chunks) - 1
	v.chunks[last] = append(v.chunks[last], n)
	v.count++
}

func (v *noteVoice) at(i int) *packedNote { return &v.chunks[i/noteChunk][i%noteChunk] }

// bar, named and extend make the list a sink.
func (l *noteList) bar(v *voice, number int, length Frac, events []Event) {
	l.voice(v.out.ID).add(l, number, length, events)
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

func (l *noteList) extend(v *voice, flat int, by Frac) {
	n := l.voice(v.out.ID).at(flat)
	n.duration = l.intern(sum(l.lengths[n.duration], by))
}

// each gives the notes in order.
func (l *noteList) each(t *Tune, do func(SoundingNote)) {
	var q queue
	for order, v := range t.Voices {
		w := &walk{list: l, voice: l.voice(v.ID), order: order}
		w.prepare()
		if w.load() {
			q = append(q, w)
		}
	}
	heap.Init(&q)
	for len(q) > 0 {
		w := q[0]
		n := w.note
		do(SoundingNote{t.Number, w.voice.id, int(n.bar), w.onset, l.lengths[n.duration], pitchName(int(n.str), int(n.alter)), int(n.midi)})
		if w.load() {
			heap.Fix(&q, 0)
		} else {
			heap.Pop(&q)
		}
	}
}

// walk goes through the notes of a voice in order of onset.
type walk struct {
	list  *noteList
	voice *noteVoice
	order int
	next  int
	bar   int  // whose start is known
	start Frac // of that bar
	onset Frac
	note  *packedNote
}

func (w *walk) prepare() {
	v := w.voice
	w.bar, w.start = 1, Zero
	if v.sorted {
		return
	}
	all := slices.Concat(v.chunks...)
	slices.SortStableFunc(all, func(a, b packedNote) int {
		if c := cmp.Compare(a.bar, b.bar); c != 0 {
			return c
		}
		return w.list.lengths[a.onset].Cmp(w.list.lengths[b.onset])
	})
	v.chunks = v.chunks[:0]
	for c := range slices.Chunk(all, noteChunk) {
		v.chunks = append(v.chunks, c)
	}
}

func (w *walk) load() bool {
	if w.next == w.voice.count {
		return false
	}
	w.note = w.voice.at(w.next)
	w.next++
	for w.bar < int(w.note.bar) {
		w.start = sum(w.start, w.list.lengths[w.voice.bars[w.bar-1]])
		w.bar++
	}
	w.onset = sum(w.start, w.list.lengths[w.note.onset])
	return true
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

// appendString writes a JSON string. Bytes that are no UTF-8 become U+FFFD.
func appendString(b []byte, s string) []byte {
	const hex = "0123456789abcdef"
	b = append(b, '"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b = append(b, '\\', byte(r))
		case r < ' ':
			b = append(b, '\\', 'u', '0', '0', hex[r>>4], hex[r&15])
		default:
			b = append(b, string(r)...)
		}
	}
	return append(b, '"')
}
