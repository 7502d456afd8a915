package bitmap

import (
	"image"

	"clothwright/curve"
	"clothwright/sheet/drawing"
)

// canvas draws items onto dots.
type canvas struct {
	picture *image.NRGBA
	w, h    int
	fill    filler
}

func newCanvas(w, h int) *canvas {
	c := &canvas{picture: image.NewNRGBA(image.Rect(0, 0, w, h)), w: w, h: h, fill: filler{w: w, h: h}}
	for i := range c.picture.Pix {
		c.picture.Pix[i] = 255
	}
	return c
}

// fit maps a page of w by h mm onto all the dots.
func (c *canvas) fit(w, h float64) curve.Affine { return curve.Scale(float64(c.w)/w, float64(c.h)/h) }

// items draws items whose coordinates are mapped to dots by to, where the mask lets them.
func (c *canvas) items(items []drawing.Item, to curve.Affine, m *mask) {
	for _, it := range items {
		switch it := it.(type) {
		case drawing.Path:
			c.path(it, to, m)
		case drawing.Text:
			c.text(it, to, m)
		case *drawing.Group:
			c.items(it.Items, it.Map().Then(to), c.clip(it.Clip, to, m))
		case drawing.Window:
			inside := it.Map().Then(to)
			whole := drawing.Box(0, 0, it.Figure.W, it.Figure.H)
			c.items(it.Figure.Items, inside, c.clip(&whole, inside, c.clip(it.Clip, to, m)))
		}
	}
}

func (c *canvas) path(p drawing.Path, to curve.Affine, m *mask) {
	s := p.Style
	if s.Fill != nil && p.Closed {
		c.put(contours(p.Paths, to), *s.Fill, m)
	}
	if s.Width > 0 {
		c.put(stroked(p, to), s.Color, m)
	}
}

// text draws one line of words as the outlines of its letters.
func (c *canvas) text(t drawing.Text, to curve.Affine, m *mask) {
	line := t.Type.Lay(t.Words)
	shift := -line.Width * float64(t.Type.Anchor) / 2
	at := curve.Translate(curve.Point{X: shift}).Then(curve.Rotate(t.Type.Turn)).Then(curve.Translate(t.At)).Then(to)
	c.put(contours(line.Ink(t.Type.Size), at), t.Type.Color, m)
}

// put inks everything that lies in the outlines, by the non-zero rule.
func (c *canvas) put(outlines [][]curve.Point, ink drawing.Color, m *mask) {
	c.fill.cover(outlines, func(x, y int, part uint32) {
		part = m.let(c.w, x, y, part)
		if part == 0 {
			return
		}
		px := c.picture.Pix[4*(y*c.w+x):]
		for i, k := range [3]uint8{ink.R, ink.G, ink.B} {
			px[i] = uint8((uint32(px[i])*(whole-part) + uint32(k)*part + whole/2) / whole)
		}
	})
}

// mask says how much of each dot may be inked; nil lets everything through.
type mask struct{ part []uint16 }

func (m *mask) let(w, x, y int, part uint32) uint32 {
	if m == nil {
		return part
	}
	return part * uint32(m.part[y*w+x]) / whole
}

// clip is the mask m with only the box r, mapped by to, still open.
func (c *canvas) clip(r *curve.Rect, to curve.Affine, m *mask) *mask {
	if r == nil {
		return m
	}
	box := curve.Polyline(r.Min, curve.Point{X: r.Max.X, Y: r.Min.Y}, r.Max, curve.Point{X: r.Min.X, Y: r.Max.Y})
	out := &mask{make([]uint16, c.w*c.h)}
	c.fill.cover(contours([]curve.Path{box}, to), func(x, y int, part uint32) {
		out.part[y*c.w+x] = uint16(m.let(c.w, x, y, part))
	})
	return out
}
