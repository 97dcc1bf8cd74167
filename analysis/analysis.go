// Package analysis reads a score as a harpist would: which hand and finger
// takes each note, where the feet move, what does not fit and what would. It
// knows nothing of the protocol, of files or of flags.
//
// Read gives one immutable answer about one text; everything else asks it.
package analysis

import (
	"context"

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
	result   *rules.Result
	glimpse  *Glimpse
	memory   *rules.Memory
	answers  answers
	fixes    *fix.Memory
}

// Read analyses a file. It stops early, with the context's error, only when
// the context ends; broken notation is a finding, never an error.
func Read(ctx context.Context, file *syntax.File, settings rules.Settings) (*Reading, error) {
	return read(ctx, file, score.Build(file), settings, rules.NewMemory(), &fix.Memory{})
}

// Next is Read for a file that was edited: what the edits did not touch is taken over
// from a reading of an earlier text; nil for none. The answer is the same as Read's.
func Next(ctx context.Context, before *Reading, file *syntax.File, settings rules.Settings) (*Reading, error) {
	return Begin(before, file, settings).Whole(ctx)
}

func read(ctx context.Context, file *syntax.File, s *score.Score, settings rules.Settings, m *rules.Memory, fixes *fix.Memory) (*Reading, error) {
	result, err := rules.Read(ctx, file.Text(), s, settings.Remembering(m))
	if err != nil {
		return nil, err
	}
	return &Reading{file: file, score: s, settings: settings, result: result, glimpse: newGlimpse(file, s, settings, m, fixes, result), memory: m, fixes: fixes}, nil
}

// Findings are in the order of the text. Those of a long tune are kept small, and made
// each time anew: to look at a few, ask for those Touching a span.
func (r *Reading) Findings() []rules.Finding { return r.result.All(r.score) }

// Text is the text that was read. It must not be changed.
func (r *Reading) Text() []byte { return r.file.Text() }

// Score is the music that was read.
func (r *Reading) Score() *score.Score { return r.score }

// Parts are the harp parts, each player's in each tune. Those of a long tune are read for
// this, which takes long, and not kept; see PartsNear.
func (r *Reading) Parts() []*rules.Part {
	parts, _ := r.result.AllParts(context.Background(), r.Text(), r.score, r.settings.Remembering(r.memory))
	return parts
}

// Long is what is known of a tune that is read by sections; nil for another.
func (r *Reading) Long(tune int) *rules.Long { return r.result.Long[tune] }

// PartsOf are the parts of a tune that is read as one; none for a long one.
func (r *Reading) PartsOf(tune int) []*rules.Part { return r.result.PartsOf(r.score.Tunes[tune]) }

// HasParts says whether there is any harp part.
func (r *Reading) HasParts() bool { return r.result.HasParts() }

// PartsNear are parts that hold the notes in a span of bytes as the whole has them: of a
// tune that is read as one the whole part, of a long one the sections that the span
// touches. The only error is the context's.
func (r *Reading) PartsNear(ctx context.Context, span score.Span) ([]*rules.Part, error) {
	return r.result.PartsNear(ctx, r.Text(), r.score, span, r.settings.Remembering(r.memory))
}

// HandsNear are those parts where the pedals do not matter, which takes less time in a long
// tune: see Glimpse.HandsNear.
func (r *Reading) HandsNear(ctx context.Context, span score.Span) (parts []*rules.Part, err error) {
	for i, t := range r.score.Tunes {
		near := r.PartsOf(i)
		if r.Long(i) != nil {
			if near, err = r.glimpse.handsOf(ctx, t, span); err != nil {
				return nil, err
			}
		}
		parts = append(parts, near...)
	}
	return parts, nil
}

// Card describes the finger group that the note at a byte offset belongs to.
func (r *Reading) Card(offset int) (rules.Card, bool) {
	if i := tuneAt(r.score, offset, offset); i >= 0 && r.result.Long[i] != nil {
		return r.glimpse.Card(context.Background(), offset)
	}
	for _, p := range r.result.Parts {
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
func (r *Reading) At(offset int) []rules.Finding { return r.glimpse.At(offset) }
