package lsp

import (
	"context"
	"encoding/json"
	"fmt"

	"go.lsp.dev/protocol"

	"fourfold/parser/score"

	wire "fourfold/lsp/protocol"
)

// documentSymbols is the outline of a file: its tunes, in each its voices, in each
// the parts that P: names, and the bars by number. Where the client takes no tree,
// each symbol names the one that it stands in.
func (s *session) documentSymbols(params json.RawMessage) (work, error) {
	var p wire.DocumentParams
	snap, err := s.subject(params, &p, &p.TextDocument)
	if err != nil {
		return nil, err
	}
	tree := s.asked().symbolTrees
	return snap.withMusic(func(_ context.Context, m music) (any, error) {
		symbols := outline(snap, m.Score())
		if tree {
			return symbols, nil
		}
		list := []protocol.SymbolInformation{}
		return flatten(list, symbols, snap.uri, ""), nil
	}), nil
}

// mostBars is how many bars an outline lists one by one. A longer score has only
// the first bar of each of its lines, and those with a name.
const mostBars = 2000

// outliner writes the outline of a file.
type outliner struct {
	snap *snapshot
	long bool
}

func outline(snap *snapshot, s *score.Score) []protocol.DocumentSymbol {
	bars := 0
	for _, t := range s.Tunes {
		for _, v := range t.Voices {
			bars += v.Len()
		}
	}
	o := outliner{snap, bars > mostBars}
	symbols := []protocol.DocumentSymbol{}
	for _, t := range s.Tunes {
		symbols = append(symbols, o.tune(t))
	}
	return symbols
}

func (o *outliner) tune(t *score.Tune) protocol.DocumentSymbol {
	symbol := o.symbol(tuneName(t.Title, t.Number), "", protocol.SymbolKindModule, t.Span, firstLine(o.snap.text(), t.Span))
	for _, v := range t.Voices {
		if v.Len() > 0 {
			symbol.Children = append(symbol.Children, o.voice(v))
		}
	}
	return symbol
}

func (o *outliner) voice(v *score.Voice) protocol.DocumentSymbol {
	first := v.Bars()[0].FileSpan()
	symbol := o.symbol("Voice "+v.ID, v.Name, protocol.SymbolKindClass, hullOf(v.Bars()), first)
	from := 0
	for from < v.Len() && v.Bars()[from].Part == "" {
		from++
	}
	symbol.Children = o.bars(v.Bars()[:from], 1)
	for from < v.Len() {
		to := from + 1
		for to < v.Len() && v.Bars()[to].Part == "" {
			to++
		}
		part := o.symbol("Part "+v.Bars()[from].Part, fmt.Sprintf("from bar %d", from+1), protocol.SymbolKindNamespace, hullOf(v.Bars()[from:to]), v.Bars()[from].FileSpan())
		part.Children = o.bars(v.Bars()[from:to], from+1)
		symbol.Children = append(symbol.Children, part)
		from = to
	}
	return symbol
}

// bars are numbered from the given number on.
func (o *outliner) bars(bars []score.Bar, number int) (symbols []protocol.DocumentSymbol) {
	before := -1
	for i := range bars {
		b := &bars[i]
		line := o.snap.lines.lineAt(b.Start)
		if o.long && line == before && b.Ending == "" && b.Part == "" {
			continue
		}
		before = line
		detail := ""
		if b.Ending != "" {
			detail = "ending " + b.Ending
		}
		span := b.FileSpan()
		symbols = append(symbols, o.symbol(fmt.Sprintf("bar %d", number+i), detail, protocol.SymbolKindField, span, span))
	}
	return symbols
}

// hullOf is where the bars stand, from the first to the last: they stand in the
// order of the text.
func hullOf(bars []score.Bar) score.Span {
	first, last := bars[0].FileSpan(), bars[len(bars)-1].FileSpan()
	return score.Span{Start: first.Start, End: max(first.End, last.End)}
}

func (o *outliner) symbol(name, detail string, kind protocol.SymbolKind, whole, head score.Span) protocol.DocumentSymbol {
	return protocol.DocumentSymbol{Name: name, Detail: detail, Kind: kind, Range: o.snap.lines.lineRange(whole), SelectionRange: o.snap.lines.lineRange(head)}
}

// flatten lists a tree of symbols, each with the name of the one around it.
func flatten(list []protocol.SymbolInformation, symbols []protocol.DocumentSymbol, uri, container string) []protocol.SymbolInformation {
	for _, s := range symbols {
		list = append(list, protocol.SymbolInformation{Name: s.Name, Kind: s.Kind, ContainerName: container,
			Location: protocol.Location{URI: protocol.DocumentURI(uri), Range: s.Range}})
		list = flatten(list, s.Children, uri, s.Name)
	}
	return list
}
