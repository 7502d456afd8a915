package pack

import (
	"cmp"
	"fmt"
	"math"
	"math/big"
	"slices"
)

// Tolerance is the part of the width by which two pieces may overlap in a lay
// that Solve returns. It is above 0 only because pieces that fill the width
// without play cannot be placed by rounded numbers otherwise.
const Tolerance = 1e-9

// Validate returns nil if the lay holds every copy once, in a turn that is
// allowed, inside the strip, on its repeat, apart from obstacles, and no two pieces nearer than
// the gap, all within tolerance * Width. At tolerance 0 overlaps are decided by
// exact arithmetic on the placed corners. Pairs of locked copies, and locked
// copies against strip and obstacles, are not judged. It also checks Length and
// MaxLength. It shares no code with the search but the outline's turning.
func Validate(p Problem, l Lay, tolerance float64) error {
	tol := tolerance * p.Width
	placed, err := p.placedPieces(l)
	if err != nil {
		return err
	}
	end := 0.0
	for _, q := range placed {
		end = max(end, q.box.x1)
		if err := q.inStrip(p, tol); err != nil {
			return err
		}
	}
	if math.Abs(end-l.Length) > max(tol, 1e-12*end) {
		return Fault{Text: fmt.Sprintf("the length is given as %.9g but the pieces end at %.9g.", l.Length, end)}
	}
	if p.MaxLength > 0 && l.Fits && l.Length > p.MaxLength+tol {
		return Fault{Text: fmt.Sprintf("the lay is said to fit but is %.9g long; %.9g is wanted.", l.Length, p.MaxLength)}
	}
	return apartAll(p, placed, tol)
}

// placed is an outline where it lies, counter-clockwise.
type placed struct {
	name   string
	place  Place
	piece  Piece
	pts    []Point
	box    box
	locked bool
}

func (p Problem) placedPieces(l Lay) ([]placed, error) {
	type key struct {
		id string
		n  int
	}
	byID := map[string]Piece{}
	want := 0
	for _, piece := range p.Pieces {
		byID[piece.ID] = piece
		want += piece.Quantity
	}
	locked := map[key]Place{}
	for _, q := range p.Locked {
		locked[key{q.ID, q.Copy}] = q
	}
	seen := map[key]bool{}
	var out []placed
	for _, q := range l.Places {
		k := key{q.ID, q.Copy}
		piece, known := byID[q.ID]
		fixed, isLocked := locked[k]
		switch {
		case !known:
			return nil, Fault{q.ID, "it is laid but not among the pieces."}
		case q.Copy < 0 || q.Copy >= piece.Quantity || seen[k]:
			return nil, Fault{q.ID, fmt.Sprintf("copy %d is laid twice or not wanted.", q.Copy)}
		case isLocked && fixed != q:
			return nil, Fault{q.ID, fmt.Sprintf("copy %d is locked but was moved.", q.Copy)}
		case !isLocked && !slices.ContainsFunc(piece.ways(p.Width), func(w Way) bool { return w.Turn == q.Turn && w.Flipped == q.Flipped }):
			return nil, Fault{q.ID, fmt.Sprintf("copy %d lies at turn %g (flipped: %t), which is not allowed.", q.Copy, q.Turn, q.Flipped)}
		case math.IsNaN(q.X) || math.IsNaN(q.Y):
			return nil, Fault{q.ID, fmt.Sprintf("copy %d has no place.", q.Copy)}
		}
		seen[k] = true
		// A spike has no area and nothing is cut along it, so it may cross what it likes.
		pts := cleaned(moved(turned(piece.Outline, q.Turn, q.Flipped), Point{q.X, q.Y}))
		out = append(out, placed{name: fmt.Sprintf("%s copy %d", q.ID, q.Copy), place: q, piece: piece, pts: pts, box: boxOf(pts), locked: isLocked})
	}
	if len(out) != want {
		return nil, Fault{Text: fmt.Sprintf("%d copies are laid; %d are wanted.", len(out), want)}
	}
	return out, nil
}

func (q placed) inStrip(p Problem, tol float64) error {
	if q.locked {
		return nil
	}
	if q.box.x0 < -tol || q.box.y0 < -tol || q.box.y1 > p.Width+tol {
		return Fault{q.place.ID, fmt.Sprintf("copy %d leaves the strip.", q.place.Copy)}
	}
	if q.piece.onEdge() && math.Abs(q.box.y0) > tol {
		return Fault{q.place.ID, fmt.Sprintf("copy %d does not lie on the edge.", q.place.Copy)}
	}
	inside := func(w Way) bool {
		return w.Turn == q.place.Turn && w.Flipped == q.place.Flipped && q.box.y0 >= w.From-tol && q.box.y1 <= w.To+tol
	}
	if !slices.ContainsFunc(q.piece.ways(p.Width), inside) {
		return Fault{q.place.ID, fmt.Sprintf("copy %d leaves the part of the strip where it may lie.", q.place.Copy)}
	}
	if along, across := q.piece.Repeat.off(q.place); max(along, across) > max(tol, 1e-12*(math.Abs(q.place.X)+math.Abs(q.place.Y))) {
		return Fault{q.place.ID, fmt.Sprintf("copy %d lies off its repeat.", q.place.Copy)}
	}
	return nil
}

