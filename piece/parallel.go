package piece

import (
	"math"

	"clothwright/curve"
)

// parallel is the seam line moved out by the allowance. Most edges are so gentle that their parallel cannot meet itself; then it is made
// by short parts, of which one cubic is enough for each, and that spares the search for crossings.
func parallel(path curve.Path, d float64) curve.Path {
	if d == 0 || !gentle(path, d) {
		return path.Offset(d, 0.9*Fit)
	}
	out := make(curve.Path, 0, 3*len(path))
	for i := range path {
		s := path[i]
		for n := parts(&s); n > 1; n-- {
			var part curve.Seg
			part, s = s.Split(1 / float64(n))
			out = append(out, curve.Path{part}.Offset(d, 0.9*Fit)...)
		}
		out = append(out, curve.Path{s}.Offset(d, 0.9*Fit)...)
	}
	return out
}

// parts is in how many parts a segment is to be taken so that each turns by no more than about half a radian.
func parts(s *curve.Seg) int {
	if s.Straight() {
		return 1
	}
	c := s.Controls()
	turn, was := 0.0, s.Tangent(0)
	for k := range 3 {
		leg := c[k+1].Sub(c[k])
		if leg.Norm2() == 0 {
			continue
		}
		turn += math.Abs(math.Atan2(was.Cross(leg), was.Dot(leg)))
		was = leg
	}
	return 1 + int(2*turn)
}

// gentle reports whether a path never turns more than a quarter from its chord, has no corner, and bends outward nowhere nearly as
// tightly as the distance d. Its parallel then moves forward along the chord all the way.
func gentle(path curve.Path, d float64) bool {
	chord := path.End().Sub(path.Start())
	for i := range path {
		s := &path[i]
		c := s.Controls()
		for k := range 3 {
			if c[k+1].Sub(c[k]).Dot(chord) < 0 {
				return false
			}
		}
		if i > 0 {
			u, v := path[i-1].Tangent(1), s.Tangent(0)
			if math.Abs(u.Cross(v)) > tiny || u.Dot(v) < 0 {
				return false
			}
		}
		if s.Straight() {
			continue
		}
		for k := range 9 {
			if 1+d*s.Curvature(float64(k)/8) < 0.2 {
				return false
			}
		}
	}
	return true
}
