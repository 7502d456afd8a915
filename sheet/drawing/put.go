package drawing

import (
	"math"

	"clothwright/curve"
	"clothwright/sheet/text"
)

// Line draws a straight line from (x1, y1) to (x2, y2).
func (l *Layer) Line(x1, y1, x2, y2 float64, s Style) {
	l.Put(Path{Paths: []curve.Path{{curve.Line(curve.Point{X: x1, Y: y1}, curve.Point{X: x2, Y: y2})}}, Style: s})
}

// Stroke draws open paths.
func (l *Layer) Stroke(s Style, paths ...curve.Path) { l.Put(Path{Paths: paths, Style: s}) }

// Outline draws closed outlines; with a fill in the style they are filled.
func (l *Layer) Outline(s Style, paths ...curve.Path) {
	l.Put(Path{Paths: paths, Closed: true, Style: s})
}

// Polygon draws the closed outline through the points.
func (l *Layer) Polygon(s Style, pts ...curve.Point) {
	l.Put(Path{Paths: []curve.Path{curve.Polyline(pts...)}, Closed: true, Style: s})
}

// Rect draws a rectangle with its top left corner at (x, y).
func (l *Layer) Rect(x, y, w, h float64, s Style) {
	l.Polygon(s, curve.Point{X: x, Y: y}, curve.Point{X: x + w, Y: y}, curve.Point{X: x + w, Y: y + h}, curve.Point{X: x, Y: y + h})
}

// Circle draws a circle of radius r about (x, y), as four cubics that are out by at most 0.027 % of r.
func (l *Layer) Circle(x, y, r float64, s Style) {
	at := func(dx, dy float64) curve.Point { return curve.Point{X: x + dx*r, Y: y + dy*r} }
	l.Outline(s, curve.Path{
		curve.Quarter(at(1, 0), at(1, 1), at(0, 1)), curve.Quarter(at(0, 1), at(-1, 1), at(-1, 0)),
		curve.Quarter(at(-1, 0), at(-1, -1), at(0, -1)), curve.Quarter(at(0, -1), at(1, -1), at(1, 0)),
	})
}

// Dot draws a filled circle of radius r about (x, y): a mark of the draft.
func (l *Layer) Dot(x, y, r float64, c Color) { l.Circle(x, y, r, Solid(c)) }

// Cross draws an upright cross with arms r long about (x, y): a point to lay on another.
func (l *Layer) Cross(x, y, r float64, s Style) {
	l.Line(x-r, y, x+r, y, s)
	l.Line(x, y-r, x, y+r, s)
}

// Arrow draws a line with a filled head at (x2, y2). The head is eight line widths long, at least 1.8 mm, never longer
// than the arrow.
func (l *Layer) Arrow(x1, y1, x2, y2 float64, s Style) {
	a, b := curve.Point{X: x1, Y: y1}, curve.Point{X: x2, Y: y2}
	n := math.Min(math.Max(8*s.Width, 1.8), a.Dist(b))
	dir := b.Sub(a).Unit()
	neck, side := b.Sub(dir.Mul(n)), dir.Left().Mul(n*0.3)
	if a.Dist(neck) > 0 {
		l.Line(a.X, a.Y, neck.X, neck.Y, s)
	}
	l.Polygon(Solid(s.Color), b, neck.Add(side), neck.Sub(side))
}

// Both draws a line with a head at each end, as for a grainline.
func (l *Layer) Both(x1, y1, x2, y2 float64, s Style) {
	mx, my := (x1+x2)/2, (y1+y2)/2
	l.Arrow(mx, my, x2, y2, s)
	l.Arrow(mx, my, x1, y1, s)
}

