package curve

import (
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"
)

// Arc length of a parabola in closed form: y = x² from 0 to a is a/2·√(1+4a²) + asinh(2a)/4 (any calculus handbook).
func TestLengthOfParabola(t *testing.T) {
	for _, a := range []float64{0.01, 0.5, 1, 3, 40} {
		s := quadraticSeg(Point{0, 0}, Point{a / 2, 0}, Point{a, a * a})
		want := a/2*math.Sqrt(1+4*a*a) + math.Asinh(2*a)/4
		near1(t, "parabola", s.Length(), want, 1e-9*want)
		near1(t, "its first half in x", s.LengthTo(0.5), a/4*math.Sqrt(1+a*a)+math.Asinh(a)/4, 1e-9*want)
	}
}

// The semicubical parabola y² = x³ was the first curve whose length was found (W. Neile, 1657): from 0 to x it is
// ((4+9x)^1.5 - 8)/27. As a cubic it is (t², t³), which stands still at its start; run through from -1 it has a cusp.
func TestLengthThroughCusp(t *testing.T) {
	want := (math.Pow(13, 1.5) - 8) / 27
	half := Cubic(Point{0, 0}, Point{0, 0}, Point{1. / 3, 0}, Point{1, 1})
	near1(t, "semicubical parabola", half.Length(), want, 1e-9*want)
	// (u², u³) for u = 2t-1, in Bernstein form.
	whole := Cubic(Point{1, -1}, Point{-1. / 3, 1}, Point{-1. / 3, -1}, Point{1, 1})
	nearPoint(t, "the cusp", whole.At(0.5), Point{}, 1e-15)
	near1(t, "both arms", whole.Length(), 2*want, 1e-9*want)
	nearPoint(t, "half way along is the cusp", whole.At(whole.ParamAt(want)), Point{}, 1e-6)
	if u := whole.Tangent(0.5); u.X > -0.99 {
		t.Errorf("at the cusp the curve arrives going left, not %v", u)
	}
}

// Quarter of an ellipse by the arithmetic-geometric mean (C. F. Gauss; M. Abramowitz, I. Stegun, Handbook of Mathematical
// Functions, 17.6): E = K·(1 - Σ 2^(n-1)·c²), worked here to 200 bits.
func ellipseQuarter(a, b float64) float64 {
	f := func(v float64) *big.Float { return new(big.Float).SetPrec(200).SetFloat64(v) }
	op := func() *big.Float { return new(big.Float).SetPrec(200) }
	x, y := f(a), f(b)
	sum := op().Quo(op().Add(op().Mul(x, x), op().Mul(y, y)), f(2))
	scale := f(0.5)
	for range 12 {
		c := op().Quo(op().Sub(x, y), f(2))
		nx := op().Quo(op().Add(x, y), f(2))
		y = op().Sqrt(op().Mul(x, y))
		x = nx
		scale.Mul(scale, f(2))
		sum.Sub(sum, op().Mul(scale, op().Mul(c, c)))
	}
	v, _ := op().Quo(sum, x).Float64()
	return v * math.Pi / 2
}

func TestLengthOfEllipse(t *testing.T) {
	// Published: the complete elliptic integral E at k = 1/√2 is 1.3506438810 (Abramowitz and Stegun, table 17.1).
	near1(t, "E(1/√2)", ellipseQuarter(1, math.Sqrt(0.5)), 1.3506438810, 1e-10)
	for _, b := range []float64{100, 70, 30, 5} {
		// 256 short cubics follow the ellipse to better than 1 in 10⁹.
		const n = 256
		var p Path
		step := math.Pi / 2 / n
		k := 4. / 3 * math.Tan(step/4)
		for i := range n {
			a0, a1 := float64(i)*step, float64(i+1)*step
			c, d := unitAt(a0), unitAt(a1)
			p = append(p, Cubic(c, c.Add(c.Right().Mul(k)), d.Sub(d.Right().Mul(k)), d))
		}
		p = p.Transform(Scale(100, b))
		near1(t, "quarter ellipse", p.Length(), ellipseQuarter(100, b), 1e-7)
		// One cubic misses the radius by at most 0.027 %, so the length by less.
		q := Path{Quarter(Point{100, 0}, Point{100, b}, Point{0, b})}
		near1(t, "quarter as one cubic", q.Length(), ellipseQuarter(100, b), 100*0.00028)
	}
}

// A quarter circle as one cubic is out by 2.7253 parts in 10,000 of its radius, never inside (published many times, for
// instance A. Riškus, Information Technology and Control 35, 2006).
func TestQuarterCircle(t *testing.T) {
	q := Quarter(Point{1, 0}, Point{1, 1}, Point{0, 1})
	worst := 0.0
	for i := range 1001 {
		r := q.At(float64(i) / 1000).Norm()
		if r < 1-1e-15 {
			t.Fatalf("the cubic runs inside the circle by %g", 1-r)
		}
		worst = math.Max(worst, r-1)
	}
	near1(t, "greatest error of the radius", worst, 2.7253e-4, 1e-8)
}

// The adaptive rule against a plain one with very many points, on curves that loop and turn back.
func TestLengthOfHardCubics(t *testing.T) {
	for _, row := range []string{
		"M0 0C100 100 -10 100 90 0", "M0 0C1000 1000 -1000 1000 1 0", "M0 0C300 0 -200 0 100 0", "M0 0C0 0 0 0 100 50",
		"M0 0C100 0.001 0 0.001 100 0", "M0 0C0.001 0 0 100 100 100",
	} {
		s := path(t, row)[0]
		const n = 1 << 17
		sum := 0.0
		for i := range n { // two Gauss points a step
			for _, x := range [2]float64{0.5 - math.Sqrt(3)/6, 0.5 + math.Sqrt(3)/6} {
				sum += s.Deriv((float64(i)+x)/n).Norm() / (2 * n)
			}
		}
		near1(t, row, s.Length(), sum, 2e-9*sum)
	}
}

func TestLengthProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawCubic(t)
		u := rapid.Float64Range(0, 1).Draw(t, "t")
		total := s.Length()
		a, b := s.Split(u)
		near1(t, "length is additive over a cut", a.Length()+b.Length(), total, 4e-9*total)
		near1(t, "the same travelled back", s.Reverse().Length(), total, 2e-9*total)
		near1(t, "LengthTo", s.LengthTo(u), a.Length(), 2e-9*total)
		want := u * total
		near1(t, "ParamAt there and back", s.LengthTo(s.ParamAt(want)), want, 2e-9*total)
		if chord, hull := s.Start().Dist(s.End()), s.c[0].Dist(s.c[1])+s.c[1].Dist(s.c[2])+s.c[2].Dist(s.c[3]); total < chord-1e-9 || total > hull+1e-9 {
			t.Fatalf("length %g is not between chord %g and hull %g", total, chord, hull)
		}
	})
}

var (
	gentle = Cubic(Point{0, 0}, Point{40, 10}, Point{80, 60}, Point{100, 140})
	looped = Cubic(Point{0, 0}, Point{100, 100}, Point{-10, 100}, Point{90, 0})
	sink   float64
)

func BenchmarkLengthGentle(b *testing.B) {
	for b.Loop() {
		sink = gentle.Length()
	}
}

func BenchmarkLengthLooped(b *testing.B) {
	for b.Loop() {
		sink = looped.Length()
	}
}

func BenchmarkParamAt(b *testing.B) {
	for b.Loop() {
		sink = gentle.ParamAt(70)
	}
}
