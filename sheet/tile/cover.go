package tile

import (
	"fmt"
	"math"

	"clothwright/curve"
	"clothwright/sheet/drawing"
	"clothwright/sheet/text"
)

// The sides of the two squares to measure, in mm.
const (
	Metric = 100
	Inch   = 4 * 25.4
)

const squareGap = 12 // mm between the two squares, room for the second one's dimension

// Squares draws the two squares to measure, 100 mm and 4 in, with the top left corner of the first at (x, y): one below
// the other, or beside it if across. They measure from middle to middle of their lines. It returns the width and height
// taken.
func Squares(l *drawing.Layer, x, y float64, across bool) (w, h float64) {
	square(l, x, y, Metric, "100 mm")
	if across {
		square(l, x+Metric+squareGap, y, Inch, "4 in")
		return Metric + squareGap + Inch, Inch
	}
	square(l, x, y+Metric+squareGap, Inch, "4 in")
	return Inch, Metric + squareGap + Inch
}

func square(l *drawing.Layer, x, y, side float64, name string) {
	l.Rect(x, y, side, side, drawing.Hair)
	t := drawing.Type{Size: 3}
	l.Dimension(x, y+6, x+side, y+6, 0, name, drawing.Hair, t)
	l.Dimension(x+side-6, y, x+side-6, y+side, 0, name, drawing.Hair, t)
	w := side - 24
	top := y + side/2 - 10
	top += l.Paragraph(x+8, top, w, "Measure before cutting", drawing.Type{Size: 4.2, Bold: true})
	l.Paragraph(x+8, top+1, w, "Each side of this square is "+name+". If yours is not, print again at 100 %, no scaling.", drawing.Body)
}

// cover draws the first page: squares on the left, the map and how to join the pages on the right. It always stands
// upright.
func (s *Set) cover() {
	paper := s.options.Paper
	p := &drawing.Page{W: paper.W, H: paper.H, Title: "Map"}
	s.Cover = p
	const gap = 10
	title := s.options.Title
	if title == "" {
		title = "Full-size pieces"
	}
	top := float64(Margin + 4)
	top += p.Paragraph(Margin, top, paper.W-2*Margin, title, drawing.Type{Size: 5.5, Bold: true, Leading: 1.2})
	top += p.Paragraph(Margin, top, paper.W-2*Margin, fmt.Sprintf("Full-size pieces on %s of %s, and this map", pages(len(s.Tiles)), lies(s.Paper)), drawing.Small.Sized(3)) + 6
	squareTop := paper.H - Margin - 4 - (Metric + squareGap + Inch)
	squareTop = math.Min(squareTop, top+3)
	w, _ := Squares(&p.Layer, Margin, squareTop, false)
	x := Margin + w + gap
	wide := paper.W - Margin - x
	y := squareTop
	y += s.drawMap(&p.Layer, x, y, wide, 110) + 7
	for i, step := range steps(s) {
		p.Text(x, y+3.4, fmt.Sprintf("%d", i+1), drawing.Strong)
		y += p.Paragraph(x+5, y, wide-5, step, drawing.Body.Sized(3)) + 2
	}
	s.edge(p, "Map")
}

func pages(n int) string {
	if n == 1 {
		return "1 page"
	}
	return fmt.Sprintf("%d pages", n)
}

func lies(s drawing.Size) string {
	way := "upright"
	if s.W > s.H {
		way = "across"
	}
	name := fmt.Sprintf("%g × %g mm", math.Min(s.W, s.H), math.Max(s.W, s.H))
	for _, known := range []struct {
		size drawing.Size
		name string
	}{{drawing.A4, "A4"}, {drawing.A3, "A3"}, {drawing.Letter, "US Letter"}, {drawing.Tabloid, "US Tabloid"}} {
		if s == known.size || s == known.size.Across() {
			name = known.name
		}
	}
	return name + " " + way
}

func steps(s *Set) []string {
	out := []string{"Print at 100 %, no scaling, and measure the squares."}
	if len(s.Tiles) > 1 {
		out = append(out,
			"Cut each page along its trim lines (whole lines, left and above). Edges without one stay as they are.",
			"Lay it on the page before, its edge on the dashed line there, so that the half-diamonds make whole ones with both names.",
			"Glue or tape. Join the rows first, then row to row.")
	}
	if left := s.Rows*s.Cols - len(s.Tiles); left > 0 {
		out = append(out, fmt.Sprintf("Crossed out on the map: %s without a line, not printed.", pages(left)))
	}
	return out
}

// drawMap draws the whole figure small with the pages over it, at most wide by high mm, and returns its height.
func (s *Set) drawMap(l *drawing.Layer, x, y, wide, high float64) float64 {
	w, h := window(s.Paper)
	fullW, fullH := float64(s.Cols)*(w-Overlap)+Overlap, float64(s.Rows)*(h-Overlap)+Overlap
	k := math.Min(wide/fullW, high/fullH)
	cell := func(row, col int) curve.Rect {
		return drawing.Box(x+float64(col)*(w-Overlap)*k, y+float64(row)*(h-Overlap)*k, (w-Overlap)*k, (h-Overlap)*k)
	}
	size := math.Min(3, math.Min(cell(0, 0).W(), cell(0, 0).H())*0.3)
	for row := range s.Rows {
		for col := range s.Cols {
			c := cell(row, col)
			if _, ok := s.neighbour(row, col); !ok {
				l.Rect(c.Min.X, c.Min.Y, c.W(), c.H(), drawing.Solid(drawing.Pale))
			}
		}
	}
	small := curve.Scale(k, k).Then(curve.Translate(curve.Point{X: x, Y: y}))
	l.Stroke(drawing.Style{Width: 0.25, Cap: drawing.Round}, s.figure.Lines(small)...)
	for row := range s.Rows {
		for col := range s.Cols {
			c := cell(row, col)
			l.Rect(c.Min.X, c.Min.Y, c.W(), c.H(), drawing.Hair.In(drawing.Light))
			if name, ok := s.neighbour(row, col); ok {
				l.Tag(c.Min.X+0.4*size, c.Min.Y+(0.4+text.CapHeight)*size, name, drawing.Type{Size: size, Bold: true, Color: drawing.Dark})
				continue
			}
			l.Line(c.Min.X, c.Min.Y, c.Max.X, c.Max.Y, drawing.Hair.In(drawing.Light))
			l.Line(c.Min.X, c.Max.Y, c.Max.X, c.Min.Y, drawing.Hair.In(drawing.Light))
		}
	}
	return fullH * k
}
