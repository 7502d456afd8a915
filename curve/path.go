package curve

import (
	"fmt"
	"math"
)

// Path is a run of segments, each starting where the one before it ends. The empty path has no points and no length.
type Path []Seg

// Snap is how far apart, in mm, two points may be and still count as one where paths are joined or said to meet.
const Snap = 1e-6

// Polyline returns straight lines through the points in order; fewer than two points give the empty path.
func Polyline(pts ...Point) Path {
	if len(pts) < 2 {
		return nil
	}
	p := make(Path, len(pts)-1)
	for i := range p {
		p[i] = Line(pts[i], pts[i+1])
	}
	return p
}

// Join runs the paths one after the other. Ends that lie within Snap of each other are made one point; a wider gap is an
// error that says where. Empty paths are passed over.
func Join(paths ...Path) (Path, error) {
	var out Path
	for i, p := range paths {
		if len(p) == 0 {
			continue
		}
		n := len(out)
		out = append(out, p...)
		if n == 0 {
			continue
		}
		was, is := out[n-1].End(), out[n].Start()
		if gap := was.Dist(is); !(gap <= Snap) {
			return nil, fmt.Errorf("path %d starts at %v, %s mm from the end %v of the one before it; they must touch", i+1, is, short(gap), was)
		}
		out[n] = out[n].from(was)
	}
	return out, nil
}

// from returns s with its first point put at p. A curve's handle moves along, so that the direction stays.
func (s Seg) from(p Point) Seg {
	if s.line {
		return Line(p, s.c[3])
	}
	s.c[1] = s.c[1].Add(p.Sub(s.c[0]))
	s.c[0] = p
	return s
}

// Start returns the first point, the origin for an empty path.
func (p Path) Start() Point {
	if len(p) == 0 {
		return Point{}
	}
	return p[0].Start()
}

// End returns the last point, the origin for an empty path.
func (p Path) End() Point {
	if len(p) == 0 {
		return Point{}
	}
	return p[len(p)-1].End()
}

// Closed reports whether p ends where it starts, within Snap.
func (p Path) Closed() bool { return len(p) > 0 && p.Start().Dist(p.End()) <= Snap }

// Length returns the length along p in mm.
func (p Path) Length() float64 {
	sum := 0.0
	for _, s := range p {
		sum += s.Length()
	}
	return sum
}

// locate finds the segment and parameter at length s; s beyond an end gives that end. A place where two segments meet
// belongs to the later one.
func (p Path) locate(s float64) (i int, t float64) {
	for i = range p {
		l := p[i].Length()
		if s < l {
			return i, p[i].paramAt(s, l)
		}
		s -= l
	}
	return i, 1
}

// PointAt returns the point at length s from the start; s beyond an end gives that end.
func (p Path) PointAt(s float64) Point {
	if len(p) == 0 {
		return Point{}
	}
	i, t := p.locate(s)
	return p[i].At(t)
}

// TangentAt returns the unit direction of travel at length s. At a corner it is the direction in which the path goes on.
func (p Path) TangentAt(s float64) Point {
	if len(p) == 0 {
		return Point{}
	}
	i, t := p.locate(s)
	return p[i].Tangent(t)
}

// StartTangent returns the unit direction in which p sets out, even when its first handle or segment has no length.
func (p Path) StartTangent() Point {
	for _, s := range p {
		if u := s.Tangent(0); u != (Point{}) {
			return u
		}
	}
	return Point{}
}

// EndTangent returns the unit direction in which p arrives, even when its last handle or segment has no length.
func (p Path) EndTangent() Point {
	for i := len(p) - 1; i >= 0; i-- {
		if u := p[i].Tangent(1); u != (Point{}) {
			return u
		}
	}
	return Point{}
}

// near is the length in mm below which a cut counts as falling on the joint of two segments.
const near = 1e-9

// Split cuts p at length s. The two parts share the cut point; a cut at or beyond an end leaves one of them empty.
func (p Path) Split(s float64) (Path, Path) {
	for i := range p {
		l := p[i].Length()
		switch {
		case s <= near:
			return p[:i:i], p[i:]
		case s < l-near:
			a, b := p[i].Split(p[i].paramAt(s, l))
			before := append(append(make(Path, 0, i+1), p[:i]...), a)
			after := append(append(make(Path, 0, len(p)-i), b), p[i+1:]...)
			return before, after
		}
		s -= l
	}
	return p, nil
}

