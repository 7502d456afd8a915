package curve

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

func TestPolygonByHand(t *testing.T) {
	l := []Point{{0, 0}, {20, 0}, {20, 10}, {10, 10}, {10, 30}, {0, 30}} // an L of 20·10 and 10·20, clockwise
	near1(t, "area", PolygonArea(l), 400, 0)
	nearPoint(t, "centroid", PolygonCentroid(l), Point{(10*200 + 5*200) / 400., (5*200 + 20*200) / 400.}, 1e-12)
	nearPoint(t, "centroid of a line is its middle", PolygonCentroid([]Point{{0, 0}, {4, 0}}), Point{2, 0}, 0)
	for _, r := range []struct {
		q    Point
		want bool
	}{
		{Point{5, 5}, true}, {Point{15, 20}, false}, {Point{10, 10}, true}, {Point{20, 5}, true}, {Point{0, 30}, true},
		{Point{10, 20}, true}, {Point{10.000001, 20}, false}, {Point{-1, 0}, false}, {Point{-1, 30}, false}, {Point{25, 10}, false},
		{Point{15, 10}, true}, {Point{12, 0}, true}, {Point{-5, 10}, false},
	} {
		if Contains(l, r.q) != r.want {
			t.Errorf("Contains %v: not %v", r.q, r.want)
		}
	}
	for _, r := range []struct {
		y, x0, x1 float64
		ok        bool
	}{{5, 0, 20, true}, {20, 0, 10, true}, {10, 0, 20, true}, {30, 0, 10, true}, {31, 0, 0, false}} {
		if x0, x1, ok := WidthAt(l, r.y); x0 != r.x0 || x1 != r.x1 || ok != r.ok {
			t.Errorf("WidthAt %g: %g %g %v", r.y, x0, x1, ok)
		}
	}
	if Contains(nil, Point{}) || PolygonArea(nil) != 0 {
		t.Error("nothing encloses nothing")
	}
}

func TestCrossing(t *testing.T) {
	for _, r := range []struct {
		name string
		pts  []Point
		i, j int
		ok   bool
	}{
		{"square", []Point{{0, 0}, {1, 0}, {1, 1}, {0, 1}}, 0, 0, false},
		{"bow tie", []Point{{0, 0}, {2, 2}, {2, 0}, {0, 2}}, 0, 2, true},
		{"corner on an edge", []Point{{0, 0}, {4, 0}, {4, 4}, {2, 0}, {0, 4}}, 0, 2, true},
		{"edge along an edge", []Point{{0, 0}, {9, 0}, {9, 5}, {6, 5}, {6, 0}, {3, 0}, {3, 5}, {0, 5}}, 0, 3, true},
		{"corner on a corner", []Point{{0, 0}, {2, 2}, {4, 0}, {4, 4}, {2, 2}, {0, 4}}, 0, 3, true},
		{"spike", []Point{{0, 0}, {4, 0}, {8, 0}, {4, 0}, {4, 4}}, 0, 2, true},
		{"fold at the seam of the list", []Point{{0, 0}, {0, 5}, {5, 5}, {0, 0}, {4, 0}, {2, 0}}, 0, 0, true},
		{"a point twice", []Point{{0, 0}, {1, 0}, {1, 0}, {1, 1}, {0, 1}, {0, 0}}, 0, 0, false},
	} {
		i, j, ok := Crossing(r.pts)
		if ok != r.ok || ok && r.j > 0 && (i != r.i || j != r.j) {
			t.Errorf("%s: got %d %d %v", r.name, i, j, ok)
		}
		if Simple(r.pts) == r.ok {
			t.Errorf("%s: Simple disagrees", r.name)
		}
	}
	if Simple([]Point{{0, 0}, {1, 1}}) || Simple([]Point{{0, 0}, {1, 1}, {2, 2}}) {
		t.Error("a line is no polygon")
	}
	// The sweep against every pair.
	r := rand.New(rand.NewPCG(1, 2))
	for range 500 {
		n := 3 + r.IntN(12)
		pts := make([]Point, n)
		for k := range pts {
			pts[k] = Point{float64(r.IntN(12)), float64(r.IntN(12))}
		}
		e := edgesOf(pts)
		wi, wj, wok := 0, 0, false
	pairs:
		for a := range e {
			for b := a + 1; b < len(e); b++ {
				if e[a].clash(&e[b], b == a+1, a == 0 && b == len(e)-1) {
					wi, wj, wok = e[a].i, e[b].i, true
					break pairs
				}
			}
		}
		if i, j, ok := Crossing(pts); i != wi || j != wj || ok != wok {
			t.Fatalf("%v: sweep %d %d %v, all pairs %d %d %v", pts, i, j, ok, wi, wj, wok)
		}
	}
}

