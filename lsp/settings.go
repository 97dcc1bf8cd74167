package lsp

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"path/filepath"
	"strings"
	"sync"

	"go.lsp.dev/protocol"
	"go.uber.org/zap"

	"fourfold/analysis/rules"
	"fourfold/analysis/settings"

	wire "fourfold/lsp/protocol"
)

// section is where an editor keeps the settings of this server.
const section = "fourfold"

// folder is what the settings file of a document's folder says. The file is read
// when an analysis first needs it, which is never on the reader.
type folder struct {
	once  sync.Once
	read  func() settings.Apply
	apply settings.Apply
}

// settingsFor gives the settings of a document as they are now: the folder's file
// lies on the editor's. It is called with s.mu held; what it gives may be called
// from anywhere.
func (s *session) settingsFor(uri string) func() rules.Settings {
	editor := s.settings
	f := &folder{read: func() settings.Apply { return s.readFolder(uri) }}
	return func() rules.Settings {
		f.once.Do(func() { f.apply = f.read() })
		set := rules.Defaults()
		editor(&set)
		f.apply(&set)
		return set
	}
}

// readFolder reads the settings file that is in force for a document. One that
// is no file on this machine has none.
func (s *session) readFolder(uri string) settings.Apply {
	score, ok := filePath(uri)
	if !ok {
		return func(*rules.Settings) {}
	}
	return s.parseSettings(s.findSettings(filepath.Dir(score)))
}

// findSettings gives the settings file that is in force for the scores of a folder;
// its path is "" where there is none. Of a workspace folder nothing above it is
// read.
func (s *session) findSettings(folder string) (path string, text []byte) {
	outer, _, inside := folderOf(s.workspaceFolders(), folder)
	path, text, err := settings.Find(folder, func(path string) ([]byte, error) {
		if !inside {
			return readPlain(path, maxSettingsFile)
		}
		_, name, below := folderOf([]workspaceFolder{outer}, path)
		if !below {
			return nil, fs.ErrNotExist
		}
		return readInside(outer.path, name, maxSettingsFile)
	})
	if err != nil {
		s.complain(fmt.Sprintf("%s cannot be read: %v", path, err))
		return "", nil
	}
	return path, text
}

// parseSettings reads a settings file; what is wrong in it is told.
func (s *session) parseSettings(path string, text []byte) settings.Apply {
	apply, problems := settings.FromTOML(text)
	for _, p := range problems {
		s.complain(fmt.Sprintf("%s:%d:%d: %s", path, p.Line, p.Column, p))
	}
	return apply
}

// mostComplaints bounds what is remembered as told.
const mostComplaints = 1000

// complain tells the user, once for each text, that a setting has no effect.
func (s *session) complain(text string) {
	s.mu.Lock()
	known := s.complaints[text]
	if len(s.complaints) >= mostComplaints {
		clear(s.complaints)
	}
	s.complaints[text] = true
	s.mu.Unlock()
	if known {
		return
	}
	s.log.Warn(text)
	s.aside(func() { s.client.logMessage(protocol.MessageTypeWarning, text) })
}

// ourSettings finds our settings in what an editor sends: under our name, or
// bare. Editors also send null, {} or the settings of others when they mean that
// nothing has changed for us: nil.
func ourSettings(raw json.RawMessage) json.RawMessage {
	var all map[string]json.RawMessage
	if json.Unmarshal(raw, &all) != nil || len(all) == 0 {
		return nil
	}
	if ours, ok := all[section]; ok {
		if string(ours) == "null" {
			return nil
		}
		return ours
	}
	for _, key := range rules.SettingKeys() {
		name, _, _ := strings.Cut(key.Name, ".")
		if _, ok := all[name]; ok {
			return raw
		}
	}
	return nil
}

// useSettings takes over what an editor sent, if it says anything.
func (s *session) useSettings(raw json.RawMessage) {
	ours := ourSettings(raw)
	if ours == nil {
		return
	}
	apply, problems := settings.FromJSON(ours)
	for _, p := range problems {
		s.complain(fmt.Sprintf("setting %s.%s", section, p))
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.settings = apply
	s.reread()
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
	if wrapped, err := json.Marshal(map[string]json.RawMessage{section: raw}); err == nil && raw != nil {
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

// refreshFeatures asks the client to ask again for what depends on the settings. It waits
// for the answers, so it must not be called on the reader.
func (s *session) refreshFeatures(f features) {
	if f.refreshesHints {
		s.client.refresh(wire.MethodInlayHintRefresh)
	}
	if f.refreshesLenses {
		s.client.refresh(protocol.MethodCodeLensRefresh)
	}
}

// didChangeWatchedFiles: when a settings file has changed, or the client does not
// say which file has, all is read afresh. A score that has changed on disk is no
// matter where it is open, for the editor's text counts; a client that pulls may
// want to ask about it otherwise.
func (s *session) didChangeWatchedFiles(params json.RawMessage) error {
	var p wire.DidChangeWatchedFilesParams
	if err := decode(params, &p); err != nil {
		return err
	}
	afresh := len(p.Changes) == 0
	for _, c := range p.Changes {
		name, ok := filePath(c.URI)
		afresh = afresh || !ok || filepath.Base(name) == settings.FileName
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if afresh {
		s.reread()
	} else {
		s.refreshPull()
	}
	return nil
}
