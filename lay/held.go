package lay

import (
	"fmt"
	"math"
	"slices"

	"clothwright/curve"
	"clothwright/lay/pack"
	"clothwright/phrase"
	"clothwright/piece"
)

// Key names one shape that is cut: which copy of which piece of which job, and which part (from 1) of one that is joined of
// several; 0 is the whole piece. How many copies there are depends on how the cloth lies; see [Shapes].
type Key struct {
	Job, Piece string
	Copy, Part int
}

// Key is the shape that lies at the place. The two halves of a piece opened out are one shape.
func (q *Place) Key() Key { return Key{q.Job, q.Piece, q.Copy, q.Part} }

// Held is a shape that lies as it is given, by hand, and is not moved. Turn, Flipped, X and Y are those of a [Place]; of a piece
// opened out, either half's. A place is read to the thousandth of a millimetre, as places are written.
//
// A held place that names no shape of the lay, leaves the cloth, lies on a flaw, off the fold, off the repeat, over another held one, or in a turn
// that nap, fold and tilt do not allow, is a finding of level stop that names the piece. One that lies nearer to another than the cloth's gap is
// a warning.
type Held struct {
	Key
	Turn    float64 // degrees
	Flipped bool
	X, Y    float64 // mm
}

// Hold is the place as one to be held.
func (q *Place) Hold() Held { return Held{q.Key(), q.Turn, q.Flipped, q.X, q.Y} }

// Loose is a shape of a lay before it has a place, for whoever lays by hand.
type Loose struct {
	Key
	From    *piece.Piece
	Layers  int           // that the one shape cuts
	OnFold  bool          // a half that lies with its edge on the fold: X is 0
	Outline []curve.Point // about its origin in the first of its poses, mm
	Poses   []Pose        // the ways it may be turned, at least one

	// Matched is set when the shape's point Point, in its one pose, must fall on a whole number of the cloth's repeats.
	Matched bool
	Point   curve.Point
}

// Pose is a way a shape may be turned. Turn and Flipped are those of its place. M turns the shape's outline: (x, y) becomes
// (M[0] x + M[1] y, M[2] x + M[3] y).
type Pose struct {
	Turn     float64 // degrees, 0 up to 360
	Flipped  bool
	M        [4]float64
	From, To float64 // the part of the width in which it may lie so, mm
}

// Shapes are all shapes that a lay of the works on the cloth consists of, in the order of their pieces. The findings are those for
// which Lay would lay nothing; then there are no shapes.
func Shapes(works []Work, c Cloth, o Options) ([]Loose, []piece.Finding) {
	plan := &Plan{Cloth: c}
	if plan.Findings = c.check(o.say); len(plan.Findings) > 0 {
		return nil, plan.Findings
	}
	shapes := plan.gather(works, o)
	if piece.Worst(plan.Findings) == piece.Stop {
		return nil, plan.Findings
	}
	shapes, plan.Findings = c.byHand(shapes, plan.Findings, o)
	var out []Loose
	for i := range shapes {
		s := &shapes[i]
		one := Loose{From: s.p, Layers: s.layers, OnFold: s.onFold, Outline: s.exact, Poses: c.poses(s)}
		if c.matchOf(s) != nil {
			one.Matched, one.Point = true, c.pointOf(s)
		}
		for k := range s.count {
			one.Key = Key{s.job, s.p.Name, s.copy + k, s.part.N}
			out = append(out, one)
		}
	}
	return out, plan.Findings
}

// poses are the ways the search may turn a shape.
func (c *Cloth) poses(s *shape) []Pose {
	var out []Pose
	for _, w := range c.ways(s) {
		sin, cos := sinCos(-w.Turn)
		p := Pose{normal(s.base - w.Turn), s.flipped, [4]float64{cos, -sin, sin, cos}, w.From, w.To}
		if w.Flipped {
			p.Turn, p.Flipped = normal(180-s.base-w.Turn), !s.flipped
			p.M = [4]float64{cos, sin, sin, -cos}
		}
		out = append(out, p)
	}
	return out
}

