package syntax

import (
	"bytes"
	"slices"
)

// Parse reads a text. It never fails and never changes the text, which must
// not be changed after.
func Parse(text []byte) *File {
	f := &File{text: text}
	n := countLines(text)
	f.lines = make([]*Line, 0, n)
	f.starts = make([]int, 0, n+1)
	var x lexer
	s := startState()
	for at := 0; at < len(text); {
		end := at + lineLength(text[at:])
		f.starts = append(f.starts, at)
		f.lines = append(f.lines, x.line(text[at:end], &s))
		at = end
	}
	f.starts = append(f.starts, len(text))
	f.blocks = findBlocks(f.lines)
	return f
}

// lineLength measures the first line of a text, its end included. LF, CRLF and
// a lone CR all end a line.
func lineLength(b []byte) int {
	i := bytes.IndexAny(b, "\r\n")
	switch {
	case i < 0:
		return len(b)
	case b[i] == '\r' && i+1 < len(b) && b[i+1] == '\n':
		return i + 2
	}
	return i + 1
}

func countLines(b []byte) int {
	return bytes.Count(b, []byte{'\n'}) + 1
}

// Edit replaces the bytes from start to end. Only the lines that the change
// touches are read again, and those after them until the reader is in the
// state in which the next old line was read.
func (f *File) Edit(start, end int, insert []byte) *File {
	start = max(0, min(start, len(f.text)))
	end = max(start, min(end, len(f.text)))
	text := bytes.Join([][]byte{f.text[:start], insert, f.text[end:]}, nil)
	if len(f.lines) == 0 || len(text) == 0 {
		return Parse(text)
	}
	// A CR just before the change may join a LF that comes after it.
	first := f.LineAt(start)
	if first > 0 && start == f.starts[first] {
		first--
	}
	g := &File{text: text}
	g.lines = append(make([]*Line, 0, len(f.lines)+8), f.lines[:first]...)
	shift := len(text) - len(f.text)
	s := f.lines[first].in
	var x lexer
	old := first
	at := f.starts[first]
	for at < len(text) {
		for old < len(f.lines) && f.starts[old] < end {
			old++
		}
		for old < len(f.lines) && f.starts[old]+shift < at {
			old++
		}
		if old < len(f.lines) && f.starts[old] >= end && f.starts[old]+shift == at &&
			at > start+len(insert) && f.lines[old].in == s {
			break
		}
		n := lineLength(text[at:])
		g.lines = append(g.lines, x.line(text[at:at+n], &s))
		at += n
	}
	if at == len(text) {
		old = len(f.lines) // read to the end
	}
	fresh := len(g.lines)
	g.lines = append(g.lines, f.lines[old:]...)
	g.starts = f.startsAfter(g.lines, first, fresh, old, shift)
	g.blocks = f.blocksAfter(g.lines, first, fresh, old)
	return g
}

// startsAfter gives the starts of the lines that an edit has led to: those up to first,
// and from fresh on, which stood from old on, are the file's own, the latter moved.
func (f *File) startsAfter(lines []*Line, first, fresh, old, shift int) []int {
	starts := append(make([]int, 0, len(lines)+1), f.starts[:first+1]...)
	for _, l := range lines[first:fresh] {
		starts = append(starts, starts[len(starts)-1]+l.length)
	}
	for _, s := range f.starts[old+1:] {
		starts = append(starts, s+shift)
	}
	return starts
}

// blocksAfter gives the blocks of those lines. An edit inside one block moves only the
// borders of those after it.
func (f *File) blocksAfter(lines []*Line, first, fresh, old int) []Block {
	of := slices.IndexFunc(f.blocks, func(b Block) bool { return first > b.First && old <= b.End })
	if of < 0 || slices.ContainsFunc(lines[first:fresh], func(l *Line) bool { return l.Starts || blockKindOf(l) != f.blocks[of].Kind }) {
		return findBlocks(lines)
	}
	blocks := slices.Clone(f.blocks)
	blocks[of].End += fresh - old
	for i := of + 1; i < len(blocks); i++ {
		blocks[i].First += fresh - old
		blocks[i].End += fresh - old
	}
	return blocks
}
