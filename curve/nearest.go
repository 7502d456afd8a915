package curve

import "math"

// Nearest returns the length s along p of its point nearest to q and the distance between them; of several equally near
// the first. An empty path is infinitely far away.
func (p Path) Nearest(q Point) (s, dist float64) {
	best, at, bestT := math.Inf(1), -1, 0.0
	for i := range p {
		if at >= 0 && p[i].hull().Distance(q) >= best {
			continue
		}
		if t, d := p[i].nearest(q); d < best {
			best, at, bestT = d, i, t
		}
	}
	if at < 0 {
		return 0, best
	}
	for i := range p[:at] {
		s += p[i].Length()
	}
	return s + p[at].LengthTo(bestT), best
}

// nearest returns the parameter of the point of s nearest to q, and its distance.
func (s *Seg) nearest(q Point) (t, dist float64) {
	if s.line {
		d := s.c[3].Sub(s.c[0])
		if n := d.Norm2(); n > 0 {
			t = math.Min(1, math.Max(0, q.Sub(s.c[0]).Dot(d)/n))
		}
		return t, s.At(t).Dist(q)
	}
	t, dist = 0, s.c[0].Dist(q)
	if d := s.c[3].Dist(q); d < dist {
		t, dist = 1, d
	}
	// Where the way to q stands square to the curve: (P(t)-q)·P'(t) = 0, a polynomial of degree 5.
	var a [4]Point
	for i := range a {
		a[i] = s.c[i].Sub(q)
	}
	d := [3]Point{s.c[1].Sub(s.c[0]), s.c[2].Sub(s.c[1]), s.c[3].Sub(s.c[2])}
	f := bernstein{n: 5}
	for i, wa := range [4]float64{1, 3, 3, 1} {
		for j, wd := range [3]float64{1, 2, 1} {
			f.c[i+j] += float64(wa * wd * a[i].Dot(d[j]))
		}
	}
	for i, w := range [6]float64{1, 5, 10, 10, 5, 1} {
		f.c[i] /= w
	}
	var room [8]float64
	for _, r := range f.roots(room[:0]) {
		if d := s.At(r).Dist(q); d < dist {
			t, dist = r, d
		}
	}
	return t, dist
}
