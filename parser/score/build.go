package score

import (
	"bytes"
	"hash/maphash"
	"slices"

	"fourfold/parser/syntax"
)

// Build reads the whole file.
func Build(f *syntax.File) *Score { return build(f, 0) }

// build reads the whole file; tunes of more bars than short are packed, 0 stands for
// longTune.
func build(f *syntax.File, short int) *Score {
	b := newFileReader(f)
	b.short = short
	s := &Score{maxRest: b.maxRest, short: short}
	for _, block := range f.Blocks() {
		if block.Kind == syntax.TuneBlock {
			s.Tunes = append(s.Tunes, b.tune(block, nil))
		}
	}
	s.Problems = b.problems(len(s.Tunes))
	return s
}

// fileReader holds what all tunes of a file share: the defaults of the file
// header and how many measures of rest a tune may ask for.
type fileReader struct {
	file    *syntax.File
	env     env
	header  []Problem
	maxRest int
	notes   []Note // room for the notes to come
	chord   []Note // room for those of a chord

	short    int       // bars of tunes that are not packed; 0 for longTune
	edits    bool      // tunes are read again after an edit
	contents []Content // room for the contents to come
	frames   [8]*Frame // the last ones
	frameAt  int
	alike    []*Content // packed ones, by the hash of what they hold
	seed     maphash.Seed
	packing  []byte // room for a packed bar
}

func newFileReader(f *syntax.File) *fileReader {
	b := &fileReader{file: f, env: newEnv()}
	tunes := 0
	for _, block := range f.Blocks() {
		switch block.Kind {
		case syntax.TuneBlock:
			tunes++
		case syntax.FileHeaderBlock:
			b.readHeader(block, nil)
		}
	}
	b.maxRest = restAllowance(tunes)
	return b
}

// restAllowance bounds the bars that the measure rests of one tune may make, so
// that a few bytes cannot ask for all memory: plenty for a tune, and less for
// each the more tunes there are, in steps of powers of two.
func restAllowance(tunes int) int {
	n := 1 << 14
	for n > 16 && n*tunes > 1<<21 {
		n /= 2
	}
	return n
}

func (b *fileReader) readHeader(block syntax.Block, to sink) {
	r := &reader{fileReader: b, tune: &Tune{}, env: b.env, sink: to, inFile: true}
	r.lines(block)
	r.flushField()
	b.env = r.env
	b.env.settings = r.tune.Settings
	b.header = r.tune.Problems
}

// problems are those outside tunes.
func (b *fileReader) problems(tunes int) []Problem {
	ps := b.header
	if tunes == 0 && len(bytes.TrimSpace(b.file.Text())) > 0 {
		ps = append(ps, Problem{
			Rule:    RuleSyntax,
			Message: "No tune here: a tune starts with a line `X:1`, then `T:` for its title and `K:` for its key.",
			Span:    Span{0, firstLineEnd(b.file)},
		})
	}
	return ps
}

func firstLineEnd(f *syntax.File) int {
	return len(bytes.TrimRight(f.LineText(0), "\r\n"))
}

// tune reads one tune. With a sink, its bars go there and the tune keeps none.
func (b *fileReader) tune(block syntax.Block, to sink) *Tune {
	f := b.file
	t := newTune(f, block)
	r := b.reader(t, to)
	if to == nil && block.End-block.First >= shortTune {
		r.trail = &trail{start: t.Span.Start}
	}
	r.lines(block)
	r.finish()
	return t
}

func newTune(f *syntax.File, block syntax.Block) *Tune {
	return &Tune{Span: Span{f.Start(block.First), f.Start(block.End)}, id: new(byte)}
}

func (b *fileReader) reader(t *Tune, to sink) *reader {
	r := &reader{fileReader: b, tune: t, env: b.env.own(), sink: to, byID: map[string]*voice{}}
	t.Settings = r.env.settings
	return r
}

// reader reads one tune.
type reader struct {
	*fileReader
	tune       *Tune
	env        env
	sink       sink
	voices     []*voice
	byID       map[string]*voice
	voice      *voice // the one that music now goes to; nil in the header
	part       string // P: before any voice
	strict     bool   // the line being read asks for strict reading
	inFile     bool   // it is the file header
	body       bool
	ownSymbols bool // env.symbols is this tune's own
	line       int  // the line being read
	last       field
	after      byte // the field that acted last
	block      syntax.Block
	trail      *trail       // nil where none is kept
	stands     []*standing  // of the last marks
	places     []voicePlace // room for those to come
	checked    *checked     // bars that need no check; nil for none
	rests      int          // bars made by measure rests so far
	long       bool         // bars are packed
	music      int          // lines of music so far
}

// field is the information field read last, which a +: line goes on with.
type field struct {
	code byte
	text string
	more []string // of the +: lines
	span Span
}

func (r *reader) lines(block syntax.Block) {
	r.block = block
	for i := block.First; i < block.End; i++ {
		r.record(i)
		r.oneLine(i)
	}
}

func (r *reader) oneLine(i int) {
	r.line = i
	l := r.file.Line(i)
	r.strict = l.Dialect().Strict
	switch l.Kind {
	case syntax.FieldLine, syntax.PlusLine:
		r.fieldLine(l, i)
	case syntax.DirectiveLine:
		r.directiveLine(l, i)
	case syntax.MusicLine:
		r.flushField()
		r.musicLine(l, i)
	case syntax.StrayLine:
		r.flushField()
		r.strayLine(i)
	case syntax.EmptyLine, syntax.TextLine:
		r.flushField()
	}
}

// strayLine is a line of a header that is neither field nor remark.
func (r *reader) strayLine(i int) {
	start := r.file.Start(i)
	end := start + len(bytes.TrimRight(r.file.LineText(i), " \t\r\n"))
	if r.after == 'H' {
		r.loose(Span{start, end}, "A history over bare lines is outdated: begin this line with `+:`.")
		return
	}
	r.loose(Span{start, end},
		"This line of the header is neither a field nor a remark, and is left out. Begin it with a field such as `N:`, or with `%`.")
}

// finish closes what is still open when the tune ends.
func (r *reader) finish() {
	r.flushField()
	if r.trail != nil {
		r.trail.read = slices.Clone(r.tune.Problems)
		if r.body && r.canEnd() {
			r.trail.marks = append(r.trail.marks, r.mark(r.block.End-r.block.First))
		}
		r.trail.lines = r.block.End - r.block.First
		r.tune.trail = r.trail
	}
	for _, v := range r.voices {
		v.end(r)
	}
	if r.sink == nil {
		r.settleBars()
	}
	r.tune.long = r.long
	r.tune.Voices = r.tune.Voices[:0]
	for _, v := range r.voices {
		r.tune.Voices = append(r.tune.Voices, v.out)
	}
	if r.sink != nil {
		return
	}
	r.tune.Staves = r.staves()
	r.checks()
}
