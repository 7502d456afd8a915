package pack

import (
	"cmp"
	"context"
	"math"
	"slices"
	"sync"
	"sync/atomic"
	"time"
)

// search is one call of Solve: what the workers share.
type search struct {
	ctx   context.Context
	opt   Options
	stock *stock
	start time.Time
	steps atomic.Int64
	bound float64 // no lay is shorter

	mu   sync.Mutex
	best record
	past []record // earlier bests, the latest last
}

// record is a lay without overlaps.
type record struct {
	spots  []spot
	length float64
}

func newSearch(ctx context.Context, p Problem, opt Options) *search {
	s := &search{ctx: ctx, opt: opt, stock: newStock(p)}
	s.opt.Workers = max(1, opt.Workers)
	if opt.Now != nil {
		s.start = opt.Now()
	}
	s.bound = s.stock.leastLength()
	return s
}

// leastLength is a length below which no lay can be: that of the area, of the
// longest piece in its shortest turn, and of what is locked farthest out.
func (st *stock) leastLength() float64 {
	movable, least := 0.0, 0.0
	for _, it := range st.items[:st.movable] {
		short := math.Inf(1)
		for _, c := range it.choices {
			short = min(short, st.shapes[c.shape].box.x1)
		}
		least = max(least, short)
		movable += st.shapes[it.choices[0].shape].area
	}
	for _, it := range st.items[st.movable:] {
		if it.piece >= 0 {
			least = max(least, it.fixed.X+st.shapes[it.choices[0].shape].box.x1)
		}
	}
	return max(least, movable/st.problem.Width)
}

func (s *search) run() (Lay, error) {
	first := newWorker(s, 0)
	if s.stock.movable == 0 {
		first.length = first.end()
		s.publish(first, "first")
		return s.finish()
	}
	first.firstLay()
	s.publish(first, "first")
	if first.squeeze() {
		s.publish(first, "first")
	}
	var all sync.WaitGroup
	for k := range s.opt.Workers {
		w := first
		if k > 0 {
			w = newWorker(s, k)
		}
		all.Go(func() {
			w.explore()
			w.compress()
		})
	}
	all.Wait()
	return s.finish()
}

// done is the part of the budget that is used, 1 or more when the search is to
// end.
func (s *search) done() float64 {
	if s.ctx.Err() != nil {
		return 1
	}
	part := 0.0
	if s.opt.Steps > 0 {
		part = float64(s.steps.Load()) / float64(s.opt.Steps)
	}
	if s.opt.Time > 0 {
		part = max(part, float64(s.opt.Now().Sub(s.start))/float64(s.opt.Time))
	}
	return part
}

// publish makes the worker's lay, which has no overlaps, the best if it is shorter.
func (s *search) publish(w *worker, phase string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	length := w.end()
	if s.best.spots != nil && length >= s.best.length {
		return
	}
	if s.best.spots != nil {
		s.past = append(s.past, s.best)
		if len(s.past) > pastKept {
			s.past = slices.Delete(s.past, 1, 2) // the first lay stays
		}
	}
	s.best = record{w.keep(nil), length}
	if s.opt.Progress != nil {
		s.opt.Progress(Progress{Lay: s.layOf(s.best), Phase: phase, Done: min(1, s.done())})
	}
}

// pastKept is how many earlier bests are kept in case validation refuses the
// last.
const pastKept = 16

func (s *search) shortest() record {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.best
}

// finish validates the best lay and falls back on earlier ones if it must.
func (s *search) finish() (Lay, error) {
	l := s.layOf(s.best)
	err := Validate(s.stock.problem, l, Tolerance)
	for err != nil && len(s.past) > 0 {
		last := len(s.past) - 1
		l = s.layOf(s.past[last])
		s.past = s.past[:last]
		err = Validate(s.stock.problem, l, Tolerance)
	}
	return l, err
}

// layOf writes a record in the problem's terms, on the exact outlines.
func (s *search) layOf(r record) Lay {
	p := s.stock.problem
	l := Lay{Seed: s.opt.Seed, Steps: s.steps.Load(), Places: slices.Clone(p.Locked)}
	for k, q := range r.spots {
		it := &s.stock.items[k]
		c := it.choices[q.choice]
		l.Places = append(l.Places, Place{ID: p.Pieces[it.piece].ID, Copy: it.copy, Turn: c.turn, Flipped: c.flipped,
			X: q.x - c.corner.X, Y: q.y - c.corner.Y})
	}
	order := map[string]int{}
	for i, piece := range p.Pieces {
		order[piece.ID] = i
	}
	slices.SortFunc(l.Places, func(a, b Place) int {
		return cmp.Or(cmp.Compare(order[a.ID], order[b.ID]), cmp.Compare(a.Copy, b.Copy))
	})
	for _, q := range l.Places {
		piece := p.Pieces[order[q.ID]]
		l.Length = max(l.Length, boxOf(cleaned(turned(piece.Outline, q.Turn, q.Flipped))).x1+q.X)
	}
	if l.Length > 0 {
		l.Utilisation = s.stock.area / (p.Width * l.Length)
	}
	l.Fits = p.MaxLength == 0 || l.Length <= p.MaxLength*(1+Tolerance)
	if s.opt.Time > 0 {
		l.Seconds = s.opt.Now().Sub(s.start).Seconds()
	}
	return l
}
