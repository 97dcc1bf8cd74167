package rules

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"fourfold/analysis/harp"
)

// SettingKey is one thing that a user can set. It has the same name in every
// source: the flags, a line in the score, the folder's file and the editor.
type SettingKey struct {
	// Name is "hand", or "set.cycle" for an entry of the table "set". The entries
	// of the table "severity" are not listed one by one: their key is "severity.".
	Name  string
	About string
	Words []string // the words it may be, where there are few
	// Least and Most bound a number; Whole says that it has no fraction.
	Kind        SettingKind
	Least, Most float64
	Whole       bool
	Default     any

	put func(*Settings, any) error
}

// SettingKind is the shape of a value.
type SettingKind uint8

// The kinds: a float64, a string, a []string.
const (
	NumberSetting SettingKind = iota
	WordSetting
	ListSetting
)

// The tables among the settings.
const (
	severityTable = "severity."
	numberTable   = "set."
	hintsTable    = "hints."
)

// SettingKeys lists every setting, in the order of the docs.
func SettingKeys() []SettingKey {
	keys := []SettingKey{
		{Name: "hand", Kind: WordSetting, Words: handNamesKnown(), Default: harp.Standard().Name, put: putHand,
			About: "the hands that play: a typical adult hand, or one that does not reach a tenth"},
		{Name: "instrument", Kind: WordSetting, Words: instrumentNames(), Default: harp.Concert().Name, put: putInstrument,
			About: "the harp: its strings, its pedals or levers"},
		{Name: "lowest", Kind: WordSetting, put: onInstrument("lowest"),
			About: "the lowest string by name, C0 to B4, where it is not the named instrument's"},
		{Name: "highest", Kind: WordSetting, put: onInstrument("highest"),
			About: "the highest string by name, C5 to B9, where it is not the named instrument's"},
		{Name: "undisced", Kind: ListSetting, put: onInstrument("undisced"),
			About: "strings that neither pedal nor lever moves, by name; an empty list, or none, for no string"},
		{Name: "tuning", Kind: ListSetting, put: onInstrument("tuning"),
			About: "what a lever harp's strings sound with every lever down: the letters that are flat or sharp, as in Bb,Eb,Ab; none for C major; a pedal harp has none"},
		tempoKey("tempo", "quarter notes a minute that replace every Q:", nil, func(s *Settings) *float64 { return &s.Tempo }),
		tempoKey("defaultTempo", "quarter notes a minute where the score gives no number", Defaults().DefaultTempo,
			func(s *Settings) *float64 { return &s.DefaultTempo }),
		severityKey(severityTable),
		hintsKey(FingerHints, "a finger over each note: 1 is the thumb, 4 the ring finger"),
		hintsKey(PlacingHints, "a sign where a placing ends, the notes that a hand sets together"),
		hintsKey(HandHints, "which hand takes notes of the other one's staff"),
		hintsKey(PedalHints, "which pedals move for a note"),
	}
	for _, c := range harp.Constants() {
		keys = append(keys, numberKey(c))
	}
	return keys
}

// settingKey finds a setting by name.
func settingKey(name string) (SettingKey, error) {
	if rule, ok := strings.CutPrefix(name, severityTable); ok {
		if err := CheckRule(rule); err != nil {
			return SettingKey{}, err
		}
		return severityKey(name), nil
	}
	var names []string
	for _, k := range SettingKeys() {
		if k.Name == name {
			return k, nil
		}
		if !strings.Contains(k.Name, ".") {
			names = append(names, k.Name)
		}
	}
	if number, ok := strings.CutPrefix(name, numberTable); ok {
		return SettingKey{}, fmt.Errorf("there is no number `%s`%s", number, didYouMean(number, numberNames()))
	}
	switch {
	case name+"." == severityTable || name+"." == numberTable || name+"." == hintsTable:
		return SettingKey{}, fmt.Errorf("`%s` holds other settings: names stand under it, each with its value", name)
	case slices.Contains(numberNames(), name):
		return SettingKey{}, fmt.Errorf("`%s` is a number of the hand: it belongs under `set`", name)
	case CheckRule(name) == nil:
		return SettingKey{}, fmt.Errorf("`%s` names rules: it belongs under `severity`", name)
	}
	if name == "harp" { // as the option is called
		return SettingKey{}, fmt.Errorf("there is no setting `harp`; did you mean `instrument`?")
	}
	return SettingKey{}, fmt.Errorf("there is no setting `%s`%s", name, didYouMean(name, names))
}

// read turns text into a value of the key's kind.
func (k SettingKey) read(text string) (any, error) {
	switch k.Kind {
	case NumberSetting:
		v, err := strconv.ParseFloat(text, 64)
		if err != nil {
			return nil, errors.New(k.Allowed())
		}
		return v, nil
	case ListSetting:
		if text == "none" {
			return []string{}, nil
		}
		return strings.Split(text, ","), nil
	}
	return text, nil
}

