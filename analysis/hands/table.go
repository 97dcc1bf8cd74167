package hands

import (
	"slices"
	"sync"
)

// blockLen is how many strokes lie between two checkpoints.
const blockLen = 64

// block is the values of the states of a stretch of strokes.
type block struct {
	values [blockLen]values
	done   [blockLen]bool
	steps  [blockLen]*step // as they are remembered; nil for those that are not
}

// table holds the values of a programme, as far as they are worked out.
type table struct {
	blocks      []*block
	checkpoints []checkpoint // in order of place
}

func newTable(strokes int) *table {
	return &table{blocks: make([]*block, (strokes+blockLen-1)/blockLen)}
}

func (t *table) block(i int) *block {
	b := &t.blocks[i/blockLen]
	if *b == nil {
		*b = blocks.Get().(*block)
		**b = block{}
	}
	return *b
}

// blocks are those of tables that are of no more use.
var blocks = sync.Pool{New: func() any { return new(block) }}

// end gives the blocks back.
func (t *table) end() {
	for _, b := range t.blocks {
		if b != nil {
			clear(b.steps[:])
			blocks.Put(b)
		}
	}
	t.blocks = nil
}

// values gives the place for the values of the states that start at stroke i.
func (t *table) values(i int) *values { return &t.block(i).values[i%blockLen] }

func (t *table) done(i int) bool {
	return t.blocks[i/blockLen] != nil && t.blocks[i/blockLen].done[i%blockLen]
}

// step is what is remembered of stroke i; nil for nothing.
func (t *table) step(i int) *step {
	if b := t.blocks[i/blockLen]; b != nil {
		return b.steps[i%blockLen]
	}
	return nil
}

func (t *table) remember(i int, s *step) { t.block(i).steps[i%blockLen] = s }

func (t *table) finish(i int) { t.block(i).done[i%blockLen] = true }

// checkpoint is the values of the states that start at four strokes in a row: enough
// to go on from there towards the beginning, since no placing has more strokes. The
// rest of a table can be dropped, and be worked out again from there.
type checkpoint struct {
	at      int   // the first of the strokes
	more    value // to be added to each of the values
	columns *[mostStrings]values
}

// keep writes down the values at stroke i and the three after it.
func (t *table) keep(i int) checkpoint {
	c := checkpoint{at: i, columns: new([mostStrings]values)}
	for n := range c.columns {
		c.columns[n] = *t.values(i + n)
	}
	return c
}

// load brings the values of a checkpoint back.
func (t *table) load(c *checkpoint) {
	for n := range c.columns {
		to := t.values(c.at + n)
		for s, v := range c.columns[n] {
			to[s] = value{cost: v.cost + c.more.cost, placings: v.placings + c.more.placings}
		}
		t.finish(c.at + n)
	}
}

// after finds the first checkpoint at stroke i or later.
func (t *table) after(i int) (int, bool) {
	n, _ := slices.BinarySearchFunc(t.checkpoints, i, func(c checkpoint, i int) int { return c.at - i })
	return n, n < len(t.checkpoints)
}

// ensure works out the values of stroke i, from the next checkpoint or from the end.
func (p *programme) ensure(i int) {
	if p.table.done(i) {
		return
	}
	from := len(p.strokes)
	if n, ok := p.table.after(i); ok {
		c := &p.table.checkpoints[n]
		from = c.at
		if !p.table.done(c.at) {
			p.table.load(c)
		}
	}
	for j := from - 1; j >= i; j-- {
		if !p.table.done(j) {
			p.step(j)
		}
	}
}
