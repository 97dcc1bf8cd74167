package syntax

import "sort"

// lineList is lines and where they start, in chunks. Two files share the chunks that an
// edit leaves alone; what stands behind it moves as a whole.
type lineList struct {
	chunks []lineChunk
	n      int // lines
	size   int // bytes
}

// lineChunk is some lines in a row.
type lineChunk struct {
	first  int // number of its first line
	at     int // where that starts
	base   int // what starts says of it
	lines  []*Line
	starts []int
	own    bool // no other list has it: it may grow
}

const (
	chunkLines = 256
	smallChunk = 128 // two chunks that have no more lines together become one
)

// chunk finds the chunk of a line, of which there must be one.
func (l *lineList) chunk(i int) *lineChunk {
	k := sort.Search(len(l.chunks), func(k int) bool { return l.chunks[k].first > i })
	return &l.chunks[max(0, k-1)]
}

// line gives a line.
func (l *lineList) line(i int) *Line {
	c := l.chunk(i)
	return c.lines[i-c.first]
}

// start is where a line starts; that behind the last starts at the end of the text.
func (l *lineList) start(i int) int {
	if i == l.n {
		return l.size
	}
	c := l.chunk(i)
	return c.at + c.starts[i-c.first] - c.base
}

// add puts a line at the end.
func (l *lineList) add(x *Line) {
	k := len(l.chunks) - 1
	if k < 0 || len(l.chunks[k].lines) >= chunkLines {
		l.chunks = append(l.chunks, lineChunk{first: l.n, at: l.size, own: true})
		k++
	}
	c := &l.chunks[k]
	if !c.own {
		c.own = true
		c.lines = append(make([]*Line, 0, chunkLines), c.lines...)
		c.starts = append(make([]int, 0, chunkLines), c.starts...)
	}
	c.lines = append(c.lines, x)
	c.starts = append(c.starts, l.size-c.at+c.base)
	l.n++
	l.size += x.length
}

// share adds the lines of another list, from one up to another. Neither list changes a
// chunk that both have.
func (l *lineList) share(o *lineList, from, to int) {
	for k := range o.chunks {
		c := &o.chunks[k]
		lo, hi := max(from-c.first, 0), min(to-c.first, len(c.lines))
		if lo >= hi {
			continue
		}
		if last := len(l.chunks) - 1; last >= 0 && len(l.chunks[last].lines)+hi-lo <= smallChunk {
			for _, x := range c.lines[lo:hi] {
				l.add(x)
			}
			continue
		}
		l.chunks = append(l.chunks, lineChunk{first: l.n, at: l.size, base: c.starts[lo], lines: c.lines[lo:hi:hi], starts: c.starts[lo:hi:hi]})
		l.n += hi - lo
		l.size += o.start(c.first+hi) - o.start(c.first+lo)
	}
}

// at gives the number of the line that holds an offset; n for one behind the last.
func (l *lineList) at(offset int) int {
	lo, hi := 0, l.n
	for lo < hi {
		mid := (lo + hi) / 2
		if l.start(mid+1) <= offset {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	return lo
}

// Shared counts the lines at the start and at the end that two blocks of two files share.
// Files of one lineage share a line exactly where its text and its reading are the same.
func Shared(f *File, a Block, g *File, b Block) (head, tail int) {
	most := min(a.End-a.First, b.End-b.First)
	for head < most {
		x, y := f.lines.chunk(a.First+head), g.lines.chunk(b.First+head)
		i, j := a.First+head-x.first, b.First+head-y.first
		n := min(len(x.lines)-i, len(y.lines)-j, most-head)
		same := n
		if &x.lines[i] != &y.lines[j] {
			for same = 0; same < n && x.lines[i+same] == y.lines[j+same]; same++ {
			}
		}
		if head += same; same < n {
			break
		}
	}
	for tail < most-head {
		x, y := f.lines.chunk(a.End-1-tail), g.lines.chunk(b.End-1-tail)
		i, j := a.End-1-tail-x.first, b.End-1-tail-y.first
		n := min(i+1, j+1, most-head-tail)
		same := n
		if &x.lines[i] != &y.lines[j] {
			for same = 0; same < n && x.lines[i-same] == y.lines[j-same]; same++ {
			}
		}
		if tail += same; same < n {
			break
		}
	}
	return head, tail
}
