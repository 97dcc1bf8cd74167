package lsp

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"

	"go.lsp.dev/protocol"

	"fourfold/analysis/rules"

	wire "fourfold/lsp/protocol"
)

// checkWorkspace checks every score of the workspace and tells the sum. A client
// that pulls has the findings already, or asks for them; one that does not is
// published those of the scores that are not open.
func (s *session) checkWorkspace(_ []json.RawMessage, told *progress) (work, error) {
	return func(ctx context.Context) (any, error) {
		if len(s.workspaceFolders()) == 0 {
			s.show(protocol.MessageTypeWarning, "No folder is open: open the folder of the scores in the editor, then check it.")
			return wire.WorkspaceCheck{}, nil
		}
		told.begin("Checking scores")
		var sum wire.WorkspaceCheck
		err := s.checkScores(ctx, s.toldClosed(), func(done, all int, c checked) error {
			if c.found == nil { // it is no longer there
				c.found = []protocol.Diagnostic{}
				s.publishClosed(c)
				return nil
			}
			told.report(done, all, fmt.Sprintf("%d of %d", done, all))
			sum.Scores++
			errors, warnings := gravity(c.found)
			switch {
			case errors > 0:
				sum.Errors++
			case warnings > 0:
				sum.Warnings++
			}
			if errors+warnings > 0 {
				s.client.logMessage(protocol.MessageTypeInfo, fmt.Sprintf("%s: %s, %s", scoreName(c.uri), rules.Count(errors, "error"), rules.Count(warnings, "warning")))
			}
			s.publishClosed(c)
			return nil
		})
		told.end(checkWords(sum))
		if err != nil {
			return nil, err
		}
		s.show(protocol.MessageTypeInfo, checkWords(sum))
		return sum, nil
	}, nil
}

// gravity counts the errors and the warnings of a list.
func gravity(list []protocol.Diagnostic) (errors, warnings int) {
	for _, d := range list {
		switch d.Severity {
		case protocol.DiagnosticSeverityError:
			errors++
		case protocol.DiagnosticSeverityWarning:
			warnings++
		}
	}
	return errors, warnings
}

// checkWords say what a check has found: "12 scores checked: 3 have errors, 4
// warnings, 5 neither."
func checkWords(c wire.WorkspaceCheck) string {
	fine := c.Scores - c.Errors - c.Warnings
	if c.Scores == 0 {
		return "There is no score (a file whose name ends in .abc) in the folder."
	}
	if fine == c.Scores {
		return rules.Count(c.Scores, "score") + " checked: nothing to change."
	}
	var parts []string
	for _, p := range []struct {
		n    int
		what string
	}{{c.Errors, "with errors"}, {c.Warnings, "with warnings"}, {fine, "with neither"}} {
		if p.n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", p.n, p.what))
		}
	}
	return rules.Count(c.Scores, "score") + " checked: " + strings.Join(parts, ", ") + "."
}

// toldClosed are the scores that are not open and whose findings the client has.
// The check then says which of them are gone.
func (s *session) toldClosed() map[string]string {
	s.mu.Lock()
	defer s.mu.Unlock()
	told := map[string]string{}
	for uri, some := range s.published {
		if some {
			told[uri] = ""
		}
	}
	return told
}

// publishClosed tells the findings on a score that is not open; and that there
// are none any more, if there were some.
func (s *session) publishClosed(c checked) {
	s.mu.Lock()
	_, open := s.docs[c.uri]
	before := s.published[c.uri]
	if !open {
		s.published[c.uri] = len(c.found) > 0
	}
	s.mu.Unlock()
	if !open && (before || len(c.found) > 0) {
		s.publish(wire.PublishDiagnosticsParams{URI: c.uri, Diagnostics: c.found})
	}
}
