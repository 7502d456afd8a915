package curve

import "math"

// Seg is one piece of a path: a straight line, or a cubic Bézier curve. Its parameter t runs from 0 to 1; the zero Seg
// is a cubic resting at the origin.
type Seg struct {
	c    [4]Point
	line bool
}

// Line returns the straight line from a to b.
func Line(a, b Point) Seg {
	return Seg{[4]Point{a, a.Lerp(b, 1./3), a.Lerp(b, 2./3), b}, true}
}

// Cubic returns the cubic Bézier curve that starts at a toward b and arrives at d from c.
func Cubic(a, b, c, d Point) Seg { return Seg{[4]Point{a, b, c, d}, false} }

// Kappa is the handle length, as a fraction of the radius, with which a cubic comes nearest to a quarter circle while
// touching it at its ends and middle: 4/3·(√2-1). The radius is then out by at most 2.7 parts in 10,000.
const Kappa = 0.5522847498307936

// Quarter returns a quarter of an ellipse that leaves a toward corner and arrives at b from corner: the affine image of a
// quarter circle drawn in a square. With equal, square sides it is a quarter circle, out by at most 0.027 % of its radius.
func Quarter(a, corner, b Point) Seg {
	return Cubic(a, a.Lerp(corner, Kappa), b.Lerp(corner, Kappa), b)
}

// Straight reports whether s was made as a straight line. A cubic whose points happen to lie in a row is not one.
func (s Seg) Straight() bool { return s.line }

// Start returns the first point.
func (s Seg) Start() Point { return s.c[0] }

// End returns the last point.
func (s Seg) End() Point { return s.c[3] }

// Controls returns the four control points; a straight line has its inner two at a third and two thirds.
func (s Seg) Controls() [4]Point { return s.c }

// At returns the point at parameter t. It is exactly Start at 0 and End at 1.
func (s Seg) At(t float64) Point {
	if s.line {
		return s.c[0].Lerp(s.c[3], t)
	}
	u := 1 - t
	b0, b1, b2, b3 := u*u*u, 3*u*u*t, 3*u*t*t, t*t*t
	return Point{
		float64(b0*s.c[0].X) + float64(b1*s.c[1].X) + float64(b2*s.c[2].X) + float64(b3*s.c[3].X),
		float64(b0*s.c[0].Y) + float64(b1*s.c[1].Y) + float64(b2*s.c[2].Y) + float64(b3*s.c[3].Y),
	}
}

// Deriv returns the first derivative at t, whose length is the speed in mm per unit of t.
func (s Seg) Deriv(t float64) Point {
	if s.line {
		return s.c[3].Sub(s.c[0])
	}
	u := 1 - t
	b0, b1, b2 := 3*u*u, 6*u*t, 3*t*t
	d0, d1, d2 := s.c[1].Sub(s.c[0]), s.c[2].Sub(s.c[1]), s.c[3].Sub(s.c[2])
	return Point{
		float64(b0*d0.X) + float64(b1*d1.X) + float64(b2*d2.X),
		float64(b0*d0.Y) + float64(b1*d1.Y) + float64(b2*d2.Y),
	}
}

// Deriv2 returns the second derivative at t; zero on a straight line.
func (s Seg) Deriv2(t float64) Point {
	if s.line {
		return Point{}
	}
	e0 := s.c[2].Sub(s.c[1]).Sub(s.c[1].Sub(s.c[0]))
	e1 := s.c[3].Sub(s.c[2]).Sub(s.c[2].Sub(s.c[1]))
	return e0.Lerp(e1, t).Mul(6)
}

// Curvature returns the signed curvature at t in 1/mm: positive where the curve turns clockwise on the page, 0 where the
// curve stands still. Its inverse is the radius of the circle that fits best there.
func (s Seg) Curvature(t float64) float64 {
	d := s.Deriv(t)
	v := d.Norm()
	if v == 0 {
		return 0
	}
	return d.Cross(s.Deriv2(t)) / (v * v * v)
}

