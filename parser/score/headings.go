package score

import (
	"strings"

	"fourfold/parser/syntax"
)

// Heading is how a tune of a file begins.
type Heading struct {
	Number string // the text of X:
	Title  string // the first T:; "" where there is none
	Span   Span   // of the file: the tune's first line, without its end
}

// Headings lists the tunes of a file. It reads no music.
func Headings(f *syntax.File) (list []Heading) {
	for _, b := range f.Blocks() {
		if b.Kind != syntax.TuneBlock {
			continue
		}
		start := f.Start(b.First)
		h := Heading{Span: Span{start, start + len(strings.TrimRight(string(f.LineText(b.First)), "\r\n"))}}
		for i := b.First; i < b.End && (h.Number == "" || h.Title == ""); i++ {
			l := f.Line(i)
			if l.Kind != syntax.FieldLine || l.Zone != syntax.TuneHeader {
				continue
			}
			value, _ := leafText(l, f.LineText(i), syntax.FieldText)
			switch l.Field {
			case 'X':
				h.Number = strings.TrimSpace(value)
			case 'T':
				if h.Title == "" {
					h.Title = strings.TrimSpace(plainText(value, newEnv().charset))
				}
			}
		}
		list = append(list, h)
	}
	return list
}
