package syntax

// pieceLines is how many lines a piece holds before it looks for an end.
const pieceLines = 2048

// Pieces reads a text as Parse does and hands it over in pieces, each a File
// of a few thousand lines of one block, so that a reader of a large file needs
// to hold no whole tree. Offsets are those of the whole text. Where a block has
// more lines than one piece, more is true for all its pieces but the last.
func Pieces(text []byte, do func(piece *File, more bool)) {
	var x lexer
	s := startState()
	p := &File{text: text}
	flush := func(more bool) {
		if p.lines.n == 0 {
			return
		}
		p.blocks = findBlocks(&p.lines)
		do(p, more)
		p = &File{text: text, lines: lineList{size: p.lines.size}}
	}
	for at := 0; at < len(text); {
		n := lineLength(text[at:])
		l := x.line(text[at:at+n], &s)
		switch {
		case p.lines.n == 0:
		case l.Starts || blockKindOf(l) != blockKindOf(p.Line(0)):
			flush(false)
		case p.lines.n >= pieceLines:
			flush(true)
		}
		p.lines.add(l)
		at += n
	}
	flush(false)
}
