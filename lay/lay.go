package lay

import (
	"context"
	"errors"
	"fmt"
	"math"
	"sort"
	"strings"
	"time"

	"clothwright/curve"
	"clothwright/lay/pack"
	"clothwright/phrase"
	"clothwright/piece"
)

// Options steer the search for a lay.
type Options struct {
	Seed uint64

	// Steps is the budget in single moves, 0 means Steps unless Time is set. The same steps give the same plan on every
	// machine when Workers is 1 or 0.
	Steps int64

	// Time is a budget in time, 0 for none; it needs Now, the clock.
	Time time.Duration
	Now  func() time.Time

	Workers  int
	Progress func(length, done float64) // told of each better lay: mm so far, part of the budget used; may be nil

	// Mark is the step of the workroom's tape in mm, to which a fold is rounded that the program finds; 0 means a millimetre.
	Mark float64

	// Say puts a length in mm into words for findings; nil says millimetres.
	Say func(mm float64) string

	// Held are shapes that lie as given; the search lays the others round them. See [Held].
	Held []Held
}

// Steps is the budget of one cloth when the options name none. Measured on eight jackets' shells and linings, folded and open, each
// with two seeds: folded, six times as many steps found nothing shorter; open, 15 of 28 lays got shorter by 12 mm on average, less
// than the shop's step.
const Steps = 10000

func (o Options) say(mm float64) string {
	if o.Say == nil {
		return fmt.Sprintf("%.0f mm", mm)
	}
	return o.Say(mm)
}

// Place is where one shape lies; see the package comment.
type Place struct {
	Job      string
	Piece    string
	Copy     int     // the two halves of a piece opened out have the same
	Turn     float64 // degrees, 0 up to 360
	Flipped  bool
	X, Y     float64 // mm
	Layers   int
	FaceDown bool // it is cut through one layer whose wrong side is up, so that the pattern lies face down
	Part     int  // from 1: which part of a rib that is joined of several; 0 is the whole piece
	Parts    int  // how many parts
	N        int  // in the order of cutting, from 1; halves of one piece have the same

	From    *piece.Piece  // the piece itself
	Shape   []curve.Point // what is cut, where it lies: closed, first point not repeated; whole for a piece opened out
	Opened  bool          // one of the two halves of a piece opened out
	Held    bool          // it lies as it was given, by hand
	OnFold  bool          // a half on the fold
	Enlarge curve.Point   // how much larger than the pattern it is cut, across and along; (1, 1) unless the cloth shrinks
}

// Plan is how the pieces of one cloth are laid.
type Plan struct {
	Cloth       Cloth
	Band        bool    // a ready band, whose pieces lie one after the other along it
	Usable      float64 // width of the lay, mm
	Length      float64 // of cloth that the pieces take, mm; both layers of cloth folded across
	Bought      float64 // length to buy, mm; 0 when nothing is laid, the remnant's length for a remnant
	Utilisation float64 // area of what is cut over usable width times Length, 0 to 1
	Fits        bool    // whether a remnant is long enough; true for cloth bought by length
	Places      []Place // in the order of cutting
	Offcuts     []Offcut
	Findings    []piece.Finding
	Seed        uint64
	Steps       int64
}

// Laid reports whether the plan has anything to cut by.
func (p *Plan) Laid() bool { return len(p.Places) > 0 }

// Depth is how far the lay reaches along the table, mm: Length, or half of it on cloth folded across.
func (p *Plan) Depth() float64 {
	if p.Cloth.Fold == Crosswise {
		return p.Length / 2
	}
	return p.Length
}

// Margin is added to the length that the pieces take before the length to buy is rounded up: 2 %, at least 20 mm. The shop
// does not cut square to the selvedge, and the end has to be straightened before the pieces are laid. Common practice.
const (
	MarginPart  = 0.02
	MarginLeast = 20.0
)

