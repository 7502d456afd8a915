package lay

import (
	"cmp"
	"math"
	"slices"

	"clothwright/curve"
	"clothwright/lay/pack"
	"clothwright/phrase"
	"clothwright/piece"
)

// Match says that a point of a piece falls on the repeat of stripes or checks: along the cloth a whole number of repeats from its
// end, across it a whole number from the fold, or from the usable cloth's left edge where that is no fold. The point need not lie inside the
// piece. A piece has one match; points of several pieces that meet when sewn are told in terms of their pieces' own points.
type Match struct {
	Piece string
	At    curve.Point // on the piece, mm
}

// steep is how many times more down than across an edge must run to be matched along its length.
const steep = 2.0

// MatchSeams works out which points of which pieces of a material must fall on the repeat, so that stripes and checks run on
// across the seams. From the first piece on, a plain seam of two steep edges (a side seam) matches their upper ends, and an
// eased seam (a sleeve in its armhole) its first notch of the same name. Across, the line x = 0 of every piece, its centre, falls
// on the repeat. Pieces that no such seam reaches are left free. Common practice.
func MatchSeams(p *piece.Pattern, m piece.Material) []Match {
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
			out = append(out, Match{p.Pieces[i].Name, curve.Point{Y: y}})
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

// matchOf is the match of a piece, nil when it may lie anywhere.
func (c *Cloth) matchOf(p *piece.Piece) *Match {
	if !c.matched() {
		return nil
	}
	for i := range c.Matches {
		if c.Matches[i].Piece == p.Name {
			return &c.Matches[i]
		}
	}
	return nil
}

// pointOf is where a shape's match lies about its origin as it is laid.
func (c *Cloth) pointOf(s *shape) curve.Point {
	q := c.matchOf(s.p).At
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

// swell makes room for every matched piece to slide by a whole repeat, so that it can be put on the repeat wherever the search
// lays it.
func (c *Cloth) swell(pieces []pack.Piece, shapes []shape, say func(float64) string) []piece.Finding {
	var out []piece.Finding
	for i := range shapes {
		s := &shapes[i]
		if c.matchOf(s.p) == nil {
			continue
		}
		dx := c.Across
		if s.onFold {
			dx = 0
		}
		b := curve.Bounds(s.rough...)
		l := c.lanes(s)[0]
		if spare := l.wide() - b.W(); dx > spare {
			dx = math.Max(0, spare)
			first := next(l.from-b.Min.X, c.pointOf(s).X, c.Across)
			if first > l.from-b.Min.X+dx+near {
				need := first + b.Max.X + c.Usable() - l.to
				out = append(out, piece.Found(piece.Stop, "lay:repeat",
					phrase.Of("%s fits on %s but not on its repeat of %s across: cloth %s wide would do.", titleOf(s.p), c.title(), say(c.Across), say(math.Ceil(c.widthFor(need))+1)), s.p.Name))
			}
		}
		pieces[i].Outline = across(swept(s.rough, dx, c.Along))
	}
	return out
}

// swept returns a polygon that holds the given one moved by anything from nought to (dx, dy). Its hollows are filled along the
// axes it moves in.
func swept(ring []curve.Point, dx, dy float64) []curve.Point {
	if dx > 0 {
		ring = sweptX(ring, dx)
	}
	if dy > 0 {
		ring = swapped(sweptX(swapped(ring), dy))
	}
	return ring
}

func swapped(ring []curve.Point) []curve.Point {
	out := make([]curve.Point, len(ring))
	for i, p := range ring {
		out[i] = curve.Point{X: p.Y, Y: p.X}
	}
	return out
}

// sweptX fills each level of a polygon from its least x to its greatest and moves the greater side on by d.
func sweptX(ring []curve.Point, d float64) []curve.Point {
	ys := make([]float64, 0, len(ring))
	for _, p := range ring {
		ys = append(ys, p.Y)
	}
	slices.Sort(ys)
	ys = slices.Compact(ys)
	var left, right []curve.Point
	for i := 0; i+1 < len(ys); i++ {
		lo, hi := ys[i], ys[i+1]
		mid := (lo + hi) / 2
		var l, r [2]curve.Point // the edges that bound the strip at the left and the right
		lx, rx := math.Inf(1), math.Inf(-1)
		for k, a := range ring {
			b := ring[(k+1)%len(ring)]
			if math.Min(a.Y, b.Y) > lo || math.Max(a.Y, b.Y) < hi {
				continue
			}
			x := a.X + (b.X-a.X)*((mid-a.Y)/(b.Y-a.Y))
			if x < lx {
				lx, l = x, [2]curve.Point{a, b}
			}
			if x > rx {
				rx, r = x, [2]curve.Point{a, b}
			}
		}
		at := func(e [2]curve.Point, y, more float64) curve.Point {
			a, b := e[0], e[1]
			switch y {
			case a.Y:
				return curve.Point{X: a.X + more, Y: y}
			case b.Y:
				return curve.Point{X: b.X + more, Y: y}
			}
			return curve.Point{X: a.X + (b.X-a.X)*((y-a.Y)/(b.Y-a.Y)) + more, Y: y}
		}
		left = append(left, at(l, lo, 0), at(l, hi, 0))
		right = append(right, at(r, lo, d), at(r, hi, d))
	}
	slices.Reverse(left)
	var out []curve.Point
	for _, p := range append(right, left...) {
		if n := len(out); n == 0 || out[n-1].Dist(p) > near {
			out = append(out, p)
		}
	}
	for len(out) > 1 && out[0].Dist(out[len(out)-1]) <= near {
		out = out[:len(out)-1]
	}
	return out
}

// snap slides every matched piece on to the repeat, takes pieces up where the cloth nearer to the end has room, and then tries
// laying them afresh in other orders, since the search knew nothing of repeats.
func (c *Cloth) snap(spots []spot, seed uint64) []spot {
	for i := range spots {
		x := &spots[i]
		if x.held || c.matchOf(x.s.p) == nil {
			continue
		}
		q := c.pointOf(x.s)
		x.at.Y = next(x.at.Y, q.Y, c.Along)
		if !x.s.onFold {
			x.at.X = next(x.at.X, q.X, c.Across)
		}
	}
	best := board{c: c, spots: spots}
	best.settle()
	d := dice(seed*0x9e3779b97f4a7c15 + 1)
	for n := range afresh {
		b := board{c: c, spots: slices.Clone(spots)}
		if b.lay(&d, n); b.end() < best.end()-near {
			b.settle()
			best = b
		}
	}
	return best.spots
}

const (
	takeUps = 6    // rounds of taking up; after a few nothing moves any more
	afresh  = 24   // orders tried; measured: the best of more is seldom a repeat shorter
	between = 10.0 // mm between the places tried where nothing repeats
)

// dice is a small random source (SplitMix64, Steele, Lea and Flood 2014).
type dice uint64

func (d *dice) upTo(n int) int {
	*d += 0x9e3779b97f4a7c15
	z := uint64(*d)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return int((z ^ z>>31) % uint64(n))
}

// board is the spots while they are laid on the repeat.
type board struct {
	c     *Cloth
	spots []spot
	laid  []int // those that are on the cloth; nil means all
}

// end is how far the board reaches.
func (b *board) end() float64 {
	far := 0.0
	for i := range b.spots {
		far = math.Max(far, b.spots[i].box().Max.Y)
	}
	return far
}

// settle takes spots up, the last first, until none moves.
func (b *board) settle() {
	for range takeUps {
		order := make([]int, len(b.spots))
		for i := range order {
			order[i] = i
		}
		slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(b.spots[j].box().Max.Y, b.spots[i].box().Max.Y) })
		moved := false
		for _, i := range order {
			moved = b.takeUp(i, b.spots[i].at.Y) || moved
		}
		if !moved {
			return
		}
	}
}

