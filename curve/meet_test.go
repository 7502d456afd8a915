package curve

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// Rows: two paths, and the meetings as S T; by hand.
func TestMeetRows(t *testing.T) {
	for _, r := range []struct{ name, p, q, want string }{
		{"a cross", "M0 0L10 0", "M5 -5L5 5", "5 5;"},
		{"apart", "M0 0L10 0", "M0 1L10 1", ""},
		{"beyond the end", "M0 0L10 0", "M11 -5L11 5", ""},
		{"end on the middle", "M0 0L10 0", "M4 0L4 5", "4 0;"},
		{"shared end", "M0 0L10 0", "M10 0L20 5", "10 0;"},
		{"a corner touched", "M0 5L5 0L10 5", "M0 0L10 0", "7.071 5;"},
		{"both corners at once", "M0 5L5 0L10 5", "M0 -5L5 0L10 -5", "7.071 7.071;"},
		{"along each other", "M0 0L10 0", "M4 0L20 0", "4 0;10 6;"},
		{"the same line", "M0 0L10 0", "M0 0L10 0", "0 0;10 10;"},
		{"the same line back", "M0 0L10 0", "M10 0L0 0", "0 10;10 0;"},
		{"point on a line", "M5 0L5 0", "M0 0L10 0", "0 5;"},
	} {
		got := ""
		for _, m := range path(t, r.p).Meet(path(t, r.q)) {
			got += short(m.S) + " " + short(m.T) + ";"
		}
		if got != r.want {
			t.Errorf("%s: got %s want %s", r.name, got, r.want)
		}
	}
}

func places(m []Meeting) string {
	s := ""
	for _, x := range m {
		s += x.At.String()
	}
	return s
}

func TestMeetCurves(t *testing.T) {
	for _, r := range []struct{ name, p, q, want string }{
		// The arch is (9t²-6t³, 12t(1-t)): at height 2.25 t is 1/4 and 3/4, x = 15/32 and 81/32.
		{"line through an arch twice", "M0 0C0 4 3 4 3 0", "M-1 2.25L4 2.25", "(0.469, 2.25)(2.531, 2.25)"},
		{"line touching an arch", "M0 0C0 4 3 4 3 0", "M-1 3L4 3", "(1.5, 3)"},
		{"arch touching an arch", "M0 0C0 4 3 4 3 0", "M0 6C0 2 3 2 3 6", "(1.5, 3)"},
		{"arches crossing", "M0 0C0 4 3 4 3 0", "M0 4.5C0 0.5 3 0.5 3 4.5", "(0.469, 2.25)(2.531, 2.25)"},
		{"the same curve", "M0 0C0 4 3 4 3 0", "M0 0C0 4 3 4 3 0", "(0, 0)(3, 0)"},
		{"the same curve back", "M0 0C0 4 3 4 3 0", "M3 0C3 4 0 4 0 0", "(0, 0)(3, 0)"},
		{"half of the curve", "M0 0C0 4 3 4 3 0", "M0 0C0 2 0.75 3 1.5 3", "(0, 0)(1.5, 3)"},
		{"shared end, one direction", "M0 0C0 4 3 4 3 0", "M3 0C3 -4 6 -4 6 0", "(3, 0)"},
	} {
		if got := places(path(t, r.p).Meet(path(t, r.q))); got != r.want {
			t.Errorf("%s: got %s want %s", r.name, got, r.want)
		}
	}
	// Two cubics can cross nine times (Bézout). y = T₃(x) and x = T₃(y) do, T₃ being the Chebyshev polynomial 4x³-3x, since
	// T₃(T₃(x)) = T₉(x) takes every value, so also x, nine times in [-1, 1].
	wave := Cubic(Point{-1, -1}, Point{-1. / 3, 5}, Point{1. / 3, -5}, Point{1, 1})
	if n := len((Path{wave}).Meet(Path{wave.Transform(Affine{XY: 1, YX: 1})})); n != 9 {
		t.Errorf("nine crossings, found %d", n)
	}
	// Circles of radius 5 with centres 8 apart meet at x = 4, y = ±3: the 3-4-5 triangle, within the 0.027 % of a cubic.
	a, b := circle(Point{0, 0}, 5), circle(Point{8, 0}, 5)
	m := a.Meet(b)
	if len(m) != 2 {
		t.Fatalf("circles meet %d times", len(m))
	}
	for _, x := range m {
		nearPoint(t, "circles", Point{x.At.X, math.Abs(x.At.Y)}, Point{4, 3}, 0.003)
	}
	// Side by side at 10 they touch once, where two quarters of each join.
	if m := a.Meet(circle(Point{10, 0}, 5)); len(m) != 1 || m[0].At.Dist(Point{5, 0}) > 1e-9 {
		t.Errorf("touching circles: %v", m)
	}
}

