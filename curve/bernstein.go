package curve

import "math"

// bernstein is a polynomial of degree n on [0, 1] by its n+1 Bernstein coefficients, of which it has at most six. It never
// leaves the range of its coefficients and has no more roots than they have changes of sign: that finds every root.
type bernstein struct {
	c [6]float64
	n int
}

// roots appends the roots in [0, 1] in rising order. A double root is found once or twice.
func (b bernstein) roots(out []float64) []float64 {
	size := 0.0
	for _, v := range b.c[:b.n+1] {
		size = math.Max(size, math.Abs(v))
	}
	if size == 0 {
		return out
	}
	// Coefficients this small are rounding; treating them as zero lets a root at an end be found at the end.
	flat := 1e-14 * size
	for i := range b.c[:b.n+1] {
		if math.Abs(b.c[i]) <= flat {
			b.c[i] = 0
		}
	}
	return b.search(0, 1, out, 0)
}

func (b *bernstein) search(lo, hi float64, out []float64, depth int) []float64 {
	changes, zeros, last := 0, 0, 0.0
	for _, v := range b.c[:b.n+1] {
		if v == 0 {
			zeros++
			continue
		}
		if last != 0 && v > 0 != (last > 0) {
			changes++
		}
		last = v
	}
	first, end := b.c[0], b.c[b.n]
	switch {
	case changes == 0 && zeros == 0:
		return out
	case changes == 0 && first != 0 && end != 0:
		return out // zero coefficients inside do not bring the polynomial to zero
	case changes == 0 && zeros == b.n+1:
		return keep(out, 0.5*(lo+hi))
	case changes == 0 && depth > 0:
		if first == 0 {
			out = keep(out, lo)
		}
		if end == 0 {
			out = keep(out, hi)
		}
		return out
	case changes == 1 && first != 0 && end != 0:
		return keep(out, lo+float64((hi-lo)*b.bracket()))
	case depth >= 46:
		return keep(out, 0.5*(lo+hi))
	}
	if changes == 0 {
		if first == 0 {
			out = keep(out, lo)
		}
		if end == 0 {
			out = keep(out, hi)
		}
		return out
	}
	l, r := b.split()
	mid := 0.5 * (lo + hi)
	out = l.search(lo, mid, out, depth+1)
	return r.search(mid, hi, out, depth+1)
}

func keep(out []float64, t float64) []float64 {
	if n := len(out); n > 0 && math.Abs(out[n-1]-t) < 1e-13 {
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

// bracket finds the one root when the ends differ in sign: regula falsi with the Illinois change, held by bisection.
func (b *bernstein) bracket() float64 {
	lo, hi, flo, fhi := 0.0, 1.0, b.c[0], b.c[b.n]
	side := 0
	for i := range 200 {
		t := (lo*fhi - hi*flo) / (fhi - flo)
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