// lay lays all spots afresh, each where it ends least far: large ones first, and in every try but the first some exchanged.
func (b *board) lay(d *dice, try int) {
	order := make([]int, len(b.spots))
	size := make([]float64, len(b.spots))
	for i := range order {
		order[i], size[i] = i, math.Abs(curve.PolygonArea(b.spots[i].s.exact))
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(size[j], size[i]) })
	for range min(try, 2*len(order)) {
		i, j := d.upTo(len(order)), d.upTo(len(order))
		order[i], order[j] = order[j], order[i]
	}
	b.laid = []int{}
	for i := range b.spots {
		if b.spots[i].held {
			b.laid = append(b.laid, i)
		}
	}
	for _, i := range order {
		if b.spots[i].held {
			continue
		}
		b.takeUp(i, math.Inf(1))
		b.laid = append(b.laid, i)
	}
	b.laid = nil
}

// takeUp lays one spot as near to the cloth's end as there is room, above a line along which it lies at worst.
func (b *board) takeUp(i int, above float64) bool {
	x := &b.spots[i]
	if x.held {
		return false
	}
	rough := placed(x.s.rough, x, curve.Point{})
	box := curve.Bounds(rough...)
	was := x.at
	var q curve.Point
	rx, ry := 0.0, 0.0
	if b.c.matchOf(x.s.p) != nil {
		q, rx, ry = b.c.pointOf(x.s), b.c.Across, b.c.Along
	}
	stepX, stepY := rx, ry
	if stepX == 0 {
		stepX = between
	}
	if stepY == 0 {
		stepY = between
	}
	l, _ := b.c.laneOf(x)
	lastX := l.to - box.Max.X
	firstX := next(l.from-box.Min.X, q.X, rx)
	if x.s.onFold {
		firstX = lastX
	}
	for y := next(b.c.head()-box.Min.Y, q.Y, ry); y < above-near; y += stepY {
		for at := firstX; at <= lastX+near; at += stepX {
			x.at = curve.Point{X: at, Y: y}
			if b.free(i) {
				return true
			}
		}
		if rx == 0 && lastX > firstX { // against the far side too
			x.at = curve.Point{X: lastX, Y: y}
			if b.free(i) {
				return true
			}
		}
	}
	x.at = was
	return false
}

