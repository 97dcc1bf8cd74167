package rules

import "context"

// Local is what the music of a section decides, whatever lies beyond what is read with
// it. It holds nothing of the score or of the part that was read.
type Local struct {
	Found []Finding // those that begin in the section; others may be among them
	rows  [2]handRows
}

// local asks the rules that need no more than a section and the music beside it. Its
// only error is the context's.
func (p *Part) local(ctx context.Context) (l Local, err error) {
	for _, r := range All() {
		if err := ctx.Err(); err != nil {
			return l, err
		}
		if r.Check != nil {
			l.Found = append(l.Found, r.Check(p)...)
		}
		if r.Whole != nil && r.Fingered {
			l.Found = append(l.Found, afar(r.Whole(p))...)
		}
	}
	l.rows = p.rows()
	return l, ctx.Err()
}
