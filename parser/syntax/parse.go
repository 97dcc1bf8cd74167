package syntax

import "bytes"

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
	text := make([]byte, 0, len(f.text)-(end-start)+len(insert))
	text = append(text, f.text[:start]...)
	text = append(text, insert...)
	text = append(text, f.text[end:]...)
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
	for at := f.starts[first]; at < len(text); {
		for old < len(f.lines) && f.starts[old] < end {
			old++
		}
		for old < len(f.lines) && f.starts[old]+shift < at {
			old++
		}
		if old < len(f.lines) && f.starts[old] >= end && f.starts[old]+shift == at &&
			at > start+len(insert) && f.lines[old].in == s {
			g.lines = append(g.lines, f.lines[old:]...)
			break
		}
		n := lineLength(text[at:])
		g.lines = append(g.lines, x.line(text[at:at+n], &s))
		at += n
	}
	g.starts = make([]int, len(g.lines)+1)
	for i, l := range g.lines {
		g.starts[i+1] = g.starts[i] + l.length
	}
	g.blocks = findBlocks(g.lines)
	return g
}
