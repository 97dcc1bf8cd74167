package lsp

import (
	"context"
	"encoding/json"

	"go.lsp.dev/protocol"

	"fourfold/analysis"
	"fourfold/analysis/rules"
	"fourfold/parser/score"

	wire "fourfold/lsp/protocol"
)

// pedalMarks is the action of the analysis that writes a part's pedal plan.
const pedalMarks = "pedals/marks"

// writePedalPlan writes the pedal plan of every part of a score into it, as marks
// over the notes. The editor is asked to make the change, so that one undo takes it
// back.
func (s *session) writePedalPlan(arguments []json.RawMessage, told *progress) (work, error) {
	snap, err := s.documentArgument(arguments)
	if err != nil {
		return nil, err
	}
	return snap.withReading(func(ctx context.Context, reading *analysis.Reading) (any, error) {
		told.begin("Planning the pedals")
		defer told.end("")
		edits, why, err := pedalPlanEdits(ctx, reading)
		switch {
		case err != nil:
			return nil, err
		case len(edits) == 0:
			s.show(protocol.MessageTypeInfo, why)
			return wire.Applied{}, nil
		case !s.asked().appliesEdits:
			s.show(protocol.MessageTypeWarning, "This editor does not let the server change the text: `fourfold pedals` prints the plan.")
			return wire.Applied{}, nil
		case !s.isNewest(snap):
			return nil, errModified
		}
		var applied wire.Applied
		err = s.client.call(protocol.MethodWorkspaceApplyEdit, wire.ApplyEditParams{Label: "Write the pedal plan", Edit: s.workspaceEdit(snap, edits)}, &applied)
		if err != nil {
			return nil, err
		}
		if !applied.Applied {
			s.show(protocol.MessageTypeWarning, "The editor did not take the pedal plan: the text may have changed meanwhile. Ask again.")
		}
		return applied, nil
	}), nil
}

// pedalPlanEdits are the marks of all parts, or why there are none.
func pedalPlanEdits(ctx context.Context, reading *analysis.Reading) (edits []score.Edit, why string, err error) {
	why = "There is no part for a harp with pedals here: name a voice Harp, brace two staves, or add a line `%%fourfold harp RH LH`."
	for _, part := range reading.Parts() {
		at, ok := firstNote(part)
		if !ok {
			continue
		}
		acted, err := reading.Act(ctx, pedalMarks, score.Span{Start: at, End: at})
		if err != nil {
			return nil, "", err
		}
		edits = append(edits, acted.Edits...)
		if acted.Why != "" {
			why = acted.Why
		}
	}
	return edits, why, nil
}

// firstNote is where a part of a harp with pedals has its first bar.
func firstNote(part *rules.Part) (int, bool) {
	if part.Pedals == nil {
		return 0, false
	}
	for _, v := range part.Player.Voices() {
		if v.Len() > 0 {
			return v.BarStart(0), true
		}
	}
	return 0, false
}
