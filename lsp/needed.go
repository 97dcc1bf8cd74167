package lsp

import (
	"fmt"

	"go.lsp.dev/protocol"

	"fourfold/analysis"
)

// mostPublished is how many findings of an open document a client gets at once. An editor shows a
// screenful, and a list of thousands takes longer to send and to draw than to find.
const mostPublished = 200

// needed are the findings that a client needs: all, up to mostPublished; beyond, those
// nearest to the last edit and the gravest, and one more that says how many are left
// out and who lists them.
func (s *session) needed(snap *snapshot, g *analysis.Glimpse) []protocol.Diagnostic {
	point := 0
	if snap.typing != nil {
		point = snap.typing.point
	}
	findings, more := g.Pick(mostPublished, point)
	list := s.diagnostics(snap, shown(snap, g.Score(), findings))
	if more > 0 {
		list = append(list, protocol.Diagnostic{
			Severity: protocol.DiagnosticSeverityInformation, Source: source,
			Message: fmt.Sprintf("%d more findings are not shown here: these are the nearest to the last edit, and the gravest. `fourfold check` lists all.", more),
		})
	}
	return list
}
