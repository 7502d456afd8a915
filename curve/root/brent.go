// Package root finds where a continuous function of one number crosses zero.
package root

import "math"

// Brent returns an x between lo and hi at which f changes sign, to within tol (or to the last bit when tol is 0 or less).
// It is false when f has the same sign at both ends or is not a number at one of them.
//
// The method is that of R. P. Brent, Algorithms for Minimization without Derivatives, 1973, chapter 4: inverse quadratic
// interpolation or the secant while they close the bracket quickly, bisection when they do not. It calls f at most
// a few hundred times, usually about ten.
func Brent(f func(float64) float64, lo, hi, tol float64) (x float64, ok bool) {
	a, b := lo, hi
	fa, fb := f(a), f(b)
	switch {
	case fa == 0:
		return a, true
	case fb == 0:
		return b, true
	case !(fa < 0 && fb > 0 || fa > 0 && fb < 0):
		return math.NaN(), false
	}
	c, fc := a, fa // b is the best guess, c the other side of the bracket, a the guess before b
	d := b - a     // the last step
	e := d         // the step before it
	for range 400 {
		if math.Abs(fc) < math.Abs(fb) {
			a, b, c = b, c, b
			fa, fb, fc = fb, fc, fb
		}
		near := float64(2*epsilon*math.Abs(b)) + float64(0.5*math.Max(tol, 0))
		half := float64(0.5 * (c - b))
		if math.Abs(half) <= near || fb == 0 {
			return b, true
		}
		if math.Abs(e) < near || math.Abs(fa) <= math.Abs(fb) {
			d, e = half, half
		} else {
			p, q := interpolate(a, b, fa, fb, fc, half, a == c)
			if 2*p < math.Min(float64(3*half*q)-math.Abs(near*q), math.Abs(e*q)) {
				d, e = p/q, d
			} else {
				d, e = half, half
			}
		}
		a, fa = b, fb
		if math.Abs(d) > near {
			b += d
		} else {
			b += math.Copysign(near, half)
		}
		fb = f(b)
		if fb > 0 == (fc > 0) {
			c, fc = a, fa
			d = b - a
			e = d
		}
	}
	return b, true
}

// interpolate gives the step p/q from b with p ≥ 0: the secant when there are only two points, else the inverse quadratic.
func interpolate(a, b, fa, fb, fc, half float64, secant bool) (p, q float64) {
	s := fb / fa
	if secant {
		p, q = 2*half*s, 1-s
	} else {
		t, r := fa/fc, fb/fc
		p = s * (float64(2*half*t*(t-r)) - float64((b-a)*(r-1)))
		q = (t - 1) * (r - 1) * (s - 1)
	}
	if p > 0 {
		return p, -q
	}
	return -p, q
}

const epsilon = 0x1p-52
