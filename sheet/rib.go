package sheet

import (
	"fmt"
	"math"
	"strings"

	"clothwright/curve"
	"clothwright/piece"
	"clothwright/sheet/drawing"
	"clothwright/tape"
)

// band reports whether a piece is a plain rectangle of rib, which needs no steps to chalk.
func band(p *piece.Piece) bool {
	if p.Material != piece.Rib || p.CopyOf != "" {
		return false
	}
	for _, s := range p.SeamLine() {
		v := s.End().Sub(s.Start())
		if !s.Straight() || math.Abs(v.X) > near && math.Abs(v.Y) > near {
			return false
		}
	}
	return true
}

// bandSize is a rectangle's size: sewn on its seam lines and cut on its cut lines, the whole length also when it is cut on
// the fold.
type bandSize struct{ long, high, cutLong, cutHigh float64 }

func sizeOf(p *piece.Piece) bandSize {
	sewn, cut := p.SeamLine().Bounds(), p.Bounds()
	whole := 1.0
	if p.OnFold {
		whole = 2
	}
	return bandSize{sewn.W() * whole, sewn.H(), cut.W() * whole, cut.H()}
}

// folded reports whether a rib is folded along its length, so that half its height shows.
func folded(p *piece.Piece) bool {
	for _, l := range p.Lines {
		if l.Kind == "fold" {
			return true
		}
	}
	return false
}

func ribBlock(f *drawing.Flow, j Job, ribs []*piece.Piece) {
	if len(ribs) == 0 {
		return
	}
	f.Heading("Ribs", pieceType, 40)
	f.Space(1)
	f.Paragraph("Rectangles: measure the rib lying flat, not stretched; its ribs run along the height. The first figure runs along the seam it is sewn to.", drawing.Type{Size: 3.6})
	f.Space(2)
	t := drawing.Table{Type: drawing.Type{Size: 3.6}, Columns: []drawing.Column{
		{Title: "Piece", Width: 25, Bold: true}, {Title: "Count", Width: 16}, {Title: "Cut", Width: 36, Bold: true}, {Title: "On the seam lines", Width: 38}, {Title: "Marks", Width: f.W() - 115},
	}}
	for _, p := range ribs {
		s := sizeOf(p)
		t.Add(titled(p), fmt.Sprint(p.Count), fr(times(j.Tape, s.cutLong, s.cutHigh)), fr(times(j.Tape, s.long, s.high)), fr(strings.Join(ribMarks(j.Tape, p), " ")))
	}
	f.Table(t)
	f.Space(3)
	for _, p := range ribs {
		ribPicture(f, j.Tape, p)
	}
}

func times(t tape.Tape, a, b float64) string { return t.Fine(a) + " × " + t.Fine(b) }

// ribMarks says folds, notches and allowances of a rib band.
func ribMarks(t tape.Tape, p *piece.Piece) []string {
	var out []string
	if p.OnFold {
		out = append(out, "Notch the middle of the length.")
	}
	if folded(p) {
		out = append(out, fmt.Sprintf("Fold along the middle: %s shows.", t.Fine(sizeOf(p).high/2)))
	}
	for _, l := range p.Lines {
		if l.Kind == "fold" {
			continue
		}
		b := l.Path.Bounds()
		out = append(out, fmt.Sprintf("%s: %s along and %s up from the corner, marked and not cut.", full1(ribLine(l)), t.Fine(b.W()), t.Fine(b.H())))
	}
	for _, n := range p.Notches {
		e := p.Edge(n.Edge)
		if e == nil {
			continue
		}
		at := e.Path.PointAt(n.At)
		if p.OnFold {
			out = append(out, fmt.Sprintf("%s: notch %s from the middle, both ways.", full1(n.Name), t.Fine(at.X)))
		} else {
			out = append(out, fmt.Sprintf("%s: notch %s from the seam line at the end.", full1(n.Name), t.Fine(at.X)))
		}
	}
	var seams []string
	seen := map[string]bool{}
	for i := range p.Edges {
		if e := &p.Edges[i]; e.Allowance > 0 {
			if a := t.Fine(e.Allowance); !seen[a] {
				seen[a] = true
				seams = append(seams, a)
			}
		}
	}
	if len(seams) > 0 {
		out = append(out, "Seams "+strings.Join(seams, ", ")+" inside the cut line.")
	}
	if strings.Contains(strings.ToLower(p.Note), "ready band") {
		out = append(out, "Ready band: the finished edge is not cut.")
	}
	return out
}

// ribLine is what a line inside a band is called.
func ribLine(l piece.Line) string {
	if l.Label != "" {
		return l.Label
	}
	return strings.ReplaceAll(l.Name, "_", " ")
}

