package curve

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Rows: a path, what is done to it, the path that comes out; all by hand.
func TestPathRows(t *testing.T) {
	for _, r := range []struct {
		name, in string
		do       func(Path) Path
		want     string
	}{
		{"as it is", "M0 0L10 0C20 0 20 10 10 10Z", func(p Path) Path { return p }, "M0 0L10 0C20 0 20 10 10 10Z"},
		{"reverse", "M0 0L10 0C20 0 20 10 10 10", Path.Reverse, "M10 10C20 10 20 0 10 0L0 0"},
		{"move", "M0 0L10 0", func(p Path) Path { return p.Move(Point{1, 2}) }, "M1 2L11 2"},
		{"mirror across", "M0 0C1 0 2 1 3 5", func(p Path) Path { return p.MirrorX(10) }, "M20 0C19 0 18 1 17 5"},
		{"mirror in the level line at 5", "M0 0L10 2", func(p Path) Path { return p.Mirror(Point{3, 5}, Point{-7, 0}) }, "M0 10L10 8"},
		{"turn clockwise", "M0 0L10 0", func(p Path) Path { return p.Turn(math.Pi/2, Point{10, 0}) }, "M10 -10L10 0"},
		{"sub", "M0 0L10 0L10 10", func(p Path) Path { return p.Sub(4, 13) }, "M4 0L10 0L10 3"},
		{"sub on a joint has no scrap", "M0 0L10 0L10 10", func(p Path) Path { return p.Sub(10, 99) }, "M10 0L10 10"},
		{"sub of nothing", "M0 0L10 0", func(p Path) Path { return p.Sub(5, 5) }, ""},
		{"longer at the start", "M3 4L6 8L9 9", func(p Path) Path { return p.ExtendStart(5) }, "M0 0L6 8L9 9"},
		{"longer at the end", "M0 0L3 4", func(p Path) Path { return p.ExtendEnd(5) }, "M0 0L6 8"},
		{"longer at the end of a curve", "M0 0C0 10 0 10 10 10", func(p Path) Path { return p.ExtendEnd(5) }, "M0 0C0 10 0 10 10 10L15 10"},
		{"split a cubic in half", "M0 0C0 8 8 8 8 0", func(p Path) Path { a, _ := p[0].Split(0.5); return Path{a} }, "M0 0C0 4 2 6 4 6"},
	} {
		got := r.do(path(t, r.in))
		connected(t, got)
		if row(got) != r.want {
			t.Errorf("%s: got %s, want %s", r.name, row(got), r.want)
		}
	}
}

func TestJoin(t *testing.T) {
	p, err := Join(path(t, "M0 0L10 0"), nil, path(t, "M10.0000005 0C11 0 12 1 12 2"))
	if err != nil || row(p) != "M0 0L10 0C11 0 12 1 12 2" {
		t.Errorf("got %s, %v", row(p), err)
	}
	connected(t, p)
	_, err = Join(path(t, "M0 0L10 0"), path(t, "M10 0.5L10 5"))
	if err == nil || !strings.Contains(err.Error(), "0.5 mm") {
		t.Errorf("a gap must be named, got %v", err)
	}
}

func TestTangents(t *testing.T) {
	for _, r := range []struct {
		name, in    string
		leave, come Point
	}{
		{"line", "M0 0L5 0", Point{1, 0}, Point{1, 0}},
		{"handle of no length at the start", "M0 0C0 0 0 5 5 5", Point{0, 1}, Point{1, 0}},
		{"handle of no length at the end", "M0 0C3 0 5 5 5 5", Point{1, 0}, Point{2, 5}.Unit()},
		{"both", "M0 0C0 0 3 4 3 4", Point{0.6, 0.8}, Point{0.6, 0.8}},
		{"begins with a segment of no length", "M0 0L0 0L0 5", Point{0, 1}, Point{0, 1}},
		{"only a point", "M1 1L1 1", Point{}, Point{}},
	} {
		p := path(t, r.in)
		nearPoint(t, r.name+", leaving", p.StartTangent(), r.leave, 1e-12)
		nearPoint(t, r.name+", arriving", p.EndTangent(), r.come, 1e-12)
	}
	corner := path(t, "M0 0L10 0L10 10")
	nearPoint(t, "at a corner it goes on", corner.TangentAt(10), Point{0, 1}, 0)
}

