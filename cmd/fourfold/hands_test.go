package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// strokesCall runs fourfold hands --strokes on a file with the text.
func strokesCall(t *testing.T, text string) (code int, stdout, stderr string) {
	t.Helper()
	file := filepath.Join(t.TempDir(), "strokes.json")
	require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
	var out, errs bytes.Buffer
	code = runHands([]string{"--strokes", file}, &out, &errs)
	return code, out.String(), errs.String()
}

func TestHandsOfStrokes(t *testing.T) {
	tests := []struct{ name, in, out string }{
		{
			// Two placings and a cross-under: 1 + 1 + 0.3. The second finger has 0.4 s for
			// .22 + .13 and .004 for each of two steps; at best the fourth has 0.8 s for
			// .22 + .13 and four steps.
			"a scale of five notes",
			`{"hand":"standard","strokes":[{"t":0,"strings":[28]},{"t":0.2,"strings":[29]},{"t":0.4,"strings":[30]},{"t":0.6,"strings":[31]},{"t":0.8,"strings":[32]}]}`,
			`{"cost":2.3,"placings":[{"from":0,"to":2,"fingers":[[3],[2],[1]],"order":"straight-up","change":""},{"from":3,"to":4,"fingers":[[2],[1]],"order":"straight-up","change":"cross-under"}],"maxLoad":0.895,"ceilingLoad":0.4575}`,
		},
		{
			"five strings at once: the top four count",
			`{"strokes":[{"t":0,"strings":[28,30,32,34,36]}]}`,
			`{"cost":1001,"placings":[{"from":0,"to":0,"fingers":[[4,3,2,1]],"order":"straight","change":""}],"maxLoad":0,"ceilingLoad":0}`,
		},
		{
			"printed fingers are taken: the ring finger and the second, for 0.1 off the thumb",
			`{"strokes":[{"t":0,"strings":[28],"printed":[4]},{"t":0.3,"strings":[29,30],"printed":[0,2]}]}`,
			`{"cost":1.1,"placings":[{"from":0,"to":1,"fingers":[[4],[3,2]],"order":"straight-up","change":""}],"maxLoad":0.2,"ceilingLoad":0.2}`,
		},
		{
			"no strokes",
			`{"hand":"small","strokes":[]}`,
			`{"cost":0,"placings":[],"maxLoad":0,"ceilingLoad":0}`,
		},
		{
			"strokes out of order and twice at one instant",
			`{"strokes":[{"t":2,"strings":[30]},{"t":0,"strings":[35]},{"t":2,"strings":[28,30]}]}`,
			`{"cost":2,"placings":[{"from":0,"to":0,"fingers":[[1]],"order":"straight","change":""},{"from":1,"to":1,"fingers":[[2,1]],"order":"straight","change":"afresh"}],"maxLoad":0,"ceilingLoad":0}`,
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			code, stdout, stderr := strokesCall(t, tt.in)
			assert.Zero(t, code)
			assert.Empty(t, stderr)
			var want, got fingeringOutput
			require.NoError(t, json.Unmarshal([]byte(tt.out), &want))
			require.NoError(t, decodeStrict([]byte(stdout), &got))
			assert.InDelta(t, want.MaxLoad, got.MaxLoad, 1e-12)
			assert.InDelta(t, want.CeilingLoad, got.CeilingLoad, 1e-12)
			got.MaxLoad, got.CeilingLoad = want.MaxLoad, want.CeilingLoad
			assert.Equal(t, want, got)
		})
	}
}

func TestTwoHandsOfStrokes(t *testing.T) {
	tests := []struct{ name, in, out string }{
		{
			// The right hand's five strings are one too many: the lowest goes to the left,
			// which is free, for 0.8. Two placings.
			"the other hand helps",
			`{"staves":[{"hand":"R","strokes":[{"t":0,"strings":[28,30,32,34,36]}]},{"hand":"L","strokes":[]}]}`,
			`{"cost":2.8,"hands":[{"hand":"R","strokes":[{"t":0,"strings":[30,32,34,36]}],"placings":[{"from":0,"to":0,"fingers":[[4,3,2,1]],"order":"straight","change":""}]},
			  {"hand":"L","strokes":[{"t":0,"strings":[28]}],"placings":[{"from":0,"to":0,"fingers":[[1]],"order":"straight","change":""}]}]}`,
		},
		{
			"a stave for one hand only",
			`{"staves":[{"hand":"L","strokes":[{"t":0,"strings":[28]}]}]}`,
			`{"cost":1,"hands":[{"hand":"R","strokes":[],"placings":[]},
			  {"hand":"L","strokes":[{"t":0,"strings":[28]}],"placings":[{"from":0,"to":0,"fingers":[[1]],"order":"straight","change":""}]}]}`,
		},
		{
			"one stave with no hand costs nothing to share",
			`{"hand":"small","staves":[{"strokes":[{"t":0,"strings":[20,40]}]}]}`,
			`{"cost":2,"hands":[{"hand":"R","strokes":[{"t":0,"strings":[40]}],"placings":[{"from":0,"to":0,"fingers":[[1]],"order":"straight","change":""}]},
			  {"hand":"L","strokes":[{"t":0,"strings":[20]}],"placings":[{"from":0,"to":0,"fingers":[[1]],"order":"straight","change":""}]}]}`,
		},
		{
			"no staves",
			`{"staves":[]}`,
			`{"cost":0,"hands":[{"hand":"R","strokes":[],"placings":[]},{"hand":"L","strokes":[],"placings":[]}]}`,
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			code, stdout, stderr := strokesCall(t, tt.in)
			assert.Zero(t, code)
			assert.Empty(t, stderr)
			assert.JSONEq(t, tt.out, stdout)
		})
	}
}

