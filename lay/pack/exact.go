package pack

import (
	"math"
	"math/big"
)

// orient is the sign of the turn from a over b to c: 1 to the left, -1 to the
// right, 0 for exactly straight. A floating-point filter decides almost always
// (error bound of Shewchuk 1997), rational arithmetic the rest. What is straight
// along an axis is decided at once: a difference is 0 only of equal numbers.
func orient(a, b, c Point) int {
	ax, ay, bx, by := a.X-c.X, a.Y-c.Y, b.X-c.X, b.Y-c.Y
	if (ax == 0 || by == 0) && (ay == 0 || bx == 0) {
		return 0
	}
	l := float64(ax * by)
	r := float64(ay * bx)
	det := l - r
	if math.Abs(det) > 3.3306690738754716e-16*(math.Abs(l)+math.Abs(r)) {
		if det > 0 {
			return 1
		}
		return -1
	}
	return rational(a).orient(rational(b), rational(c))
}

// ratPoint is a point with rational coordinates.
type ratPoint struct{ x, y *big.Rat }

func rational(p Point) ratPoint {
	return ratPoint{new(big.Rat).SetFloat64(p.X), new(big.Rat).SetFloat64(p.Y)}
}

func (p ratPoint) sub(q ratPoint) ratPoint {
	return ratPoint{new(big.Rat).Sub(p.x, q.x), new(big.Rat).Sub(p.y, q.y)}
}

func (p ratPoint) cross(q ratPoint) *big.Rat {
	l, r := new(big.Rat).Mul(p.x, q.y), new(big.Rat).Mul(p.y, q.x)
	return l.Sub(l, r)
}

func (p ratPoint) dot(q ratPoint) *big.Rat {
	l, r := new(big.Rat).Mul(p.x, q.x), new(big.Rat).Mul(p.y, q.y)
	return l.Add(l, r)
}

func (p ratPoint) orient(b, c ratPoint) int { return b.sub(p).cross(c.sub(p)).Sign() }

func middle(p, q ratPoint) ratPoint {
	half := big.NewRat(1, 2)
	x, y := new(big.Rat).Add(p.x, q.x), new(big.Rat).Add(p.y, q.y)
	return ratPoint{x.Mul(x, half), y.Mul(y, half)}
}

// side tells where a point lies: 1 inside the outline, 0 on it, -1 outside.
// Exact: each edge is decided by orient, and each is half-open in y.
func side(p Point, pts []Point) int {
	in := false
	a := pts[len(pts)-1]
	for _, b := range pts {
		if (a.Y > p.Y) != (b.Y > p.Y) {
			o := orient(a, b, p)
			if o == 0 {
				return 0
			}
			if (o > 0) == (b.Y > a.Y) {
				in = !in
			}
		} else if within(a, b, p) && orient(a, b, p) == 0 {
			return 0
		}
		a = b
	}
	if in {
		return 1
	}
	return -1
}

// ratSide is side for a rational point.
func ratSide(p ratPoint, pts []Point) int {
	in := false
	a := rational(pts[len(pts)-1])
	for _, q := range pts {
		b := rational(q)
		above, next := a.y.Cmp(p.y) > 0, b.y.Cmp(p.y) > 0
		o := a.orient(b, p)
		if o == 0 && ratWithin(a, b, p) {
			return 0
		}
		if above != next && (o > 0) == (b.y.Cmp(a.y) > 0) {
			in = !in
		}
		a = b
	}
	if in {
		return 1
	}
	return -1
}

// within tells whether p lies in the upright rectangle of a and b.
func within(a, b, p Point) bool {
	return min(a.X, b.X) <= p.X && p.X <= max(a.X, b.X) && min(a.Y, b.Y) <= p.Y && p.Y <= max(a.Y, b.Y)
}

func ratWithin(a, b, p ratPoint) bool {
	between := func(u, v, w *big.Rat) bool { return u.Cmp(w)*v.Cmp(w) <= 0 }
	return between(a.x, b.x, p.x) && between(a.y, b.y, p.y)
}

// crosses tells whether the inner parts of two segments cross in one point.
func crosses(a, b, c, d Point) bool {
	if !boxOf2(a, b).meets(boxOf2(c, d)) {
		return false
	}
	return orient(a, b, c)*orient(a, b, d) < 0 && orient(c, d, a)*orient(c, d, b) < 0
}

func boxOf2(a, b Point) box {
	return box{min(a.X, b.X), min(a.Y, b.Y), max(a.X, b.X), max(a.Y, b.Y)}
}

// touches tells whether two segments have any point in common.
func touches(a, b, c, d Point) bool {
	if !boxOf2(a, b).meets(boxOf2(c, d)) {
		return false
	}
	return orient(a, b, c)*orient(a, b, d) <= 0 && orient(c, d, a)*orient(c, d, b) <= 0
}

// simple tells whether the outline neither crosses nor touches itself.
func simple(pts []Point) bool {
	_, _, bad := selfMeeting(pts)
	return !bad
}

// backtracks tells whether b-c runs back along a-b.
func backtracks(a, b, c Point) bool {
	return orient(a, b, c) == 0 && dot(b.Sub(a), c.Sub(b)) < 0
}
