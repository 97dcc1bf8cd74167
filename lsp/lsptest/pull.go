package lsptest

import (
	"context"
	"encoding/json"
)

// Report is a pulled list of findings, or says that nothing has changed.
type Report struct {
	Kind     string // "full" or "unchanged"
	ResultID string
	Items    []Diagnostic

	// Of a report on the workspace:
	URI     string
	Version *int
}

// Pull asks for the findings on a document. previous is "" for none.
func (c *Client) Pull(ctx context.Context, uri, previous string) (r Report, err error) {
	params := map[string]any{"textDocument": map[string]any{"uri": uri}}
	if previous != "" {
		params["previousResultId"] = previous
	}
	err = c.Request(ctx, "textDocument/diagnostic", params, &r)
	return r, err
}

// PullWorkspace asks for the findings on the workspace. previous are ids by URI;
// the tokens, as written, may be "".
func (c *Client) PullWorkspace(ctx context.Context, previous map[string]string, workDone, partial string) ([]Report, error) {
	ids := []map[string]string{}
	for uri, id := range previous {
		ids = append(ids, map[string]string{"uri": uri, "value": id})
	}
	params := map[string]any{"previousResultIds": ids}
	if workDone != "" {
		params["workDoneToken"] = json.RawMessage(workDone)
	}
	if partial != "" {
		params["partialResultToken"] = json.RawMessage(partial)
	}
	var whole struct{ Items []Report }
	err := c.Request(ctx, "workspace/diagnostic", params, &whole)
	return whole.Items, err
}
