package piece

import (
	"math"
	"strconv"

	"clothwright/curve"
	"clothwright/phrase"
)

// Fault is what is wrong with the outline of one piece. It is the only error Finish returns.
type Fault struct {
	Code  string // one of "open", "crossing", "turn", "allowance", "fold", "cut"
	Piece string
	Edge  string      // empty when no one edge is meant
	Said  phrase.Said // the whole sentence, beginning with piece and edge
}

// Error is the sentence.
func (f *Fault) Error() string { return f.Said.String() }

// Phrase is the sentence, to be said in another language.
func (f *Fault) Phrase() phrase.Said { return f.Said }

func (p *Piece) fault(code string, e *Edge, said phrase.Said) error {
	f := &Fault{Code: code, Piece: p.Name}
	where := p.Name
	if where == "" {
		where = phrase.Word("a piece without a name")
	}
	if e != nil {
		f.Edge = e.Name
		where += "." + e.Name
	}
	f.Said = phrase.Of("%s: %s", where, said)
	return f
}

func mm(v float64) string {
	return strconv.FormatFloat(math.Round(v*1000)/1000+0, 'f', -1, 64) + " mm"
}

var (
	errFoldAngle = phrase.Wrong(phrase.Of("the fold and the edge beside it do not meet in an outward corner, so its allowance cannot end on the fold line"))
	errFoldReach = phrase.Wrong(phrase.Of("the allowance of the edge beside the fold does not reach the fold line"))
)

// Tolerances of the verification.
const (
	short    = 0.02  // mm by which an allowance may fall short
	seamFine = 0.008 // flattening of the seam line for measuring; less than half of short, so that a chord does not decide
	cutFine  = 0.05  // flattening of the cut line
)

// verifyEdges checks the seam line: that every edge has a name and a path, that edges follow each other and close, that the
// outline is simple and runs clockwise, that allowances are lengths, and that folds are straight lines at the piece's border.
func (p *Piece) verifyEdges() error {
	if len(p.Edges) == 0 {
		return p.fault("open", nil, phrase.Of("it has no edges; an outline is needed"))
	}
	for i := range p.Edges {
		if err := p.verifyEdge(i); err != nil {
			return err
		}
	}
	seam := p.SeamLine()
	pts := loop(seam, cutFine)
	if i, j, crossed := curve.Crossing(pts); crossed || len(pts) < 3 {
		if len(pts) < 3 {
			return p.fault("crossing", nil, phrase.Of("its outline encloses nothing"))
		}
		a, b := p.edgeNear(pts, i), p.edgeNear(pts, j)
		at := pts[i].Lerp(pts[(i+1)%len(pts)], 0.5)
		if a == b {
			return p.fault("crossing", a, phrase.Of("it crosses or touches itself near %v; an outline may not", at))
		}
		return p.fault("crossing", a, phrase.Of("it crosses or touches %s near %v; edges may only meet at their ends", b.Name, at))
	}
	if curve.PolygonArea(pts) < 0 {
		return p.fault("turn", nil, phrase.Of("its edges run anticlockwise as seen on the page; draw them clockwise"))
	}
	for i := range p.Edges {
		e := &p.Edges[i]
		if !e.folds() {
			continue
		}
		a, way := e.Path.Start(), e.Path.EndTangent()
		for _, q := range pts {
			if out := way.Left().Dot(q.Sub(a)); out > 0.01 {
				return p.fault("fold", e, phrase.Of("the piece reaches %s beyond the line of the fold at %v; all of it must lie on one side", mm(out), q))
			}
		}
	}
	return nil
}

func (p *Piece) verifyEdge(i int) error {
	e, next := &p.Edges[i], &p.Edges[(i+1)%len(p.Edges)]
	if len(e.Path) == 0 {
		return p.fault("open", e, phrase.Of("it has no length; name it between two different marks"))
	}
	for k, s := range e.Path {
		for _, c := range s.Controls() {
			if math.IsNaN(c.X+c.Y) || math.IsInf(c.X, 0) || math.IsInf(c.Y, 0) {
				return p.fault("open", e, phrase.Of("it holds a point that is not a number"))
			}
		}
		if k > 0 {
			if gap := e.Path[k-1].End().Dist(s.Start()); gap > curve.Snap {
				return p.fault("open", e, phrase.Of("it has a gap of %s at %v", mm(gap), s.Start()))
			}
		}
	}
	if gap := e.Path.End().Dist(next.Path.Start()); len(next.Path) > 0 && gap > curve.Snap {
		return p.fault("open", e, phrase.Of("it ends at %v, %s from the start of %s at %v; each edge must end where the next begins",
			e.Path.End(), mm(gap), next.Name, next.Path.Start()))
	}
	if !(e.Allowance >= 0) || math.IsInf(e.Allowance, 0) {
		return p.fault("allowance", e, phrase.Of("its allowance is %s; it must be 0 or more", mm(e.Allowance)))
	}
	if e.folds() {
		if e.Allowance != 0 {
			return p.fault("allowance", e, phrase.Of("its allowance is %s; there is none beyond a fold, it must be 0", mm(e.Allowance)))
		}
		line := curve.Line(e.Path.Start(), e.Path.End())
		for _, q := range e.Path.Flatten(cutFine) {
			if _, off := (curve.Path{line}).Nearest(q); off > 0.01 {
				return p.fault("fold", e, phrase.Of("it bows %s off the straight; a fold must be straight", mm(off)))
			}
		}
	}
	return nil
}

