package curve

import (
	"math"
	"slices"

	"clothwright/curve/root"
)

// Offset returns the parallel of p at distance d mm: to the left of travel when d is positive, to the right when negative.
// A closed path of positive area therefore grows by a positive d. The result keeps the direction of travel.
//
// Straight lines stay straight; a curve becomes as many cubics as it takes to lie within tol mm of the true parallel (0.001
// when tol is not positive). At an outward corner the sides are lengthened to their mitre, or, when that lies farther than
// 4·|d| from the corner, by |d| each and cut off. Where the parallel would lie nearer to p than |d| — behind an inward corner,
// or where a hollow is narrower than |d| — that part is cut away, leaving a corner. If it falls into several parts
// the longest is returned, and the empty path if nothing is left. A path that crosses itself loses what lies nearer than |d|
// to its other strand. The ends of an open path are not rounded.
func (p Path) Offset(d, tol float64) Path {
	if len(p) == 0 || d == 0 {
		return p
	}
	if !(tol > 0) {
		tol = 1e-3
	}
	raw := p.parallel(d, tol)
	closed := p.Closed()
	if loops, backward := raw.selfMeet(closed, math.Max(1e-3, 5*tol)); len(loops) > 0 || backward {
		return unite(raw.trim(p, loops, math.Abs(d), tol, closed), closed)
	}
	return unite(raw.path(), closed)
}

// strand is a piece of a raw parallel. One that runs backward comes from a curve tighter than the distance, or leads across an
// inward corner.
type strand struct {
	Seg
	backward bool
}

type strands []strand

func (r strands) path() Path {
	out := make(Path, len(r))
	for i := range r {
		out[i] = r[i].Seg
	}
	return out
}

// parallel is the parallel with all its loops: segment by segment, joined at the corners.
func (p Path) parallel(d, tol float64) strands {
	var out strands
	join := func(u, v Point, to Point) {
		joint := corner(out[len(out)-1].End(), to, u, v, d)
		for _, s := range joint {
			out = append(out, strand{s, len(joint) == 1})
		}
	}
	var u Point // the direction in which the segment before arrives
	for i := range p {
		if p[i].hull2() == 0 {
			continue
		}
		part := p[i].parallel(d, tol)
		if len(out) > 0 {
			join(u, p[i].Tangent(0), part[0].Start())
			part[0].Seg = part[0].from(out[len(out)-1].End())
		}
		out = append(out, part...)
		u = p[i].Tangent(1)
	}
	if p.Closed() && len(out) > 0 {
		join(u, p.StartTangent(), out[0].Start())
		last := &out[len(out)-1]
		last.Seg = last.Reverse().from(out[0].Start()).Reverse()
	}
	return out
}

// corner joins the parallels on either side of a corner, where the path arrives in direction u and goes on in direction v.
// Where they already touch it gives nothing.
func corner(from, to, u, v Point, d float64) Path {
	if from.Dist(to) <= Snap {
		return nil
	}
	turn, ahead := u.Cross(v), u.Dot(v)
	if turn*d < 0 && ahead > -1+1e-12 {
		return Path{Line(from, to)} // inward: the sides cross and are cut back later
	}
	// The mitre lies tan(half the turn)·|d| beyond either side, |d|/cos(half the turn) from the corner.
	if cos2 := 0.5 * (1 + ahead); cos2 > 1./16 {
		m := from.Add(u.Mul(math.Abs(d) * math.Abs(turn) / (1 + ahead)))
		return Path{Line(from, m), Line(m, to)}
	}
	m, n := from.Add(u.Mul(math.Abs(d))), to.Sub(v.Mul(math.Abs(d)))
	return Path{Line(from, m), Line(m, n), Line(n, to)}
}

// parallel is the parallel of one segment, cut at its cusps.
func (s Seg) parallel(d, tol float64) strands {
	if s.line {
		v := s.Tangent(0).Left().Mul(d)
		return strands{{Seg: Line(s.c[0].Add(v), s.c[3].Add(v))}}
	}
	f := fitter{s, d, tol}
	var out strands
	from := 0.0
	cusps := append(f.cusps(), 1)
	for _, to := range cusps {
		n := len(out)
		f.fit(from, to, &out, 0)
		back := f.stretch(0.5*(from+to)) < 0
		if back && small(out[n:], 5*tol) {
			out = out[:n] // what comes after is moved to meet what comes before
		}
		for i := n; i < len(out); i++ {
			out[i].backward = back
			if i > 0 {
				out[i].Seg = out[i].from(out[i-1].End())
			}
		}
		from = to
	}
	return out
}

