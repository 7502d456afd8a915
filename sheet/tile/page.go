package tile

import (
	"fmt"
	"math"

	"clothwright/curve"
	"clothwright/sheet/drawing"
)

// The look of what is not the figure: hair lines and grey, so that nobody takes it for a line to cut on.
var (
	trimLine = drawing.Hair.In(drawing.Dark)
	layLine  = drawing.Hair.In(drawing.Dark).Dashed(4, 2)
	halfMark = drawing.Hair.In(drawing.Dark).Filled(drawing.Color{R: 0xD8, G: 0xD8, B: 0xD8})
	note     = drawing.Type{Size: 2.3, Color: drawing.Mid}
	markName = drawing.Type{Size: 2.6, Color: drawing.Dark}
	ghost    = drawing.Color{R: 0xE2, G: 0xE2, B: 0xE2} // the big page name under the figure
)

const half = 3 // mm, half the size of a diamond

// page draws the i-th tile.
func (s *Set) page(t *Tile, i int) {
	p := &drawing.Page{W: s.Paper.W, H: s.Paper.H, Title: t.Name}
	t.Page = p
	w, h := window(s.Paper)
	p.Text(Margin+8, Margin+8+16, t.Name, drawing.Type{Size: 22, Bold: true, Color: ghost})
	win := drawing.Box(Margin, Margin, w, h)
	p.Show(s.figure, Margin-t.Window.Min.X, Margin-t.Window.Min.Y, &win)
	for _, e := range edges {
		if name, ok := s.neighbour(t.Row+e.down, t.Col+e.across); ok {
			e.draw(p, w, h, t.Name, name)
		}
	}
	s.edge(p, fmt.Sprintf("%s  ·  page %d of %d", t.Name, i+1, len(s.Tiles)))
}

// edge writes what stands in the free edge of every page: below what it is, above the warning.
func (s *Set) edge(p *drawing.Page, name string) {
	y := p.H - Margin + 3.9
	p.Text(Margin, y, name, drawing.Type{Size: 2.8, Bold: true})
	p.Text(p.W-Margin, y, "print at 100 %, no scaling", note.At(drawing.End))
	left, right := Margin+drawing.Type{Size: 2.8, Bold: true}.Measure(name)+5, p.W-Margin-note.Measure("print at 100 %, no scaling")-5
	p.Fit(left, y, right-left, s.options.Title, drawing.Type{Size: 2.8, Color: drawing.Dark})
	if s.options.Warning != "" {
		p.Fit(Margin, Margin-2, 0.7*(p.W-2*Margin), s.options.Warning, drawing.Type{Size: 3, Bold: true, Color: drawing.Accent})
	}
}

// side is one of the four edges a page can share with a neighbour. Its own frame has x along the joint and y across it,
// positive toward the middle of this page.
type side struct {
	down, across int
	first        bool // this page comes first and carries the lay line; else it is cut along its trim line
}

var edges = []side{{0, 1, true}, {1, 0, true}, {0, -1, false}, {-1, 0, false}}

// frame maps the edge's own frame to a page with a window of w by h, and gives the joint's length. The joint runs so that
// words along it stand on their feet, or read from the right.
func (e side) frame(w, h float64) (to curve.Affine, long float64) {
	switch {
	case e.across == 1: // right: along it upward, inside to the left
		return curve.Affine{XX: 0, XY: -1, YX: -1, YY: 0, DX: Margin + w - Overlap, DY: Margin + h}, h
	case e.across == -1: // left
		return curve.Affine{XX: 0, XY: 1, YX: -1, YY: 0, DX: Margin, DY: Margin + h}, h
	case e.down == 1: // below: along it to the right, inside upward
		return curve.Affine{XX: 1, XY: 0, YX: 0, YY: -1, DX: Margin, DY: Margin + h - Overlap}, w
	}
	return curve.Affine{XX: 1, XY: 0, YX: 0, YY: 1, DX: Margin, DY: Margin}, w
}

func (e side) draw(p *drawing.Page, w, h float64, mine, other string) {
	to, long := e.frame(w, h)
	at := func(x, y float64) curve.Point { return to.Apply(curve.Point{X: x, Y: y}) }
	turn := 0.0
	if e.across != 0 {
		turn = -math.Pi / 2
	}
	line, words := trimLine, "✂ cut here and lay on "+other
	if e.first {
		line, words = layLine, "lay "+other+" here"
	}
	a, b := at(0, 0), at(long, 0)
	p.Line(a.X, a.Y, b.X, b.Y, line)
	for _, part := range []float64{0.25, 0.75} {
		x := part * long
		p.Polygon(halfMark, at(x-half, 0), at(x, half), at(x+half, 0))
		c := at(x, half+2.2)
		p.Text(c.X, c.Y+0.95, mine, markName.At(drawing.Middle))
	}
	// The words stand in the strip that the neighbour will cover, or in the edge that is cut away; above at its right
	// end, since a warning may stand at its left.
	x, y, anchor := long/2, -Overlap/2., drawing.Middle
	if !e.first {
		y = -2.2
	}
	if e.down == -1 {
		x, anchor = long, drawing.End
	}
	c := at(x, y)
	foot := curve.Point{Y: 0.36 * note.Size}.Rotate(turn)
	p.Text(c.X+foot.X, c.Y+foot.Y, words, note.At(anchor).Turned(turn))
}
