package lsp

import (
	"context"
	"encoding/json"
	"slices"
	"strings"

	"go.lsp.dev/protocol"

	wire "fourfold/lsp/protocol"
)

// workspaceSymbols finds tunes by their titles, in the documents that are open.
func (s *session) workspaceSymbols(params json.RawMessage) (work, error) {
	var p wire.QueryParams
	if err := decode(params, &p); err != nil {
		return nil, err
	}
	s.mu.Lock()
	var snaps []*snapshot
	for _, d := range s.docs {
		snaps = append(snaps, d.newest())
	}
	s.mu.Unlock()
	slices.SortFunc(snaps, func(a, b *snapshot) int { return strings.Compare(a.uri, b.uri) })
	return func(ctx context.Context) (any, error) {
		found := []protocol.SymbolInformation{}
		for _, snap := range snaps {
			reading, err := snap.pass.read(ctx, snap.text())
			if err != nil {
				return nil, err
			}
			o := outliner{snap: snap}
			for _, t := range reading.Score().Tunes {
				symbol := o.tune(t)
				if strings.Contains(strings.ToLower(symbol.Name), strings.ToLower(p.Query)) {
					found = flatten(found, []protocol.DocumentSymbol{{Name: symbol.Name, Kind: symbol.Kind, Range: symbol.Range}}, snap.uri, scoreName(snap.uri))
				}
			}
		}
		return found, nil
	}, nil
}
