package pack

import (
	"math"
	"slices"
	"sync"
	"sync/atomic"
)

// stock is what the search knows of a problem and never changes: distinct
// shapes, the copies to be laid and the no-fit regions of pairs of shapes, each
// worked out when first asked for.
type stock struct {
	problem  Problem
	ways     int       // that a piece may lie in, at most
	outlines [][]Point // of its pieces and then its obstacles, as they are searched with
	shapes   []shape   // each with the lower left of its box at the origin
	turnabt  []int32   // number of the shape turned by half a turn, or -1
	items    []item    // the movable copies first, then locked ones and obstacles
	movable  int
	area     float64 // of all copies
	grain    float64 // depth below which an overlap counts as none
	grid     int

	mu    sync.Mutex
	cache map[[2]int32]*lazyNofit
	bytes int64        // about how much the cached regions take
	epoch atomic.Int64 // counts how often the cache was emptied
}

// How many bytes of no-fit regions are kept: beyond that all are let go and worked
// out anew when asked for. A worker keeps what it has used until it next asks for
// another. With no more shapes than there is a table for, all pairs have room; of
// more, few pairs are asked for twice.
const (
	cacheMost     = 240 << 20
	cacheManyMost = 64 << 20
)

type lazyNofit struct {
	once sync.Once
	nf   *nofit
}

// item is one copy, or one obstacle.
type item struct {
	piece, copy int // piece is -1 for an obstacle
	choices     []choice
	fixed       Point // of items that do not move
}

// choice is one way a copy may lie: the shape and where its box's corner is
// from the piece's origin.
type choice struct {
	shape   int32
	turn    float64
	flipped bool
	corner  Point
	lo, hi  float64 // least and greatest y of the box's corner
	along   rungs   // where the box's corner may be
	across  rungs
	end     float64 // greatest x of the true outline from the piece's origin
}

// coarseness is the part of the width by which curves are made coarser for the
// search.
const coarseness = 1e-4

// The work of a pair of shapes grows with the product of their convex parts, and
// every shape meets every other. Where all shapes together have more parts than is
// worth it, those with most corners are made coarser, down the levels of corners
// allowed.
var cornerLevels = []int{manyCorners, 80, 56, 40, 28, 20, 14, 8}

// With more than so many shapes each piece keeps its first ways alone: the pairs of
// all would take more room than there is.
const (
	manyShapes = 300
	waysOfMany = 2
)

// partsMost is how many convex parts all shapes may have together so that their
// pairs take a fair part of the time there is: a pair of parts took 20 microseconds
// on one machine, and half of the pairs are mirror images of others. A budget
// in steps is not one of time; it has the most, which four jackets keep within.
func partsMost(opt Options) int {
	const fair, pair = 0.4, 20e-6 / 4
	if opt.Time <= 0 || opt.Steps > 0 {
		return 2500
	}
	return int(min(2500, max(200, math.Sqrt(fair*opt.Time.Seconds()/pair))))
}

func newStock(p Problem, parts int) *stock {
	tol := p.Width * coarseness
	var outlines [][]Point
	for _, piece := range p.Pieces {
		outlines = append(outlines, coarseOutline(piece.Outline, tol, manyCorners))
	}
	for _, o := range p.Obstacles {
		outlines = append(outlines, coarseOutline(o, tol, manyCorners))
	}
	var st *stock
	ways := math.MaxInt
	for i, most := range cornerLevels {
		if i > 0 {
			fewer := false
			for k, o := range outlines {
				if len(o) > most {
					outlines[k], fewer = coarseOutline(o, tol, most), true
				}
			}
			if !fewer {
				continue
			}
		}
		st = stockOf(p, outlines, ways)
		if len(st.shapes) > manyShapes && ways > waysOfMany {
			ways = waysOfMany
			st = stockOf(p, outlines, ways)
		}
		if st.parts() <= parts {
			break
		}
	}
	st.pairHalfTurns()
	st.chooseGrid()
	return st
}

// parts is how many convex parts all shapes have together.
func (st *stock) parts() int {
	n := 0
	for i := range st.shapes {
		n += len(st.shapes[i].parts)
	}
	return n
}