// small reports whether r stays within size.
func small(r strands, size float64) bool {
	box := EmptyRect()
	for i := range r {
		box = box.Union(r[i].hull())
	}
	return math.Max(box.W(), box.H()) <= size
}

// fitter lays cubics along the parallel of a cubic.
type fitter struct {
	s      Seg
	d, tol float64
}

// stretch is how much longer the parallel is than the curve at t; below zero it runs backward.
func (f fitter) stretch(t float64) float64 { return 1 + float64(f.d*f.s.Curvature(t)) }

func (f fitter) at(t float64) Point {
	return f.s.At(t).Add(f.s.Tangent(t).Left().Mul(f.d))
}

// cusps are the parameters where the curvature passes -1/d.
func (f fitter) cusps() []float64 {
	var out []float64
	const n = 48
	was := f.stretch(0)
	for i := 1; i <= n; i++ {
		lo, hi := float64(i-1)/n, float64(i)/n
		is := f.stretch(hi)
		if was > 0 != (is > 0) {
			if t, ok := root.Brent(f.stretch, lo, hi, 1e-12); ok && t > 1e-9 && t < 1-1e-9 {
				out = append(out, t)
			}
		}
		was = is
	}
	return out
}

// fit appends cubics for the parallel from t0 to t1.
func (f fitter) fit(t0, t1 float64, out *strands, depth int) {
	a, b := f.at(t0), f.at(t1)
	u, v := f.s.Tangent(t0), f.s.Tangent(t1)
	// As a Hermite arc the parallel has these handles; near a cusp they shrink to nothing.
	h := (t1 - t0) / 3
	p, q := h*f.s.Deriv(t0).Norm()*f.stretch(t0), h*f.s.Deriv(t1).Norm()*f.stretch(t1)
	var probe [probes]sample
	for i := range probe {
		w := float64(i+1) / (probes + 1)
		t := t0 + float64(w*(t1-t0))
		probe[i] = sample{w, f.at(t), f.s.Tangent(t), f.bend(t)}
	}
	if depth < 20 && hairpin(u, v, &probe) {
		f.halves(t0, t1, out, depth)
		return
	}
	c := arc(a, b, u, v, p, q)
	if miss(c, &probe) > f.tol {
		p, q = better(a, b, u, v, p, q, &probe)
		c = arc(a, b, u, v, p, q)
		if miss(c, &probe) > f.tol && depth < 12 {
			f.halves(t0, t1, out, depth)
			return
		}
	}
	*out = append(*out, strand{Seg: c})
}

func (f fitter) halves(t0, t1 float64, out *strands, depth int) {
	m := float64(0.5 * (t0 + t1))
	f.fit(t0, m, out, depth+1)
	f.fit(m, t1, out, depth+1)
}

// hairpin reports whether the direction turns so far, about 45°, from one sample to the next that more may hide between them.
func hairpin(u, v Point, probe *[probes]sample) bool {
	was := u
	for i := range probe {
		if probe[i].way.Dot(was) < 0.7 {
			return true
		}
		was = probe[i].way
	}
	return v.Dot(was) < 0.7
}

// bend is the curvature of the parallel, kept finite near a cusp.
func (f fitter) bend(t float64) float64 {
	return math.Abs(f.s.Curvature(t)) / math.Max(0.01, math.Abs(f.stretch(t)))
}

func arc(a, b, u, v Point, p, q float64) Seg {
	return Cubic(a, a.Add(u.Mul(p)), b.Sub(v.Mul(q)), b)
}

const probes = 7

// sample is a point of the true parallel with its direction and curvature, w of the way along.
type sample struct {
	w    float64
	at   Point
	way  Point
	bend float64
}

// miss is how far c strays from the samples across the curve. Along it a point may slide, which takes it off by the bend times
// half the square of the slide. A tenth is added for what lies between the samples.
func miss(c Seg, probe *[probes]sample) float64 {
	worst := 0.0
	for i := range probe {
		e := c.At(probe[i].w).Sub(probe[i].at)
		slide := e.Dot(probe[i].way)
		worst = math.Max(worst, math.Abs(e.Cross(probe[i].way))+float64(0.5*probe[i].bend*slide*slide))
	}
	return 1.1 * worst
}