// Buy is the length to buy for a lay: with its margin, for shrinkage, rounded up to the shop's step.
func (c *Cloth) Buy(length float64) float64 {
	if length <= 0 {
		return 0
	}
	with := length + math.Max(MarginLeast, MarginPart*length)
	if c.Wash {
		with /= 1 - c.ShrinkLong
	}
	step := c.Step
	if step <= 0 {
		step = 1
	}
	return math.Ceil(with/step-1e-9) * step
}

// Lay lays all pieces of the cloth's material. The plan's findings say what does not go; then it has no places. The error is
// a search that cannot run at all.
func Lay(ctx context.Context, works []Work, c Cloth, o Options) (*Plan, error) {
	plan := &Plan{Cloth: c, Seed: o.Seed, Fits: true}
	if plan.Findings = c.check(o.say); len(plan.Findings) > 0 {
		return plan, nil
	}
	plan.Usable = c.Usable()
	shapes := plan.gather(works, o)
	if len(shapes) == 0 || piece.Worst(plan.Findings) == piece.Stop {
		return plan, nil
	}
	tries, fs := c.tries(shapes, o)
	if plan.Findings = append(plan.Findings, fs...); len(tries) == 0 {
		return plan, nil
	}
	t, err := race(ctx, tries, o)
	if err != nil {
		var faults pack.Faults
		if errors.As(err, &faults) {
			return nil, fmt.Errorf("the pieces of %s cannot be laid: %s", c.title(), strings.ReplaceAll(faults.Error(), "\n", " "))
		}
		return nil, err
	}
	c, shapes = t.cloth, t.shapes
	plan.Cloth, plan.Usable, plan.Steps = c, c.Usable(), t.found.Steps
	plan.Findings = append(plan.Findings, t.findings...)
	spots := append(t.held, c.spotsOf(shapes, t.found)...)
	for i := range spots {
		if !spots[i].held {
			c.round(&spots[i])
		}
	}
	inOrder(spots)
	plan.fill(spots, &c)
	if err := plan.Check(); err != nil {
		return nil, fmt.Errorf("the lay of %s did not stand its check: %w", c.title(), err)
	}
	plan.conclude(shapes, o)
	return plan, nil
}

// gather collects what is cut and says what is too wide.
func (p *Plan) gather(works []Work, o Options) []shape {
	var out []shape
	c := &p.Cloth
	for _, w := range works {
		for i := range w.Pattern.Pieces {
			q := &w.Pattern.Pieces[i]
			if q.Material != c.Material {
				continue
			}
			var shapes []shape
			var fs []piece.Finding
			if parts := c.joins(q); parts > 1 {
				shapes, fs = c.joined(w, q, parts, o)
			} else {
				shapes, fs = c.shapesOf(w, q, o.say)
			}
			p.Findings = append(p.Findings, fs...)
			for _, s := range shapes {
				if f, ok := c.tooWide(&s, o); ok {
					p.Findings = append(p.Findings, f)
					break
				}
			}
			out = append(out, shapes...)
		}
	}
	return out
}

// tooWide finds a shape that the cloth cannot hold and says what width would do.
func (c *Cloth) tooWide(s *shape, o Options) (piece.Finding, bool) {
	if c.Fold == PartSingle {
		return piece.Finding{}, false // that depends on how far it is folded
	}
	wide := curve.Bounds(s.exact...).W()
	usable := c.Usable()
	beside := 0.0 // of the width, that the piece must keep off
	if !s.onFold {
		beside = usable - c.lanes(s)[0].wide()
	}
	if wide+beside <= usable+near {
		return piece.Finding{}, false
	}
	title, cloth, needs, free, would := titleOf(s.p), c.title(), o.say(wide), o.say(usable), o.say(math.Ceil(c.widthFor(wide+beside))+1)
	said := phrase.Of("%s is %s wide and %s has %s to use lying open: cloth %s wide would do.", title, needs, cloth, free, would)
	switch c.Fold {
	case Lengthwise:
		said = phrase.Of("%s is %s wide and %s has %s to use folded: cloth %s wide would do.", title, needs, cloth, free, would)
		if flat := wideFlat(s); flat <= c.flat() {
			said = phrase.Of("%s is %s wide and %s has %s to use folded: cloth %s wide would do, or lay it open.", title, needs, cloth, free, would)
		}
	case Crosswise:
		said = phrase.Of("%s is %s wide and %s has %s to use folded across: cloth %s wide would do.", title, needs, cloth, free, would)
	case Tubular:
		said = phrase.Of("%s is %s wide and %s has %s to use as a tube: cloth %s wide would do.", title, needs, cloth, free, would)
	}
	return piece.Found(piece.Stop, "lay:too-wide", said, s.p.Name), true
}

