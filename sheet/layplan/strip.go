package layplan

import (
	"fmt"
	"math"

	"clothwright/curve"
	"clothwright/sheet/drawing"
)

// Outline is a polygon and where it lies on a strip, in any unit: mirrored in x if Flipped, turned by Turn degrees about its
// origin from x towards y, then moved by (X, Y).
type Outline struct {
	Name    string
	Points  [][2]float64
	Flipped bool
	Turn    float64
	X, Y    float64
}

// ring is the polygon where it lies.
func (o Outline) ring() []curve.Point {
	out := make([]curve.Point, len(o.Points))
	for i, q := range o.Points {
		if o.Flipped {
			q[0] = -q[0]
		}
		out[i] = curve.Point{X: q[0], Y: q[1]}.Rotate(o.Turn * math.Pi / 180).Add(curve.Point{X: o.X, Y: o.Y})
	}
	return out
}

// Size of the picture of a strip, mm.
const (
	stripLong = 360.
	stripHigh = 250.
	stripAir  = 12.
)

// Strip draws polygons on a strip, its length across the page, with a line of words above.
func Strip(words string, width, length float64, outlines []Outline) *drawing.Drawing {
	k := math.Min(stripLong/math.Max(length, 1e-9), stripHigh/math.Max(width, 1e-9))
	size := drawing.Size{W: math.Max(length*k, 90) + 2*stripAir, H: width*k + 2*stripAir + 6}
	d := &drawing.Drawing{Title: words}
	p := d.Add(size)
	p.Fit(stripAir, stripAir, size.W-2*stripAir, words, drawing.Heading)
	top := stripAir + 6
	m := curve.Scale(k, k).Then(curve.Translate(curve.Point{X: stripAir, Y: top}))
	p.Line(stripAir, top, stripAir+length*k, top, drawing.Thin)
	p.Line(stripAir, top+width*k, stripAir+length*k, top+width*k, drawing.Thin)
	p.Line(stripAir, top, stripAir, top+width*k, drawing.Thin)
	p.Line(stripAir+length*k, top-2, stripAir+length*k, top+width*k+2, drawing.Thin.Dashed(3, 1.5))
	p.Text(stripAir+length*k, top+width*k+5.5, fmt.Sprintf("%.6g", length), drawing.Body.At(drawing.End))
	seen := drawing.Box(0, 0, size.W, size.H)
	for _, o := range outlines {
		ring := o.ring()
		for i, q := range ring {
			ring[i] = m.Apply(q)
		}
		p.Polygon(drawing.Thin.Filled(drawing.Pale), ring...)
		newPen(&p.Layer, ring, seen).label([]string{o.Name})
	}
	return d
}