// Sub returns the part of p from length s0 to length s1, cut to the path; empty when s0 ≥ s1.
func (p Path) Sub(s0, s1 float64) Path {
	if !(s0 < s1) {
		return nil
	}
	p, _ = p.Split(s1)
	if s0 <= near {
		return p
	}
	_, p = p.Split(s0)
	return p
}

// Reverse returns p travelled the other way.
func (p Path) Reverse() Path {
	out := make(Path, len(p))
	for i, s := range p {
		out[len(p)-1-i] = s.Reverse()
	}
	return out
}

// Bounds returns the smallest upright box round p, the empty box for an empty path.
func (p Path) Bounds() Rect {
	r := EmptyRect()
	for _, s := range p {
		r = r.Union(s.Bounds())
	}
	return r
}

// Transform returns the image of p under m.
func (p Path) Transform(m Affine) Path {
	out := make(Path, len(p))
	for i, s := range p {
		out[i] = s.Transform(m)
	}
	return out
}

// Move returns p moved by v.
func (p Path) Move(v Point) Path { return p.Transform(Translate(v)) }

// Turn returns p turned by rad about a point, clockwise on the page when positive.
func (p Path) Turn(rad float64, about Point) Path { return p.Transform(RotateAbout(rad, about)) }

// Mirror returns p mirrored about the line through a with direction dir. Its travel is kept, so its area changes sign.
func (p Path) Mirror(a, dir Point) Path { return p.Transform(MirrorLine(a, dir)) }

// MirrorX returns p mirrored left to right about the upright line at x.
func (p Path) MirrorX(x float64) Path { return p.Transform(MirrorX(x)) }

// ExtendStart returns p begun d mm earlier, straight against its starting direction. A d of 0 or less changes nothing.
func (p Path) ExtendStart(d float64) Path {
	if len(p) == 0 || !(d > 0) {
		return p
	}
	from := p.Start().Sub(p.StartTangent().Mul(d))
	if p[0].line {
		return append(Path{Line(from, p[0].End())}, p[1:]...)
	}
	return append(Path{Line(from, p.Start())}, p...)
}

// ExtendEnd returns p carried on by d mm, straight along the direction in which it arrives. A d of 0 or less changes nothing.
func (p Path) ExtendEnd(d float64) Path {
	if len(p) == 0 || !(d > 0) {
		return p
	}
	n := len(p) - 1
	to := p.End().Add(p.EndTangent().Mul(d))
	out := append(make(Path, 0, n+2), p...)
	if p[n].line {
		out[n] = Line(p[n].Start(), to)
		return out
	}
	return append(out, Line(p.End(), to))
}

// Flatten returns points on p, both ends included, such that the straight lines between them stay within tol mm of it, and
// it of them. A closed path gives its first point again at the end. A tol that is not positive counts as 0.001 mm.
//
// Each cubic is cut into equal steps of t, as many as Wang's bound on its second differences asks for (G. Wang, 1984, The
// subdivision method for finding the intersection between two Bézier curves or surfaces).
func (p Path) Flatten(tol float64) []Point {
	if len(p) == 0 {
		return nil
	}
	if !(tol > 0) {
		tol = 1e-3
	}
	n := 1
	for i := range p {
		n += p[i].steps(tol)
	}
	out := append(make([]Point, 0, n), p.Start())
	for i := range p {
		k := p[i].steps(tol)
		for j := 1; j < k; j++ {
			out = append(out, p[i].At(float64(j)/float64(k)))
		}
		out = append(out, p[i].End())
	}
	return out
}

// steps is how many equal steps of t keep the chords of s within tol.
func (s *Seg) steps(tol float64) int {
	if s.line {
		return 1
	}
	e0 := s.c[2].Sub(s.c[1]).Sub(s.c[1].Sub(s.c[0])).Norm2()
	e1 := s.c[3].Sub(s.c[2]).Sub(s.c[2].Sub(s.c[1])).Norm2()
	n := math.Ceil(math.Sqrt(0.75 * math.Sqrt(math.Max(e0, e1)) / tol))
	return int(math.Max(1, math.Min(n, 1<<16)))
}
