package syntax

// Breaks says which signs end a line of the printed score.
type Breaks uint8

// The signs of I:linebreak.
const (
	BreakEOL Breaks = 1 << iota
	BreakDollar
	BreakBang
)

// Dialect is what changes how a line of music is cut into leaves.
type Dialect struct {
	Strict bool   // the version line asks for 2.1 or later
	Plus   bool   // +name+ is a decoration
	Breaks Breaks // which signs break a line
}

// DefaultDialect is ABC 2.1 without any instruction, read loosely.
func DefaultDialect() Dialect { return Dialect{Breaks: BreakEOL | BreakDollar} }

// blockKind tells the text blocks apart, each closed by its own %%end line.
type blockKind uint8

const (
	noBlock blockKind = iota
	textBlock
	psBlock
	svgBlock
	mlBlock
)

var blockNames = map[string]blockKind{"text": textBlock, "ps": psBlock, "svg": svgBlock, "ml": mlBlock}

// state is what one line hands to the next. It is comparable: where a new
// reading meets an old line in the state that it was read in, the rest stands.
type state struct {
	zone   Zone
	first  bool // nothing has been read yet
	block  blockKind
	blank  bool // an empty line stood inside the block
	inH    bool // an H: field may go on over bare lines
	file   Dialect
	tune   Dialect
	fields bool // the file header holds a field or a directive
}

func startState() state {
	d := DefaultDialect()
	return state{zone: HeaderZone, first: true, file: d, tune: d}
}

// leaveTune goes back to what the file header set.
func (s *state) leaveTune() {
	s.zone, s.tune, s.inH = FreeZone, s.file, false
}
