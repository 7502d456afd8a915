package pack

import (
	"fmt"
	"math"
)

// Repeat says that a pattern on the strip comes again after a step, and that a
// point of a piece must fall on it, so that the pattern runs on where pieces are
// joined: x - From.X of the point is a whole number of steps Along the strip, and
// y - From.Y one of steps Across it. A step of 0 leaves that axis free.
type Repeat struct {
	Point         Point // turned and mirrored with the piece; it need not lie inside
	From          Point // where on the strip the pattern begins
	Along, Across float64
}

// on reports whether a piece must keep to the repeat at all.
func (r Repeat) on() bool { return r.Along > 0 || r.Across > 0 }

// finest is the least step of a repeat, as a part of the strip's width.
const finest = 1e-6

// fault says what is wrong with the repeat on a strip of some width in one sentence,
// or nothing.
func (r Repeat) fault(width float64) string {
	for _, step := range [2]float64{r.Along, r.Across} {
		if step != 0 && !(step >= width*finest && step <= 1e12) {
			return fmt.Sprintf("its repeat has a step of %v; 0 (none) is allowed, or %.3g and more.", step, width*finest)
		}
	}
	for _, q := range [2]Point{r.Point, r.From} {
		if bad(q.X) || bad(q.Y) {
			return fmt.Sprintf("its repeat names the point (%v, %v); both must be numbers within 1e12.", q.X, q.Y)
		}
	}
	return ""
}

// off is how far the point of a piece that lies so is off the repeat, along and across.
func (r Repeat) off(q Place) (along, across float64) {
	at := turned([]Point{r.Point}, q.Turn, q.Flipped)[0].Add(Point{q.X - r.From.X, q.Y - r.From.Y})
	by := func(v, step float64) float64 {
		if step == 0 {
			return 0
		}
		return math.Abs(math.Remainder(v, step))
	}
	return by(at.X, r.Along), by(at.Y, r.Across)
}

// rungs are the values that one coordinate of an item may have: from and any
// whole number of steps before and after it. Without a step it may have any.
type rungs struct{ from, step float64 }

// rungsOf is where the corner of the box of a piece that lies so may be.
func (r Repeat) rungsOf(turn float64, flipped bool, corner Point) (along, across rungs) {
	at := turned([]Point{r.Point}, turn, flipped)[0]
	return rungs{r.From.X - at.X + corner.X, r.Along}, rungs{r.From.Y - at.Y + corner.Y, r.Across}
}

func (g rungs) nearest(v float64) float64 {
	if g.step == 0 {
		return v
	}
	return g.at(math.Round((v - g.from) / g.step))
}

// up is the first rung at or after v, down the last at or before it; rounding does
// not make a rung be passed over on which v is.
func (g rungs) up(v float64) float64 {
	if g.step == 0 {
		return v
	}
	n := math.Ceil((v - g.from) / g.step)
	if before := g.at(n - 1); before >= v-g.rounding(v) {
		return before
	}
	return g.at(n)
}

func (g rungs) down(v float64) float64 {
	if g.step == 0 {
		return v
	}
	n := math.Floor((v - g.from) / g.step)
	if after := g.at(n + 1); after <= v+g.rounding(v) {
		return after
	}
	return g.at(n)
}

func (g rungs) at(n float64) float64 { return g.from + float64(n*g.step) }

func (g rungs) rounding(v float64) float64 { return 1e-13 * (math.Abs(v) + math.Abs(g.from)) }

// between reports whether there is a rung from lo to hi.
func (g rungs) between(lo, hi float64) bool { return g.up(lo) <= hi }

// tied reports whether a choice must keep to a repeat.
func (c *choice) tied() bool { return c.along.step > 0 || c.across.step > 0 }

// onRung moves a spot to the rungs nearest to it.
func (f *field) onRung(k int, s spot) spot {
	if ch := &f.items[k].choices[s.choice]; ch.tied() {
		s.x, s.y = ch.along.nearest(s.x), ch.across.nearest(s.y)
	}
	return s
}

// nearRungs calls visit with the rungs of a room on all sides of a spot; with the spot
// itself where no repeat ties it.
func (c *choice) nearRungs(s spot, r box, visit func(spot)) {
	if !c.tied() {
		visit(s)
		return
	}
	xs := [2]float64{max(r.x0, c.along.down(s.x)), min(r.x1, c.along.up(s.x))}
	ys := [2]float64{max(r.y0, c.across.down(s.y)), min(r.y1, c.across.up(s.y))}
	for i, x := range xs {
		for j, y := range ys {
			if i > 0 && x == xs[0] || j > 0 && y == ys[0] {
				continue
			}
			s.x, s.y = x, y
			visit(s)
		}
	}
}
