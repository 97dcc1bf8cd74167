package review

import (
	"html/template"
	"slices"
	"sort"
)

// mostDrawn is how many bytes the pictures of the passages take where nobody says
// how many to draw; a dense piece of 1,000 bars then stays under two megabytes.
const mostDrawn = 1_150_000

// leastDrawn is what they keep of it, however much there is to say in words.
const leastDrawn = 400_000

// mostBytes is how large a page may then be, words and all: where every bar has its
// remark, the words alone take half of it.
const mostBytes = 1_950_000

// heaviestFirst are the passages of all sections in the order of what needs work.
func (s *Sheet) heaviestFirst() (all []*Passage) {
	for _, sec := range s.Sections {
		all = append(all, sec.Passages...)
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].weight > all[j].weight })
	return all
}

// fit leaves out the pictures of the lightest passages that no room is left for, in
// bytes; their words stay.
func (s *Sheet) fit(room int) {
	for _, pa := range s.heaviestFirst() {
		if !pa.Drawn {
			continue
		}
		if room -= pa.size(); room < 0 {
			pa.undraw()
			s.NotDrawn++
		}
	}
}

// drawn is how many bytes the pictures of all passages take.
func (s *Sheet) drawn() (n int) {
	for _, sec := range s.Sections {
		for _, pa := range sec.Passages {
			n += pa.size()
		}
	}
	return n
}

// size is that of a passage's pictures, in bytes.
func (pa *Passage) size() int {
	pictures := append([]template.HTML{pa.Engraved}, append(pa.Pictures, pa.Shared...)...)
	if pa.Fix != nil {
		pictures = append(append(pictures, pa.Fix.Engraved), pa.Fix.Pictures...)
	}
	n := 0
	for _, p := range pictures {
		n += len(p)
	}
	return n
}

func (pa *Passage) undraw() {
	pa.Drawn, pa.Engraved, pa.Pictures, pa.Shared = false, "", nil, nil
	if pa.Fix != nil {
		pa.Fix.Engraved, pa.Fix.Pictures = "", nil
	}
}

// Brief is a passage in a line: what was found in it, by kind.
type Brief struct {
	Kinds []Kind
	Holds *tempo // at most; nil where no speed is the matter
}

// Kind is a rule and how often it found something.
type Kind struct {
	Rule, Title, Severity string
	Times                 int
}

func briefOf(pa *Passage) *Brief {
	b := &Brief{}
	for _, i := range byWeight(pa.Findings) {
		f := pa.Findings[i]
		if f.Holds != nil && (b.Holds == nil || f.Holds.Quarters < b.Holds.Quarters) {
			b.Holds = f.Holds
		}
		k := slices.IndexFunc(b.Kinds, func(k Kind) bool { return k.Rule == f.Rule })
		if k < 0 {
			k = len(b.Kinds)
			b.Kinds = append(b.Kinds, Kind{Rule: f.Rule, Title: f.RuleTitle, Severity: f.SeverityWords()})
		}
		b.Kinds[k].Times++
	}
	return b
}

// shorten tells the lightest passages in a line each until so many bytes are saved,
// but for those with words of the harpist. It says whether it has found any.
func (s *Sheet) shorten(over int) (found bool, err error) {
	all := s.heaviestFirst()
	slices.Reverse(all)
	for _, pa := range all {
		if over <= 0 {
			break
		}
		if pa.Brief != nil || slices.ContainsFunc(pa.Findings, func(f FindingView) bool { return len(f.Remarks) > 0 }) {
			continue
		}
		long, err := bytesOf(pa)
		if err != nil {
			return found, err
		}
		if pa.Drawn {
			pa.undraw()
			s.NotDrawn++
		}
		pa.Brief = briefOf(pa)
		short, err := bytesOf(pa)
		if err != nil {
			return found, err
		}
		over -= long - short
		s.Shortened++
		found = true
	}
	return found, nil
}

// counter counts what is written.
type counter int

func (c *counter) Write(b []byte) (int, error) {
	*c += counter(len(b))
	return len(b), nil
}

// bytesOf is how much of the page a passage takes.
func bytesOf(pa *Passage) (int, error) {
	var n counter
	err := pageTemplate.ExecuteTemplate(&n, "passage", pa)
	return int(n), err
}
