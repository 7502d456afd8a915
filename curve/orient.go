package curve

import (
	"math"
	"math/big"
)

// Orient says which way the path a, b, c turns: +1 clockwise on the page, -1 anticlockwise, 0 when the three lie exactly in
// a row. The sign is exact: a quick test first, then one with the rounding of the products, then big.Rat.
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
	if exactDiff(a.X, c.X, acx) && exactDiff(a.Y, c.Y, acy) && exactDiff(b.X, c.X, bcx) && exactDiff(b.Y, c.Y, bcy) {
		if size > 1e-280 && size < 1e300 {
			if l != r {
				return sign(l - r) // rounding never reverses an order
			}
			return sign(math.FMA(acx, bcy, -l) - math.FMA(acy, bcx, -r))
		}
		if (acx == 0 || bcy == 0) && (acy == 0 || bcx == 0) {
			return 0
		}
	}
	return orientExact(a, b, c)
}

// exactDiff reports whether a-b was d without rounding.
func exactDiff(a, b, d float64) bool {
	back := a - d
	return float64((a-(d+back))+(back-b)) == 0
}

func orientExact(a, b, c Point) int {
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
