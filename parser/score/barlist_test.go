package score

import (
	"bytes"
	"math/rand/v2"
	"testing"

	"fourfold/parser/syntax"

	"github.com/stretchr/testify/require"
)

// TestBarList does the same to lists that share chunks and to plain rows.
func TestBarList(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	contents := make([]Content, 9)
	any := func() Bar { return Bar{random.IntN(10000), &contents[random.IntN(len(contents))]} }
	lists, rows := []barList{{}}, [][]Bar{nil}
	for range 120 {
		k := random.IntN(len(lists))
		from := random.IntN(len(rows[k]) + 1)
		to := from + random.IntN(len(rows[k])-from+1)
		by := random.IntN(100) - 50
		var l barList
		var row []Bar
		l.share(&lists[k], 0, from, 0)
		row = append(row, rows[k][:from]...)
		for range random.IntN(300) {
			b := any()
			l.add(b)
			row = append(row, b)
		}
		l.share(&lists[k], to, len(rows[k]), by)
		for _, b := range rows[k][to:] {
			row = append(row, Bar{b.Start + by, b.Content})
		}
		for range random.IntN(4) {
			if len(row) > 0 {
				i, b := random.IntN(len(row)), any()
				l.set(i, b)
				row[i] = b
			}
		}
		lists, rows = append(lists, l), append(rows, row)
		if len(lists) > 12 {
			lists, rows = lists[1:], rows[1:]
		}
		for i := range lists {
			require.Equal(t, len(rows[i]), lists[i].n)
			require.LessOrEqual(t, len(lists[i].chunks), 2+2*lists[i].n/smallChunk)
			for b := range rows[i] {
				require.True(t, rows[i][b] == lists[i].at(b) && rows[i][b].Start == lists[i].start(b))
			}
		}
	}
}

// TestUpdateLong edits a part of many chunks of bars and compares with a fresh reading.
func TestUpdateLong(t *testing.T) {
	file := syntax.Parse(harpPart(1400))
	s := Build(file)
	random := rand.New(rand.NewPCG(5, 6))
	pieces := []string{"c", "c", "|", "^f", "-", "Z3|", "[V:RH] c8|d8|e8|\n", "V:LH\n", "(", "!f!", "{c}", "Z300|", "z8|"}
	for range 40 {
		size := len(file.Text())
		start := random.IntN(size + 1)
		end := min(size, start+[]int{0, 0, 1, 2, 300, 3000}[random.IntN(6)])
		next := file.Edit(start, end, []byte(pieces[random.IntN(len(pieces))]))
		updated, fresh := Update(s, file, next), syntax.Parse(bytes.Clone(next.Text()))
		requireSameFile(t, fresh, next)
		requireSameScore(t, Build(fresh), updated)
		requireSameChange(t, s, updated, len(next.Text())-size)
		file, s = next, updated
	}
}
