package pack

import (
	"math"
	"slices"
)

// spot is where an item lies: which of its choices, and its box's lower left.
type spot struct {
	x, y   float64
	choice int32
	shape  int32
}

// field is one worker's lay in the making, overlaps and all.
type field struct {
	*stock
	n         int
	length    float64
	spots     []spot
	boxes     []box           // of the spots; empty at +Inf while an item is not laid
	weights   []float64       // n*n, of pairs, at least 1; nil for many items
	raised    []int           // pairs k*n+i, k < i, whose weight is more than 1
	heavy     map[int]float64 // of many items, the weights above 1 by k*n+i
	isHeavy   []bool          // of many items, which have such a pair
	relations []relation      // of pairs of shapes, S*S; nil for many shapes
	related   map[int]*relation
	epoch     int64 // of the stock's regions that the relations point to

	// The strip in columns, each with the items whose boxes reach into it.
	columns  [][]int32
	perUnit  float64 // columns in a unit of length
	from, to []int32 // first and last column of each item; to < from when lifted
}

func newField(st *stock) *field {
	n := len(st.items)
	f := &field{stock: st, n: n,
		spots: make([]spot, n), boxes: make([]box, n),
		from: make([]int32, n), to: make([]int32, n),
	}
	if n <= denseItems {
		f.weights = make([]float64, n*n)
	} else {
		f.heavy, f.isHeavy = map[int]float64{}, make([]bool, n)
	}
	if s := len(st.shapes); s <= denseShapes {
		f.relations = make([]relation, s*s)
	} else {
		f.related = map[int]*relation{}
	}
	f.rule()
	f.evenWeights()
	for k := range st.items {
		f.lift(k)
	}
	for k := st.movable; k < n; k++ {
		it := &st.items[k]
		f.lay(k, spot{it.fixed.X, it.fixed.Y, 0, it.choices[0].shape})
	}
	return f
}

// Up to so many items and shapes there is a table of all their pairs.
const (
	denseItems  = 1500
	denseShapes = 400
)

// rule makes the columns, somewhat narrower than the mean item.
func (f *field) rule() {
	sum := 0.0
	for k := range f.items {
		f.to[k] = -1
		b := f.shapes[f.items[k].choices[0].shape].box
		sum += b.x1 + f.problem.Gap
	}
	f.perUnit = 1.5 * float64(f.n) / max(sum, math.SmallestNonzeroFloat64)
	expected := 1.5 * f.area / f.problem.Width * f.perUnit
	f.columns = make([][]int32, 1+int(max(0, min(expected, maxColumns))))
}

// maxColumns bounds the columns of a long lay; the last one holds what is left.
const maxColumns = 2000

func (f *field) column(x float64) int32 {
	return int32(min(max(0, x*f.perUnit), float64(len(f.columns)-1)))
}

func (f *field) evenWeights() {
	for i := range f.weights {
		f.weights[i] = 1
	}
	f.raised = f.raised[:0]
	clear(f.heavy)
	clear(f.isHeavy)
}

// weight is that of pair k*n+i.
func (f *field) weight(at int) float64 {
	if f.weights != nil {
		return f.weights[at]
	}
	if v, ok := f.heavy[at]; ok {
		return v
	}
	return 1
}

// setWeight sets the weight of pair k*n+i, k < i, both ways.
func (f *field) setWeight(at int, v float64) {
	k, i := at/f.n, at%f.n
	if f.weights != nil {
		f.weights[at], f.weights[i*f.n+k] = v, v
		return
	}
	if v <= 1 {
		delete(f.heavy, at)
		delete(f.heavy, i*f.n+k)
		return
	}
	f.heavy[at], f.heavy[i*f.n+k] = v, v
	f.isHeavy[k], f.isHeavy[i] = true, true
}

// lift takes an item off the strip.
func (f *field) lift(k int) {
	f.boxes[k] = box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	f.enter(k, 0, -1)
}

// enter moves an item to other columns.
func (f *field) enter(k int, from, to int32) {
	if from == f.from[k] && to == f.to[k] {
		return
	}
	for c := f.from[k]; c <= f.to[k]; c++ {
		list := f.columns[c]
		at := slices.Index(list, int32(k))
		list[at] = list[len(list)-1]
		f.columns[c] = list[:len(list)-1]
	}
	f.from[k], f.to[k] = from, to
	for c := from; c <= to; c++ {
		f.columns[c] = append(f.columns[c], int32(k))
	}
}

func (f *field) lay(k int, s spot) {
	f.spots[k] = s
	b := &f.shapes[s.shape].box
	f.boxes[k] = box{s.x, s.y, s.x + b.x1, s.y + b.y1}
	f.enter(k, f.column(s.x), f.column(s.x+b.x1))
}

