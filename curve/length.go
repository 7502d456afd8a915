package curve

import "math"

// Length returns the length of s along the curve, to about one part in 10⁹ or better.
func (s Seg) Length() float64 {
	if s.line {
		return s.c[0].Dist(s.c[3])
	}
	return s.speed().between(0, 1)
}

// LengthTo returns the length of s from its start to t, 0 ≤ t ≤ 1.
func (s Seg) LengthTo(t float64) float64 {
	if s.line {
		return t * s.c[0].Dist(s.c[3])
	}
	return s.speed().between(0, t)
}

// ParamAt returns the t at which the length from the start is the given one; lengths outside the curve give 0 or 1.
// Newton's method, held inside a bracket that bisection closes where the speed vanishes.
func (s Seg) ParamAt(length float64) float64 {
	return s.paramAt(length, s.Length())
}

// paramAt is ParamAt for a segment whose length is known to be total.
func (s Seg) paramAt(length, total float64) float64 {
	if length <= 0 {
		return 0
	}
	if length >= total {
		return 1
	}
	if s.line {
		return length / total
	}
	v := s.speed()
	lo, hi := 0.0, 1.0
	t, at := 0.0, 0.0 // at is the length to t
	next := length / total
	for range 60 {
		at += v.between(t, next)
		t = next
		miss := at - length
		if math.Abs(miss) <= 1e-13*total {
			break
		}
		if miss > 0 {
			hi = t
		} else {
			lo = t
		}
		next = t - miss/v.at(t)
		if !(next > lo && next < hi) {
			next = 0.5 * (lo + hi)
		}
		if next == t {
			break
		}
	}
	return t
}

// speed is the derivative of a cubic as a polynomial in t, whose norm is what the length integrates.
type speed struct {
	k0, k1, k2 Point
	tol        float64 // error allowed in the whole length, mm
	brisk      bool    // the curve gets on everywhere: it never turns more than 70° off one direction
}

func (s Seg) speed() speed {
	d0, d1, d2 := s.c[1].Sub(s.c[0]), s.c[2].Sub(s.c[1]), s.c[3].Sub(s.c[2])
	l0, l1, l2 := d0.Norm(), d1.Norm(), d2.Norm()
	way := s.c[3].Sub(s.c[0]).Unit()
	return speed{
		brisk: way.Dot(d0) > 0.34*l0 && way.Dot(d1) > 0.34*l1 && way.Dot(d2) > 0.34*l2,
		k0:    d0.Mul(3),
		k1:    d1.Sub(d0).Mul(6),
		k2:    d2.Sub(d1).Sub(d1.Sub(d0)).Mul(3),
		tol:   1e-11 * (l0 + l1 + l2),
	}
}

func (v *speed) at(t float64) float64 {
	x := v.k0.X + float64(t*(v.k1.X+float64(t*v.k2.X)))
	y := v.k0.Y + float64(t*(v.k1.Y+float64(t*v.k2.Y)))
	return math.Sqrt(float64(x*x) + float64(y*y))
}

// Nodes and weights of the 15-point Kronrod rule and of the 7-point Gauss rule inside it, as published with QUADPACK
// (R. Piessens, E. de Doncker-Kapenga, C. W. Überhuber, D. K. Kahaner, 1983, routine QK15).
var (
	kronrodNode = [7]float64{
		0.991455371120812639206854697526329, 0.949107912342758524526189684047851,
		0.864864423359769072789712788640926, 0.741531185599394439863864773280788,
		0.586087235467691130294144858693670, 0.405845151377397166906606412076961,
		0.207784955007898467600689403773245,
	}
	kronrodWeight = [7]float64{
		0.022935322010529224963732008058970, 0.063092092629978553290700663189204,
		0.104790010322250183839876322541518, 0.140653259715525918745189590510238,
		0.169004726639267902826583426598550, 0.190350578064785409913256402421014,
		0.204432940075298892414161999234649,
	}
	gaussWeight = [3]float64{ // of nodes 1, 3 and 5 above
		0.129484966168869693270611432679082, 0.279705391489276667901467771423780,
		0.381830050505118944950369775488975,
	}
)

const (
	kronrodMiddle = 0.209482141084727828012999174891714
	gaussMiddle   = 0.417959183673469387755102040816327
)

// between integrates the speed from a to b. Where the curve nearly stands still the speed has a kink, which a rule can step
// over without noticing: the span is cut there first.
func (v speed) between(a, b float64) float64 {
	if v.brisk {
		return v.halve(a, b, v.tol, 0)
	}
	sum := 0.0
	for _, t := range v.slowest() {
		if t > a && t < b {
			sum += v.halve(a, t, v.tol, 0)
			a = t
		}
	}
	return sum + v.halve(a, b, v.tol, 0)
}

// slowest are the parameters in rising order at which the speed is least or greatest, the roots of P'·P”; those it lacks are 0.
func (v *speed) slowest() [4]float64 {
	// P' = k0 + k1·t + k2·t², so P'·P'' is a cubic in t, here in Bernstein form.
	c0, c1 := v.k0.Dot(v.k1), v.k1.Norm2()+float64(2*v.k0.Dot(v.k2))
	c2, c3 := float64(3*v.k1.Dot(v.k2)), float64(2*v.k2.Norm2())
	f := bernstein{n: 3, c: [6]float64{c0, c0 + c1/3, c0 + (c1+c1+c2)/3, c0 + c1 + c2 + c3}}
	var out [4]float64
	var room [8]float64
	copy(out[:], f.roots(room[:0]))
	return out
}

func (v *speed) halve(a, b, tol float64, depth int) float64 {
	m, h := float64(0.5*(a+b)), float64(0.5*(b-a))
	mid := v.at(m)
	kronrod, gauss := float64(kronrodMiddle*mid), float64(gaussMiddle*mid)
	var lo, hi [7]float64
	for i, x := range kronrodNode {
		lo[i], hi[i] = v.at(m-float64(h*x)), v.at(m+float64(h*x))
		kronrod += float64(kronrodWeight[i] * (lo[i] + hi[i]))
		if i&1 == 1 {
			gauss += float64(gaussWeight[i>>1] * (lo[i] + hi[i]))
		}
	}
	miss := math.Abs((kronrod - gauss) * h)
	if miss <= tol || depth >= 40 {
		return kronrod * h
	}
	// QUADPACK's estimate: compared with how much the speed varies over the span, a small difference between the two
	// rules means that the better one is very much better. Near a cusp the ratio stays large and the span is halved.
	mean := float64(0.5 * kronrod)
	vary := float64(kronrodMiddle * math.Abs(mid-mean))
	for i := range lo {
		vary += float64(kronrodWeight[i] * (math.Abs(lo[i]-mean) + math.Abs(hi[i]-mean)))
	}
	vary *= math.Abs(h)
	if vary > 0 {
		r := 200 * miss / vary
		if r < 1 && vary*r*math.Sqrt(r) <= tol {
			return kronrod * h
		}
	}
	return v.halve(a, m, 0.5*tol, depth+1) + v.halve(m, b, 0.5*tol, depth+1)
}
