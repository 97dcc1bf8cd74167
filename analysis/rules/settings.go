package rules

import (
	"maps"

	"fourfold/analysis/harp"
)

// Settings are what a user can choose. The zero value is not useful; start
// from Defaults. What Set changes lies on top of the named hand and instrument,
// in whatever order it comes.
type Settings struct {
	Tempo        float64 // quarters a minute that replace every Q:, 0 for the score's own
	DefaultTempo float64 // quarters a minute where the score gives none
	Hand         harp.Hand
	Instrument   harp.Instrument
	Severity     map[string]Severity // by the name of a rule or of its group; Off hides it
	HintsOff     map[string]bool     // texts inside the lines that are not shown, by setting

	ontop   map[string]any  // numbers of the hand and parts of the instrument, by setting
	pinned  map[string]bool // settings that a line in the score cannot change
	memory  *Memory         // nil for none
	section int             // bars of a section of a long tune; 0 for the usual, -1 to read any tune as one
}

// Defaults are a concert pedal harp and a typical adult hand.
func Defaults() Settings {
	return Settings{DefaultTempo: 90, Hand: harp.Standard(), Instrument: harp.Concert()}
}

// Set changes one setting by its name (see SettingKeys). The value is a float64,
// a string or a []string. The error says what is allowed there, as the end of a
// sentence; the settings are then unchanged.
func (s *Settings) Set(name string, value any) error {
	key, err := settingKey(name)
	if err != nil {
		return err
	}
	if err := key.allows(value); err != nil {
		return err
	}
	return key.put(s, value)
}

// SetText is Set with the value as text, as a line in a score or a flag gives it;
// the parts of a list stand between commas.
func (s *Settings) SetText(name, text string) error {
	key, err := settingKey(name)
	if err != nil {
		return err
	}
	value, err := key.read(text)
	if err != nil {
		return err
	}
	if err := key.allows(value); err != nil {
		return err
	}
	return key.put(s, value)
}

// Pin keeps a setting as it is now, whatever a line in the score says.
func (s *Settings) Pin(name string) {
	s.pinned = with(s.pinned, name, true)
}

// with is the map with one entry more; the map itself stays, as others hold it.
func with[V any](m map[string]V, key string, value V) map[string]V {
	out := maps.Clone(m)
	if out == nil {
		out = map[string]V{}
	}
	out[key] = value
	return out
}
