package curve

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// A row is a path, a distance and the parallel. The figures are worked by hand: a 3-4-5 corner, squares, mitres.
func TestOffsetRows(t *testing.T) {
	for _, r := range []struct {
		name, in string
		d        float64
		want     string
	}{
		{"left of a line going right is up", "M0 0L10 0", 2, "M0 -2L10 -2"},
		{"right of it is down", "M0 0L10 0", -2, "M0 2L10 2"},
		{"clockwise square grows", "M0 0L10 0L10 10L0 10Z", 1, "M-1 -1L11 -1L11 11L-1 11Z"},
		{"clockwise square shrinks", "M0 0L10 0L10 10L0 10Z", -1, "M1 1L9 1L9 9L1 9Z"},
		{"anticlockwise square shrinks to its left", "M0 0L0 10L10 10L10 0Z", 1, "M1 1L1 9L9 9L9 1Z"},
		{"square of 10 has nothing left 5 inside", "M0 0L10 0L10 10L0 10Z", -5.5, ""},
		{"open corner, outside", "M0 0L10 0L10 10", 2, "M0 -2L12 -2L12 10"},
		{"open corner, inside", "M0 0L10 0L10 10", -2, "M0 2L8 2L8 10"},
		{"lines in a row become one", "M0 0L4 0L10 0", 2, "M0 -2L10 -2"},
		{"a point in the path is passed over", "M0 0L4 0L4 0L10 0", 2, "M0 -2L10 -2"},
		{"there and back is squared off", "M0 0L10 0L1 0", 2, "M0 -2L12 -2L12 2L1 2"},
		{"notch narrower than twice the distance closes", "M0 0L10 0L10 8L13 8L13 0L30 0", -4, "M0 4L6 4L6 12L17 12L17 4L30 4"},
		{"slot narrower than twice the distance closes", "M0 0L10 0L10 8L13 8L13 0L30 0", 4, "M0 -4L30 -4"},
	} {
		got := path(t, r.in).Offset(r.d, 0.001)
		connected(t, got)
		if row(got) != row(path(t, r.want)) {
			t.Errorf("%s: %s by %g\n got %s\nwant %s", r.name, r.in, r.d, row(got), r.want)
		}
	}
}

// The parallel of a circle is a circle: radii to within the tolerance and the 0.027 % that four cubics miss.
func TestOffsetCircle(t *testing.T) {
	c := circle(Point{50, 60}, 40)
	for _, d := range []float64{10, 1, -1, -10, -35} {
		p := c.Offset(d, 0.001)
		if !p.Closed() {
			t.Errorf("parallel at %g is not closed: %s", d, row(p))
			continue
		}
		for _, q := range p.Flatten(0.01) {
			near1(t, "radius", q.Dist(Point{50, 60}), 40+d, 0.002+40*0.00028)
		}
	}
	if p := c.Offset(-41, 0.001); len(p) != 0 {
		t.Errorf("inside a circle of 40 there is no parallel at 41, got %s", row(p))
	}
}

// circle runs clockwise on the page from its rightmost point.
func circle(o Point, r float64) Path {
	at := func(x, y float64) Point { return Point{o.X + r*x, o.Y + r*y} }
	return Path{
		Quarter(at(1, 0), at(1, 1), at(0, 1)), Quarter(at(0, 1), at(-1, 1), at(-1, 0)),
		Quarter(at(-1, 0), at(-1, -1), at(0, -1)), Quarter(at(0, -1), at(1, -1), at(1, 0)),
	}
}

// A hollow of radius about 5 at its tightest (y = x²/10) cannot hold a parallel at 12: the two sides meet in a corner, as
// far from the path as elsewhere.
func TestOffsetHollow(t *testing.T) {
	// y = -x²/10 from -30 to 30 as one cubic, y down: a hill on the page, hollow below.
	p := Path{quadraticSeg(Point{-30, -90}, Point{0, 90}, Point{30, -90})}
	for _, d := range []float64{12, 5.5, 5.01, 4.9, -12} {
		for _, sign := range []float64{1, -1} {
			const tol = 0.002
			out := p.Offset(sign*d, tol)
			connected(t, out)
			if len(out) == 0 {
				t.Fatalf("nothing left at %g", sign*d)
			}
			for _, q := range out.Flatten(tol) {
				_, far := p.Nearest(q)
				near1(t, "distance from the path", far, math.Abs(d), 4*tol)
			}
			if m := selfMeetings(out); m > 0 {
				t.Errorf("parallel at %g still crosses itself %d times: %s", sign*d, m, row(out))
			}
		}
	}
}

func quadraticSeg(a, b, c Point) Seg {
	return Cubic(a, a.Lerp(b, 2./3), c.Lerp(b, 2./3), c)
}

func selfMeetings(p Path) int {
	var r strands
	for _, s := range p {
		r = append(r, strand{Seg: s})
	}
	l, _ := r.selfMeet(p.Closed(), 1e-3)
	return len(l)
}

// drawEdge is a run of lines and curves that turns without corners, like the edge of a piece.
func drawEdge(t *rapid.T) Path {
	n := rapid.IntRange(2, 6).Draw(t, "marks")
	marks := make([]Point, n)
	for i := range marks {
		marks[i] = Point{120 * float64(i), rapid.Float64Range(-30, 30).Draw(t, "y")}
	}
	return Smooth(marks, nil, nil)
}

func TestOffsetProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const tol = 0.01
		p := drawEdge(t)
		d := rapid.SampledFrom([]float64{10, -10, 25, -25, 0.5}).Draw(t, "d")
		out := p.Offset(d, tol)
		connected(t, out)
		for _, q := range out.Flatten(tol / 10) {
			if _, far := p.Nearest(q); math.Abs(far-math.Abs(d)) > 1.2*tol {
				t.Fatalf("the parallel at %g runs at %g", d, far)
			}
		}
		nearPoint(t, "it starts square to the start", out.Start(), p.Start().Add(p.StartTangent().Left().Mul(d)), 1e-6)
		nearPoint(t, "it ends square to the end", out.End(), p.End().Add(p.EndTangent().Left().Mul(d)), 1e-6)
		back := out.Offset(-d, tol)
		for _, q := range back.Flatten(tol / 10) {
			if _, far := p.Nearest(q); far > 2.5*tol {
				t.Fatalf("there and back it is %g off", far)
			}
		}
	})
}

func BenchmarkOffset(b *testing.B) {
	p := armholeLike()
	b.ReportAllocs()
	for b.Loop() {
		p.Offset(12.7, 0.01)
	}
}

// Whatever the path, the parallel comes back in good time, in one piece and without a panic; and nowhere does it run farther
// from the path than the longest mitre.
func TestOffsetWild(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := coarse(drawPath(t))
		if rapid.Bool().Draw(t, "closed") {
			p = append(p, Line(p.End(), p.Start()))
		}
		d := rapid.SampledFrom([]float64{10, -10, 300, -1}).Draw(t, "d")
		out := p.Offset(d, 0.05)
		connected(t, out)
		for _, q := range out.Flatten(1) {
			if _, far := p.Nearest(q); far > 4*math.Abs(d)+0.1 {
				t.Fatalf("the parallel at %g runs at %g: %s", d, far, row(p))
			}
		}
	})
}
