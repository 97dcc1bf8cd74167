package score

import (
	"math/bits"
	"strconv"
)

// Frac is an exact time in whole notes, kept in lowest terms with Den > 0.
// The zero value is not a fraction (Den 0): it stands for a time too large or
// too fine to hold in 64 bits, and every sum that meets it stays so. Code that
// reads a length out of a text asks Valid once and reports it there.
type Frac struct{ Num, Den int64 }

// Zero is no time at all.
var Zero = Frac{0, 1}

// F gives num/den in lowest terms; den must not be 0.
func F(num, den int64) Frac {
	if den == 0 {
		return Frac{}
	}
	if den < 0 {
		num, den = -num, -den
	}
	if den&(den-1) == 0 { // as nearly all lengths are
		if num == 0 {
			return Zero
		}
		both := min(bits.TrailingZeros64(uint64(num)), bits.TrailingZeros64(uint64(den)))
		return Frac{num >> both, den >> both}
	}
	g := gcd(abs(num), den)
	if g > 1 {
		num, den = num/g, den/g
	}
	return Frac{num, den}
}

// small says whether products of the numbers of two such fractions, and a sum of two of
// these, fit into 64 bits.
func (a Frac) small() bool {
	const most = 1 << 30
	return a.Num < most && a.Num > -most && a.Den < most && a.Den > 0
}

// Valid is false where a calculation left the range of 64 bits.
func (a Frac) Valid() bool { return a.Den > 0 }

// Add gives a + b.
func (a Frac) Add(b Frac) Frac {
	if a.Den == b.Den && a.Den > 0 {
		n, ok := addInt(a.Num, b.Num)
		if !ok {
			return Frac{}
		}
		return F(n, a.Den)
	}
	if a.small() && b.small() {
		return F(a.Num*b.Den+b.Num*a.Den, a.Den*b.Den)
	}
	if !a.Valid() || !b.Valid() {
		return Frac{}
	}
	g := gcd(a.Den, b.Den)
	x, ok1 := mulInt(a.Num, b.Den/g)
	y, ok2 := mulInt(b.Num, a.Den/g)
	d, ok3 := mulInt(a.Den, b.Den/g)
	n, ok4 := addInt(x, y)
	if !ok1 || !ok2 || !ok3 || !ok4 {
		return Frac{}
	}
	return F(n, d)
}

// Sub gives a - b.
func (a Frac) Sub(b Frac) Frac { return a.Add(Frac{-b.Num, b.Den}) }

// Mul gives a · b.
func (a Frac) Mul(b Frac) Frac {
	if a.small() && b.small() {
		return F(a.Num*b.Num, a.Den*b.Den)
	}
	if !a.Valid() || !b.Valid() {
		return Frac{}
	}
	g1, g2 := gcd(abs(a.Num), b.Den), gcd(abs(b.Num), a.Den)
	n, ok1 := mulInt(a.Num/g1, b.Num/g2)
	d, ok2 := mulInt(a.Den/g2, b.Den/g1)
	if !ok1 || !ok2 {
		return Frac{}
	}
	return F(n, d)
}

// Div gives a ÷ b; dividing by nothing is not a fraction.
func (a Frac) Div(b Frac) Frac {
	if b.Num == 0 {
		return Frac{}
	}
	if b.Num < 0 {
		return a.Mul(Frac{-b.Den, -b.Num})
	}
	return a.Mul(Frac{b.Den, b.Num})
}

// Cmp is -1, 0 or 1 as a is less than, equal to or more than b. Both must be
// valid. It cannot overflow: the products are taken in 128 bits.
func (a Frac) Cmp(b Frac) int {
	if a.Den == b.Den {
		switch {
		case a.Num < b.Num:
			return -1
		case a.Num > b.Num:
			return 1
		}
		return 0
	}
	if (a.Num < 0) != (b.Num < 0) {
		if a.Num < 0 {
			return -1
		}
		return 1
	}
	h1, l1 := bits.Mul64(uint64(abs(a.Num)), uint64(b.Den))
	h2, l2 := bits.Mul64(uint64(abs(b.Num)), uint64(a.Den))
	c := 0
	switch {
	case h1 < h2 || h1 == h2 && l1 < l2:
		c = -1
	case h1 > h2 || l1 > l2:
		c = 1
	}
	if a.Num < 0 {
		return -c
	}
	return c
}

// Less says whether a comes before b.
func (a Frac) Less(b Frac) bool { return a.Cmp(b) < 0 }

// Sign is -1, 0 or 1.
func (a Frac) Sign() int {
	switch {
	case a.Num < 0:
		return -1
	case a.Num > 0:
		return 1
	}
	return 0
}

// Float is the nearest floating-point number.
func (a Frac) Float() float64 {
	if a.Den == 0 {
		return 0
	}
	return float64(a.Num) / float64(a.Den)
}

// String is "3/8", or "2" for whole numbers.
func (a Frac) String() string { return string(a.Append(nil)) }

// Append adds what String gives to a text.
func (a Frac) Append(b []byte) []byte {
	b = strconv.AppendInt(b, a.Num, 10)
	if a.Den != 1 {
		b = append(b, '/')
		b = strconv.AppendInt(b, a.Den, 10)
	}
	return b
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	if a == 0 {
		return 1
	}
	return a
}

func abs(a int64) int64 {
	if a < 0 {
		return -a
	}
	return a
}

func addInt(a, b int64) (int64, bool) {
	c := a + b
	return c, (c > a) == (b > 0)
}

func mulInt(a, b int64) (int64, bool) {
	hi, lo := bits.Mul64(uint64(abs(a)), uint64(abs(b)))
	if hi != 0 || lo > 1<<62 {
		return 0, false
	}
	c := int64(lo)
	if (a < 0) != (b < 0) {
		c = -c
	}
	return c, true
}
