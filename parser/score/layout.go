package score

import "strings"

// layout is %%score or %%staves as written.
type layout struct {
	staves []Staff
	span   Span
	names  []named
}

// last is the last place that the layout names.
func (l *layout) last() int {
	last := l.span.Start
	for _, n := range l.names {
		last = max(last, n.span.Start)
	}
	return last
}

type named struct {
	id   string
	span Span
}

// setLayout reads %%score. In the body it resets the layout; the tune's staves
// are those of the first one, and later ones add voices that it lacks.
func (r *reader) setLayout(name, value string, span Span) {
	if r.sink != nil {
		return
	}
	l := parseLayout(value, span)
	if !r.body || r.env.layout == nil {
		r.env.layout = l
		return
	}
	known := map[string]bool{}
	for _, s := range r.env.layout.staves {
		for _, id := range s.Voices {
			known[id] = true
		}
	}
	joined := &layout{staves: r.env.layout.staves, span: span, names: append(r.env.layout.names[:len(r.env.layout.names):len(r.env.layout.names)], l.names...)}
	for _, s := range l.staves {
		if !known[s.Voices[0]] {
			joined.staves = append(joined.staves[:len(joined.staves):len(joined.staves)], s)
		}
	}
	r.env.layout = joined
}

// parseLayout reads ids, ( ) for one staff, { } for a brace, [ ] for a
// bracket, | and * .
func parseLayout(value string, span Span) *layout {
	l := &layout{span: span}
	brace, braces, inBrace := 0, 0, false
	staff := -1 // the staff that ( opened
	for i := 0; i < len(value); {
		switch c := value[i]; c {
		case '{':
			if !inBrace {
				braces++
				inBrace, brace = true, braces
			}
		case '}':
			inBrace, brace = false, 0
		case '(':
			l.staves = append(l.staves, Staff{Brace: brace})
			staff = len(l.staves) - 1
		case ')':
			staff = -1
		case '[', ']', '|', '*', ' ', '\t', ',':
		default:
			end := i
			for end < len(value) && strings.IndexByte("{}()[]|* \t,", value[end]) < 0 {
				end++
			}
			id := value[i:end]
			l.names = append(l.names, named{id, Span{span.Start + i, span.Start + end}})
			if staff >= 0 {
				l.staves[staff].Voices = append(l.staves[staff].Voices, id)
			} else {
				l.staves = append(l.staves, Staff{Voices: []string{id}, Brace: brace})
			}
			i = end
			continue
		}
		i++
	}
	kept := l.staves[:0]
	for _, s := range l.staves {
		if len(s.Voices) > 0 {
			kept = append(kept, s)
		}
	}
	l.staves = kept
	return l
}

// staves gives the printed staves: as %%score says, else one a voice.
func (r *reader) staves() []Staff {
	if r.env.layout != nil && len(r.env.layout.staves) > 0 {
		return r.env.layout.staves
	}
	var out []Staff
	for _, v := range r.voices {
		out = append(out, Staff{Voices: []string{v.out.ID}})
	}
	return out
}
