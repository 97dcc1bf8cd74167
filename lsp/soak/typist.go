package soak

import (
	"math/rand/v2"
	"strings"
	"unicode/utf8"

	"fourfold/lsp/lsptest"
)

// typist edits as people and tools do: mostly a key at a time, now and then a
// larger piece, an undo, or nonsense.
type typist struct {
	*rand.Rand
	scores []string // where pasted pieces come from
}

// keys are what is typed most; marks are what breaks a line in two, leaves
// something open or makes columns go wrong.
var (
	keys = strings.Split("C D E F G A B c d e f g a b c' C, z Z x 2 3 4 /2 /4 > < - | || |: :| [1 [2 ^ _ = ^^ . ~ ( ) (3 (5:4:5 & $ y ", " ")
	mark = []string{
		"\n", "\r\n", "\r", "%", "\\", "\n\n", "\n%\n", "[", "]", "{", "}", "!", "\"", "+",
		"[V:RH]", "[V:LH]", "[K:Eb]", "[M:3/4]", "[L:1/8]", "[Q:1/4=200]", "\nV:3\n", "\nK:F#m\n", "\nX:9\nT:é\nK:D\n",
		"\nQ:1/4=60\n", "\nM:C|\n", "\nw: la-la é *|\n", "\nP:AB\n", "\nm: ~n3 = o/n/m/\n", "\nU: T = !trill!\n",
		"\n%%score {RH LH}\n", "\n%%fourfold hand=small\n", "\n%%fourfold harp RH LH\n", "\n%%fourfold severity hands=off\n",
		"!arpeggio!", "!glissando(!", "!glissando)!", "\"^F♯\"", "\"_é🎵\"", "[CEGc]", "[C,E,G,C]2", "{gf}", "(CDE)", "!5!",
		"é", "♯", "🎵", "e\u0301", "\u2028", "\ufeff", "\x00", "\t",
	}
)

// edit gives one edit of a text; the texts before it may be gone back to.
func (r typist) edit(text string, before []string) []lsptest.TextEdit {
	switch n := r.IntN(100); {
	case n < 60: // a key, or a key for another
		at := r.place(text)
		end := at
		if r.IntN(2) == 0 {
			end = after(text, at)
		}
		return replace(text, at, end, keys[r.IntN(len(keys))])
	case n < 75: // backspace
		at := r.place(text)
		return replace(text, at, after(text, at), "")
	case n < 85:
		at := r.place(text)
		return replace(text, at, at, mark[r.IntN(len(mark))])
	case n < 90: // a line is cut or doubled
		from, to := lineAt(text, r.place(text))
		if r.IntN(2) == 0 {
			return replace(text, from, to, "")
		}
		return replace(text, to, to, text[from:to])
	case n < 93: // a piece of another score is pasted
		other := r.scores[r.IntN(len(r.scores))]
		from, _ := lineAt(other, r.place(other))
		piece := other[from:]
		for range r.IntN(6) {
			if i := strings.IndexByte(piece, '\n'); i >= 0 {
				piece = piece[i+1:]
			}
		}
		piece = other[from : len(other)-len(piece)]
		at, _ := lineAt(text, r.place(text))
		return replace(text, at, at, piece)
	case n < 95: // a selection is cut
		a, b := r.place(text), r.place(text)
		a, b = min(a, b), max(a, b)
		if b-a > 400 {
			b = boundary(text, a+400)
		}
		return replace(text, a, b, "")
	case n < 98 && len(before) > 0: // undo
		return change(text, before[r.IntN(len(before))])
	default: // several steps in one change, as tools make them
		var edits []lsptest.TextEdit
		for range 1 + r.IntN(4) {
			at := r.place(text)
			e := replace(text, at, after(text, at), keys[r.IntN(len(keys))])
			edits = append(edits, e...)
			text = text[:at] + e[0].NewText + text[after(text, at):]
		}
		return edits
	}
}

// place is the start of a random character.
func (r typist) place(text string) int { return boundary(text, r.IntN(len(text)+1)) }

// boundary goes back to the start of a character or line end.
func boundary(text string, i int) int {
	for i > 0 && i < len(text) && (!utf8.RuneStart(text[i]) || text[i] == '\n' && text[i-1] == '\r') {
		i--
	}
	return i
}

// after is the start of the next character; a line end is one.
func after(text string, i int) int {
	if strings.HasPrefix(text[i:], "\r\n") {
		return i + 2
	}
	_, n := utf8.DecodeRuneInString(text[i:])
	return i + n
}

// lineAt is the line that holds a byte, with its end.
func lineAt(text string, i int) (from, to int) {
	from = strings.LastIndexByte(text[:i], '\n') + 1
	if n := strings.IndexByte(text[i:], '\n'); n >= 0 {
		return from, i + n + 1
	}
	return from, len(text)
}

func replace(text string, from, to int, with string) []lsptest.TextEdit {
	return []lsptest.TextEdit{{NewText: with, Range: lsptest.Range{Start: lsptest.At(text, from), End: lsptest.At(text, to)}}}
}

// change replaces what differs between two texts.
func change(old, now string) []lsptest.TextEdit {
	head := 0
	for head < min(len(old), len(now)) && old[head] == now[head] {
		head++
	}
	head = min(boundary(old, head), boundary(now, head))
	tail := 0
	for tail < min(len(old), len(now))-head && old[len(old)-1-tail] == now[len(now)-1-tail] {
		tail++
	}
	for tail > 0 && (boundary(old, len(old)-tail) != len(old)-tail || boundary(now, len(now)-tail) != len(now)-tail) {
		tail--
	}
	return replace(old, head, len(old)-tail, now[head:len(now)-tail])
}
