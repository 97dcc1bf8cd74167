package settings

import (
	"errors"
	"strings"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// FromTOML reads a folder's file:
//
//	hand = "small"
//	instrument = "lever34"
//	undisced = ["C1", "D1"]
//	[severity]
//	"hands/tight" = "off"
//	[set]
//	cycle = 0.2
//	"cycle.step" = 0.005
//
// A text that is no TOML sets nothing.
func FromTOML(text []byte) (Apply, []Problem) {
	var table map[string]any
	if err := toml.Unmarshal(text, &table); err != nil {
		p := Problem{Line: 1, Column: 1, Message: sentence(strings.TrimPrefix(err.Error(), "toml: ")) + " The whole file has no effect until this is mended."}
		var at *toml.DecodeError
		if errors.As(err, &at) {
			p.Line, p.Column = at.Position()
		}
		return none, []Problem{p}
	}
	entries := flat("", table)
	at := places(text)
	for i := range entries {
		place := at.of(entries[i].name)
		entries[i].line, entries[i].column = place.Line, place.Column
	}
	return layer(entries)
}

// positions are where the keys of a file stand, by their dotted names.
type positions map[string]unstable.Position

// of gives the place of a key, or of the table that it is in.
func (p positions) of(name string) unstable.Position {
	for {
		if at, ok := p[name]; ok {
			return at
		}
		i := strings.LastIndexByte(name, '.')
		if i < 0 {
			return unstable.Position{Line: 1, Column: 1}
		}
		name = name[:i]
	}
}

// places finds the keys of a text that is known to be TOML.
func places(text []byte) positions {
	out := positions{}
	var p unstable.Parser
	p.Reset(text)
	table := ""
	for p.NextExpression() {
		switch e := p.Expression(); e.Kind {
		case unstable.Table, unstable.ArrayTable:
			table = out.note(&p, "", e.Key()) + "."
		case unstable.KeyValue:
			out.keyValue(&p, table, e)
		}
	}
	return out
}

func (p positions) keyValue(parser *unstable.Parser, table string, e *unstable.Node) {
	name := p.note(parser, table, e.Key())
	if v := e.Value(); v.Kind == unstable.InlineTable {
		for inner := v.Children(); inner.Next(); {
			p.keyValue(parser, name+".", inner.Node())
		}
	}
}

// note keeps where each part of a dotted key stands, and gives the whole name.
func (p positions) note(parser *unstable.Parser, table string, key unstable.Iterator) string {
	name := strings.TrimSuffix(table, ".")
	for key.Next() {
		if name != "" {
			name += "."
		}
		name += string(key.Node().Data)
		if _, seen := p[name]; !seen {
			p[name] = parser.Shape(key.Node().Raw).Start
		}
	}
	return name
}
