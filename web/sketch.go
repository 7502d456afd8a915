package web

import (
	"math"
	"strings"

	"clothwright/curve"
	"clothwright/piece"
)

// The finished jacket is drawn flat from its real pieces: the body lies as drafted, the sleeve folded along its middle hangs from
// the shoulder tip behind the body, ribs are drawn at their real height along the edges they are sewn to. How far the sleeve
// hangs out and how much a rib draws in on the picture is choice, for the eye.
const (
	hang     = 24 * math.Pi / 180 // of the sleeve, from plumb
	neckIn   = 0.86               // a collar's upper edge over its seam
	ribPitch = 9.0                // mm between the ribs drawn
)

// sketch is the finished jacket from the front or the back.
type sketch struct {
	Box   string
	Left  []stroke // the half at the viewer's left, drawn mirrored
	Right []stroke
	Whole []stroke // over both

	WasLeft, WasRight []stroke // what each half was

	under []stroke // under both
	box   curve.Rect
}

// Under is what both halves lie on.
func (s sketch) Under() []stroke { return s.under }

// sketches are the jacket's two views, in one frame; none when the pattern has no front and back to draw.
func sketches(p *piece.Pattern) []sketch {
	front, ok := sketchOf(p, "front", "cap_front", "seam_front", "right", "left")
	back, ok2 := sketchOf(p, "back", "cap_back", "seam_back", "left", "right")
	if !ok || !ok2 {
		return nil
	}
	box := front.box.Union(back.box).Pad(12)
	front.Box, back.Box = boxOf(box), boxOf(box)
	return []sketch{front, back}
}

// of finds a piece by its name, or the one of that side where the sides differ.
func of(p *piece.Pattern, name, side string) *piece.Piece {
	if q := p.Piece(name); q != nil {
		return q
	}
	return p.Piece(name + "_" + side)
}

// edgeOf finds an edge by its name, or the one of that side.
func edgeOf(p *piece.Piece, name, side string) *piece.Edge {
	if p == nil {
		return nil
	}
	if e := p.Edge(name); e != nil {
		return e
	}
	return p.Edge(name + "_" + side)
}

// sketchOf draws one view. Atleft and atright are the wearer's sides at the viewer's left and right.
func sketchOf(p *piece.Pattern, body, cap, seam, atleft, atright string) (sketch, bool) {
	s := sketch{box: curve.EmptyRect()}
	for _, half := range []struct {
		side string
		into *[]stroke
	}{{atleft, &s.Left}, {atright, &s.Right}} {
		d := halfDrawing{p: p, side: half.side, box: curve.EmptyRect()}
		if !d.draw(body, cap, seam) {
			return s, false
		}
		*half.into = d.out
		s.box = s.box.Union(d.box)
		s.box = s.box.Union(curve.Rect{Min: curve.Point{X: -d.box.Max.X, Y: d.box.Min.Y}, Max: curve.Point{X: -d.box.Min.X, Y: d.box.Max.Y}})
		s.inside(d)
		if half.side == atright && body == "front" {
			s.zip(p, d)
		}
	}
	return s, true
}

// halfDrawing is the half of the jacket on the positive side of its middle.
type halfDrawing struct {
	p    *piece.Pattern
	side string
	out  []stroke
	box  curve.Rect

	body     *piece.Piece
	foot     float64 // the lowest of body and block
	neckTop  curve.Point
	collared bool
	pit      curve.Point // the neck in the middle
}

func (d *halfDrawing) add(class, data string, ref string, box curve.Rect) {
	d.out = append(d.out, stroke{Class: class, D: data, Edge: ref, Piece: piece.Ref(ref).Piece()})
	if !box.Empty() {
		d.box = d.box.Union(box)
	}
}

// draw puts sleeve, body and ribs over one another, and reports whether the pieces for it are there.
func (d *halfDrawing) draw(body, cap, seam string) bool {
	b := of(d.p, body, d.side)
	shoulder, hem, neck := edgeOf(b, "shoulder", d.side), edgeOf(b, "hem", d.side), edgeOf(b, "neck", d.side)
	if shoulder == nil || hem == nil || neck == nil {
		return false
	}
	d.body = b
	tip := outer(shoulder.Path)
	d.sleeve(tip, cap, seam)
	d.bodyHalf(b)
	d.blockHalf(b)
	d.hemRib(hem.Path, b.Name+".hem")
	d.collar(neck.Path, b.Name+".neck")
	for _, l := range b.Lines {
		if l.Kind == "pocket" {
			d.pocket(l, b.Name)
		}
	}
	return true
}

// outer is the end of a path that lies farther from the middle.
func outer(p curve.Path) curve.Point {
	if p.Start().X > p.End().X {
		return p.Start()
	}
	return p.End()
}