// stockOf is the stock of a problem whose pieces and obstacles are searched with
// these outlines, each piece in so many of its ways at most.
func stockOf(p Problem, outlines [][]Point, ways int) *stock {
	st := &stock{problem: p, outlines: outlines, ways: ways, grain: p.Width * Tolerance / 4, cache: map[[2]int32]*lazyNofit{}}
	type copyKey struct {
		id string
		n  int
	}
	locked := map[copyKey]Place{}
	for _, l := range p.Locked {
		locked[copyKey{l.ID, l.Copy}] = l
	}
	var fixed []item
	for i, piece := range p.Pieces {
		if piece.Quantity == 0 {
			continue
		}
		choices := st.choicesOf(i)
		st.area += float64(float64(piece.Quantity) * math.Abs(signedArea(piece.Outline)))
		for c := range piece.Quantity {
			l, held := locked[copyKey{piece.ID, c}]
			if !held {
				st.items = append(st.items, item{piece: i, copy: c, choices: choices})
				continue
			}
			ch := st.choiceOf(i, l.Turn, l.Flipped)
			fixed = append(fixed, item{piece: i, copy: c, choices: []choice{ch}, fixed: Point{l.X, l.Y}.Add(ch.corner)})
		}
	}
	st.movable = len(st.items)
	st.items = append(st.items, fixed...)
	for k := range p.Obstacles {
		ch := st.add(outlines[len(p.Pieces)+k])
		st.items = append(st.items, item{piece: -1, choices: []choice{ch}, fixed: ch.corner})
	}
	return st
}

// choicesOf are the ways in which a piece fits its part of the strip. A coarse
// outline that is tilted may just not fit where the true one does; that one is
// taken then.
func (st *stock) choicesOf(i int) []choice {
	out := st.fitting(i)
	if len(out) == 0 {
		st.outlines[i] = st.problem.Pieces[i].Outline
		out = st.fitting(i)
	}
	return out
}

func (st *stock) fitting(i int) []choice {
	piece := st.problem.Pieces[i]
	var out []choice
	slack := st.problem.Width * fitSlack
	for _, w := range piece.ways(st.problem.Width) {
		ch := st.choiceOf(i, w.Turn, w.Flipped)
		ch.lo, ch.hi = w.From, w.To-st.shapes[ch.shape].box.height()
		if piece.onEdge() {
			ch.hi = min(ch.lo, ch.hi)
		}
		if piece.Repeat.on() {
			ch.along, ch.across = piece.Repeat.rungsOf(w.Turn, w.Flipped, ch.corner)
		}
		known := slices.ContainsFunc(out, func(c choice) bool {
			return c.shape == ch.shape && c.lo == ch.lo && c.hi == ch.hi && c.along == ch.along && c.across == ch.across
		})
		if known || ch.hi < ch.lo-slack {
			continue
		}
		ch.hi = max(ch.lo, ch.hi)
		if ch.across.step > 0 {
			if !ch.across.between(ch.lo-slack, ch.hi+slack) {
				continue
			}
			ch.lo, ch.hi = ch.across.up(ch.lo-slack), ch.across.down(ch.hi+slack)
		}
		if out = append(out, ch); len(out) == st.ways {
			break
		}
	}
	return out
}

func (st *stock) choiceOf(i int, turn float64, flipped bool) choice {
	ch := st.add(turned(st.outlines[i], turn, flipped))
	ch.turn, ch.flipped = turn, flipped
	ch.end = boxOf(turned(cleaned(st.problem.Pieces[i].Outline), turn, flipped)).x1
	return ch
}

// add finds or makes the shape of an outline.
func (st *stock) add(outline []Point) choice {
	s := newShape(outline)
	corner := Point{s.box.x0, s.box.y0}
	s.carry(Point{-corner.X, -corner.Y})
	for i := range st.shapes {
		if st.shapes[i].like(s.pts) {
			return choice{shape: int32(i), corner: corner}
		}
	}
	st.shapes = append(st.shapes, s)
	return choice{shape: int32(len(st.shapes) - 1), corner: corner}
}

func (s *shape) carry(by Point) {
	s.pts = moved(s.pts, by)
	for i := range s.parts {
		s.parts[i] = moved(s.parts[i], by)
	}
	s.box = boxOf(s.pts)
}

