package syntax

// Kind says what a leaf is.
type Kind uint8

// The kinds of leaf. The last group is what broken input leaves behind.
const (
	Space   Kind = iota // blanks and tabs
	LineEnd             // LF, CRLF or CR
	Comment             // % and what follows it on the line; %abc as well
	Text                // free text, text blocks, stray lines

	FieldName     // "M:" at a line's start, "[M:" in music, "+:"
	FieldText     // the value of a field
	FieldEnd      // "]" of a field in music
	DirectiveName // "%%score"
	DirectiveText // what follows it

	Accidental   // ^ ^^ = _ __, also ^/ and the signs of Unicode
	Pitch        // a letter from A to G or a to g
	Octave       // , and '
	Length       // digits and slashes
	Rest         // z or x
	MeasureRest  // Z or X
	Spacer       // y
	Broken       // > or <, up to three
	Tie          // - or .-
	SlurOpen     // ( or .(
	SlurClose    // )
	ChordOpen    // [
	ChordClose   // ]
	GraceOpen    // { or {/
	GraceClose   // }
	Tuplet       // (3, (3:2:4
	Decoration   // !name! or +name+
	Shorthand    // . ~ H to W, h to w
	Quoted       // "text"
	Bar          // any run of | [ ] :
	Ending       // [1 or the 1 of |1
	Overlay      // & && …
	OverlayOpen  // (& of an extension
	OverlayClose // &) of an extension
	BeamMark     // `
	Reserved     // # * ; ? @ and $ or ! where they break no line
	ScoreBreak   // $ or ! that breaks a line of the printed score
	Continuation // \ at a line's end
	OldChord     // + around a chord, as the oldest files have it

	BadByte       // a byte that means nothing in music
	BadAccidental // signs without a note after them
	BadQuote      // " without its mate on the line
	BadDecoration // ! or + without its mate
	BadField      // [K: without ]
	BadClose      // ] or } that closes nothing
)

// IsError says whether broken input left the leaf behind.
func (k Kind) IsError() bool { return k >= BadByte }

// Leaf is one token: its kind and its length in bytes, in four bytes, since a
// file holds about one leaf for every two bytes. Where it starts follows from
// the leaves before it in its line.
type Leaf uint32

const maxLeaf = 1<<24 - 1

func leaf(k Kind, n int) Leaf { return Leaf(uint32(k)<<24 | uint32(n)) }

// Kind says what the leaf is.
func (l Leaf) Kind() Kind { return Kind(l >> 24) }

// Len is its length in bytes.
func (l Leaf) Len() int { return int(l & maxLeaf) }

// appendLeaf adds n bytes of one kind; what a single leaf cannot hold becomes
// several.
func appendLeaf(out []Leaf, k Kind, n int) []Leaf {
	for n > maxLeaf {
		out = append(out, leaf(k, maxLeaf))
		n -= maxLeaf
	}
	if n > 0 {
		out = append(out, leaf(k, n))
	}
	return out
}

// arena hands out short slices of leaves cut from long ones.
type arena struct {
	free []Leaf
	size int // of the long one that is made next; 0 for the first
}

// The first long slice is a short one: an edit reads few lines.
const (
	arenaSize  = 4096
	arenaBegin = 256
)

// keep gives a copy of the leaves of a line; those of a very long line are
// given away as they are, and scratch starts anew.
func (a *arena) keep(scratch *[]Leaf) []Leaf {
	leaves := *scratch
	n := len(leaves)
	if n > arenaSize {
		*scratch = nil
		return leaves[:n:n]
	}
	if n > arenaSize/4 {
		return append([]Leaf(nil), leaves...)
	}
	if n > len(a.free) {
		a.size = max(arenaBegin, n, min(2*a.size, arenaSize))
		a.free = make([]Leaf, a.size)
	}
	kept := a.free[:n:n]
	a.free = a.free[n:]
	copy(kept, leaves)
	return kept
}