// bodyHalf draws the body's half: its filling to the middle, then its edges.
func (d *halfDrawing) bodyHalf(b *piece.Piece) {
	d.foot = b.SeamLine().Bounds().Max.Y
	d.add("cloth", pathData(b.SeamLine())+"Z", b.Name+".", b.SeamLine().Bounds())
	for i := range b.Edges {
		e := &b.Edges[i]
		other := map[string]string{"left": "_right", "right": "_left"}[d.side]
		if strings.HasSuffix(e.Name, other) || e.Finish == piece.Fold {
			continue
		}
		d.add("edge", pathData(e.Path), b.Name+"."+e.Name, curve.EmptyRect())
	}
}

// blockHalf draws a block that is sewn on below the front.
func (d *halfDrawing) blockHalf(b *piece.Piece) {
	join, block := edgeOf(b, "block_join", d.side), of(d.p, "block", d.side)
	if join == nil || block == nil {
		return
	}
	m := curve.Translate(curve.Point{Y: join.Path.Bounds().Max.Y - block.SeamLine().Bounds().Min.Y})
	line := block.SeamLine().Transform(m)
	d.add("cloth", pathData(line)+"Z", block.Name+".", line.Bounds())
	for i := range block.Edges {
		d.add("edge", pathData(block.Edges[i].Path.Transform(m)), block.Name+"."+block.Edges[i].Name, curve.EmptyRect())
	}
	d.foot = math.Max(d.foot, line.Bounds().Max.Y)
}

// height is how much of a rib shows.
func (d *halfDrawing) height(rib string) (*piece.Piece, float64) {
	r := of(d.p, rib, d.side)
	if e := edgeOf(r, "end", d.side); e != nil {
		return r, e.Length()
	}
	return nil, 0
}

// hemRib hangs the rib below the hem and draws it in a little toward its foot.
func (d *halfDrawing) hemRib(hem curve.Path, ref string) {
	rib, h := d.height("hem_rib")
	if rib == nil {
		return
	}
	most := hem.Bounds().Max.X
	down := func(q curve.Point) curve.Point {
		return curve.Point{X: q.X - 0.14*h*math.Max(0, q.X/most), Y: q.Y + h}
	}
	d.band(hem, down, rib.Name+".top")
	d.add("edge", pathData(hem), ref, curve.EmptyRect())
}

// collar stands the collar on the neckline.
func (d *halfDrawing) collar(neck curve.Path, ref string) {
	d.pit = neck.Start()
	if math.Abs(neck.End().X) < math.Abs(d.pit.X) {
		d.pit = neck.End()
	}
	d.neckTop = outer(neck)
	rib, h := d.height("collar")
	if rib == nil {
		return
	}
	up := func(q curve.Point) curve.Point { return curve.Point{X: q.X * neckIn, Y: q.Y - 0.94*h} }
	d.band(neck, up, rib.Name+".top")
	d.add("edge", pathData(neck), ref, curve.EmptyRect())
	d.neckTop, d.collared = up(d.neckTop), true
}

// band fills between an edge and where it is moved to, and draws the ribs across.
func (d *halfDrawing) band(edge curve.Path, to func(curve.Point) curve.Point, ref string) {
	pts := edge.Flatten(0.3)
	far := make([]curve.Point, len(pts))
	for i, q := range pts {
		far[len(pts)-1-i] = to(q)
	}
	ringed := append(append([]curve.Point(nil), pts...), far...)
	d.add("rib", ring(ringed...), ref, curve.Bounds(ringed...))
	// Its outline, without the side that lies on the middle.
	outline := "M" + xy(far[0])
	for _, q := range far[1:] {
		outline += "L" + xy(q)
	}
	for _, q := range []curve.Point{pts[0], pts[len(pts)-1]} {
		if math.Abs(q.X) > 0.5 {
			outline += "M" + xy(q) + "L" + xy(to(q))
		}
	}
	d.add("line", outline, "", curve.EmptyRect())
	var b strings.Builder
	for s := ribPitch / 2; s < edge.Length(); s += ribPitch {
		q := edge.PointAt(s)
		b.WriteString("M" + xy(q) + "L" + xy(to(q)))
	}
	d.add("ribs", b.String(), "", curve.EmptyRect())
}

