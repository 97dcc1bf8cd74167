package score

import "fourfold/parser/syntax"

func explain(key string, t *Tune, f *syntax.File, b syntax.Block) string { return "" }
