package hands

// blockLen is how many strokes lie between two checkpoints.
const blockLen = 64

// block is the values of the states of a stretch of strokes.
type block [blockLen]values

// checkpoint is the values at a block's first strokes: enough to go on from there
// towards the beginning, since no placing has more strokes.
type checkpoint [mostStrings]values

// table holds the values of a programme in blocks.
type table struct {
	blocks []*block
}

func newTable(strokes int) *table {
	return &table{blocks: make([]*block, (strokes+blockLen-1)/blockLen)}
}

// values gives the place for the values of the states that start at stroke i.
func (t *table) values(i int) *values {
	b := &t.blocks[i/blockLen]
	if *b == nil {
		*b = new(block)
	}
	return &(*b)[i%blockLen]
}
