package web

import (
	"math"
	"strconv"
	"strings"

	"github.com/a-h/templ"

	"clothwright/curve"
	"clothwright/piece"
)

// stroke is one path of a picture.
type stroke struct {
	Class string
	D     string
	Edge  string // "piece.edge" for what can be pointed at, else empty
	Piece string
}

// view is one picture of a piece: its strokes in a box, millimetres throughout.
type view struct {
	Box     string // as viewBox
	W, H    float64
	Strokes []stroke
	Name    string
	Title   string
	Cuts    string
	Was     bool // what it was lies under it
}

// pathData writes a path as SVG has it, to a tenth of a millimetre.
func pathData(p curve.Path) string {
	var b strings.Builder
	var at curve.Point
	for i, s := range p {
		c := s.Controls()
		if i == 0 || c[0].Dist(at) > 0.01 {
			b.WriteString("M" + xy(c[0]))
		}
		if s.Straight() {
			b.WriteString("L" + xy(c[3]))
		} else {
			b.WriteString("C" + xy(c[1]) + " " + xy(c[2]) + " " + xy(c[3]))
		}
		at = c[3]
	}
	return b.String()
}

func xy(p curve.Point) string { return tenth(p.X) + " " + tenth(p.Y) }

func tenth(v float64) string { return strconv.FormatFloat(math.Round(v*10)/10+0, 'f', -1, 64) }

// ring closes points into a path.
func ring(pts ...curve.Point) string {
	parts := make([]string, len(pts))
	for i, p := range pts {
		parts[i] = xy(p)
	}
	return "M" + strings.Join(parts, "L") + "Z"
}

func boxOf(r curve.Rect) string {
	return tenth(r.Min.X) + " " + tenth(r.Min.Y) + " " + tenth(r.W()) + " " + tenth(r.H())
}

// pieceView is one piece as it is cut: cut line, each edge of its seam line, what is inside, notches and grain.
func pieceView(p *piece.Piece, w *Words) view {
	v := view{Name: p.Name, Title: w.piece(p.Name, p.Title), Cuts: cutsOf(p, w)}
	cut := p.CutLine()
	v.Strokes = append(v.Strokes, stroke{Class: "cloth " + string(p.Material), D: pathData(cut) + "Z", Piece: p.Name})
	for i := range p.Edges {
		e := &p.Edges[i]
		class := "edge"
		if e.Finish == piece.Fold {
			class = "edge fold"
		}
		v.Strokes = append(v.Strokes, stroke{Class: class, D: pathData(e.Path), Edge: p.Name + "." + e.Name, Piece: p.Name})
	}
	for _, l := range p.Lines {
		v.Strokes = append(v.Strokes, stroke{Class: "inner " + l.Kind, D: pathData(l.Path), Edge: p.Name + "." + l.Name, Piece: p.Name})
	}
	for _, n := range p.Notches {
		v.Strokes = append(v.Strokes, stroke{Class: "notch", D: notchData(p, n), Piece: p.Name})
	}
	v.Strokes = append(v.Strokes, stroke{Class: "grain", D: grainData(p), Piece: p.Name})
	box := cut.Bounds().Pad(6)
	v.Box, v.W, v.H = boxOf(box), box.W(), box.H()
	return v
}

// notchData is a short line across the edge, twice for a double notch.
func notchData(p *piece.Piece, n piece.Notch) string {
	e := p.Edge(n.Edge)
	if e == nil {
		return ""
	}
	d := ""
	for k := 0; k < 1+strings.Count(n.Kind, "double"); k++ {
		s := n.At + float64(k)*8
		at, out := e.Path.PointAt(s), e.Path.TangentAt(s).Left()
		d += "M" + xy(at.Sub(out.Mul(5))) + "L" + xy(at.Add(out.Mul(9)))
	}
	return d
}

// grainData is the grain line with its two heads.
func grainData(p *piece.Piece) string {
	a, b := p.Grain[0], p.Grain[1]
	if a.Dist(b) < 1 {
		return ""
	}
	u := b.Sub(a).Unit()
	n := u.Left()
	head := func(at, way curve.Point) string {
		return "M" + xy(at.Add(way.Mul(12)).Add(n.Mul(5))) + "L" + xy(at) + "L" + xy(at.Add(way.Mul(12)).Sub(n.Mul(5)))
	}
	return "M" + xy(a) + "L" + xy(b) + head(a, u) + head(b, u.Mul(-1))
}

// cutsOf says how often a piece is cut.
func cutsOf(p *piece.Piece, w *Words) string {
	s := strconv.Itoa(p.Count) + " × " + w.Or("material."+string(p.Material), string(p.Material))
	switch {
	case p.OnFold:
		s += ", " + w.T("piece.onfold")
	case p.Pair:
		s += ", " + w.T("piece.pair")
	}
	return s
}

// gallery is every piece of a pattern.
func gallery(p *piece.Pattern, w *Words) []view {
	out := make([]view, len(p.Pieces))
	for i := range p.Pieces {
		out[i] = pieceView(&p.Pieces[i], w)
	}
	return out
}

// em is a length on the screen for so many millimetres: all pieces are drawn to one scale, which the page's type size sets.
func em(mm float64) string { return strconv.FormatFloat(mm/50, 'f', 2, 64) + "em" }

// pointing is how a stroke is found again when a finding means it.
func pointing(s stroke) templ.Attributes {
	out := templ.Attributes{}
	if s.Edge != "" {
		out["data-edge"] = s.Edge
	}
	if s.Piece != "" && strings.HasPrefix(s.Class, "cloth") {
		out["data-piece"] = s.Piece
	}
	return out
}

func side(i int) string { return [...]string{"front", "back"}[i] }

func itoa(n int) string { return strconv.Itoa(n) }
