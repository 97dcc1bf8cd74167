package main

import (
	"bytes"
	"encoding/json"
	"math/rand"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// pedalsCall runs fourfold pedals with a flag; where the flag takes a file, on one
// with the text.
func pedalsCall(t *testing.T, flag, text string) (code int, stdout, stderr string) {
	t.Helper()
	if flag != "--set" {
		file := filepath.Join(t.TempDir(), "input.json")
		require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
		text = file
	}
	var out, errs bytes.Buffer
	code = runPedals([]string{flag, text}, &out, &errs)
	return code, out.String(), errs.String()
}

func TestPedals(t *testing.T) {
	tests := []struct{ name, flag, in, out string }{
		{
			"a diminished seventh", "--set", "B D F Ab",
			// D alone is fixed; of the nine ways to set B and C five sound B, and so for E
			// and F, G and A.
			`{"exact":["D Cb B | E# F G# Ab"],"containing":125,"clash":[]}`,
		},
		{
			"enharmonics are the same", "--set", "c♭, D E# g♯",
			`{"exact":["D Cb B | E# F G# Ab"],"containing":125,"clash":[]}`,
		},
		{
			"a plain triad is no glissando", "--set", "C E G",
			`{"exact":[],"containing":225,"clash":[]}`,
		},
		{
			"the only impossible three", "--set", "D G A♭ A",
			`{"exact":[],"containing":0,"clash":["G","Ab","A"]}`,
		},
		{
			"nothing asked", "--set", "",
			`{"exact":[],"containing":2187,"clash":[]}`,
		},
		{
			"one late move", "--demands",
			`{"start":0,"initial":{"C":0},"demands":[{"t":0.4,"letter":0,"pos":1},{"t":0.5,"letter":4,"pos":1}]}`,
			`{"clash":[],"feet":[{"foot":"left","late":0.1,"stretch":1.25,"moves":[{"pedal":"C","from":0,"to":1,"windowStart":0,"windowEnd":0.4,"at":0,"end":0.5,"late":0.1}]},{"foot":"right","late":0,"stretch":1,"moves":[]}]}`,
		},
		{
			// Two notches take 0.65 s; the moves only fit with the G first.
			"two moves of one foot", "--demands",
			`{"initial":{"G":0,"A":-1},"demands":[{"t":2,"letter":5,"pos":1},{"t":0.5,"letter":4,"pos":-1}]}`,
			`{"clash":[],"feet":[{"foot":"left","late":0,"stretch":1,"moves":[]},{"foot":"right","late":0,"stretch":1,"moves":[{"pedal":"G","from":0,"to":-1,"windowStart":0,"windowEnd":0.5,"at":0,"end":0.5,"late":0},{"pedal":"A","from":-1,"to":1,"windowStart":0,"windowEnd":2,"at":0.5,"end":1.15,"late":0}]}]}`,
		},
		{
			"a clash leaves no time at any tempo", "--demands",
			`{"demands":[{"t":1,"letter":3,"pos":0},{"t":1,"letter":3,"pos":1}]}`,
			`{"clash":[{"t":1,"letter":3,"positions":[0,1]}],"feet":[{"foot":"left","late":0,"stretch":1,"moves":[]},{"foot":"right","late":0.5,"stretch":null,"moves":[{"pedal":"F","from":0,"to":1,"windowStart":1,"windowEnd":1,"at":1,"end":1.5,"late":0.5}]}]}`,
		},
		{
			"no demands", "--demands", `{}`,
			`{"clash":[],"feet":[{"foot":"left","late":0,"stretch":1,"moves":[]},{"foot":"right","late":0,"stretch":1,"moves":[]}]}`,
		},
		{
			// F, F sharp and F again on one pedal would move twice and be late; G flat
			// costs one respelled note.
			"a respelling saves moves", "--instants",
			`{"initial":{},"instants":[{"t":0,"notes":[{"string":38,"acc":0}]},{"t":0.2,"notes":[{"string":38,"acc":1}]},{"t":0.4,"notes":[{"string":38,"acc":0}]}]}`,
			`{"cost":0.05,"spelling":[{"t":0,"notes":[{"string":38,"acc":0}]},{"t":0.2,"notes":[{"string":39,"acc":-1}]},{"t":0.4,"notes":[{"string":38,"acc":0}]}]}`,
		},
		{
			"a harmonic stays", "--instants",
			`{"instants":[{"t":0,"notes":[{"string":38,"acc":0}]},{"t":2,"notes":[{"string":38,"acc":1,"harmonic":true}]}]}`,
			`{"cost":0.05,"spelling":[{"t":0,"notes":[{"string":37,"acc":1}]},{"t":2,"notes":[{"string":38,"acc":1,"harmonic":true}]}]}`,
		},
		{
			"no spelling", "--instants",
			`{"instants":[{"t":0,"notes":[{"string":32,"acc":0},{"string":32,"acc":1},{"string":33,"acc":0}]},{"t":1,"notes":[{"string":28,"acc":0}]}]}`,
			`{"cost":null,"spelling":[{"t":0,"notes":[{"string":32,"acc":0},{"string":32,"acc":1},{"string":33,"acc":0}]},{"t":1,"notes":[{"string":28,"acc":0}]}],"impossible":[0]}`,
		},
		{"no instants", "--instants", `{"instants":[]}`, `{"cost":0,"spelling":[]}`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			code, stdout, stderr := pedalsCall(t, tt.flag, tt.in)
			assert.Zero(t, code)
			assert.Empty(t, stderr)
			assert.JSONEq(t, tt.out, stdout)
		})
	}
}

