package score

import "strings"

// checks are those that need the whole tune.
func (r *reader) checks() {
	r.voice = nil
	r.checkBars()
	r.checkVoices()
	r.checkSlurs()
	r.checkLayout()
	r.checkDeclared()
	sortProblems(r.tune.Problems)
}

// checkLayout reports voices that %%score names and the tune does not have.
func (r *reader) checkLayout() {
	if r.env.layout == nil {
		return
	}
	for _, n := range r.env.layout.names {
		if _, ok := r.byID[n.id]; !ok {
			var fixes []TextFix
			for _, v := range r.voices {
				if strings.EqualFold(v.out.ID, n.id) {
					fixes = append(fixes, replace("Write `"+v.out.ID+"`", n.span, v.out.ID))
				}
			}
			r.problemAt(RuleScoreVoice, n.id, 0, n.span, "`"+n.id+"` is named here, and the tune has no voice `V:"+n.id+"`.", fixes...)
		}
	}
}

// checkDeclared reports voices that the body uses and the header does not
// declare, where it declares others.
func (r *reader) checkDeclared() {
	for _, v := range r.voices {
		if v.undeclared == (Span{}) {
			continue
		}
		r.problemAt(RuleVoice, v.out.ID, 1, v.undeclared,
			"The header declares voices, and `"+v.out.ID+"` is not one of them: add a line `V:"+v.out.ID+"` before `K:`, or correct the name.")
	}
}
