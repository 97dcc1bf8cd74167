package score

import (
	"bufio"
	"io"
	"strconv"

	"fourfold/parser/syntax"
)

// SoundingNote is one note as it sounds: ties joined, graces and rests left
// out. Onset and Duration are in whole notes, the onset from the start of the
// voice in written order.
type SoundingNote struct {
	Tune, Voice string
	Bar         int
	Onset       Frac
	Duration    Frac
	Pitch       string // "C#5", "C##5", "Bb4"
	Midi        int
}

// Notes lists the sounding notes of a tune: by onset, then by voice in the
// order of the voices, then as written.
func Notes(t *Tune) []SoundingNote {
	l := newNoteList()
	for _, v := range t.Voices {
		nv := l.voice(v.ID)
		for i, b := range v.Bars() {
			nv.add(l, i+1, b.Events())
			nv.end(l, i+1, b.Length)
		}
	}
	var out []SoundingNote
	l.each(t, func(n SoundingNote) { out = append(out, n) })
	return out
}

// WriteNotes prints the sounding notes of a text as JSON lines. It keeps
// neither tree nor score, only one tune's notes in six bytes each, so that a
// large file needs little memory.
func WriteNotes(text []byte, w io.Writer) error {
	p := notePrinter{out: bufio.NewWriterSize(w, 1<<14), list: newNoteList()}
	p.file = &fileReader{env: newEnv(), maxRest: restAllowance(1)}
	syntax.Pieces(text, p.piece)
	return p.out.Flush()
}

// notePrinter reads a file piece by piece and prints each tune when it ends.
type notePrinter struct {
	out  *bufio.Writer
	list *noteList
	file *fileReader
	tune *reader // the tune being read
	line []byte
}

func (p *notePrinter) piece(f *syntax.File, more bool) {
	p.file.file = f
	for _, b := range f.Blocks() {
		switch b.Kind {
		case syntax.FileHeaderBlock:
			p.file.readHeader(b, p.list)
		case syntax.TuneBlock:
			if p.tune == nil {
				p.tune = p.file.reader(&Tune{}, p.list)
			}
			p.tune.lines(b)
			if !more {
				p.print()
			}
		}
	}
}

func (p *notePrinter) print() {
	p.tune.finish()
	p.list.each(p.tune.tune, func(n SoundingNote) {
		p.line = n.appendJSON(p.line[:0])
		p.out.Write(append(p.line, '\n'))
	})
	p.list.clear()
	p.tune = nil
}

func (n *SoundingNote) appendJSON(b []byte) []byte {
	b = append(b, `{"tune":`...)
	b = appendString(b, n.Tune)
	b = append(b, `,"voice":`...)
	b = appendString(b, n.Voice)
	b = append(b, `,"bar":`...)
	b = strconv.AppendInt(b, int64(n.Bar), 10)
	b = append(b, `,"onset":"`...)
	b = n.Onset.Append(b)
	b = append(b, `","duration":"`...)
	b = n.Duration.Append(b)
	b = append(b, `","pitch":"`...)
	b = append(b, n.Pitch...)
	b = append(b, `","midi":`...)
	b = strconv.AppendInt(b, int64(n.Midi), 10)
	return append(b, '}')
}

// appendString writes a JSON string. Bytes that are no UTF-8 become U+FFFD.
func appendString(b []byte, s string) []byte {
	const hex = "0123456789abcdef"
	b = append(b, '"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b = append(b, '\\', byte(r))
		case r < ' ':
			b = append(b, '\\', 'u', '0', '0', hex[r>>4], hex[r&15])
		default:
			b = append(b, string(r)...)
		}
	}
	return append(b, '"')
}
