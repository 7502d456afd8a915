package curve

import (
	"math"
	"sort"
)

// Meeting is a place that two paths share: S mm along the first, T mm along the second.
type Meeting struct {
	S, T float64
	At   Point
}

// Meet returns where p and q meet, sorted by S and then T: crossings, touches without crossing and shared ends, each once.
// Where they run along each other, the two ends of the common stretch are given.
func (p Path) Meet(q Path) []Meeting {
	var found []Meeting
	at := 0.0
	qBox := make([]Rect, len(q))
	qLen := make([]float64, len(q))
	for j := range q {
		qBox[j] = q[j].hull().Pad(Snap)
		qLen[j] = q[j].Length()
	}
	for i := range p {
		box := p[i].hull()
		to := 0.0
		for j := range q {
			if box.Overlaps(qBox[j]) {
				for _, m := range meetSegs(p[i], q[j]) {
					found = append(found, Meeting{at + p[i].LengthTo(m.s), to + q[j].LengthTo(m.t), p[i].At(m.s)})
				}
			}
			to += qLen[j]
		}
		at += p[i].Length()
	}
	return once(found)
}

// once sorts the meetings and drops those that were found from both sides of a joint.
func once(m []Meeting) []Meeting {
	sort.Slice(m, func(i, j int) bool {
		if m[i].S != m[j].S {
			return m[i].S < m[j].S
		}
		return m[i].T < m[j].T
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

type params struct{ s, t float64 }

// meetSegs returns the parameters at which a and b share a point.
func meetSegs(a, b Seg) []params {
	w := weld{a: a, b: b}
	// Ends first: a shared end is found exactly, not by search.
	for _, s := range [2]float64{0, 1} {
		end := a.At(s)
		if t, d := b.nearest(end); d <= Snap {
			w.add(s, t)
		}
		end = b.At(s)
		if t, d := a.nearest(end); d <= Snap {
			w.add(t, s)
		}
	}
	w.search(a, b, 0, 1, 0, 1, 0)
	return w.found
}

// weld gathers the meetings of two segments.
type weld struct {
	a, b  Seg
	found []params
	work  int
}

func (w *weld) add(s, t float64) {
	pa := w.a.At(s)
	for _, f := range w.found {
		if w.a.At(f.s).Dist(pa) <= 2*Snap && math.Abs(f.s-s) < 1e-3 && math.Abs(f.t-t) < 1e-3 {
			return
		}
	}
	w.found = append(w.found, params{s, t})
}

// search halves both segments while they may meet, and refines what is left.
func (w *weld) search(a, b Seg, s0, s1, t0, t1 float64, depth int) {
	if w.work++; w.work > 20000 || apart(a, b) || apart(b, a) {
		return
	}
	if depth >= 30 || bend(a) <= 0.02*a.c[0].Dist(a.c[3]) && bend(b) <= 0.02*b.c[0].Dist(b.c[3]) {
		if s, t, ok := w.refine(0.5*(s0+s1), 0.5*(t0+t1)); ok && s >= s0-1e-9 && s <= s1+1e-9 && t >= t0-1e-9 && t <= t1+1e-9 {
			w.add(math.Min(1, math.Max(0, s)), math.Min(1, math.Max(0, t)))
			if depth > 8 {
				return
			}
		}
		if a.line && b.line || depth >= 30 || a.c[0].Dist(a.c[3]) < 1e-4 {
			return
		}
	}
	sm, tm := 0.5*(s0+s1), 0.5*(t0+t1)
	al, ar := a.Split(0.5)
	bl, br := b.Split(0.5)
	w.search(al, bl, s0, sm, t0, tm, depth+1)
	w.search(al, br, s0, sm, tm, t1, depth+1)
	w.search(ar, bl, sm, s1, t0, tm, depth+1)
	w.search(ar, br, sm, s1, tm, t1, depth+1)
}

// apart reports whether b lies wholly to one side of the strip in which a lies, along or across a's chord.
func apart(a, b Seg) bool {
	u := a.c[3].Sub(a.c[0]).Unit()
	if u == (Point{}) {
		return !a.hull().Pad(Snap).Overlaps(b.hull())
	}
	for _, axis := range [2]Point{u, u.Right()} {
		alo, ahi := math.Inf(1), math.Inf(-1)
		blo, bhi := math.Inf(1), math.Inf(-1)
		for i := range a.c {
			v := axis.Dot(a.c[i].Sub(a.c[0]))
			alo, ahi = math.Min(alo, v), math.Max(ahi, v)
			v = axis.Dot(b.c[i].Sub(a.c[0]))
			blo, bhi = math.Min(blo, v), math.Max(bhi, v)
		}
		if alo > bhi+0.5*Snap || blo > ahi+0.5*Snap {
			return true
		}
	}
	return false
}

// bend is how far the handles stray from the thirds of the chord: 0 for a line.
func bend(s Seg) float64 {
	if s.line {
		return 0
	}
	return math.Max(s.c[1].Dist(s.c[0].Lerp(s.c[3], 1./3)), s.c[2].Dist(s.c[0].Lerp(s.c[3], 2./3)))
}

// refine walks to a common point by Newton's method; where the curves touch it walks to where they are nearest.
func (w *weld) refine(s, t float64) (float64, float64, bool) {
	for range 40 {
		d := w.b.At(t).Sub(w.a.At(s))
		da, db := w.a.Deriv(s), w.b.Deriv(t)
		det := da.Cross(db)
		var ds, dt float64
		if math.Abs(det) > 1e-9*da.Norm()*db.Norm() {
			ds, dt = d.Cross(db)/det, d.Cross(da)/det
		} else {
			n := da.Norm2() + db.Norm2()
			if n == 0 {
				break
			}
			ds, dt = d.Dot(da)/n, -d.Dot(db)/n
		}
		ds, dt = clamp(ds, -0.25, 0.25), clamp(dt, -0.25, 0.25)
		s, t = clamp(s+ds, -0.01, 1.01), clamp(t+dt, -0.01, 1.01)
		if math.Abs(ds) < 1e-15 && math.Abs(dt) < 1e-15 {
			break
		}
	}
	cs, ct := clamp(s, 0, 1), clamp(t, 0, 1)
	return s, t, w.a.At(cs).Dist(w.b.At(ct)) <= Snap
}

func clamp(v, lo, hi float64) float64 { return math.Min(hi, math.Max(lo, v)) }
