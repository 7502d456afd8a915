package lay

import (
	"fmt"
	"math"

	"clothwright/curve"
	"clothwright/phrase"
	"clothwright/piece"
)

// Work is one job whose pieces are to be laid.
type Work struct {
	Job     string
	Pattern *piece.Pattern
}

// shape is one outline to be cut a number of times.
type shape struct {
	id      string
	job     string
	p       *piece.Piece
	flipped bool // laid as its mirror image
	whole   bool // a piece on the fold, opened out
	onFold  bool // a half that lies on the fold
	count   int
	layers  int     // that each cut goes through
	copy    int     // number of the first copy
	free    []int   // numbers of the copies that are not held, nil for all
	base    float64 // degrees that bring the grain along the cloth
	part    part    // of a rib that must be joined
	own     bool    // it is its own mirror image
	apart   bool    // it must lie where the cloth is single: one of a pair that is not cut through two layers

	exact []curve.Point // the cut line at the base turn about the origin, as large as it is cut
	rough []curve.Point // holds exact, with fewer corners

	size curve.Point // of exact, across and along
	area float64
}

// part is one of the lengths a rib is joined from; the zero part is the whole piece.
type part struct {
	N, Of    int
	from, to float64 // along the whole piece's x
}

// flatness is how far a flattened cut line may stray from the true one, mm: that of the record, so that whoever lays the record's
// outlines lays what was laid here. Two of them are no more than the gap always left.
const flatness = 0.05

// roughness is how far in mm the outline that is searched with may lie outside the one that is cut.
const roughness = 0.5

// turnedBy turns points by degrees about the origin; quarter turns are exact.
func turnedBy(pts []curve.Point, degrees float64) []curve.Point {
	out := make([]curve.Point, len(pts))
	sin, cos := sinCos(degrees)
	for i, p := range pts {
		out[i] = curve.Point{X: float64(p.X*cos) - float64(p.Y*sin), Y: float64(p.X*sin) + float64(p.Y*cos)}
	}
	return out
}

func sinCos(degrees float64) (sin, cos float64) {
	switch turn := normal(degrees); turn {
	case 0:
		return 0, 1
	case 90:
		return 1, 0
	case 180:
		return 0, -1
	case 270:
		return -1, 0
	default:
		return math.Sincos(turn * math.Pi / 180)
	}
}

// normal brings degrees into 0 to 360, 360 left out.
func normal(degrees float64) float64 {
	d := math.Mod(degrees, 360)
	if d < 0 {
		d += 360
	}
	if d == 360 || d == 0 {
		return 0
	}
	return d
}

// baseTurn is how far a piece is turned so that its grain line runs along the cloth, foot away from the end.
func baseTurn(p *piece.Piece) float64 {
	v := p.Grain[1].Sub(p.Grain[0])
	if v.Norm() < 1e-9 {
		return 0
	}
	d := 90 - v.Angle()*180/math.Pi
	if whole := math.Round(d/90) * 90; math.Abs(d-whole) < 1e-6 {
		d = whole
	}
	return normal(d)
}

// ringOf is the cut line of a piece as one closed polygon.
func ringOf(p *piece.Piece, flipped bool) []curve.Point {
	_, cut := p.Outline(flatness)
	out := make([]curve.Point, len(cut))
	for i, q := range cut {
		if flipped {
			q.X = -q.X
		}
		out[i] = q
	}
	return out
}

// foldEdge returns the edge of a piece that lies on the fold, nil when it has none.
func foldEdge(p *piece.Piece) *piece.Edge {
	for i := range p.Edges {
		if p.Edges[i].Finish == piece.Fold {
			return &p.Edges[i]
		}
	}
	return nil
}

// near is within what two coordinates are one, mm.
const near = 1e-6

