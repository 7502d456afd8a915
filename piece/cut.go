package piece

import (
	"math"

	"clothwright/curve"
	"clothwright/phrase"
)

// Fit is how near, in mm, the curves of a cut line keep to the true parallel of the seam line.
const Fit = 0.01

// MitreLimit is how many times the larger of two allowances the cut line may run out beyond the corner of the seam line.
// A sharper corner is cut off square to its bisector at that distance. Common practice: a longer point only frays.
const MitreLimit = 3.0

// tiny is the length in mm below which two points of a cut line are one.
const tiny = 1e-9

// Finish computes the cut line from the edges and keeps it in the piece, then verifies both outlines as Verify does. Call
// it again after any change to the edges.
//
// The cut line is the parallel of each edge at its allowance, joined at the corners:
//
//   - Mitre: both allowances run on along their tangents until they meet, no further from the corner than MitreLimit. In an
//     inward corner, as that of a block, they are trimmed where they cross. Where one allowance is so much wider than the
//     other that the mitre would cut into it (always where the edges run on smoothly), the wider one keeps its full
//     width to the end of its edge and comes down to the other in a step square to the seam.
//   - Square: from where the neighbour's cut line meets this edge's seam line extended, square to this edge out to its own
//     parallel, so that with the seam pressed to one side the two lie flush.
//   - Mirror: the end of this allowance is the mirror image, about this edge, of what the neighbour's cut line does within
//     the depth of the allowance, so that a turned hem lies flush. A curved edge is mirrored about its tangent at the corner.
//
// The rule at a corner is the Corner of the edge that ends there; if that is Mitre, the StartCorner of the edge that
// begins; if that is Mitre too and the edge that begins is itself a Mirror edge, Mirror, since an allowance that is turned back
// is turned back at both its ends. Square and Mirror need an outward corner where the result stays within MitreLimit and
// does not cut into the neighbour's allowance; elsewhere the corner is mitred.
//
// An edge that is a fold of the cloth or of the piece (Fold, TurnUp) has no allowance and no cloth beyond it: its neighbours' cut
// lines run on to the fold line and end on it, never across it.
//
// A short edge whose parallel is swallowed whole by its neighbours' is left out of the cut line, which is then made of straight
// lines within Fit/2 of the true one.
func (p *Piece) Finish() error {
	p.cut, p.clip = nil, nil
	if err := p.verifyEdges(); err != nil {
		return err
	}
	tame := make([]bool, len(p.Edges)) // edges at whose end no rule but the mitre can be kept
	whole, err := p.drawCut(tame)
	if err != nil {
		return err
	}
	cut := loop(p.cut, cutFine)
	if !whole || !curve.Simple(cut) {
		if err := p.drawSwallowed(tame); err != nil {
			return err
		}
		if cut = loop(p.cut, cutFine); !curve.Simple(cut) {
			return p.fault("cut", nil, phrase.Of("the cut line crosses itself; make the allowances smaller"))
		}
	}
	return p.verifyCut(cut, probes(p.cut))
}

// CutLine is the closed outline to cut on. It is empty before Finish, and after a Finish that could not draw it.
func (p *Piece) CutLine() curve.Path { return p.cut }

// Outline flattens the seam line and the cut line to within tol mm: closed, the first point not repeated, clockwise on the
// page. cut is nil before Finish.
func (p *Piece) Outline(tol float64) (seam, cut []curve.Point) {
	return loop(p.SeamLine(), tol), loop(p.cut, tol)
}

// loop flattens a closed path to a polygon, without its repeated last point and without points that repeat.
func loop(path curve.Path, tol float64) []curve.Point {
	return tidy(path.Flatten(tol))
}

// Area is the area inside the seam line in mm², of the half for a piece on the fold.
func (p *Piece) Area() float64 { return math.Abs(curve.Area(p.SeamLine())) }

// CutArea is the area inside the cut line in mm², of the half for a piece on the fold; 0 before Finish.
func (p *Piece) CutArea() float64 { return math.Abs(curve.Area(p.cut)) }

// Bounds is the smallest upright box round the cut line, round the seam line before Finish.
func (p *Piece) Bounds() curve.Rect {
	if len(p.cut) > 0 {
		return p.cut.Bounds()
	}
	return p.SeamLine().Bounds()
}