// wideFlat is the width a shape takes on open cloth.
func wideFlat(s *shape) float64 {
	b := curve.Bounds(s.exact...)
	if s.onFold {
		return 2 * b.Max.X
	}
	return b.W()
}

// problem puts the shapes to the search. There x runs along the cloth and y across it, so a turn there is one the other
// way here, and a mirroring in x there leaves a piece on its fold and turns it upside down.
func (c *Cloth) problem(shapes []shape) pack.Problem {
	p := pack.Problem{Name: c.title(), Width: c.Usable(), Gap: c.gap()}
	for i := range shapes {
		s := &shapes[i]
		p.Pieces = append(p.Pieces, pack.Piece{ID: s.id, Quantity: s.count, Outline: across(s.rough), Ways: c.ways(s)})
	}
	for _, f := range c.flawsLaid() {
		f = f.Pad(least) // places are rounded afterwards
		f.Min.Y, f.Max.Y = f.Min.Y-c.head(), f.Max.Y-c.head()
		r := across([]curve.Point{f.Min, {X: f.Max.X, Y: f.Min.Y}, f.Max, {X: f.Min.X, Y: f.Max.Y}})
		p.Obstacles = append(p.Obstacles, r)
	}
	if c.Length > 0 {
		p.MaxLength = math.Max(least, c.remnant()-c.head())
	}
	return p
}

// remnant is how far a lay may reach on a remnant.
func (c *Cloth) remnant() float64 {
	l := c.Length
	if c.Wash {
		l *= 1 - c.ShrinkLong
	}
	if c.Fold == Crosswise {
		l /= 2
	}
	return l
}

// tilts are the turns a shape may be laid in, those that fit so wide a part of the cloth only.
func (c *Cloth) tilts(upright []float64, s *shape, wide float64) []float64 {
	out := append([]float64(nil), upright...)
	if !c.tiltable(s) {
		return out
	}
	for _, t := range []float64{c.Tilt, -c.Tilt, c.Tilt / 2, -c.Tilt / 2} {
		for _, u := range upright {
			if curve.Bounds(turnedBy(s.rough, u-t)...).W() <= wide {
				out = append(out, u+t)
			}
		}
	}
	return out
}

// uprights are the turns in which a grain line lies along the cloth as the nap or the repeat wants it.
func (c *Cloth) uprights() []float64 {
	if c.OneWay() {
		return []float64{0}
	}
	return []float64{0, 180}
}

// OneWay reports whether no piece may lie upside down: on cloth with nap, and on a repeat that pieces are matched to.
func (c *Cloth) OneWay() bool { return c.Nap || c.matched() }

// tiltable reports whether a shape may lie a little off its grain.
func (c *Cloth) tiltable(s *shape) bool {
	return c.Tilt != 0 && s.part.Of == 0 && !s.p.OnFold && c.matchOf(s) == nil
}

// across exchanges the axes.
func across(pts []curve.Point) []pack.Point {
	out := make([]pack.Point, len(pts))
	for i, p := range pts {
		out[i] = pack.Point{X: p.Y, Y: p.X}
	}
	return out
}