// openedOut joins a half, whose fold is on x = 0, with its mirror image.
func openedOut(half []curve.Point) ([]curve.Point, bool) {
	n := len(half)
	// Begin where the outline leaves the fold.
	start := -1
	for i := range half {
		if math.Abs(half[i].X) <= near && math.Abs(half[(i+1)%n].X) > near {
			if start >= 0 {
				return nil, false
			}
			start = i
		}
	}
	if start < 0 {
		return nil, false
	}
	var arc []curve.Point
	for k := 0; k < n; k++ {
		q := half[(start+k)%n]
		if q.X < -near {
			return nil, false
		}
		arc = append(arc, q)
		if k > 0 && math.Abs(q.X) <= near {
			break
		}
	}
	last := len(arc) - 1
	arc[0].X, arc[last].X = 0, 0
	out := append([]curve.Point(nil), arc...)
	for k := last - 1; k > 0; k-- {
		out = append(out, curve.Point{X: -arc[k].X, Y: arc[k].Y})
	}
	return out, curve.Simple(out)
}

// scaled multiplies coordinates.
func scaled(pts []curve.Point, kx, ky float64) []curve.Point {
	if kx == 1 && ky == 1 {
		return pts
	}
	out := make([]curve.Point, len(pts))
	for i, p := range pts {
		out[i] = curve.Point{X: p.X * kx, Y: p.Y * ky}
	}
	return out
}

// ownMirror reports whether an outline is its own mirror image, once it is turned by half a turn where it may lie either way up.
func ownMirror(pts []curve.Point, oneWay bool) bool {
	b := curve.Bounds(pts...)
	same := func(sx, sy float64) bool {
		for _, p := range pts {
			q := curve.Point{X: p.X, Y: p.Y}
			if sx < 0 {
				q.X = b.Min.X + b.Max.X - p.X
			}
			if sy < 0 {
				q.Y = b.Min.Y + b.Max.Y - p.Y
			}
			if ringDistance(pts, q) > 0.05 {
				return false
			}
		}
		return true
	}
	return same(-1, 1) || !oneWay && same(1, -1)
}

func ringDistance(pts []curve.Point, q curve.Point) float64 {
	best := math.Inf(1)
	for i, a := range pts {
		best = math.Min(best, segDistance(q, a, pts[(i+1)%len(pts)]))
	}
	return best
}

func segDistance(q, a, b curve.Point) float64 {
	v := b.Sub(a)
	t := 0.0
	if d := v.Norm2(); d > 0 {
		t = math.Max(0, math.Min(1, q.Sub(a).Dot(v)/d))
	}
	return q.Dist(a.Add(v.Mul(t)))
}

// shapesOf says what is cut for a piece on a cloth.
func (c *Cloth) shapesOf(w Work, p *piece.Piece, say func(float64) string) ([]shape, []piece.Finding) {
	stop := func(code string, said phrase.Said) []piece.Finding {
		return []piece.Finding{piece.Found(piece.Stop, "lay:"+code, said, p.Name)}
	}
	name := titleOf(p)
	if p.Count < 1 {
		return nil, nil
	}
	_, cut := p.Outline(flatness)
	if len(cut) < 3 {
		return nil, stop("outline", phrase.Of("%s has no cut line, so it cannot be laid.", name))
	}
	first := shape{job: w.Job, p: p, base: baseTurn(p), layers: 1, count: p.Count}
	if p.OnFold {
		e := foldEdge(p)
		b := curve.EmptyRect()
		if e != nil {
			b = e.Path.Bounds()
		}
		if e == nil || b.Min.X < -near || b.Max.X > near {
			return nil, stop("fold", phrase.Of("%s is cut on the fold, but no edge of it lies along its centre line.", name))
		}
		if first.base != 0 && first.base != 180 {
			return nil, stop("grain", phrase.Of("%s is cut on the fold, but its grain line does not run along the fold.", name))
		}
	}
	var out []shape
	add := func(s shape, count, layers int) {
		if s.count, s.layers = count, layers; count > 0 {
			out = append(out, s)
		}
	}
	mirror := first.mirrored()
	two := c.Fold.layers() == 2
	own := ownMirror(turnedBy(cut, first.base), c.OneWay())
	single := first // cut through the upper layer
	if c.Fold.facing() && c.Fold != PartSingle && !own {
		single = mirror // its wrong side is up
	}
	switch {
	case p.OnFold && c.Fold.Folded():
		first.onFold = true
		first.flipped = first.base == 180 // upside down, its fold stays on the fold only when it is mirrored too
		add(first, p.Count, 2)
	case p.OnFold:
		first.whole = true
		if two {
			add(first, p.Count/2, 2)
			add(first, p.Count%2, 1)
		} else {
			add(first, p.Count, 1)
		}
	case p.Pair && two:
		add(first, p.Count/2, 2)
		add(single, p.Count%2, 1)
	case p.Pair:
		add(first, p.Count-p.Count/2, 1)
		add(mirror, p.Count/2, 1)
	case two && own:
		add(first, p.Count/2, 2)
		add(first, p.Count%2, 1)
	case two:
		add(single, p.Count, 1)
	default:
		add(first, p.Count, 1)
	}
	kx, ky := c.enlarge()
	n := 0
	for i := range out {
		s := &out[i]
		s.id = fmt.Sprintf("%s/%s/%d", w.Job, p.Name, i)
		s.copy = n
		n += s.count
		ring := ringOf(p, s.flipped)
		if s.whole {
			var ok bool
			if ring, ok = openedOut(ring); !ok {
				return nil, stop("fold", phrase.Of("%s cannot be opened out along its fold.", name))
			}
		}
		s.exact = scaled(turnedBy(ring, s.base), kx, ky)
		s.rough = coarsened(s.exact, roughness)
		s.measure()
		s.own = own || s.whole
	}
	return out, nil
}

