// Package syntax reads ABC 2.1 into a tree that keeps every byte: a file is a
// row of lines, a line a row of leaves, and each byte is in exactly one leaf.
// Broken input gives leaves whose kind says what is wrong, never a failure.
//
// A File is immutable. An edit makes a new one that shares the lines which it
// did not touch, so two files of one lineage hold the same *Line exactly where
// text and reading are the same.
package syntax

import "io"

// File is a source text and its lines.
type File struct {
	text   []byte
	lines  lineList
	blocks []Block
}

// LineKind says what stands on a line.
type LineKind uint8

// The kinds of line.
const (
	EmptyLine     LineKind = iota // nothing but white space
	CommentLine                   // % alone, the version line as well
	DirectiveLine                 // %%name …
	FieldLine                     // M:…
	PlusLine                      // +:… goes on with the field before
	MusicLine
	TextLine  // free text between tunes
	BlockLine // inside %%begintext and its like
	StrayLine // in a header, neither field nor remark
)

// Zone says which part of the file a line is in.
type Zone uint8

// The zones.
const (
	HeaderZone Zone = iota // file header
	TuneHeader
	TuneBody
	FreeZone
)

// Line is one line with its end. It is immutable and knows no place: two files
// may share it.
type Line struct {
	Kind   LineKind
	Zone   Zone
	Field  byte // letter of a field line
	Starts bool // a tune starts here
	Leaves []Leaf
	length int
	in     state
}

// Len is the line's length in bytes, line end included.
func (l *Line) Len() int { return l.length }

// Dialect is how music on the line is to be read.
func (l *Line) Dialect() Dialect { return l.in.tune }

// BlockKind tells the parts of a file apart.
type BlockKind uint8

// The kinds of block.
const (
	FileHeaderBlock BlockKind = iota
	TuneBlock
	FreeBlock
)

// Block is a run of lines: First up to End, End excluded.
type Block struct {
	Kind       BlockKind
	First, End int
}

// Text is the source. It must not be changed.
func (f *File) Text() []byte { return f.text }

// WriteTo prints the tree leaf by leaf; what comes out is the source.
func (f *File) WriteTo(w io.Writer) (int64, error) {
	var total int64
	for i := range f.lines.n {
		at := f.Start(i)
		for _, lf := range f.Line(i).Leaves {
			n, err := w.Write(f.text[at : at+lf.Len()])
			total += int64(n)
			if err != nil {
				return total, err
			}
			at += lf.Len()
		}
	}
	return total, nil
}

// Lines is the number of lines.
func (f *File) Lines() int { return f.lines.n }

// Line gives line i, from 0.
func (f *File) Line(i int) *Line { return f.lines.line(i) }

// Start is the offset at which line i starts; for i = Lines() it is the length
// of the text.
func (f *File) Start(i int) int { return f.lines.start(i) }

// LineText is the text of line i with its end.
func (f *File) LineText(i int) []byte {
	at := f.Start(i)
	return f.text[at : at+f.Line(i).length]
}

// Blocks are the parts of the file in order; together they hold every line.
func (f *File) Blocks() []Block { return f.blocks }

// LineAt gives the number of the line that holds the offset; an offset at the
// end of the text belongs to the last line.
func (f *File) LineAt(offset int) int {
	i := f.lines.at(offset)
	if i == f.lines.n && i > 0 {
		return i - 1
	}
	return i
}

// blockKindOf says what kind of block a line belongs to.
func blockKindOf(l *Line) BlockKind {
	switch l.Zone {
	case HeaderZone:
		return FileHeaderBlock
	case TuneHeader, TuneBody:
		return TuneBlock
	}
	return FreeBlock
}

// findBlocks gathers the lines into blocks.
func findBlocks(lines *lineList) []Block {
	var blocks []Block
	for i := range lines.n {
		l := lines.line(i)
		kind, n := blockKindOf(l), len(blocks)
		if n > 0 && blocks[n-1].Kind == kind && !l.Starts {
			blocks[n-1].End = i + 1
			continue
		}
		blocks = append(blocks, Block{kind, i, i + 1})
	}
	return blocks
}
