package lsp

import (
	"context"
	"fmt"
	"reflect"
	"slices"

	"fourfold/analysis/fix"
	"fourfold/analysis/rules"
)

// mostAnswered is for how many findings of a request the fixes are listed one by
// one, the worst first. A menu over more is not read; a selection is fixed whole.
const mostAnswered = 6

// answered are the findings that a list goes into.
func (l *listing) answered() []named { return l.meant[:min(len(l.meant), mostAnswered)] }

// listed is a fix in a menu.
type listed struct {
	fix.Fix
	of    rules.Finding
	offer int // where it stands among the offers
}

// fixOffers are the proved fixes of each finding, the preferred one first. A change
// that answers two findings is offered once, with the marks of both.
func fixOffers(ctx context.Context, l *listing) (out []offer) {
	var all []listed
	for _, m := range l.answered() {
		for i, x := range l.Answer(ctx, m.finding).Fixes {
			same := slices.IndexFunc(all, func(y listed) bool { return reflect.DeepEqual(x.Edits, y.Edits) })
			if same >= 0 {
				o := &out[all[same].offer]
				o.diagnostics = append(o.diagnostics, m.diagnostics...)
				continue
			}
			all = append(all, listed{x, m.finding, len(out)})
			out = append(out, offer{title: x.Title, diagnostics: m.diagnostics, preferred: i == 0,
				errand: errand{What: "fix", Title: x.Title}.about(m.finding)})
		}
	}
	tellApart(all, out)
	return out
}

// tellApart says of fixes with the same words where they are.
func tellApart(all []listed, out []offer) {
	count := map[string]int{}
	for _, o := range out {
		count[o.title]++
	}
	for i, o := range out {
		if count[o.title] > 1 {
			out[i].title = fmt.Sprintf("%s – bar %d, %s", o.title, all[i].of.Bar, all[i].of.Voice)
		}
	}
}

// fixErrand finds the fix again among those of its finding.
func fixErrand(ctx context.Context, d *desk, e errand) (done, bool) {
	f, ok := d.find(e.finding())
	if !ok {
		return done{}, false
	}
	fixes := d.Answer(ctx, f).Fixes
	i := slices.IndexFunc(fixes, func(x fix.Fix) bool { return x.Title == e.Title })
	if i < 0 {
		return done{}, false
	}
	return done{edits: fixes[i].Edits}, true
}

// reasonOffers say of each finding without a fix why it has none: actions that
// cannot be taken, for editors that show them.
func reasonOffers(ctx context.Context, l *listing) (out []offer) {
	for _, m := range l.answered() {
		if why := l.Answer(ctx, m.finding).Why; why != "" {
			out = append(out, offer{title: fmt.Sprintf("No change is known that mends %s here", m.finding.Rule), reason: why, diagnostics: m.diagnostics})
		}
	}
	return out
}
