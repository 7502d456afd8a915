package lay

import (
	"fmt"

	"clothwright/curve"
	"clothwright/lay/pack"
)

// Check returns nil if no two shapes of the plan overlap, none leaves the cloth, the part of it that has as many layers as it is cut through, or
// lies on a flaw, and those on the fold lie with an edge on it. It judges the exact cut lines where they are placed, apart from the search.
func (p *Plan) Check() error {
	problem := pack.Problem{Width: p.Usable}
	var l pack.Lay
	for i, q := range p.Places {
		if i > 0 && q.Opened && p.Places[i-1].N == q.N {
			continue // the other half of what has been seen
		}
		id := fmt.Sprintf("%s %s, copy %d, part %d, no. %d", q.Job, q.Piece, q.Copy, q.Part, q.N)
		problem.Pieces = append(problem.Pieces, pack.Piece{ID: id, Quantity: 1, Outline: across(q.Shape), Ways: p.ways(&q)})
		l.Places = append(l.Places, pack.Place{ID: id})
		l.Length = max(l.Length, curve.Bounds(q.Shape...).Max.Y)
	}
	for _, f := range p.Cloth.flawsLaid() {
		problem.Obstacles = append(problem.Obstacles, across([]curve.Point{f.Min, {X: f.Max.X, Y: f.Min.Y}, f.Max, {X: f.Min.X, Y: f.Max.Y}}))
	}
	return pack.Validate(problem, l, pack.Tolerance)
}

// ways are where a place may lie across the cloth, as it lies.
func (p *Plan) ways(q *Place) []pack.Way {
	c := &p.Cloth
	wide := q.Bounds().W()
	switch {
	case q.OnFold && c.Fold == Tubular && c.Both:
		return []pack.Way{{To: wide}, {From: p.Usable - wide, To: p.Usable}}
	case q.OnFold:
		return []pack.Way{{To: wide}}
	case c.Fold == PartSingle && q.Layers == 2:
		return []pack.Way{{To: c.Double()}}
	case c.Fold == PartSingle:
		out := []pack.Way{{From: c.single(), To: p.Usable}, {To: c.Double()}}
		if c.single() >= p.Usable {
			out = out[1:]
		}
		return out
	}
	return []pack.Way{{To: p.Usable}}
}
