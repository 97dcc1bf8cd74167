package feet

// front holds the labels of one moment of which none covers another, found by
// their setting.
type front struct {
	held  []label
	dead  []bool
	older []int32 // the label before it with the same setting, or -1
	last  []int32 // for each setting's code, its latest label
	stamp []int32 // for each setting's code, the round that last is of
	round int32
}

func newFront() *front {
	const codes = 1 << (2 * Letters)
	return &front{last: make([]int32, codes), stamp: make([]int32, codes)}
}

func (f *front) clear() {
	f.held, f.dead, f.older = f.held[:0], f.dead[:0], f.older[:0]
	f.round++
}

// add puts a label in unless one that is there covers it, and takes out those
// that it covers. Of labels that cover each other the first stays.
func (f *front) add(a label) {
	code := a.code()
	head := int32(-1)
	if f.stamp[code] == f.round {
		head = f.last[code]
	}
	for k := head; k >= 0; k = f.older[k] {
		if !f.dead[k] && f.held[k].covers(&a) {
			return
		}
	}
	for k := head; k >= 0; k = f.older[k] {
		if !f.dead[k] && a.covers(&f.held[k]) {
			f.dead[k] = true
		}
	}
	f.stamp[code], f.last[code] = f.round, int32(len(f.held))
	f.held, f.dead, f.older = append(f.held, a), append(f.dead, false), append(f.older, head)
}

// labels gives what is held, in the order in which it was put in. The slice is
// the caller's.
func (f *front) labels() []label {
	out := make([]label, 0, len(f.held))
	for k := range f.held {
		if !f.dead[k] {
			out = append(out, f.held[k])
		}
	}
	return out
}
