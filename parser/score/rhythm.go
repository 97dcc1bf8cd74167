package score

import (
	"fmt"
	"strconv"
	"strings"
)

// tuplet counts how many notes of the running tuplet are still to come.
type tuplet struct {
	p, q, r int
	left    int
	id      int // in its bar
	span    Span
	cut     bool // that a bar line cut it has been said
	outer   *tuplet
}

func (t *tuplet) cutMessage() string {
	return fmt.Sprintf("The tuplet of %d is cut by the bar line: this bar lacks %d of its %d notes.", t.p, t.left, t.r)
}

func (t *tuplet) shortMessage() string {
	return fmt.Sprintf("The tuplet of %d lacks %d of its %d notes.", t.p, t.left, t.r)
}

const maxTuplet = 1000

// startTuplet reads (p:q:r.
func (v *voice) startTuplet(r *reader, text string, span Span) {
	parts := strings.Split(text[1:], ":")
	num := func(i int) int {
		if i >= len(parts) || parts[i] == "" {
			return 0
		}
		n, err := strconv.Atoi(parts[i])
		if err != nil || n > maxTuplet {
			return maxTuplet + 1
		}
		return n
	}
	p, q, n := num(0), num(1), num(2)
	if p < 1 || p > maxTuplet || q > maxTuplet || n > maxTuplet || q == 0 && (p < 2 || p > 9) {
		r.problem(RuleTuplet, span, "`"+text+"` is no tuplet that can be counted: `(3` to `(9` stand alone, others say how many notes they take the time of, as in `(10:8`.")
		return
	}
	var outer *tuplet
	switch t := v.tuplet; {
	case t.left == 0:
	case t.left == t.r && t.outer == nil:
		outer = &t // (7:8:8(3ABC … : one begins inside another, an extension
	default:
		r.problem(RuleTuplet, t.span, t.shortMessage())
	}
	if q == 0 {
		q = usualTime(p, v.meter.Compound)
	}
	if n == 0 {
		n = p
	}
	v.tuplets++
	v.tuplet = tuplet{p: p, q: q, r: n, left: n, id: v.tuplets, span: span, outer: outer}
}

// usualTime is how many notes of its kind a tuplet of p takes the time of.
func usualTime(p int, compound bool) int {
	switch p {
	case 2, 4, 8:
		return 3
	case 3, 6:
		return 2
	}
	if compound {
		return 3
	}
	return 2
}

// factor is what the running tuplet does to a length.
func (v *voice) factor() Frac {
	f := Frac{1, 1}
	if v.tuplet.left > 0 {
		f = F(int64(v.tuplet.q), int64(v.tuplet.p))
		if o := v.tuplet.outer; o != nil {
			f = f.Mul(F(int64(o.q), int64(o.p)))
		}
	}
	return f
}

// count takes one note off the running tuplet, and off the one around it.
func (v *voice) count() {
	v.tuplet.left--
	if o := v.tuplet.outer; o != nil {
		if o.left--; v.tuplet.left == 0 || o.left == 0 {
			v.tuplet = *o
		}
	}
}

// breakRhythm dots the event before a > and leaves the other factor for the
// next; < the other way round.
func (v *voice) breakRhythm(r *reader, text string, span Span) {
	if v.last < 0 || v.broken.Valid() {
		r.problem(RuleBroken, span, "`"+text+"` has no note before it in the bar to lengthen or shorten.")
		return
	}
	short := F(1, int64(1)<<len(text))
	long := F(2, 1).Sub(short)
	left, right := long, short
	if text[0] == '<' {
		left, right = short, long
	}
	e := &v.events[v.last]
	v.scale(e, left)
	e.Broken = true
	v.broken, v.brokenSpan = right, span
}

// scale changes the last event's length.
func (v *voice) scale(e *Event, f Frac) {
	if d := e.Duration.Mul(f); d.Valid() {
		e.Duration = d
	}
	for i := range e.Notes {
		if d := e.Notes[i].Duration.Mul(f); d.Valid() {
			e.Notes[i].Duration = d
		}
	}
	v.pos = sum(e.Onset, e.Duration)
}

// unbreak takes back a broken rhythm that finds no second note.
func (v *voice) unbreak() {
	if v.last >= 0 {
		v.scale(&v.events[v.last], F(1, 1).Div(F(2, 1).Sub(v.broken)))
		v.events[v.last].Broken = false
	}
	v.broken = Frac{}
}

const (
	maxLength  = 1 << 12 // times the unit
	finestPart = 1 << 12 // of the unit
)

// parseLength reads the length behind a note: 3, 3/2, /, //, /4. It is false
// where the text is no length; what can be read of it is given all the same.
func parseLength(text string) (Frac, bool) {
	if len(text) == 1 && text[0] >= '1' && text[0] <= '9' {
		return Frac{int64(text[0] - '0'), 1}, true
	}
	num, rest, found := strings.Cut(text, "/")
	n, ok := 1, true
	if num != "" {
		n, ok = smallInt(num)
	}
	if !found {
		return F(int64(n), 1), ok
	}
	d := 2
	slashes := 0
	for strings.HasPrefix(rest, "/") {
		rest = rest[1:]
		slashes++
		if d < finestPart {
			d *= 2
		} else {
			ok = false
		}
	}
	if rest != "" {
		digits := strings.IndexByte(rest, '/')
		if digits >= 0 {
			rest, ok = rest[:digits], false
		}
		m, good := smallInt(rest)
		if slashes > 0 {
			ok = false
		} else {
			d, ok = m, ok && good
		}
	}
	return F(int64(n), int64(d)), ok
}

// smallInt reads a number that a length may hold; 1 stands for any other.
func smallInt(s string) (int, bool) {
	n, err := strconv.Atoi(s)
	if err != nil || n < 1 || n > maxLength {
		return 1, false
	}
	return n, true
}