// edgeNear finds the edge on which side i of the flattened outline lies.
func (p *Piece) edgeNear(pts []curve.Point, i int) *Edge {
	mid := pts[i].Lerp(pts[(i+1)%len(pts)], 0.5)
	best, at := math.Inf(1), &p.Edges[0]
	for k := range p.Edges {
		if _, d := p.Edges[k].Path.Nearest(mid); d < best {
			best, at = d, &p.Edges[k]
		}
	}
	return at
}

// band is a flattened edge with what is needed to measure to it quickly: a box round all of it and one round every few sides.
type band struct {
	pts   []curve.Point
	box   curve.Rect
	boxes []curve.Rect
}

// sidesBoxed is how many sides of a band share a box.
const sidesBoxed = 8

// bands flattens the edges finely enough to measure to.
func (p *Piece) bands() []band {
	out := make([]band, len(p.Edges))
	n := 0
	for k := range p.Edges {
		out[k].pts = p.Edges[k].Path.Flatten(seamFine)
		n += (len(out[k].pts) + sidesBoxed - 2) / sidesBoxed
	}
	room := make([]curve.Rect, 0, n)
	for k := range out {
		b := &out[k]
		from := len(room)
		b.box = curve.EmptyRect()
		for i := 0; i+1 < len(b.pts); i += sidesBoxed {
			r := curve.Bounds(b.pts[i:min(i+sidesBoxed+1, len(b.pts))]...)
			room = append(room, r)
			b.box = b.box.Union(r)
		}
		b.boxes = room[from:]
	}
	return out
}

// squareTo is the squared distance from a box to q, 0 inside it.
func squareTo(r *curve.Rect, q curve.Point) float64 {
	dx, dy := 0.0, 0.0
	if d := r.Min.X - q.X; d > 0 {
		dx = d
	} else if d := q.X - r.Max.X; d > 0 {
		dx = d
	}
	if d := r.Min.Y - q.Y; d > 0 {
		dy = d
	} else if d := q.Y - r.Max.Y; d > 0 {
		dy = d
	}
	return float64(dx*dx) + float64(dy*dy)
}

// probes are the points of a cut line at which it is measured: its corners, enough points of its curves, and some along each straight line,
// whose ends lie beyond the edge it belongs to and so say nothing of the distance.
func probes(cut curve.Path) []curve.Point {
	const along = 6
	out := make([]curve.Point, 0, along*len(cut)+32)
	for i := range cut {
		s := &cut[i]
		if !s.Straight() {
			pts := cut[i : i+1].Flatten(cutFine)
			out = append(out, pts[:len(pts)-1]...)
			continue
		}
		n := along
		if s.Start().Dist(s.End()) < 1 {
			n = 1 // one of many, where a bend was swallowed
		}
		for k := range n {
			out = append(out, s.At(float64(k)/float64(n)))
		}
	}
	return out
}

// verifyCut checks the cut line, given as a polygon and by its probes, against the seam line: each edge's allowance is there in full
// except where a corner rule cuts it short, and the cut line runs nowhere further out than MitreLimit allows.
func (p *Piece) verifyCut(cut, probes []curve.Point) error {
	bands := p.bands()
	was, near := math.Inf(1), 0 // the distance of the point before to the nearest edge, and which it is
	for i, c := range probes {
		// This point can be no further off than the one before was, plus the way from there.
		best := math.Inf(1) // squared
		if i > 0 {
			best = was + c.Dist(probes[i-1]) + curve.Snap
			best *= best
		}
		for k := range bands {
			e := &p.Edges[k]
			reach := e.Allowance * e.Allowance
			if away := squareTo(&bands[k].box, c); away > best && away > reach {
				continue
			}
			d, foot, square := bands[k].measure(c, math.Max(best, reach))
			if d < best {
				best, near = d, k
			}
			if square < e.Allowance-short+seamFine && !p.clipped(k, foot) && e.falls(c, foot, square) {
				return p.fault("cut", e, phrase.Of("the cut line at %v leaves %s of its allowance of %s", c, mm(square), mm(e.Allowance)))
			}
		}
		if was = math.Sqrt(best); was > p.furthest(near) && p.tooFar(c) {
			return p.fault("cut", &p.Edges[near], phrase.Of("the cut line at %v runs out %s, more than %g times the allowance", c, mm(was), MitreLimit))
		}
	}
	return p.verifyOutside(cut, bands)
}

