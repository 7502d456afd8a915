package lay

import (
	"math"

	"clothwright/curve"
)

// TapePoints are the two points by which a place of the plan is found with the tape, mm on the cloth: the ends of [Place.GrainPoints], A at
// the piece's top and B at its foot. Of a part of a joined rib, and of a piece on a ready band, the corners of its box nearest to the cloth's end and
// farthest from it.
func (p *Plan) TapePoints(q *Place) (a, b curve.Point) {
	if q.Parts > 0 || p.Band {
		box := q.Bounds()
		return box.Min, box.Max
	}
	return q.GrainPoints()
}

// GrainPoints are where the grain line, drawn on both ways, meets the cut line where the piece lies: A beyond its start, B beyond
// its end. The drafted line may be short, and a piece is turned the less by an error of the tape the farther apart they are. Of a
// piece opened out it is the middle, which is easier found than the grain line of one half.
func (q *Place) GrainPoints() (a, b curve.Point) {
	at := func(p curve.Point) curve.Point {
		if q.Flipped {
			p.X = -p.X
		}
		p = p.Rotate(q.Turn * math.Pi / 180)
		return curve.Point{X: p.X*q.Enlarge.X + q.X, Y: p.Y*q.Enlarge.Y + q.Y}
	}
	grain := q.From.Grain
	if q.Opened {
		grain[0].X, grain[1].X = 0, 0
	}
	from, to := at(grain[0]), at(grain[1])
	return beyond(q.Shape, to, from), beyond(q.Shape, from, to)
}

// FootUp reports whether a piece lies upside down, its foot towards the cloth's end.
func (q *Place) FootUp() bool {
	return q.Parts == 0 && math.Abs(math.Abs(math.Remainder(q.Turn-plumb(q), 360))-180) < 1e-6
}

// plumb is how far the piece is turned to lie upright.
func plumb(q *Place) float64 {
	v := q.From.Grain[1].Sub(q.From.Grain[0])
	return 90 - v.Angle()*180/math.Pi
}

// beyond goes from a through b and on to the first crossing with the ring at or after b; b itself when there is none.
func beyond(ring []curve.Point, a, b curve.Point) curve.Point {
	u := b.Sub(a).Unit()
	best := math.Inf(1)
	for i, p := range ring {
		v := ring[(i+1)%len(ring)].Sub(p)
		det := u.Cross(v)
		if math.Abs(det) < 1e-9*v.Norm() {
			continue
		}
		t, s := p.Sub(b).Cross(v)/det, p.Sub(b).Cross(u)/det
		if s >= -1e-9 && s <= 1+1e-9 && t > -0.5 && t < best {
			best = t
		}
	}
	if math.IsInf(best, 1) {
		return b
	}
	return b.Add(u.Mul(best))
}
