package score

import (
	"sort"
	"sync"
	"sync/atomic"
)

// barList is the bars of a voice in chunks. Two lists share the chunks that are the same
// in both; what stands further on in the text after an edit moves as a whole. So an edit
// costs by the number of chunks.
type barList struct {
	chunks []barChunk
	n      int
}

// barChunk is some bars in a row.
type barChunk struct {
	first int // index of its first bar in the list
	by    int // bytes by which they stand further on than they say
	bars  []Bar
	own   bool // no other list has it: it may be changed
}

const (
	chunkBars  = 256
	smallChunk = 128 // two chunks that have no more together become one
)

// chunk finds the chunk of a bar.
func (l *barList) chunk(i int) *barChunk {
	k := sort.Search(len(l.chunks), func(k int) bool { return l.chunks[k].first > i })
	return &l.chunks[max(0, k-1)]
}

// at gives the bar at an index.
func (l *barList) at(i int) Bar {
	c := l.chunk(i)
	b := c.bars[i-c.first]
	return Bar{b.Start + c.by, b.Content}
}

// start is where that bar starts.
func (l *barList) start(i int) int {
	c := l.chunk(i)
	return c.bars[i-c.first].Start + c.by
}

// pointer gives the bar without copying it, where it lies somewhere as it is.
func (l *barList) pointer(i int, row *flatBars) *Bar {
	if row != nil && row.made.Load() {
		return &row.bars[i]
	}
	c := l.chunk(i)
	if c.by == 0 {
		return &c.bars[i-c.first]
	}
	b := l.at(i)
	return &b
}

// set replaces a bar.
func (l *barList) set(i int, b Bar) {
	c := l.chunk(i)
	if !c.own {
		c.bars, c.own = append(make([]Bar, 0, max(chunkBars, len(c.bars))), c.bars...), true
	}
	c.bars[i-c.first] = Bar{b.Start - c.by, b.Content}
}

// add puts a bar at the end.
func (l *barList) add(b Bar) {
	if k := len(l.chunks) - 1; k < 0 || len(l.chunks[k].bars) >= chunkBars {
		l.chunks = append(l.chunks, barChunk{first: l.n, bars: make([]Bar, 0, chunkBars), own: true})
	}
	c := &l.chunks[len(l.chunks)-1]
	if !c.own {
		c.bars, c.own = append(make([]Bar, 0, chunkBars), c.bars...), true
	}
	c.bars = append(c.bars, Bar{b.Start - c.by, b.Content})
	l.n++
}

// share adds the bars of another list, from one index up to another, moved by some bytes.
// Neither list changes a chunk that both have.
func (l *barList) share(o *barList, from, to, by int) {
	for k := range o.chunks {
		c := &o.chunks[k]
		lo, hi := max(from-c.first, 0), min(to-c.first, len(c.bars))
		if lo >= hi {
			continue
		}
		if last := len(l.chunks) - 1; last >= 0 && len(l.chunks[last].bars)+hi-lo <= smallChunk {
			for _, b := range c.bars[lo:hi] {
				l.add(Bar{b.Start + c.by + by, b.Content})
			}
			continue
		}
		l.chunks = append(l.chunks, barChunk{first: l.n, by: c.by + by, bars: c.bars[lo:hi:hi]})
		l.n += hi - lo
	}
}

// flat gives the bars in one row.
func (l *barList) flat() []Bar {
	if len(l.chunks) == 1 && l.chunks[0].by == 0 {
		return l.chunks[0].bars
	}
	bars := make([]Bar, 0, l.n)
	for _, c := range l.chunks {
		for _, b := range c.bars {
			bars = append(bars, Bar{b.Start + c.by, b.Content})
		}
	}
	return bars
}

// listOf makes a list of bars that stay as they are.
func listOf(bars []Bar) barList {
	if len(bars) == 0 {
		return barList{}
	}
	return barList{chunks: []barChunk{{bars: bars[:len(bars):len(bars)]}}, n: len(bars)}
}

// flatBars are the bars of a voice in one row, made when first asked for.
type flatBars struct {
	once sync.Once
	made atomic.Bool
	bars []Bar
}

// Bars are the voice's bars in a row. In a long tune the row is made when it is first asked
// for; who wants some bars only asks for a Bar, for BarsIn or for a Stretch.
func (v *Voice) Bars() []Bar {
	switch {
	case v.list.n == 0:
		return nil
	case v.row == nil || len(v.list.chunks) == 1 && v.list.chunks[0].by == 0:
		return v.list.flat()
	}
	v.row.once.Do(func() {
		v.row.bars = v.list.flat()
		v.row.made.Store(true)
	})
	return v.row.bars
}

// Len is the number of bars.
func (v *Voice) Len() int { return v.list.n }

// BarStart is the byte of the file where the bar at an index starts.
func (v *Voice) BarStart(index int) int { return v.list.start(index) }

// withBars gives a copy with other bars.
func (v *Voice) withBars(list barList) *Voice {
	w := *v
	w.list, w.row = list, &flatBars{}
	return &w
}