// The classic trap: points a few bits off a diagonal (L. Kettner and others, Classroom examples of robustness problems in
// geometric computations, 2008), against big rationals.
func TestOrientExact(t *testing.T) {
	b, c := Point{12, 12}, Point{24, 24}
	for i := range 64 {
		for j := range 64 {
			a := Point{0.5 + float64(i)*0x1p-53, 0.5 + float64(j)*0x1p-53}
			// Seen from b to c, down to the right on the page, a lies to the right when it is below the diagonal: y > x.
			want := sign(a.Y - a.X)
			if got := Orient(a, b, c); got != want {
				t.Fatalf("a = %v + (%d, %d) ulps: got %d want %d", Point{0.5, 0.5}, i, j, got, want)
			}
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.Float64()
		var v [6]float64
		for i := range v {
			v[i] = f.Draw(t, "v")
		}
		a, b, c := Point{v[0], v[1]}, Point{v[2], v[3]}, Point{v[4], v[5]}
		var x [6]*big.Rat
		for i := range v {
			x[i] = new(big.Rat).SetFloat64(v[i])
		}
		mul := func(i, j int) *big.Rat { return new(big.Rat).Mul(x[i], x[j]) }
		sum := new(big.Rat).Sub(mul(0, 3), mul(1, 2)) // a×b + b×c + c×a
		sum.Add(sum, new(big.Rat).Sub(mul(2, 5), mul(3, 4)))
		sum.Add(sum, new(big.Rat).Sub(mul(4, 1), mul(5, 0)))
		if got := Orient(a, b, c); got != sum.Sign() {
			t.Fatalf("got %d want %d", got, sum.Sign())
		}
		if Orient(b, a, c) != -Orient(a, b, c) || Orient(b, c, a) != Orient(a, b, c) {
			t.Fatal("exchange must change the sign, rotation must not")
		}
	})
	if Orient(Point{math.NaN(), 0}, b, c) != 0 {
		t.Error("a point that is none has no side")
	}
}

func TestContainsAgreesWithWinding(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	for range 40 {
		pts := outline(r).Flatten(0.5)
		pts = pts[:len(pts)-1]
		if !Simple(pts) {
			continue
		}
		for range 50 {
			q := Point{600 * r.Float64(), 800 * r.Float64()}
			total := 0.0 // the angle under which the outline is seen goes round once from inside, not at all from outside
			for i := range pts {
				total += turn(pts[(i+1)%len(pts)].Sub(q).Angle() - pts[i].Sub(q).Angle())
			}
			if Contains(pts, q) != (math.Abs(total) > math.Pi) {
				t.Fatalf("%v: the winding says otherwise", q)
			}
		}
	}
}

func TestSimplifyWithin(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 9))
	for range 60 {
		pts := outline(r).Flatten(0.01)
		pts = pts[:len(pts)-1]
		simple := Simple(pts)
		for _, tol := range []float64{0.05, 1, 25} {
			out := SimplifyWithin(pts, tol)
			if simple && !Simple(out) {
				t.Errorf("no longer simple at %g", tol)
			}
			if out[0] != pts[0] {
				t.Error("the first point must stay")
			}
			if tol == 1 && len(out) > len(pts)/2 {
				t.Errorf("%d of %d points kept at 1 mm", len(out), len(pts))
			}
			edges := Polyline(append(append([]Point(nil), out...), out[0])...)
			for _, p := range pts {
				if _, d := edges.Nearest(p); d > tol+1e-9 {
					t.Fatalf("a point is %g off, allowed %g", d, tol)
				}
			}
		}
	}
}

func BenchmarkCrossing2000(b *testing.B) {
	pts := make([]Point, 2000)
	for i := range pts {
		a := 2 * math.Pi * float64(i) / 2000
		pts[i] = unitAt(a).Mul(300 + 40*math.Sin(9*a))
	}
	if !Simple(pts) {
		b.Fatal("not simple")
	}
	b.ReportAllocs()
	for b.Loop() {
		Crossing(pts)
	}
}

func BenchmarkContains2000(b *testing.B) {
	pts := circle(Point{0, 0}, 300).Flatten(0.0001)
	b.ReportAllocs()
	for b.Loop() {
		Contains(pts, Point{10, 20})
	}
}

func BenchmarkOrientInARow(b *testing.B) {
	for b.Loop() {
		Orient(Point{0.1, 0.1}, Point{0.7, 0.7}, Point{1.3, 1.3})
	}
}