// However wild the curves, what is found lies on both, and no plain crossing is missed.
func TestMeetWild(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, q := coarse(drawPath(t)), coarse(drawPath(t))
		m := p.Meet(q)
		for _, x := range m {
			nearPoint(t, "on the first", p.PointAt(x.S), x.At, 1e-3)
			nearPoint(t, "on the second", q.PointAt(x.T), x.At, 1e-3)
		}
		if want := plainCrossings(p, q); want > len(m) {
			t.Fatalf("the chords cross plainly %d times, found %d:\n%s\n%s", want, len(m), row(p), row(q))
		}
	})
}

// Outlines like those of pattern pieces meet alike whichever is asked, and as closed curves an even number of times.
func TestMeetOutlines(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	for range 300 {
		p, q := outline(r), outline(r).Move(Point{100, 30})
		m, n := p.Meet(q), q.Meet(p)
		if len(m) != len(n) || len(m)%2 != 0 {
			t.Errorf("%d meetings one way, %d the other:\n%s\n%s", len(m), len(n), row(p), row(q))
		}
		for i := range m {
			nearPoint(t, "on the first", p.PointAt(m[i].S), m[i].At, 1e-6)
			nearPoint(t, "on the second", q.PointAt(m[i].T), m[i].At, 1e-6)
		}
		if want := plainCrossings(p, q); want > len(m) {
			t.Errorf("the chords cross plainly %d times, found %d", want, len(m))
		}
	}
}

// coarse puts every point on a grid of an eighth of a millimetre, so that two are either the same or far apart against Snap.
func coarse(p Path) Path {
	for i := range p {
		for k, c := range p[i].c {
			p[i].c[k] = Point{math.Round(8*c.X) / 8, math.Round(8*c.Y) / 8}
		}
		if p[i].line {
			p[i] = Line(p[i].c[0], p[i].c[3])
		}
	}
	return p
}

// plainCrossings counts the crossings of the flattened paths that are steep and away from any end, so that the curves must
// cross there too; no two within 5 mm are counted.
func plainCrossings(p, q Path) int {
	a, b := Polyline(p.Flatten(0.05)...), Polyline(q.Flatten(0.05)...)
	var at []Point
	for _, s := range a {
		for _, r := range b {
			u, v := s.Tangent(0), r.Tangent(0)
			if math.Abs(u.Cross(v)) < 0.3 {
				continue
			}
			for _, m := range s.meet(r) {
				o := s.At(m.s)
				clear := true
				for _, e := range at {
					clear = clear && e.Dist(o) > 5
				}
				for _, seg := range append(append(Path{}, p...), q...) {
					clear = clear && seg.Start().Dist(o) > 5 && seg.End().Dist(o) > 5
				}
				if clear {
					at = append(at, o)
				}
			}
		}
	}
	return len(at)
}

func ExamplePath_Meet() {
	hem := Polyline(Point{0, 600}, Point{300, 600})
	side := Path{Cubic(Point{250, 0}, Point{200, 200}, Point{220, 400}, Point{240, 700})}
	for _, m := range side.Meet(hem) {
		fmt.Printf("%.2f mm down the side, %.2f mm along the hem\n", m.S, m.T)
	}
	// Output: 602.85 mm down the side, 233.18 mm along the hem
}

func BenchmarkMeetCubics(b *testing.B) {
	p, q := Path{gentle}, Path{Cubic(Point{0, 100}, Point{40, 80}, Point{80, 60}, Point{100, 0})}
	b.ReportAllocs()
	for b.Loop() {
		p.Meet(q)
	}
}

func BenchmarkMeetLine(b *testing.B) {
	p, q := armholeLike(), Polyline(Point{-50, 300}, Point{400, 310})
	b.ReportAllocs()
	for b.Loop() {
		p.Meet(q)
	}
}
