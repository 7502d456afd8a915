package piece

import (
	"math"

	"clothwright/curve"
	"clothwright/phrase"
)

// drawSwallowed draws the cut line where a parallel is swallowed by its neighbours or by its own bend, or meets one from across a
// narrow gap. All parallels, with whatever loops they make, are strung into one in which an inward corner goes in to the
// seam and out again, so that all that is swallowed turns backwards; then each loop that turns backwards is cut off at its
// crossing. tame says at which edges' ends the corner rule has already been given up.
func (p *Piece) drawSwallowed(tame []bool) error {
	var raw Piece // a side of the outline to an edge
	owner := []int{}
	for i := range p.Edges {
		e := p.Edges[i]
		for k, s := range e.Path {
			part := Edge{Name: e.Name, Path: curve.Path{s}, Allowance: e.Allowance, Finish: e.Finish}
			if k == 0 {
				part.StartCorner = p.startRule(i, tame)
			}
			if k == len(e.Path)-1 && !tame[i] {
				part.Corner = e.Corner
			}
			raw.Edges = append(raw.Edges, part)
			owner = append(owner, i)
		}
	}
	n := len(raw.Edges)
	runs := make([]curve.Path, n)
	for i := range raw.Edges {
		runs[i] = rawParallel(raw.Edges[i].Path[0], raw.Edges[i].Allowance)
	}
	joins := make([]join, n)
	for i := range raw.Edges {
		c, _ := raw.cornerAt(i, runs)
		if c.sin < 0 && !c.a.fold && !c.b.fold {
			joins[i] = keepAll()
			joins[i].via = weld(nil, curve.Line(c.foot(&c.a), c.at), curve.Line(c.at, c.foot(&c.b)))
			continue
		}
		a, b := &raw.Edges[i], &raw.Edges[(i+1)%n]
		rule, ofNext := a.Corner, false
		if rule == Mitre {
			rule, ofNext = b.StartCorner, true
		}
		var err error
		if joins[i], err = c.join(rule, ofNext); err != nil {
			return p.fault("fold", &p.Edges[owner[i]], phrase.From(err))
		}
		if j := (i + 1) % n; owner[i] != owner[j] {
			p.clip[owner[i]][1], p.clip[owner[j]][0] = joins[i].clipA, joins[i].clipB
		}
	}
	var out curve.Path
	for i := range runs {
		run := runs[i].Sub(joins[(i+n-1)%n].keepB, joins[i].keepA)
		if len(run) == 0 {
			return p.fault("cut", &p.Edges[owner[i]], phrase.Of("its allowance is swallowed by those of its neighbours; make it smaller, or the edge longer"))
		}
		out = append(append(out, run...), joins[i].via...)
	}
	pts := forwardOnly(loop(out, Fit/2))
	pts = curve.SimplifyWithin(pts, Fit/2)
	if len(pts) < 3 {
		return p.fault("cut", nil, phrase.Of("no cut line is left once the allowances are laid round it"))
	}
	p.cut = append(curve.Polyline(pts...), curve.Line(pts[len(pts)-1], pts[0]))
	return nil
}

// rawParallel is the parallel of a segment at distance d as straight lines within about Fit/2, loops and all.
func rawParallel(s curve.Seg, d float64) curve.Path {
	n := len(curve.Path{s}.Flatten(Fit/8)) - 1 // finer than Fit/2, since outside a bend it is drawn out
	pts := make([]curve.Point, n+1)
	for i := range pts {
		t := float64(i) / float64(n)
		pts[i] = s.At(t).Add(s.Tangent(t).Left().Mul(d))
	}
	return curve.Polyline(pts...)
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
