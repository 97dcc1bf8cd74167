package rules

import (
	"strings"

	"fourfold/parser/score"
)

// RunAsWritten reads the harp parts of one tune without asking how the hands
// could help each other, which takes most of the time of RunTune. It finds the
// same but for two things: what the other hand's help would make a hint keeps its
// severity, and Played is the staves as written. The settings are those of a
// Part: what the tune itself sets is in them already.
func RunAsWritten(text []byte, t *score.Tune, set Settings) (parts []*Part, findings []Finding) {
	return RunSome(text, t, set, func(string) bool { return true })
}

// FeetPart reads the staves of a player for the feet alone: there are strokes and pedals,
// and no fingering.
func FeetPart(text []byte, t *score.Tune, player Player, set Settings) *Part {
	return feetPart(&Part{Player: player, Tune: t, Settings: set, text: text, workers: 1})
}

func feetPart(p *Part) *Part {
	p.readHands(plainHand)
	p.play(nil)
	p.Pedals = p.findPedals()
	return p
}

// RunFeet is RunSome with the rules alone that need no fingering: of the feet, strings,
// levers and marks. The notation is left out.
func RunFeet(text []byte, t *score.Tune, set Settings, wanted func(rule string) bool) (findings []Finding) {
	for _, player := range Players(t) {
		p := feetPart(&Part{Player: player, Tune: t, Settings: set, text: text, workers: 1, spelt: !asksSpelling(wanted)})
		for _, rule := range All() {
			if !strings.HasPrefix(rule.Name, "hands/") && wanted(rule.Name) {
				findings = append(findings, rule.find(p)...)
			}
		}
	}
	return findings
}

// asksSpelling says whether one of the rules has to know which passages another spelling
// would make easier.
func asksSpelling(wanted func(rule string) bool) bool {
	return wanted(cheaperSpellingName) || wanted(crowdedName) || wanted(whileRingingName)
}

// RunSome is RunAsWritten with the rules alone that are wanted by name, and all of the
// notation.
func RunSome(text []byte, t *score.Tune, set Settings, wanted func(rule string) bool) (parts []*Part, findings []Finding) {
	findings = notation(t.Number, t.Problems)
	for _, player := range Players(t) {
		p := readStaves(text, t, player, set)
		p.spelt = !asksSpelling(wanted)
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