func TestPedalsBadInput(t *testing.T) {
	tests := []struct{ name, flag, in, says string }{
		{"no pitch", "--set", "C H", `--set: "H" is not the name of a pitch; write a letter A to G`},
		{"empty", "--demands", ``, "the file is empty"},
		{"no JSON", "--demands", "{\n  demands", "line 2, column 3: this is not JSON"},
		{"ends early", "--instants", `{"instants":[`, "ends too early"},
		{"unknown field", "--demands", `{"demand":[]}`, "demand"},
		{"no time", "--demands", `{"demands":[{"letter":0,"pos":0}]}`, `demands[0] has no time: give "t" in seconds`},
		{"absurd time", "--demands", `{"demands":[{"t":1e300,"letter":0,"pos":0}]}`, "no time in a piece"},
		{"absurd start", "--instants", `{"start":-1e300}`, "no time in a piece"},
		{"no letter", "--demands", `{"demands":[{"t":0,"pos":0}]}`, `demands[0]: give "letter" as a number, 0 (C) to 6 (B)`},
		{"letter beyond B", "--demands", `{"demands":[{"t":0,"letter":7,"pos":0}]}`, "0 (C) to 6 (B)"},
		{"double sharp", "--demands", `{"demands":[{"t":0,"letter":1,"pos":2}]}`, `demands[0]: give "pos" as -1`},
		{"initial letter", "--demands", `{"initial":{"H":0}}`, `"initial" has the letter "H"`},
		{"initial position", "--instants", `{"initial":{"C":300}}`, `"initial" has C at 300`},
		{"no string", "--instants", `{"instants":[{"t":0,"notes":[{"acc":0}]}]}`, `instants[0].notes[0]: give "string"`},
		{"triple sharp", "--instants", `{"instants":[{"t":0,"notes":[{"string":30,"acc":3}]}]}`, `give "acc" in semitones`},
		{"instant without time", "--instants", `{"instants":[{"notes":[]}]}`, "instants[0] has no time"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			code, stdout, stderr := pedalsCall(t, tt.flag, tt.in)
			assert.Equal(t, 2, code)
			assert.Empty(t, stdout)
			assert.Contains(t, stderr, tt.says)
		})
	}
}

func TestPedalsUsage(t *testing.T) {
	for _, args := range [][]string{
		{"--set", "C", "--demands", "x"}, {"--set", "C", "file"}, {"--nonsense"}, {"--demands", "no such file"},
	} {
		var out, errs bytes.Buffer
		assert.Equal(t, 2, runPedals(args, &out, &errs), args)
		assert.Empty(t, out.String())
		assert.NotEmpty(t, errs.String())
	}
	var out, errs bytes.Buffer
	assert.Zero(t, runPedals([]string{"--help"}, &out, &errs))
}

// Whatever the bytes, there is an answer in JSON or a message.
func TestPedalsTakesAnything(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	const junk = "{}[]\",:-0123456789eE.tfn\x00\xff"
	seeds := []string{
		`{"start":0,"initial":{"C":0},"demands":[{"t":0.5,"letter":4,"pos":1},{"t":0.5,"letter":4,"pos":0}]}`,
		`{"initial":{"B":-1},"instants":[{"t":0,"notes":[{"string":39,"acc":0},{"string":39,"acc":1}]},{"t":1e-9,"notes":[]}]}`,
	}
	for n := range 400 {
		text := []byte(seeds[n%2])
		for range r.Intn(4) {
			text[r.Intn(len(text))] = junk[r.Intn(len(junk))]
		}
		for _, flag := range []string{"--demands", "--instants"} {
			code, stdout, stderr := pedalsCall(t, flag, string(text))
			if code == 0 {
				require.True(t, json.Valid([]byte(stdout)), "%s\n%s", text, stdout)
			} else {
				require.NotEmpty(t, stderr)
				require.Empty(t, stdout)
			}
		}
	}
}
