package curve

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// The curve through five marks that J. D. Hobby's own manual prints (A User's Manual for MetaPost, section 4, with the
// controls that the program chose, to one decimal).
func TestSmoothAsPublished(t *testing.T) {
	got := Smooth([]Point{{0, 0}, {60, 40}, {40, 90}, {10, 70}, {30, 50}}, nil, nil)
	want := path(t, `M0 0C26.8 -1.8 51.4 14.6 60 40C67.1 61.0 59.8 84.6 40 90C25.4 94.0 10.5 84.5 10 70C9.6 58.8 18.8 49.6 30 50`)
	if len(got) != len(want) {
		t.Fatalf("got %s", row(got))
	}
	for i := range got {
		for k := range got[i].c {
			g, w := got[i].c[k], want[i].c[k]
			if math.Abs(g.X-w.X) > 0.0501 || math.Abs(g.Y-w.Y) > 0.0501 {
				t.Errorf("arc %d control %d: got %v want %v", i, k, g, w)
			}
		}
	}
}

// A quarter circle asked for by its end directions: Hobby's formula makes it within about 0.03 % of the radius, and with
// handles of 4/3·(√2-1) exactly (J. D. Hobby 1986, where ρ(π/4, π/4) is chosen so).
func TestSmoothCircle(t *testing.T) {
	right, down := Point{1, 0}, Point{0, 1}
	p := Smooth([]Point{{0, 0}, {100, 100}}, &right, &down)
	near1(t, "handle", p[0].c[0].Dist(p[0].c[1]), 100*Kappa, 0.01)
	for i := range 101 {
		near1(t, "radius", p[0].At(float64(i)/100).Dist(Point{0, 100}), 100, 0.03)
	}
}

func TestSmoothCases(t *testing.T) {
	down := Point{0, 2}
	for _, r := range []struct {
		name  string
		knots []Knot
		want  string
	}{
		{"no marks", nil, ""},
		{"one mark", []Knot{{At: Point{1, 1}}}, ""},
		{"two free marks are a straight line", []Knot{{At: Point{0, 0}}, {At: Point{9, 3}}}, "M0 0L9 3"},
		{"a mark given twice counts once", []Knot{{At: Point{0, 0}}, {At: Point{0, 0}}, {At: Point{9, 3}}}, "M0 0L9 3"},
		{"marks in a row stay in a row", []Knot{{At: Point{0, 0}}, {At: Point{3, 0}}, {At: Point{9, 0}}}, "M0 0C1 0 2 0 3 0C5 0 7 0 9 0"},
		{"a direction along the chord", []Knot{{At: Point{0, 0}, Dir: &down}, {At: Point{0, 9}}}, "M0 0C0 3 0 6 0 9"},
	} {
		if got := row(SmoothThrough(r.knots)); got != r.want {
			t.Errorf("%s: got %s want %s", r.name, got, r.want)
		}
	}
}

func TestSmoothProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 7).Draw(t, "marks")
		k := make([]Knot, n)
		for i := range k {
			k[i].At = Point{200 * float64(i), rapid.Float64Range(-200, 200).Draw(t, "y")}
			if rapid.IntRange(0, 2).Draw(t, "fixed") == 0 {
				d := unitAt(rapid.Float64Range(-1.2, 1.2).Draw(t, "dir"))
				k[i].Dir = &d
			}
		}
		p := SmoothThrough(k)
		connected(t, p)
		if len(p) != n-1 {
			t.Fatalf("%d arcs through %d marks", len(p), n)
		}
		for i := range p {
			if p[i].Start() != k[i].At || p[i].End() != k[i+1].At {
				t.Fatal("the curve must pass exactly through its marks")
			}
			if i > 0 {
				nearPoint(t, "direction at a mark", p[i-1].Tangent(1), p[i].Tangent(0), 1e-9)
			}
			if k[i].Dir != nil {
				nearPoint(t, "given direction", p[i].Tangent(0), *k[i].Dir, 1e-9)
			}
		}
		// Moved, turned, mirrored or travelled back, the marks give the same curve moved, turned, mirrored or travelled back.
		m := RotateAbout(1, Point{7, 5}).Then(MirrorX(30)).Then(Scale(2, 2))
		image, back := make([]Knot, n), make([]Knot, n)
		for i := range k {
			image[i].At, back[n-1-i].At = m.Apply(k[i].At), k[i].At
			if k[i].Dir != nil {
				d := m.Apply(*k[i].Dir).Sub(m.Apply(Point{}))
				image[i].Dir = &d
				b := k[i].Dir.Mul(-1)
				back[n-1-i].Dir = &b
			}
		}
		q, r := SmoothThrough(image), SmoothThrough(back).Reverse()
		for i := range p {
			for c := range p[i].c {
				nearPoint(t, "image", q[i].c[c], m.Apply(p[i].c[c]), 1e-6)
				nearPoint(t, "back", r[i].c[c], p[i].c[c], 1e-6)
			}
		}
	})
}

func BenchmarkSmooth(b *testing.B) {
	marks := []Point{{0, 0}, {60, 40}, {40, 90}, {10, 70}, {30, 50}}
	b.ReportAllocs()
	for b.Loop() {
		Smooth(marks, nil, nil)
	}
}