// ByHand is the plan of a lay in which every shape lies as it is held. What is wrong with it, an overlap above all, is among
// its findings at level stop; it has its places all the same, so that it can be looked at and mended. A shape without a place
// is such a finding too. Where Lay would lay nothing the plan has no places.
func ByHand(works []Work, c Cloth, held []Held, o Options) *Plan {
	plan := &Plan{Cloth: c, Fits: true}
	if plan.Findings = c.check(o.say); len(plan.Findings) > 0 {
		return plan
	}
	plan.Usable = c.Usable()
	shapes := plan.gather(works, o)
	if len(shapes) == 0 || piece.Worst(plan.Findings) == piece.Stop {
		return plan
	}
	if shapes, plan.Findings = c.byHand(shapes, plan.Findings, o); len(shapes) == 0 {
		return plan
	}
	o.Held = held
	spots, fs := c.hold(shapes, o)
	plan.Findings = append(plan.Findings, fs...)
	for i := range shapes {
		for k := range shapes[i].count {
			plan.Findings = append(plan.Findings, piece.Found(piece.Stop, "lay:missing",
				phrase.Of("%s has no place on %s yet.", shapes[i].called(shapes[i].copyOf(k)), c.title()), shapes[i].p.Name))
		}
	}
	plan.Findings = append(plan.Findings, c.clashes(spots, o)...)
	if len(spots) == 0 {
		return plan
	}
	inOrder(spots)
	plan.fill(spots, &c)
	plan.conclude(shapes, o)
	return plan
}

// byHand are the shapes to lay by hand, without any when the cloth cannot be laid so. Cloth with one part single must say how far
// it is folded; which of its pairs are cut apart is then what is guessed best.
func (c *Cloth) byHand(shapes []shape, fs []piece.Finding, o Options) ([]shape, []piece.Finding) {
	if c.Fold != PartSingle || len(shapes) == 0 {
		return shapes, fs
	}
	if c.Doubled == 0 {
		return nil, append(fs, piece.Found(piece.Stop, "lay:held",
			phrase.Of("%s: with one part single, places can be held only when it is said how far the cloth is folded over.", upper(c.title()))))
	}
	some := c.foldings(shapes, o.Mark)
	if len(some) == 0 {
		return nil, append(fs, c.noFolding(shapes, o))
	}
	return parted(shapes, some[0].alone), fs
}

// copyOf is the number of the k-th copy that the search lays.
func (s *shape) copyOf(k int) int {
	if s.free == nil {
		return s.copy + k
	}
	return s.free[k]
}

// called is what a sentence calls one copy of a shape.
func (s *shape) called(number int) phrase.Said {
	name := phrase.Plain(titleOf(s.p))
	if s.part.Of > 0 {
		name = phrase.Of("%s, part %d", name, s.part.N)
	}
	if s.p.Count > 1 && number > 0 {
		name = phrase.Of("%s, copy %d", name, number+1)
	}
	return name
}

func (x *spot) called() phrase.Said { return x.s.called(x.copy) }

// hold takes the held copies out of the shapes and gives them their spots.
func (c *Cloth) hold(shapes []shape, o Options) ([]spot, []piece.Finding) {
	var out []spot
	var fs []piece.Finding
	stop := func(code, name string, said phrase.Said) {
		fs = append(fs, piece.Found(piece.Stop, "lay:"+code, said, name))
	}
	taken := map[Key]bool{}
	for _, h := range o.Held {
		s := shapeOf(shapes, h.Key)
		if s == nil {
			stop("held", h.Piece, phrase.Of("A place is held for %s, copy %d, which %s does not lay.", h.Piece, h.Copy+1, c.title()))
			continue
		}
		name := s.called(h.Copy)
		switch {
		case taken[h.Key]:
			stop("held", h.Piece, phrase.Of("%s is held at two places; one is allowed.", name))
			continue
		case !finite(h.X, -longest, longest) || !finite(h.Y, -longest, longest) || !finite(h.Turn, -longest, longest):
			stop("held", h.Piece, phrase.Of("%s is held at a place that is no number within %s.", name, o.say(longest)))
			continue
		case h.Flipped != s.flipped && !c.turnsOver(s) && !s.whole:
			stop("turn", h.Piece, phrase.Of("%s is held turned over; it is cut the other way up here.", name))
			continue
		}
		taken[h.Key] = true
		x, fits := c.posed(s, h)
		if !fits {
			stop("turn", h.Piece, phrase.Of("%s is held turned by %s; %s.", name, degrees(x.tilt), c.turnsAllowed(s)))
		}
		out = append(out, x)
	}
	for i := range shapes {
		s := &shapes[i]
		free := []int{}
		for k := range s.count {
			if !taken[Key{s.job, s.p.Name, s.copy + k, s.part.N}] {
				free = append(free, s.copy+k)
			}
		}
		if len(free) < s.count {
			s.free, s.count = free, len(free)
		}
	}
	return out, fs
}

