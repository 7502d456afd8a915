package pack

import (
	"cmp"
	"math"
	"slices"
)

// worker searches on a field of its own.
type worker struct {
	mover
	search     *search
	least      []spot // lay with the least loss in the present separation
	pairs      []conflict
	conflict   []int
	inConflict []bool
	large      []int
	rounds     int
	target     float64
	ended      bool
	before     []spot // lay before a squeeze
}

func newWorker(s *search, number int) *worker {
	w := &worker{search: s}
	w.field = newField(s.stock)
	w.dice = dice{s.opt.Seed*0x9e3779b97f4a7c15 + uint64(number)*0xd1342543de82ef95 + 1}
	w.inConflict = make([]bool, w.n)
	w.large = s.stock.largest()
	return w
}

// over counts a step and tells whether the search is to end.
func (w *worker) over() bool {
	w.search.steps.Add(1)
	if !w.ended {
		w.ended = w.search.done() >= 1
	}
	return w.ended
}

// Steps by which the strip is shortened, as parts of its length.
const (
	exploreMost  = 0.03
	exploreLeast = 0.001 // for up to fewItems items
	exploreShare = 0.8   // of the budget
	compressFrom = 0.0005
	compressTo   = 0.00001
)

var (
	probing     = effort{idle: 100, strikes: 1} // larger steps that may be too bold
	exploring   = effort{idle: 200, strikes: 3}
	compressing = effort{idle: 100, strikes: 5}
)

// explore descends from the best lay known until that is stuck, then from one
// scattered at random, then from the best again, and so on: what one descent ends
// in differs more than what a longer one gains.
func (w *worker) explore() {
	for alone := false; w.search.done() < exploreShare; alone = !alone {
		from := w.search.shortest()
		if alone {
			var ok bool
			if from, ok = w.scatter(from.length); !ok {
				continue
			}
		}
		if !w.descend(from, alone) {
			return
		}
	}
}

// descend shortens the strip in steps that adapt to how hard they are. Where the
// least step fails it goes on at that length from one of the failed lays, rather
// a good one, with two large items exchanged. Unless alone it takes up what other
// workers find. It returns false when there is nothing left to gain.
func (w *worker) descend(from record, alone bool) bool {
	least := w.leastStep()
	step := least * (exploreMost / exploreLeast)
	for w.search.done() < exploreShare {
		best := w.search.shortest()
		if !alone {
			from = best
		}
		if !w.aim(best.length, step) || !w.aim(from.length, step) {
			return false
		}
		w.shorten(from)
		w.rounds = 0
		e := exploring
		if step > least {
			e = probing
		}
		loss, ok := w.separate(e, from.length)
		if !ok && step > least {
			step = max(least, step/2)
			continue
		}
		if !ok && !w.insist(from.length, loss, alone) {
			return true
		}
		if ok && w.rounds < 20 {
			step = min(least*(exploreMost/exploreLeast), step*1.5)
		}
		from = record{w.keep(nil), w.end()}
		w.search.publish(w, "explore")
	}
	return true
}

// scatter lays all movable items anywhere and ends the overlaps.
func (w *worker) scatter(length float64) (record, bool) {
	w.target = length * scattered
	w.length = w.target
	for k := range w.movable {
		c := w.upTo(len(w.items[k].choices))
		shape := w.items[k].choices[c].shape
		w.settle(k, spot{float64(w.dice.unit() * w.length), float64(w.dice.unit() * w.problem.Width), int32(c), shape})
	}
	_, ok := w.separate(exploring, math.Inf(1))
	return record{w.keep(nil), w.end()}, ok
}

// scattered is how much longer than the best lay known a scattered one may be.
const scattered = 1.1

// fewItems is the number of items up to which the least step is as it is; for
// more, what one step stirs up should not grow with the length of the lay.
const fewItems = 100

func (w *worker) leastStep() float64 {
	return exploreLeast * min(1, fewItems/float64(w.n))
}

// insist tries for the present target from failed lays until it is met, another
// worker has met it (unless alone), or it has failed too often.
func (w *worker) insist(length, loss float64, alone bool) bool {
	pool := []failed{{w.keep(nil), loss}}
	tries := patience
	if alone && length > w.search.shortest().length {
		tries = patienceBehind
	}
	for ; tries > 0 && w.search.done() < exploreShare; tries-- {
		if best := w.search.shortest(); !alone && best.length < length {
			w.length = best.length
			w.restore(best.spots)
			return true
		}
		pick := min(len(pool)-1, int(math.Abs(w.bell())*0.25*float64(len(pool))))
		w.length = w.target
		w.restore(pool[pick].spots)
		w.disrupt()
		loss, ok := w.separate(exploring, length)
		if ok {
			return true
		}
		pool = w.remember(pool, loss)
	}
	return false
}