// Dimension draws a dimension line between two points, moved off them by off mm to the left of the way from the first to
// the second (to the right when negative), with its words above its middle and never upside down.
func (l *Layer) Dimension(x1, y1, x2, y2, off float64, words string, s Style, t Type) {
	a, b := curve.Point{X: x1, Y: y1}, curve.Point{X: x2, Y: y2}
	way := b.Sub(a).Unit()
	out := way.Left()
	if off < 0 {
		out = way.Right()
	}
	p, q := a.Add(way.Left().Mul(off)), b.Add(way.Left().Mul(off))
	if off != 0 {
		for _, e := range [][2]curve.Point{{a, p}, {b, q}} {
			from, to := e[0].Add(out.Mul(math.Min(1, math.Abs(off)))), e[1].Add(out.Mul(1))
			l.Line(from.X, from.Y, to.X, to.Y, s)
		}
	}
	l.Both(p.X, p.Y, q.X, q.Y, s)
	turn := way.Angle() // made such that the words read from below or from the right
	switch {
	case turn >= math.Pi/2-1e-9:
		turn -= math.Pi
	case turn < -math.Pi/2-1e-9:
		turn += math.Pi
	}
	up := curve.Point{Y: -1}.Rotate(turn).Mul(0.35 * t.Size)
	at := p.Lerp(q, 0.5).Add(up)
	t.Anchor, t.Turn = Middle, turn
	l.Text(at.X, at.Y, words, t)
}

// Text draws one line of words with its anchor on the baseline at (x, y).
func (l *Layer) Text(x, y float64, words string, t Type) {
	l.Put(Text{At: curve.Point{X: x, Y: y}, Words: words, Type: t})
}

// Fit is Text, set smaller where it would be wider than w mm, so that a long name stays in its place.
func (l *Layer) Fit(x, y, w float64, words string, t Type) {
	if wide := t.Measure(words); wide > w {
		t.Size *= w / wide
	}
	l.Text(x, y, words, t)
}

// Tag draws words on a white ground just large enough for them, so that lines behind do not cross them.
func (l *Layer) Tag(x, y float64, words string, t Type) {
	wide, air := t.Measure(words), 0.25*t.Size
	left := -wide * float64(t.Anchor) / 2
	g := &Group{To: curve.Rotate(t.Turn).Then(curve.Translate(curve.Point{X: x, Y: y}))}
	g.Rect(left-air, -text.CapHeight*t.Size-air, wide+2*air, text.CapHeight*t.Size+2*air, Solid(White))
	l.Put(g)
	l.Text(x, y, words, t)
}

// Paragraph draws words broken into lines w mm wide, beginning with its top at y and its left side at x, and returns its
// height. With Middle or End the lines are centred or flush right within x to x+w. Words that read from right to left
// begin at the right. Line ends in words are kept.
func (l *Layer) Paragraph(x, y, w float64, words string, t Type) float64 {
	lines := t.Wrap(words, w)
	l.lines(x, y, w, lines, t)
	return float64(len(lines)) * t.Pitch()
}

// ParagraphHeight returns the height [Layer.Paragraph] would take.
func ParagraphHeight(w float64, words string, t Type) float64 {
	return float64(len(t.Wrap(words, w))) * t.Pitch()
}

func (l *Layer) lines(x, y, w float64, lines []string, t Type) {
	t.Turn = 0
	for i, line := range lines {
		if line == "" {
			continue
		}
		one := t
		if t.Anchor == Start && text.RTL(line) {
			one.Anchor = End
		}
		l.Text(x+w*float64(one.Anchor)/2, y+t.drop()+float64(i)*t.Pitch(), line, one)
	}
}

// Show shows the figure with its top left corner at (x, y), full size, through the window clip (nil: all of it).
func (l *Layer) Show(f *Figure, x, y float64, clip *curve.Rect) {
	l.Put(Window{Figure: f, To: curve.Translate(curve.Point{X: x, Y: y}), Clip: clip})
}

// ShowScaled shows the whole figure with its top left corner at (x, y), at k times its size.
func (l *Layer) ShowScaled(f *Figure, x, y, k float64) {
	l.Put(Window{Figure: f, To: curve.Scale(k, k).Then(curve.Translate(curve.Point{X: x, Y: y}))})
}

// Within appends a group placed by the map to and seen through clip (nil: all of it), and returns it to draw in.
func (l *Layer) Within(to curve.Affine, clip *curve.Rect) *Group {
	g := &Group{To: to, Clip: clip}
	l.Put(g)
	return g
}
