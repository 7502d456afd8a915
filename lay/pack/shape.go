package pack

import (
	"cmp"
	"math"
	"slices"
)

func sortPoints(pts []Point) {
	slices.SortFunc(pts, func(a, b Point) int {
		return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y))
	})
}

// shape is one outline in one turn as the search sees it, about its piece's
// origin.
type shape struct {
	pts   []Point   // counter-clockwise, no repeats, no straight corners
	parts [][]Point // convex, counter-clockwise, together the shape
	box   box
	area  float64
	// reach is the root of the convex hull's area: the length by which an
	// overlap of this shape is made to count, since large pieces are hard to move.
	reach float64
}

// newShape makes a shape of an outline that Check has passed, whose curves may be
// made coarser outward by at most tol.
func newShape(outline []Point, tol float64) shape {
	pts := cleaned(outline)
	if tol > 0 && len(pts) > fewCorners {
		pts = searchable(pts, tol)
	}
	return shape{
		pts:   pts,
		parts: convexParts(pts),
		box:   boxOf(pts),
		area:  signedArea(pts),
		reach: math.Sqrt(signedArea(hull(pts))),
	}
}

// Numbers of corners: up to fewCorners an outline is searched as it is (curves
// flattened for cutting have more, drafted polygons fewer); above manyCorners it
// is made coarser than was asked for, since the work of a pair of outlines grows
// with the product of their corners; above mostCorners only its hull is left.
const (
	fewCorners  = 24
	manyCorners = 120
	mostCorners = 400
)

// searchable makes an outline coarser, outward only, until it can be searched.
func searchable(pts []Point, tol float64) []Point {
	out := coarsened(pts, tol)
	for t := 3 * tol; len(out) > manyCorners && t < 300*tol; t *= 3 {
		out = coarsened(out, t)
	}
	if len(out) > mostCorners {
		out = coarsened(hull(pts), tol)
	}
	return out
}

// cleaned returns the outline counter-clockwise without repeated points, corners
// on a straight line and spikes (a way out and back without area).
func cleaned(outline []Point) []Point {
	pts := slices.Clone(outline)
	if signedArea(pts) < 0 {
		slices.Reverse(pts)
	}
	size := boxOf(pts)
	near := 1e-12 * max(size.width(), size.height())
	for changed := true; changed && len(pts) > 2; {
		changed = false
		for i := 0; i < len(pts) && len(pts) > 2; i++ {
			n := len(pts)
			a, b, c := pts[(i+n-1)%n], pts[i], pts[(i+1)%n]
			if !needless(a, b, c, near) {
				continue
			}
			pts = slices.Delete(pts, i, i+1)
			i--
			changed = true
		}
	}
	return pts
}

// needless tells whether corner b between a and c can go without changing the
// area: it repeats a or lies within near of the line through a and c.
func needless(a, b, c Point, near float64) bool {
	in, out := b.Sub(a), c.Sub(b)
	li, lo := norm(in), norm(out)
	if li <= near || lo <= near {
		return true
	}
	return math.Abs(cross(in, out)) <= near*max(li, lo)
}

// coarsened drops corners of a curve so that the new outline holds the old one
// and lies within tol of it. A hollow corner may simply go when the chord is near.
// Two round corners may be replaced by the meeting of the edges on either side.
func coarsened(pts []Point, tol float64) []Point {
	out := slices.Clone(pts)
	for range pts {
		next, ok := coarserByOne(out, pts, tol)
		if !ok {
			break
		}
		out = next
	}
	if !simple(out) {
		return pts
	}
	return out
}

// coarserByOne takes the single change that moves the outline least.
func coarserByOne(pts, original []Point, tol float64) ([]Point, bool) {
	n := len(pts)
	if n <= fewCorners/2 {
		return nil, false
	}
	best, at, round := tol, -1, false
	frame := boxOf(original)
	var meet Point
	for i := range pts {
		a, b, c, d := pts[i], pts[(i+1)%n], pts[(i+2)%n], pts[(i+3)%n]
		if cross(b.Sub(a), c.Sub(b)) < 0 { // b is hollow: the chord a-c lies outside
			if off := distance(b, a, c); off < best {
				best, at, round = off, i, false
			}
			continue
		}
		m, ok := meeting(a, b, c, d)
		if !ok || !frame.holds(m) { // a piece as wide as the strip must not become wider
			continue
		}
		if off := distance(m, b, c); off < best {
			best, at, round, meet = off, i, true, m
		}
	}
	if at < 0 {
		return nil, false
	}
	out := slices.Clone(pts)
	if round {
		out[(at+1)%n] = meet
		out = slices.Delete(out, (at+2)%n, (at+2)%n+1)
	} else {
		out = slices.Delete(out, (at+1)%n, (at+1)%n+1)
	}
	if signedArea(out)-signedArea(original) > tol*perimeter(original) {
		return nil, false
	}
	return out, true
}

