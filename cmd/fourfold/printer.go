package main

import (
	"context"
	"encoding/json"
	"io"

	"fourfold/analysis"
	"fourfold/analysis/rules"
)

// checked is what was found in one file.
type checked struct {
	name    string
	lines   *lines
	reading *analysis.Reading
	found   []rules.Finding
}

// printer writes the findings of one file after another.
type printer interface {
	file(ctx context.Context, c checked) error
	end() error
}

// finding is one line of JSON. Lines and columns count from 1, columns in code
// points, the end is exclusive; tempi are quarters a minute.
type finding struct {
	File            string   `json:"file"`
	Tune            string   `json:"tune"`
	Voice           string   `json:"voice"`
	Bar             int      `json:"bar"`
	Rule            string   `json:"rule"`
	Severity        string   `json:"severity"`
	Line            int      `json:"line"`
	Column          int      `json:"column"`
	EndLine         int      `json:"endLine"`
	EndColumn       int      `json:"endColumn"`
	Message         string   `json:"message"`
	Load            *float64 `json:"load,omitempty"`
	Tempo           *float64 `json:"tempo,omitempty"`
	HoldsUpTo       *float64 `json:"holdsUpTo,omitempty"`
	ComfortableUpTo *float64 `json:"comfortableUpTo,omitempty"`
	Fixes           []string `json:"fixes"`
}

func (c checked) finding(ctx context.Context, f rules.Finding) finding {
	out := finding{File: c.name, Tune: f.Tune, Voice: f.Voice, Bar: f.Bar, Rule: f.Rule, Severity: f.Severity.String(),
		Message: f.Message, Fixes: []string{}}
	out.Line, out.Column = c.lines.at(f.Span.Start)
	out.EndLine, out.EndColumn = c.lines.at(f.Span.End)
	if s := f.Speed; s != nil {
		out.Load, out.Tempo, out.HoldsUpTo, out.ComfortableUpTo = &s.Load, &s.Tempo, &s.HoldsUpTo, &s.ComfortableUpTo
	}
	for _, fx := range c.reading.Fixes(ctx, f) {
		out.Fixes = append(out.Fixes, fx.Title)
	}
	return out
}

// jsonPrinter writes one object a finding, one a line.
type jsonPrinter struct{ enc *json.Encoder }

func newJSONPrinter(w io.Writer) *jsonPrinter {
	p := &jsonPrinter{json.NewEncoder(w)}
	p.enc.SetEscapeHTML(false)
	return p
}

func (p *jsonPrinter) file(ctx context.Context, c checked) error {
	for _, f := range c.found {
		if err := p.enc.Encode(c.finding(ctx, f)); err != nil {
			return err
		}
	}
	return nil
}

func (p *jsonPrinter) end() error { return nil }
