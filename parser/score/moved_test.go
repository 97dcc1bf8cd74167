package score

import (
	"bytes"
	"testing"

	"fourfold/parser/syntax"
)

// TestMovedTuneLeavesTheHeader: what a tune says of the file's header stays where it
// is when text between the two grows.
func TestMovedTuneLeavesTheHeader(t *testing.T) {
	for _, text := range []string{
		"%%score P1 (R L)\nQ:1/4=60\n%%fourfold hand=small\n\nfree text\n\nX:1\nK:C\n[V:R]C|\n[V:L]C|\n",
		"\n%%score P1 (R L)\nfree text\nX:1\nK:C\n[V:R]C|\n[V:L]C|\n",
	} {
		file := syntax.Parse([]byte(text))
		next := file.Edit(bytes.Index(file.Text(), []byte("text")), bytes.Index(file.Text(), []byte("text")), []byte("long "))
		requireSameScore(t, Build(syntax.Parse(bytes.Clone(next.Text()))), Update(Build(file), file, next))
	}
}