func degrees(d float64) phrase.Said {
	return phrase.Of("%.4g degrees", math.Abs(math.Remainder(d, 360)))
}

// turnsAllowed says in words how a shape may be turned.
func (c *Cloth) turnsAllowed(s *shape) phrase.Said {
	out := phrase.Of("upright is allowed")
	if len(c.uprights()) > 1 {
		out = phrase.Of("upright and upside down are allowed")
	}
	switch {
	case s.onFold:
		return phrase.Of("%s, with its edge on the fold", out)
	case c.tiltable(s):
		return phrase.Of("%s, up to %g degrees off", out, c.Tilt)
	}
	return out
}

// shapeOf finds the shape that a key names.
func shapeOf(shapes []shape, k Key) *shape {
	for i := range shapes {
		s := &shapes[i]
		if s.job == k.Job && s.p.Name == k.Piece && s.part.N == k.Part && k.Copy >= s.copy && k.Copy < s.copy+s.count {
			return s
		}
	}
	return nil
}

// turnSlack is within how many degrees two turns are one.
const turnSlack = 1e-6

// posed turns a shape as it is held, and tells whether it may lie so.
func (c *Cloth) posed(s *shape, h Held) (spot, bool) {
	x := spot{s: s, copy: h.Copy, turn: s.base, flipped: s.flipped, outline: s.exact, held: true}
	if !s.whole && h.Flipped != s.flipped {
		x.flipped, x.turn, x.upside = !s.flipped, normal(180-s.base), true
		x.outline = scaled(s.exact, 1, -1)
	}
	off, fits := c.offUpright(s, x.upside, normal(h.Turn-x.turn))
	x.turn = normal(x.turn + off)
	x.outline, x.tilt = turnedBy(x.outline, off), off
	b := curve.Bounds(x.outline...)
	x.at = curve.Point{X: h.X, Y: h.Y}
	if _, out := c.laneOf(&x); out <= 0.001 && h.Y >= c.head()-b.Min.Y-0.001 {
		c.round(&x)
		return x, fits
	}
	x.at = curve.Point{X: math.Round(h.X*1000)/1000 + 0, Y: math.Round(h.Y*1000)/1000 + 0}
	return x, fits
}

// offUpright brings a turn from the shape's own on to the upright that it is meant for, and tells whether it is allowed.
func (c *Cloth) offUpright(s *shape, upside bool, off float64) (float64, bool) {
	tilted := false
	for _, w := range c.ways(s) {
		if w.Flipped != upside {
			continue
		}
		d := math.Abs(math.Remainder(off+w.Turn, 360))
		if d <= turnSlack {
			return normal(-w.Turn), true
		}
		tilted = tilted || c.tiltable(s) && math.Mod(w.Turn, 180) == 0 && d <= c.Tilt+turnSlack
	}
	return off, tilted
}

// turnsOver reports whether a shape may lie mirrored from its own way up.
func (c *Cloth) turnsOver(s *shape) bool {
	for _, w := range c.ways(s) {
		if w.Flipped {
			return true
		}
	}
	return false
}

// ring is the cut line where it lies.
func (x *spot) ring() []curve.Point {
	out := make([]curve.Point, len(x.outline))
	for i, p := range x.outline {
		out[i] = p.Add(x.at)
	}
	return out
}

// offRepeat is how far in mm a matched piece may lie off its repeat: less than a stripe's edge is straight. From memory.
const offRepeat = 0.5

