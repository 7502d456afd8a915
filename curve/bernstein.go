package curve

import "math"

// bernstein is a polynomial of degree n ≤ 5 on [0, 1] by its n+1 Bernstein coefficients. It never leaves the range of its
// coefficients and has no more roots than they have changes of sign, which is how every root is found and none missed.
type bernstein struct {
	c [6]float64
	n int
}

// roots appends the roots in [0, 1] in rising order; a double root may be found once or twice, a few billionths apart.
// The polynomial that is zero everywhere has none.
func (b bernstein) roots(out []float64) []float64 {
	size := 0.0
	for _, v := range b.c[:b.n+1] {
		size = math.Max(size, math.Abs(v))
	}
	if size == 0 {
		return out
	}
	// Coefficients this small are rounding: as zeros they let a root at an end be found at the end.
	flat := 1e-14 * size
	for i := range b.c[:b.n+1] {
		if math.Abs(b.c[i]) <= flat {
			b.c[i] = 0
		}
	}
	return b.search(0, 1, flat, out)
}

func (b bernstein) search(lo, hi, flat float64, out []float64) []float64 {
	for b.n > 0 && b.c[0] == 0 { // a root at the start: divide by t
		out = keep(out, lo)
		for i := range b.n {
			b.c[i] = b.c[i+1] * float64(b.n) / float64(i+1)
		}
		b.n--
	}
	atEnd := false
	for b.n > 0 && b.c[b.n] == 0 { // a root at the end: divide by 1-t
		atEnd = true
		for i := range b.n {
			b.c[i] = b.c[i] * float64(b.n) / float64(b.n-i)
		}
		b.n--
	}
	switch changes, size := b.signs(); {
	case changes == 0:
	case changes == 1:
		out = keep(out, lo+float64((hi-lo)*b.bracket()))
	case size <= flat || hi-lo < 1e-13:
		out = keep(out, float64(0.5*(lo+hi)))
	default:
		l, r := b.split()
		mid := float64(0.5 * (lo + hi))
		out = l.search(lo, mid, flat, out)
		out = r.search(mid, hi, flat, out)
	}
	if atEnd {
		out = keep(out, hi)
	}
	return out
}

// signs counts the changes of sign among the coefficients and gives the size of the greatest.
func (b *bernstein) signs() (changes int, size float64) {
	last := 0.0
	for _, v := range b.c[:b.n+1] {
		if v == 0 {
			continue
		}
		if last != 0 && v > 0 != (last > 0) {
			changes++
		}
		last = v
		size = math.Max(size, math.Abs(v))
	}
	return changes, size
}

func keep(out []float64, t float64) []float64 {
	if n := len(out); n > 0 && math.Abs(out[n-1]-t) < 1e-12 {
		return out
	}
	return append(out, t)
}

func (b *bernstein) split() (l, r bernstein) {
	l.n, r.n = b.n, b.n
	c := b.c
	for k := 0; k <= b.n; k++ {
		l.c[k], r.c[b.n-k] = c[0], c[b.n-k]
		for i := 0; i < b.n-k; i++ {
			c[i] = 0.5 * (c[i] + c[i+1])
		}
	}
	return l, r
}

func (b *bernstein) at(t float64) float64 {
	c := b.c
	for k := b.n; k > 0; k-- {
		for i := 0; i < k; i++ {
			c[i] = float64((1-t)*c[i]) + float64(t*c[i+1])
		}
	}
	return c[0]
}

// deriv is the derivative, up to the factor n.
func (b bernstein) deriv() bernstein {
	for i := range b.n {
		b.c[i] = b.c[i+1] - b.c[i]
	}
	b.n--
	return b
}

// bracket finds the one root when the ends differ in sign: false position with the Illinois change (M. Dowell, P. Jarratt,
// 1971), with a bisection now and then that bounds the worst case.
func (b *bernstein) bracket() float64 {
	lo, hi, flo, fhi := 0.0, 1.0, b.c[0], b.c[b.n]
	side := 0
	for i := range 200 {
		t := (float64(lo*fhi) - float64(hi*flo)) / (fhi - flo)
		if i%8 == 7 || !(t > lo && t < hi) {
			t = 0.5 * (lo + hi)
		}
		f := b.at(t)
		if f == 0 || hi-lo < 1e-15 || t == lo || t == hi {
			return t
		}
		if f > 0 == (fhi > 0) {
			hi, fhi = t, f
			if side == 1 {
				flo *= 0.5
			}
			side = 1
		} else {
			lo, flo = t, f
			if side == -1 {
				fhi *= 0.5
			}
			side = -1
		}
	}
	return 0.5 * (lo + hi)
}
