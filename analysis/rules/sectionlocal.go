package rules

import "context"

// Local is what the music of a section decides, whatever came before it. It holds
// nothing of the score or of the part that was read.
type Local struct {
	Found []Finding // those that begin in the section; others may be among them
}

// local asks the rules that need no more than a section and the music beside it.
func (p *Part) local(ctx context.Context) (l Local, err error) {
	for _, r := range All() {
		if err := ctx.Err(); err != nil {
			return l, err
		}
		if r.Check != nil {
			l.Found = append(l.Found, r.Check(p)...)
		}
		if r.Whole != nil && needsHandsOnly(r.Name) {
			l.Found = append(l.Found, afar(r.Whole(p))...)
		}
	}
	return l, nil
}

// needsHandsOnly says whether a rule that looks at more than two bars needs no feet
// and no repeats.
func needsHandsOnly(rule string) bool {
	switch rule {
	case tiringName, tightName, sharedStringName, bisbigliandoName, dampsName:
		return true
	}
	return false
}