// ribPicture shows a band whole, with its notches, fold and middle.
func ribPicture(f *drawing.Flow, t tape.Tape, p *piece.Piece) {
	s := sizeOf(p)
	k := math.Min(0.2, (f.W()-44)/s.cutLong)
	h := s.cutHigh * k
	top := f.Room(h + 9)
	l := &f.Page().Layer
	x := f.X() + 30
	put(l, f.X(), top+h/2+4, 28, titled(p), drawing.Strong)
	b := p.Bounds()
	m := curve.Scale(k, k).Then(curve.Translate(curve.Point{X: x - float64(b.Min.X*k), Y: top + 4 - float64(b.Min.Y*k)}))
	if p.OnFold {
		m = curve.Scale(k, k).Then(curve.Translate(curve.Point{X: x + s.cutLong*k/2, Y: top + 4 - float64(b.Min.Y*k)}))
		l.Line(x+s.cutLong*k/2, top+4, x+s.cutLong*k/2, top+4+h, drawing.Hair.Dashed(2, 1))
		outline(l, p, curve.MirrorX(0).Then(m), ribPen)
	}
	outline(l, p, m, ribPen)
	l.Dimension(x, top+4, x+s.cutLong*k, top+4, 1.5, fr(t.Fine(s.cutLong)), drawing.Hair, drawing.Type{Size: 2.6})
	l.Text(x+s.cutLong*k+2, top+4+h/2+1, fr(t.Fine(s.cutHigh)), drawing.Type{Size: 2.6})
}

var ribPen = pen{drawing.Thin, drawing.Hair.Dashed(1.6, 0.9), drawing.Hair.Dashed(0.6, 0.8), drawing.Hair.Dashed(2, 1)}

// twin finds an earlier piece that is cut exactly alike, nil when there is none.
func twin(pattern *piece.Pattern, p *piece.Piece) *piece.Piece {
	if p.CopyOf != "" {
		return nil
	}
	for i := range pattern.Pieces {
		q := &pattern.Pieces[i]
		if q.Name == p.Name {
			return nil
		}
		if q.CopyOf == "" && q.OnFold == p.OnFold && q.Pair == p.Pair && alike(q, p) {
			return q
		}
	}
	return nil
}

func alike(a, b *piece.Piece) bool {
	if len(a.Edges) != len(b.Edges) || len(a.Notches) != len(b.Notches) || len(a.Lines) != len(b.Lines) {
		return false
	}
	for i := range a.Edges {
		e, f := &a.Edges[i], &b.Edges[i]
		if e.Allowance != f.Allowance || e.Corner != f.Corner || (e.Finish == piece.Fold) != (f.Finish == piece.Fold) || !sameEdge(e, f) {
			return false
		}
	}
	for i := range a.Notches {
		if a.Notches[i].Edge != b.Notches[i].Edge || math.Abs(a.Notches[i].At-b.Notches[i].At) > near {
			return false
		}
	}
	return true
}

// copyBlock names the pieces that repeat others: a line each.
func copyBlock(f *drawing.Flow, j Job, copies []*piece.Piece) {
	if len(copies) == 0 {
		return
	}
	f.Space(3)
	f.Heading("Pieces that repeat others", pieceType, 20)
	f.Space(1)
	for _, p := range copies {
		item(f, "–", copySentence(j, p), drawing.Type{Size: 3.8})
	}
}

// copySentence says how a piece that repeats another is chalked.
func copySentence(j Job, p *piece.Piece) string {
	if q := twin(j.Pattern, p); q != nil {
		return fmt.Sprintf("%s, %s: the same shape as the %s. Lay the cut one on and chalk round it, or cut both at once.", titled(p), cuts(p), strings.ToLower(titled(q)))
	}
	of := j.Pattern.Piece(p.CopyOf)
	name := p.CopyOf
	if of != nil {
		name = strings.ToLower(titled(of))
	}
	all, one := true, -1.0
	for i := range p.Edges {
		e := &p.Edges[i]
		if e.Finish == piece.Fold {
			continue
		}
		if one >= 0 && e.Allowance != one {
			all = false
		}
		one = e.Allowance
	}
	how := "chalk round the seam line and cut on it"
	if one > 0 && all {
		how = fmt.Sprintf("chalk round the seam line and cut %s outside it", fr(j.Tape.Fine(one)))
	}
	words := fmt.Sprintf("%s, %s: lay the cut %s on, %s.", titled(p), cuts(p), name, how)
	if p.OnFold {
		words += " The fold lies on the fold."
	}
	if p.Note != "" {
		words += " " + full(p.Note)
	}
	return words
}
