package score

import (
	"fmt"
	"strings"
)

// known are the decorations of the standard, and those of extensions that are
// met in files.
var known = names(`trill trill( trill) lowermordent uppermordent mordent pralltriller roll turn turnx invertedturn
	invertedturnx arpeggio > accent emphasis fermata invertedfermata tenuto 0 1 2 3 4 5 + plus snap slide wedge upbow
	downbow open thumb breath pppp ppp pp p mp mf f ff fff ffff sfz crescendo( <( crescendo) <) diminuendo( >( diminuendo)
	>) segno coda D.S. D.C. dacoda dacapo fine shortphrase mediumphrase longphrase staccato
	glissando( glissando) ~( ~) 8va( 8va) 8vb( 8vb) 15ma( 15ma) 15mb( 15mb) ped ped-up sfp marcato ^ dot stemless rbstop
	beam-accel beam-rall courtesy editorial xstem trem1 trem2 trem3 trem4 / // /// //// gmark D.C.alcoda D.C.alfine
	D.S.alcoda D.S.alfine nil none slide( slide) sf fp fz rf rfz sffz sustain harmonic damp gliss lv l.v. m.d. m.g.
	D.C.al_Coda trem(  trem) turn( mordent( stopped cresc cresc( cresc) decresc decresc( decresc) dim dim( dim) rit rall invisible beambr1 beambr2 umarcato head-harmonic
	head-diamond style=normal style=harmonic style=rhythm style=x style=triangle text(`)

func names(list string) map[string]bool {
	m := map[string]bool{}
	for _, n := range strings.Fields(list) {
		m[n] = true
	}
	return m
}

// checkDecoration reports a name that nobody knows, with the nearest known one
// as a fix.
func (r *reader) checkDecoration(name string, span Span) {
	if r.sink != nil || known[name] || strings.HasPrefix(name, "style=") {
		return
	}
	near := nearestName(name)
	if near == "" {
		r.problem(RuleDecoration, span, fmt.Sprintf("`!%s!` is no decoration known here; it is kept and left aside.", name))
		return
	}
	r.problem(RuleDecoration, span, fmt.Sprintf("`!%s!` is no decoration known here. Did you mean `!%s!`?", name, near),
		replace("Write `!"+near+"!`", span, "!"+near+"!"))
}

// nearestName finds the known name that the fewest changes of a letter lead to,
// a third of its letters at most; none where two are equally near.
func nearestName(name string) string {
	if len(name) < 3 || len(name) > 20 {
		return ""
	}
	best, least, tie := "", len(name)/3+1, false
	for n := range known {
		if len(n) < 3 || spanning(n) != spanning(name) {
			continue
		}
		switch d := distance(strings.ToLower(name), strings.ToLower(n)); {
		case d < least:
			best, least, tie = n, d, false
		case d == least && best != "":
			tie = true
		}
	}
	if tie {
		return ""
	}
	return best
}

// spanning says whether a name opens or closes something longer than a note.
func spanning(n string) byte {
	if c := n[len(n)-1]; c == '(' || c == ')' {
		return c
	}
	return 0
}

// distance counts the letters to put in, take out, change or swap with a
// neighbour.
func distance(a, b string) int {
	rows := make([][]int, len(a)+1)
	for i := range rows {
		rows[i] = make([]int, len(b)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(a); i++ {
		for j := 1; j <= len(b); j++ {
			change := 1
			if a[i-1] == b[j-1] {
				change = 0
			}
			d := min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+change)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				d = min(d, rows[i-2][j-2]+1)
			}
			rows[i][j] = d
		}
	}
	return rows[len(a)][len(b)]
}
