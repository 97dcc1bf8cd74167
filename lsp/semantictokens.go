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

// tokensTold are the tokens that the client has of a document, and those of each
// line: most lines are the same from one edit to the next.
type tokensTold struct {
	mu    sync.Mutex
	id    int
	data  []uint32
	lines map[*syntax.Line][]uint32
}

// semanticTokensFull gives the tokens of a whole document.
func (s *session) semanticTokensFull(params json.RawMessage) (work, error) {
	var p wire.DocumentParams
	snap, err := s.subject(params, &p, &p.TextDocument)
	if err != nil {
		return nil, err
	}
	return func(context.Context) (any, error) {
		data := snap.told.tokens(snap)
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
		data := snap.told.tokens(snap)
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

// tokens are those of the whole text.
func (t *tokensTold) tokens(snap *snapshot) []uint32 {
	tree := snap.tree()
	t.mu.Lock()
	known := t.lines
	t.mu.Unlock()
	p := tokenPacker{data: []uint32{}}
	now := make(map[*syntax.Line][]uint32, tree.Lines())
	for i := range tree.Lines() {
		l := tree.Line(i)
		line, ok := known[l]
		if !ok {
			line = lineTokens(snap.lines, l, tree.LineText(i))
		}
		now[l] = line
		p.add(i, line)
	}
	t.mu.Lock()
	t.lines = now
	t.mu.Unlock()
	return p.data
}

// tokens are those of some lines.
func tokens(snap *snapshot, first, last int) []uint32 {
	tree := snap.tree()
	p := tokenPacker{data: []uint32{}}
	for i := first; i <= last && i < tree.Lines(); i++ {
		p.add(i, lineTokens(snap.lines, tree.Line(i), tree.LineText(i)))
	}
	return p.data
}

// tokenPacker packs tokens as the protocol has them, each place counted from the
// token before.
type tokenPacker struct {
	data []uint32
	line int // of the last token
}

// add adds the tokens of a line, which count within it.
func (p *tokenPacker) add(i int, line []uint32) {
	if len(line) == 0 {
		return
	}
	at := len(p.data)
	p.data = append(p.data, line...)
	p.data[at] = uint32(i - p.line)
	p.line = i
}

// lineTokens are the tokens of one line, five numbers each, of which the first is
// left 0: the column counts from the token before. Leaves of one type that touch
// are one token, which looks the same and is much less to send.
func lineTokens(lines lines, l *syntax.Line, text []byte) (data []uint32) {
	at, column, before, field := 0, 0, 0, byte(0)
	for _, leaf := range l.Leaves {
		from, kind := at, leaf.Kind()
		at += leaf.Len()
		t := tokenOf[kind]
		switch kind {
		case syntax.FieldName:
			field = text[at-2]
		case syntax.FieldText:
			t = fieldToken(field)
		}
		width := lines.column(text[from:at], at-from)
		last := len(data) - 5
		switch {
		case t == noToken || width == 0:
		case last >= 0 && data[last+3] == t && before+int(data[last+2]) == column:
			data[last+2] += uint32(width)
		default:
			data = append(data, 0, uint32(column-before), uint32(width), t, 0)
			before = column
		}
		column += width
	}
	return data
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
