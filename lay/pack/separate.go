package pack

import "math"

// Weights of pairs in conflict grow each round by a factor between these, the
// deepest overlap's most; those of the others fall towards 1.
const (
	growLeast = 1.2
	growMost  = 2.0
	fall      = 0.95
)

// effort bounds a try to separate: after idle rounds without progress the best
// lay so far is taken up again with the weights learnt, so many times.
type effort struct{ idle, strikes int }

// separate tries to end all overlaps on the target length. The lay with the least
// loss is squeezed after each strike: if that ends the overlaps on a length below
// wanted, which may be more than the target, this is as good. When it fails the
// field holds the lay with the least loss, which it returns.
func (w *worker) separate(e effort, wanted float64) (loss float64, ok bool) {
	w.evenWeights()
	least := math.Inf(1)
	for strike := 0; strike < e.strikes; strike++ {
		before := least
		for idle := 0; idle < e.idle; idle++ {
			loss := w.weigh()
			if loss == 0 {
				w.squeeze()
				return 0, true
			}
			if loss < least {
				if loss < least*0.98 {
					idle = 0
				}
				least = loss
				w.least = w.keep(w.least)
			}
			w.rounds++
			if !w.round() {
				w.restore(w.least)
				return least, false
			}
		}
		w.restore(w.least)
		if least < before && w.squeeze() {
			if w.end() < wanted*(1-worthwhile) {
				return 0, true
			}
			w.length = w.target
			w.restore(w.least)
		}
		if least > before*0.98 && strike > 0 {
			break
		}
	}
	return least, false
}

// worthwhile is the least relative gain in length that is taken for one.
const worthwhile = 1e-6

// round moves each item in conflict once, in random order; it returns false
// when the search is to end.
func (w *worker) round() bool {
	w.shuffle(w.conflict)
	for _, k := range w.conflict {
		w.improve(k)
		if w.over() {
			return false
		}
	}
	return true
}

// weigh measures all overlaps: it lists the items in conflict, changes the
// weights and returns the unweighted loss.
func (w *worker) weigh() float64 {
	w.pairs = w.pairs[:0]
	w.conflict = w.conflict[:0]
	for k := range w.inConflict {
		w.inConflict[k] = false
	}
	loss, deepest := 0.0, 0.0
	for k := range w.movable {
		w.around(k, w.boxes[k].grown(w.problem.Gap), func(i int) {
			if i < k {
				return
			}
			d := w.depthOf(i, k)
			if d == 0 {
				return
			}
			d = float64(math.Sqrt(d) * w.relation(w.spots[i].shape, w.spots[k].shape).penalty)
			w.pairs = append(w.pairs, conflict{k, i, d})
			w.inConflict[k] = true
			w.inConflict[i] = true
			loss += d
			deepest = max(deepest, d)
		})
	}
	for k := range w.movable {
		if w.inConflict[k] {
			w.conflict = append(w.conflict, k)
		}
	}
	w.learn(deepest)
	return loss
}

func (w *worker) learn(deepest float64) {
	for _, p := range w.pairs {
		grow := growLeast + float64((growMost-growLeast)*(p.loss/deepest))
		at := p.a*w.n + p.b
		v := w.weight(at)
		if v == 1 {
			w.raised = append(w.raised, at)
		}
		w.setWeight(at, v*(grow/fall))
	}
	still := w.raised[:0]
	for _, at := range w.raised {
		v := max(1, w.weight(at)*fall)
		w.setWeight(at, v)
		if v > 1 {
			still = append(still, at)
		}
	}
	w.raised = still
}

// conflict is a pair of items that overlap.
type conflict struct {
	a, b int
	loss float64 // root of the depth times the pair's penalty
}
