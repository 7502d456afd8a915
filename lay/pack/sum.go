package pack

import (
	"cmp"
	"math"
	"slices"
)

// region is the Minkowski sum of a shape and a reflected one, as the convex sums
// of their parts (each open; the region is their union) and the segments among
// which its boundary is.
type region struct {
	sums  []convexSum
	edges []span
	size  float64
	last  int // the sum that held the last point asked about
}

// convexSum is the open intersection of half-planes.
type convexSum struct {
	box   box
	sides []halfPlane
}

// halfPlane holds the points with dot(n, p) < c; n is a unit vector.
type halfPlane struct {
	n Point
	c float64
}

// span is a directed candidate for the boundary and where others meet it.
type span struct {
	a, b Point
	cuts []cut
}

type cut struct {
	t float64
	p Point
}

func sumRegion(a, b *shape) *region {
	u := &region{sums: sumsOf(a, b)}
	u.edges = convolution(a.pts, reflected(b.pts))
	all := a.box
	u.size = max(all.width(), all.height(), b.box.width(), b.box.height())
	return u
}

// sumsOf are the sums of each part of a and each of b reflected.
func sumsOf(a, b *shape) []convexSum {
	out := make([]convexSum, 0, len(a.parts)*len(b.parts))
	for _, q := range b.parts {
		q = reflected(q)
		for _, p := range a.parts {
			out = append(out, sumOf(p, q))
		}
	}
	return out
}

func reflected(pts []Point) []Point {
	out := make([]Point, len(pts))
	for i, p := range pts {
		out[i] = Point{-p.X, -p.Y}
	}
	return out
}

// sumOf adds two convex outlines: their edges in the order of direction.
func sumOf(p, q []Point) convexSum {
	i, j := lowest(p), lowest(q)
	s := convexSum{box: box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}, sides: make([]halfPlane, 0, len(p)+len(q))}
	for ni, nj := 0, 0; ni < len(p) || nj < len(q); {
		at := p[i].Add(q[j])
		s.box = box{min(s.box.x0, at.X), min(s.box.y0, at.Y), max(s.box.x1, at.X), max(s.box.y1, at.Y)}
		u, v := p[(i+1)%len(p)].Sub(p[i]), q[(j+1)%len(q)].Sub(q[j])
		turn := cross(u, v)
		d := v
		if nj == len(q) || ni < len(p) && turn > 0 {
			d, ni, i = u, ni+1, (i+1)%len(p)
		} else if nj++; ni < len(p) && turn == 0 { // both along the same line
			d, ni, i, j = u.Add(v), ni+1, (i+1)%len(p), (j+1)%len(q)
		} else {
			j = (j + 1) % len(q)
		}
		if l := norm(d); l > 0 {
			n := Point{d.Y / l, -d.X / l}
			s.sides = append(s.sides, halfPlane{n, max(dot(n, at), dot(n, p[i].Add(q[j])))})
		}
	}
	return s
}

// lowest is the number of the lowest corner, the leftmost of those.
func lowest(pts []Point) int {
	k := 0
	for i, p := range pts {
		if p.Y < pts[k].Y || p.Y == pts[k].Y && p.X < pts[k].X {
			k = i
		}
	}
	return k
}

func (s *convexSum) holds(p Point, by float64) bool {
	if p.X < s.box.x0 || p.X > s.box.x1 || p.Y < s.box.y0 || p.Y > s.box.y1 {
		return false
	}
	for _, h := range s.sides {
		if h.c-dot(h.n, p) <= by {
			return false
		}
	}
	return true
}

// holds tells whether p lies in the region, in one of the sums by more than by.
func (u *region) holds(p Point, by float64) bool {
	if u.sums[u.last].holds(p, by) {
		return true
	}
	for i := range u.sums {
		if u.sums[i].holds(p, by) {
			u.last = i
			return true
		}
	}
	return false
}

// convolution returns the edges of p carried to the round corners of q and those
// of q carried to the round corners of p, where the directions agree: the
// boundary of the sum is among them. Both run counter-clockwise.
func convolution(p, q []Point) []span {
	out := carried(nil, p, q)
	return carried(out, q, p)
}

func carried(out []span, p, q []Point) []span {
	for i, a := range p {
		b := p[(i+1)%len(p)]
		d := unit(b.Sub(a))
		for j, v := range q {
			in, on := unit(v.Sub(q[(j+len(q)-1)%len(q)])), unit(q[(j+1)%len(q)].Sub(v))
			if cross(in, on) > 0 && between(in, d, on) {
				out = append(out, span{a: a.Add(v), b: b.Add(v)})
			}
		}
	}
	return out
}

