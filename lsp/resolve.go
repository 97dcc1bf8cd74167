package lsp

import (
	"context"
	"encoding/json"
	"hash/maphash"
	"slices"
	"strings"

	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"

	"fourfold/analysis/rules"
	"fourfold/parser/score"

	wire "fourfold/lsp/protocol"
)

// methodResolve is not in the library.
const methodResolve = "codeAction/resolve"

// errModified answers for a text that is no longer there.
var errModified = jsonrpc2.NewError(protocol.CodeContentModified, "the text has changed since: ask again")

// errand is what a code action does once it is picked. It says all that is needed to
// do it again on the same text, so that it can travel to the client and back: the
// server keeps nothing between a list and the pick.
type errand struct {
	What  string `json:"what"`            // which of errands
	Rule  string `json:"rule,omitempty"`  // of the finding, or of the kind that is fixed
	Hand  string `json:"hand,omitempty"`  // of the finding
	Voice string `json:"voice,omitempty"` // of the finding
	Tune  string `json:"tune,omitempty"`  // of the finding, or the only one that is fixed
	From  int    `json:"from"`            // bytes: the finding, or what is selected
	To    int    `json:"to"`
	Title string `json:"title,omitempty"` // of the fix among those of its finding
	slow  bool
}

// done is what came of an errand: the edits, and what is to be said of it.
type done struct {
	edits []score.Edit
	count string // how many places are mended and how many stay; "" where none does
	said  string // the same, and which stay and why
	loud  bool   // said in a message, not in the log
}

// errands do what a code action says. False for what the reading does not know.
var errands = map[string]struct {
	do    func(context.Context, *desk, errand) (done, bool)
	whole bool // it asks the reading of the whole
}{
	"fix":       {fixErrand, false},
	"allow":     {allowErrand, false},
	"kind":      {kindErrand, true},
	"selection": {selectionErrand, true},
	"all":       {allErrand, true},
	"music":     {musicErrand, true},
}

// run does an errand. What asks the whole needs a desk that has read it.
func (e errand) run(ctx context.Context, d *desk) (done, bool) {
	is, ok := errands[e.What]
	if !ok || is.whole && d.reading == nil {
		return done{}, false
	}
	return is.do(ctx, d, e)
}

// about names a finding.
func (e errand) about(f rules.Finding) errand {
	e.Rule, e.Hand, e.Voice, e.Tune = f.Rule, f.Hand, f.Voice, f.Tune
	e.From, e.To = f.Span.Start, f.Span.End
	return e
}

// finding is what it is known by.
func (e errand) finding() rules.Finding {
	return rules.Finding{Rule: e.Rule, Hand: e.Hand, Voice: e.Voice, Tune: e.Tune, Span: score.Span{Start: e.From, End: e.To}}
}

// carried is an errand on its way: what it does, and to which text. A version alone
// would not name the text: it begins anew when a document is opened again.
type carried struct {
	errand
	URI  string `json:"uri"`
	Text uint64 `json:"text,string"`
}

// data packs an errand for the client; nil if that cannot be.
func (e errand) data(s *session, snap *snapshot) json.RawMessage {
	raw, err := json.Marshal(carried{e, snap.uri, s.mark(snap)})
	if err != nil {
		return nil
	}
	return raw
}

// mark tells texts apart within a session.
func (s *session) mark(snap *snapshot) uint64 { return maphash.Bytes(s.seed, snap.text()) }

// resolve makes the edit of a code action that was picked. A text that has changed
// since is answered with ContentModified: an edit of the older one would be wrong.
// What the client sent comes back with the edit, field by field.
func (s *session) resolve(params json.RawMessage) (work, error) {
	var p struct {
		Data *carried `json:"data"`
	}
	action := map[string]json.RawMessage{}
	if err := decode(params, &action); err != nil {
		return nil, err
	}
	if err := decode(params, &p); err != nil {
		return nil, err
	}
	give := func(context.Context) (any, error) { return action, nil }
	if p.Data == nil {
		return give, nil
	}
	snap, err := s.snapshotOf(p.Data.URI)
	if err != nil || s.mark(snap) != p.Data.Text {
		return nil, errModified
	}
	return func(ctx context.Context) (any, error) {
		desk, err := deskOf(ctx, snap)
		if err == nil && errands[p.Data.What].whole {
			err = desk.read(ctx)
		}
		if err != nil {
			return nil, err
		}
		within, cancel := context.WithTimeout(ctx, s.budget.picked)
		defer cancel()
		d, ok := p.Data.run(within, desk)
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if !ok || !s.isNewest(snap) {
			return nil, errModified
		}
		if action["edit"], err = json.Marshal(s.workspaceEdit(snap, d.edits)); err != nil {
			return nil, err
		}
		s.say(d)
		return action, nil
	}, nil
}

// say tells the user what an action could not do.
func (s *session) say(d done) {
	switch {
	case d.said == "":
	case d.loud:
		go s.client.showMessage(protocol.MessageTypeInfo, d.said)
	default:
		go s.client.logMessage(protocol.MessageTypeInfo, strings.TrimSpace(d.said))
	}
}

// resolves says whether a client can ask for the edit later and keeps what it is
// given for it.
func resolves(c wire.CodeActionCapabilities) bool {
	return c.DataSupport && slices.Contains(c.ResolveSupport.Properties, "edit")
}
