package piece_test

import (
	"fmt"
	"strings"
	"testing"

	"clothwright/curve"
	"clothwright/piece"

	"pgregory.net/rapid"
)

// anyPiece draws a star-shaped piece with straight and bowed sides, each with its own allowance and corner rule.
func anyPiece(t *rapid.T) *piece.Piece {
	n := rapid.IntRange(4, 9).Draw(t, "n")
	pts := star(n, func(int) float64 { return rapid.Float64Range(90, 180).Draw(t, "radius") })
	p := bowed(pts, 0, func(int) float64 { return rapid.Float64Range(-0.12, 0.12).Draw(t, "bow") })
	for i := range p.Edges {
		e := &p.Edges[i]
		e.Allowance = rapid.SampledFrom([]float64{0, 5, 6, 10, 12.7, 15, 25}).Draw(t, "allowance")
		e.Corner = rapid.SampledFrom([]piece.Corner{piece.Mitre, piece.Mitre, piece.Square, piece.Mirror}).Draw(t, "corner")
		if rapid.Bool().Draw(t, "straight") {
			e.Path = curve.Path{curve.Line(e.Path.Start(), e.Path.End())}
		}
	}
	return p
}

// Whatever the allowances and rules, Finish draws a simple cut line round the seam line or says why not; and a piece this plain always
// gets one when its corners are mitred.
func TestAnyPieceHasACutLine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyPiece(t)
		mitred := true
		for i := range p.Edges {
			mitred = mitred && p.Edges[i].Corner == piece.Mitre
		}
		if err := p.Finish(); err != nil {
			if f := err.(*piece.Fault); f.Code != "crossing" {
				t.Fatalf("%v\n%s", err, describe(p))
			}
			return
		}
		seam, cut := p.Outline(0.05)
		if !curve.Simple(cut) || curve.PolygonArea(cut) < curve.PolygonArea(seam) {
			t.Fatalf("cut line %v", cut)
		}
		for _, q := range seam {
			if !curve.Contains(cut, q) {
				if _, d := p.CutLine().Nearest(q); d > 0.05 { // where there is no allowance the two lie on each other
					t.Fatalf("%v of the seam line lies %.3f mm outside the cut line", q, d)
				}
			}
		}
	})
}

// More allowance takes more cloth.
func TestAreaGrowsWithAllowance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyPiece(t)
		for i := range p.Edges {
			p.Edges[i].Corner = piece.Mitre
		}
		was := 0.0
		for _, a := range []float64{0, 3, 8, 20} {
			for i := range p.Edges {
				p.Edges[i].Allowance = a
			}
			if err := p.Finish(); err != nil {
				if f := err.(*piece.Fault); f.Code != "crossing" {
					t.Fatalf("%v\n%s", err, describe(p))
				}
				return
			}
			if p.CutArea() <= was {
				t.Fatalf("allowance %g takes %.0f mm², less took %.0f", a, p.CutArea(), was)
			}
			was = p.CutArea()
		}
	})
}

// describe prints a piece as control points, allowances and rules.
func describe(p *piece.Piece) string {
	var b strings.Builder
	for _, e := range p.Edges {
		fmt.Fprintf(&b, "%s %g %q", e.Name, e.Allowance, e.Corner)
		for _, s := range e.Path {
			fmt.Fprintf(&b, " %v %v", s.Straight(), s.Controls())
		}
		b.WriteByte('\n')
	}
	return b.String()
}
