package score

import (
	"strconv"
	"strings"
)

// instruct acts on an I: field or a %% line.
func (r *reader) instruct(name, value string, span Span) {
	switch name {
	case "fourfold":
		r.tune.Settings = append(r.tune.Settings, Setting{value, span})
	case "score", "staves":
		r.setLayout(name, value, span)
	case "staff":
		r.moveStaff(value)
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

// moveStaff writes what follows in the current voice into another staff: by its number,
// or by so many staves up or down.
func (r *reader) moveStaff(value string) {
	n, err := strconv.Atoi(value)
	if err != nil || n < -maxVoices || n > maxVoices {
		return
	}
	v := r.current()
	if strings.HasPrefix(value, "+") || n < 0 {
		v.staff.By += n
		return
	}
	v.staff = StaffMove{To: n}
}
