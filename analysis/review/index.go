package review

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"

	"fourfold/analysis/rules"
)

// Row is one score of a folder: where its page is, and its figures.
type Row struct {
	File string // as the user named it
	Page string // address of the page, from the index
	Summary
}

// Broken is a file that has no page, and why.
type Broken struct{ File, Error string }

// VerdictWords say in a few words what the sign says.
func (r Row) VerdictWords() string {
	switch r.Verdict {
	case "fits":
		return "fits"
	case "slower":
		if r.Load > 1+1e-9 {
			return "too fast for it"
		}
		return rules.Count(max(1, r.Hands+r.Strings+r.Feet), "place") + " to change"
	case "stuck":
		return rules.Count(r.Stuck, "thing") + " no tempo helps"
	}
	return "no harp part"
}

// Percent is the tempo up to which it holds, in hundredths of the one asked.
func (r Row) Percent() string {
	if r.Load <= 0 {
		return ""
	}
	return fmt.Sprintf("%.0f %%", min(999, 100/r.Load))
}

// Index makes the page of a folder: a row a score, what needs most work first,
// then by name.
func Index(rows []Row, broken []Broken) ([]byte, error) {
	rows = slices.Clone(rows)
	slices.SortStableFunc(rows, func(a, b Row) int {
		return cmp.Or(cmp.Compare(b.Work(), a.Work()), cmp.Compare(a.File, b.File))
	})
	shown := make([]Row, len(rows))
	for i, r := range rows {
		r.File, r.Title = visible(r.File), visible(r.Title)
		shown[i] = r
	}
	var b bytes.Buffer
	err := indexTemplate.Execute(&b, struct {
		Rows   []Row
		Broken []Broken
		Lead   string
	}{shown, broken, indexLead(rows)})
	return b.Bytes(), err
}

func indexLead(rows []Row) string {
	count := map[string]int{}
	moves := 0
	for _, r := range rows {
		count[r.Verdict]++
		moves += r.Moves
	}
	words := fmt.Sprintf("Of %s, %s as written, %s for a slower tempo or a change, and %s something that no tempo helps.",
		rules.Count(len(rows), "score"), verb(count["fits"], "fit"), verb(count["slower"], "ask"), verb(count["stuck"], "hold"))
	if n := count["none"]; n > 0 {
		words += " " + verb(n, "hold") + " no harp part."
	}
	return words + fmt.Sprintf(" They ask for %s of pedals or levers in all.", rules.Count(moves, "move"))
}

// verb joins a number and what so many scores do: "1 fits", "2 fit".
func verb(n int, do string) string {
	if n == 1 {
		do += "s"
	}
	return fmt.Sprintf("%d %s", n, do)
}
