package lsp

import (
	"context"
	"encoding/json"

	"fourfold/parser/score"

	wire "fourfold/lsp/protocol"
)

// Formatting sets the bars of voices that stand below each other in columns. It
// changes blanks at bar lines alone, and so no note; what the client says of tabs
// does not matter to it.

// formatting sets a whole document.
func (s *session) formatting(params json.RawMessage) (work, error) {
	var p wire.DocumentParams
	snap, err := s.subject(params, &p, &p.TextDocument)
	if err != nil {
		return nil, err
	}
	return s.align(snap, 0, snap.lines.count()), nil
}

// rangeFormatting sets the systems that a range touches.
func (s *session) rangeFormatting(params json.RawMessage) (work, error) {
	var p wire.RangeParams
	snap, err := s.subject(params, &p, &p.TextDocument)
	if err != nil {
		return nil, err
	}
	span := snap.lines.span(p.Range)
	return s.align(snap, snap.lines.lineAt(span.Start), snap.lines.lineAt(span.End)), nil
}

// The signs after which a system is set while it is typed: a bar line, and the end
// of a line.
const (
	formatAtBar  = "|"
	formatAtLine = "\n"
)

// onTypeFormatting sets the system that is being typed.
func (s *session) onTypeFormatting(params json.RawMessage) (work, error) {
	var p wire.OnTypeFormattingParams
	snap, err := s.subject(params, &p, &p.TextDocument)
	if err != nil {
		return nil, err
	}
	line := snap.lines.lineAt(snap.lines.offset(p.Position))
	if p.Ch == formatAtLine {
		line = max(0, line-1)
	}
	return s.align(snap, line, line), nil
}

// align gives the edits for some lines of a snapshot.
func (s *session) align(snap *snapshot, first, last int) work {
	return func(context.Context) (any, error) {
		edits := score.Align(snap.tree(), first, last)
		if !s.isNewest(snap) {
			return nil, errModified
		}
		return textEdits(snap, edits), nil
	}
}
