package fix

import "fmt"

// twoStrings writes every second strike of a repeated note on the neighbouring
// string that sounds the same, so that each string has twice the time. The spare
// pedal must be free throughout.
func twoStrings(s *site) (out []candidate) {
	struck := map[pitch][]noteAt{}
	var order []pitch
	for _, plucks := range s.plucks() {
		for _, pl := range plucks {
			at, ok := s.place(pl)
			if !ok || tied(pl) || pl.Grace {
				continue
			}
			p := pitchOf(pl.Note)
			if len(struck[p]) == 0 {
				order = append(order, p)
			}
			struck[p] = append(struck[p], at)
		}
	}
	var all [2]change
	all[0].pitch, all[1].pitch = map[noteAt]pitch{}, map[noteAt]pitch{}
	kinds := 0
	for _, p := range order {
		strikes := struck[p]
		if len(strikes) < 2 {
			continue
		}
		for k, to := range enharmonics(p) {
			for from := 1; from >= 0; from-- {
				c := change{pitch: map[noteAt]pitch{}}
				for i := from; i < len(strikes); i += 2 {
					c.pitch[strikes[i]] = to
				}
				title := fmt.Sprintf("Write the repeated note on two strings, %s by turns (same sound)", inTurn(p, to, from))
				out = append(out, candidate{title: title, change: c, promise: sameSound, respells: true, spare: true})
				if k == 0 {
					for at, to := range c.pitch {
						all[from].pitch[at] = to
					}
				}
			}
		}
		if len(enharmonics(p)) > 0 {
			kinds++
		}
	}
	if kinds > 1 {
		for from, c := range all {
			out = append(out, candidate{title: fmt.Sprintf("Write %d repeated notes on two strings each, the neighbouring string %s (same sound)", kinds, fromThe(from)), change: c, promise: sameSound, respells: true, spare: true})
		}
	}
	return out
}

// inTurn names two spellings in the order in which they are struck; from is the first
// strike that is respelled.
func inTurn(was, is pitch, from int) string {
	if from == 0 {
		was, is = is, was
	}
	return signed(was) + " and " + signed(is)
}
