package score

import "strings"

// instruct acts on an I: field or a %% line.
func (r *reader) instruct(name, value string, span Span) {
	switch name {
	case "fourfold":
		r.tune.Settings = append(r.tune.Settings, Setting{value, span})
	case "score", "staves":
		r.setLayout(name, value, span)
	case "propagate-accidentals":
		switch strings.ToLower(value) {
		case "not":
			r.env.propagate = toNone
		case "octave":
			r.env.propagate = toOctave
		case "pitch":
			r.env.propagate = toPitch
		}
	case "abc-include":
		r.problem(RuleLoose, span, "`abc-include` names another file, and only this one is read: what `"+value+"` sets is not known here. Copy its fields into this file.")
	case "abc-charset":
		r.env.charset = strings.ToLower(value)
	}
}