// spot is a shape where it lies.
type spot struct {
	s       *shape
	copy    int
	turn    float64 // of the cut line, degrees
	flipped bool
	at      curve.Point
	outline []curve.Point // about the origin, as turned
	upside  bool          // turned over about a line across the cloth, as a half on the fold is
	tilt    float64       // degrees from the shape's own outline
	held    bool          // not to be moved
}

func (c *Cloth) spotsOf(shapes []shape, l pack.Lay) []spot {
	byID := map[string]*shape{}
	for i := range shapes {
		byID[shapes[i].id] = &shapes[i]
	}
	var out []spot
	for _, q := range l.Places {
		s := byID[q.ID]
		if s == nil {
			continue // a held one, which is known already
		}
		x := spot{s: s, copy: s.copyOf(q.Copy), turn: s.base, flipped: s.flipped, at: curve.Point{X: q.Y, Y: q.X + c.head()}, outline: s.exact}
		if q.Flipped {
			x.flipped, x.turn = !s.flipped, 180-s.base
			x.outline, x.upside = scaled(s.exact, 1, -1), true
		}
		x.turn = normal(x.turn - q.Turn)
		x.outline, x.tilt = turnedBy(x.outline, -q.Turn), -q.Turn
		out = append(out, x)
	}
	return out
}

// round brings the place to a thousandth of a millimetre, as it is written, without leaving its part of the cloth.
func (c *Cloth) round(x *spot) {
	b := curve.Bounds(x.outline...)
	to := func(v, lo, hi float64) float64 {
		r := math.Round(v*1000) / 1000
		if r < lo {
			r = math.Ceil(lo*1000) / 1000
		}
		if r > hi {
			r = math.Floor(hi*1000) / 1000
		}
		if r < lo {
			return math.Min(math.Max(v, lo), hi) // as wide as the cloth
		}
		return r + 0
	}
	l, _ := c.laneOf(x)
	switch {
	case !x.s.onFold:
		x.at.X = to(x.at.X, l.from-b.Min.X, l.to-b.Max.X)
	case l.over:
		x.at.X = l.to
	default:
		x.at.X = 0
	}
	x.at.Y = to(x.at.Y, c.head()-b.Min.Y, math.Inf(1))
}

// box is what the spot covers.
func (x *spot) box() curve.Rect {
	b := curve.Bounds(x.outline...)
	return curve.Rect{Min: b.Min.Add(x.at), Max: b.Max.Add(x.at)}
}

// inOrder sorts spots in the order of cutting: those that end nearest the cloth's end first, and of those that lie abreast
// the one nearer the left edge.
func inOrder(spots []spot) {
	sort.SliceStable(spots, func(i, j int) bool {
		a, b := spots[i].box(), spots[j].box()
		if a.Max.Y != b.Max.Y {
			return a.Max.Y < b.Max.Y
		}
		return a.Min.X < b.Min.X
	})
}

// fill writes the spots as places.
func (p *Plan) fill(spots []spot, c *Cloth) {
	kx, ky := c.enlarge()
	depth, area := 0.0, 0.0
	for i := range spots {
		x := &spots[i]
		ring := make([]curve.Point, len(x.outline))
		for k, q := range x.outline {
			ring[k] = q.Add(x.at)
		}
		depth = math.Max(depth, curve.Bounds(ring...).Max.Y)
		area += math.Abs(curve.PolygonArea(ring)) * float64(x.s.layers)
		one := Place{Job: x.s.job, Piece: x.s.p.Name, Copy: x.copy, Turn: x.turn, Flipped: x.flipped, X: x.at.X, Y: x.at.Y, Layers: x.s.layers, FaceDown: c.faceDown(x), N: i + 1,
			From: x.s.p, Shape: ring, OnFold: x.s.onFold, Opened: x.s.whole, Held: x.held, Part: x.s.part.N, Parts: x.s.part.Of, Enlarge: curve.Point{X: kx, Y: ky}}
		p.Places = append(p.Places, one)
		if x.s.whole && x.s.part.Of == 0 {
			one.Flipped = !one.Flipped
			p.Places = append(p.Places, one)
		}
	}
	p.Length = depth
	if c.Fold == Crosswise {
		p.Length *= 2
	}
	p.Utilisation = area / (c.flatLayers() * p.Length)
}

