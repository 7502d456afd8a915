package piece

import (
	"math"

	"clothwright/curve"
)

// drawSwallowed draws the cut line where a parallel is swallowed by its neighbours or by its own bend, or meets one from across a
// narrow gap. All parallels are strung into one loop in which an inward corner goes in to the seam and out again, so
// that whatever is swallowed turns backwards; then each loop that turns backwards is cut off at its crossing.
func (p *Piece) drawSwallowed(runs []curve.Path) error {
	n := len(p.Edges)
	joins := make([]join, n)
	for i := range p.Edges {
		j := (i + 1) % n
		c, ok := p.cornerAt(i, runs)
		switch {
		case len(c.a.run) == 0 || len(c.b.run) == 0 || !ok || c.sin < 0 && !c.a.fold && !c.b.fold:
			joins[i] = keepAll()
			joins[i].via = weld(nil, curve.Line(endOr(c.a.run, c.at), c.at), curve.Line(c.at, startOr(c.b.run, c.at)))
		default:
			joins[i], _ = c.join(p.rule(i, j)) // an error has been reported by drawCut
		}
	}
	var out curve.Path
	for i := range p.Edges {
		run := runs[i].Sub(joins[(i+n-1)%n].keepB, joins[i].keepA)
		if len(run) == 0 && len(runs[i]) > 0 {
			return p.fault("cut", &p.Edges[i], "its allowance is swallowed by those of its neighbours; make it smaller, or the edge longer")
		}
		out = append(append(out, run...), joins[i].via...)
	}
	pts := forwardOnly(loop(out, Fit/2))
	if len(pts) < 3 {
		return p.fault("cut", nil, "no cut line is left once the allowances are laid round it")
	}
	p.cut = append(curve.Polyline(pts...), curve.Line(pts[len(pts)-1], pts[0]))
	return nil
}

func endOr(p curve.Path, q curve.Point) curve.Point {
	if len(p) == 0 {
		return q
	}
	return p.End()
}

func startOr(p curve.Path, q curve.Point) curve.Point {
	if len(p) == 0 {
		return q
	}
	return p.Start()
}

// forwardOnly cuts a closed polygon at its crossings and drops at each the part that runs backwards, or the smaller part
// where neither does.
func forwardOnly(pts []curve.Point) []curve.Point {
	for range pts {
		i, j, crossed := curve.Crossing(pts)
		if !crossed {
			break
		}
		x := cross(pts[i], pts[(i+1)%len(pts)], pts[j], pts[(j+1)%len(pts)])
		inner := append([]curve.Point{x}, pts[i+1:j+1]...)
		outer := append(append(append(make([]curve.Point, 0, len(pts)), pts[:i+1]...), x), pts[j+1:]...)
		a, b := curve.PolygonArea(inner), curve.PolygonArea(outer)
		if a > b {
			outer = inner
		}
		pts = tidy(outer)
	}
	return pts
}

// tidy leaves out points that repeat.
func tidy(pts []curve.Point) []curve.Point {
	out := pts[:0]
	for _, q := range pts {
		if n := len(out); n == 0 || out[n-1].Dist(q) > curve.Snap {
			out = append(out, q)
		}
	}
	for len(out) > 1 && out[0].Dist(out[len(out)-1]) <= curve.Snap {
		out = out[:len(out)-1]
	}
	return out
}

// cross is the common point of the lines a-b and c-d, of which it is known that they touch.
func cross(a, b, c, d curve.Point) curve.Point {
	u, v := b.Sub(a), d.Sub(c)
	det := u.Cross(v)
	if math.Abs(det) <= 1e-12*u.Norm()*v.Norm() { // in a row: one of the ends is common to both
		if _, gap := (curve.Path{curve.Line(a, b)}).Nearest(c); gap <= curve.Snap {
			return c
		}
		return d
	}
	return a.Add(u.Mul(c.Sub(a).Cross(v) / det))
}
