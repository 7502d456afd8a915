package curve

import (
	"cmp"
	"math"
	"slices"
)

// PolygonArea returns the signed area of a closed polygon, first point not repeated, in mm²: positive when it runs
// clockwise on the page.
func PolygonArea(pts []Point) float64 {
	if len(pts) < 3 {
		return 0
	}
	o, sum := pts[0], 0.0
	for i := 1; i+1 < len(pts); i++ {
		sum += pts[i].Sub(o).Cross(pts[i+1].Sub(o))
	}
	return 0.5 * sum
}

// PolygonCentroid returns the centre of mass of the area of a closed polygon; for one without area, the mean of its points.
func PolygonCentroid(pts []Point) Point {
	if len(pts) == 0 {
		return Point{}
	}
	o, sum, mean := pts[0], Point{}, Point{}
	area := 0.0
	for i := range pts {
		mean = mean.Add(pts[i].Sub(o))
		if i == 0 || i+1 == len(pts) {
			continue
		}
		a, b := pts[i].Sub(o), pts[i+1].Sub(o)
		c := a.Cross(b)
		area += c
		sum = sum.Add(a.Add(b).Mul(c))
	}
	if math.Abs(area) < 1e-12 {
		return o.Add(mean.Mul(1 / float64(len(pts))))
	}
	return o.Add(sum.Mul(1 / (3 * area)))
}

// Contains reports whether q lies in the closed polygon by the even-odd rule, exactly. A point exactly on an edge or corner
// counts as inside.
func Contains(pts []Point, q Point) bool {
	in := false
	for i, j := 0, len(pts)-1; i < len(pts); j, i = i, i+1 {
		a, b := pts[j], pts[i]
		if a.Y > b.Y {
			a, b = b, a
		}
		if q.Y < a.Y || q.Y > b.Y || q.X > a.X && q.X > b.X {
			continue
		}
		if a.Y == b.Y { // level with q
			if math.Min(a.X, b.X) <= q.X {
				return true
			}
			continue
		}
		o := Orient(a, b, q)
		if o == 0 {
			return true
		}
		// a is above b on the page, so a positive turn puts q to the left of the edge. The lower end is left out, so
		// that a corner is counted once.
		if o > 0 && q.Y < b.Y {
			in = !in
		}
	}
	return in
}

// Crossing looks for two edges of a closed polygon that touch or cross without being neighbours, or neighbours that fold
// back onto each other. Edge i runs from point i to the next. It returns the pair with the least i, then the least j, i < j;
// ok is false when there is none. Points that repeat the one before are passed over.
func Crossing(pts []Point) (i, j int, ok bool) {
	e := edgesOf(pts)
	if len(e) < 2 {
		return 0, 0, false
	}
	// A line sweeps along the longer side of the polygon; open are the edges it crosses.
	box := Bounds(pts...)
	along := func(p Point) float64 { return p.X }
	if box.H() > box.W() {
		along = func(p Point) float64 { return p.Y }
	}
	type span struct {
		lo, hi float64
		edge   int
	}
	spans := make([]span, len(e))
	for k := range e {
		u, v := along(e[k].a), along(e[k].b)
		spans[k] = span{min(u, v), max(u, v), k}
	}
	slices.SortFunc(spans, func(x, y span) int {
		if d := cmp.Compare(x.lo, y.lo); d != 0 {
			return d
		}
		return x.edge - y.edge
	})
	bestI, bestJ := -1, -1
	var open []span
	for _, s := range spans {
		still := open[:0]
		for _, o := range open {
			if o.hi < s.lo {
				continue
			}
			still = append(still, o)
			x, y := min(s.edge, o.edge), max(s.edge, o.edge)
			if bestI >= 0 && (x > bestI || x == bestI && y >= bestJ) {
				continue
			}
			if e[x].clash(&e[y], y == x+1, x == 0 && y == len(e)-1) {
				bestI, bestJ = x, y
			}
		}
		open = append(still, s)
	}
	if bestI < 0 {
		return 0, 0, false
	}
	return e[bestI].i, e[bestJ].i, true
}

// Simple reports whether a closed polygon has at least three different points and no crossing.
func Simple(pts []Point) bool {
	if len(edgesOf(pts)) < 3 {
		return false
	}
	_, _, bad := Crossing(pts)
	return !bad
}

type edge struct {
	a, b Point
	i    int
}

