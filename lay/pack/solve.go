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
	s := &search{ctx: ctx, opt: opt, stock: newStock(p, partsMost(opt))}
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
	all := make([]int, s.stock.movable)
	for k := range all {
		all[k] = k
	}
	first.shelves(all) // a full lay at once, whatever comes
	s.publish(first, "first")
	for _, k := range all {
		first.lift(k)
	}
	first.firstLay(func() bool { return s.late() })
	s.publish(first, "first")
	if s.done() < 1 && first.squeeze() {
		s.publish(first, "first")
	}
	var busy sync.WaitGroup
	for k := range s.opt.Workers {
		w := first
		if k > 0 {
			w = newWorker(s, k)
		}
		busy.Go(func() {
			w.explore()
			w.compress()
		})
	}
	busy.Wait()
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

// expired tells whether the time is up.
func (s *search) expired() bool {
	return s.ctx.Err() != nil || s.opt.Time > 0 && s.opt.Now().Sub(s.start) >= s.opt.Time
}

// firstShare is the part of the time that the first lay may take before what is
// left of it goes on shelves.
const firstShare = 0.4

// late tells whether the first lay has taken its time. A budget in steps has none.
func (s *search) late() bool {
	return s.ctx.Err() != nil || s.opt.Time > 0 && float64(s.opt.Now().Sub(s.start)) > firstShare*float64(s.opt.Time)
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
	for k := range s.stock.items {
		it := &s.stock.items[k]
		switch {
		case k < s.stock.movable:
			c := &it.choices[r.spots[k].choice]
			l.Length = max(l.Length, r.spots[k].x-c.corner.X+c.end)
		case it.piece >= 0:
			l.Length = max(l.Length, it.fixed.X-it.choices[0].corner.X+it.choices[0].end)
		}
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