// Tangent returns the unit direction of travel at t. Where the derivative vanishes, as at an end whose handle has no
// length, it is the direction the curve takes on from there. A segment that is a single point has the zero vector.
func (s Seg) Tangent(t float64) Point {
	d := s.Deriv(t)
	if d.Norm2() > 1e-18*s.hull2() {
		return d.Unit()
	}
	if s.line {
		return Point{}
	}
	// A step off the still place: forward at the start, else from behind, so that an end points the way it arrives.
	const h = 1e-4
	d = Point{}
	switch {
	case t < h:
		for _, q := range s.c[1:] {
			if d = q.Sub(s.c[0]); d.Norm2() > 1e-18*s.hull2() {
				break
			}
		}
	case t > 1-h:
		for i := 2; i >= 0; i-- {
			if d = s.c[3].Sub(s.c[i]); d.Norm2() > 1e-18*s.hull2() {
				break
			}
		}
	default:
		d = s.Deriv(t - h)
	}
	return d.Unit()
}

// hull2 is the squared size of the control polygon, against which a handle counts as having no length.
func (s Seg) hull2() float64 {
	return math.Max(s.c[0].Sub(s.c[3]).Norm2(), math.Max(s.c[1].Sub(s.c[0]).Norm2(), s.c[3].Sub(s.c[2]).Norm2()))
}

// Split cuts s at t into the part before and the part after.
func (s Seg) Split(t float64) (Seg, Seg) {
	if s.line {
		m := s.At(t)
		return Line(s.c[0], m), Line(m, s.c[3])
	}
	ab, bc, cd := s.c[0].Lerp(s.c[1], t), s.c[1].Lerp(s.c[2], t), s.c[2].Lerp(s.c[3], t)
	abc, bcd := ab.Lerp(bc, t), bc.Lerp(cd, t)
	m := abc.Lerp(bcd, t)
	return Cubic(s.c[0], ab, abc, m), Cubic(m, bcd, cd, s.c[3])
}

// Sub returns the part of s from t0 to t1, 0 ≤ t0 ≤ t1 ≤ 1.
func (s Seg) Sub(t0, t1 float64) Seg {
	if t1 < 1 {
		s, _ = s.Split(t1)
		if t1 > 0 {
			t0 /= t1
		}
	}
	if t0 > 0 {
		_, s = s.Split(t0)
	}
	return s
}

// Reverse returns s travelled the other way.
func (s Seg) Reverse() Seg { return Seg{[4]Point{s.c[3], s.c[2], s.c[1], s.c[0]}, s.line} }

// Transform returns the image of s under m. The affine image of a cubic is exactly the cubic of the images.
func (s Seg) Transform(m Affine) Seg {
	if s.line {
		return Line(m.Apply(s.c[0]), m.Apply(s.c[3]))
	}
	for i, p := range s.c {
		s.c[i] = m.Apply(p)
	}
	return s
}

// Bounds returns the smallest box round s, from the roots of its derivative.
func (s Seg) Bounds() Rect {
	r := Bounds(s.c[0], s.c[3])
	if s.line || r.Contains(s.c[1]) && r.Contains(s.c[2]) {
		return r
	}
	for _, t := range s.turns() {
		if t > 0 && t < 1 {
			r = r.AddPoint(s.At(t))
		}
	}
	return r
}

// turns gives the up to four parameters at which s runs level or upright; those it lacks are NaN.
func (s Seg) turns() [4]float64 {
	d0, d1, d2 := s.c[1].Sub(s.c[0]), s.c[2].Sub(s.c[1]), s.c[3].Sub(s.c[2])
	x0, x1 := quadratic(d0.X-2*d1.X+d2.X, 2*(d1.X-d0.X), d0.X)
	y0, y1 := quadratic(d0.Y-2*d1.Y+d2.Y, 2*(d1.Y-d0.Y), d0.Y)
	return [4]float64{x0, x1, y0, y1}
}

// quadratic returns the real roots of a·t²+b·t+c, NaN for those it lacks, without cancellation.
func quadratic(a, b, c float64) (float64, float64) {
	disc := float64(b*b) - float64(4*a*c)
	if disc < 0 {
		return math.NaN(), math.NaN()
	}
	q := -0.5 * (b + math.Copysign(math.Sqrt(disc), b))
	r0, r1 := math.NaN(), math.NaN()
	if a != 0 {
		r0 = q / a
	}
	if q != 0 {
		r1 = c / q
	}
	return r0, r1
}

// hull is the box round the control points: quicker than Bounds and never smaller.
func (s Seg) hull() Rect { return Bounds(s.c[:]...) }
