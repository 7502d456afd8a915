package pack

import (
	"cmp"
	"math"
	"slices"
)

// squeeze moves all items at once to the shortest lay that keeps each pair on
// the side of one another where it is, overlaps ended: a linear program, since
// for each convex part of a no-fit region one half-plane beside it is room enough
// (compaction: Li and Milenkovic 1995). From where that leads other sides may be
// better, so it is repeated while it pays. It returns whether the field holds a
// lay without overlaps then; if not the field is as it was.
func (w *worker) squeeze() bool {
	w.before = w.keep(w.before)
	before, length := w.length, math.Inf(1)
	for range squeezeRounds {
		w.steps += squeezeSteps
		w.search.steps.Add(squeezeSteps)
		if !w.squeezeOnce() {
			break
		}
		now := w.end()
		if now > length*(1-1e-5) {
			length = min(length, now)
			break
		}
		length = now
	}
	if !math.IsInf(length, 1) && w.free() {
		return true
	}
	w.length = before
	w.restore(w.before)
	return false
}

// squeezeRounds is how often the program is set up anew; squeezeSteps is what one
// counts in a budget of single moves.
const (
	squeezeRounds = 6
	squeezeSteps  = 40
)

// free tells whether there are no overlaps.
func (w *worker) free() bool {
	for k := range w.movable {
		bad := false
		w.around(k, w.boxes[k].grown(w.problem.Gap), func(i int) { bad = bad || w.depthOf(i, k) > 0 })
		if bad {
			return false
		}
	}
	return true
}

// squeezer sets up the program of one squeeze.
type squeezer struct {
	program
	*worker
	column []int32 // of each item its first unknown, -1 if it does not move or is tied to a repeat
	trust  float64 // no coordinate may change by more
}

func (w *worker) squeezeOnce() bool {
	q := squeezer{worker: w, column: make([]int32, w.n), trust: w.trust()}
	order := make([]int, w.movable)
	for k := range order {
		order[k] = k
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(w.spots[a].x, w.spots[b].x) })
	for k := range q.column {
		q.column[k] = -1
	}
	moving := 0
	for _, k := range order {
		if !w.items[k].choices[w.spots[k].choice].tied() {
			q.column[k] = int32(2 * moving)
			moving++
		}
	}
	if moving == 0 {
		return false
	}
	q.unknowns = 2*moving + 1
	q.goal = 2 * moving
	q.stop = w.search.expired
	for _, k := range order {
		if q.column[k] >= 0 {
			q.bounds(k)
		}
		w.around(k, w.boxes[k].grown(w.problem.Gap+2*q.trust), func(i int) {
			switch {
			case i < k || q.column[k] < 0 && q.column[i] < 0:
			case q.column[k] < 0:
				q.apart(k, i)
			default:
				q.apart(i, k)
			}
		})
	}
	for k := range w.n {
		if w.items[k].piece >= 0 && q.column[k] < 0 {
			q.rows = append(q.rows, row{at: [4]int32{int32(q.goal), -1, -1, -1}, coef: [4]float64{1}, bound: w.boxes[k].x1})
		}
	}
	start := make([]float64, q.unknowns)
	for k, c := range q.column {
		if c >= 0 {
			start[c], start[c+1] = w.spots[k].x, w.spots[k].y
		}
	}
	start[q.goal] = w.end()
	x, ok := q.solve(start, q.trust)
	if !ok {
		return false
	}
	w.length = math.Inf(1) // until all are laid
	for k, c := range q.column {
		if c < 0 {
			continue
		}
		s := w.spots[k]
		r, _ := w.room(k, s.choice)
		s.x, s.y = r.clamp(x[c], x[c+1])
		w.lay(k, s)
	}
	w.length = w.end()
	return true
}

// trust is how far an item may go: a part of the mean item's size.
func (w *worker) trust() float64 {
	sum := 0.0
	for k := range w.movable {
		sum += w.shapes[w.spots[k].shape].reach
	}
	return 0.1 * sum / float64(w.movable)
}

// bounds keeps an item in the strip and near its place.
func (q *squeezer) bounds(k int) {
	s := q.spots[k]
	b := &q.shapes[s.shape].box
	c := q.column[k]
	one := func(at int32, coef, bound float64) {
		q.rows = append(q.rows, row{at: [4]int32{at, -1, -1, -1}, coef: [4]float64{coef}, bound: bound})
	}
	ch := &q.items[k].choices[s.choice]
	// A rectangle without inside has no interior point: what cannot move gets a hair,
	// and pieces that fill the width without play the room for their clearance.
	hair := q.problem.Width * clearance * 10
	one(c, 1, max(0, s.x-q.trust))
	one(c, -1, -(s.x + q.trust))
	one(c+1, 1, max(ch.lo-hair, s.y-q.trust))
	one(c+1, -1, -min(ch.hi+hair, s.y+q.trust))
	q.rows = append(q.rows, row{at: [4]int32{int32(q.goal), c, -1, -1}, coef: [4]float64{1, -1}, bound: b.x1})
}

// apart keeps items i and k, which moves, apart: for each convex part of their
// no-fit region that is near, on the outer side of the edge that they are best beyond.
func (q *squeezer) apart(i, k int) {
	s, o := &q.spots[k], &q.spots[i]
	rel := q.relation(o.shape, s.shape)
	at := Point{float64(rel.sign*(s.x-o.x)) + rel.shift.X, float64(rel.sign*(s.y-o.y)) + rel.shift.Y}
	gap := 0.0
	if q.items[i].piece >= 0 {
		gap = q.problem.Gap
	}
	from := len(q.rows)
	parts := rel.nf.parts()
	for n := range parts {
		sum := &parts[n]
		if !sum.box.grown(gap + 2*q.trust).meets(box{at.X, at.Y, at.X, at.Y}) {
			continue
		}
		h, beyond := sum.outmost(at)
		if beyond > gap+3*q.trust {
			continue
		}
		r := row{at: [4]int32{q.column[k], q.column[k] + 1, -1, -1},
			coef:  [4]float64{float64(rel.sign * h.n.X), float64(rel.sign * h.n.Y)},
			bound: h.c + gap + float64(q.problem.Width*clearance) - dot(h.n, rel.shift)}
		r.coef[2], r.coef[3] = -r.coef[0], -r.coef[1]
		if c := q.column[i]; c >= 0 {
			r.at[2], r.at[3] = c, c+1
		} else {
			r.bound -= float64(r.coef[2]*o.x) + float64(r.coef[3]*o.y)
		}
		if !slices.ContainsFunc(q.rows[from:], func(t row) bool { return t == r }) {
			q.rows = append(q.rows, r)
		}
	}
}

// clearance is the part of the width by which squeezed pieces are kept apart, so
// that rounding their places does not make them overlap.
const clearance = 1e-11

// outmost is the side that p is farthest beyond, or least within.
func (s *convexSum) outmost(p Point) (halfPlane, float64) {
	best, far := halfPlane{}, math.Inf(-1)
	for _, h := range s.sides {
		if d := dot(h.n, p) - h.c; d > far {
			best, far = h, d
		}
	}
	return best, far
}