// folds reports whether there is no cloth beyond the edge.
func (e *Edge) folds() bool { return e.Finish == Fold || e.Finish == TurnUp }

// arm is one of the two edges that meet at a corner, seen from the corner.
type arm struct {
	n, out curve.Point // unit vectors: away from the piece, and the way the edge would run on beyond the corner
	d      float64     // the allowance
	run    curve.Path  // the parallel, in the direction of the outline
	end    bool        // the edge ends at the corner, else it begins there
	fold   bool
}

// corner is where edge a ends and edge b begins.
type corner struct {
	at       curve.Point
	a, b     arm
	cos, sin float64 // of the turn from a to b; sin > 0 outward
}

// join is what Finish decides at a corner: how much is kept of the two parallels, and what runs between them.
type join struct {
	keepA, keepB float64 // mm along the parallels of a and b at which they are trimmed
	via          curve.Path
	clipA, clipB float64 // mm back from the corner within which a's or b's allowance is cut short by rule
	lost         bool    // an inward corner whose parallels do not cross: one is swallowed by its neighbours
}

// drawCut fills p.cut; whole is false when a parallel is swallowed, and then p.cut is empty. Where the rules at the ends of an edge
// leave nothing of its parallel, they are given up and tame says so.
func (p *Piece) drawCut(tame []bool) (whole bool, err error) {
	n := len(p.Edges)
	runs := make([]curve.Path, n)
	for i := range p.Edges {
		runs[i] = parallel(p.Edges[i].Path, p.Edges[i].Allowance)
	}
	joins := make([]join, n)
	p.clip = make([][2]float64, n)
	for i := range p.Edges {
		c, ok := p.cornerAt(i, runs)
		if !ok {
			return false, nil
		}
		if err := p.joinAt(i, &c, joins, tame); err != nil {
			return false, err
		}
	}
	for i, run := range runs {
		h := (i + n - 1) % n
		from, to := joins[h].keepB, joins[i].keepA
		if to > tiny && (from == 0 || from < math.Min(to, run.Length())-tiny) {
			continue
		}
		for _, k := range [2]int{h, i} {
			tame[k] = true
			c, _ := p.cornerAt(k, runs)
			if err := p.joinAt(k, &c, joins, tame); err != nil {
				return false, err
			}
		}
	}
	segs := n
	for i := range runs {
		if joins[i].lost {
			return false, nil
		}
		segs += len(runs[i]) + len(joins[i].via)
	}
	out := make(curve.Path, 0, segs)
	for i, run := range runs {
		from, to := joins[(i+n-1)%n].keepB, joins[i].keepA
		if from > 0 || !math.IsInf(to, 1) {
			if run = run.Sub(from, to); len(run) == 0 {
				return false, nil
			}
		}
		out = weld(weld(out, run...), joins[i].via...)
	}
	p.cut = closeUp(out)
	return true, nil
}

// joinAt decides the corner at the end of edge i.
func (p *Piece) joinAt(i int, c *corner, joins []join, tame []bool) error {
	j := (i + 1) % len(p.Edges)
	rule, ofNext := p.rule(i, tame)
	var err error
	if joins[i], err = c.join(rule, ofNext); err != nil {
		return p.fault("fold", &p.Edges[i], phrase.From(err))
	}
	p.clip[i][1], p.clip[j][0] = joins[i].clipA, joins[i].clipB
	return nil
}

// rule is how the cut line turns at the end of edge i, and whether it is the rule of the edge that begins there.
func (p *Piece) rule(i int, tame []bool) (r Corner, ofNext bool) {
	if tame[i] {
		return Mitre, false
	}
	if r := p.Edges[i].Corner; r != Mitre {
		return r, false
	}
	return p.startRule((i+1)%len(p.Edges), tame), true
}

// startRule is the rule that edge j has at its start.
func (p *Piece) startRule(j int, tame []bool) Corner {
	e := &p.Edges[j]
	switch {
	case tame[(j+len(p.Edges)-1)%len(p.Edges)]:
		return Mitre
	case e.StartCorner == Mitre && e.Corner == Mirror:
		return Mirror
	}
	return e.StartCorner
}

