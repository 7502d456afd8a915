package curve

import (
	"math"
	"slices"
)

// Meeting is a place that two paths share: S mm along the first, T mm along the second.
type Meeting struct {
	S, T float64
	At   Point
}

// Meet returns where p and q meet, sorted by S and then T: crossings, touches without crossing and shared ends, each once.
// What comes nearer than Snap counts as touching. Where the paths run along each other, the ends of the common stretch are
// given, and the joints of segments within it. On a closed path the place where it ends and starts counts as the start.
// Two cubics folded flat onto one and the same line may give more places than the ends of what they share.
func (p Path) Meet(q Path) []Meeting {
	if len(p) == 0 || len(q) == 0 {
		return nil
	}
	type side struct {
		box Rect
		at  float64 // length before the segment
	}
	there := make([]side, len(q))
	to := 0.0
	for j := range q {
		there[j] = side{q[j].hull().Pad(Snap), to}
		to += q[j].Length()
	}
	var found []Meeting
	at := 0.0
	for i := range p {
		box := p[i].hull()
		for j := range q {
			if !box.Overlaps(there[j].box) {
				continue
			}
			for _, m := range p[i].meet(q[j]) {
				found = append(found, Meeting{at + p[i].LengthTo(m.s), there[j].at + q[j].LengthTo(m.t), p[i].At(m.s)})
			}
		}
		at += p[i].Length()
	}
	for i := range found {
		found[i].S = home(p, found[i].S, at)
		found[i].T = home(q, found[i].T, to)
	}
	return once(found)
}

// home turns the end of a closed path of the given length into its start.
func home(p Path, s, length float64) float64 {
	if s >= length-10*Snap && p.Closed() {
		return 0
	}
	return s
}

// once sorts the meetings and drops those found from both sides of a joint.
func once(m []Meeting) []Meeting {
	slices.SortFunc(m, func(a, b Meeting) int {
		if d := sign(a.S - b.S); d != 0 {
			return d
		}
		return sign(a.T - b.T)
	})
	out := m[:0]
next:
	for _, x := range m {
		for k := len(out) - 1; k >= 0 && x.S-out[k].S <= 10*Snap; k-- {
			if math.Abs(x.T-out[k].T) <= 10*Snap {
				continue next
			}
		}
		out = append(out, x)
	}
	return out
}

// params are the parameters of a common point on two segments.
type params struct{ s, t float64 }

// meet returns where a and b share a point.
func (a Seg) meet(b Seg) []params {
	w := pair{a: a, b: b}
	w.ends()
	if w.along() {
		return w.found
	}
	switch {
	case a.line:
		w.lineWith(a, b, false)
	case b.line:
		w.lineWith(b, a, true)
	default:
		w.search(a, b, params{0, 0}, 1)
	}
	return w.found
}

// pair gathers the common points of two segments.
type pair struct {
	a, b  Seg
	found []params
	work  int
}

// add notes a common point unless it is one already noted: the same place, or the other root of one touch.
func (w *pair) add(s, t float64) {
	p := params{clamp(s, 0, 1), clamp(t, 0, 1)}
	for i, f := range w.found {
		if w.same(f, p) {
			return
		}
		mid := params{0.5 * (p.s + f.s), 0.5 * (p.t + f.t)}
		if w.a.At(f.s).Dist(w.a.At(p.s)) <= 0.1 && w.a.At(mid.s).Dist(w.b.At(mid.t)) <= 0.1*Snap {
			if !onEnd(f) {
				w.found[i] = mid
			}
			return
		}
	}
	w.found = append(w.found, p)
}

// same reports whether two common points are one: neither curve goes anywhere between them. (A loop that comes back to its
// start is there twice.)
func (w *pair) same(f, g params) bool {
	rests := func(c *Seg, t0, t1 float64) bool {
		at := c.At(t0)
		return c.At(t1).Dist(at) <= 2*Snap && c.At(0.5*(t0+t1)).Dist(at) <= 2*Snap
	}
	return rests(&w.a, f.s, g.s) && rests(&w.b, f.t, g.t)
}

func onEnd(p params) bool { return p.s == 0 || p.s == 1 || p.t == 0 || p.t == 1 }

