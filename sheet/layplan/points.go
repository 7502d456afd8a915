package layplan

import (
	"math"

	"clothwright/curve"
	"clothwright/lay"
)

// Points are the two points by which a place is found with the tape, mm on the cloth: where the piece's grain line, drawn on, meets its
// cut line, A at its top and B at its foot. Of a piece opened out it is its middle; of a part of a joined rib, and of a piece on a ready band, the
// corners of its box nearest to the cloth's end and farthest from it.
func Points(p *lay.Plan, q *lay.Place) (a, b curve.Point) {
	if q.Parts > 0 || p.Band {
		box := q.Bounds()
		return box.Min, box.Max
	}
	return points(q)
}

// FootUp reports whether a piece lies upside down, its foot towards the cloth's end.
func FootUp(q *lay.Place) bool {
	return q.Parts == 0 && math.Abs(math.Mod(math.Abs(q.Turn-base(q.From)), 360)-180) < 1e-6
}