// meeting extends the edges a-b and c-d beyond b and before c to where they meet,
// if both b and c are round corners and that is not far.
func meeting(a, b, c, d Point) (Point, bool) {
	u, v := b.Sub(a), d.Sub(c)
	if cross(u, c.Sub(b)) <= 0 || cross(c.Sub(b), v) <= 0 {
		return Point{}, false
	}
	det := cross(u, v)
	if det <= 0 {
		return Point{}, false
	}
	t := cross(c.Sub(a), v) / det
	return Point{a.X + float64(t*u.X), a.Y + float64(t*u.Y)}, true
}

func perimeter(pts []Point) float64 {
	s, last := 0.0, pts[len(pts)-1]
	for _, p := range pts {
		s += norm(p.Sub(last))
		last = p
	}
	return s
}

// distance is from p to the segment a-b.
func distance(p, a, b Point) float64 {
	d := b.Sub(a)
	l := dot(d, d)
	if l == 0 {
		return norm(p.Sub(a))
	}
	t := min(1, max(0, dot(p.Sub(a), d)/l))
	return norm(p.Sub(Point{a.X + float64(t*d.X), a.Y + float64(t*d.Y)}))
}

// convexParts cuts a simple counter-clockwise outline into convex parts: ears
// first, then every cut is taken back whose removal leaves both its ends round
// (Hertel and Mehlhorn 1983: at most four times the fewest parts).
func convexParts(pts []Point) [][]Point {
	parts := ears(pts)
	for i := 0; i < len(parts); i++ {
		for j := i + 1; j < len(parts); j++ {
			if joined, ok := joinConvex(pts, parts[i], parts[j]); ok {
				parts[i] = joined
				parts = slices.Delete(parts, j, j+1)
				j = i
			}
		}
	}
	out := make([][]Point, len(parts))
	for i, part := range parts {
		out[i] = make([]Point, len(part))
		for k, at := range part {
			out[i][k] = pts[at]
		}
	}
	return out
}

// ears cuts the outline into triangles of corner numbers. The ear with the best
// shape goes first so that slivers are rare.
func ears(pts []Point) [][]int {
	left := make([]int, len(pts))
	for i := range left {
		left[i] = i
	}
	var out [][]int
	for len(left) > 3 {
		at, best := -1, -1.0
		for i := range left {
			n := len(left)
			a, b, c := left[(i+n-1)%n], left[i], left[(i+1)%n]
			if q := earQuality(pts, left, a, b, c); q > best {
				at, best = i, q
			}
		}
		if best <= 0 { // only rounding can bring us here; take the least bad corner
			at = max(at, 0)
		}
		n := len(left)
		out = append(out, []int{left[(at+n-1)%n], left[at], left[(at+1)%n]})
		left = slices.Delete(left, at, at+1)
	}
	return append(out, left)
}

// earQuality is the ear's area over its longest side squared, or -1 if cutting it
// off would cut through the outline.
func earQuality(pts []Point, left []int, a, b, c int) float64 {
	pa, pb, pc := pts[a], pts[b], pts[c]
	area := cross(pb.Sub(pa), pc.Sub(pb))
	if area <= 0 {
		return -1
	}
	for _, k := range left {
		if k == a || k == b || k == c {
			continue
		}
		p := pts[k]
		if orient(pa, pb, p) >= 0 && orient(pb, pc, p) >= 0 && orient(pc, pa, p) >= 0 {
			return -1
		}
	}
	u, v, w := pb.Sub(pa), pc.Sub(pb), pa.Sub(pc)
	return area / max(dot(u, u), dot(v, v), dot(w, w))
}

// joinConvex joins two parts that share an edge, if the result is convex.
func joinConvex(pts []Point, a, b []int) ([]int, bool) {
	for i := range a {
		p, q := a[i], a[(i+1)%len(a)]
		j := slices.Index(b, q)
		if j < 0 || b[(j+1)%len(b)] != p {
			continue
		}
		out := make([]int, 0, len(a)+len(b)-2)
		for k := 1; k <= len(a); k++ { // from q all round a to p
			out = append(out, a[(i+k)%len(a)])
		}
		for k := 2; k < len(b); k++ { // from behind p on b to before q
			out = append(out, b[(j+k)%len(b)])
		}
		return out, convex(pts, out)
	}
	return nil, false
}

func convex(pts []Point, at []int) bool {
	n := len(at)
	for i := range at {
		if orient(pts[at[i]], pts[at[(i+1)%n]], pts[at[(i+2)%n]]) < 0 {
			return false
		}
	}
	return true
}