// faceDown reports whether a spot is cut through one layer whose wrong side is up, and that matters to it.
func (c *Cloth) faceDown(x *spot) bool {
	if x.s.layers > 1 || x.s.own || !c.Fold.facing() {
		return false
	}
	return c.Fold != PartSingle || x.box().Max.X <= c.Double()+near
}

// flatLayers is the width that all layers have together.
func (c *Cloth) flatLayers() float64 {
	if c.Fold == Tubular {
		return 2 * c.flat()
	}
	return c.flat()
}

// conclude works out what follows from the places.
func (p *Plan) conclude(shapes []shape, o Options) {
	c := &p.Cloth
	p.Bought = c.Buy(p.Length)
	if c.Length > 0 {
		p.Bought = c.Length
		if p.Depth() > c.remnant()+near {
			p.Fits = false
			short := p.Length - c.Length
			if c.Wash {
				short = p.Length/(1-c.ShrinkLong) - c.Length
			}
			p.Findings = append(p.Findings, piece.Found(piece.Stop, "lay:short",
				phrase.Of("%s: the remnant is %s long, and the shortest lay found needs %s, so %s is wanting.", upper(c.title()), o.say(c.Length), o.say(c.Length+short), o.say(short))))
		}
	}
	p.note(shapes, o)
	p.Offcuts = p.offcuts()
}

// note says what the maker should know about how the plan is cut.
func (p *Plan) note(shapes []shape, o Options) {
	c := &p.Cloth
	add := func(code string, pieces []string, said phrase.Said) {
		p.Findings = append(p.Findings, piece.Found(piece.Info, "lay:"+code, said, pieces...))
	}
	if c.Fold == PartSingle {
		add("fold-at", nil, phrase.Of("%s: %s", upper(c.title()), p.foldAt(o.say)))
	}
	if c.Fold.layers() == 2 {
		var single, names []string
		down := false
		for i := range p.Places {
			if q := &p.Places[i]; q.Layers == 1 && p.doubleAt(q.Bounds()) {
				down = down || q.FaceDown
				if !has(single, q.Piece) {
					single = append(single, q.Piece)
					names = append(names, titleOf(q.From))
				}
			}
		}
		if len(single) > 0 {
			said := phrase.Of("%s: cut through the upper layer only: %s.", upper(c.title()), phrase.Row(names))
			if down {
				said = phrase.Of("%s: cut through the upper layer only: %s. Its wrong side is up, so the patterns marked so lie face down.", upper(c.title()), phrase.Row(names))
			}
			add("single-layer", single, said)
		}
	}
	if c.ShrinkLong > 0 || c.ShrinkWide > 0 {
		if c.Wash {
			add("wash", nil, phrase.Of("%s: wash and press it before it is cut; the length to buy allows for %g %% shrinkage, the width for %g %%.", upper(c.title()), 100*c.ShrinkLong, 100*c.ShrinkWide))
		} else {
			kx, ky := c.enlarge()
			cloth, longer, wider := upper(c.title()), 100*(ky-1), 100*(kx-1)
			switch {
			case ky > 1 && kx > 1:
				add("enlarged", nil, phrase.Of("%s: every piece is cut %.1f %% longer and %.1f %% wider than its pattern, since the cloth shrinks when it is washed.", cloth, longer, wider))
			case ky > 1:
				add("enlarged", nil, phrase.Of("%s: every piece is cut %.1f %% longer than its pattern, since the cloth shrinks when it is washed.", cloth, longer))
			default:
				add("enlarged", nil, phrase.Of("%s: every piece is cut %.1f %% wider than its pattern, since the cloth shrinks when it is washed.", cloth, wider))
			}
		}
	}
	if c.matched() {
		cloth := upper(c.title())
		switch {
		case c.Fold == Crosswise && c.Along > 0: // its fold is where the lay begins
			add("stripe", nil, phrase.Of("%s: fold it across on the middle of a stripe, and pin the stripes of both layers together before cutting; every matched piece is measured from the fold.", cloth))
		case c.Fold.Folded() && c.Across > 0:
			add("stripe", nil, phrase.Of("%s: fold it on the middle of a stripe, and pin the stripes of both layers together before cutting.", cloth))
		case c.Fold != Open:
			add("stripe", nil, phrase.Of("%s: pin the stripes of both layers together before cutting.", cloth))
		}
		if c.Across > 0 && !c.Fold.Folded() {
			add("centre", nil, phrase.Of("%s: the centre of every matched piece falls where the left edge of the lay falls in the stripes; where that is to be the middle of one, state a wider selvedge.", cloth))
		}
		if c.Along > 0 && c.Fold != Crosswise {
			add("repeat", nil, phrase.Of("%s: cut the end where a repeat begins; every matched piece is measured from there, so that the pattern runs on across its seams.", cloth))
		}
	}
	for _, s := range shapes {
		if s.part.N == 1 {
			add("joined", []string{s.p.Name}, phrase.Of("%s is longer than %s is wide: it is joined of %d parts, each %s long as cut.", titleOf(s.p), c.title(), s.part.Of, o.say(s.part.to-s.part.from)))
		}
	}
}