func TestBounds(t *testing.T) {
	// A cubic whose handles reach to 4/3 reaches to 1: 3·(1/4)·(4/3) at its middle.
	s := path(t, "M0 0C0 4 3 4 3 0")
	if b := s.Bounds(); b != (Rect{Point{0, 0}, Point{3, 3}}) {
		t.Errorf("bounds %v", b)
	}
	rapid.Check(t, func(t *rapid.T) {
		p := drawPath(t)
		b := p.Bounds().Pad(1e-9)
		tight := EmptyRect()
		for _, s := range p {
			for i := range 200 {
				q := s.At(float64(i) / 199)
				if !b.Contains(q) {
					t.Fatalf("%v lies outside %v", q, b)
				}
				tight = tight.AddPoint(q)
			}
		}
		if slack := math.Max(b.W()-tight.W(), b.H()-tight.H()); slack > 0.01*(b.W()+b.H()) {
			t.Fatalf("bounds are %g too wide", slack)
		}
	})
}

func TestCutProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPath(t)
		total := p.Length()
		s := total * rapid.Float64Range(0, 1).Draw(t, "s")
		a, b := p.Split(s)
		connected(t, a)
		connected(t, b)
		near1(t, "cut in two", a.Length(), s, 1e-6)
		near1(t, "nothing lost", a.Length()+b.Length(), total, 1e-8*total)
		if len(a) > 0 && len(b) > 0 && a.End() != b.Start() {
			t.Fatalf("the parts do not share the cut: %v %v", a.End(), b.Start())
		}
		nearPoint(t, "PointAt is where it was cut", p.PointAt(a.Length()), a.and(b).PointAt(a.Length()), 1e-6)
		near1(t, "Sub", p.Sub(s/2, s).Length(), s/2, 1e-6)
		near1(t, "area turns with the travel", Area(p.Reverse()), -Area(p), 1e-6)
	})
}

// and is Join without its check, for tests.
func (p Path) and(q Path) Path { return append(append(Path(nil), p...), q...) }

// The promise of Flatten, both ways: every point of the path is within tol of the chords, and every chord of the path.
func TestFlattenError(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPath(t)
		tol := rapid.SampledFrom([]float64{5, 0.5, 0.05}).Draw(t, "tol")
		pts := p.Flatten(tol)
		if pts[0] != p.Start() || pts[len(pts)-1] != p.End() {
			t.Fatal("both ends must be there")
		}
		chords := Polyline(pts...)
		for _, s := range p {
			for i := range 150 {
				if _, d := chords.Nearest(s.At(float64(i) / 149)); d > tol*1.000001 {
					t.Fatalf("the chords miss the path by %g, allowed %g", d, tol)
				}
			}
		}
		for _, c := range chords[:min(len(chords), 100)] {
			if _, d := p.Nearest(c.At(0.5)); d > tol*1.000001 {
				t.Fatalf("the path misses a chord by %g, allowed %g", d, tol)
			}
		}
	})
}

func TestNearest(t *testing.T) {
	// The nearest point of y = x² (y up or down alike) to (0, 1): x² = 1/2, distance √3/2 (a textbook exercise).
	p := Path{quadraticSeg(Point{-2, 4}, Point{0, -4}, Point{2, 4})}
	s, d := p.Nearest(Point{0, 1})
	near1(t, "distance", d, math.Sqrt(3)/2, 1e-12)
	nearPoint(t, "the first of the two", p.PointAt(s), Point{-math.Sqrt(0.5), 0.5}, 1e-7)
	if _, d := Path(nil).Nearest(Point{}); !math.IsInf(d, 1) {
		t.Error("nothing is near an empty path")
	}
	rapid.Check(t, func(t *rapid.T) {
		p, q := drawPath(t), drawPoint(t, "q")
		s, d := p.Nearest(q)
		near1(t, "distance at the length found", p.PointAt(s).Dist(q), d, 1e-4)
		for _, seg := range p {
			for i := range 150 {
				if o := seg.At(float64(i) / 149).Dist(q); o < d-1e-9 {
					t.Fatalf("found %g away, but there is one %g away", d, o)
				}
			}
		}
	})
}

func BenchmarkFlatten(b *testing.B) {
	p := armholeLike()
	b.ReportAllocs()
	for b.Loop() {
		p.Flatten(0.05)
	}
}

func BenchmarkNearest(b *testing.B) {
	p := armholeLike()
	b.ReportAllocs()
	for b.Loop() {
		_, sink = p.Nearest(Point{120, 90})
	}
}

// armholeLike is five segments, about as long and as bent as the edges of a front.
func armholeLike() Path {
	return Path{
		Line(Point{0, 0}, Point{150, 40}),
		Cubic(Point{150, 40}, Point{140, 120}, Point{130, 200}, Point{230, 230}),
		Line(Point{230, 230}, Point{235, 600}),
		Cubic(Point{235, 600}, Point{160, 610}, Point{80, 600}, Point{0, 605}),
		Cubic(Point{0, 605}, Point{-5, 400}, Point{5, 200}, Point{0, 0}),
	}
}
