package lsp

import (
	"encoding/json"

	"go.lsp.dev/protocol"

	wire "fourfold/lsp/protocol"
)

// progress tells a client how far a request has come. Without a token it tells
// nothing.
type progress struct {
	client client
	token  json.RawMessage
	told   uint32 // the percentage told last
}

func (p *progress) send(value wire.WorkDoneProgress) {
	if len(p.token) > 0 {
		p.client.notify(protocol.MethodProgress, wire.ProgressParams{Token: p.token, Value: value})
	}
}

// begin opens the report.
func (p *progress) begin(title string) {
	p.send(wire.WorkDoneProgress{Kind: protocol.WorkDoneProgressKindBegin, Title: title, Cancellable: true, Percentage: new(uint32)})
}

// report tells that so many of all are done, if that changes the percentage.
func (p *progress) report(done, all int, message string) {
	percentage := uint32(done * 100 / max(all, 1))
	if percentage == p.told {
		return
	}
	p.told = percentage
	p.send(wire.WorkDoneProgress{Kind: protocol.WorkDoneProgressKindReport, Message: message, Percentage: &percentage})
}

// end closes the report, also of a request that was cancelled.
func (p *progress) end(message string) {
	p.send(wire.WorkDoneProgress{Kind: protocol.WorkDoneProgressKindEnd, Message: message})
}
