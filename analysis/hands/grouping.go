package hands

import "slices"

// grouping says which stroke of a placing plucks each of its strings, from the lowest
// string up.
type grouping struct {
	k      int // how many strings
	stroke [mostStrings]int8
}

// grouping is that of the lane's placing.
func (p *programme) grouping(l *lane) (g grouping) {
	var strings [mostStrings]int
	for n, s := range p.strokes[l.from : l.to+1] {
		for _, string := range s.counted() {
			j := g.k
			for ; j > 0 && strings[j-1] > string; j-- {
				strings[j], g.stroke[j] = strings[j-1], g.stroke[j-1]
			}
			strings[j], g.stroke[j] = string, int8(n)
			g.k++
		}
	}
	return g
}

// lists gives the lane's fingers stroke by stroke, from the lowest string up. A string
// that does not count, below the top four, has finger 0.
func (p *programme) lists(l *lane) [][]int {
	if s := p.strokes[l.from]; len(s.Strings) > mostStrings {
		list := make([]int, len(s.Strings))
		for j := range mostStrings {
			list[len(list)-mostStrings+j] = l.pick.on(j)
		}
		return [][]int{list}
	}
	return fingerLists[fingered{p.grouping(l), l.pick}]
}

// fingered is a grouping with its fingers.
type fingered struct {
	grouping
	fingers
}

// fingerLists are the fingers stroke by stroke of all that can be: some 150. They are
// shared by all placings.
var fingerLists = func() map[fingered][][]int {
	all := map[fingered][][]int{}
	for code := range 1 << (2 * mostStrings) {
		for k := 1; k <= mostStrings; k++ {
			g := grouping{k: k}
			for j := range k {
				g.stroke[j] = int8(code >> (2 * j) & 3)
			}
			for _, f := range fingerings[k] {
				if lists := g.lists(f); lists != nil {
					all[fingered{g, f}] = lists
				}
			}
		}
	}
	return all
}()

// lists works the lists out; nil when a stroke has no string.
func (g *grouping) lists(f fingers) [][]int {
	lists := make([][]int, slices.Max(g.stroke[:g.k])+1)
	for j := range g.k {
		n := g.stroke[j]
		lists[n] = append(lists[n], f.on(j))
	}
	if slices.ContainsFunc(lists, func(list []int) bool { return list == nil }) {
		return nil
	}
	return lists
}

// compare puts the fingers first whose list is smaller, stroke by stroke.
func (g *grouping) compare(a, b fingers) int {
	for n := range int8(mostStrings) {
		for j := range g.k {
			if g.stroke[j] == n && a.on(j) != b.on(j) {
				return a.on(j) - b.on(j)
			}
		}
	}
	return 0
}
