package lay

import (
	"fmt"
	"math"
	"sort"

	"clothwright/curve"
	"clothwright/phrase"
	"clothwright/piece"
)

// Band lays rib pieces along a ready band of the given height, one after the other, longest first: the sewn edge of each on
// the band's raw edge, its ribs across the band. A piece on the fold is opened out. The length used is the sum of the
// lengths; c.Width is the band's height and its fold is open.
func Band(works []Work, c Cloth, o Options) *Plan {
	c.Fold, c.Selvedge, c.Gap = Open, 0, -1
	plan := &Plan{Cloth: c, Band: true, Usable: c.Width, Fits: true}
	if plan.Findings = c.check(o.say); len(plan.Findings) > 0 {
		return plan
	}
	var spots []spot
	for _, w := range works {
		for i := range w.Pattern.Pieces {
			p := &w.Pattern.Pieces[i]
			if p.Material != c.Material {
				continue
			}
			ss, f := c.banded(w, p, o)
			if f != nil {
				plan.Findings = append(plan.Findings, *f)
			}
			spots = append(spots, ss...)
		}
	}
	if piece.Worst(plan.Findings) == piece.Stop {
		return plan
	}
	sort.SliceStable(spots, func(i, j int) bool {
		return curve.Bounds(spots[i].outline...).H() > curve.Bounds(spots[j].outline...).H()
	})
	y := 0.0
	for i := range spots {
		b := curve.Bounds(spots[i].outline...)
		spots[i].at = curve.Point{X: -b.Min.X, Y: math.Ceil((y-b.Min.Y)*1000) / 1000}
		y = spots[i].at.Y + b.Max.Y
	}
	if len(spots) == 0 {
		return plan
	}
	plan.fill(spots, &c)
	plan.conclude(nil, o)
	plan.Offcuts = nil
	return plan
}

// bandTurn brings the length of a band piece along the band and its sewn edge to the right.
const bandTurn = 90

func (c *Cloth) banded(w Work, p *piece.Piece, o Options) ([]spot, *piece.Finding) {
	stop := func(code string, said phrase.Said) *piece.Finding {
		f := piece.Found(piece.Stop, "lay:"+code, said, p.Name)
		return &f
	}
	ring := ringOf(p, false)
	if len(ring) < 3 {
		return nil, stop("outline", phrase.Of("%s has no cut line, so it cannot be laid.", titleOf(p)))
	}
	if p.OnFold {
		whole, ok := openedOut(ring)
		if !ok {
			return nil, stop("fold", phrase.Of("%s cannot be opened out along its fold.", titleOf(p)))
		}
		ring = whole
	}
	if high := curve.Bounds(ring...).H(); high > c.Width+0.01 {
		return nil, stop("too-wide", phrase.Of("%s is %s high as cut and the ready band is %s: a band %s high would do, or rib by the metre.", titleOf(p), o.say(high), o.say(c.Width), o.say(high)))
	}
	var out []spot
	s := &shape{id: w.Job + "/" + p.Name, job: w.Job, p: p, whole: p.OnFold, layers: 1, count: p.Count, base: bandTurn, exact: turnedBy(ring, bandTurn)}
	for k := range p.Count {
		out = append(out, spot{s: s, copy: k, turn: bandTurn, outline: s.exact})
	}
	return out, nil
}

// joins is into how many lengths a rib piece is cut so that each fits across the cloth: 1 for whatever is not a plain band of
// rib, or fits.
func (c *Cloth) joins(p *piece.Piece) int {
	if p.Material != piece.Rib || len(p.CutLine()) == 0 || !plainBand(p) {
		return 1
	}
	long := wholeLength(p)
	room := c.flat()
	switch {
	case p.OnFold && c.Fold == PartSingle && long <= c.flat():
		return 1
	case c.Fold == PartSingle:
		room = c.flat() / 2
	case p.OnFold && c.Fold == Lengthwise && long <= 2*c.Usable(), p.OnFold && c.Fold == Tubular && long <= 2*c.Usable():
		return 1
	case c.Fold.Folded():
		room = c.Usable()
	}
	seam := seamOf(p)
	for n := 1; n < 20; n++ {
		if long/float64(n)+joinSeam(n, seam) <= room+near {
			return n
		}
	}
	return 1
}

// plainBand reports whether a piece is an upright rectangle.
func plainBand(p *piece.Piece) bool {
	ring := ringOf(p, false)
	b := curve.Bounds(ring...)
	return math.Abs(math.Abs(curve.PolygonArea(ring))-b.W()*b.H()) < 0.5
}

func wholeLength(p *piece.Piece) float64 {
	w := p.CutLine().Bounds().W()
	if p.OnFold {
		return 2 * w
	}
	return w
}

// seamOf is the largest allowance of a piece: what joins in it are sewn with.
func seamOf(p *piece.Piece) float64 {
	a := 0.0
	for _, e := range p.Edges {
		a = math.Max(a, e.Allowance)
	}
	return a
}

func joinSeam(n int, seam float64) float64 {
	if n == 1 {
		return 0
	}
	return 2 * seam
}

// joined cuts a band into n equal lengths, a seam allowance on either side of each join.
func (c *Cloth) joined(w Work, p *piece.Piece, n int, o Options) ([]shape, []piece.Finding) {
	b := p.CutLine().Bounds()
	long, seam := wholeLength(p), seamOf(p)
	each := long/float64(n) + joinSeam(n, seam)
	kx, ky := c.enlarge()
	var out []shape
	for k := 1; k <= n; k++ {
		ring := []curve.Point{{X: 0, Y: 0}, {X: each, Y: 0}, {X: each, Y: b.H()}, {X: 0, Y: b.H()}}
		s := shape{id: fmt.Sprintf("%s/%s/part %d", w.Job, p.Name, k), job: w.Job, p: p, count: p.Count, layers: 1, part: part{N: k, Of: n, from: 0, to: each}}
		s.exact = scaled(ring, kx, ky)
		s.rough = s.exact
		s.measure()
		out = append(out, s)
	}
	return out, nil
}
