package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestPercentFor(t *testing.T) {
	for live, want := range map[uint64]int{0: 200, 10 << 20: 200, 24 << 20: 200, 36 << 20: 130, 48 << 20: 100, 1 << 30: 100} {
		assert.Equal(t, want, percentFor(live), "%d bytes", live)
	}
}