// cornerAt describes the corner where edge i ends; ok is false when a parallel does not reach it, swallowed by its own bend.
func (p *Piece) cornerAt(i int, runs []curve.Path) (c corner, ok bool) {
	j := (i + 1) % len(p.Edges)
	a, b := &p.Edges[i], &p.Edges[j]
	u, v := a.Path.EndTangent(), b.Path.StartTangent()
	c = corner{
		at:  b.Path.Start(),
		a:   arm{n: u.Left(), out: u, d: a.Allowance, run: runs[i], end: true, fold: a.folds()},
		b:   arm{n: v.Left(), out: v.Mul(-1), d: b.Allowance, run: runs[j], fold: b.folds()},
		cos: u.Dot(v),
		sin: u.Cross(v),
	}
	if len(runs[i]) == 0 || len(runs[j]) == 0 {
		return c, false
	}
	return c, runs[i].End().Dist(c.foot(&c.a)) < 10*curve.Snap && runs[j].Start().Dist(c.foot(&c.b)) < 10*curve.Snap
}

// foot is the end of an arm's parallel, square out from the corner.
func (c *corner) foot(x *arm) curve.Point { return c.at.Add(x.n.Mul(x.d)) }

// keepAll is a join that trims nothing.
func keepAll() join { return join{keepA: math.Inf(1)} }

// join decides the corner.
func (c *corner) join(rule Corner, ofNext bool) (join, error) {
	if c.a.d == 0 && c.b.d == 0 {
		return keepAll(), nil
	}
	if c.a.fold || c.b.fold {
		return c.ontoFold()
	}
	if rule == Square || rule == Mirror {
		this, other := &c.a, &c.b
		if ofNext {
			this, other = other, this
		}
		turn := c.square
		if rule == Mirror {
			turn = c.mirror
		}
		if j, ok := turn(this, other); ok {
			return j, nil
		}
	}
	return c.mitre(), nil
}

// mitre joins the two parallels where they meet, or by a step where the narrower one would cut into the wider.
func (c *corner) mitre() join {
	j := keepAll()
	pa, pb := c.foot(&c.a), c.foot(&c.b)
	if pa.Dist(pb) <= curve.Snap {
		return j
	}
	outward := c.sin > 0 || c.sin == 0 && c.cos > 0
	switch {
	case c.b.d < c.a.d*c.cos-tiny:
		j.step(c, &c.a, &c.b, outward)
	case c.a.d < c.b.d*c.cos-tiny:
		j.step(c, &c.b, &c.a, outward)
	case outward:
		j.via = c.point()
	default:
		c.trim(&j)
	}
	return j
}

// step brings the wide arm down to the narrow one, square to the wide edge.
func (j *join) step(c *corner, wide, narrow *arm, outward bool) {
	top, bottom := c.foot(wide), c.at.Add(wide.n.Mul(narrow.d/c.cos))
	if !outward && narrow.d > 0 {
		s, at, ok := last(narrow, curve.Path{curve.Line(c.at, top)})
		if !ok {
			j.lost = true
			return
		}
		bottom = at
		j.keep(narrow, s)
	}
	via := curve.Path{curve.Line(top, bottom)}
	if outward {
		via = weld(via, curve.Line(bottom, c.foot(narrow)))
	}
	j.via = wide.forward(via)
}

// forward turns a path that starts at the parallel of x the way of the outline.
func (x *arm) forward(path curve.Path) curve.Path {
	if x.end {
		return path
	}
	return path.Reverse()
}

// keep trims the parallel of x at s mm.
func (j *join) keep(x *arm, s float64) {
	if x.end {
		j.keepA = s
	} else {
		j.keepB = s
	}
}

// last is the crossing of x's parallel with a path that lies nearest to the corner.
func last(x *arm, with curve.Path) (s float64, at curve.Point, ok bool) {
	m := x.run.Meet(with)
	if len(m) == 0 {
		return 0, curve.Point{}, false
	}
	k := 0
	if x.end {
		k = len(m) - 1
	}
	return m[k].S, m[k].At, true
}

// trim ends both parallels of an inward corner at their crossing.
func (c *corner) trim(j *join) {
	// How far back the crossing lies if the edges are straight there. Of a hair's breadth nothing else matters.
	if back := -c.reach(&c.a, &c.b); back < 1e-3 && -c.reach(&c.b, &c.a) < 1e-3 {
		j.keepA, j.keepB = c.a.run.Length()-back, -c.reach(&c.b, &c.a)
		return
	}
	m := c.a.run.Meet(c.b.run)
	if len(m) == 0 {
		j.lost = true
		return
	}
	x := m[len(m)-1]
	j.keepA, j.keepB = x.S, x.T
}