// ends notes the ends of either that lie on the other, exactly and before any search.
func (w *pair) ends() {
	ha, hb := w.a.hull().Pad(Snap), w.b.hull().Pad(Snap)
	var list [4]params
	n := 0
	for _, e := range [2]float64{0, 1} {
		if q := w.a.At(e); hb.Contains(q) {
			if t, d := w.b.nearest(q); d <= Snap {
				list[n], n = params{e, t}, n+1
			}
		}
		if q := w.b.At(e); ha.Contains(q) {
			if s, d := w.a.nearest(q); d <= Snap {
				list[n], n = params{s, e}, n+1
			}
		}
	}
	for _, f := range list[:n] {
		// Not through add: the two ends of a common stretch must both stay.
		if !slices.ContainsFunc(w.found, func(o params) bool { return w.same(o, f) }) {
			w.found = append(w.found, f)
		}
	}
}

// along reports whether the segments run along each other between two of the ends found. Two different cubics share at most
// nine points, but in practice three between the ends within Snap are a common stretch.
func (w *pair) along() bool {
	for i := range w.found {
		for j := range i {
			f, g := w.found[i], w.found[j]
			if w.a.At(f.s).Dist(w.a.At(g.s)) < 20*Snap {
				continue
			}
			on := true
			for _, u := range [3]float64{0.27, 0.5, 0.71} {
				q := w.a.At(f.s + float64(u*(g.s-f.s)))
				if _, d := w.b.nearest(q); d > Snap {
					on = false
					break
				}
			}
			if on {
				return true
			}
		}
	}
	return false
}

// lineWith finds where the straight l meets c; swapped says that l is the second of the pair.
func (w *pair) lineWith(l, c Seg, swapped bool) {
	d := l.c[3].Sub(l.c[0])
	long := d.Norm()
	if long == 0 {
		return // a point: the ends have seen to it
	}
	u := Point{d.X / long, d.Y / long}
	slack := Snap / long
	note := func(t float64) {
		q := c.At(t).Sub(l.c[0])
		s := u.Dot(q) / long
		if s < -slack || s > 1+slack || math.Abs(u.Cross(q)) > Snap {
			return
		}
		if swapped {
			s, t = t, s
		}
		w.add(s, t)
	}
	if c.line {
		// Side of the line on which each end lies; ends within Snap of it were found as ends.
		f0, f1 := u.Cross(c.c[0].Sub(l.c[0])), u.Cross(c.c[3].Sub(l.c[0]))
		if f0 != f1 && (f0 < 0) != (f1 < 0) {
			note(f0 / (f0 - f1))
		}
		return
	}
	f := bernstein{n: 3}
	for i := range c.c {
		f.c[i] = u.Cross(c.c[i].Sub(l.c[0]))
	}
	var room [8]float64
	for _, t := range f.roots(room[:0]) {
		note(t)
	}
	for _, t := range f.deriv().roots(room[:0]) { // touches, and near misses within Snap
		note(t)
	}
}

// search halves two cubics while they may meet, until both are nearly straight and Newton's method can be trusted. at is
// where a and b begin in the whole, size how much of the whole they are.
func (w *pair) search(a, b Seg, at params, size float64) {
	if w.work++; w.work > 20000 || !a.hull().Pad(Snap).Overlaps(b.hull()) || apart(&a, &b) || apart(&b, &a) {
		return
	}
	half := float64(0.5 * size)
	small := size < 1e-5 || a.hull2() <= 4*Snap*Snap && b.hull2() <= 4*Snap*Snap
	if small || bend(&a) < 0.02 && bend(&b) < 0.02 {
		s, t, ok := w.cross(at.s+half, at.t+half, size)
		if ok && within(s, at.s, size) && within(t, at.t, size) {
			w.add(s, t)
			if small || w.steep(s, t) {
				return
			}
		}
		s, t, ok = w.touch(at.s+half, at.t+half, size)
		if ok && within(s, at.s, size) && within(t, at.t, size) {
			w.add(s, t)
			small = small || math.Max(a.hull2(), b.hull2()) < 0.01 // a longer piece may cross elsewhere as well
		}
		if small {
			return
		}
	}
	al, ar := a.Split(0.5)
	bl, br := b.Split(0.5)
	w.search(al, bl, at, half)
	w.search(al, br, params{at.s, at.t + half}, half)
	w.search(ar, bl, params{at.s + half, at.t}, half)
	w.search(ar, br, params{at.s + half, at.t + half}, half)
}

