package root

import (
	"math"
	"testing"
)

func TestBrent(t *testing.T) {
	for _, r := range []struct {
		name   string
		f      func(float64) float64
		lo, hi float64
		want   float64
		most   int // calls
	}{
		{"square root of two", func(x float64) float64 { return x*x - 2 }, 0, 2, math.Sqrt2, 14},
		// Kepler's equation M = E - e·sin E for e = 0.5 gives E = 2 at M = 2 - 0.5·sin 2.
		{"Kepler", func(x float64) float64 { return x - 0.5*math.Sin(x) - (2 - 0.5*math.Sin(2)) }, 0, 4, 2, 14},
		// The fixed point of the cosine, 0.7390851332151607 (OEIS A003957).
		{"cosine", func(x float64) float64 { return math.Cos(x) - x }, 0, 1, 0.7390851332151607, 12},
		{"ends the other way round", func(x float64) float64 { return x*x*x - 8 }, 5, 0, 2, 20},
		{"a step", func(x float64) float64 { return math.Copysign(1, x-0.3) }, 0, 1, 0.3, 130},
		{"a ninefold root, which is flat", func(x float64) float64 { return math.Pow(x-0.1, 9) }, -1, 1, 0.1, 400},
		{"root at an end", func(x float64) float64 { return x }, 0, 3, 0, 2},
	} {
		calls := 0
		x, ok := Brent(func(x float64) float64 { calls++; return r.f(x) }, r.lo, r.hi, 0)
		if tol := 1e-14; !ok || math.Abs(x-r.want) > tol && r.f(x) != 0 {
			t.Errorf("%s: got %.17g %v, want %.17g", r.name, x, ok, r.want)
		}
		if calls > r.most {
			t.Errorf("%s: %d calls, expected at most %d", r.name, calls, r.most)
		}
	}
	for _, f := range []func(float64) float64{
		func(x float64) float64 { return x*x + 1 },
		func(float64) float64 { return math.NaN() },
	} {
		if x, ok := Brent(f, -1, 1, 0); ok {
			t.Errorf("there is no change of sign, got %g", x)
		}
	}
	if x, ok := Brent(func(x float64) float64 { return x - 0.7 }, 0, 1, 0.01); !ok || math.Abs(x-0.7) > 0.01 {
		t.Errorf("with a tolerance of 0.01: %g", x)
	}
}

func BenchmarkBrent(b *testing.B) {
	for b.Loop() {
		Brent(func(x float64) float64 { return math.Cos(x) - x }, 0, 1, 1e-12)
	}
}