// reach is how far beyond the end of x's edge its straight parallel meets the other's; negative before the end.
func (c *corner) reach(x, other *arm) float64 {
	// (o - x·cos)/sin, written so that a slight turn of equal allowances loses no digits.
	r := x.d * c.sin / (1 + c.cos)
	if other.d != x.d {
		r += (other.d - x.d) / c.sin
	}
	return r
}

// point is the mitre of an outward corner, cut off where it is too long.
func (c *corner) point() curve.Path {
	from, to := c.foot(&c.a), c.foot(&c.b)
	limit := MitreLimit * math.Max(c.a.d, c.b.d)
	way := c.a.out
	if 1+c.cos > 1e-12 {
		tip := from.Add(c.a.out.Mul(c.reach(&c.a, &c.b)))
		way = tip.Sub(c.at)
		if way.Norm() <= limit {
			return weld(weld(nil, curve.Line(from, tip)), curve.Line(tip, to))
		}
		way = way.Unit()
	}
	off := func(x *arm) curve.Point {
		return c.foot(x).Add(x.out.Mul((limit - x.d*x.n.Dot(way)) / x.out.Dot(way)))
	}
	a, b := off(&c.a), off(&c.b)
	return weld(nil, curve.Line(from, a), curve.Line(a, b), curve.Line(b, to))
}

// ontoFold ends the allowance of the edge beside a fold on the fold line.
func (c *corner) ontoFold() (join, error) {
	j := keepAll()
	x, fold := &c.a, &c.b
	clip := &j.clipA
	if c.a.fold {
		x, fold, clip = fold, x, &j.clipB
	}
	if c.sin < 1e-3 {
		return j, errFoldAngle
	}
	from := c.foot(x)
	tip := c.at.Add(fold.out.Mul(x.d / c.sin))
	via := curve.Path{}
	if c.cos > 1e-12 {
		s, at, ok := last(x, curve.Path{curve.Line(c.at, c.at.Add(fold.out.Mul(2*x.d/c.sin)))})
		if !ok {
			return j, errFoldReach
		}
		j.keep(x, s)
		*clip = from.Dist(at) + x.d
		tip = at
	} else if limit := MitreLimit * x.d; tip.Dist(c.at) > limit {
		tip = c.at.Add(fold.out.Mul(limit))
		off := from.Add(x.out.Mul((limit - x.d*x.n.Dot(fold.out)) / x.out.Dot(fold.out)))
		via = weld(via, curve.Line(from, off), curve.Line(off, tip))
	} else {
		via = weld(via, curve.Line(from, tip))
	}
	j.via = x.forward(weld(via, curve.Line(tip, c.at)))
	return j, nil
}

// flush finds where the other edge's cut line meets this edge's seam line extended, and hands back the other's cut line from
// there on, away from the corner; trim is where the other's parallel is cut, or negative when it is lengthened instead.
func (c *corner) flush(this, other *arm) (q curve.Point, rest curve.Path, trim float64, ok bool) {
	limit := MitreLimit * math.Max(this.d, other.d)
	if c.sin <= 1e-3 || other.d/c.sin > limit || this.d < other.d*c.cos-tiny {
		return q, nil, -1, false
	}
	away := other.run
	if other.end {
		away = away.Reverse()
	}
	q = c.at.Add(this.out.Mul(other.d / c.sin))
	if c.cos <= 1e-12 || other.d == 0 {
		return q, weld(weld(nil, curve.Line(q, c.foot(other))), away...), -1, true
	}
	m := away.Meet(curve.Path{curve.Line(c.at, c.at.Add(this.out.Mul(limit)))})
	if len(m) == 0 {
		return q, nil, -1, false
	}
	_, rest = away.Split(m[0].S)
	trim = m[0].S
	if other.end {
		trim = away.Length() - trim
	}
	return m[0].At, rest, trim, true
}