// relation returns how shape v lies to shape u, asking the stock only once.
func (f *field) relation(u, v int32) *relation {
	at := int(u)*len(f.shapes) + int(v)
	if f.related != nil {
		r := f.related[at]
		if r == nil {
			made := f.relate(u, v)
			f.forget()
			r = &made
			f.related[at] = r
		}
		return r
	}
	r := &f.relations[at]
	if r.nf == nil {
		made := f.relate(u, v)
		f.forget()
		*r = made
	}
	return r
}

// forget lets regions go that the stock no longer keeps.
func (f *field) forget() {
	if e := f.stock.epoch.Load(); e != f.epoch {
		f.epoch = e
		clear(f.relations)
		clear(f.related)
	}
}

// room is the rectangle in which an item's lower left may lie; of one that is tied to
// a repeat its sides are rungs.
func (f *field) room(k int, c int32) (box, bool) {
	ch := &f.items[k].choices[c]
	r := box{ch.along.up(0), ch.lo, ch.along.down(f.length - f.shapes[ch.shape].box.x1), ch.hi}
	return r, r.x1 >= r.x0
}

func (r box) clamp(x, y float64) (float64, float64) {
	return min(max(x, r.x0), r.x1), min(max(y, r.y0), r.y1)
}

// gapTo is the gap that must be kept to item i.
func (f *field) gapTo(i int) float64 {
	if f.items[i].piece < 0 {
		return 0
	}
	return f.problem.Gap
}

// cost is the weighted sum of overlaps that item k would have as a shape at (x,
// y). It may stop early with some value not below bound.
func (f *field) cost(k int, shape int32, x, y, bound float64) float64 {
	b := &f.shapes[shape].box
	gap := f.problem.Gap
	x0, y0, x1, y1 := x-gap, y-gap, x+b.x1+gap, y+b.y1+gap
	sum := 0.0
	var weights []float64
	if f.weights != nil {
		weights = f.weights[k*f.n : (k+1)*f.n]
	}
	first, last := f.column(x0), f.column(x1)
	for c := first; c <= last; c++ {
		for _, i := range f.columns[c] {
			b := &f.boxes[i]
			if b.y0 >= y1 || b.y1 <= y0 || b.x0 >= x1 || b.x1 <= x0 || f.from[i] < c && c > first || int(i) == k {
				continue
			}
			s := &f.spots[i]
			r := f.relation(s.shape, shape)
			d := r.nf.depth(float64(r.sign*(x-s.x))+r.shift.X, float64(r.sign*(y-s.y))+r.shift.Y)
			if gap > 0 {
				d += f.gapTo(int(i))
			}
			if d <= f.grain {
				continue
			}
			v := 1.0
			if weights != nil {
				v = weights[i]
			} else if f.isHeavy[k] {
				v = f.weight(k*f.n + int(i))
			}
			sum += float64(float64(v*math.Sqrt(d)) * r.penalty)
			if sum >= bound {
				return sum
			}
		}
	}
	return sum
}

// around calls visit for each other item whose box meets b, once.
func (f *field) around(k int, b box, visit func(i int)) {
	first, last := f.column(b.x0), f.column(b.x1)
	for c := first; c <= last; c++ {
		for _, i := range f.columns[c] {
			if (c == first || f.from[i] == c) && int(i) != k && b.meets(f.boxes[i]) {
				visit(int(i))
			}
		}
	}
}

// depthOf is how deep items i and k overlap, 0 if not.
func (f *field) depthOf(i, k int) float64 {
	gap := f.problem.Gap
	a, b := &f.boxes[i], &f.boxes[k]
	if a.x0 >= b.x1+gap || a.x1 <= b.x0-gap || a.y0 >= b.y1+gap || a.y1 <= b.y0-gap {
		return 0
	}
	s, t := &f.spots[i], &f.spots[k]
	r := f.relation(s.shape, t.shape)
	d := r.nf.depth(float64(r.sign*(t.x-s.x))+r.shift.X, float64(r.sign*(t.y-s.y))+r.shift.Y)
	if gap > 0 && f.items[i].piece >= 0 && f.items[k].piece >= 0 {
		d += gap
	}
	if d <= f.grain {
		return 0
	}
	return d
}

// end is the greatest x of any piece.
func (f *field) end() float64 {
	e := 0.0
	for k := range f.boxes {
		if f.items[k].piece >= 0 {
			e = max(e, f.boxes[k].x1)
		}
	}
	return e
}

// restore lays all movable items as given.
func (f *field) restore(spots []spot) {
	for k := range f.movable {
		f.lay(k, spots[k])
	}
}

// keep copies the spots of the movable items.
func (f *field) keep(into []spot) []spot { return append(into[:0], f.spots[:f.movable]...) }