func within(s, from, size float64) bool {
	return math.Abs(s-from-float64(0.5*size)) <= float64(0.51*size)+1e-9
}

// steep reports whether the curves cross at more than about 6°, the most that two nearly straight ones turn: then they do
// not meet again nearby.
func (w *pair) steep(s, t float64) bool {
	return math.Abs(w.a.Tangent(clamp(s, 0, 1)).Cross(w.b.Tangent(clamp(t, 0, 1)))) > 0.25
}

// apart reports whether b lies wholly beside the strip in which a lies along its chord.
func apart(a, b *Seg) bool {
	n := a.c[3].Sub(a.c[0]).Unit().Right()
	if n == (Point{}) {
		return false
	}
	f1, f2 := n.Dot(a.c[1].Sub(a.c[0])), n.Dot(a.c[2].Sub(a.c[0]))
	lo, hi := math.Min(0, math.Min(f1, f2))-Snap, math.Max(0, math.Max(f1, f2))+Snap
	over, under := true, true
	for i := range b.c {
		v := n.Dot(b.c[i].Sub(a.c[0]))
		over, under = over && v > hi, under && v < lo
	}
	return over || under
}

// bend is how far the handles stray from the thirds of the chord, as a fraction of it: 0 for a line.
func bend(s *Seg) float64 {
	d := math.Max(s.c[1].Dist(s.c[0].Lerp(s.c[3], 1./3)), s.c[2].Dist(s.c[0].Lerp(s.c[3], 2./3)))
	return d / s.c[0].Dist(s.c[3])
}

// cross walks from the middle of a piece of the given size to a crossing in or near it, by Newton's method.
func (w *pair) cross(s, t, size float64) (float64, float64, bool) {
	s0, t0 := s, t
	for range 12 {
		d := w.b.At(t).Sub(w.a.At(s))
		da, db := w.a.Deriv(s), w.b.Deriv(t)
		det := da.Cross(db)
		if det == 0 {
			break
		}
		ds, dt := d.Cross(db)/det, d.Cross(da)/det
		s, t = s+ds, t+dt
		if !(math.Abs(s-s0) < size && math.Abs(t-t0) < size) {
			return s, t, false // it has left for another piece
		}
		if math.Abs(ds) < 1e-14 && math.Abs(dt) < 1e-14 {
			break
		}
	}
	return w.checked(s, t)
}

// touch walks likewise to where the curves run side by side at their nearest: d·a' = 0 and a'×b' = 0.
func (w *pair) touch(s, t, size float64) (float64, float64, bool) {
	s0, t0 := s, t
	for range 12 {
		d := w.b.At(t).Sub(w.a.At(s))
		da, db := w.a.Deriv(s), w.b.Deriv(t)
		da2, db2 := w.a.Deriv2(s), w.b.Deriv2(t)
		f, g := d.Dot(da), da.Cross(db)
		fs, ft := d.Dot(da2)-da.Norm2(), db.Dot(da)
		gs, gt := da2.Cross(db), da.Cross(db2)
		det := float64(fs*gt) - float64(ft*gs)
		if det == 0 {
			break
		}
		ds, dt := (float64(ft*g)-float64(gt*f))/det, (float64(gs*f)-float64(fs*g))/det
		s, t = s+ds, t+dt
		if !(math.Abs(s-s0) < size && math.Abs(t-t0) < size) {
			return s, t, false
		}
		if math.Abs(ds) < 1e-12 && math.Abs(dt) < 1e-12 {
			break
		}
	}
	return w.checked(s, t)
}

func (w *pair) checked(s, t float64) (float64, float64, bool) {
	if !(s > -1e-6 && s < 1+1e-6 && t > -1e-6 && t < 1+1e-6) {
		return s, t, false
	}
	s, t = clamp(s, 0, 1), clamp(t, 0, 1)
	return s, t, w.a.At(s).Dist(w.b.At(t)) <= Snap
}

func clamp(v, lo, hi float64) float64 { return math.Min(hi, math.Max(lo, v)) }