// better changes the handles by least squares on the misses across the curve, which depend linearly on them.
func better(a, b, u, v Point, p, q float64, probe *[probes]sample) (float64, float64) {
	base := arc(a, b, u, v, 0, 0)
	var uu, uv, vv, ue, ve float64
	for _, s := range probe {
		w := s.w
		fu := 3 * (1 - w) * (1 - w) * w * u.Cross(s.way)
		fv := -3 * (1 - w) * w * w * v.Cross(s.way)
		e := s.at.Sub(base.At(w)).Cross(s.way)
		uu, uv, vv = uu+float64(fu*fu), uv+float64(fu*fv), vv+float64(fv*fv)
		ue, ve = ue+float64(fu*e), ve+float64(fv*e)
	}
	det := float64(uu*vv) - float64(uv*uv)
	if !(det > 1e-9*uu*vv) {
		return p, q
	}
	np, nq := (float64(ue*vv)-float64(ve*uv))/det, (float64(ve*uu)-float64(ue*uv))/det
	if near := func(n, o float64) bool { return n*o > 0 && math.Abs(n-o) < 0.5*math.Abs(o) }; near(np, p) && near(nq, q) {
		return np, nq
	}
	return p, q
}

// loop is a place where a raw parallel meets itself: on piece i at s and again, later, on piece j at t.
type loop struct {
	i, j int
	s, t float64
}

// selfMeet finds where the pieces meet each other, and whether any runs backward. Neighbours that meet within joint mm of
// where they join are passed over: at a cusp they leave side by side.
func (r strands) selfMeet(closed bool, joint float64) (loops []loop, backward bool) {
	boxes := make([]Rect, len(r))
	for i := range r {
		boxes[i] = r[i].hull().Pad(Snap)
		backward = backward || r[i].backward
	}
	for i := range r {
		for j := i + 1; j < len(r); j++ {
			if !boxes[i].Overlaps(boxes[j]) || j == i+1 && onward(&r[i].Seg, &r[j].Seg) {
				continue
			}
			for _, m := range r[i].meet(r[j].Seg) {
				at := r[i].At(m.s)
				if j == i+1 && at.Dist(r[i].End()) < joint || closed && i == 0 && j == len(r)-1 && at.Dist(r[0].Start()) < joint {
					continue
				}
				loops = append(loops, loop{i, j, m.s, m.t})
			}
		}
	}
	return loops, backward
}

// onward reports whether a and b, which follows it, both get on in one direction all the way: then they share only their joint.
func onward(a, b *Seg) bool {
	way := b.c[3].Sub(a.c[0])
	for _, s := range [2]*Seg{a, b} {
		for k := range 3 {
			if s.c[k+1].Sub(s.c[k]).Dot(way) < 0 {
				return false
			}
		}
	}
	return true
}

// trim cuts the raw parallel where it meets itself and keeps the longest run of what is as far from p as it should be.
func (r strands) trim(p Path, loops []loop, d, tol float64, closed bool) Path {
	parts := r.cutAt(loops)
	for i := range parts {
		x := &parts[i]
		if _, far := p.Nearest(x.At(0.5)); far < d-2*tol {
			x.drop = true
		}
	}
	r.dropSmallLoops(parts, loops, d, tol, closed)
	if first := slices.IndexFunc(parts, func(x part) bool { return x.cut }); closed && first > 0 {
		parts = append(parts[first:len(parts):len(parts)], parts[:first]...) // so that no stretch goes on over the end of the list
	}
	settle(parts, d, closed)
	var runs []Path
	for i, x := range parts {
		if x.drop || x.hull2() <= Snap*Snap || slices.ContainsFunc(parts[:i], x.again) {
			continue
		}
		n := len(runs) - 1
		if n < 0 || runs[n].End().Dist(x.Start()) > meetGap {
			runs = append(runs, Path{x.Seg})
			continue
		}
		runs[n] = append(runs[n], x.from(runs[n].End()))
	}
	var best Path
	for _, run := range chain(runs) {
		if run.Length() > best.Length() {
			best = run
		}
	}
	return best
}

// meetGap is how far apart in mm the ends of two kept parts may be and still be the same meeting.
const meetGap = 1e-4

// part is a stretch of a raw parallel between two cuts; begin and end count pieces and parameters together.
type part struct {
	Seg
	begin, end float64
	cut        bool // it begins at a meeting
	drop       bool
}

// again reports whether o runs where x does: two sides of a closed slot share their mitre.
func (x part) again(o part) bool {
	return !o.drop && x.Start().Dist(o.Start()) <= meetGap && x.End().Dist(o.End()) <= meetGap && x.At(0.5).Dist(o.At(0.5)) <= meetGap
}

