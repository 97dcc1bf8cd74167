package main

import (
	"sort"
	"unicode/utf8"
)

// lines finds the line and column of byte offsets. Lines end with \n, \r\n or a
// lone \r; both counts are from 1, columns in code points. A byte that is not
// UTF-8 counts as one.
type lines struct {
	text   []byte
	starts []int
}

func newLines(text []byte) *lines {
	l := &lines{text: text, starts: []int{0}}
	for i, b := range text {
		if b == '\n' || b == '\r' && (i+1 == len(text) || text[i+1] != '\n') {
			l.starts = append(l.starts, i+1)
		}
	}
	return l
}

// at gives the line and column of an offset; beyond the text, its end.
func (l *lines) at(offset int) (line, column int) {
	offset = max(0, min(offset, len(l.text)))
	i := sort.Search(len(l.starts), func(i int) bool { return l.starts[i] > offset }) - 1
	return i + 1, utf8.RuneCount(l.text[l.starts[i]:offset]) + 1
}

// line gives the text of a line without its end.
func (l *lines) line(number int) []byte {
	start, end := l.starts[number-1], len(l.text)
	if number < len(l.starts) {
		end = l.starts[number]
	}
	for end > start && (l.text[end-1] == '\n' || l.text[end-1] == '\r') {
		end--
	}
	return l.text[start:end]
}