func unit(p Point) Point {
	l := norm(p)
	return Point{p.X / l, p.Y / l}
}

// between tells whether direction d lies in the left turn from in to on, with a
// hair to spare so that parallel edges are never lost; the sum of the two
// directions keeps out the opposite one.
func between(in, d, on Point) bool {
	const hair = 1e-12
	return cross(in, d) >= -hair && cross(d, on) >= -hair && dot(d, in.Add(on)) >= -1e-9
}

// boundary cuts the candidates where they meet and keeps the pieces that no sum
// covers.
func (u *region) boundary() []segment {
	u.meet()
	tiny := u.size * 1e-11
	var out []segment
	for i := range u.edges {
		e := &u.edges[i]
		slices.SortFunc(e.cuts, func(a, b cut) int { return cmp.Compare(a.t, b.t) })
		from := e.a
		for k := 0; k <= len(e.cuts); k++ {
			to := e.b
			if k < len(e.cuts) {
				to = e.cuts[k].p
			}
			if norm(to.Sub(from)) <= tiny {
				continue
			}
			if s, ok := u.classify(from, to); ok {
				out = append(out, s)
			}
			from = to
		}
	}
	return merged(out, tiny)
}

// classify decides whether a piece is boundary, and whether the region is on
// both sides of it.
func (u *region) classify(a, b Point) (segment, bool) {
	d := b.Sub(a)
	l := norm(d)
	m := Point{(a.X + b.X) / 2, (a.Y + b.Y) / 2}
	if u.holds(m, u.size*1e-10) {
		return segment{}, false
	}
	dir := Point{d.X / l, d.Y / l}
	off := min(u.size*1e-7, l*1e-2)
	right := Point{m.X + float64(dir.Y*off), m.Y - float64(dir.X*off)}
	return segment{a: a, b: b, dir: dir, length: l, slit: u.holds(right, 0)}, true
}

// merged drops repeats of the same segment.
func merged(segs []segment, tiny float64) []segment {
	slices.SortStableFunc(segs, func(s, t segment) int {
		return cmp.Or(cmp.Compare(s.a.X, t.a.X), cmp.Compare(s.a.Y, t.a.Y), cmp.Compare(s.b.X, t.b.X), cmp.Compare(s.b.Y, t.b.Y))
	})
	out := segs[:0]
	for _, s := range segs {
		if n := len(out); n > 0 && norm(out[n-1].a.Sub(s.a)) <= tiny && norm(out[n-1].b.Sub(s.b)) <= tiny {
			continue
		}
		out = append(out, s)
	}
	return out
}

// meet notes on every candidate where another crosses or ends on it.
func (u *region) meet() {
	order := make([]int, len(u.edges))
	boxes := make([]box, len(u.edges))
	tiny := u.size * 1e-12
	for i := range u.edges {
		order[i] = i
		boxes[i] = boxOf2(u.edges[i].a, u.edges[i].b).grown(tiny)
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(boxes[i].x0, boxes[j].x0) })
	for n, i := range order {
		for _, j := range order[n+1:] {
			if boxes[j].x0 > boxes[i].x1 {
				break
			}
			if boxes[i].y0 <= boxes[j].y1 && boxes[j].y0 <= boxes[i].y1 {
				meetPair(&u.edges[i], &u.edges[j], tiny)
			}
		}
	}
}

func meetPair(e, f *span, tiny float64) {
	u, v, w := e.b.Sub(e.a), f.b.Sub(f.a), f.a.Sub(e.a)
	lu, lv := norm(u), norm(v)
	det := cross(u, v)
	if math.Abs(det) <= 1e-12*lu*lv {
		return // parallel: whatever changes along one of them happens where a third meets it
	}
	t, s := cross(w, v)/det, cross(w, u)/det
	et, es := tiny/lu, tiny/lv
	if t < -et || t > 1+et || s < -es || s > 1+es {
		return
	}
	p := Point{e.a.X + float64(t*u.X), e.a.Y + float64(t*u.Y)}
	switch { // an end keeps its own coordinates, so that joints stay closed
	case t <= et:
		p = e.a
	case t >= 1-et:
		p = e.b
	case s <= es:
		p = f.a
	case s >= 1-es:
		p = f.b
	}
	if t > et && t < 1-et {
		e.cuts = append(e.cuts, cut{t, p})
	}
	if s > es && s < 1-es {
		f.cuts = append(f.cuts, cut{s, p})
	}
}