func (r strands) cutAt(loops []loop) []part {
	marks := make([][]float64, len(r))
	for _, l := range loops {
		marks[l.i] = append(marks[l.i], l.s)
		marks[l.j] = append(marks[l.j], l.t)
	}
	var out []part
	cut := false
	for i := range r {
		slices.Sort(marks[i])
		from := 0.0
		upTo := func(to float64) {
			if to > from {
				at := float64(i)
				out = append(out, part{r[i].Sub(from, to), at + from, at + to, cut, r[i].backward})
				from, cut = to, false
			}
		}
		for _, to := range marks[i] {
			upTo(to)
			cut = true
		}
		upTo(1)
	}
	return out
}

// settle makes all parts between two meetings share one fate, that of the greater length of them, for a parallel goes from
// right to wrong only where it meets itself. The loose ends of an open path are another matter: there only scraps next to
// what is dropped go with it.
func settle(parts []part, d float64, closed bool) {
	n := len(parts)
	for lo := 0; lo < n; {
		hi := lo + 1
		for hi < n && !parts[hi].cut {
			hi++
		}
		group := parts[lo:hi]
		loose := !closed && (lo == 0 || hi == n)
		good, bad := 0.0, 0.0
		for _, x := range group {
			if x.drop {
				bad += x.Length()
			} else {
				good += x.Length()
			}
		}
		for i := range group {
			switch {
			case !loose:
				group[i].drop = bad > good
			case bad > 0 && group[i].Length() < 0.05*d:
				group[i].drop = true
			}
		}
		lo = hi
	}
}

// dropSmallLoops drops what lies between two visits to the same place when it is tiny, or runs backward on the way and is
// small: such a loop may be so slight that its distance from the path no longer tells it from what is right. On a closed path either way
// round between the visits may be the loop.
func (r strands) dropSmallLoops(parts []part, loops []loop, d, tol float64, closed bool) {
	for _, l := range loops {
		from, to := float64(l.i)+l.s, float64(l.j)+l.t
		var box [2]Rect // of what lies outside and inside the visits
		box[0], box[1] = EmptyRect(), EmptyRect()
		var back [2]bool
		side := func(x part) int {
			if x.begin >= from && x.end <= to {
				return 1
			}
			return 0
		}
		for _, x := range parts {
			k := side(x)
			box[k] = box[k].Union(x.hull())
			back[k] = back[k] || r[int(0.5*(x.begin+x.end))].backward
		}
		size := func(k int) float64 { return math.Max(box[k].W(), box[k].H()) }
		k := 1
		if closed && size(0) < size(1) {
			k = 0
		}
		if size(k) > size(1-k) || size(k) > 5*tol && (!back[k] || size(k) > 0.5*d) {
			continue
		}
		for i := range parts {
			if side(parts[i]) == k {
				parts[i].drop = true
			}
		}
	}
}

// chain puts together runs that begin where another ends.
func chain(runs []Path) []Path {
	for i := 0; i < len(runs); i++ {
		for j := 0; j < len(runs); j++ {
			if i == j || runs[i].End().Dist(runs[j].Start()) > meetGap || runs[i].End().Dist(runs[i].Start()) <= meetGap {
				continue
			}
			runs[j][0] = runs[j][0].from(runs[i].End())
			runs[i] = append(runs[i], runs[j]...)
			runs = slices.Delete(runs, j, j+1)
			if j < i {
				i--
			}
			j = -1
		}
	}
	return runs
}

// unite makes one line of straight lines that carry on in the same direction, and closes exactly what is closed.
func unite(p Path, closed bool) Path {
	var out Path
	for _, s := range p {
		if n := len(out); n > 0 && goesOn(out[n-1], s) {
			out[n-1] = Line(out[n-1].Start(), s.End())
			continue
		}
		out = append(out, s)
	}
	n := len(out) - 1
	if !closed || n < 1 || out.Start().Dist(out.End()) > meetGap {
		return out
	}
	if goesOn(out[n], out[0]) {
		out[0] = Line(out[n].Start(), out[0].End())
		out = out[:n]
		n--
	}
	out[n] = out[n].Reverse().from(out[0].Start()).Reverse()
	return out
}

func goesOn(a, b Seg) bool {
	if !a.line || !b.line {
		return false
	}
	u, v := a.Tangent(0), b.Tangent(0)
	return u.Dot(v) > 0 && math.Abs(u.Cross(v)) < 1e-9
}
