package sheet

import (
	"math"

	"clothwright/curve"
	"clothwright/sheet/drawing"
	"clothwright/sheet/text"
)

// placer finds room for labels: it knows the boxes that are taken and the lines that are better not covered.
type placer struct {
	bounds curve.Rect
	boxes  []curve.Rect
	lines  [][2]curve.Point
}

// Costs of a place, in mm of distance from where the label would best be.
const (
	costBox   = 60.
	costLine  = 5.
	costLeave = 400.
)

func (p *placer) take(r curve.Rect) { p.boxes = append(p.boxes, r) }

// avoid adds a path that labels should not lie on.
func (p *placer) avoid(path curve.Path) {
	pts := path.Flatten(0.4)
	for i := 1; i < len(pts); i++ {
		p.lines = append(p.lines, [2]curve.Point{pts[i-1], pts[i]})
	}
}

// cost is how bad it is to write in a box.
func (p *placer) cost(r curve.Rect) float64 {
	c := 0.0
	if r.Min.X < p.bounds.Min.X || r.Min.Y < p.bounds.Min.Y || r.Max.X > p.bounds.Max.X || r.Max.Y > p.bounds.Max.Y {
		c += costLeave
	}
	for _, b := range p.boxes {
		if both := r.Common(b); both.W() > 0 && both.H() > 0 {
			c += costBox + float64(both.W()*both.H())
		}
	}
	hit := 0
	for _, s := range p.lines {
		if r.Meets(s[0], s[1]) {
			hit++
		}
	}
	return c + costLine*math.Min(float64(hit), 4)
}

// spot is one place a label may stand, and how unwelcome it is there even when it is free.
type spot struct {
	at  curve.Point // the middle of the label
	bad float64
}

// best returns the cheapest spot for a box of w by h and its cost; the first of equals.
func (p *placer) best(w, h float64, spots []spot) (curve.Point, float64) {
	least, at := math.Inf(1), curve.Point{}
	for _, s := range spots {
		if c := p.cost(boxAt(s.at, w, h)) + s.bad; c < least-1e-9 {
			least, at = c, s.at
		}
	}
	return at, least
}

func boxAt(mid curve.Point, w, h float64) curve.Rect { return drawing.Box(mid.X-w/2, mid.Y-h/2, w, h) }

// round gives spots in rings round a point: to the right first, then left, above, below and between.
func round(c curve.Point, w, h float64, rings ...float64) []spot {
	ways := []curve.Point{{X: 1}, {X: -1}, {Y: -1}, {Y: 1}, {X: 0.75, Y: -0.75}, {X: -0.75, Y: -0.75}, {X: 0.75, Y: 0.75}, {X: -0.75, Y: 0.75}}
	var out []spot
	for i, d := range rings {
		for k, v := range ways {
			out = append(out, spot{c.Add(curve.Point{X: v.X * (w/2 + d), Y: v.Y * (h/2 + d)}), float64(i)*1.5 + float64(k)*0.1})
		}
	}
	return out
}

// label writes words at the best of the spots, when it costs no more than most, and reports whether it did.
func (p *placer) label(l *drawing.Layer, words string, t drawing.Type, most float64, spots func(w, h float64) []spot) bool {
	w, h := t.Measure(words)+0.8, text.CapHeight*t.Size+0.9
	at, cost := p.best(w, h, spots(w, h))
	if cost > most {
		return false
	}
	l.Text(at.X, at.Y+text.CapHeight*t.Size/2, words, t.At(drawing.Middle))
	p.take(boxAt(at, w, h))
	return true
}
