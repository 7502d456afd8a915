package layplan

import (
	"math"

	"clothwright/curve"
	"clothwright/sheet/drawing"
	"clothwright/sheet/text"
)

// pen writes into one outline on the paper and keeps what it has written apart.
type pen struct {
	l     *drawing.Layer
	ring  []curve.Point
	seen  curve.Rect
	taken []curve.Rect
}

func newPen(l *drawing.Layer, ring []curve.Point, seen curve.Rect) *pen {
	return &pen{l: l, ring: ring, seen: seen}
}

// avoid keeps words off a line.
func (p *pen) avoid(a, b curve.Point) {
	p.taken = append(p.taken, curve.Bounds(a, b).Pad(0.5))
}

// free reports whether a box lies wholly in the outline, on this page, and apart from what is written.
func (p *pen) free(r curve.Rect) bool {
	if r.Min.X < p.seen.Min.X || r.Max.X > p.seen.Max.X || r.Min.Y < p.seen.Min.Y || r.Max.Y > p.seen.Max.Y {
		return false
	}
	for _, t := range p.taken {
		if t.Overlaps(r) {
			return false
		}
	}
	if !curve.Contains(p.ring, r.Center()) {
		return false
	}
	wide := r.Pad(0.3)
	for i, a := range p.ring {
		if wide.Meets(a, p.ring[(i+1)%len(p.ring)]) {
			return false
		}
	}
	return true
}

// beside writes the first of several wordings that fits next to a point.
func (p *pen) beside(at curve.Point, wordings []string) {
	for _, size := range []float64{2.4, 2.1} {
		for _, s := range wordings {
			if size < 2.3 && s == wordings[len(wordings)-1] {
				continue
			}
			t := drawing.Type{Size: size}
			w, h := t.Measure(s), size*text.CapHeight
			for _, d := range []curve.Point{{X: 1, Y: -h / 2}, {X: -1 - w, Y: -h / 2}, {X: 1, Y: -h - 0.8}, {X: -1 - w, Y: -h - 0.8}, {X: 1, Y: 0.8}, {X: -1 - w, Y: 0.8}, {X: -w / 2, Y: -h - 1.4}, {X: -w / 2, Y: 1.4}} {
				r := drawing.Box(at.X+d.X, at.Y+d.Y, w, h)
				if p.free(r.Pad(0.15)) {
					p.l.Text(r.Min.X, r.Max.Y, s, t)
					p.taken = append(p.taken, r.Pad(0.4))
					return
				}
			}
			if s == wordings[0] && size > 2.3 {
				continue
			}
		}
	}
	s := wordings[len(wordings)-1]
	t := drawing.Type{Size: 2.1}
	p.l.Tag(at.X+0.9, at.Y+0.7, s, t)
}

// label writes number, name and layers as large as they fit, level or along the cloth; at the least the number.
func (p *pen) label(words []string) {
	for n := len(words); n > 0; n-- {
		for _, size := range []float64{3.6, 3.2, 2.8, 2.4, 2.1} {
			if n == 1 && size < 2.4 {
				continue
			}
			for _, upright := range []bool{false, true} {
				if p.block(words[:n], size, upright) {
					return
				}
			}
		}
	}
	b := curve.Bounds(p.ring...)
	c := b.Center()
	c.Y = math.Max(p.seen.Min.Y+2, math.Min(p.seen.Max.Y-2, c.Y))
	p.l.Tag(c.X, c.Y+0.8, words[0], drawing.Type{Size: 2.1, Bold: true, Anchor: drawing.Middle})
}

// block writes lines one below the other where they fit, nearest to the middle.
func (p *pen) block(words []string, size float64, upright bool) bool {
	types := make([]drawing.Type, len(words))
	w, h := 0.0, 0.0
	for i := range words {
		types[i] = drawing.Type{Size: size, Anchor: drawing.Middle}
		switch i {
		case 0:
			types[i].Size, types[i].Bold = size*1.25, true
		case 2:
			types[i].Size, types[i].Color = size*0.85, drawing.Dark
		}
		w = math.Max(w, types[i].Measure(words[i]))
		h += types[i].Size * 1.2
	}
	bw, bh := w, h
	if upright {
		bw, bh = h, w
	}
	b := curve.Bounds(p.ring...).Common(p.seen)
	if bw > b.W() || bh > b.H() {
		return false
	}
	best, far := curve.Point{}, math.Inf(1)
	const n = 24
	for i := 0; i <= n; i++ {
		for k := 0; k <= n; k++ {
			c := curve.Point{X: b.Min.X + bw/2 + (b.W()-bw)*float64(i)/n, Y: b.Min.Y + bh/2 + (b.H()-bh)*float64(k)/n}
			if d := c.Dist(b.Center()); d < far && p.free(drawing.Box(c.X-bw/2, c.Y-bh/2, bw, bh)) {
				best, far = c, d
			}
		}
	}
	if math.IsInf(far, 1) {
		return false
	}
	p.taken = append(p.taken, drawing.Box(best.X-bw/2, best.Y-bh/2, bw, bh))
	y := -h / 2
	for i, s := range words {
		t := types[i]
		y += t.Size * 1.2
		base := curve.Point{Y: y - 0.28*t.Size}
		if upright {
			base = base.Rotate(math.Pi / 2)
			t.Turn = math.Pi / 2
		}
		p.l.Text(best.X+base.X, best.Y+base.Y, s, t)
	}
	return true
}
