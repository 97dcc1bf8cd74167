package lsp

import (
	"context"
	"encoding/json"

	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"

	"fourfold/parser/score"

	wire "fourfold/lsp/protocol"
)

// What an editor can do with the names of voices, macros, symbols and parts: go to
// where one is given, list where it stands, and give another.

// namesAt are all places of the name at a byte of the text, and the one that
// stands there; false where none does. Just behind a name is still at it.
func namesAt(snap *snapshot, offset int) (all []score.Name, here score.Name, ok bool) {
	names := score.Names(snap.tree())
	for _, n := range names {
		if n.Span.Start <= offset && (offset < n.Span.End || offset == n.Span.End && !ok) {
			here, ok = n, true
		}
	}
	if !ok {
		return nil, here, false
	}
	for _, n := range names {
		if n.Kind == here.Kind && n.Text == here.Text && n.Scope == here.Scope {
			all = append(all, n)
		}
	}
	return all, here, true
}

// definition goes to the field that gives the name. A letter that has its meaning
// without U: is defined nowhere.
func (s *session) definition(params json.RawMessage) (work, error) {
	var p wire.PositionParams
	snap, err := s.subject(params, &p, &p.TextDocument)
	if err != nil {
		return nil, err
	}
	return placesOf(snap, p.Position, func(n score.Name) bool { return n.Defines }), nil
}

// references lists where the name stands, with the field that gives it where the
// client wants that too.
func (s *session) references(params json.RawMessage) (work, error) {
	var p wire.ReferenceParams
	snap, err := s.subject(params, &p, &p.TextDocument)
	if err != nil {
		return nil, err
	}
	return placesOf(snap, p.Position, func(n score.Name) bool { return !n.Defines || p.Context.IncludeDeclaration }), nil
}

// placesOf lists those places of the name at a position that are wanted.
func placesOf(snap *snapshot, at wire.Position, want func(score.Name) bool) work {
	return func(context.Context) (any, error) {
		places := []protocol.Location{}
		all, _, _ := namesAt(snap, snap.lines.offset(at))
		for _, n := range all {
			if want(n) {
				places = append(places, location(snap, n.Span))
			}
		}
		return places, nil
	}
}

func location(snap *snapshot, span score.Span) protocol.Location {
	return protocol.Location{URI: protocol.DocumentURI(snap.uri), Range: snap.lines.lineRange(span)}
}

// prepareRename marks the name that would be changed, with what it is called now.
// A letter that U: does not define cannot get another name.
func (s *session) prepareRename(params json.RawMessage) (work, error) {
	var p wire.PositionParams
	snap, err := s.subject(params, &p, &p.TextDocument)
	if err != nil {
		return nil, err
	}
	return func(context.Context) (any, error) {
		all, here, ok := namesAt(snap, snap.lines.offset(p.Position))
		if !ok || !canBeRenamed(all) {
			return nil, nil
		}
		return wire.PrepareRenameResult{Range: snap.lines.lineRange(here.Span), Placeholder: here.Text}, nil
	}, nil
}

// canBeRenamed says whether the file gives the name itself.
func canBeRenamed(all []score.Name) bool {
	for _, n := range all {
		if n.Defines {
			return true
		}
	}
	return all[0].Kind == score.VoiceName || all[0].Kind == score.PartName
}

// rename gives another name, everywhere where the old one stands.
func (s *session) rename(params json.RawMessage) (work, error) {
	var p wire.RenameParams
	snap, err := s.subject(params, &p, &p.TextDocument)
	if err != nil {
		return nil, err
	}
	return func(context.Context) (any, error) {
		all, here, ok := namesAt(snap, snap.lines.offset(p.Position))
		if !ok || !canBeRenamed(all) {
			return nil, refused("no voice, macro, symbol or part is named here by this file: put the cursor on its name")
		}
		if why := badName(snap, here, p.NewName); why != "" {
			return nil, refused(why)
		}
		var edits []score.Edit
		for _, n := range all {
			text, ok := n.Renamed(snap.written(n.Span), p.NewName)
			if !ok {
				return nil, refused("a macro that ends in n stands for any note, and only such a one can be called so: the new name must " + map[bool]string{true: "end in n too", false: "not end in n"}[here.Moving])
			}
			edits = append(edits, score.Edit{Span: n.Span, Text: text})
		}
		if here.Kind == score.MacroName && !score.SameNotes(string(snap.text()), string(score.Apply(snap.text(), edits))) {
			return nil, refused("`" + p.NewName + "` stands in the music already, and would become a macro there: choose another name")
		}
		if !s.isNewest(snap) {
			return nil, errModified
		}
		return s.workspaceEdit(snap, edits), nil
	}, nil
}

// refused is the answer to a name that cannot be given.
func refused(why string) error { return jsonrpc2.NewError(wire.CodeRequestFailed, why) }

// badName says why a name of a kind cannot be what the user wants; "" where it
// can.
func badName(snap *snapshot, here score.Name, name string) string {
	if name == here.Text {
		return ""
	}
	if why := here.Check(name); why != "" {
		return why
	}
	for _, n := range score.Names(snap.tree()) {
		if n.Kind == here.Kind && n.Text == name && (n.Scope == here.Scope || n.Scope < 0 || here.Scope < 0) {
			return "`" + name + "` has a meaning here already: choose another name"
		}
	}
	return ""
}
