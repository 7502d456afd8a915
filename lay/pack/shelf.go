package pack

import (
	"cmp"
	"math"
	"slices"
)

// shelves lays the items listed by their boxes alone, behind everything that has a
// place: those of the same part of the width side by side across it, the longest
// first, shelf after shelf along the strip. That is quick whatever the outlines
// are, and never needs their no-fit regions.
func (f *field) shelves(list []int) {
	type lane struct{ lo, hi float64 }
	f.length = math.MaxFloat64 / 4
	best := func(k int) int32 { // the way that is shortest along the strip
		at, short := int32(0), math.Inf(1)
		for c, ch := range f.items[k].choices {
			if w := f.shapes[ch.shape].box.x1; w < short {
				at, short = int32(c), w
			}
		}
		return at
	}
	type entry struct {
		k      int
		choice int32
		lane   lane
		box    box
	}
	entries := make([]entry, len(list))
	for i, k := range list {
		c := best(k)
		ch := &f.items[k].choices[c]
		b := f.shapes[ch.shape].box
		entries[i] = entry{k, c, lane{ch.lo, ch.hi + b.y1}, b}
	}
	slices.SortStableFunc(entries, func(a, b entry) int {
		return cmp.Or(cmp.Compare(a.lane.lo, b.lane.lo), cmp.Compare(a.lane.hi, b.lane.hi), cmp.Compare(b.box.x1, a.box.x1))
	})
	gap := f.problem.Gap * (1 + 1e-9)
	at, next, y := 0.0, 0.0, 0.0 // where the shelf begins, where it ends, how far it is filled
	for k := range f.boxes {
		if b := &f.boxes[k]; b.x1 > b.x0 {
			at = max(at, b.x1+gap)
		}
	}
	var on lane
	slack := f.problem.Width * fitSlack
	for i, e := range entries {
		ch := &f.items[e.k].choices[e.choice]
		if i == 0 || e.lane != on || ch.across.up(y)+e.box.y1 > on.hi+slack {
			if i > 0 {
				at = next + gap
			}
			on, y, next = e.lane, e.lane.lo, at
		}
		s := spot{ch.along.up(at), min(ch.across.up(max(y, ch.lo)), ch.hi), e.choice, ch.shape}
		f.lay(e.k, s)
		next = max(next, s.x+e.box.x1)
		y = max(y, s.y) + e.box.y1 + gap
	}
	f.length = f.end()
}
