package pack

import "math"

// Point is a place in the plane, in the unit of the problem. In a strip x runs
// along its length from 0 and y across it from 0 to the width.
type Point struct{ X, Y float64 }

// Add returns p moved by q.
func (p Point) Add(q Point) Point { return Point{p.X + q.X, p.Y + q.Y} }

// Sub returns the vector from q to p.
func (p Point) Sub(q Point) Point { return Point{p.X - q.X, p.Y - q.Y} }

// cross and dot round each product on its own: a fused multiply-add, which some
// processors would use, gives other last bits and so another lay.
func cross(a, b Point) float64 { return float64(a.X*b.Y) - float64(a.Y*b.X) }
func dot(a, b Point) float64   { return float64(a.X*b.X) + float64(a.Y*b.Y) }

func norm(a Point) float64 { return math.Sqrt(dot(a, a)) }

// box is an upright rectangle.
type box struct{ x0, y0, x1, y1 float64 }

func boxOf(pts []Point) box {
	b := box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, p := range pts {
		b.x0, b.x1 = min(b.x0, p.X), max(b.x1, p.X)
		b.y0, b.y1 = min(b.y0, p.Y), max(b.y1, p.Y)
	}
	return b
}

func (b box) width() float64  { return b.x1 - b.x0 }
func (b box) height() float64 { return b.y1 - b.y0 }

func (b box) grown(d float64) box { return box{b.x0 - d, b.y0 - d, b.x1 + d, b.y1 + d} }

func (b box) holds(p Point) bool { return b.x0 <= p.X && p.X <= b.x1 && b.y0 <= p.Y && p.Y <= b.y1 }

func (b box) meets(c box) bool {
	return b.x0 <= c.x1 && c.x0 <= b.x1 && b.y0 <= c.y1 && c.y0 <= b.y1
}

// signedArea is positive for an outline that runs counter-clockwise seen with x
// to the right and y up.
func signedArea(pts []Point) float64 {
	if len(pts) == 0 {
		return 0
	}
	s, o := 0.0, pts[0]
	for i := 1; i+1 < len(pts); i++ {
		s += cross(pts[i].Sub(o), pts[i+1].Sub(o))
	}
	return s / 2
}

// quarter holds the cosine and sine of whole quarter turns, which must be exact
// so that a turned rectangle stays a rectangle.
var quarter = [4]Point{{1, 0}, {0, 1}, {-1, 0}, {0, -1}}

// heading returns the cosine and sine of an angle in degrees. It is exact for
// quarter turns and, unlike the library's, has the same bits on every processor:
// a plain series on at most 45 degrees, whose last term is below one unit in the
// last place.
func heading(degrees float64) Point {
	turn := math.Mod(degrees, 360)
	if turn < 0 {
		turn += 360
	}
	q := math.Floor(turn/90 + 0.5)
	rest := float64((turn - 90*q) * (math.Pi / 180))
	base := quarter[int(q)%4]
	if rest == 0 {
		return base
	}
	c, s := 1.0, rest
	square := float64(rest * rest)
	for k, term := 1, 1.0; k <= 12; k++ {
		term = -float64(term*square) / float64((2*k-1)*(2*k))
		c += term
	}
	for k, term := 1, rest; k <= 12; k++ {
		term = -float64(term*square) / float64((2*k)*(2*k+1))
		s += term
	}
	return Point{float64(c*base.X) - float64(s*base.Y), float64(s*base.X) + float64(c*base.Y)}
}

// turned mirrors an outline in x when flipped, then turns it about its origin.
func turned(pts []Point, degrees float64, flipped bool) []Point {
	h := heading(degrees)
	out := make([]Point, len(pts))
	for i, p := range pts {
		if flipped {
			p.X = -p.X
		}
		out[i] = Point{float64(h.X*p.X) - float64(h.Y*p.Y), float64(h.Y*p.X) + float64(h.X*p.Y)}
	}
	return out
}

func moved(pts []Point, by Point) []Point {
	out := make([]Point, len(pts))
	for i, p := range pts {
		out[i] = p.Add(by)
	}
	return out
}

// hull is the convex hull, counter-clockwise, by Andrew's monotone chain.
func hull(pts []Point) []Point {
	sorted := append([]Point(nil), pts...)
	sortPoints(sorted)
	if len(sorted) < 3 {
		return sorted
	}
	var out []Point
	grow := func(p Point, floor int) {
		for len(out) >= floor+2 && cross(out[len(out)-1].Sub(out[len(out)-2]), p.Sub(out[len(out)-1])) <= 0 {
			out = out[:len(out)-1]
		}
		out = append(out, p)
	}
	for _, p := range sorted {
		grow(p, 0)
	}
	floor := len(out) - 1
	for i := len(sorted) - 2; i >= 0; i-- {
		grow(sorted[i], floor)
	}
	return out[:len(out)-1]
}
