package lsp

import (
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"go.lsp.dev/protocol"
	"go.uber.org/zap"

	"fourfold/analysis/harp"
	"fourfold/analysis/rules"

	wire "fourfold/lsp/protocol"
)

// section is where an editor keeps the settings of this server.
const section = "fourfold"

// A setting reads one value; its error says what would be right.
type setting func(json.RawMessage, *rules.Settings) error

// settingsByKey are all settings by their names in the editor.
func settingsByKey() map[string]setting {
	return map[string]setting{
		"tempo":        tempoSetting(func(set *rules.Settings, v float64) { set.Tempo = v }),
		"defaultTempo": tempoSetting(func(set *rules.Settings, v float64) { set.DefaultTempo = v }),
		"hand":         handSetting,
		"instrument":   instrumentSetting,
		"severity":     severitySetting,
	}
}

// tempoSetting reads quarters a minute.
func tempoSetting(use func(*rules.Settings, float64)) setting {
	return func(raw json.RawMessage, set *rules.Settings) error {
		var v float64
		if json.Unmarshal(raw, &v) != nil || v < 1 || v > 1000 {
			return errors.New("quarters a minute are a number from 1 to 1000")
		}
		use(set, v)
		return nil
	}
}

func handSetting(raw json.RawMessage, set *rules.Settings) error {
	var name string
	if json.Unmarshal(raw, &name) == nil {
		if h, ok := harp.HandNamed(name); ok {
			set.Hand = h
			return nil
		}
	}
	return errors.New(`a hand is "standard" or "small"`)
}

func instrumentSetting(raw json.RawMessage, set *rules.Settings) error {
	var name string
	if json.Unmarshal(raw, &name) == nil {
		if i, ok := harp.InstrumentNamed(name); ok {
			set.Instrument = i
			return nil
		}
	}
	var names []string
	for _, i := range harp.Instruments() {
		names = append(names, i.Name)
	}
	return fmt.Errorf("an instrument is one of: %s", strings.Join(names, ", "))
}

// severitySetting reads a map from a rule ("hands/turn") or a group of them
// ("hands") to a severity. What is right in it is used, whatever is wrong.
func severitySetting(raw json.RawMessage, set *rules.Settings) error {
	var table map[string]json.RawMessage
	if json.Unmarshal(raw, &table) != nil {
		return errors.New(`severities are an object such as {"hands/tight": "off"}`)
	}
	set.Severity = map[string]rules.Severity{}
	var wrong []error
	for rule, value := range table {
		var word string
		severity, ok := rules.Off, false
		if json.Unmarshal(value, &word) == nil {
			severity, ok = severityNamed(word)
		}
		switch {
		case !knownRule(rule):
			wrong = append(wrong, fmt.Errorf("there is no rule %q", rule))
		case !ok:
			wrong = append(wrong, fmt.Errorf(`%s: a severity is "off", "error", "warning", "information" or "hint"`, rule))
		default:
			set.Severity[rule] = severity
		}
	}
	return errors.Join(wrong...)
}

func severityNamed(word string) (rules.Severity, bool) {
	for s := rules.Off; s <= rules.Hint; s++ {
		if s.String() == word {
			return s, true
		}
	}
	return rules.Off, false
}

// knownRule accepts rules and their groups.
func knownRule(name string) bool {
	if name == "notation" || strings.HasPrefix(name, "notation/") {
		return true
	}
	for rule := range rules.Severities() {
		if group, _, _ := strings.Cut(rule, "/"); name == rule || name == group {
			return true
		}
	}
	return false
}

// readSettings gives the settings that an object of the editor asks for, on top
// of the defaults, and a complaint for each key that is unknown or wrong. A key
// that is null is not set.
func readSettings(object map[string]json.RawMessage) (rules.Settings, []string) {
	set := rules.Defaults()
	known := settingsByKey()
	var complaints []string
	for key, raw := range object {
		read, ok := known[key]
		switch {
		case !ok:
			complaints = append(complaints, fmt.Sprintf("setting %s.%s is not known and has no effect", section, key))
		case string(raw) == "null":
		default:
			if err := read(raw, &set); err != nil {
				complaints = append(complaints, fmt.Sprintf("setting %s.%s: %v", section, key, err))
			}
		}
	}
	slices.Sort(complaints)
	return set, complaints
}

// settingsObject finds our settings in what an editor sends: under our name, or
// bare. Editors also send null, {} or the settings of others when they mean
// that nothing has changed for us: nil.
func settingsObject(raw json.RawMessage) map[string]json.RawMessage {
	var all map[string]json.RawMessage
	if json.Unmarshal(raw, &all) != nil {
		return nil
	}
	if ours, ok := all[section]; ok {
		var object map[string]json.RawMessage
		if json.Unmarshal(ours, &object) != nil {
			return nil
		}
		return object
	}
	for key := range settingsByKey() {
		if _, ok := all[key]; ok {
			return all
		}
	}
	return nil
}

// useSettings takes over what an editor sent, if it says anything, and analyses
// the open documents again where that makes a difference.
func (s *session) useSettings(raw json.RawMessage) {
	object := settingsObject(raw)
	if object == nil {
		return
	}
	set, complaints := readSettings(object)
	for _, c := range complaints {
		s.log.Warn(c)
	}
	go func() {
		for _, c := range complaints {
			s.client.logMessage(protocol.MessageTypeWarning, c)
		}
	}()
	s.mu.Lock()
	defer s.mu.Unlock()
	if !reflect.DeepEqual(s.settings, set) {
		s.settings = set
		s.reread()
	}
}

// askSettings asks the editor for the settings, where it can be asked. It waits
// for the answer, so it must not be called on the reader.
func (s *session) askSettings() {
	s.mu.Lock()
	can := s.editor.configuration
	s.mu.Unlock()
	if !can {
		return
	}
	raw, err := s.client.configuration(section)
	if err != nil {
		s.log.Warn("the client does not tell its settings", zap.Error(err))
		return
	}
	wrapped, err := json.Marshal(map[string]json.RawMessage{section: raw})
	if err == nil && raw != nil {
		s.useSettings(wrapped)
	}
}

// didChangeConfiguration: what comes along may be everything, nothing or null.
// Where the editor can be asked, its answer is what counts.
func (s *session) didChangeConfiguration(params json.RawMessage) error {
	var p wire.DidChangeConfigurationParams
	if err := decode(params, &p); err != nil {
		return err
	}
	s.mu.Lock()
	asks := s.editor.configuration
	s.mu.Unlock()
	if asks {
		go s.askSettings()
	} else {
		s.useSettings(p.Settings)
	}
	return nil
}
