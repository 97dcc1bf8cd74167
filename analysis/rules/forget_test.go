package rules

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// What is dealt far off is found also where a hand starts afresh at once, and what is
// dealt near is taken back alone.
func TestForget(t *testing.T) {
	near, far := dealKey{t: 1}, dealKey{t: 40}
	for _, c := range []struct {
		name   string
		dealt  deal
		around float64
		left   deal
	}{
		{"near", deal{near: 0, far: 0}, 2, deal{far: 0}},
		{"far", deal{far: 0}, 2, deal{}},
		{"afresh at once", deal{far: 0}, 0, deal{}},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.dealt.forget([]window{{0, 0}}, c.around)
			assert.Equal(t, c.left, c.dealt)
		})
	}
}