// How many tries without success make a descent stuck: for one that has the best
// lay, and for one that is behind.
const (
	patience       = 40
	patienceBehind = 15
)

// remember adds the worker's failed lay to the pool, the least loss first, unless
// it is there: lays that come out the same again and again would crowd it.
func (w *worker) remember(pool []failed, loss float64) []failed {
	at, _ := slices.BinarySearchFunc(pool, loss*(1-1e-6), func(f failed, loss float64) int { return cmp.Compare(f.loss, loss) })
	if at < len(pool) && pool[at].loss <= loss*(1+1e-6) || at == poolMost {
		return pool
	}
	pool = slices.Insert(pool, at, failed{w.keep(nil), loss})
	return pool[:min(len(pool), poolMost)]
}

// failed is a lay that still has overlaps.
type failed struct {
	spots []spot
	loss  float64
}

const poolMost = 40

// compress shortens the best lay by steps that shrink as the budget ends.
func (w *worker) compress() {
	for w.search.done() < 1 {
		left := min(1, (1-w.search.done())/(1-exploreShare))
		step := compressTo + float64((compressFrom-compressTo)*float64(left*left*left))
		from := w.search.shortest()
		if !w.aim(from.length, step) {
			return
		}
		w.shorten(from)
		if _, ok := w.separate(compressing, from.length); ok {
			w.search.publish(w, "compress")
		}
	}
}

// aim sets the target below a length and tells whether there is anything left to
// gain.
func (w *worker) aim(length, step float64) bool {
	opt, p := w.search.opt, w.problem
	if p.MaxLength > 0 && length <= p.MaxLength && opt.StopWhenFits {
		return false
	}
	if length <= w.search.bound*(1+Tolerance) {
		return false
	}
	w.target = max(w.search.bound, length*(1-step))
	if p.MaxLength > 0 && length > p.MaxLength {
		w.target = max(w.target, p.MaxLength)
	}
	return true
}

// shorten takes a lay up at the target length: what lies behind some random
// place moves up by the difference.
func (w *worker) shorten(from record) {
	by := from.length - w.target
	at := float64(w.dice.unit() * from.length)
	w.length = w.target
	for k, s := range from.spots {
		if s.x+w.shapes[s.shape].box.x1/2 > at {
			s.x -= by
		}
		w.settle(k, s)
	}
}

// settle lays an item as near to a spot as its room and its repeat allow, in another
// choice if it has none in this one.
func (w *worker) settle(k int, s spot) {
	r, ok := w.room(k, s.choice)
	for c := 0; !ok && c < len(w.items[k].choices); c++ {
		s.choice, s.shape = int32(c), w.items[k].choices[c].shape
		r, ok = w.room(k, s.choice)
	}
	if !ok {
		r.x1 = max(r.x0, r.x1)
	}
	s.x, s.y = r.clamp(s.x, s.y)
	w.lay(k, w.onRung(k, s))
}

// largest lists the movable items that together make up the larger part of the
// area, the large ones first.
func (st *stock) largest() []int {
	order := make([]int, st.movable)
	total := 0.0
	area := func(k int) float64 { return st.shapes[st.items[k].choices[0].shape].area }
	for k := range order {
		order[k] = k
		total += area(k)
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(area(b), area(a)) })
	sum := 0.0
	for i, k := range order {
		if sum += area(k); sum > total*0.75 && i >= 2 {
			return order[:i+1]
		}
	}
	return order
}

// disrupt exchanges two large items of different shape.
func (w *worker) disrupt() {
	if len(w.large) < 2 {
		return
	}
	a := w.large[w.upTo(len(w.large))]
	b := a
	for tries := 0; tries < 20 && (b == a || w.spots[b].shape == w.spots[a].shape); tries++ {
		b = w.large[w.upTo(len(w.large))]
	}
	if a == b {
		return
	}
	s, t := w.spots[a], w.spots[b]
	middleOf := func(s spot) Point {
		x := &w.shapes[s.shape].box
		return Point{s.x + x.x1/2, s.y + x.y1/2}
	}
	ms, mt := middleOf(s), middleOf(t)
	d := mt.Sub(ms)
	s.x, s.y = s.x+d.X, s.y+d.Y
	t.x, t.y = t.x-d.X, t.y-d.Y
	w.settle(a, s)
	w.settle(b, t)
}
