package truing

import (
	"math"

	"clothwright/curve"
	"clothwright/phrase"
	"clothwright/piece"
)

// corners measures, for each pair of edges that must run on across the seam, the corner of the joined outline.
func (w *walk) corners(s *piece.Seam, a, b side) {
	for _, r := range s.Smooth {
		if x := w.at[r]; x == nil || x.edge == nil {
			w.noSuch(s.Name, r)
			return
		}
	}
	if len(s.Smooth)%2 != 0 {
		w.say(piece.Stop, "corner:"+s.Name, phrase.Of("%s: the edges that run on smoothly must be named in pairs; one is left over", s.Name), s.Smooth...)
		return
	}
	for i := 0; i < len(s.Smooth); i += 2 {
		w.corner(s, a, b, w.at[s.Smooth[i]], w.at[s.Smooth[i+1]])
	}
}

// corner lays the two pieces together along the seam at the end where x and y meet, and measures the angle between them there.
// It needs no more than the angles inside the two corners: laid edge to edge they fill half a turn if the outline runs on,
// whichever of the pieces has to be turned over for it.
func (w *walk) corner(s *piece.Seam, a, b side, x, y *place) {
	in, okX := cornerBeside(x, a)
	on, okY := cornerBeside(y, b)
	if !okX || !okY {
		in, okX = cornerBeside(x, b)
		on, okY = cornerBeside(y, a)
	}
	if !okX || !okY {
		far := x
		if okX {
			far = y
		}
		w.say(piece.Stop, "corner:"+s.Name, phrase.Of("%s: %s and %s are said to run on across the seam, but %s is not beside it", s.Name, x.ref, y.ref, far.ref), x.ref, y.ref)
		return
	}
	kink := in + on - math.Pi
	level := bent(math.Abs(kink))
	if level == piece.OK {
		return
	}
	shape := phrase.Of("a point of %s", degrees(math.Abs(kink)))
	if kink > 0 {
		shape = phrase.Of("a hollow of %s", degrees(math.Abs(kink)))
	}
	said := phrase.Of("%s: where %s runs on into %s the joined edge makes %s; up to %s is allowed", s.Name, x.ref, y.ref, shape, degrees(KinkWarn))
	if step := math.Abs(b.length() - a.length()); s.Kind == piece.Plain && step > 0.5 {
		said = phrase.Of("%s, and if the seam is sewn from its other end there is a step of %s", said, w.small(step))
	}
	w.say(level, "corner:"+s.Name, said, x.ref, y.ref)
}

func bent(kink float64) piece.Level {
	const hair = 1e-9
	switch {
	case !(kink <= KinkStop+hair):
		return piece.Stop
	case kink > KinkWarn+hair:
		return piece.Warn
	}
	return piece.OK
}

// cornerBeside is the angle inside the piece between x and the edge next to it that is on that side of the seam.
func cornerBeside(x *place, of side) (angle float64, ok bool) {
	for _, e := range of {
		switch {
		case x.next == e:
			return inside(x, e), true
		case x.prev == e:
			return inside(e, x), true
		}
	}
	return 0, false
}

// inside is the angle inside a piece where edge x ends and y begins: half a turn where they run on, less at an outward corner.
func inside(x, y *place) float64 {
	u, v := x.edge.Path.EndTangent(), y.edge.Path.StartTangent()
	return math.Pi - math.Atan2(u.Cross(v), u.Dot(v))
}

// squareAtFold checks that the edges beside the fold leave it square, so that no corner shows where the cloth is opened. A corner
// that is plain to see is taken to be wanted.
func (w *walk) squareAtFold(q *piece.Piece) {
	n := len(q.Edges)
	for k := range q.Edges {
		if q.Edges[k].Finish != piece.Fold {
			continue
		}
		fold := q.Edges[k].Path
		for _, x := range [2]struct {
			e   *piece.Edge
			way curve.Point
		}{{&q.Edges[(k+n-1)%n], q.Edges[(k+n-1)%n].Path.EndTangent()}, {&q.Edges[(k+1)%n], q.Edges[(k+1)%n].Path.StartTangent()}} {
			off := math.Abs(math.Asin(max(-1, min(1, x.way.Dot(fold.StartTangent())))))
			if kink := 2 * off; kink > KinkWarn+1e-9 && off <= SquareMeant {
				r := refTo(q.Name, x.e.Name)
				w.say(piece.Warn, "fold:"+string(r), phrase.Of("%s: it meets the fold %s off square, so that it turns a corner of %s where the cloth is opened", r, degrees(off), degrees(kink)), r)
			}
		}
	}
}