// measure takes the size of what is cut.
func (s *shape) measure() {
	b := curve.Bounds(s.exact...)
	s.size, s.area = curve.Point{X: b.W(), Y: b.H()}, math.Abs(curve.PolygonArea(s.exact))
}

// mirrored is the shape as it is cut from cloth whose other side is up, before it has its outline.
func (s shape) mirrored() shape {
	s.flipped, s.base = !s.flipped, normal(-s.base)
	return s
}

// titleOf is a piece's name for people.
func titleOf(p *piece.Piece) string {
	if p.Title != "" {
		return p.Title
	}
	return p.Name
}

// coarsened returns a polygon with fewer corners that holds the given one and lies at most tol mm outside it, but no wider across, since it
// may fill the width of the cloth. Corners that
// point inward are cut straight across; edges between outward corners give way to their neighbours, drawn on until they meet.
func coarsened(pts []curve.Point, tol float64) []curve.Point {
	out := append([]curve.Point(nil), pts...)
	way := 1.0
	if curve.PolygonArea(out) < 0 {
		way = -1
	}
	frame := curve.Bounds(pts...)
	spent := make([]float64, len(out)) // by edge i, i+1: how far outside it may already lie
	for {
		n := len(out)
		if n <= 4 {
			break
		}
		bestCost, best := tol, -1
		var bestAt curve.Point
		inward := false
		for i := range out {
			a, b, c, d := out[(i+n-1)%n], out[i], out[(i+1)%n], out[(i+2)%n]
			before, here, after := spent[(i+n-1)%n], spent[i], spent[(i+1)%n]
			turnB := way * b.Sub(a).Cross(c.Sub(b))
			if turnB <= 0 {
				if cost := segDistance(b, a, c) + math.Max(before, here); cost < bestCost {
					bestCost, best, inward = cost, i, true
				}
				continue
			}
			if way*c.Sub(b).Cross(d.Sub(c)) <= 0 {
				continue
			}
			u, v := b.Sub(a), d.Sub(c)
			det := u.Cross(v)
			if way*det <= 1e-9*u.Norm()*v.Norm() {
				continue
			}
			q := a.Add(u.Mul(c.Sub(a).Cross(v) / det))
			if q.X < frame.Min.X || q.X > frame.Max.X {
				continue
			}
			if cost := segDistance(q, b, c) + math.Max(math.Max(before, after), here); cost < bestCost {
				bestCost, best, bestAt, inward = cost, i, q, false
			}
		}
		if best < 0 {
			break
		}
		if inward { // drop the corner; the edge before it takes its place
			spent[(best+n-1)%n] = bestCost
			out = append(out[:best], out[best+1:]...)
			spent = append(spent[:best], spent[best+1:]...)
			continue
		}
		next := (best + 1) % n
		prev := (best + n - 1) % n
		spent[prev], spent[next] = math.Max(spent[prev], bestCost), math.Max(spent[next], bestCost)
		out[best] = bestAt
		spent[best] = spent[next]
		out = append(out[:next], out[next+1:]...)
		spent = append(spent[:next], spent[next+1:]...)
	}
	if !curve.Simple(out) {
		return pts
	}
	return out
}