func TestHandsRefuses(t *testing.T) {
	tests := []struct{ name, in, says string }{
		{"empty", ``, "empty"},
		{"cut off", `{"strokes":[`, "line 1, column 13: the JSON ends too early"},
		{"no JSON", "{\n  strokes}", "line 2, column 3"},
		{"more after", `{"strokes":[]} {}`, "one object is read"},
		{"a word for a time", `{"strokes":[{"t":"soon","strings":[28]}]}`, `"strokes.t" cannot be a string`},
		{"half a string", `{"strokes":[{"t":0,"strings":[28.5]}]}`, "cannot be a number 28.5"},
		{"unknown field", `{"strokes":[],"tempo":3}`, "tempo"},
		{"unknown hand", `{"hand":"huge","strokes":[]}`, `use "standard" or "small"`},
		{"no time", `{"strokes":[{"strings":[28]}]}`, "strokes[0] has no time"},
		{"no strings", `{"strokes":[{"t":0,"strings":[28]},{"t":1}]}`, "strokes[1] has no strings"},
		{"a finger too many", `{"strokes":[{"t":0,"strings":[28],"printed":[1,2]}]}`, "1 strings and 2 printed fingers"},
		{"a fifth finger", `{"strokes":[{"t":0,"strings":[28],"printed":[5]}]}`, "5 is no finger of a harpist"},
		{"no such string", `{"strokes":[{"t":0,"strings":[123456]}]}`, "no harp has a string 123456"},
		{"both forms", `{"strokes":[],"staves":[]}`, "not both"},
		{"three staves", `{"staves":[{},{},{}]}`, "at most two staves"},
		{"two staves, one hand", `{"staves":[{"hand":"R"},{"hand":"R"}]}`, `staves[1]: the hand "R" has a stave already`},
		{"two staves without hands", `{"staves":[{"strokes":[]},{"strokes":[]}]}`, "staves[0] has no hand"},
		{"no such hand of two", `{"staves":[{"hand":"left"}]}`, `use "R" or "L"`},
		{"a stroke without strings on a stave", `{"staves":[{"hand":"L","strokes":[{"t":1}]}]}`, "staves[0].strokes[0] has no strings"},
		{"a number too large for a time", `{"strokes":[{"t":1e999,"strings":[28]}]}`, "1e999"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			code, stdout, stderr := strokesCall(t, tt.in)
			assert.Equal(t, 2, code)
			assert.Empty(t, stdout)
			assert.Contains(t, stderr, tt.says)
		})
	}
}

func TestHandsWrongCalls(t *testing.T) {
	for _, args := range [][]string{{}, {"--strokes", "no-such-file"}, {"--strokes", "-", "more"}, {"--no-such-flag"}} {
		var out, errs bytes.Buffer
		assert.Equal(t, 2, runHands(args, &out, &errs), args)
		assert.NotEmpty(t, errs.String(), args)
	}
}

// Whatever the input holds, there is an answer in JSON or a refusal in words.
func FuzzHandsOfStrokes(f *testing.F) {
	for _, text := range []string{
		`{"strokes":[{"t":0,"strings":[28,30]},{"t":0.1,"strings":[28]}]}`,
		`{"hand":"small","staves":[{"hand":"R","strokes":[{"t":0,"strings":[1,2,3,4,5,6,7,8,9,10]}]},{"hand":"L","strokes":[{"t":1e-10,"strings":[5]}]}]}`,
		`{"strokes":[{"t":-1e308,"strings":[0]},{"t":1e308,"strings":[-1000,1000]}]}`,
		`{"staves":[{"strokes":[{"t":1,"strings":[28,28]}]}]}`, `[]`, `{`, `null`, "\xff",
	} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		var in strokesInput
		if decodeStrict(text, &in) != nil {
			return
		}
		n := len(in.Strokes)
		for _, stave := range in.Staves {
			n += len(stave.Strokes)
		}
		if n > 40 {
			return
		}
		out, err := in.solve()
		if err != nil {
			require.NotEmpty(t, err.Error())
			return
		}
		_, err = json.Marshal(out)
		require.NoError(t, err)
	})
}
