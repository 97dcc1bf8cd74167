package syntax

import (
	"bytes"
	"slices"
)

// Parse reads a text. It never fails and never changes the text, which must
// not be changed after.
func Parse(text []byte) *File {
	f := &File{text: text}
	var x lexer
	s := startState()
	for at := 0; at < len(text); {
		end := at + lineLength(text[at:])
		f.lines.add(x.line(text[at:end], &s))
		at = end
	}
	f.blocks = findBlocks(&f.lines)
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

// Edit replaces the bytes from start to end. Only the lines that the change
// touches are read again, and those after them until the reader is in the
// state in which the next old line was read.
func (f *File) Edit(start, end int, insert []byte) *File {
	start = max(0, min(start, len(f.text)))
	end = max(start, min(end, len(f.text)))
	text := bytes.Join([][]byte{f.text[:start], insert, f.text[end:]}, nil)
	if f.lines.n == 0 || len(text) == 0 {
		return Parse(text)
	}
	// A CR just before the change may join a LF that comes after it.
	first := f.LineAt(start)
	if first > 0 && start == f.Start(first) {
		first--
	}
	g := &File{text: text}
	g.lines.share(&f.lines, 0, first)
	shift := len(text) - len(f.text)
	s := f.Line(first).in
	var x lexer
	old := first
	at := f.Start(first)
	for at < len(text) {
		for old < f.lines.n && (f.Start(old) < end || f.Start(old)+shift < at) {
			old++
		}
		if old < f.lines.n && f.Start(old)+shift == at && at > start+len(insert) && f.Line(old).in == s {
			break
		}
		n := lineLength(text[at:])
		g.lines.add(x.line(text[at:at+n], &s))
		at += n
	}
	if at == len(text) {
		old = f.lines.n // read to the end
	}
	fresh := g.lines.n
	g.lines.share(&f.lines, old, f.lines.n)
	g.blocks = f.blocksAfter(&g.lines, first, fresh, old)
	return g
}

// blocksAfter gives the blocks of the lines that an edit has led to: those up to first, and
// from fresh on, which stood from old on, are the file's own. An edit inside one block moves
// only the borders of those after it.
func (f *File) blocksAfter(lines *lineList, first, fresh, old int) []Block {
	of := slices.IndexFunc(f.blocks, func(b Block) bool { return first > b.First && old <= b.End })
	if of < 0 {
		return findBlocks(lines)
	}
	for i := first; i < fresh; i++ {
		if l := lines.line(i); l.Starts || blockKindOf(l) != f.blocks[of].Kind {
			return findBlocks(lines)
		}
	}
	blocks := slices.Clone(f.blocks)
	blocks[of].End += fresh - old
	for i := of + 1; i < len(blocks); i++ {
		blocks[i].First += fresh - old
		blocks[i].End += fresh - old
	}
	return blocks
}