// like tells whether the outline is the shape's, up to rounding and to which
// corner comes first.
func (s *shape) like(pts []Point) bool {
	n := len(pts)
	near := 1e-12 * (s.box.width() + s.box.height())
	if n != len(s.pts) || math.Abs(signedArea(pts)-s.area) > 1e-9*s.area {
		return false
	}
	for from := range pts {
		same := true
		for i := 0; i < n && same; i++ {
			d := pts[(from+i)%n].Sub(s.pts[i])
			same = math.Abs(d.X) <= near && math.Abs(d.Y) <= near
		}
		if same {
			return true
		}
	}
	return false
}

// pairHalfTurns finds for each shape the one that is it turned by half a turn:
// the no-fit regions of two shapes and of both turned are mirror images.
func (st *stock) pairHalfTurns() {
	st.turnabt = make([]int32, len(st.shapes))
	for i := range st.shapes {
		s := &st.shapes[i]
		back := reflected(s.pts)
		b := boxOf(back)
		back = moved(back, Point{-b.x0, -b.y0})
		st.turnabt[i] = -1
		for j := range st.shapes {
			if st.shapes[j].like(back) {
				st.turnabt[i] = int32(j)
				break
			}
		}
	}
}

// gridFor maps the number of shape pairs up to some limit to a grid size: finer
// grids are faster to ask but take memory and cache, about 10 grid² bytes a pair.
var gridFor = []struct{ pairs, grid int }{{600, 40}, {2500, 32}, {10000, 24}, {40000, 14}}

func (st *stock) chooseGrid() {
	pairs := len(st.shapes) * (len(st.shapes) + 1) / 2
	halves := 0
	for _, t := range st.turnabt {
		if t >= 0 {
			halves++
		}
	}
	if 2*halves > len(st.shapes) {
		pairs /= 2
	}
	st.grid = 10
	for _, g := range slices.Backward(gridFor) {
		if pairs <= g.pairs {
			st.grid = g.grid
		}
	}
}

// relation is how to ask for the depth of shape v at an offset from shape u: in
// nf at sign*offset + shift.
type relation struct {
	nf      *nofit
	sign    float64
	shift   Point
	gap     float64
	penalty float64
}

// hardship is what the root of an overlap's depth is multiplied with to give
// its cost: the larger the pair, the harder to move apart. That the cost grows
// with the root of the depth, by which a few deep overlaps are rather borne than
// many shallow ones, did better than the depth itself or higher powers of it in
// measurements (common practice is a linear or squared depth).
func hardship(a, b *shape) float64 {
	size := math.Sqrt(a.reach * b.reach)
	return size * math.Sqrt(size)
}

// relate finds the region of a pair, shared with those of the pair exchanged and
// turned by half a turn.
func (st *stock) relate(u, v int32) relation {
	su, sv := &st.shapes[u], &st.shapes[v]
	r := relation{sign: 1, penalty: hardship(su, sv)}
	diff := Point{su.box.x1 - sv.box.x1, su.box.y1 - sv.box.y1}
	type form struct {
		a, b  int32
		sign  float64
		shift Point
	}
	best := form{u, v, 1, Point{}}
	try := func(f form) {
		if f.a >= 0 && f.b >= 0 && (f.a < best.a || f.a == best.a && f.b < best.b) {
			best = f
		}
	}
	try(form{v, u, -1, Point{}})
	try(form{st.turnabt[u], st.turnabt[v], -1, diff})
	try(form{st.turnabt[v], st.turnabt[u], 1, Point{-diff.X, -diff.Y}})
	r.sign, r.shift = best.sign, best.shift
	r.nf = st.region(best.a, best.b)
	return r
}

func (st *stock) region(a, b int32) *nofit {
	st.mu.Lock()
	l := st.cache[[2]int32{a, b}]
	if l == nil {
		l = &lazyNofit{}
		st.cache[[2]int32{a, b}] = l
	}
	st.mu.Unlock()
	l.once.Do(func() {
		l.nf = newNofit(&st.shapes[a], &st.shapes[b], st.problem.Gap, st.grid)
		st.mu.Lock()
		defer st.mu.Unlock()
		most := int64(cacheMost)
		if len(st.shapes) > denseShapes {
			most = cacheManyMost
		}
		if st.bytes += l.nf.bytes(); st.bytes > most {
			st.bytes = 0
			st.cache = map[[2]int32]*lazyNofit{}
			st.epoch.Add(1)
		}
	})
	return l.nf
}
