package score

import (
	"fmt"
	"strings"
)

// Where each field may stand: f file header, h tune header, b body, i inline.
var places = map[byte]string{
	'A': "fh", 'B': "fh", 'C': "fh", 'D': "fh", 'F': "fh", 'G': "fh", 'H': "fh", 'I': "fhbi", 'K': "hbi",
	'L': "fhbi", 'M': "fhbi", 'm': "fhbi", 'N': "fhbi", 'O': "fh", 'P': "hbi", 'Q': "hbi", 'R': "fhbi",
	'r': "fhbi", 'S': "fh", 's': "b", 'T': "hb", 'U': "fhbi", 'V': "hbi", 'W': "hb", 'w': "b", 'X': "h",
	'Z': "fh", '+': "fhb",
}

// checkPlace reports a field that may not stand where it does, or that the
// standard does not know.
//
// It is false for a field that cannot act there.
func (r *reader) checkPlace(f field, inline bool) bool {
	here, where := byte('h'), "in the header of a tune"
	switch {
	case inline:
		here, where = 'i', "inside a line of music"
	case r.body:
		here, where = 'b', "in the body of a tune"
	case r.inFile:
		here, where = 'f', "in the file header"
	}
	name := fmt.Sprintf("`%c:`", f.code)
	allowed, known := places[f.code]
	switch {
	case f.code == 'E':
		r.loose(f.span, "`E:` is outdated and left out.")
	case f.code == 'd':
		r.loose(f.span, "`d:` is an extension for lines of decorations and is left out: the standard writes `s:`.")
	case !known:
		r.problem(RuleField, f.span, name+" is no field of the standard; the line is left out, never read as music.")
	case strings.IndexByte(allowed, here) < 0:
		r.problem(RuleField, f.span, name+" may not stand "+where+".")
		return here != 'f'
	}
	return true
}