func edgesOf(pts []Point) []edge {
	e := make([]edge, 0, len(pts))
	for i := range pts {
		a, b := pts[i], pts[(i+1)%len(pts)]
		if a != b {
			e = append(e, edge{a, b, i})
		}
	}
	return e
}

// clash reports whether e and f share more than they should. after: f follows e; before: e follows f.
func (e *edge) clash(f *edge, after, before bool) bool {
	if beside(e.a.X, e.b.X, f.a.X, f.b.X) || beside(e.a.Y, e.b.Y, f.a.Y, f.b.Y) {
		return false
	}
	switch {
	case after && before:
		return true // two edges only: there and back
	case after:
		return Orient(e.a, e.b, f.b) == 0 && e.a.Sub(e.b).Dot(f.b.Sub(f.a)) > 0
	case before:
		return Orient(f.a, f.b, e.b) == 0 && f.a.Sub(f.b).Dot(e.b.Sub(e.a)) > 0
	}
	o1, o2 := Orient(e.a, e.b, f.a), Orient(e.a, e.b, f.b)
	if o1 == o2 && o1 != 0 {
		return false
	}
	o3, o4 := Orient(f.a, f.b, e.a), Orient(f.a, f.b, e.b)
	if o3 == o4 && o3 != 0 {
		return false
	}
	return true // crossing, touching, or in a row with boxes that overlap
}

// beside reports whether the spans from a to b and from c to d, either way round, share nothing.
func beside(a, b, c, d float64) bool {
	return a < c && a < d && b < c && b < d || a > c && a > d && b > c && b > d
}

// SimplifyWithin returns the closed polygon with points left out so that none of those left out is farther than tol mm from
// the edge that replaces it. A simple polygon stays simple: where leaving out would make it cross itself, the tolerance is
// made smaller. The first point is always kept.
func SimplifyWithin(pts []Point, tol float64) []Point {
	if len(pts) < 4 || !(tol > 0) {
		return append([]Point(nil), pts...)
	}
	was := Simple(pts)
	for range 12 {
		out := simplified(pts, tol)
		if len(out) >= 3 && (!was || Simple(out)) {
			return out
		}
		tol *= 0.5
	}
	return append([]Point(nil), pts...)
}

// simplified is the method of D. Douglas and T. Peucker, 1973, on the two halves of the ring between the first point and the
// one farthest from it.
func simplified(pts []Point, tol float64) []Point {
	far, best := 0, 0.0
	for i, p := range pts {
		if d := p.Sub(pts[0]).Norm2(); d > best {
			far, best = i, d
		}
	}
	keep := make([]bool, len(pts)+1)
	keep[0], keep[far] = true, true
	thin(pts, 0, far, tol, keep)
	thin(pts, far, len(pts), tol, keep)
	var out []Point
	for i, p := range pts {
		if keep[i] {
			out = append(out, p)
		}
	}
	return out
}

func thin(pts []Point, i, j int, tol float64, keep []bool) {
	if j-i < 2 {
		return
	}
	a, b := pts[i], pts[j%len(pts)]
	at, worst := 0, tol
	for k := i + 1; k < j; k++ {
		if d := toChord(pts[k], a, b); d > worst {
			at, worst = k, d
		}
	}
	if at == 0 {
		return
	}
	keep[at] = true
	thin(pts, i, at, tol, keep)
	thin(pts, at, j, tol, keep)
}

// toChord is the distance from q to the straight line between a and b, ends included.
func toChord(q, a, b Point) float64 {
	l := Line(a, b)
	_, d := l.nearest(q)
	return d
}

// WidthAt returns the least and the greatest x at which the closed polygon is met by the level line at y; ok is false when
// it is not met.
func WidthAt(pts []Point, y float64) (x0, x1 float64, ok bool) {
	x0, x1 = math.Inf(1), math.Inf(-1)
	for i := range pts {
		a, b := pts[i], pts[(i+1)%len(pts)]
		if math.Min(a.Y, b.Y) > y || math.Max(a.Y, b.Y) < y {
			continue
		}
		if a.Y == b.Y {
			x0, x1 = math.Min(x0, math.Min(a.X, b.X)), math.Max(x1, math.Max(a.X, b.X))
			continue
		}
		x := a.Lerp(b, (y-a.Y)/(b.Y-a.Y)).X
		x0, x1 = math.Min(x0, x), math.Max(x1, x)
	}
	if x0 > x1 {
		return 0, 0, false
	}
	return x0, x1, true
}
