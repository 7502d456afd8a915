package drawing

import "clothwright/curve"

// Column is one page that shows all pages of the drawing one below another, as wide as the widest, with a hairline where one ends: for
// a picture of the whole of it.
func (d *Drawing) Column() *Page {
	out := &Page{Title: d.Title}
	for i, p := range d.Pages {
		at := out.H
		out.W, out.H = max(out.W, p.W), at+p.H
		out.Put(&Group{To: curve.Translate(curve.Point{Y: at}), Layer: p.Layer})
		if i > 0 {
			out.Put(Path{Paths: []curve.Path{curve.Polyline(curve.Point{Y: at}, curve.Point{X: out.W, Y: at})}, Style: Hair.In(Light)})
		}
	}
	return out
}
