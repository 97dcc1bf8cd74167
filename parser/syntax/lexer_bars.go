package syntax

// barLength measures the bar line that starts here, 0 where none does. Any run
// of | [ ] : is a bar line, but a [ that opens a field, an ending or a chord is
// not part of it, and a lone colon is none.
func (m *music) barLength() int {
	i := 0
	c := m.peek(0)
	switch c {
	case '|':
	case '.':
		if m.peek(1) != '|' {
			return 0
		}
		i = 1
	case ':':
		if d := m.peek(1); d != '|' && d != ':' && d != ']' {
			return 0
		}
	case '[':
		if d := m.peek(1); d != '|' && d != ']' && !(d == ':' && (m.peek(2) == '|' || m.peek(2) == ':')) {
			return 0
		}
	case ']':
		if d := m.peek(1); m.chord || d != '|' && d != ':' {
			return 0
		}
	default:
		return 0
	}
	for {
		switch m.peek(i) {
		case '|', ':':
			i++
		case ']':
			i++
		case '[':
			if d := m.peek(i + 1); d != '|' && d != ']' {
				return i
			}
			i++
		default:
			return i
		}
	}
}
