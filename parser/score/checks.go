package score

// checks are those that need the whole tune.
func (r *reader) checks() {
	r.voice = nil
	r.checkBars()
	r.checkVoices()
	r.checkSlurs()
	r.checkLayout()
	sortProblems(r.tune.Problems)
}

// checkLayout reports voices that %%score names and the tune does not have.
func (r *reader) checkLayout() {
	if r.env.layout == nil {
		return
	}
	for _, n := range r.env.layout.names {
		if _, ok := r.byID[n.id]; !ok {
			r.problemAt(RuleScoreVoice, n.id, 0, n.span, "`"+n.id+"` is named here, and the tune has no voice `V:"+n.id+"`.")
		}
	}
}
