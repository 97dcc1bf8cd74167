package fix_test

import (
	"context"
	"fmt"
	"math/rand"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis/fix"
	"fourfold/analysis/rules"
)

// awkward writes a two-staff part with one figure that does not suit a harp.
func awkward(rnd *rand.Rand) string {
	right, left := awkwardBar(rnd)
	return awkwardPart(84+4*rnd.Intn(16), "z16 | "+right+" | z16", "z16 | "+left+" | z16")
}

func awkwardPart(tempo int, right, left string) string {
	return fmt.Sprintf("X:1\nM:4/4\nL:1/16\nQ:1/4=%d\n%%%%score {RH LH}\nV:RH name=\"Harp\"\nV:LH clef=bass\nK:C\nV:RH\n%s |\nV:LH\n%s |\n",
		tempo, right, left)
}

// awkwardBar writes a bar of each staff; the upper one does not suit a harp.
func awkwardBar(rnd *rand.Rand) (bar, left string) {
	note := func(str int) string {
		const letters = "CDEFGAB"
		l, octave := str%7, str/7
		if octave >= 5 {
			return strings.ToLower(letters[l:l+1]) + strings.Repeat("'", octave-5)
		}
		return letters[l:l+1] + strings.Repeat(",", 4-octave)
	}
	low := 29 + rnd.Intn(8)
	sixteen := func(pick func(i int) string) string {
		var b strings.Builder
		for i := range 16 {
			if i > 0 && i%4 == 0 {
				b.WriteByte(' ')
			}
			b.WriteString(pick(i))
		}
		return b.String()
	}
	switch rnd.Intn(9) {
	case 0: // four notes that turn, repeated
		order := rnd.Perm(4)
		steps := []int{0, 2, 4, 7}
		bar = sixteen(func(i int) string { return note(low + steps[order[i%4]]) })
	case 1: // wandering within an octave
		at := low + 3
		bar = sixteen(func(int) string { at = max(low, min(low+8, at+rnd.Intn(7)-3)); return note(at) })
	case 2: // repeated notes
		bar = sixteen(func(i int) string { return note(low + i/4) })
	case 3: // two notes in turn
		gap := 1 + rnd.Intn(4)
		bar = sixteen(func(i int) string { return note(low + gap*(i%2)) })
	case 4: // wide leaps
		bar = sixteen(func(i int) string { return note(low + 11*(i%2) + rnd.Intn(3)) })
	case 5: // a chord that is too large or too wide
		chord := "["
		for i, n := 0, 3+rnd.Intn(4); i < n; i++ {
			chord += note(low + i*2 + i*rnd.Intn(2))
		}
		bar = chord + note(low+10+rnd.Intn(4)) + "]8 " + note(low) + "8"
	case 6: // octaves in a run
		way := 1 - 2*rnd.Intn(2)
		bar = sixteen(func(i int) string { s := low + 4 + way*(i%4); return "[" + note(s) + note(s+7) + "]" })
	case 7: // one letter in two forms, or a double sharp
		bar = fmt.Sprintf("[%s^%s]8 ^^%s8", note(low), note(low+7), note(low+3))
	case 8: // chords that move fast
		bar = sixteen(func(i int) string {
			if i%2 == 1 {
				return ""
			}
			s := low + rnd.Intn(6)
			return "[" + note(s) + note(s+2) + note(s+4) + "]2"
		})
	}
	left = []string{"z16", "C,,8 z8", "C,8 G,8", "C,4 E,4 G,4 E,4", "C,,2G,,2 C,2E,2 C,,2G,,2 C,2E,2", "C,E,G,C E,G,CE C,E,G,C E,G,CE"}[rnd.Intn(6)]
	return bar, left
}

// TestFixesInALongPiece takes every fix of a piece in which awkward figures follow
// each other without rest. Fixes of the hands are proved on an excerpt; here each is
// held against the whole.
func TestFixesInALongPiece(t *testing.T) {
	rnd := rand.New(rand.NewSource(1843))
	pieces, fixes := 2, 0
	if os.Getenv("FOURFOLD_CORPUS") != "" {
		pieces = 12
	}
	for range pieces {
		var right, left []string
		for range 24 {
			r, l := awkwardBar(rnd)
			right, left = append(right, r), append(left, l)
		}
		text := []byte(awkwardPart(84+4*rnd.Intn(16), strings.Join(right, " | "), strings.Join(left, " | ")))
		fixes += holdAll(t, text)
	}
	assert.Positive(t, fixes)
	t.Logf("%d fixes held on the whole", fixes)
}

// holdAll holds every fix of a text's warnings to its promise on the whole text, and
// says how many there are.
func holdAll(t *testing.T, text []byte) (fixes int) {
	r := read(t, text)
	for _, f := range r.findings {
		if isNotation(f.Rule) || rules.Severities()[f.Rule] > rules.Warning {
			continue
		}
		for _, fx := range fix.For(context.Background(), r.question(f)) {
			checkPromise(t, text, r, f, fx)
			fixes++
		}
	}
	require.False(t, t.Failed(), "in\n%s", text)
	return fixes
}

// TestAwkwardFigures takes every fix of figures made by chance and holds it against
// the whole text, and says how many findings have a fix: of 500 figures where the
// larger sets are tested, else of the first 60.
func TestAwkwardFigures(t *testing.T) {
	rnd := rand.New(rand.NewSource(1816))
	all := newShares()
	figures, fixes, most := 0, 0, 60
	if os.Getenv("FOURFOLD_CORPUS") != "" {
		most = 500
	}
	for figures < most {
		text := []byte(awkward(rnd))
		r := read(t, text)
		found := 0
		for _, f := range r.findings {
			if isNotation(f.Rule) || rules.Severities()[f.Rule] > rules.Warning || rules.Severities()[f.Rule] == rules.Off {
				continue
			}
			found++
			a := fix.Find(context.Background(), r.question(f))
			all.add(f, a)
			assert.Equal(t, len(a.Fixes) == 0, a.Why != "", "either a fix or a reason")
			assert.LessOrEqual(t, len(a.Fixes), 5)
			for _, fx := range a.Fixes {
				checkPromise(t, text, r, f, fx)
				fixes++
			}
			if t.Failed() {
				t.Fatalf("in\n%s", text)
			}
		}
		if found > 0 {
			figures++
		}
	}
	t.Logf("%d figures, %d fixes offered", figures, fixes)
	all.log(t)
	assert.GreaterOrEqual(t, all.share(), 0.9)
}