// furthest is how far from edge k the cut line may be: at the limit where a sharp corner is cut off, to the sides of which its two ends
// lie up to one allowance.
func (p *Piece) furthest(k int) float64 {
	n := len(p.Edges)
	widest := math.Max(p.Edges[k].Allowance, math.Max(p.Edges[(k+1)%n].Allowance, p.Edges[(k+n-1)%n].Allowance))
	return math.Hypot(MitreLimit*widest, widest) + cutFine
}

// tooFar reports whether no edge's allowance or mitre reaches out to q.
func (p *Piece) tooFar(q curve.Point) bool {
	for k := range p.Edges {
		if _, d := p.Edges[k].Path.Nearest(q); d <= p.furthest(k) {
			return false
		}
	}
	return true
}

// falls measures exactly whether q, of which the flattened edge says that it lies square out from foot, falls short of the allowance.
func (e *Edge) falls(q, foot curve.Point, square float64) bool {
	s, exact := e.Path.Nearest(q)
	if s > curve.Snap && s < e.Path.Length()-curve.Snap {
		return exact < e.Allowance-short
	}
	// An end is nearest. By the last chord q may seem to lie square out, as a step does; further in it does.
	away := math.Min(foot.Dist(e.Path.Start()), foot.Dist(e.Path.End()))
	return away > e.Allowance && square < e.Allowance-short-seamFine
}

// verifyOutside walks the seam line and looks outward from it: its allowance, less a hair for the flattening, must lie inside the cut line.
func (p *Piece) verifyOutside(cut []curve.Point, bands []band) error {
	for k := range bands {
		e := &p.Edges[k]
		pts := bands[k].pts
		skip := 1 + len(pts)/8
		for i := 0; i+1 < len(pts); i += skip {
			foot := pts[i].Lerp(pts[i+1], 0.5)
			if p.clipped(k, foot) {
				continue
			}
			rim := foot.Add(pts[i+1].Sub(pts[i]).Unit().Left().Mul(e.Allowance - 2*cutFine))
			if !curve.Contains(cut, rim) {
				return p.fault("cut", e, phrase.Of("the cut line is nearer than its allowance of %s at %v", mm(e.Allowance), foot))
			}
		}
	}
	return nil
}

// measure gives the squared distance from q to the band's edge, as far as it is below within, and the least distance at which q lies
// square out from the edge, with the foot of that square; infinite when q is square out from no part near enough. It is the inner
// loop of Finish.
func (b *band) measure(q curve.Point, within float64) (near float64, foot curve.Point, square float64) {
	best, sq := math.Inf(1), math.Inf(1)
	for i := range b.boxes {
		if squareTo(&b.boxes[i], q) > within {
			continue
		}
		pts := b.pts[i*sidesBoxed : min(i*sidesBoxed+sidesBoxed+1, len(b.pts))]
		a := pts[0]
		for _, z := range pts[1:] {
			ux, uy, wx, wy := z.X-a.X, z.Y-a.Y, q.X-a.X, q.Y-a.Y
			along, l := float64(wx*ux)+float64(wy*uy), float64(ux*ux)+float64(uy*uy)
			if along <= 0 {
				if d := float64(wx*wx) + float64(wy*wy); d < best {
					best = d
				}
			} else if along < l {
				side := float64(ux*wy) - float64(uy*wx)
				d := float64(side*side) / l
				if d < best {
					best = d
				}
				if side < 0 && d < sq { // the left of travel is the outside
					sq, foot = d, curve.Point{X: a.X + float64(ux*along/l), Y: a.Y + float64(uy*along/l)}
				}
			}
			a = z
		}
		if d := q.Sub(a).Norm2(); d < best {
			best = d
		}
	}
	return best, foot, math.Sqrt(sq)
}

// clipped reports whether a corner rule cuts the allowance of edge k short at that foot.
func (p *Piece) clipped(k int, foot curve.Point) bool {
	if p.clip == nil {
		return false
	}
	e, room := &p.Edges[k], &p.clip[k]
	return room[0] > 0 && foot.Dist(e.Path.Start()) < room[0] || room[1] > 0 && foot.Dist(e.Path.End()) < room[1]
}