func apartAll(p Problem, all []placed, tol float64) error {
	order := make([]int, len(all))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(all[i].box.x0, all[j].box.x0) })
	for n, i := range order {
		for _, j := range order[n+1:] {
			a, b := &all[i], &all[j]
			if b.box.x0 > a.box.x1+p.Gap {
				break
			}
			if a.locked && b.locked || !a.box.grown(p.Gap).meets(b.box) {
				continue
			}
			if tooNear(a.pts, b.pts, p.Gap, tol) {
				return Fault{Text: fmt.Sprintf("%s and %s overlap or lie too near.", a.name, b.name)}
			}
		}
	}
	for k, o := range p.Obstacles {
		pts := slices.Clone(o)
		if signedArea(pts) < 0 {
			slices.Reverse(pts)
		}
		for i := range all {
			if a := &all[i]; !a.locked && a.box.meets(boxOf(pts)) && tooNear(a.pts, pts, 0, tol) {
				return Fault{Text: fmt.Sprintf("%s lies on obstacle %d.", a.name, k+1)}
			}
		}
	}
	return nil
}

func tooNear(a, b []Point, gap, tol float64) bool {
	if insidesMeet(a, b) && (tol <= 0 || overlapDepth(a, b) > tol) {
		return true
	}
	return gap > tol && within2(a, b, gap) < gap-max(tol, 1e-12*gap)
}

// between2 is the distance of two outlines that do not overlap.
func between2(a, b []Point) float64 { return within2(a, b, math.Inf(1)) }

// within2 is between2 where that is at most far; else some number above far.
func within2(a, b []Point, far float64) float64 {
	least := math.Inf(1)
	nearEdges(a, b, far, func(i, j int) bool {
		p, q, c, d := a[i], a[(i+1)%len(a)], b[j], b[(j+1)%len(b)]
		least = min(least, distance(p, c, d), distance(q, c, d), distance(c, p, q), distance(d, p, q))
		return true
	})
	return least
}

// insidesMeet decides exactly whether two outlines' insides have a point in
// common; to touch is not to meet.
func insidesMeet(a, b []Point) bool {
	onA, onB := make([]bool, len(a)), make([]bool, len(b)) // edges that touch the other outline
	crossed := false
	nearEdges(a, b, 0, func(i, j int) bool {
		p, q, c, d := a[i], a[(i+1)%len(a)], b[j], b[(j+1)%len(b)]
		if !touches(p, q, c, d) {
			return true
		}
		crossed = crosses(p, q, c, d)
		onA[i], onB[j] = true, true
		return !crossed
	})
	if crossed || edgeInside(a, b, onA) || edgeInside(b, a, onB) {
		return true
	}
	// What is left: apart, or every edge of one runs along the other's. Then an
	// inner point of either decides.
	return innerInside(a, b) || innerInside(b, a)
}

func innerInside(a, b []Point) bool {
	r := innerPoint(a)
	return middleInside(r, r, b)
}

// edgeInside tells whether some part of an edge of a lies inside b, where no two
// edges cross; touch tells which edges of a touch b. An edge that does not lies on
// the side where the one before it ended; between two points where it touches b
// an edge stays on one side, which its middle decides.
func edgeInside(a, b []Point, touch []bool) bool {
	around := boxOf(b)
	known := 0 // the side where the edge before ended, 0 when not known
	sideOf := func(p Point) int {
		if !around.holds(p) {
			return -1
		}
		return side(p, b)
	}
	for i := range a {
		p, q := a[i], a[(i+1)%len(a)]
		if !touch[i] {
			if known == 0 {
				known = sideOf(p)
			}
			if known > 0 {
				return true
			}
			continue
		}
		sp, sq := known, sideOf(q)
		if sp == 0 {
			sp = sideOf(p)
		}
		if sp > 0 || sq > 0 {
			return true
		}
		known = sq
		stops := append(touchPoints(p, q, b), rational(q))
		from := rational(p)
		for k, to := range stops {
			clear := k == 0 && sp < 0 || k == len(stops)-1 && sq < 0
			if !clear && middleInside(from, to, b) {
				return true
			}
			from = to
		}
	}
	return false
}

// middleInside decides by floating point where the middle is well clear of the
// outline, by rational numbers where it is not.
func middleInside(from, to ratPoint, b []Point) bool {
	m := middle(from, to)
	x, _ := m.x.Float64()
	y, _ := m.y.Float64()
	p := Point{x, y}
	if size := boxOf(b); outlineDistance(p, b) > 1e-9*(size.width()+size.height()+math.Abs(x)+math.Abs(y)) {
		return side(p, b) > 0
	}
	return ratSide(m, b) > 0
}

