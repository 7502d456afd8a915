package sheet

import (
	"fmt"
	"math"

	"clothwright/curve"
	"clothwright/piece"
	"clothwright/sheet/drawing"
)

// PiecesSVG is one page with all pieces to one scale, for a screen or a page of text: its size is what the pieces need. It fails with
// a sentence when the job has no piece or no known paper.
func PiecesSVG(j Job) (*drawing.Drawing, error) {
	if err := j.check(); err != nil {
		return nil, err
	}
	const w, top = 280., 16.
	g := newGallery(j, w-16, 0.125)
	d := &drawing.Drawing{Title: j.Garment}
	p := d.Add(drawing.Size{W: w, H: top + g.h + 14})
	p.Title = "Pieces"
	p.Rect(0, 0, p.W, p.H, drawing.Solid(drawing.White))
	put(&p.Layer, 8, 10, w-60, j.Garment, drawing.Type{Size: 5.5, Bold: true})
	p.Text(w-8, 10, fmt.Sprintf("1 : %.0f", 1/g.k), drawing.Type{Size: 3.4, Color: drawing.Dark, Anchor: drawing.End})
	g.draw(&p.Layer, 8, top)
	p.Fit(8, p.H-5, w-16, "Whole line: cut.  Dashed: seam.  Dash and dots: fold.", drawing.Small)
	if len(j.stops()) > 0 {
		p.Fit(8, p.H-9, w-16, j.warning(), drawing.Type{Size: 3.6, Bold: true, Color: drawing.Accent})
	}
	return d, nil
}

// gallery is all pieces to one scale in rows.
type gallery struct {
	j     Job
	k     float64
	h     float64
	cells []cell
}

type cell struct {
	p    *piece.Piece
	x, y float64 // its top left corner
	w, h float64
}

const (
	cellAir  = 5.
	cellName = 9.5 // mm below a piece for its name and count
	mostName = 42. // mm a name may take beyond its piece
)

// newGallery arranges the pieces, in the pattern's order, in rows w mm wide at scale k.
func newGallery(j Job, w, k float64) gallery {
	g := gallery{j: j, k: k}
	ps := j.fullPieces()
	x, y, row := 0.0, 0.0, 0.0
	name := drawing.Type{Size: 3, Bold: true}
	for _, p := range ps {
		b := area(p)
		wide := math.Max(name.Measure(titled(p)), drawing.Small.Measure(cuts(p)))
		c := cell{p: p, w: math.Max(b.W()*k, math.Min(wide, mostName)) + cellAir, h: b.H()*k + cellName + cellAir + 3.2*float64(len(j.copiesOf(p)))}
		if x > 0 && x+c.w > w {
			x, y, row = 0, y+row, 0
		}
		c.x, c.y = x, y
		x += c.w
		row = math.Max(row, c.h)
		g.cells = append(g.cells, c)
	}
	g.h = y + row
	return g
}

// fit makes the gallery that fills w by h mm at the largest scale.
func fitGallery(j Job, w, h float64) gallery {
	g := newGallery(j, w, 0.05)
	for k := 0.2; k > 0.02; k *= 0.96 {
		if g = newGallery(j, w, k); g.h <= h {
			break
		}
	}
	return g
}

func (g gallery) draw(l *drawing.Layer, x, y float64) {
	for _, c := range g.cells {
		b := area(c.p)
		m := curve.Scale(g.k, g.k).Then(curve.Translate(curve.Point{X: x + c.x - float64(b.Min.X*g.k), Y: y + c.y - float64(b.Min.Y*g.k)}))
		outline(l, c.p, m, galleryPen)
		grain(l, c.p, m, 20, drawing.Hair)
		base := y + c.y + b.H()*g.k + 4.2
		put(l, x+c.x, base, c.w-cellAir+0.1, titled(c.p), drawing.Type{Size: 3, Bold: true})
		base += 3.6
		put(l, x+c.x, base, c.w-cellAir+0.1, cuts(c.p), drawing.Small)
		for _, q := range g.j.copiesOf(c.p) {
			base += 3.2
			put(l, x+c.x, base, c.w-cellAir+0.1, fmt.Sprintf("and %d × %s", q.Count, q.Material), drawing.Small)
		}
	}
}

var galleryPen = pen{drawing.Thin, drawing.Hair.Dashed(1.2, 0.8), drawing.Hair.Dashed(0.5, 0.6), drawing.Thin.Dashed(4, 0.8, 0.8, 0.8)}
