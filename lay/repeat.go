package lay

import (
	"math"

	"clothwright/curve"
	"clothwright/lay/pack"
	"clothwright/phrase"
	"clothwright/piece"
)

// Match says that a point of a piece falls on the repeat of stripes or checks: along the cloth a whole number of repeats from its
// end, across it a whole number from the fold, or from the usable cloth's left edge where that is no fold. The point need not lie inside the
// piece. A piece has one match; points of several pieces that meet when sewn are told in terms of their pieces' own points.
type Match struct {
	Job   string // of which work; empty for any
	Piece string
	At    curve.Point // on the piece, mm
}

// steep is how many times more down than across an edge must run to be matched along its length.
const steep = 2.0

// MatchSeams works out which points of which pieces of a material must fall on the repeat, so that stripes and checks run on
// across the seams of one work; those of several laid together each have their own points. From the first piece on, a plain seam of two steep edges (a side seam) matches their upper ends, and an
// eased seam (a sleeve in its armhole) its first notch of the same name. Across, the line x = 0 of every piece, its centre, falls
// on the repeat. Pieces that no such seam reaches are left free. Common practice.
func MatchSeams(w Work, m piece.Material) []Match {
	p := w.Pattern
	type link struct {
		a, b   string
		pa, pb curve.Point
	}
	var links []link
	for _, s := range p.Seams {
		if len(s.A) == 0 || len(s.B) == 0 {
			continue
		}
		a, b := s.A[0], s.B[0]
		pa, pb, ok := meeting(p, s, a, b)
		qa, qb := p.Piece(a.Piece()), p.Piece(b.Piece())
		if ok && qa != nil && qb != nil && qa.Material == m && qb.Material == m && qa != qb {
			links = append(links, link{a.Piece(), b.Piece(), pa, pb})
		}
	}
	if len(links) == 0 {
		return nil
	}
	at := map[string]float64{links[0].a: links[0].pa.Y}
	for range links {
		for _, l := range links {
			ya, oka := at[l.a]
			yb, okb := at[l.b]
			switch {
			case oka && !okb:
				at[l.b] = ya - l.pa.Y + l.pb.Y
			case okb && !oka:
				at[l.a] = yb - l.pb.Y + l.pa.Y
			}
		}
	}
	var out []Match
	for i := range p.Pieces {
		if y, ok := at[p.Pieces[i].Name]; ok {
			out = append(out, Match{w.Job, p.Pieces[i].Name, curve.Point{Y: y}})
		}
	}
	return out
}

// meeting finds the two points of a seam that are to fall on the same place of the repeat.
func meeting(p *piece.Pattern, s piece.Seam, a, b piece.Ref) (pa, pb curve.Point, ok bool) {
	ea, eb := p.Edge(a), p.Edge(b)
	if ea == nil || eb == nil {
		return pa, pb, false
	}
	if s.Kind == piece.Plain && len(s.A) == 1 && len(s.B) == 1 {
		pa, oka := upperEnd(ea)
		pb, okb := upperEnd(eb)
		return pa, pb, oka && okb
	}
	if s.Kind != piece.Eased {
		return pa, pb, false
	}
	for _, n := range p.Piece(a.Piece()).Notches {
		for _, k := range p.Piece(b.Piece()).Notches {
			if n.Edge == ea.Name && k.Edge == eb.Name && n.Name == k.Name && n.Name != "" {
				return ea.Path.PointAt(n.At), eb.Path.PointAt(k.At), true
			}
		}
	}
	return pa, pb, false
}

func upperEnd(e *piece.Edge) (curve.Point, bool) {
	a, b := e.Path.Start(), e.Path.End()
	if a.Y > b.Y {
		a, b = b, a
	}
	return a, b.Y-a.Y >= steep*math.Abs(b.X-a.X) && b.Y > a.Y
}

// matched reports whether anything must fall on a repeat.
func (c *Cloth) matched() bool { return len(c.Matches) > 0 && (c.Along > 0 || c.Across > 0) }

// matchOf is the match of a shape's piece, nil when it may lie anywhere.
func (c *Cloth) matchOf(s *shape) *Match {
	if !c.matched() {
		return nil
	}
	for i := range c.Matches {
		if m := &c.Matches[i]; m.Piece == s.p.Name && (m.Job == s.job || m.Job == "") {
			return m
		}
	}
	return nil
}

// pointOf is where a shape's match lies about its origin as it is laid.
func (c *Cloth) pointOf(s *shape) curve.Point {
	q := c.matchOf(s).At
	if s.flipped {
		q.X = -q.X
	}
	kx, ky := c.enlarge()
	q = turnedBy([]curve.Point{q}, s.base)[0]
	return curve.Point{X: q.X * kx, Y: q.Y * ky}
}

// next is the least value at or after v at which v + point is a whole number of repeats; v itself where nothing repeats.
func next(v, point, repeat float64) float64 {
	if repeat <= 0 {
		return v
	}
	return math.Ceil((v+point)/repeat-1e-9)*repeat - point
}

// tie holds the matched pieces of a problem to the repeat, and says which of them fit on the cloth but nowhere on it.
func (c *Cloth) tie(pieces []pack.Piece, shapes []shape, say func(float64) string) []piece.Finding {
	var out []piece.Finding
	for i := range shapes {
		s := &shapes[i]
		if c.matchOf(s) == nil {
			continue
		}
		q := c.pointOf(s)
		r := pack.Repeat{Point: pack.Point{X: q.Y, Y: q.X}, From: pack.Point{X: -c.head()}, Along: c.Along}
		if !s.onFold {
			r.Across = c.Across
			b := curve.Bounds(s.rough...)
			l := c.lanes(s)[0]
			if first := next(l.from-b.Min.X, q.X, c.Across); first > l.to-b.Max.X+near {
				need := first + b.Max.X + c.Usable() - l.to
				out = append(out, piece.Found(piece.Stop, "lay:repeat",
					phrase.Of("%s fits on %s but not on its repeat of %s across: cloth %s wide would do.", titleOf(s.p), c.title(), say(c.Across), say(math.Ceil(c.widthFor(need))+1)), s.p.Name))
			}
		}
		pieces[i].Repeat = r
	}
	return out
}

// placed is the outline searched with, turned as the spot is, at a place.
func placed(rough []curve.Point, x *spot, at curve.Point) []curve.Point {
	if x.upside {
		rough = scaled(rough, 1, -1)
	}
	if x.tilt != 0 {
		rough = turnedBy(rough, x.tilt)
	}
	out := make([]curve.Point, len(rough))
	for i, p := range rough {
		out[i] = p.Add(at)
	}
	return out
}