// clashes finds what is wrong with where spots lie: off the cloth, off the fold or the repeat, on a flaw, over one another.
func (c *Cloth) clashes(spots []spot, o Options) []piece.Finding {
	var out []piece.Finding
	add := func(l piece.Level, code string, pieces []string, said phrase.Said) {
		out = append(out, piece.Found(l, "lay:"+code, said, pieces...))
	}
	usable := c.Usable()
	tol := pack.Tolerance * usable
	rings := make([][]pack.Point, len(spots))
	boxes := make([]curve.Rect, len(spots))
	flaws := c.flawsLaid()
	for i := range spots {
		x := &spots[i]
		rings[i], boxes[i] = across(x.ring()), x.box()
		name, one, b := x.called(), []string{x.s.p.Name}, boxes[i]
		if over := math.Max(math.Max(-b.Min.X, b.Max.X-usable), -b.Min.Y); over > tol {
			add(piece.Stop, "off-cloth", one, phrase.Of("%s leaves the cloth by %s; %s of %s can be used.", name, o.say(over), o.say(usable), c.title()))
		}
		switch l, off := c.laneOf(x); {
		case off <= near:
		case x.s.onFold:
			add(piece.Stop, "off-fold", one, phrase.Of("%s lies %s off the fold; its edge must lie on it.", name, o.say(off)))
		case c.Fold == PartSingle && b.Max.X > c.Double()+near && (x.s.layers == 2 || b.Min.X < c.single()-near):
			add(piece.Stop, "off-part", one, phrase.Of("%s leaves the part of the cloth where it can be cut by %s: that runs from %s to %s from the fold.", name, o.say(off), o.say(l.from), o.say(l.to)))
		case b.Min.X >= -tol && b.Max.X <= usable+tol: // beside the fold
			add(piece.Warn, "near", one, phrase.Of("%s lies less than %s off the fold and is not cut on it; chalk and shears want that much.", name, o.say(c.gap())))
		}
		if c.matchOf(x.s) != nil {
			q := c.pointOf(x.s).Add(x.at)
			if off := math.Max(offBy(q.Y, c.Along), offBy(q.X, c.Across)); off > offRepeat {
				add(piece.Stop, "off-repeat", one, phrase.Of("%s lies %s off the repeat, so the pattern would not run on across its seams.", name, o.say(off)))
			}
		}
		for _, f := range flaws {
			r := across([]curve.Point{f.Min, {X: f.Max.X, Y: f.Min.Y}, f.Max, {X: f.Min.X, Y: f.Max.Y}})
			if _, yes := pack.Overlap(rings[i], r, tol); yes {
				add(piece.Stop, "on-flaw", one, phrase.Of("%s lies on a flaw of the cloth.", name))
			}
		}
	}
	for i := range spots {
		for k := i + 1; k < len(spots); k++ {
			if !boxes[i].Pad(c.gap()).Overlaps(boxes[k]) {
				continue
			}
			a, b := spots[i].called(), spots[k].called()
			both := []string{spots[i].s.p.Name, spots[k].s.p.Name}
			if both[0] == both[1] {
				both = both[:1]
			}
			depth, yes := pack.Overlap(rings[i], rings[k], tol)
			switch {
			case yes && math.IsInf(depth, 1):
				add(piece.Stop, "overlap", both, phrase.Of("%s and %s lie on one another.", a, b))
			case yes:
				add(piece.Stop, "overlap", both, phrase.Of("%s and %s overlap, by %s at the deepest.", a, b, o.say(depth)))
			default:
				if d := pack.Distance(rings[i], rings[k]); d < c.gap()-0.01 {
					add(piece.Warn, "near", both, phrase.Of("%s and %s lie less than %s apart; chalk and shears want that much.", a, b, o.say(c.gap())))
				}
			}
		}
	}
	return out
}

// offBy is how far v lies from a whole number of repeats.
func offBy(v, repeat float64) float64 {
	if repeat <= 0 {
		return 0
	}
	return math.Abs(math.Remainder(v, repeat))
}

// lock puts the held spots to the search as they lie.
func (c *Cloth) lock(p *pack.Problem, held []spot) {
	for i := range held {
		x := &held[i]
		outline := placed(x.s.rough, x, curve.Point{})
		if b := curve.Bounds(outline...); b.W() > p.Width {
			outline = x.outline
		}
		id := fmt.Sprintf("held/%d", i)
		p.Pieces = append(p.Pieces, pack.Piece{ID: id, Quantity: 1, Turns: []float64{0}, Outline: slices.Clone(across(outline))})
		p.Locked = append(p.Locked, pack.Place{ID: id, X: x.at.Y - c.head(), Y: x.at.X})
	}
}