// free reports whether a spot lies apart from all others and from flaws.
func (b *board) free(i int) bool {
	x := &b.spots[i]
	mine := placed(x.s.rough, x, x.at)
	box := curve.Bounds(mine...)
	clear := func(k int) bool {
		if k == i {
			return true
		}
		o := &b.spots[k]
		return !box.Pad(b.c.gap()+roughness).Overlaps(o.box()) || apart(mine, placed(o.s.rough, o, o.at), b.c.gap())
	}
	if b.laid != nil {
		for _, k := range b.laid {
			if !clear(k) {
				return false
			}
		}
	} else {
		for k := range b.spots {
			if !clear(k) {
				return false
			}
		}
	}
	for _, f := range b.c.flawsLaid() {
		f = f.Pad(least)
		if box.Overlaps(f) && !apart(mine, []curve.Point{f.Min, {X: f.Max.X, Y: f.Min.Y}, f.Max, {X: f.Min.X, Y: f.Max.Y}}, 0) {
			return false
		}
	}
	return true
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

// apart reports whether two polygons are at least gap mm from one another.
func apart(a, b []curve.Point, gap float64) bool {
	if curve.Contains(a, b[0]) || curve.Contains(b, a[0]) {
		return false
	}
	for i, p := range a {
		q := a[(i+1)%len(a)]
		for k, r := range b {
			s := b[(k+1)%len(b)]
			if math.Min(p.X, q.X) > math.Max(r.X, s.X)+gap || math.Min(r.X, s.X) > math.Max(p.X, q.X)+gap ||
				math.Min(p.Y, q.Y) > math.Max(r.Y, s.Y)+gap || math.Min(r.Y, s.Y) > math.Max(p.Y, q.Y)+gap {
				continue
			}
			if curve.Orient(p, q, r) != curve.Orient(p, q, s) && curve.Orient(r, s, p) != curve.Orient(r, s, q) {
				return false
			}
			if gap > 0 && math.Min(math.Min(segDistance(p, r, s), segDistance(q, r, s)), math.Min(segDistance(r, p, q), segDistance(s, p, q))) < gap {
				return false
			}
		}
	}
	return true
}