// foldAt says how cloth with one part single is folded, by two distances that the tape can follow: from the fold and from the
// other selvedge, each to the edge of the selvedge that is folded over.
func (p *Plan) foldAt(say func(float64) string) phrase.Said {
	c := &p.Cloth
	if p.Usable-c.single() < OffcutLeast/2 && !p.alone() {
		if p.Apart() < 1 {
			return phrase.Of("nothing is gained by leaving a part single: fold it selvedge on selvedge, right sides together.")
		}
		return phrase.Of("nothing is gained by leaving a part single: fold the left selvedge over, right sides together, all but on to the other, so that its edge lies %s from the fold and %s from the edge of the other.", say(c.Doubled), say(p.Apart()))
	}
	s := phrase.Of("fold the left selvedge over, right sides together, so that its edge lies %s from the fold and %s from the edge of the other selvedge.", say(c.Doubled), say(p.Apart()))
	return phrase.Of("%s So %s lies double and %s single to use.", s, say(c.Double()), say(p.Usable-c.single()))
}

// alone reports whether anything lies in the single part.
func (p *Plan) alone() bool {
	for i := range p.Places {
		if !p.doubleAt(p.Places[i].Bounds()) {
			return true
		}
	}
	return false
}

// Apart is how far apart the edges of the two selvedges lie when cloth is folded with one part single, mm; else 0.
func (p *Plan) Apart() float64 {
	c := &p.Cloth
	if c.Fold != PartSingle {
		return 0
	}
	return math.Max(0, c.flat()+2*c.Selvedge-2*c.Doubled)
}

// doubleAt reports whether cloth lies double all over a box.
func (p *Plan) doubleAt(b curve.Rect) bool {
	switch p.Cloth.Fold {
	case Open:
		return false
	case PartSingle:
		return b.Max.X <= p.Cloth.Double()+near
	}
	return true
}

func has(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

// Bounds is what the place's shape covers.
func (q *Place) Bounds() curve.Rect { return curve.Bounds(q.Shape...) }

// Flaws are the cloth's flaws as they lie in the lay.
func (p *Plan) Flaws() []curve.Rect { return p.Cloth.flawsLaid() }
