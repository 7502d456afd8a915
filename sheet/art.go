package sheet

import (
	"math"

	"clothwright/curve"
	"clothwright/piece"
	"clothwright/sheet/drawing"
	"clothwright/sheet/text"
)

// pen is how the lines of a piece are drawn: the cut line whole, the seam line dashed, so that a scissor follows the whole one.
type pen struct{ cut, seam, inside, fold drawing.Style }

var (
	fullPen  = pen{drawing.Medium, drawing.Thin.Dashed(6, 2.5), drawing.Thin.Dashed(1.2, 1.6), drawing.Medium.Dashed(14, 2, 2, 2)}
	smallPen = pen{drawing.Medium, drawing.Hair.Dashed(1.6, 0.9), drawing.Hair.Dashed(0.6, 0.8), drawing.Medium.Dashed(5, 1, 1, 1)}
)

// doubled is the distance between the two lines of a double notch, in mm: a quarter of an inch.
const doubled = 6.35

// outline draws the cut line, the seam line and what is marked inside a piece, mapped by m.
func outline(l *drawing.Layer, p *piece.Piece, m curve.Affine, pen pen) {
	cut := p.CutLine()
	if len(cut) > 0 {
		l.Outline(pen.cut, cut.Transform(m))
	}
	for i := range p.Edges {
		e := &p.Edges[i]
		switch {
		case e.Finish == piece.Fold:
			l.Stroke(pen.fold, e.Path.Transform(m))
		case e.Allowance > 0 || len(cut) == 0:
			l.Stroke(pen.seam, e.Path.Transform(m))
		}
	}
	for _, in := range p.Lines {
		l.Stroke(pen.inside, in.Path.Transform(m))
	}
	for _, n := range p.Notches {
		for _, s := range notch(p, n) {
			l.Stroke(drawing.Medium, s.Transform(m))
		}
	}
}

// notch gives the lines of a notch: across the allowance from the seam line out, and as long again for an edge without one.
func notch(p *piece.Piece, n piece.Notch) []curve.Path {
	e := p.Edge(n.Edge)
	if e == nil {
		return nil
	}
	deep := e.Allowance
	if deep < 3 {
		deep = 3
	}
	ats := []float64{n.At}
	if n.Kind == "double" {
		ats = []float64{n.At - doubled/2, n.At + doubled/2}
	}
	var out []curve.Path
	for _, at := range ats {
		at = math.Max(0, math.Min(at, e.Length()))
		foot := e.Path.PointAt(at)
		way := e.Path.TangentAt(at).Left().Mul(deep)
		if e.Allowance == 0 { // a cut edge: the notch is marked on the piece itself
			way = way.Mul(-1)
		}
		out = append(out, curve.Path{curve.Line(foot, foot.Add(way))})
	}
	return out
}

// grain draws the straight grain as an arrow with two heads, as long as it is on the piece but at most long mm.
func grain(l *drawing.Layer, p *piece.Piece, m curve.Affine, long float64, s drawing.Style) {
	a, b := m.Apply(p.Grain[0]), m.Apply(p.Grain[1])
	if a.Dist(b) < 1 {
		return
	}
	if d := a.Dist(b); d > long {
		mid := a.Lerp(b, 0.5)
		half := b.Sub(a).Unit().Mul(long / 2)
		a, b = mid.Sub(half), mid.Add(half)
	}
	l.Both(a.X, a.Y, b.X, b.Y, s)
}

// foldSign draws the sign for the fold: an arrow at either end of the fold edge, pointing to it, joined by a line inside the
// piece with the words along it.
func foldSign(l *drawing.Layer, p *piece.Piece, m curve.Affine, deep float64, words string, t drawing.Type) {
	for i := range p.Edges {
		e := &p.Edges[i]
		if e.Finish != piece.Fold {
			continue
		}
		path := e.Path.Transform(m)
		whole := path.Length()
		if whole < 4*deep {
			deep = whole / 4
		}
		s0, s1 := whole*0.2, whole*0.8
		a, b := path.PointAt(s0), path.PointAt(s1)
		in := path.TangentAt(whole / 2).Right().Mul(deep) // clockwise: the piece lies to the right
		l.Line(a.X+in.X, a.Y+in.Y, b.X+in.X, b.Y+in.Y, drawing.Thin)
		l.Arrow(a.X+in.X, a.Y+in.Y, a.X, a.Y, drawing.Thin)
		l.Arrow(b.X+in.X, b.Y+in.Y, b.X, b.Y, drawing.Thin)
		if words != "" && t.Measure(words) < a.Dist(b)-2 {
			along(l, a.Add(in), b.Add(in), in.Unit(), 0.35*t.Size, words, t)
		}
	}
}

// along sets words in the middle of a line, on the side of it that out points to and so far off, turned so that they read
// from below or from the right.
func along(l *drawing.Layer, a, b, out curve.Point, off float64, words string, t drawing.Type) {
	turn := b.Sub(a).Angle()
	for turn >= math.Pi/2-1e-9 {
		turn -= math.Pi
	}
	for turn < -math.Pi/2-1e-9 {
		turn += math.Pi
	}
	up := curve.Point{Y: -1}.Rotate(turn)
	at := a.Lerp(b, 0.5)
	if up.Dot(out) >= 0 {
		at = at.Add(up.Mul(off))
	} else {
		at = at.Sub(up.Mul(off + text.CapHeight*t.Size))
	}
	t.Anchor, t.Turn = drawing.Middle, turn
	l.Text(at.X, at.Y, words, t)
}

// area is the box round a piece: its cut line, its seam line and its marks.
func area(p *piece.Piece) curve.Rect {
	b := p.Bounds().Union(p.SeamLine().Bounds())
	for _, n := range p.Notches {
		for _, s := range notch(p, n) {
			b = b.Union(s.Bounds())
		}
	}
	return b
}
