package main

import (
	"context"
	"encoding/json"
	"io"
	"net/url"
	"path/filepath"
	"strings"

	"fourfold/analysis/fix"
	"fourfold/analysis/rules"
)

// sarifPrinter writes one log of the Static Analysis Results Interchange Format,
// version 2.1.0 (OASIS standard, errata 01), at the end. Columns are code points.
type sarifPrinter struct {
	w       io.Writer
	results []sarifResult
}

type (
	sarifLog struct {
		Schema  string     `json:"$schema"`
		Version string     `json:"version"`
		Runs    []sarifRun `json:"runs"`
	}
	sarifRun struct {
		Tool       sarifTool     `json:"tool"`
		Language   string        `json:"language"`
		ColumnKind string        `json:"columnKind"`
		LineEnds   []string      `json:"newlineSequences"`
		Results    []sarifResult `json:"results"`
	}
	sarifTool struct {
		Driver sarifDriver `json:"driver"`
	}
	sarifDriver struct {
		Name     string      `json:"name"`
		Version  string      `json:"version"`
		Language string      `json:"language"`
		Rules    []sarifRule `json:"rules"`
	}
	sarifRule struct {
		ID               string      `json:"id"`
		ShortDescription sarifText   `json:"shortDescription"`
		Help             sarifText   `json:"help"`
		Default          sarifConfig `json:"defaultConfiguration"`
	}
	sarifText struct {
		Text     string `json:"text"`
		Markdown string `json:"markdown,omitempty"`
	}
	sarifConfig struct {
		Enabled bool   `json:"enabled"`
		Level   string `json:"level"`
	}
	sarifResult struct {
		RuleID     string          `json:"ruleId"`
		RuleIndex  int             `json:"ruleIndex"`
		Level      string          `json:"level"`
		Message    sarifText       `json:"message"`
		Locations  []sarifLocation `json:"locations"`
		Related    []sarifLocation `json:"relatedLocations,omitempty"`
		Fixes      []sarifFix      `json:"fixes,omitempty"`
		Properties finding         `json:"properties"`
	}
	sarifLocation struct {
		Physical sarifPlace `json:"physicalLocation"`
		Message  *sarifText `json:"message,omitempty"`
	}
	sarifPlace struct {
		Artifact sarifArtifact `json:"artifactLocation"`
		Region   sarifRegion   `json:"region"`
	}
	sarifArtifact struct {
		URI string `json:"uri"`
	}
	sarifRegion struct {
		StartLine   int `json:"startLine"`
		StartColumn int `json:"startColumn"`
		EndLine     int `json:"endLine"`
		EndColumn   int `json:"endColumn"`
	}
	sarifFix struct {
		Description sarifText     `json:"description"`
		Changes     []sarifChange `json:"artifactChanges"`
	}
	sarifChange struct {
		Artifact     sarifArtifact      `json:"artifactLocation"`
		Replacements []sarifReplacement `json:"replacements"`
	}
	sarifReplacement struct {
		Deleted  sarifRegion `json:"deletedRegion"`
		Inserted sarifText   `json:"insertedContent"`
	}
)

func (p *sarifPrinter) file(ctx context.Context, c checked) error {
	index := map[string]int{}
	for i, r := range rules.All() {
		index[r.Name] = i
	}
	for _, f := range c.found {
		message := f.Message
		if f.Advice != "" {
			message += " " + f.Advice
		}
		out := sarifResult{
			RuleID: f.Rule, RuleIndex: index[f.Rule], Level: sarifLevel(f.Severity), Message: sarifText{Text: message},
			Locations:  []sarifLocation{{Physical: c.place(f.Span.Start, f.Span.End)}},
			Properties: c.finding(ctx, f),
		}
		for _, r := range f.Related {
			out.Related = append(out.Related, sarifLocation{c.place(r.Span.Start, r.Span.End), &sarifText{Text: r.Message}})
		}
		for _, fx := range c.reading.Fixes(ctx, f) {
			out.Fixes = append(out.Fixes, c.sarifFix(fx))
		}
		p.results = append(p.results, out)
	}
	return nil
}

func (c checked) place(start, end int) sarifPlace {
	line, column := c.lines.at(start)
	endLine, endColumn := c.lines.at(end)
	return sarifPlace{sarifArtifact{fileURI(c.name)}, sarifRegion{line, column, endLine, endColumn}}
}

func (c checked) sarifFix(fx fix.Fix) sarifFix {
	change := sarifChange{Artifact: sarifArtifact{fileURI(c.name)}}
	for _, e := range fx.Edits {
		change.Replacements = append(change.Replacements,
			sarifReplacement{c.place(e.Span.Start, e.Span.End).Region, sarifText{Text: e.Text}})
	}
	return sarifFix{sarifText{Text: fx.Title}, []sarifChange{change}}
}

// fileURI is a path as a URI: relative where the path is.
func fileURI(path string) string {
	slashed := filepath.ToSlash(path)
	if filepath.IsAbs(path) {
		if !strings.HasPrefix(slashed, "/") {
			slashed = "/" + slashed // a drive
		}
		return (&url.URL{Scheme: "file", Path: slashed}).String()
	}
	return (&url.URL{Path: slashed}).String()
}

func sarifLevel(s rules.Severity) string {
	switch {
	case s == rules.Off:
		return "none"
	case s <= rules.Warning:
		return s.String()
	}
	return "note"
}

// language is that of the messages.
const language = "en"

func (p *sarifPrinter) end() error {
	severities := rules.Severities()
	driver := sarifDriver{Name: "Fourfold", Version: version(), Language: language}
	for _, r := range rules.All() {
		driver.Rules = append(driver.Rules, sarifRule{
			ID: r.Name, ShortDescription: sarifText{Text: capital(r.Title) + "."},
			Help:    sarifText{Text: strings.TrimSpace(r.Doc), Markdown: strings.TrimSpace(r.Doc)},
			Default: sarifConfig{Enabled: severities[r.Name] != rules.Off, Level: sarifLevel(severities[r.Name])},
		})
	}
	results := p.results
	if results == nil {
		results = []sarifResult{}
	}
	enc := json.NewEncoder(p.w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(sarifLog{
		Schema:  "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json",
		Version: "2.1.0",
		Runs: []sarifRun{{Tool: sarifTool{driver}, Language: language, ColumnKind: "unicodeCodePoints",
			LineEnds: []string{"\r\n", "\n", "\r"}, Results: results}},
	})
}
