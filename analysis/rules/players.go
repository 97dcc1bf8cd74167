package rules

import (
	"regexp"
	"slices"
	"strings"

	"fourfold/analysis/hands"
	"fourfold/parser/score"
)

// Player is one harpist: the voices that the right and the left hand read.
type Player struct {
	Name  string // "Harp 1"; "" where the score gives none
	Upper []*score.Voice
	Lower []*score.Voice
	// Lone is a single staff that nothing calls a harp part: a tune book. What
	// is found there are hints only.
	Lone bool
}

// Voices are the player's voices, upper staff first.
func (p Player) Voices() []*score.Voice {
	return append(append([]*score.Voice{}, p.Upper...), p.Lower...)
}

// Has says whether a voice is the player's.
func (p Player) Has(id string) bool {
	for _, v := range p.Voices() {
		if v.ID == id {
			return true
		}
	}
	return false
}

var (
	harpName = regexp.MustCompile(`(?i)\b(harps?|hp|hrf|harfen?|harpes?|arp[ae])\b`)
	handName = regexp.MustCompile(`(?i)^(r\.? ?h\.?|l\.? ?h\.?|m\.? ?d\.?|m\.? ?g\.?|m\.? ?s\.?|right( hand)?|left( hand)?|upper|lower|treble|bass|[0-9 ]*)$`)
	handID   = regexp.MustCompile(`(?i)^[rl]\.?h\.?[0-9]*$`)
)

// Players says which voices are the harp, the first of these that fits:
//
//   - a line `%%fourfold harp RH LH` names them (upper staff first; several
//     voices of one staff are joined by +, as in RH1+RH2);
//   - parts whose name says harp (Harp, Hp., Harfe, Hrf., Harpe, Arpa): each is
//     a player, so Harp 1 and Harp 2 are two;
//   - braced pairs of staves that bear no other instrument's name;
//   - the only voices there are, on one staff or two, if they bear no other name.
//
// Voices with another instrument's name are never judged.
func Players(t *score.Tune) []Player {
	if p, ok := declared(t); ok {
		return p
	}
	groups := joinHarpStaves(staffGroups(t))
	var named, braced []Player
	for _, g := range groups {
		switch p := g.player(t); {
		case harpName.MatchString(g.name):
			named = append(named, p)
		case g.braced && len(g.staves) > 1 && handName.MatchString(g.name):
			braced = append(braced, p)
		}
	}
	if len(named) > 0 {
		return named
	}
	if len(braced) > 0 {
		return braced
	}
	return onlyVoices(t, groups)
}

// declared reads the %%fourfold harp lines. A voice is where it is named first: nobody
// plays it twice.
func declared(t *score.Tune) (players []Player, found bool) {
	taken := map[string]bool{}
	take := func(ids string) (out []*score.Voice) {
		for _, id := range strings.Split(ids, "+") {
			if !taken[id] {
				taken[id] = true
				out = append(out, voicesNamed(t, id)...)
			}
		}
		return out
	}
	for _, s := range t.Settings {
		words := strings.Fields(s.Text)
		if len(words) < 2 || words[0] != "harp" {
			continue
		}
		found = true
		p := Player{Upper: take(words[1])}
		for _, w := range words[2:] {
			p.Lower = append(p.Lower, take(w)...)
		}
		if len(p.Upper)+len(p.Lower) > 0 {
			players = append(players, p)
		}
	}
	return players, found
}

func voicesNamed(t *score.Tune, id string) (out []*score.Voice) {
	for _, v := range t.Voices {
		if v.ID == id {
			out = append(out, v)
		}
	}
	return out
}

// playedVoices are the voices of that name but for cues, which others play.
func playedVoices(t *score.Tune, id string) []*score.Voice {
	return slices.DeleteFunc(voicesNamed(t, id), func(v *score.Voice) bool { return v.Cue })
}

