package lsp

import (
	"context"
	"encoding/json"
	"fmt"

	"go.lsp.dev/protocol"

	wire "fourfold/lsp/protocol"
)

// mostInPart is how many reports a partial result holds at most.
const mostInPart = 32

// workspaceDiagnostic gives the findings on every score of the workspace. With a
// token for partial results they come as they are found, and the answer is empty.
func (s *session) workspaceDiagnostic(params json.RawMessage) (work, error) {
	var p wire.WorkspaceDiagnosticParams
	if err := decode(params, &p); err != nil {
		return nil, err
	}
	previous := map[string]string{}
	for _, r := range p.PreviousResultIDs {
		previous[r.URI] = r.Value
	}
	return func(ctx context.Context) (any, error) {
		told := progress{client: s.client, token: p.WorkDoneToken}
		told.begin("Checking scores")
		found, last := parts{client: s.client, token: p.PartialResultToken}, ""
		err := s.checkScores(ctx, previous, func(done, all int, c checked) error {
			found.add(c)
			last = fmt.Sprintf("%d of %d", done, all)
			told.report(done, all, last)
			return nil
		})
		found.flush()
		told.end(last)
		if err != nil {
			return nil, err
		}
		if found.reports == nil {
			found.reports = []wire.DocumentDiagnosticReport{}
		}
		return wire.WorkspaceDiagnosticReport{Items: found.reports}, nil
	}, nil
}

// parts collects reports, and sends them in parts if the client takes those.
type parts struct {
	client  client
	token   json.RawMessage
	reports []wire.DocumentDiagnosticReport
}

func (p *parts) add(c checked) {
	r := wire.Full(c.id, c.found)
	if c.known {
		r = wire.Unchanged(c.id)
	}
	p.reports = append(p.reports, r.For(c.uri, c.version))
	if len(p.reports) == mostInPart || !c.known {
		p.flush()
	}
}

// flush sends what has been collected; without a token it stays for the answer.
func (p *parts) flush() {
	if len(p.token) == 0 {
		return
	}
	if len(p.reports) > 0 {
		p.client.notify(protocol.MethodProgress, wire.ProgressParams{
			Token: p.token, Value: wire.WorkspaceDiagnosticReport{Items: p.reports}})
	}
	p.reports = nil
}
