package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"

	"fourfold/analysis/rules"
	"fourfold/analysis/settings"
)

// folderSettings gives the settings of the folders that scores stand in. What is
// wrong in a folder's file is said once, and the rest of it used.
type folderSettings struct {
	command string // whose messages these are
	stderr  io.Writer
	known   map[string]settings.Apply // by folder
	told    map[string]bool           // by file
}

func newFolderSettings(command string, stderr io.Writer) *folderSettings {
	return &folderSettings{command, stderr, map[string]settings.Apply{}, map[string]bool{}}
}

// settingsFor gives the settings of one score's folder on top of the defaults.
func settingsFor(command, file string, stderr io.Writer) rules.Settings {
	return newFolderSettings(command, stderr).of(file)
}

// of gives the settings for a score: the defaults and its folder's file. For -,
// standard input, it is the folder where the command runs.
func (f *folderSettings) of(file string) rules.Settings {
	set := rules.Defaults()
	folder, err := filepath.Abs(filepath.Dir(file))
	if err != nil {
		return set
	}
	apply, ok := f.known[folder]
	if !ok {
		apply = f.read(folder)
		f.known[folder] = apply
	}
	apply(&set)
	return set
}

func (f *folderSettings) read(folder string) settings.Apply {
	path, text, err := settings.Find(folder, os.ReadFile)
	if err != nil {
		if !f.told[path] {
			fmt.Fprintf(f.stderr, "fourfold %s: %s cannot be read (%v): the defaults are used\n", f.command, path, cause(err))
		}
		f.told[path] = true
		return func(*rules.Settings) {}
	}
	apply, problems := settings.FromTOML(text)
	if !f.told[path] {
		for _, p := range problems {
			fmt.Fprintf(f.stderr, "fourfold %s: %s:%d:%d: %s\n", f.command, path, p.Line, p.Column, p)
		}
	}
	f.told[path] = true
	return apply
}
