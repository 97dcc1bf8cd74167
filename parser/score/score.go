// Package score turns a syntax tree into music: voices of notes with exact
// times, spelled pitches, clefs, a tempo map, and where each thing stands in
// the source. It knows nothing of harps.
//
// Times are fractions of a whole note and are kept relative to their bar, and
// so are source spans: a bar that moves in the file keeps everything in it.
package score

// Span is a half-open range of bytes. Which zero it counts from is said where
// it is used: the file, or the bar.
type Span struct{ Start, End int }

// Shift gives the span moved by n bytes.
func (s Span) Shift(n int) Span { return Span{s.Start + n, s.End + n} }

// Score is what a file sounds like: its tunes, and what is wrong outside them.
type Score struct {
	Tunes    []*Tune
	Problems []Problem // spans count from the file

	maxRest int // that the tunes were read with
	short   int // bars of tunes that are not packed; 0 for longTune
}

// Tune is one X: and what follows it, or a fragment without a header.
type Tune struct {
	Number   string // the text of X:
	Title    string // the first T:
	Span     Span   // of the file
	Voices   []*Voice
	Staves   []Staff // by %%score or %%staves; without either, a staff a voice
	Tempi    []Tempo // as written, in order of bar and place in it
	Settings []Setting
	Problems []Problem // spans count from the file

	trail  *trail  // of its reading; nil for a short tune
	after  int     // the last bar of the tune of which this is a stretch; 0 for a whole tune
	long   bool    // its bars are packed
	id     *byte   // of this tune alone
	edited *edited // nil unless an Update read it again
}

// Staff is one printed staff: the voices on it, and how it is bound to others.
type Staff struct {
	Voices []string // voice ids
	Brace  int      // staves with the same number above 0 are braced together
}

// Setting is a %%fourfold line: its words after the name.
type Setting struct {
	Text string
	Span Span // of the file
}

// Voice is one V:, or the only voice of a tune without.
type Voice struct {
	ID       string // "1" in a tune without V:
	Name     string // nm= or name=
	Subname  string // snm=, sname= or subname=
	Declared bool   // in the header or by a V: with properties
	Clef     string // "treble", "bass-8", …; "" where none is given
	Cue      bool   // cue=on: what other players play, for orientation
	Before   int    // bars before the first of its Bars; 0 but in a stretch

	list barList
	row  *flatBars // nil while the tune is being read
}

// Bar is one bar of one voice that holds time. Its number is its index + 1 in a
// whole tune; a rest of n measures makes n bars.
type Bar struct {
	Start    int // byte offset in the file from which spans in the bar count
	*Content     // never nil
}

// BarLine is one end of a bar.
type BarLine struct {
	Text  string // as written: "|", ":|", "||", …; "" where there is none, as between the bars of Z4
	Span  Span   // of the bar
	Marks []Mark // written before it: !fermata!|
}

// Meter is M: as it stands; a zero Length is free meter.
type Meter struct {
	Text     string
	Length   Frac // of a full bar
	Compound bool // 6/8, 9/8, 12/8
	Beat     Frac // the usual beat: 3/8 in 6/8, the lower number's note elsewhere
}

// Key is what K: does to the seven letters, C to B, in semitones.
type Key struct {
	Text string
	Sign [7]int8
}

// EventKind tells notes from silence.
type EventKind uint8

// The kinds of event.
const (
	Sound       EventKind = iota // a note or a chord
	Rest                         // z or x
	MeasureRest                  // Z or X, one event a bar
	Spacer                       // y: takes no time
)

// Event is what stands at one place of one layer of a bar.
type Event struct {
	Kind                EventKind
	Chord               bool // written in brackets
	Hidden              bool // x, X
	Layer               int  // 0 for the voice itself, 1 and on for overlays
	Onset               Frac // from the start of the bar
	Duration            Frac // as it counts in the bar
	Span                Span // of the bar: the note or the whole chord with length and tie
	Notes               []Note
	Graces              []Event // played before it; their Duration is as written
	Marks               []Mark  // decorations, annotations, chord symbols, in order
	SlurOpen, SlurClose int
	Tuplet              int  // 0, or which tuplet of the bar it belongs to, from 1
	Broken              bool // its length was changed by > or <
	Expanded            bool // from a macro: Span is the macro's call
	Staff               StaffMove
}

// StaffMove says on which staff music stands that is written into another than its
// voice's, as [I:staff 2] or [I:staff +1] has it. The zero value is the voice's own.
type StaffMove struct {
	To int // the staff, counted from 1 through the score; 0 for the voice's own
	By int // staves further down
}

// Note is one sounding pitch.
type Note struct {
	Span     Span   // of the bar: accidental, letter, octave, length, tie
	Head     Span   // of the bar: accidental, letter and octave marks alone
	String   int    // 7·octave + letter, C4 is 28; octave= and clef octaves included
	Alter    int    // semitones from the natural: key and bar accidentals included
	Explicit bool   // the accidental stands before the note
	Midi     int    // sounding key, transpose= included
	Duration Frac   // its own, without ties
	Joined   Frac   // with all notes tied to it; for a note that is tied from one before, its own
	TieFrom  bool   // held over from the note before: it is not plucked
	TieTo    bool   // tied to a later note
	Marks    []Mark // written inside the chord, before this note
}

// MarkKind tells the things written over notes apart.
type MarkKind uint8

// The kinds of mark.
const (
	Decoration  MarkKind = iota // !trill!, or a letter that stands for one
	Annotation                  // "^text"
	ChordSymbol                 // "Am"
)

// Mark is something written over an event. Text is the decoration's name or the
// text between the quotes, without the placement sign of an annotation.
type Mark struct {
	Kind  MarkKind
	Text  string
	Place byte // ^ _ < > @ of an annotation, else 0
	Span  Span // of the bar
}

// Tempo is a Q: in force from one place on.
type Tempo struct {
	Bar       int // number, from 1
	Onset     Frac
	Beat      Frac    // the note that is counted
	PerMinute float64 // 0 where Q: holds only words
	Text      string  // the words
	Span      Span    // of the file: the field's value

	voice int // in whose music it stands, -1 for none
}

// Problem is something wrong with the notation.
type Problem struct {
	Rule    string // "notation/syntax", "notation/bar-length", …
	Message string // what is wrong and what to do
	Span    Span   // of the file
	Voice   string // "" outside voices
	Bar     int    // 0 outside bars
	Fixes   []TextFix
}

// TextFix is a change of text that is certain to mend a problem.
type TextFix struct {
	Title string
	Edits []Edit
}

// Edit replaces a span of the file by a text.
type Edit struct {
	Span Span
	Text string
}
