package score

import "fmt"

// repeated hints at an accidental that says what is in force already: on the
// same string earlier in the bar, or in the key where nothing in this bar or
// the one before has altered the letter.
func (v *voice) repeated(r *reader, place, letter, str, alter int, w *written) {
	if r.sink != nil || r.env.propagate == toNone || w.expanded {
		return
	}
	reason := ""
	for _, a := range v.acc {
		if a.place%7 == letter && a.place != place || a.place == place && (a.str != str || a.alter != alter) {
			return
		}
		if a.place == place {
			reason = "an accidental earlier in the bar has set it"
		}
	}
	if reason == "" {
		if int(v.key.Sign[letter]) != alter || v.before&(1<<letter) != 0 {
			return
		}
		reason = "the key has set it"
	}
	span := Span{w.head.Start, w.head.Start + len(w.accidental)}
	r.problem(RuleAccidental, span,
		fmt.Sprintf("`%s` repeats what is in force: %s is %s here, %s.", w.accidental, letters[letter:letter+1], altered(alter), reason),
		replace("Delete `"+w.accidental+"`", span, ""))
}

func altered(alter int) string {
	switch alter {
	case -2:
		return "double flat"
	case -1:
		return "flat"
	case 1:
		return "sharp"
	case 2:
		return "double sharp"
	}
	return "natural"
}

// accidentals gives the letters that bear one in the bar, a bit each.
func (v *voice) accidentals() uint8 {
	bits := uint8(0)
	for _, a := range v.acc {
		_, letter := floorDiv(a.str, 7)
		bits |= 1 << letter
	}
	return bits
}
