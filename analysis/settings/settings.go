// Package settings reads what a user has set, from the editor's JSON and from a
// folder's .fourfold.toml, into rules.Settings. Both have the names of
// rules.SettingKeys. Nothing here is fatal: what is wrong is told, with its place,
// and the rest is used.
//
// The sources lie on each other, each setting by itself: flags win over a
// %%fourfold line in the score, that over the folder's file, that over the editor,
// that over the default. Apply them from the bottom up; the lines in the score are
// applied by the rules, and what flags say is pinned against them.
package settings

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"fourfold/analysis/rules"
)

// Apply puts what a source says on top of other settings.
type Apply func(*rules.Settings)

// Problem is something in a source that has no effect.
type Problem struct {
	Key          string // as in the source, "set.cycle"; "" where it is about the whole
	Line, Column int    // from 1, columns in bytes; 0 where the source has no lines
	Message      string // what is wrong and what is allowed, a whole sentence
}

// entry is one setting as a source gives it.
type entry struct {
	name         string
	value        any // float64, string, []string; anything else is wrong
	line, column int
}

// layer gives what the entries do. Each is tried by itself first; those that are
// wrong are told and left out.
func layer(entries []entry) (Apply, []Problem) {
	order := map[string]int{}
	for i, k := range rules.SettingKeys() {
		order[k.Name] = i
	}
	slices.SortStableFunc(entries, func(a, b entry) int { return cmp.Compare(order[a.name], order[b.name]) })
	var good []entry
	var problems []Problem
	for _, e := range entries {
		trial := rules.Defaults()
		if err := trial.Set(e.name, e.value); err != nil {
			problems = append(problems, Problem{e.name, e.line, e.column, sentence(err.Error())})
			continue
		}
		good = append(good, e)
	}
	slices.SortStableFunc(problems, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column), cmp.Compare(a.Key, b.Key))
	})
	return func(set *rules.Settings) {
		for _, e := range good {
			// It held on the defaults, and what a value may be does not depend on others.
			_ = set.Set(e.name, e.value)
		}
	}, problems
}

// flat gives the entries of a table and of the tables in it, their names joined by
// dots. Values that are not set, null, are left out.
func flat(prefix string, table map[string]any) (out []entry) {
	for key, value := range table {
		name := prefix + key
		switch v := value.(type) {
		case nil:
		case map[string]any:
			if prefix == "" && !slices.Contains(tables(), key) {
				out = append(out, entry{name: name, value: v})
				continue
			}
			out = append(out, flat(name+".", v)...)
		default:
			if prefix == "" && slices.Contains(tables(), key) {
				// Named so that it is told: a table is wanted.
				out = append(out, entry{name: key, value: v})
				continue
			}
			out = append(out, entry{name: name, value: plain(v)})
		}
	}
	return out
}

// tables are the settings that hold others.
func tables() (names []string) {
	for _, k := range rules.SettingKeys() {
		if table, _, ok := strings.Cut(k.Name, "."); ok && !slices.Contains(names, table) {
			names = append(names, table)
		}
	}
	return names
}

// plain turns whole numbers into numbers and lists of words into lists.
func plain(value any) any {
	switch v := value.(type) {
	case int64:
		return float64(v)
	case []any:
		words := make([]string, 0, len(v))
		for _, w := range v {
			word, ok := w.(string)
			if !ok {
				return value
			}
			words = append(words, word)
		}
		return words
	}
	return value
}

// sentence is what an error says, closed.
func sentence(text string) string {
	if strings.HasSuffix(text, "?") {
		return text
	}
	return text + "."
}

// String is the problem in one line.
func (p Problem) String() string {
	if p.Key == "" {
		return p.Message
	}
	return fmt.Sprintf("%s: %s", p.Key, p.Message)
}

// none sets nothing.
func none(*rules.Settings) {}