// sleeve hangs half of the folded sleeve from the shoulder tip.
func (d *halfDrawing) sleeve(tip curve.Point, cap, seam string) {
	s := of(d.p, "sleeve", d.side)
	c, under, hem := edgeOf(s, cap, d.side), edgeOf(s, seam, d.side), edgeOf(s, "hem", d.side)
	if c == nil || under == nil || hem == nil {
		return
	}
	top, low := c.Path.Start(), c.Path.End()
	if low.Y < top.Y {
		top, low = low, top
	}
	middle := hem.Path.PointAt(hem.Path.Length() / 2)
	along := middle.Sub(top).Unit()
	across := along.Left()
	if low.Sub(top).Dot(across) < 0 {
		across = across.Mul(-1)
	}
	sin, cos := math.Sin(hang), math.Cos(hang)
	// A point goes to tip + (its way along the fold) * (sin, cos) + (its way across) * (-cos, sin).
	m := curve.Affine{
		XX: along.X*sin - across.X*cos, XY: along.Y*sin - across.Y*cos,
		YX: along.X*cos + across.X*sin, YY: along.Y*cos + across.Y*sin,
	}
	at := m.Apply(top)
	m.DX, m.DY = tip.X-at.X, tip.Y-at.Y
	toward := func(p curve.Path, from curve.Point) curve.Path { // so that it starts at from
		if p.Start().Dist(from) > p.End().Dist(from) {
			return p.Reverse()
		}
		return p
	}
	capLine := toward(c.Path, top).Transform(m)
	underLine := toward(under.Path, low).Transform(m)
	hemLine := toward(hem.Path, toward(under.Path, low).End())
	half := hemLine.Sub(0, hemLine.Length()/2).Transform(m)
	outline := append(append(append(curve.Path{}, capLine...), underLine...), half...)
	d.add("cloth", pathData(outline)+"Z", s.Name+".", outline.Bounds())
	d.add("edge", pathData(underLine), s.Name+"."+under.Name, curve.EmptyRect())
	d.add("edge", pathData(capLine), s.Name+"."+c.Name, curve.EmptyRect())
	d.add("line", "M"+xy(capLine.Start())+"L"+xy(half.End()), "", curve.EmptyRect())
	rib, h := d.height("cuff")
	if rib != nil {
		ratio := 0.8
		if e := edgeOf(rib, "top", d.side); e != nil {
			ratio = math.Min(1, e.Length()/hem.Length())
		}
		mid, way := half.Start().Lerp(half.End(), 0.5), curve.Point{X: sin * h, Y: cos * h}
		d.band(half, func(q curve.Point) curve.Point { return mid.Add(q.Sub(mid).Mul(0.35 + 0.65*ratio)).Add(way) }, rib.Name+".top")
	}
	d.add("edge", pathData(half), s.Name+"."+hem.Name, curve.EmptyRect())
}

// pocket draws the welt along its mouth.
func (d *halfDrawing) pocket(l piece.Line, name string) {
	deep := 22.0
	if e := edgeOf(of(d.p, "welt", d.side), "end_up", d.side); e != nil {
		deep = e.Length() / 2
	}
	a, b := l.Path.Start(), l.Path.End()
	n := b.Sub(a).Unit().Left().Mul(deep)
	if n.X > 0 {
		n = n.Mul(-1)
	}
	d.add("pocket", ring(a, b, b.Add(n), a.Add(n)), name+"."+l.Name, curve.EmptyRect())
}

// inside draws what is seen of the neck's far side.
func (s *sketch) inside(d halfDrawing) {
	if len(s.under) > 0 {
		return
	}
	t := d.neckTop
	deep := 2*d.pit.Y - t.Y // so that the curve passes the neck's pit; what is drawn over it hides the rest
	s.under = append(s.under, stroke{Class: "inside", D: "M" + xy(curve.Point{X: -t.X, Y: t.Y}) + "Q" + xy(curve.Point{X: 0, Y: t.Y - 0.22*t.X}) + " " + xy(t) + "Q" + xy(curve.Point{X: 0, Y: deep}) + " " + xy(curve.Point{X: -t.X, Y: t.Y}) + "Z"})
}

// zip draws the zip down the middle of the front, as far as its notion is long.
func (s *sketch) zip(p *piece.Pattern, d halfDrawing) {
	top := d.pit.Y
	ref := d.body.Name + ".front_edge"
	for _, n := range p.Notions {
		if n.Kind == "zip" && d.foot-n.Edge < top-5 {
			top = d.foot - n.Edge
		}
	}
	mid := func(y float64) curve.Point { return curve.Point{X: 0, Y: y} }
	s.Whole = append(s.Whole,
		stroke{Class: "zip edge", D: "M" + xy(mid(top)) + "L" + xy(mid(d.foot)), Edge: ref, Piece: d.body.Name},
		stroke{Class: "teeth", D: "M" + xy(mid(top)) + "L" + xy(mid(d.foot))},
		stroke{Class: "puller", D: ring(curve.Point{X: -3, Y: top + 4}, curve.Point{X: 3, Y: top + 4}, curve.Point{X: 4, Y: top + 26}, curve.Point{X: -4, Y: top + 26})})
}
