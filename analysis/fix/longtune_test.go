package fix_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis/fix"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// amidst puts bars between so many others on each side.
func amidst(bars, tempo int, right, left string) (text string, bar int) {
	var b strings.Builder
	fmt.Fprintf(&b, "X:1\nM:4/4\nL:1/16\nQ:1/4=%d\n%%%%score {RH LH}\nV:RH name=\"Harp\"\nV:LH clef=bass\nK:C\n", tempo)
	for range bars / 4 {
		b.WriteString("[V:RH] c4 e4 g4 z4 | z16 | c8 e8 | z16 |\n[V:LH] C,8 z8 | z16 | G,8 z8 | z16 |\n")
	}
	fmt.Fprintf(&b, "[V:RH] %s |\n[V:LH] %s |\n", right, left)
	for range bars / 4 {
		b.WriteString("[V:RH] c4 e4 g4 z4 | z16 | c8 e8 | z16 |\n[V:LH] C,8 z8 | z16 | G,8 z8 | z16 |\n")
	}
	return b.String(), bars + 1
}

// Findings of every kind have the same fixes in the middle of a long tune as in a short
// one, and the edits of each, made in the long one, are the bar that it shows.
func TestFixesInTheMiddleOfALongTune(t *testing.T) {
	for _, c := range []struct {
		rule        string
		tempo       int
		right, left string
	}{
		{"hands/turn", 160, "FAfc FAfc GBgd GBgd", "z16"},
		{"hands/restrike", 120, "cccc dddd cccc z4", "z16"},
		{"hands/too-many", 120, "[CEGce]8 z8", "z16"},
		{"hands/tremolo", 120, "!///!c16", "z16"},
		{"feet/two-at-once", 120, "[c^c']8 z8", "z16"},
		{"feet/late", 120, "^d2=d2^d2=d2 ^d2=d2^d2=d2", "z16"},
		{"feet/cheaper-spelling", 40, "f4 ^f4 =f4 ^f4 | =f4 ^f4 f8", "C,16 | C,16"},
		{"strings/out-of-range", 120, "c''''8 z8", "z16"},
	} {
		text, bar := amidst(400, c.tempo, c.right, c.left)
		short, at := amidst(40, c.tempo, c.right, c.left)
		r, s := read(t, []byte(text)), read(t, []byte(short))
		long, near := answerOf(r, c.rule, bar), answerOf(s, c.rule, at)
		if !assert.NotNil(t, long, c.rule) || !assert.NotNil(t, near, c.rule) {
			continue
		}
		assert.NotEmpty(t, long.Fixes, c.rule)
		assert.Equal(t, atTempo(near.Fixes), atTempo(long.Fixes), c.rule)
		for _, fx := range long.Fixes {
			if fx.Slower {
				continue
			}
			after := string(score.Apply([]byte(text), fx.Edits))
			for _, line := range strings.Split(fx.After, "\n") {
				_, music, voiced := strings.Cut(line, "] ")
				if !voiced {
					music = line
				}
				assert.True(t, strings.Contains(after, strings.TrimSpace(music)), "%s: %s: %s", c.rule, fx.Title, music)
			}
			fresh := score.Build(syntax.Parse([]byte(after)))
			require.Len(t, fresh.Tunes, 1)
			assert.Equal(t, r.score.Tunes[0].Bars(), fresh.Tunes[0].Bars())
		}
	}
}

// atTempo names the fixes that leave the tempo alone.
func atTempo(fixes []fix.Fix) (out []string) {
	for _, f := range fixes {
		if !f.Slower {
			out = append(out, f.Title)
		}
	}
	return out
}

// answerOf asks about the first finding of a rule in a bar; nil where there is none.
func answerOf(r reading, rule string, bar int) *fix.Answer {
	for _, f := range r.findings {
		if f.Rule == rule && f.Bar == bar {
			q := r.question(f)
			q.Memory = &fix.Memory{}
			a := fix.Find(context.Background(), q)
			return &a
		}
	}
	return nil
}
