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

// coarseOutline is an outline that Check has passed, its curves made coarser
// outward by at most tol, and by more if it has more than most corners.
func coarseOutline(outline []Point, tol float64, most int) []Point {
	pts := cleaned(outline)
	if len(pts) <= min(fewCorners, most) {
		return pts
	}
	pts = coarsened(pts, tol, most)
	if len(pts) > mostCorners { // another part of it is everywhere in the way
		pts = coarsened(hull(pts), tol, most)
	}
	return pts
}

// newShape makes a shape of an outline.
func newShape(outline []Point) shape {
	pts := cleaned(outline)
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
	mostCorners = 160
)

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
	// What is known of each corner: the quality of its ear, and if another corner is
	// in the way, which; -1 where nothing is known.
	quality, blocker := make([]float64, len(pts)), make([]int, len(pts))
	gone := make([]bool, len(pts))
	stale := make([]bool, len(pts))
	for i := range stale {
		stale[i] = true
	}
	var out [][]int
	for len(left) > 3 {
		at, best := -1, -1.0
		n := len(left)
		for i, b := range left {
			if stale[b] || blocker[b] >= 0 && gone[blocker[b]] {
				quality[b], blocker[b] = earQuality(pts, left, left[(i+n-1)%n], b, left[(i+1)%n])
				stale[b] = false
			}
			if quality[b] > best {
				at, best = i, quality[b]
			}
		}
		if best <= 0 { // only rounding can bring us here; take the least bad corner
			at = max(at, 0)
		}
		a, c := left[(at+n-1)%n], left[(at+1)%n]
		out = append(out, []int{a, left[at], c})
		stale[a], stale[c], gone[left[at]] = true, true, true
		left = slices.Delete(left, at, at+1)
	}
	return append(out, left)
}

// earQuality is the ear's area over its longest side squared, or -1 if cutting it
// off would cut through the outline; blocker is then the corner that is in the way,
// or -1 for a hollow corner.
func earQuality(pts []Point, left []int, a, b, c int) (quality float64, blocker int) {
	pa, pb, pc := pts[a], pts[b], pts[c]
	area := cross(pb.Sub(pa), pc.Sub(pb))
	if area <= 0 {
		return -1, -1
	}
	around := boxOf2(pa, pc)
	around = box{min(around.x0, pb.X), min(around.y0, pb.Y), max(around.x1, pb.X), max(around.y1, pb.Y)}
	for _, k := range left {
		p := pts[k]
		if !around.holds(p) || k == a || k == b || k == c {
			continue
		}
		if orient(pa, pb, p) >= 0 && orient(pb, pc, p) >= 0 && orient(pc, pa, p) >= 0 {
			return -1, k
		}
	}
	u, v, w := pb.Sub(pa), pc.Sub(pb), pa.Sub(pc)
	return area / max(dot(u, u), dot(v, v), dot(w, w)), -1
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
