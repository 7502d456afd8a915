package curve

import "math"

// Offset returns the parallel of p at distance d mm, fitted within tol mm: to the left of travel when d is positive, to
// the right when negative. Straight lines stay straight. At an outward corner the parallels are lengthened to their mitre;
// at an inward corner, and where |d| is more than the radius of the curve, what lies nearer to p than |d| is cut away. If
// nothing is left the path is empty.
func (p Path) Offset(d, tol float64) Path {
	if len(p) == 0 || d == 0 {
		return p
	}
	if !(tol > 0) {
		tol = 1e-3
	}
	var out Path
	for i := range p {
		if p[i].hull2() == 0 {
			continue
		}
		next := p[i].offset(d, tol)
		if n := len(out); n > 0 {
			out = append(out, corner(out[n-1], next[0])...)
		}
		out = append(out, next...)
	}
	return out
}

// corner joins the parallels on either side of a corner: nothing if they touch, else by way of the mitre.
func corner(a, b Seg) Path {
	from, to := a.End(), b.Start()
	gap := to.Sub(from)
	if gap.Norm() <= 1e-9 {
		return nil
	}
	u, v := a.Tangent(1), b.Tangent(0)
	if det := u.Cross(v); math.Abs(det) > 1e-9 {
		if along := gap.Cross(v) / det; along > 0 && along < 20*gap.Norm() {
			m := from.Add(u.Mul(along))
			return Path{Line(from, m), Line(m, to)}
		}
	}
	return Path{Line(from, to)}
}

// offset is the parallel of one segment.
func (s Seg) offset(d, tol float64) Path {
	if s.line {
		v := s.Tangent(0).Left().Mul(d)
		return Path{Line(s.c[0].Add(v), s.c[3].Add(v))}
	}
	return s.fitOffset(0, 1, d, tol, nil, 0)
}

func (s Seg) offsetAt(t, d float64) Point { return s.At(t).Add(s.Tangent(t).Left().Mul(d)) }

// offsetDeriv is the derivative of the parallel: along the tangent, longer on the outside of a bend.
func (s Seg) offsetDeriv(t, d float64) Point {
	return s.Deriv(t).Mul(1 + float64(d*s.Curvature(t)))
}

func (s Seg) fitOffset(t0, t1, d, tol float64, out Path, depth int) Path {
	h := (t1 - t0) / 3
	a, b := s.offsetAt(t0, d), s.offsetAt(t1, d)
	c := Cubic(a, a.Add(s.offsetDeriv(t0, d).Mul(h)), b.Sub(s.offsetDeriv(t1, d).Mul(h)), b)
	worst := 0.0
	for _, u := range [5]float64{0.2, 0.35, 0.5, 0.65, 0.8} {
		worst = math.Max(worst, c.At(u).Dist(s.offsetAt(t0+float64(u*(t1-t0)), d)))
	}
	if worst <= tol*0.8 || depth >= 14 {
		return append(out, c)
	}
	m := 0.5 * (t0 + t1)
	out = s.fitOffset(t0, m, d, tol, out, depth+1)
	return s.fitOffset(m, t1, d, tol, out, depth+1)
}
