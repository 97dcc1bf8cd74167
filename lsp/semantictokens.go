package lsp

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"sync"

	"go.lsp.dev/protocol"

	"fourfold/parser/syntax"

	wire "fourfold/lsp/protocol"
)

// The types of token, by their place in the legend that the client is told. All
// are of the protocol's own list, so that every theme colours them.
const (
	tokenKeyword uint32 = iota
	tokenString
	tokenComment
	tokenNumber
	tokenOperator
	tokenDecorator
	tokenVariable
	tokenMacro
	tokenClass
	tokenProperty
	tokenRest
	noToken
)

var tokenTypes = []string{"keyword", "string", "comment", "number", "operator", "decorator", "variable", "macro", "class", "property", "enumMember"}

// tokenOf says what type the leaves of a kind are.
var tokenOf = [256]uint32{
	syntax.Space: noToken, syntax.LineEnd: noToken, syntax.Comment: tokenComment, syntax.Text: tokenString,
	syntax.FieldName: tokenKeyword, syntax.FieldText: tokenString, syntax.FieldEnd: tokenKeyword,
	syntax.DirectiveName: tokenMacro, syntax.DirectiveText: tokenProperty,
	syntax.Accidental: tokenVariable, syntax.Pitch: tokenVariable, syntax.Octave: tokenVariable, syntax.Length: tokenNumber,
	syntax.Rest: tokenRest, syntax.MeasureRest: tokenRest, syntax.Spacer: tokenRest,
	syntax.Broken: tokenOperator, syntax.Tie: tokenOperator, syntax.SlurOpen: tokenOperator, syntax.SlurClose: tokenOperator,
	syntax.ChordOpen: tokenOperator, syntax.ChordClose: tokenOperator, syntax.GraceOpen: tokenOperator, syntax.GraceClose: tokenOperator,
	syntax.Tuplet: tokenOperator, syntax.Decoration: tokenDecorator, syntax.Shorthand: tokenDecorator, syntax.Quoted: tokenString,
	syntax.Bar: tokenKeyword, syntax.Ending: tokenKeyword, syntax.Overlay: tokenOperator, syntax.OverlayOpen: tokenOperator,
	syntax.OverlayClose: tokenOperator, syntax.BeamMark: tokenOperator, syntax.Reserved: noToken, syntax.ScoreBreak: tokenKeyword,
	syntax.Continuation: tokenKeyword, syntax.OldChord: tokenOperator,
	syntax.BadByte: noToken, syntax.BadAccidental: noToken, syntax.BadQuote: noToken, syntax.BadDecoration: noToken,
	syntax.BadField: noToken, syntax.BadClose: noToken,
}

// tokenLegend is what the client is told of the types.
func tokenLegend() map[string]any {
	return map[string]any{
		"legend": map[string]any{"tokenTypes": tokenTypes, "tokenModifiers": []string{}},
		"range":  true,
		"full":   map[string]any{"delta": true},
	}
}

// tokensTold are the tokens that the client has of a document.
type tokensTold struct {
	mu   sync.Mutex
	id   int
	data []uint32
}

// semanticTokensFull gives the tokens of a whole document.
func (s *session) semanticTokensFull(params json.RawMessage) (work, error) {
	var p wire.DocumentParams
	snap, err := s.subject(params, &p, &p.TextDocument)
	if err != nil {
		return nil, err
	}
	return func(context.Context) (any, error) {
		data := tokens(snap, 0, len(snap.lines.starts)-1)
		id, _ := snap.told.keep(data, "")
		return protocol.SemanticTokens{ResultID: id, Data: data}, nil
	}, nil
}

// semanticTokensDelta gives what has changed since the tokens that the client has,
// or all of them where the server no longer knows those.
func (s *session) semanticTokensDelta(params json.RawMessage) (work, error) {
	var p wire.SemanticTokensDeltaParams
	snap, err := s.subject(params, &p, &p.TextDocument)
	if err != nil {
		return nil, err
	}
	return func(context.Context) (any, error) {
		data := tokens(snap, 0, len(snap.lines.starts)-1)
		id, before := snap.told.keep(data, p.PreviousResultID)
		if before == nil {
			return protocol.SemanticTokens{ResultID: id, Data: data}, nil
		}
		return protocol.SemanticTokensDelta{ResultID: id, Edits: tokenEdits(before, data)}, nil
	}, nil
}