// square ends this edge's allowance square to it, flush with the other's cut line.
func (c *corner) square(this, other *arm) (join, bool) {
	j := keepAll()
	q, _, trim, ok := c.flush(this, other)
	if !ok {
		return j, false
	}
	from := c.foot(this)
	out := from.Add(q.Sub(c.at))
	via := weld(weld(nil, curve.Line(from, out)), curve.Line(out, q))
	if trim >= 0 {
		j.keep(other, trim)
	} else {
		via = weld(via, curve.Line(q, c.foot(other)))
	}
	j.via = this.forward(via)
	return j, true
}

// mirror ends this edge's allowance with the mirror image of the other's cut line.
func (c *corner) mirror(this, other *arm) (join, bool) {
	j := keepAll()
	if this.d == 0 {
		return j, false
	}
	q, rest, trim, ok := c.flush(this, other)
	if !ok {
		return j, false
	}
	limit := MitreLimit * math.Max(this.d, other.d)
	deep := c.at.Sub(this.n.Mul(this.d))
	bottom := curve.Path{curve.Line(deep.Sub(this.out.Mul(3*limit)), deep.Add(this.out.Mul(3*limit)))}
	m := rest.ExtendEnd(3 * limit).Meet(bottom)
	if len(m) == 0 {
		return j, false
	}
	end := rest.ExtendEnd(3*limit).Sub(0, m[0].S).Mirror(c.at, this.out).Reverse() // from this parallel in to q
	tip := end.Start()
	if tip.Dist(c.at) > limit {
		return j, false
	}
	from := c.foot(this)
	if ahead := tip.Sub(from).Dot(this.out); ahead >= -curve.Snap {
		end = weld(weld(nil, curve.Line(from, tip)), end...)
	} else {
		// Lengthened, so that a curved parallel is met too.
		m := this.run.Meet(end.ExtendStart(this.d))
		if len(m) == 0 {
			return j, false
		}
		k := 0
		if this.end {
			k = len(m) - 1
		}
		end = end.ExtendStart(this.d)
		_, end = end.Split(m[k].T)
		j.keep(this, m[k].S)
	}
	// Where the neighbour turns in below this edge, its image cuts into this allowance: that much is meant.
	back := 0.0
	for _, q := range end.Flatten(cutFine) {
		back = math.Max(back, c.at.Sub(q).Dot(this.out))
	}
	if back > 0 {
		clip := &j.clipA
		if !this.end {
			clip = &j.clipB
		}
		*clip = back + this.d
	}
	if trim >= 0 {
		j.keep(other, trim)
	} else {
		end = weld(end, curve.Line(q, c.foot(other)))
	}
	j.via = this.forward(end)
	return j, true
}

// weld appends segments to a path: it leaves out those without length and makes one line of two that lie in a row.
func weld(path curve.Path, segs ...curve.Seg) curve.Path {
	for _, s := range segs {
		a, b := s.Start(), s.End()
		if s.Straight() && a.Dist(b) <= tiny {
			continue
		}
		if n := len(path) - 1; n >= 0 && s.Straight() && path[n].Straight() {
			if o := path[n].Start(); inRow(o, path[n].End(), b) {
				path[n] = curve.Line(o, b)
				continue
			}
		}
		path = append(path, s)
	}
	return path
}

// inRow reports whether the way from a by b to c goes straight on.
func inRow(a, b, c curve.Point) bool {
	u, v := b.Sub(a), c.Sub(b)
	return u.Dot(v) > 0 && math.Abs(u.Cross(v)) <= tiny*math.Max(u.Norm(), v.Norm())
}

// closeUp makes each segment begin exactly where the one before it ends, all the way round, and makes one line of the last
// and first where they lie in a row.
func closeUp(path curve.Path) curve.Path {
	if n := len(path) - 1; n > 0 && path[0].Straight() && path[n].Straight() && inRow(path[n].Start(), path[0].Start(), path[0].End()) {
		path[0] = curve.Line(path[n].Start(), path[0].End())
		path = path[:n]
	}
	for i := range path {
		was := path[(i+len(path)-1)%len(path)].End()
		if s := path[i]; s.Start() != was && s.Start().Dist(was) <= 10*curve.Snap {
			if c := s.Controls(); s.Straight() {
				path[i] = curve.Line(was, c[3])
			} else {
				path[i] = curve.Cubic(was, c[1], c[2], c[3])
			}
		}
	}
	return path
}
