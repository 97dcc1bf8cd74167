// Package analysis reads a score as a harpist would: which hand and finger
// takes each note, where the feet move, what does not fit and what would. It
// knows nothing of the protocol, of files or of flags.
//
// Read gives one immutable answer about one text; everything else asks it.
package analysis

import (
	"context"
	"reflect"

	"fourfold/analysis/fix"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// Reading is all that Fourfold has to say about one text.
type Reading struct {
	file     *syntax.File
	score    *score.Score
	settings rules.Settings
	parts    []*rules.Part
	findings []rules.Finding
	memory   *rules.Memory
	answers  answers
	fixes    *fix.Memory
}

// Read analyses a file. It stops early, with the context's error, only when
// the context ends; broken notation is a finding, never an error.
func Read(ctx context.Context, file *syntax.File, settings rules.Settings) (*Reading, error) {
	return read(ctx, file, score.Build(file), settings, rules.NewMemory())
}

// Next is Read for a file that was edited: what the edits did not touch is taken over
// from a reading of an earlier text; nil for none. The answer is the same as Read's.
func Next(ctx context.Context, before *Reading, file *syntax.File, settings rules.Settings) (*Reading, error) {
	if before == nil {
		return Read(ctx, file, settings)
	}
	r, err := read(ctx, file, score.Update(before.score, before.file, file), settings, before.memory)
	if err == nil && reflect.DeepEqual(before.settings, settings) {
		r.fixes = before.fixes
	}
	return r, err
}

func read(ctx context.Context, file *syntax.File, s *score.Score, settings rules.Settings, m *rules.Memory) (*Reading, error) {
	parts, findings, err := rules.Run(ctx, file.Text(), s, settings.InSections(-1).Remembering(m))
	if err != nil {
		return nil, err
	}
	return &Reading{file: file, score: s, settings: settings, parts: parts, findings: findings, memory: m, fixes: &fix.Memory{}}, nil
}

// Findings are in the order of the text.
func (r *Reading) Findings() []rules.Finding { return r.findings }

// Text is the text that was read. It must not be changed.
func (r *Reading) Text() []byte { return r.file.Text() }

// Score is the music that was read.
func (r *Reading) Score() *score.Score { return r.score }

// Parts are the harp parts, each player's in each tune.
func (r *Reading) Parts() []*rules.Part { return r.parts }

// Card describes the finger group that the note at a byte offset belongs to.
func (r *Reading) Card(offset int) (rules.Card, bool) {
	for _, p := range r.parts {
		if c, ok := p.Card(offset); ok {
			return c, true
		}
	}
	return rules.Card{}, false
}

// Fixes are the proved changes that answer a finding, the one that changes
// least first.
func (r *Reading) Fixes(ctx context.Context, f rules.Finding) []fix.Fix {
	return r.Answer(ctx, f).Fixes
}

// At are the findings that cover a byte of the text.
func (r *Reading) At(offset int) (list []rules.Finding) {
	for _, f := range r.findings {
		if f.Span.Start > offset {
			break
		}
		if offset < f.Span.End {
			list = append(list, f)
		}
	}
	return list
}
