package pack

import (
	"cmp"
	"math"
	"slices"
)

// firstLay lays the items one by one, large ones first, each where it reaches
// least far along the strip: among the corners of the no-fit regions of what is
// laid, where it touches an item at two edges, and their crossings with the
// strip's edges, where it touches an item and an edge (bottom-left filling). When
// it is late what is left goes on shelves.
func (f *field) firstLay(late func() bool) {
	order := make([]int, f.movable)
	for k := range order {
		order[k] = k
	}
	size := func(k int) float64 { return f.shapes[f.items[k].choices[0].shape].area }
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(size(b), size(a)) })
	laid := make([]int, 0, f.n)
	end := 0.0
	for k := f.movable; k < f.n; k++ {
		laid = append(laid, k)
	}
	f.length = math.MaxFloat64 / 4
	for n, k := range order {
		if late() {
			f.shelves(order[n:])
			return
		}
		s := f.leftmost(k, laid, end)
		f.lay(k, s)
		laid = append(laid, k)
		end = max(end, f.boxes[k].x1)
	}
	f.length = f.end()
}

// manyLaid is the number of items laid from which only those near the end of
// the lay are asked for corners: holes far behind were tried by earlier items.
const manyLaid = 120

func (f *field) leftmost(k int, laid []int, end float64) spot {
	if len(laid) > manyLaid {
		laid = f.hindmost(laid)
	}
	best, reach := spot{}, math.Inf(1)
	var offers []spot
	for c, ch := range f.items[k].choices {
		w := f.shapes[ch.shape].box.x1
		offers = f.corners(offers[:0], k, int32(c), laid)
		slices.SortFunc(offers, func(a, b spot) int { return cmp.Or(cmp.Compare(a.x, b.x), cmp.Compare(a.y, b.y)) })
		for _, s := range offers {
			if s.x+w >= reach {
				break
			}
			if f.cost(k, ch.shape, s.x, s.y, 0) == 0 {
				best, reach = s, s.x+w
				break
			}
		}
	}
	if !math.IsInf(reach, 1) {
		return best
	}
	// Behind everything there is always room.
	for i := range f.boxes {
		end = max(end, f.boxes[i].x1)
	}
	ch := &f.items[k].choices[0]
	return spot{ch.along.up(end + f.problem.Gap), ch.lo, 0, ch.shape}
}

// hindmost returns the items that reach farthest along the strip.
func (f *field) hindmost(laid []int) []int {
	out := slices.Clone(laid)
	slices.SortStableFunc(out, func(a, b int) int { return cmp.Compare(f.boxes[b].x1, f.boxes[a].x1) })
	return out[:manyLaid/2]
}

func (f *field) corners(out []spot, k int, c int32, laid []int) []spot {
	shape := f.items[k].choices[c].shape
	r, ok := f.room(k, c)
	if !ok {
		return out
	}
	choice := &f.items[k].choices[c]
	slack := f.problem.Width * fitSlack
	offer := func(x, y float64) {
		if x >= -slack && y >= r.y0-slack && y <= r.y1+slack {
			x, y = r.clamp(x, y)
			choice.nearRungs(spot{x, y, c, shape}, r, func(s spot) { out = append(out, s) })
		}
	}
	offer(0, r.y0)
	offer(0, r.y1)
	for _, i := range laid {
		o := &f.spots[i]
		rel := f.relation(o.shape, shape)
		gap := f.gapTo(i) * (1 + 1e-9)
		back := func(p Point) Point {
			return Point{o.x + float64(rel.sign*(p.X-rel.shift.X)), o.y + float64(rel.sign*(p.Y-rel.shift.Y))}
		}
		for s := range rel.nf.segs {
			g := &rel.nf.segs[s]
			out := Point{float64(g.dir.Y * gap), -float64(g.dir.X * gap)}
			a, b := back(g.a.Add(out)), back(g.b.Add(out))
			offer(a.X, a.Y)
			if gap > 0 {
				offer(b.X, b.Y)
			}
			for _, y := range [2]float64{r.y0, r.y1} {
				if (a.Y < y) != (b.Y < y) {
					offer(a.X+float64((b.X-a.X)*((y-a.Y)/(b.Y-a.Y))), y)
				}
			}
		}
	}
	return out
}