// semanticTokensRange gives the tokens of the lines that a range touches.
func (s *session) semanticTokensRange(params json.RawMessage) (work, error) {
	var p wire.RangeParams
	snap, err := s.subject(params, &p, &p.TextDocument)
	if err != nil {
		return nil, err
	}
	span := snap.lines.span(p.Range)
	return func(context.Context) (any, error) {
		return protocol.SemanticTokens{Data: tokens(snap, snap.lines.lineAt(span.Start), snap.lines.lineAt(span.End))}, nil
	}, nil
}

// keep remembers what the client is about to have, and gives what it had under an
// id; nil where that is not known any more.
func (t *tokensTold) keep(data []uint32, had string) (id string, before []uint32) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if had != "" && had == fmt.Sprint(t.id) {
		before = t.data
	}
	t.id++
	t.data = data
	return fmt.Sprint(t.id), before
}

// tokenEdits is one edit that makes one list of the other: all between what they
// have in common at both ends. Tokens are five numbers each, and are never cut.
func tokenEdits(before, after []uint32) []protocol.SemanticTokensEdit {
	if slices.Equal(before, after) {
		return []protocol.SemanticTokensEdit{}
	}
	head := 0
	for head < len(before) && head < len(after) && before[head] == after[head] {
		head++
	}
	head -= head % 5
	tail := 0
	for tail < len(before)-head && tail < len(after)-head && before[len(before)-1-tail] == after[len(after)-1-tail] {
		tail++
	}
	tail -= tail % 5
	return []protocol.SemanticTokensEdit{{Start: uint32(head), DeleteCount: uint32(len(before) - head - tail), Data: after[head : len(after)-tail]}}
}

// tokens are those of some lines, as the protocol packs them: each place counted
// from the token before.
func tokens(snap *snapshot, first, last int) []uint32 {
	tree := snap.pass.tree(snap.text())
	w := tokenWriter{lines: snap.lines, data: []uint32{}}
	for i := first; i <= last && i < tree.Lines(); i++ {
		w.line(i, tree.Line(i), string(tree.LineText(i)))
	}
	return w.data
}

// tokenWriter packs tokens.
type tokenWriter struct {
	lines           lines
	data            []uint32
	lineBefore, col int
}

func (w *tokenWriter) line(i int, l *syntax.Line, text string) {
	w.col = 0 // where the token before starts on this line
	at, column, field := 0, 0, byte(0)
	for k := 0; k < len(l.Leaves); k++ {
		from, kind := at, l.Leaves[k].Kind()
		at += l.Leaves[k].Len()
		t := tokenOf[kind]
		for t == tokenVariable && k+1 < len(l.Leaves) && tokenOf[l.Leaves[k+1].Kind()] == t && l.Leaves[k+1].Kind() != syntax.Accidental && startsNoNote(kind, l.Leaves[k+1].Kind()) {
			k++
			kind = l.Leaves[k].Kind()
			at += l.Leaves[k].Len()
		}
		switch kind {
		case syntax.FieldName:
			field = text[from+len(text[from:at])-2]
		case syntax.FieldText:
			t = fieldToken(field)
		}
		width := w.lines.column(text[from:at], at-from)
		if t != noToken && width > 0 {
			w.put(i, column, width, t)
		}
		column += width
	}
}

// startsNoNote says whether a leaf goes on with the note of the one before.
func startsNoNote(before, next syntax.Kind) bool {
	return next == syntax.Octave || before == syntax.Accidental && next == syntax.Pitch
}

// fieldToken is the type of a field's value.
func fieldToken(field byte) uint32 {
	switch field {
	case 'V', 'P':
		return tokenClass
	case 'K', 'M', 'L', 'Q', 'X':
		return tokenProperty
	}
	return tokenString
}

func (w *tokenWriter) put(line, column, width int, t uint32) {
	if line != w.lineBefore {
		w.data = append(w.data, uint32(line-w.lineBefore), uint32(column), uint32(width), t, 0)
	} else {
		w.data = append(w.data, 0, uint32(column-w.col), uint32(width), t, 0)
	}
	w.lineBefore, w.col = line, column
}
