package harp

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestStringNames(t *testing.T) {
	for number, name := range map[int]string{28: "C4", 7: "C1", 53: "G7", 18: "G2", 34: "B4", -1: "B-1"} {
		assert.Equal(t, name, StringName(number))
		got, ok := ParseString(name)
		assert.True(t, ok, name)
		assert.Equal(t, number, got, name)
	}
	for _, name := range []string{"", "4", "C", "H4", "C#4", "C4 ", "@4", "C99999999999999999999"} {
		_, ok := ParseString(name)
		assert.False(t, ok, name)
	}
}

func TestIntervalNames(t *testing.T) {
	assert.Equal(t, "unison", IntervalName(0))
	assert.Equal(t, "sixth", IntervalName(-5))
	assert.Equal(t, "octave", IntervalName(7))
	assert.Equal(t, "tenth", IntervalName(9))
	assert.Equal(t, "double octave", IntervalName(14))
	assert.Equal(t, "20 steps", IntervalName(20))
}

// Compasses as published: 47 strings (Widor, Initiation musicale, 1923, p. 47), 46
// (Encyclopaedia Britannica, 14th ed.), the lever harp of 34 from C2 (ABRSM harp
// syllabus).
func TestInstruments(t *testing.T) {
	strings := map[string]int{"concert": 47, "pedal46": 46, "pedal40": 40, "lever34": 34, "lever36": 36, "lever38": 38}
	for _, i := range Instruments() {
		assert.Equal(t, strings[i.Name], i.Highest-i.Lowest+1, i.Name)
		assert.NotEqual(t, i.Pedals, i.Levers, i.Name)
		assert.NotEmpty(t, i.Origin, i.Name)
		named, ok := InstrumentNamed(i.Name)
		assert.True(t, ok)
		assert.Equal(t, i, named)
	}
	assert.Len(t, strings, len(Instruments()))
	_, ok := InstrumentNamed("piano")
	assert.False(t, ok)

	c := Concert()
	assert.Equal(t, "C1", StringName(c.Lowest))
	assert.Equal(t, "G7", StringName(c.Highest))
	assert.True(t, c.Has(28))
	assert.False(t, c.Has(6))
	assert.True(t, c.Fixed(7))
	assert.False(t, c.Fixed(9))
	assert.Equal(t, []float64{3, 1.5, 1.5, .6}, []float64{c.Ring(17), c.Ring(18), c.Ring(46), c.Ring(47)})
}

func TestConstants(t *testing.T) {
	seen := map[string]bool{}
	standard, small := Standard(), Small()
	for _, c := range Constants() {
		assert.False(t, seen[c.Name], c.Name)
		seen[c.Name] = true
		assert.NotEmpty(t, c.Origin, c.Name)
		assert.NotEmpty(t, c.About, c.Name)
		got, ok := standard.Get(c.Name)
		assert.True(t, ok)
		assert.Equal(t, c.Standard, got, "two rows fill one field: %s", c.Name)
		got, _ = small.Get(c.Name)
		assert.Equal(t, c.Small, got, "two rows fill one field: %s", c.Name)
	}
}

// The published sides of the reach: a tenth between thumb and ring finger, a fifth
// between thumb and second finger in comfort (The Harp Legacy Project, Typical
// Compositional Issues).
func TestReach(t *testing.T) {
	h := Standard()
	assert.Equal(t, "tenth", IntervalName(h.Outer.Most))
	assert.Equal(t, "tenth", IntervalName(h.Spans[1][4].Most))
	assert.GreaterOrEqual(t, h.Spans[1][2].Comfortable, 4)
}

// A small hand reaches one step less at most, everywhere, and is comfortable up to a
// seventh; its fingers are comfortable as far apart, and as quick, as any.
func TestSmallHand(t *testing.T) {
	small, want := Small(), Standard()
	want.Name = "small"
	for f := range want.Spans {
		for g := range want.Spans[f] {
			if want.Spans[f][g] != (Span{}) {
				want.Spans[f][g].Most--
			}
		}
	}
	want.Outer = Span{6, 8}
	assert.Equal(t, want, small)
	named, ok := HandNamed("small")
	assert.True(t, ok)
	assert.Equal(t, small, named)
	_, ok = HandNamed("")
	assert.False(t, ok)
}

func TestSet(t *testing.T) {
	h := Standard()
	assert.NoError(t, h.Set("span.1-4.most", 10))
	assert.NoError(t, h.Set("leap.least", .25))
	assert.Equal(t, 10, h.Spans[1][4].Most)
	assert.Equal(t, .25, h.Leap.Least)

	before := h
	assert.ErrorContains(t, h.Set("span.1-4.most", 9.5), "whole steps")
	assert.ErrorContains(t, h.Set("leap.least", -1), "between 0 and 60 seconds")
	assert.ErrorContains(t, h.Set("leap.least", math.NaN()), "between")
	assert.ErrorContains(t, h.Set("lep.least", 1), `"lep.least"`)
	assert.Equal(t, before, h)
}
