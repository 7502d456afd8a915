package sheet

import (
	"fmt"
	"math"
	"strings"

	"clothwright/curve"
	"clothwright/piece"
	"clothwright/sheet/drawing"
)

// edgeRow is one edge of a piece as it is cut: from mark to mark, how far outside the cut line lies, how it turns.
type edgeRow struct {
	letter, name, from, to, length, allowance, corner string
}

// edges says every edge, in order round the piece.
func (r reader) edges() []edgeRow {
	var out []edgeRow
	n := len(r.p.Edges)
	for i := range r.p.Edges {
		e, next := &r.p.Edges[i], &r.p.Edges[(i+1)%n]
		out = append(out, edgeRow{
			letter: letter(i), name: edgeName(e), from: r.place(e.Path.Start()), to: r.place(e.Path.End()),
			length: r.t.Fine(e.Length()), allowance: r.outside(e), corner: corner(e, next),
		})
	}
	return out
}

func edgeName(e *piece.Edge) string { return strings.ReplaceAll(e.Name, "_", " ") }

// outside says how far outside the seam line an edge is cut.
func (r reader) outside(e *piece.Edge) string {
	switch {
	case e.Finish == piece.Fold:
		return "on the fold"
	case e.Allowance == 0:
		return "on the line"
	}
	return r.t.Fine(e.Allowance)
}

// corner says how the cut line turns at the end of an edge.
func corner(e, next *piece.Edge) string {
	if e.Finish == piece.Fold || next.Finish == piece.Fold {
		return "run on to the fold"
	}
	if e.Allowance == 0 && next.Allowance == 0 {
		return "on the seam line"
	}
	how := e.Corner
	of, with := e, next
	if how == piece.Mitre {
		how, of, with = next.StartCorner, next, e
	}
	if how == piece.Mitre && next.Corner == piece.Mirror {
		how, of, with = piece.Mirror, next, e
	}
	switch how {
	case piece.Square:
		return fmt.Sprintf("%s ends square, flush with the cut line of %s", edgeName(of), edgeName(with))
	case piece.Mirror:
		return fmt.Sprintf("fold %s's allowance back on its seam, cut it as %s runs", edgeName(of), edgeName(with))
	}
	return "both run on until they meet"
}

// marks says notches, grain and what is marked inside.
func (r reader) marks() []string {
	var out []string
	for _, n := range r.p.Notches {
		e := r.p.Edge(n.Edge)
		if e == nil {
			continue
		}
		kind := pick(n.Kind == "double", "double notch", "single notch")
		q := e.Path.PointAt(n.At)
		if m := r.at(q); m != nil {
			out = append(out, fmt.Sprintf("*%s*: %s at %s, across the allowance of the %s.", full1(bare(n.Name)), kind, bare(r.mark(m.Name)), edgeName(e)))
			continue
		}
		from, far := e.Path.Start(), n.At
		if n.At > e.Length()/2 {
			from, far = e.Path.End(), e.Length()-n.At
		}
		out = append(out, fmt.Sprintf("*%s*: %s *%s* along the %s from %s.", full1(bare(n.Name)), kind, r.t.Fine(far), edgeName(e), bare(r.place(from))))
	}
	a, b := r.p.Grain[0], r.p.Grain[1]
	if a.Dist(b) > near {
		out = append(out, fmt.Sprintf("*Grain*: from %s to %s.", bare(r.place(a)), bare(r.place(b))))
	}
	for _, l := range r.p.Lines {
		name := l.Label
		if name == "" {
			name = strings.ReplaceAll(l.Name, "_", " ")
		}
		out = append(out, fmt.Sprintf("*%s*: mark from %s to %s; it is not cut.", full1(bare(name)), bare(r.place(l.Path.Start())), bare(r.place(l.Path.End()))))
	}
	return out
}

// cutting sets the finished piece with its cut lines, and the tables of edges and marks beside and below it.
func (s *set) cutting(f *drawing.Flow) {
	rows := s.r.edges()
	f.Space(3)
	p := s.r.p
	b := area(p)
	const picW = 58.
	high := 84.
	if left := f.Left() - 30; left < high && left > 62 { // a little smaller rather than on another page
		high = left
	}
	k := math.Min(0.3, math.Min((picW-16)/math.Max(b.W(), 1), high/math.Max(b.H(), 1)))
	picH := b.H()*k + 16
	w := f.W() - picW - 3
	t := drawing.Table{Type: drawing.Type{Size: 3.2}, Columns: []drawing.Column{
		{Title: "", Width: 6, Bold: true}, {Title: "Edge", Width: 0.38*w - 6}, {Title: "Cut outside", Width: 0.2 * w, Bold: true}, {Title: "Corner at its end", Width: 0.42 * w},
	}}
	for _, e := range rows {
		t.Rows = append(t.Rows, drawing.Row{Cells: []string{e.letter, e.name + ", " + fr(e.length) + "\n" + "to " + e.to, fr(e.allowance), e.corner}})
	}
	var marks []rich
	mh := 0.0
	for _, m := range s.r.marks() {
		r := lay(sentence(m), f.W(), drawing.Type{Size: 3.6, Leading: 1.35})
		marks = append(marks, r)
		mh += r.height() + 0.6
	}
	h := math.Max(t.Height(), picH)
	f.Heading("Cut lines: outside the seam lines, edge by edge", partType, h+5+math.Min(mh, 40))
	f.Space(1)
	top := f.Room(h + 3)
	l := &f.Page().Layer
	s.finished(l, f.X(), top, k, rows)
	l.Table(f.X()+picW+3, top, h+1, t)
	f.Room(0)
	for _, m := range marks {
		y := f.Room(m.height() + 0.6)
		m.draw(&f.Page().Layer, f.X(), y)
	}
}

// finished draws the piece with cut line, seam line, notches, grain and the letters of its edges.
func (s *set) finished(l *drawing.Layer, x, y, k float64, rows []edgeRow) {
	p := s.r.p
	b := area(p)
	m := curve.Scale(k, k).Then(curve.Translate(curve.Point{X: x + 8 - float64(b.Min.X*k), Y: y + 8 - float64(b.Min.Y*k)}))
	outline(l, p, m, smallPen)
	grain(l, p, m, 40, drawing.Thin)
	foldSign(l, p, m, 3, "fold", drawing.Type{Size: 2.4})
	room := placer{bounds: drawing.Box(x, y, b.W()*k+16, b.H()*k+16)}
	room.avoid(p.CutLine().Transform(m))
	room.avoid(p.SeamLine().Transform(m))
	if a, c := m.Apply(p.Grain[0]), m.Apply(p.Grain[1]); a.Dist(c) > 1 {
		room.take(curve.Bounds(a, c).Pad(1.2))
	}
	for i := range p.Edges {
		path := p.Edges[i].Path.Transform(m)
		whole := path.Length()
		room.label(l, rows[i].letter, drawing.Type{Size: 3.2, Bold: true}, math.Inf(1), func(w, h float64) []spot {
			var out []spot
			for k, at := range []float64{0.5, 0.4, 0.6, 0.3, 0.7} {
				n := path.TangentAt(whole * at).Left()
				offs := []float64{-3.2, 4.5, -4.5, 6}
				if p.Edges[i].Finish == piece.Fold { // its inside has the sign for the fold
					offs = []float64{3}
				}
				for _, off := range offs {
					bad := float64(k)*0.3 + math.Abs(off)*0.1
					out = append(out, spot{path.PointAt(whole * at).Add(n.Mul(off)), bad})
				}
			}
			return out
		})
	}
}