// touchPoints lists, along p-q, the corners of b on it and where its ends touch.
func touchPoints(p, q Point, b []Point) []ratPoint {
	rp, rq := rational(p), rational(q)
	d := rq.sub(rp)
	var out []ratPoint
	for _, c := range b {
		if within(p, q, c) && c != p && c != q && orient(p, q, c) == 0 {
			out = append(out, rational(c))
		}
	}
	at := func(r ratPoint) *big.Rat { return r.sub(rp).dot(d) }
	slices.SortFunc(out, func(r, s ratPoint) int { return at(r).Cmp(at(s)) })
	return out
}

// innerPoint is a point surely inside a simple counter-clockwise outline: at its
// lowest leftmost corner, the middle between the corner's ear and what is in it.
func innerPoint(pts []Point) ratPoint {
	n := len(pts)
	k := 0
	for i, p := range pts {
		if cmp.Or(cmp.Compare(p.X, pts[k].X), cmp.Compare(p.Y, pts[k].Y)) < 0 {
			k = i
		}
	}
	in, on := k, k
	for step := 1; step < n; step++ { // pass over straight runs
		in, on = (k+n-step)%n, (k+1)%n
		if orient(pts[in], pts[k], pts[on]) != 0 {
			break
		}
	}
	a, b, c := pts[in], pts[k], pts[on]
	// The corner in the ear that is farthest from a-c sees b.
	best, far := -1, new(big.Rat)
	ra, rb, rc := rational(a), rational(b), rational(c)
	for i, p := range pts {
		if i == k || i == in || i == on || p == b || p == a || p == c {
			continue
		}
		if orient(a, b, p) < 0 || orient(b, c, p) < 0 || orient(c, a, p) <= 0 {
			continue
		}
		h := rc.sub(ra).cross(ra.sub(rational(p)))
		if h.Abs(h).Cmp(far) > 0 || best < 0 {
			best, far = i, h
		}
	}
	if best < 0 {
		return middle(middle(ra, rc), rb)
	}
	return middle(rb, rational(pts[best]))
}

// overlapDepth measures an overlap that exact arithmetic has found: how far
// inside one outline the other's edges come, along each stretch between crossings.
func overlapDepth(a, b []Point) float64 {
	if samePlace(a, b) {
		return math.Inf(1)
	}
	return max(intrusion(a, b), intrusion(b, a))
}

// samePlace tells whether an inner point of a is well inside b though no edge is:
// two outlines one on the other.
func samePlace(a, b []Point) bool {
	r := innerPoint(a)
	x, _ := r.x.Float64()
	y, _ := r.y.Float64()
	p := Point{x, y}
	return side(p, b) > 0 && outlineDistance(p, b) > 1e-6*boxOf(b).width() && side(p, a) > 0 && outlineDistance(p, a) > 1e-6*boxOf(a).width()
}

func outlineDistance(p Point, pts []Point) float64 {
	least, last := math.Inf(1), pts[len(pts)-1]
	for _, q := range pts {
		least = min(least, distance(p, last, q))
		last = q
	}
	return least
}

func intrusion(a, b []Point) float64 {
	deepest := 0.0
	around := boxOf(b)
	met := make([][]int32, len(a)) // edges of b whose boxes meet that of the edge of a
	nearEdges(a, b, 0, func(i, j int) bool { met[i] = append(met[i], int32(j)); return true })
	for i := range a {
		p, q := a[i], a[(i+1)%len(a)]
		if !boxOf2(p, q).meets(around) {
			continue
		}
		d := q.Sub(p)
		stops := []float64{0, 1}
		for _, j := range met[i] {
			c, e := b[j], b[(int(j)+1)%len(b)]
			v := e.Sub(c)
			if det := cross(d, v); det != 0 {
				if t := cross(c.Sub(p), v) / det; t > 0 && t < 1 {
					stops = append(stops, t)
				}
			}
		}
		if len(stops) == 2 && side(p, b) < 0 { // it crosses nothing and begins outside
			continue
		}
		for _, c := range b { // abreast of a corner depth may be greatest
			if t := dot(c.Sub(p), d) / dot(d, d); t > 0 && t < 1 {
				stops = append(stops, t)
			}
		}
		slices.Sort(stops)
		for k, t := range stops {
			deepest = max(deepest, depthAt(p, d, t, b))
			if k > 0 {
				deepest = max(deepest, depthAt(p, d, (t+stops[k-1])/2, b))
			}
		}
	}
	return deepest
}

func depthAt(p, d Point, t float64, b []Point) float64 {
	q := Point{p.X + float64(t*d.X), p.Y + float64(t*d.Y)}
	if side(q, b) <= 0 {
		return 0
	}
	return outlineDistance(q, b)
}
