package rules

import "fourfold/parser/score"

// RunAsWritten reads the harp parts of one tune without asking how the hands
// could help each other, which takes most of the time of RunTune. It finds the
// same but for two things: what the other hand's help would make a hint keeps its
// severity, and Played is the staves as written. The settings are those of a
// Part: what the tune itself sets is in them already.
func RunAsWritten(text []byte, t *score.Tune, set Settings) (parts []*Part, findings []Finding) {
	return RunSome(text, t, set, func(string) bool { return true })
}

// RunSome is RunAsWritten with the rules alone that are wanted by name, and all of the
// notation.
func RunSome(text []byte, t *score.Tune, set Settings, wanted func(rule string) bool) (parts []*Part, findings []Finding) {
	findings = notation(t.Number, t.Problems)
	for _, player := range Players(t) {
		p := readStaves(text, t, player, set)
		p.play(nil)
		p.findRest()
		parts = append(parts, p)
		for _, rule := range All() {
			if wanted(rule.Name) {
				findings = append(findings, rule.find(p)...)
			}
		}
	}
	return parts, findings
}
