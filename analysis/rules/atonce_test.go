package rules

import (
	"context"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestEachAtOnce(t *testing.T) {
	for _, n := range []int{0, 1, 3, 100} {
		done := make([]atomic.Int32, n)
		assert.NoError(t, eachAtOnce(context.Background(), 4, n, func(i int) { done[i].Add(1) }))
		for i := range done {
			assert.Equal(t, int32(1), done[i].Load())
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	var begun atomic.Int32
	err := eachAtOnce(ctx, 4, 1000, func(int) {
		begun.Add(1)
		cancel()
	})
	assert.ErrorIs(t, err, context.Canceled)
	assert.Less(t, begun.Load(), int32(1000))
	assert.PanicsWithValue(t, "wrong", func() {
		_ = eachAtOnce(context.Background(), 4, 100, func(i int) {
			if i == 50 {
				panic("wrong")
			}
		})
	})
}
