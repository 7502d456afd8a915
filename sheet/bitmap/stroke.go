package bitmap

import (
	"math"

	"clothwright/curve"
	"clothwright/sheet/drawing"
)

// near is how far from the true curve, in dots, the straight pieces may run that it is drawn with.
const near = 0.08

// scale is by how much a map to dots enlarges.
func scale(to curve.Affine) float64 { return math.Sqrt(math.Abs(to.Det())) }

// contours are paths as polygons in dots.
func contours(paths []curve.Path, to curve.Affine) [][]curve.Point {
	var out [][]curve.Point
	for _, p := range paths {
		for _, run := range runs(p) {
			out = append(out, run.Transform(to).Flatten(near))
		}
	}
	return out
}

// runs cuts a path where it jumps.
func runs(p curve.Path) []curve.Path {
	var out []curve.Path
	from := 0
	for i := 1; i <= len(p); i++ {
		if i == len(p) || p[i-1].End() != p[i].Start() {
			out = append(out, p[from:i])
			from = i
		}
	}
	return out
}

// stroked is what a path's line covers, as polygons in dots that all run the same way round, so that they may overlap.
func stroked(p drawing.Path, to curve.Affine) [][]curve.Point {
	k := scale(to)
	if k == 0 {
		return nil
	}
	pen := pen{half: p.Style.Width / 2, dots: k, cap: p.Style.Cap, to: to}
	for _, path := range p.Paths {
		parts := runs(path)
		for i, run := range parts {
			pts := run.Flatten(near / k)
			closed := p.Closed && i == len(parts)-1
			if closed && len(pts) > 0 && pts[0] != pts[len(pts)-1] {
				pts = append(pts, pts[0])
			}
			pts = distinct(pts)
			if dashed(p.Style.Dash) {
				for _, piece := range dashes(pts, p.Style.Dash) {
					pen.line(piece, false)
				}
				continue
			}
			pen.line(pts, closed)
		}
	}
	return pen.out
}

func distinct(pts []curve.Point) []curve.Point {
	var out []curve.Point
	for _, p := range pts {
		if len(out) == 0 || out[len(out)-1] != p {
			out = append(out, p)
		}
	}
	return out
}

// dashed says whether lengths make dashes: some of them are more than nothing.
func dashed(lengths []float64) bool {
	all := 0.0
	for _, d := range lengths {
		if d < 0 {
			return false
		}
		all += d
	}
	return all > 0
}

// dashes cuts a line into what is drawn of it: the lengths are drawn and skipped in turn, over and over, also when their
// number is odd (ISO 32000-1, 8.4.3.6).
func dashes(pts []curve.Point, lengths []float64) [][]curve.Point {
	var out [][]curve.Point
	n, left, on := 0, lengths[0], true
	var now []curve.Point
	for i := 1; i < len(pts); i++ {
		a, b := pts[i-1], pts[i]
		for here, whole := 0.0, a.Dist(b); here < whole; {
			if on && len(now) == 0 {
				now = append(now, a.Lerp(b, here/whole))
			}
			stride := math.Min(left, whole-here)
			here, left = here+stride, left-stride
			if here >= whole-1e-9 {
				here = whole
			}
			if on {
				now = append(now, a.Lerp(b, here/whole))
			}
			if left <= 1e-9 {
				if on {
					out = append(out, now)
				}
				now, on = nil, !on
				n = (n + 1) % len(lengths)
				left = lengths[n]
			}
		}
	}
	if on && len(now) > 0 {
		out = append(out, now)
	}
	return out
}

// pen collects what a line of a width covers.
type pen struct {
	half float64 // of the width, in mm
	dots float64 // dots to the mm
	cap  drawing.Cap
	to   curve.Affine
	out  [][]curve.Point
}

// line is a line through points no two of which in a row are the same; a closed one ends where it began.
func (p *pen) line(pts []curve.Point, closed bool) {
	last := len(pts) - 1
	if last < 0 {
		return
	}
	if last == 0 {
		if p.cap == drawing.Round {
			p.round(pts[0])
		}
		return
	}
	for i := range last {
		a, b := pts[i], pts[i+1]
		along := b.Sub(a).Unit()
		if !closed && p.cap == drawing.Square {
			if i == 0 {
				a = a.Sub(along.Mul(p.half))
			}
			if i+1 == last {
				b = b.Add(along.Mul(p.half))
			}
		}
		side := along.Left().Mul(p.half)
		p.polygon(a.Add(side), b.Add(side), b.Sub(side), a.Sub(side))
		if i > 0 {
			p.joint(pts[i-1], pts[i], pts[i+1])
		}
	}
	switch {
	case closed:
		p.joint(pts[last-1], pts[0], pts[1])
	case p.cap == drawing.Round:
		p.round(pts[0])
		p.round(pts[last])
	}
}

// joint rounds a corner, unless the turn is so small that its gap cannot be seen.
func (p *pen) joint(a, b, c curve.Point) {
	u, v := b.Sub(a).Unit(), c.Sub(b).Unit()
	if u.Dot(v) > 0 && math.Abs(u.Cross(v))*p.half*p.dots < near {
		return
	}
	p.round(b)
}

// circle has 16 corners, written out so that no processor's sine differs.
var circle = func() [16]curve.Point {
	const c1, c2, c3 = 0.9238795325112867, 0.7071067811865476, 0.3826834323650898
	return [16]curve.Point{{X: 1}, {X: c1, Y: c3}, {X: c2, Y: c2}, {X: c3, Y: c1}, {Y: 1}, {X: -c3, Y: c1}, {X: -c2, Y: c2}, {X: -c1, Y: c3},
		{X: -1}, {X: -c1, Y: -c3}, {X: -c2, Y: -c2}, {X: -c3, Y: -c1}, {Y: -1}, {X: c3, Y: -c1}, {X: c2, Y: -c2}, {X: c1, Y: -c3}}
}()

func (p *pen) round(at curve.Point) {
	var pts [16]curve.Point
	for i, k := range circle {
		pts[i] = at.Add(k.Mul(p.half))
	}
	p.polygon(pts[:]...)
}

func (p *pen) polygon(pts ...curve.Point) {
	out := make([]curve.Point, len(pts))
	for i, q := range pts {
		out[i] = p.to.Apply(q)
	}
	p.out = append(p.out, out)
}
