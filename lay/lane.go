package lay

import (
	"math"

	"clothwright/curve"
	"clothwright/lay/pack"
)

// lane is a part of the lay's width in which a shape may lie. Over means mirrored across: on the other fold of a tube, or cut from
// the upper layer, whose wrong side is up, where the shape is otherwise cut with the right side up.
type lane struct {
	from, to float64
	over     bool
}

func (l lane) wide() float64 { return l.to - l.from }

// single is where the single part of cloth folded with one part single begins, mm from the fold: at the edge of the selvedge that is
// folded over, since nobody sees what is chalked below it.
func (c *Cloth) single() float64 { return c.Double() + c.Selvedge }

// lanes are the parts of the width in which a shape may lie, the one that it most belongs to first. A piece beside a fold keeps the
// gap from it: cut along the very fold a pair is easily left hanging together as one piece on the fold.
func (c *Cloth) lanes(s *shape) []lane {
	usable, g := c.Usable(), c.gap()
	if s.onFold {
		wide := curve.Bounds(s.exact...).Max.X
		out := []lane{{0, wide, false}}
		if c.Fold == Tubular && c.Both && !(c.Across > 0 && c.matchOf(s) != nil) { // which stripe lies on the other fold nobody knows
			out = append(out, lane{usable - wide, usable, true})
		}
		return out
	}
	switch c.Fold {
	case Lengthwise:
		return []lane{{g, usable, false}}
	case Tubular:
		return []lane{{g, usable - g, false}}
	case PartSingle:
		double, single := lane{g, c.Double(), false}, lane{c.single(), usable, false}
		switch {
		case s.layers == 2, single.wide() <= 0:
			double.over = s.layers == 1 && !s.own
			return []lane{double}
		case s.apart || c.Across > 0 && c.matchOf(s) != nil:
			return []lane{single}
		}
		double.over = !s.own
		return []lane{single, double}
	}
	return []lane{{0, usable, false}}
}

// head is how far from y = 0 a piece begins: where cloth is folded across there, by the gap.
func (c *Cloth) head() float64 {
	if c.Fold == Crosswise {
		return c.gap()
	}
	return 0
}

// ways are all ways in which a shape may lie, as the search reads them: there a mirroring turns upside down, so that with half a
// turn it mirrors across.
func (c *Cloth) ways(s *shape) []pack.Way {
	var out []pack.Way
	upright := c.uprights()
	for _, l := range c.lanes(s) {
		turns := []float64{0}
		if !s.onFold {
			turns = c.tilts(upright, s, l.wide())
		}
		for _, t := range turns {
			if l.over {
				t = normal(180 - t)
			}
			out = append(out, pack.Way{Turn: t, Flipped: l.over, From: l.from, To: l.to})
		}
		if s.onFold && len(upright) > 1 { // upside down
			w := pack.Way{Turn: 0, Flipped: true, From: l.from, To: l.to}
			if l.over {
				w.Turn, w.Flipped = 180, false
			}
			out = append(out, w)
		}
	}
	return out
}

// over reports whether a spot is mirrored across from its shape's own way up.
func (x *spot) over() bool {
	if x.s.onFold {
		return curve.Bounds(x.outline...).Max.X <= near
	}
	return x.upside
}

// laneOf is the lane in which a spot lies; of those that do not hold it the one that misses least. off is by how much it leaves it, mm.
func (c *Cloth) laneOf(x *spot) (best lane, off float64) {
	b := x.box()
	off = math.Inf(1)
	for _, l := range c.lanes(x.s) {
		if l.over != x.over() {
			continue
		}
		if d := math.Max(0, math.Max(l.from-b.Min.X, b.Max.X-l.to)); d < off {
			best, off = l, d
		}
	}
	return best, off
}
