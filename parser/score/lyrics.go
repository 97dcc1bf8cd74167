package score

import (
	"fmt"
	"strings"
)

// wordPlace is how far the w: or s: lines of a voice have come.
type wordPlace struct {
	at    eventPlace // the note that the next line starts at
	start eventPlace // where the line before started
	lines int        // lines of music read when the line before came
}

// eventPlace is a bar by its number and an event in it.
type eventPlace struct{ bar, event int }

// begin gives the place where a line starts: lines that follow one another
// without music between are verses on the same notes.
func (p *wordPlace) begin(lines int) eventPlace {
	if p.at.bar == 0 {
		p.at.bar = 1
	}
	if p.lines == lines && p.start.bar > 0 {
		return p.start
	}
	p.start, p.lines = p.at, lines
	return p.at
}

func (p *wordPlace) done(at eventPlace) {
	if at.bar > p.at.bar || at.bar == p.at.bar && at.event > p.at.event {
		p.at = at
	}
}

// eventsOf gives the events of a bar, the one in work included.
func (v *voice) eventsOf(bar int) []Event {
	switch {
	case bar == v.number:
		return v.events
	case bar <= v.out.list.n:
		return v.out.list.at(bar - 1).Events()
	}
	return nil
}

// nextSung finds the first note at or after a place; nil where there is none.
func (v *voice) nextSung(at eventPlace) (*Event, eventPlace) {
	for at.bar <= v.number {
		events := v.eventsOf(at.bar)
		for at.event < len(events) {
			if events[at.event].Kind == Sound {
				return &events[at.event], at
			}
			at.event++
		}
		if at.bar == v.number {
			break
		}
		at = eventPlace{at.bar + 1, 0}
	}
	return nil, at
}

// lyrics aligns a w: line with the notes and reports syllables beyond the last.
func (r *reader) lyrics(f field) {
	v := r.current()
	if r.sink != nil {
		return
	}
	at := v.words.begin(r.music)
	sung, over := 0, 0
	for _, s := range syllables(f.text) {
		if s == "|" {
			if sung > 0 || at.event > 0 {
				at = eventPlace{at.bar + 1, 0}
			}
			sung = 0
			continue
		}
		e, place := v.nextSung(at)
		if e == nil {
			if s != "*" && s != "_" {
				over++
			}
			continue
		}
		at = eventPlace{place.bar, place.event + 1}
		sung++
	}
	v.words.done(at)
	if over > 0 {
		r.problem(RuleLyrics, f.span, fmt.Sprintf("This line has %d more %s than there are notes: what is over is left out.", over, plural(over, "syllable")))
	}
}

func plural(n int, word string) string {
	if n == 1 {
		return word
	}
	return word + "s"
}

// syllables cuts a w: text: a syllable a note, "*" and "_" for a note without a
// new one, "|" for the next bar. A first word that begins with a digit is a
// verse number.
func syllables(text string) []string {
	var out []string
	var word strings.Builder
	flush := func() {
		if word.Len() > 0 {
			out = append(out, word.String())
			word.Reset()
		}
	}
	dash := false // the last sign was a hyphen
	for i := 0; i < len(text); i++ {
		c := text[i]
		switch c {
		case ' ', '\t':
			if word.Len() > 0 && len(out) == 0 && isDigitByte(word.String()[0]) {
				word.Reset()
			}
			flush()
			dash = false
			continue
		case '-':
			if word.Len() == 0 {
				if dash || len(out) > 0 {
					out = append(out, "*")
				}
			} else {
				flush()
			}
			dash = true
			continue
		case '_', '*', '|':
			flush()
			out = append(out, string(c))
		case '\\':
			if i+1 < len(text) && text[i+1] == '-' {
				i++
			}
			word.WriteByte(text[i])
		default:
			word.WriteByte(c)
		}
		dash = false
	}
	flush()
	return out
}

// symbolLine gives the notes the decorations, chord symbols and annotations of
// an s: line.
func (r *reader) symbolLine(f field) {
	v := r.current()
	if r.sink != nil {
		return
	}
	at := v.symbols.begin(r.music)
	for i := 0; i < len(f.text); {
		c := f.text[i]
		n := 1
		switch c {
		case '!', '"', '+':
			if j := strings.IndexByte(f.text[i+1:], c); j >= 0 {
				n = j + 2
			} else {
				r.problem(RuleUnclosed, Span{f.span.Start + i, f.span.End}, "`"+string(c)+"` is never closed on this line.")
				n = len(f.text) - i
				i += n
				continue
			}
			e, place := v.nextSung(at)
			if e != nil {
				if place.bar != v.number {
					e = &v.change(r, place.bar).body.events[place.event]
				}
				e.Marks = append(e.Marks, r.lineMark(f.text[i:i+n], v.relTo(place.bar, Span{f.span.Start + i, f.span.Start + i + n})))
				at = eventPlace{place.bar, place.event + 1}
			}
		case '*':
			if e, place := v.nextSung(at); e != nil {
				at = eventPlace{place.bar, place.event + 1}
			}
		case '|':
			at = eventPlace{at.bar + 1, 0}
		}
		i += n
	}
	v.symbols.done(at)
}

func (v *voice) relTo(bar int, s Span) Span {
	if bar == v.number {
		return v.rel(s)
	}
	return s.Shift(-v.out.list.start(bar - 1))
}

// lineMark reads one item of an s: line; its span is the bar's.
func (r *reader) lineMark(item string, span Span) Mark {
	if item[0] == '"' {
		return r.quoted(item[1:len(item)-1], span)
	}
	return Mark{Kind: Decoration, Text: item[1 : len(item)-1], Span: span}
}
