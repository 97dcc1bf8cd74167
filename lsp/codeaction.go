package lsp

import (
	"context"
	"encoding/json"
	"slices"
	"strings"

	"go.lsp.dev/protocol"

	"fourfold/parser/score"

	wire "fourfold/lsp/protocol"
)

// producer offers code actions of one sort. The order of producers is the order in
// the menu.
type producer struct {
	kind    protocol.CodeActionKind
	produce func(context.Context, *listing) []offer
}

// producers are all sorts of code action.
var producers = []producer{
	{protocol.QuickFix, fixOffers},
	{protocol.QuickFix, selectionOffers},
	{protocol.QuickFix, kindOffers},
	{protocol.QuickFix, reasonOffers},
	{protocol.QuickFix, allowOffers},
	{wire.SourceFixAllFourfold, fixAllOffers},
	{protocol.RefactorRewrite, musicOffers},
}

// listing is one request for code actions: what it is about.
type listing struct {
	*desk
	meant    []named
	selected bool // more than a caret
	span     score.Span
	only     []protocol.CodeActionKind
}

// offer is a code action and the errand that makes its edit. One with a reason
// cannot be taken.
type offer struct {
	title       string
	diagnostics []json.RawMessage
	preferred   bool
	reason      string
	errand      errand
}

// codeAction offers the fixes of findings: of those that the client names, or,
// where it names none of ours, of those that the range touches. Every fix that is
// listed has been proved. The edits come with codeAction/resolve where the client
// can ask so, else with the list.
func (s *session) codeAction(params json.RawMessage) (work, error) {
	var p wire.CodeActionParams
	if err := decode(params, &p); err != nil {
		return nil, err
	}
	snap, err := s.snapshotOf(p.TextDocument.URI)
	if err != nil {
		return nil, err
	}
	s.mu.Lock()
	editor := s.editor
	s.mu.Unlock()
	return func(ctx context.Context) (any, error) {
		actions := []wire.CodeAction{}
		if !slices.ContainsFunc(producers, func(pr producer) bool { return wanted(p.Context.Only, pr.kind) }) {
			return actions, nil
		}
		d, err := deskOf(ctx, snap)
		if err != nil {
			return nil, err
		}
		l := &listing{desk: d, meant: d.meant(p),
			selected: p.Range.Start != p.Range.End, span: snap.lines.span(p.Range), only: p.Context.Only}
		for _, pr := range producers {
			if !wanted(l.only, pr.kind) {
				continue
			}
			for _, o := range pr.produce(ctx, l) {
				if a, ok := s.action(ctx, l, editor, pr.kind, o, p.Context.TriggerKind == wire.TriggerAutomatic); ok {
					actions = append(actions, a)
				}
			}
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if !s.isNewest(snap) {
			return nil, errModified
		}
		return actions, nil
	}, nil
}

// action says an offer in the protocol's words, as this editor reads them. False
// for what this editor cannot be offered.
func (s *session) action(ctx context.Context, l *listing, e editor, kind protocol.CodeActionKind, o offer, automatic bool) (wire.CodeAction, bool) {
	a := wire.CodeAction{Title: o.title, Kind: kind, Diagnostics: o.diagnostics, IsPreferred: o.preferred && e.preferred}
	switch {
	case o.reason != "":
		a.Disabled = &wire.Disabled{Reason: o.reason}
		return a, e.disabled
	case e.resolves:
		a.Data = o.errand.data(s, l.snap)
		return a, a.Data != nil
	case o.errand.slow && (automatic || kind != protocol.QuickFix && len(l.only) == 0):
		return a, false // worked out for nothing each time that the cursor moves
	}
	if o.errand.slow && l.read(ctx) != nil {
		return a, false
	}
	ctx, cancel := context.WithTimeout(ctx, s.budget.listed)
	defer cancel()
	done, ok := o.errand.run(ctx, l.desk)
	if !ok || len(done.edits) == 0 {
		return a, false
	}
	if done.count != "" {
		a.Title += ": " + done.count
	}
	edit := s.workspaceEdit(l.snap, done.edits)
	a.Edit = &edit
	return a, true
}

// wanted says whether a client that asks only for some kinds wants this one.
// Kinds are a hierarchy: quickfix holds quickfix.notes.
func wanted(only []protocol.CodeActionKind, kind protocol.CodeActionKind) bool {
	if len(only) == 0 {
		return true
	}
	return slices.ContainsFunc(only, func(k protocol.CodeActionKind) bool {
		return k == "" || k == kind || strings.HasPrefix(string(kind), string(k)+".")
	})
}