// allows says what is wrong with the shape of a value, or its size.
func (k SettingKey) allows(value any) error {
	ok := false
	switch v := value.(type) {
	case float64:
		ok = k.Kind == NumberSetting && v >= k.Least && v <= k.Most && (!k.Whole || v == float64(int(v)))
	case string:
		ok = k.Kind == WordSetting && (k.Words == nil || slices.Contains(k.Words, v))
	case []string:
		ok = k.Kind == ListSetting
	}
	if !ok {
		return errors.New(k.Allowed())
	}
	return nil
}

// Allowed says in words what the value may be.
func (k SettingKey) Allowed() string {
	switch {
	case k.Kind == NumberSetting && k.Whole:
		return fmt.Sprintf("it must be a whole number from %g to %g", k.Least, k.Most)
	case k.Kind == NumberSetting:
		return fmt.Sprintf("it must be a number from %g to %g", k.Least, k.Most)
	case k.Words != nil:
		return "it must be one of: " + strings.Join(k.Words, ", ")
	case k.Name == "tuning":
		return "it must be letters with b or #, each once, as in Bb,Eb,Ab; or none"
	case k.Kind == ListSetting:
		return "it must be names of strings, as in C1,D1; or none"
	case k.Name == "lowest":
		return "it must be the name of a string from C0 to B4; middle C is C4"
	}
	return "it must be the name of a string from C5 to B9; middle C is C4"
}

// tempoKey is a setting in quarters a minute.
func tempoKey(name, about string, standard any, field func(*Settings) *float64) SettingKey {
	return SettingKey{Name: name, Kind: NumberSetting, Least: 1, Most: 1000, Default: standard, About: about,
		put: func(s *Settings, value any) error {
			*field(s) = value.(float64)
			return nil
		}}
}

// severityKey is the severity of the rule or group in the name.
func severityKey(name string) SettingKey {
	var words []string
	for s := Off; s <= Hint; s++ {
		words = append(words, s.String())
	}
	return SettingKey{Name: name, Kind: WordSetting, Words: words,
		About: "how much a rule (hands/turn) or a group of rules (hands) matters; off hides it",
		put: func(s *Settings, value any) error {
			severity, _ := SeverityNamed(value.(string))
			s.Severity = with(s.Severity, strings.TrimPrefix(name, severityTable), severity)
			return nil
		}}
}

// The texts that an editor shows inside the lines of a score, by setting.
const (
	FingerHints  = hintsTable + "fingers"
	PlacingHints = hintsTable + "placings"
	HandHints    = hintsTable + "hands"
	PedalHints   = hintsTable + "pedals"
)

// hintsKey switches one kind of text inside the lines on or off.
func hintsKey(name, about string) SettingKey {
	return SettingKey{Name: name, Kind: WordSetting, Words: []string{"on", "off"}, Default: "on", About: about + "; shown by the editor inside the line",
		put: func(s *Settings, value any) error {
			s.HintsOff = with(s.HintsOff, name, value == "off")
			return nil
		}}
}

// numberKey is one number of the hand.
func numberKey(c harp.Constant) SettingKey {
	return SettingKey{Name: numberTable + c.Name, Kind: NumberSetting, Most: c.Unit.Most(), Whole: c.Unit.Whole(), Default: c.Standard,
		About: fmt.Sprintf("%s (%s)", c.About, c.Unit),
		put: func(s *Settings, value any) error {
			if err := s.Hand.Set(c.Name, value.(float64)); err != nil {
				return err
			}
			s.ontop = with(s.ontop, numberTable+c.Name, value)
			return nil
		}}
}

// putHand takes another hand; numbers that were set stay set.
func putHand(s *Settings, value any) error {
	s.Hand, _ = harp.HandNamed(value.(string))
	for name, v := range s.ontop {
		if number, ok := strings.CutPrefix(name, numberTable); ok {
			if err := s.Hand.Set(number, v.(float64)); err != nil {
				return err
			}
		}
	}
	return nil
}

// SeverityNamed reads the word that settings and output use.
func SeverityNamed(word string) (Severity, bool) {
	for s := Off; s <= Hint; s++ {
		if s.String() == word {
			return s, true
		}
	}
	return Off, false
}

// CheckRule gives an error where neither a rule nor a group of rules has the name.
func CheckRule(name string) error {
	if slices.Contains(Names(), name) {
		return nil
	}
	return fmt.Errorf("there is no rule or group `%s`%s", name, didYouMean(name, Names()))
}

// Names are the rules and their groups ("hands/turn", "hands"), as the severities
// have them.
func Names() (names []string) {
	for _, r := range All() {
		group, _, _ := strings.Cut(r.Name, "/")
		if !slices.Contains(names, group) {
			names = append(names, group)
		}
		names = append(names, r.Name)
	}
	return names
}

func handNamesKnown() []string { return []string{harp.Standard().Name, harp.Small().Name} }

func instrumentNames() (names []string) {
	for _, i := range harp.Instruments() {
		names = append(names, i.Name)
	}
	return names
}

func numberNames() (names []string) {
	for _, c := range harp.Constants() {
		names = append(names, c.Name)
	}
	return names
}