// layoutOf says which hand reads which staff of the score. A staff on which both hands
// have voices belongs to neither.
func layoutOf(t *score.Tune, p Player) hands.Layout {
	l := hands.Layout{Hands: map[int]hands.Side{}, Home: map[string]int{}}
	for side, voices := range [2][]*score.Voice{p.Upper, p.Lower} {
		for _, v := range voices {
			for i, s := range t.Staves {
				if !slices.Contains(s.Voices, v.ID) {
					continue
				}
				l.Home[v.ID] = i + 1
				if other, taken := l.Hands[i+1]; taken && other != hands.Side(side) {
					delete(l.Hands, i+1)
				} else {
					l.Hands[i+1] = hands.Side(side)
				}
			}
		}
	}
	return l
}

// onlyCues says whether a staff shows nothing but what other players play.
func onlyCues(t *score.Tune, s score.Staff) bool {
	for _, id := range s.Voices {
		if len(playedVoices(t, id)) > 0 {
			return false
		}
	}
	return len(s.Voices) > 0
}

// staffGroup is one braced group of staves, or one staff by itself.
type staffGroup struct {
	braced bool
	staves []score.Staff
	name   string // the first name that any of its voices bears
}

func staffGroups(t *score.Tune) (groups []staffGroup) {
	brace := 0 // of the last group
	for _, s := range t.Staves {
		if onlyCues(t, s) {
			continue
		}
		if s.Brace > 0 && brace == s.Brace {
			last := &groups[len(groups)-1]
			last.staves = append(last.staves, s)
			continue
		}
		brace = s.Brace
		groups = append(groups, staffGroup{braced: s.Brace > 0, staves: []score.Staff{s}})
	}
	for i := range groups {
		groups[i].name = groupName(t, groups[i].staves)
	}
	return groups
}

// joinHarpStaves puts two single staves together where the first is named as a harp
// and the second bears the same name or none: the score forgot the brace.
func joinHarpStaves(groups []staffGroup) (out []staffGroup) {
	for _, g := range groups {
		if n := len(out) - 1; n >= 0 && len(g.staves) == 1 && !g.braced && len(out[n].staves) == 1 && !out[n].braced &&
			harpName.MatchString(out[n].name) && (g.name == out[n].name || handName.MatchString(g.name)) {
			out[n].staves = append(out[n].staves, g.staves...)
			continue
		}
		out = append(out, g)
	}
	return out
}

// groupName prefers an instrument's name to that of a hand.
func groupName(t *score.Tune, staves []score.Staff) string {
	name := ""
	for _, s := range staves {
		for _, id := range s.Voices {
			for _, v := range playedVoices(t, id) {
				for _, n := range []string{v.Name, v.Subname} {
					if n != "" && (name == "" || handName.MatchString(name)) {
						name = strings.TrimSpace(n)
					}
				}
			}
		}
	}
	return name
}

// player gives the last of several staves to the left hand.
func (g staffGroup) player(t *score.Tune) Player {
	p := Player{}
	if !handName.MatchString(g.name) {
		p.Name = g.name
	}
	for i, s := range g.staves {
		for _, id := range s.Voices {
			v := playedVoices(t, id)
			if i == len(g.staves)-1 && i > 0 {
				p.Lower = append(p.Lower, v...)
			} else {
				p.Upper = append(p.Upper, v...)
			}
		}
	}
	return p
}

// onlyVoices takes a tune of one or two staves without names for a harp part.
func onlyVoices(t *score.Tune, groups []staffGroup) []Player {
	var staves []score.Staff
	for _, g := range groups {
		if !handName.MatchString(g.name) {
			return nil
		}
		staves = append(staves, g.staves...)
	}
	if len(staves) == 0 || len(staves) > 2 {
		return nil
	}
	p := staffGroup{staves: staves}.player(t)
	if len(staves) == 1 && len(p.Upper) > 0 {
		id := p.Upper[0].ID
		p.Lone = !handID.MatchString(id)
		if p.Lone || id[0] != 'l' && id[0] != 'L' {
			return []Player{p}
		}
		p.Upper, p.Lower = nil, p.Upper
	}
	return []Player{p}
}
