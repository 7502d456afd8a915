package curve

import (
	"math"
	"math/big"
)

// Orient says which way the path a, b, c turns: +1 clockwise on the page, -1 anticlockwise, 0 when the three lie exactly in
// a row. The sign is exact: a quick test with an error bound first, then a sum without
// rounding, and math/big where even that could overflow.
// Points that are not finite give 0.
func Orient(a, b, c Point) int {
	acx, acy, bcx, bcy := a.X-c.X, a.Y-c.Y, b.X-c.X, b.Y-c.Y
	l, r := float64(acx*bcy), float64(acy*bcx)
	det := l - r
	size := math.Abs(l) + math.Abs(r)
	// J. R. Shewchuk, Adaptive precision floating-point arithmetic and fast robust geometric predicates, 1997: the first
	// bound, (3+16ε)ε with ε = 2^-53. Below 1e-280 products may have lost digits to underflow.
	if math.Abs(det) > 3.3306690738754716e-16*size && size > 1e-280 {
		return sign(det)
	}
	if fits(a) && fits(b) && fits(c) {
		return orientSum(a, b, c)
	}
	return orientRat(a, b, c)
}

// fits reports whether products of p's coordinates, and what they lose in rounding, are neither too great nor too small for
// a float64.
func fits(p Point) bool {
	ok := func(v float64) bool { v = math.Abs(v); return v == 0 || v > 1e-130 && v < 1e150 }
	return ok(p.X) && ok(p.Y)
}

// orientSum adds up a×b + b×c + c×a without any rounding: each product as a float and its rounding error, the sum as an
// expansion, floats from small to great whose digits do not overlap (Shewchuk's grow-expansion). The greatest has the sign.
func orientSum(a, b, c Point) int {
	var sum [12]float64
	n := 0
	grow := func(v float64) {
		for i := range n {
			s := v + sum[i]
			w := s - v
			sum[i] = (v - (s - w)) + (sum[i] - w)
			v = s
		}
		sum[n] = v
		n++
	}
	for _, f := range [6][2]float64{{a.X, b.Y}, {-a.Y, b.X}, {b.X, c.Y}, {-b.Y, c.X}, {c.X, a.Y}, {-c.Y, a.X}} {
		p := float64(f[0] * f[1])
		grow(math.FMA(f[0], f[1], -p))
		grow(p)
	}
	for i := n - 1; i >= 0; i-- {
		if sum[i] != 0 {
			return sign(sum[i])
		}
	}
	return 0
}

// orientRat is for coordinates so great or so small that floats would overflow or lose digits.
func orientRat(a, b, c Point) int {
	var v [6]*big.Rat
	for i, f := range [6]float64{a.X, a.Y, b.X, b.Y, c.X, c.Y} {
		if v[i] = new(big.Rat).SetFloat64(f); v[i] == nil {
			return 0
		}
	}
	sub := func(x, y *big.Rat) *big.Rat { return new(big.Rat).Sub(x, y) }
	l := new(big.Rat).Mul(sub(v[0], v[4]), sub(v[3], v[5]))
	r := new(big.Rat).Mul(sub(v[1], v[5]), sub(v[2], v[4]))
	return l.Cmp(r)
}

func sign(v float64) int {
	switch {
	case v > 0:
		return 1
	case v < 0:
		return -1
	}
	return 0
}
