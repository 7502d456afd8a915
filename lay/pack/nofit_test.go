package pack

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// starOutline draws a simple outline: corners at growing angles round a centre,
// on whole numbers so that straight runs, parallel edges and exact fits turn up.
func starOutline(t *rapid.T, label string) []Point {
	for {
		n := rapid.IntRange(3, 14).Draw(t, label+" corners")
		pts := make([]Point, n)
		for k := range pts {
			r := float64(rapid.IntRange(3, 20).Draw(t, label))
			h := heading(360 * float64(k) / float64(n))
			pts[k] = Point{math.Round(r * h.X), math.Round(r * h.Y)}
		}
		if outlineFault(pts) == "" {
			return pts
		}
	}
}

// combOutline is a comb with teeth of whole width: hollows that others fit exactly.
func combOutline(t *rapid.T, label string) []Point {
	teeth := rapid.IntRange(1, 3).Draw(t, label+" teeth")
	x := 0.0
	bottom := []Point{}
	for range teeth {
		w := float64(rapid.IntRange(1, 3).Draw(t, label+" tooth"))
		h := float64(rapid.IntRange(2, 6).Draw(t, label+" height"))
		bottom = append(bottom, Point{x, -h}, Point{x + w, -h})
		x += w
		w = float64(rapid.IntRange(1, 3).Draw(t, label+" hollow"))
		bottom = append(bottom, Point{x, 0}, Point{x + w, 0})
		x += w
	}
	return append(bottom, Point{x, 2}, Point{0, 2})
}

func anyOutline(t *rapid.T, label string) []Point {
	if rapid.Bool().Draw(t, label+" comb") {
		return combOutline(t, label)
	}
	return starOutline(t, label)
}

// The exact predicates of the validation, which share nothing with the no-fit
// regions, are the reference: an offset is deep if and only if the outlines
// overlap there, depth along the way out is what ends the overlap, and nothing
// less than depth does in any direction.
func TestDepthAgainstExactOverlap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := newShape(anyOutline(t, "a")), newShape(anyOutline(t, "b"))
		nf := newNofit(&a, &b, 1, 24)
		region := nf.box
		overlap := func(x, y float64) bool { return insidesMeet(a.pts, moved(b.pts, Point{x, y})) }
		for range 12 {
			x := rapid.Float64Range(region.x0, region.x1).Draw(t, "x")
			y := rapid.Float64Range(region.y0, region.y1).Draw(t, "y")
			if rapid.Bool().Draw(t, "whole") {
				x, y = math.Round(x), math.Round(y)
			}
			d := nf.depth(x, y)
			const hair = 1e-7
			if d > hair != overlap(x, y) && math.Abs(d) > hair {
				t.Fatalf("depth %g at (%g, %g), overlap %t", d, x, y, overlap(x, y))
			}
			if math.IsInf(d, -1) {
				continue
			}
			e, _ := nf.exit(x, y)
			if e.depth != d {
				t.Fatalf("exit says %g, depth says %g", e.depth, d)
			}
			if d <= hair {
				continue
			}
			out := Point{x + e.way.X*(d+hair), y + e.way.Y*(d+hair)}
			if after := nf.depth(out.X, out.Y); after > 2*hair {
				t.Fatalf("at (%g, %g) the way out %v by %g leaves a depth of %g", x, y, e.way, d, after)
			}
			h := heading(rapid.Float64Range(0, 360).Draw(t, "other way"))
			if s := d * 0.999; !overlap(x+h.X*s, y+h.Y*s) {
				t.Fatalf("at (%g, %g) a move by %g towards %v ends the overlap; depth was %g", x, y, s, h, d)
			}
		}
	})
}

// A move by what separates two outlines that do not overlap makes them touch.
func TestDepthOutsideIsDistance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := newShape(starOutline(t, "a")), newShape(starOutline(t, "b"))
		nf := newNofit(&a, &b, 5, 32)
		x := rapid.Float64Range(nf.box.x0, nf.box.x1).Draw(t, "x")
		y := rapid.Float64Range(nf.box.y0, nf.box.y1).Draw(t, "y")
		d := nf.depth(x, y)
		if d > -1e-7 || d < -5 {
			return
		}
		if got := between2(a.pts, moved(b.pts, Point{x, y})); math.Abs(got+d) > 1e-9*(1+got) {
			t.Fatalf("depth %g, distance %g", d, got)
		}
	})
}

// Hand-made: a tab of 2 by 3 in a notch of 2 by 3 fits exactly, a slit of the
// region; a hair aside it overlaps by that hair.
func TestExactFit(t *testing.T) {
	notch := newShape([]Point{{0, 0}, {2, 0}, {2, 3}, {4, 3}, {4, 0}, {6, 0}, {6, 5}, {0, 5}})
	tab := newShape([]Point{{0, 0}, {2, 0}, {2, 3}, {0, 3}})
	nf := newNofit(&notch, &tab, 0, 64)
	for _, c := range []struct{ x, y, want float64 }{
		{2, 0, 0}, {2, -1, 0}, {2.01, 0, 0.01}, {1.9, -0.5, 0.1}, {2, 0.25, 0.25},
	} {
		if got := nf.depth(c.x, c.y); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("depth at (%g, %g) is %g, want %g", c.x, c.y, got, c.want)
		}
	}
}

// Two squares overlap by the lesser of the two penetrations; by hand.
func TestDepthOfSquares(t *testing.T) {
	square := newShape([]Point{{0, 0}, {10, 0}, {10, 10}, {0, 10}})
	nf := newNofit(&square, &square, 0, 16)
	for _, c := range []struct{ x, y, want float64 }{{7, 2, 3}, {-9, 9.5, 0.5}, {0, 0, 10}, {3, 4, 6}} {
		if got := nf.depth(c.x, c.y); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("depth at (%g, %g) is %g, want %g", c.x, c.y, got, c.want)
		}
	}
}
