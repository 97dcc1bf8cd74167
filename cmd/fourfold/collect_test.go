package main

import (
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestPercentFor(t *testing.T) {
	assert.Equal(t, mostPercent, percentFor(0))
	assert.Equal(t, mostPercent, percentFor(4<<20), "a small heap may grow much")
	assert.Equal(t, 220, percentFor(15<<20), "up to the room there is")
	assert.Equal(t, usual, percentFor(40<<20), "a large one as usual")
}

func TestAfterCollections(t *testing.T) {
	done := make(chan bool)
	afterCollections(func() { done <- true })
	for range 3 {
		runtime.GC()
		<-done
	}
}
