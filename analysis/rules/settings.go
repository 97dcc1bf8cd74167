package rules

import "fourfold/analysis/harp"

// Settings are what a user can choose. The zero value is not useful; start
// from Defaults.
type Settings struct {
	Tempo        float64 // quarters a minute that replace every Q:, 0 for the score's own
	DefaultTempo float64 // quarters a minute where the score gives none
	Hand         harp.Hand
	Instrument   harp.Instrument
	Severity     map[string]Severity // by rule name; Off hides a rule
}

// Defaults are a concert pedal harp and a typical adult hand.
func Defaults() Settings {
	return Settings{DefaultTempo: 90, Hand: harp.Standard(), Instrument: harp.Concert()}
}
