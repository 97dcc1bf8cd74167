package score

// column is a long row of small numbers, two bytes each; the few that need more
// stand aside.
type column struct {
	chunks [][]uint16
	n      int
	wide   map[int]uint32
}

const (
	columnChunk = 1024
	isWide      = 1<<16 - 1
)

func (c *column) add(x uint32) {
	last := len(c.chunks) - 1
	if last < 0 || len(c.chunks[last]) == columnChunk {
		c.chunks = append(c.chunks, nil)
		if last++; last > 0 {
			c.chunks[last] = make([]uint16, 0, columnChunk)
		}
	}
	c.chunks[last] = append(c.chunks[last], 0)
	c.n++
	c.set(c.n-1, x)
}

func (c *column) set(i int, x uint32) {
	if x >= isWide {
		if c.wide == nil {
			c.wide = map[int]uint32{}
		}
		c.wide[i] = x
		x = isWide
	}
	c.chunks[i/columnChunk][i%columnChunk] = uint16(x)
}

func (c *column) at(i int) uint32 {
	if x := c.chunks[i/columnChunk][i%columnChunk]; x != isWide {
		return uint32(x)
	}
	return c.wide[i]
}
