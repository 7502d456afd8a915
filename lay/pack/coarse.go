package pack

import (
	"container/heap"
	"math"
)

// coarsened drops corners of an outline so that the new one holds the old: a
// hollow corner may go, and two round corners may give way to the meeting of the
// edges on either side. The least change goes first. It goes on while the new
// outline lies within tol of the old one, and beyond that until no more than most
// corners are left. The outline grows no wider nor longer, since it may be as wide
// as the strip.
func coarsened(pts []Point, tol float64, most int) []Point {
	if len(pts) <= leastCorners {
		return pts
	}
	for range 4 {
		out := newReducer(pts, tol, most).run()
		if simple(out) {
			return out
		}
		tol, most = tol/8, len(pts) // near each other changes were in one another's way
	}
	return pts
}

// leastCorners is the number of corners at which coarsening ends.
const leastCorners = fewCorners / 2

// reducer is an outline that loses corners one by one. Corners are linked in a
// ring; those that are gone have next -1.
type reducer struct {
	pts        []Point
	next, prev []int32
	spent      []float64 // of the edge behind each corner: how far outside it may lie
	version    []uint32  // counts the changes near a corner, by which old offers are known
	offers     offers
	frame      box
	tol        float64
	most, left int
	cells      map[[2]int32][]int32
	cell       float64
}

// offer is one change that may be made: the corner goes, or with the next one
// gives way to a meeting.
type offer struct {
	cost    float64
	at      int32
	version uint32
	round   bool
	meet    Point
}

type offers []offer

func (o offers) Len() int      { return len(o) }
func (o offers) Swap(i, j int) { o[i], o[j] = o[j], o[i] }
func (o offers) Less(i, j int) bool {
	if o[i].cost != o[j].cost {
		return o[i].cost < o[j].cost
	}
	return o[i].at < o[j].at
}
func (o *offers) Push(x any) { *o = append(*o, x.(offer)) }
func (o *offers) Pop() any {
	last := len(*o) - 1
	x := (*o)[last]
	*o = (*o)[:last]
	return x
}

func newReducer(pts []Point, tol float64, most int) *reducer {
	n := len(pts)
	r := &reducer{pts: append([]Point(nil), pts...), next: make([]int32, n), prev: make([]int32, n), spent: make([]float64, n), version: make([]uint32, n),
		frame: boxOf(pts), tol: tol, most: most, left: n}
	for i := range pts {
		r.next[i], r.prev[i] = int32((i+1)%n), int32((i+n-1)%n)
	}
	r.cell = math.Max(max(r.frame.width(), r.frame.height())/math.Sqrt(float64(n)), math.SmallestNonzeroFloat64)
	r.cells = make(map[[2]int32][]int32, n)
	for i := range pts {
		r.enter(int32(i))
	}
	for i := range pts {
		r.consider(int32(i))
	}
	return r
}

func (r *reducer) cellOf(p Point) [2]int32 {
	return [2]int32{int32((p.X - r.frame.x0) / r.cell), int32((p.Y - r.frame.y0) / r.cell)}
}

func (r *reducer) enter(i int32) {
	c := r.cellOf(r.pts[i])
	r.cells[c] = append(r.cells[c], i)
}

// consider offers the best change at a corner.
func (r *reducer) consider(b int32) {
	r.version[b]++
	a, c := r.prev[b], r.next[b]
	d := r.next[c]
	pa, pb, pc, pd := r.pts[a], r.pts[b], r.pts[c], r.pts[d]
	if cross(pb.Sub(pa), pc.Sub(pb)) <= 0 { // b is hollow: the chord a-c lies outside
		cost := distance(pb, pa, pc) + max(r.spent[a], r.spent[b])
		heap.Push(&r.offers, offer{cost: cost, at: b, version: r.version[b]})
		return
	}
	if m, ok := meeting(pa, pb, pc, pd); ok && r.frame.holds(m) {
		cost := distance(m, pb, pc) + max(r.spent[a], r.spent[b], r.spent[c])
		heap.Push(&r.offers, offer{cost: cost, at: b, version: r.version[b], round: true, meet: m})
	}
}

func (r *reducer) run() []Point {
	for r.left > leastCorners && r.offers.Len() > 0 {
		o := heap.Pop(&r.offers).(offer)
		if o.cost > r.tol && r.left <= r.most {
			break
		}
		b := o.at
		if r.next[b] < 0 || r.version[b] != o.version {
			continue
		}
		r.apply(o)
	}
	var out []Point
	for i := range r.pts {
		if r.next[i] >= 0 {
			out = append(out, r.pts[i])
		}
	}
	return out
}

// apply makes a change unless another part of the outline lies in its way.
func (r *reducer) apply(o offer) {
	b := o.at
	a, c := r.prev[b], r.next[b]
	if !o.round {
		if !r.empty(r.pts[a], r.pts[c], r.pts[b], a, b, c) {
			return
		}
		r.spent[a] = max(o.cost, r.spent[a])
		r.drop(b)
		r.near(a)
		return
	}
	if !r.empty(r.pts[b], o.meet, r.pts[c], b, c, c) {
		return
	}
	r.spent[a], r.spent[c] = max(o.cost, r.spent[a]), max(o.cost, r.spent[c])
	r.spent[b] = r.spent[c]
	r.pts[b] = o.meet
	r.enter(b)
	r.drop(c)
	r.near(b)
}

func (r *reducer) drop(b int32) {
	a, c := r.prev[b], r.next[b]
	r.next[a], r.prev[c] = c, a
	r.next[b] = -1
	r.left--
}

// near considers anew the corners whose changes a change at a corner bears on.
func (r *reducer) near(b int32) {
	at := r.prev[r.prev[b]]
	for range 5 {
		r.consider(at)
		at = r.next[at]
	}
}

// empty tells whether no corner but the three named lies in a triangle that runs
// clockwise or not, its edges among it.
func (r *reducer) empty(p, q, s Point, i, j, k int32) bool {
	if cross(q.Sub(p), s.Sub(q)) < 0 {
		q, s = s, q
	}
	b := boxOf([]Point{p, q, s})
	in := func(v int32) bool {
		if v == i || v == j || v == k || r.next[v] < 0 {
			return false
		}
		x := r.pts[v]
		return b.holds(x) && cross(q.Sub(p), x.Sub(p)) >= 0 && cross(s.Sub(q), x.Sub(q)) >= 0 && cross(p.Sub(s), x.Sub(s)) >= 0
	}
	from, to := r.cellOf(Point{b.x0, b.y0}), r.cellOf(Point{b.x1, b.y1})
	if cells := (int(to[0]-from[0]) + 1) * (int(to[1]-from[1]) + 1); cells > r.left {
		for v := range r.pts {
			if in(int32(v)) {
				return false
			}
		}
		return true
	}
	for x := from[0]; x <= to[0]; x++ {
		for y := from[1]; y <= to[1]; y++ {
			for _, v := range r.cells[[2]int32{x, y}] {
				if in(v) {
					return false
				}
			}
		}
	}
	return true
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
