package curve

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"
)

// meetsExactly cuts the line down by the box's four sides one after the other (Liang and Barsky, "A new concept and method for line
// clipping", 1984) in fractions, so that nothing is rounded.
func meetsExactly(r Rect, a, b Point) bool {
	rat := func(v float64) *big.Rat { return new(big.Rat).SetFloat64(v) }
	minus := func(x, y float64) *big.Rat { return new(big.Rat).Sub(rat(x), rat(y)) }
	t0, t1 := rat(0), rat(1)
	for _, e := range [4][2]*big.Rat{
		{minus(a.X, b.X), minus(a.X, r.Min.X)}, {minus(b.X, a.X), minus(r.Max.X, a.X)},
		{minus(a.Y, b.Y), minus(a.Y, r.Min.Y)}, {minus(b.Y, a.Y), minus(r.Max.Y, a.Y)},
	} {
		switch p, q := e[0], e[1]; p.Sign() {
		case 0:
			if q.Sign() < 0 {
				return false
			}
		case -1:
			if v := new(big.Rat).Quo(q, p); v.Cmp(t0) > 0 {
				t0 = v
			}
		case 1:
			if v := new(big.Rat).Quo(q, p); v.Cmp(t1) < 0 {
				t1 = v
			}
		}
	}
	return t0.Cmp(t1) <= 0
}

func TestMeets(t *testing.T) {
	box := Rect{Point{1, 1}, Point{4, 3}}
	// From geometry: a line may pass a corner at any distance however small, touch it, or run along a side.
	for _, k := range []struct {
		what string
		a, b Point
		want bool
	}{
		{"through", Point{0, 0}, Point{5, 4}, true},
		{"within", Point{2, 2}, Point{3, 2.5}, true},
		{"a point within", Point{2, 2}, Point{2, 2}, true},
		{"a point without", Point{0, 2}, Point{0, 2}, false},
		{"along a side", Point{0, 1}, Point{9, 1}, true},
		{"past the end of a side", Point{5, 1}, Point{9, 1}, false},
		{"touching a corner", Point{0, 2}, Point{2, 0}, true},
		{"past a corner", Point{0, math.Nextafter(2, 0)}, Point{2, 0}, false},
		{"cutting a corner", Point{0, math.Nextafter(2, 3)}, Point{2, 0}, true},
		{"boxes share ground, the line does not", Point{0, 2.5}, Point{2.9, 6}, false},
		{"ending on a side", Point{2, 0}, Point{2.5, 1}, true},
	} {
		if got := box.Meets(k.a, k.b); got != k.want {
			t.Errorf("%s: %t", k.what, got)
		}
		if got := box.Meets(k.b, k.a); got != k.want {
			t.Errorf("%s, the other way: %t", k.what, got)
		}
	}
	if EmptyRect().Meets(Point{-1, 0}, Point{1, 0}) || (Rect{Point{1, 1}, Point{0, 0}}).Meets(Point{-1, 0}, Point{2, 1}) {
		t.Error("an empty box is met")
	}
}

// Every line between whole numbers near a box, and lines whose ends are a rounding away from a corner, against fractions.
func TestMeetsExactly(t *testing.T) {
	box := Rect{Point{1, 1}, Point{4, 3}}
	try := func(a, b Point) {
		if got, want := box.Meets(a, b), meetsExactly(box, a, b); got != want {
			t.Fatalf("%v to %v: %t; want %t", a, b, got, want)
		}
	}
	for n := range 7 * 6 * 7 * 6 {
		try(Point{float64(n % 7), float64(n / 7 % 6)}, Point{float64(n / 42 % 7), float64(n / 294)})
	}
	rnd := rand.New(rand.NewPCG(1, 2))
	for range 20000 {
		corner := Point{[2]float64{1, 4}[rnd.IntN(2)], [2]float64{1, 3}[rnd.IntN(2)]}
		d := Point{rnd.Float64() - 0.5, rnd.Float64() - 0.5}
		a, b := corner.Add(d.Mul(3)), corner.Sub(d.Mul(5*rnd.Float64()))
		for range rnd.IntN(3) {
			a.X = math.Nextafter(a.X, 9*(rnd.Float64()-0.5))
			b.Y = math.Nextafter(b.Y, 9*(rnd.Float64()-0.5))
		}
		try(a, b)
	}
}

func TestCommon(t *testing.T) {
	a := Rect{Point{0, 0}, Point{4, 3}}
	for _, k := range []struct{ b, want Rect }{
		{Rect{Point{1, 1}, Point{9, 2}}, Rect{Point{1, 1}, Point{4, 2}}},
		{Rect{Point{4, 0}, Point{9, 9}}, Rect{Point{4, 0}, Point{4, 3}}}, // a side
		{a, a},
	} {
		if got := a.Common(k.b); got != k.want || k.b.Common(a) != k.want {
			t.Errorf("%v and %v share %v; want %v", a, k.b, got, k.want)
		}
	}
	if !a.Common(Rect{Point{5, 0}, Point{9, 9}}).Empty() || !a.Common(EmptyRect()).Empty() {
		t.Error("boxes apart share ground")
	}
}

func BenchmarkMeets(b *testing.B) {
	box := Rect{Point{1, 1}, Point{4, 3}}
	for b.Loop() {
		box.Meets(Point{0, 2.1}, Point{2.3, 0})
	}
}
