package curve

import (
	"math"
	"strconv"
)

// Point is a place on the page, or a vector between two places, in millimetres; y runs down.
type Point struct{ X, Y float64 }

// Add returns p+q.
func (p Point) Add(q Point) Point { return Point{p.X + q.X, p.Y + q.Y} }

// Sub returns p-q, the vector from q to p.
func (p Point) Sub(q Point) Point { return Point{p.X - q.X, p.Y - q.Y} }

// Mul returns p scaled by k.
func (p Point) Mul(k float64) Point { return Point{float64(p.X * k), float64(p.Y * k)} }

// Dot returns the scalar product.
func (p Point) Dot(q Point) float64 { return float64(p.X*q.X) + float64(p.Y*q.Y) }

// Cross returns the z component of p×q. It is positive when the shorter turn from p to q is clockwise on the page.
func (p Point) Cross(q Point) float64 { return float64(p.X*q.Y) - float64(p.Y*q.X) }

// Norm returns the length of p. (Not math.Hypot, whose last bit differs between processors.)
func (p Point) Norm() float64 { return math.Sqrt(p.Norm2()) }

// Norm2 returns the square of the length of p.
func (p Point) Norm2() float64 { return p.Dot(p) }

// Unit returns the vector of length 1 along p; the zero vector stays zero.
func (p Point) Unit() Point {
	n := p.Norm()
	if n == 0 {
		return Point{}
	}
	return Point{p.X / n, p.Y / n}
}

// Left returns p turned a quarter to the left of travel, anticlockwise on the page: (1,0) becomes (0,-1).
func (p Point) Left() Point { return Point{p.Y, -p.X} }

// Right returns p turned a quarter to the right of travel, clockwise on the page: (1,0) becomes (0,1).
func (p Point) Right() Point { return Point{-p.Y, p.X} }

// Dist returns the distance from p to q.
func (p Point) Dist(q Point) float64 { return p.Sub(q).Norm() }

// Lerp returns the point at fraction t of the way from p to q. It is exactly p at 0 and exactly q at 1.
func (p Point) Lerp(q Point, t float64) Point {
	return Point{float64((1-t)*p.X) + float64(t*q.X), float64((1-t)*p.Y) + float64(t*q.Y)}
}

// Angle returns the direction of p in (-π, π], measured clockwise on the page from the x axis; 0 for the zero vector.
func (p Point) Angle() float64 { return math.Atan2(p.Y, p.X) }

// Rotate returns the vector p turned by rad, clockwise on the page when rad is positive.
func (p Point) Rotate(rad float64) Point {
	sin, cos := math.Sincos(rad)
	return Point{float64(p.X*cos) - float64(p.Y*sin), float64(p.X*sin) + float64(p.Y*cos)}
}

// String gives "(x, y)" with three decimals at most, never a minus zero.
func (p Point) String() string { return "(" + short(p.X) + ", " + short(p.Y) + ")" }

func short(v float64) string {
	r := math.Round(v*1000) / 1000
	return strconv.FormatFloat(r+0, 'f', -1, 64) // +0 turns -0 into 0
}
