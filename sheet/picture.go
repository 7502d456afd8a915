package sheet

import (
	"math"
	"strconv"

	"clothwright/curve"
	"clothwright/piece"
	"clothwright/sheet/drawing"
	"clothwright/sheet/text"
)

// The room round a picture of a piece for dimension lines and numbers, in mm.
const (
	roomLeft, roomRight = 17., 13.
	roomTop, roomFoot   = 12., 8.
	laneFirst, laneNext = 4.5, 5.5 // mm from a piece to its first dimension line, and from lane to lane
)

// picture shows a piece to scale while it is chalked.
type picture struct {
	r   reader
	box curve.Rect // what all its steps cover, on the piece
	k   float64    // mm on paper for a mm of cloth
}

// newPicture fits a piece into w by h mm, its room included.
func newPicture(r reader, w, h float64) picture {
	box := curve.EmptyRect()
	for i := range r.p.Steps {
		s := &r.p.Steps[i]
		if s.Mark != nil {
			box = box.AddPoint(s.Mark.At)
		}
		if len(s.Path) > 0 {
			box = box.Union(s.Path.Bounds())
		}
	}
	box = box.Union(r.p.SeamLine().Bounds())
	k := math.Min(0.3, math.Min((w-roomLeft-roomRight)/math.Max(box.W(), 1), (h-roomTop-roomFoot)/math.Max(box.H(), 1)))
	return picture{r, box, k}
}

func (c picture) w() float64 { return float64(c.box.W()*c.k) + roomLeft + roomRight }
func (c picture) h() float64 { return float64(c.box.H()*c.k) + roomTop + roomFoot }

// cropped is the picture with only the levels that some steps need, when that saves a quarter of its height or more: where
// the work goes on is then shown, and pages are saved.
func (c picture) cropped(from, to int) picture {
	need := curve.EmptyRect()
	add := func(name string) {
		if m := c.r.p.Mark(name); m != nil {
			need = need.AddPoint(m.At)
		}
	}
	for i := from; i < to; i++ {
		s := &c.r.p.Steps[i]
		if s.Mark != nil {
			need = need.AddPoint(s.Mark.At)
			add(s.Mark.From)
			if _, other, ok := cutWay(s.Mark.Way); ok {
				add(other)
			}
		}
		if len(s.Path) > 0 {
			need = need.Union(s.Path.Bounds())
		}
	}
	need = need.Pad(5 / c.k)
	box := c.box
	box.Min.Y, box.Max.Y = math.Max(box.Min.Y, need.Min.Y), math.Min(box.Max.Y, need.Max.Y)
	if box.H() < 0.75*c.box.H() {
		c.box = box
	}
	return c
}

var (
	oldLine   = drawing.Thin.In(drawing.Light)
	newLine   = drawing.Medium
	buildLine = drawing.Hair.In(drawing.Mid).Dashed(1, 1)
	axisLine  = drawing.Hair.In(drawing.Dark).Dashed(5, 1.2, 1, 1.2)
	dimLine   = drawing.Hair.In(drawing.Dark)
	dimType   = drawing.Type{Size: 3, Bold: true}
	numType   = drawing.Type{Size: 2.5, Bold: true}
	oldNum    = drawing.Type{Size: 2.3, Color: drawing.Mid}
	nameType  = drawing.Type{Size: 2.4, Color: drawing.Dark}
)

const numRadius = 2.1

// draw draws the piece with its top left corner, room included, at (x, y), as it is after the first `to` steps, the steps
// from `from` on being new.
func (c picture) draw(l *drawing.Layer, x, y float64, from, to int) {
	m := curve.Scale(c.k, c.k).Then(curve.Translate(curve.Point{X: x + roomLeft - float64(c.box.Min.X*c.k), Y: y + roomTop - float64(c.box.Min.Y*c.k)}))
	d := &sketch{picture: c, l: l, m: m}
	d.bounds = drawing.Box(x, y, c.w(), c.h())
	steps := c.r.p.Steps
	d.axis()
	// What was chalked before may run out of a cropped picture.
	seen := drawing.Box(x, y+roomTop-4, c.w(), c.h()-roomTop-roomFoot+8)
	before := l.Within(curve.Identity(), &seen)
	for i := range steps[:to] {
		if len(steps[i].Path) > 0 {
			path := steps[i].Path.Transform(m)
			if i < from {
				before.Stroke(oldLine, path)
			}
			d.avoid(path)
		}
	}
	for i := from; i < to; i++ {
		if len(steps[i].Path) > 0 {
			l.Stroke(newLine, steps[i].Path.Transform(m))
		}
	}
	d.oldMarks(from, to)
	for i := from; i < to; i++ {
		if steps[i].Mark != nil {
			p := m.Apply(steps[i].Mark.At)
			d.take(boxAt(p, 1.6, 1.6))
		}
	}
	for i := from; i < to; i++ {
		if steps[i].Mark != nil {
			d.way(steps[i].Mark)
		}
	}
	for i := from; i < to; i++ {
		d.number(&steps[i])
	}
	for i := from; i < to; i++ {
		if s := &steps[i]; s.Mark != nil {
			d.name(s)
		}
	}
}

// sketch is one picture while it is drawn.
type sketch struct {
	picture
	placer
	l    *drawing.Layer
	m    curve.Affine
	dims [][2]curve.Point
	nums map[int]curve.Point // where the numbers of new marks stand
}

// axis draws the first line over the levels that are shown.
func (d *sketch) axis() {
	foot := d.m.Apply(curve.Point{X: 0, Y: d.box.Max.Y})
	top := d.m.Apply(curve.Point{X: 0, Y: d.box.Min.Y})
	a, b := curve.Point{X: top.X, Y: top.Y - 2}, curve.Point{X: foot.X, Y: foot.Y + 3}
	d.l.Line(a.X, a.Y, b.X, b.Y, axisLine)
	d.lines = append(d.lines, [2]curve.Point{a, b})
}

// oldMarks draws the marks made before, and the numbers of those that the new steps are measured from.
func (d *sketch) oldMarks(from, to int) {
	asked := map[string]bool{}
	for i := from; i < to; i++ {
		s := &d.r.p.Steps[i]
		if s.Mark != nil {
			asked[s.Mark.From] = true
			if _, other, ok := cutWay(s.Mark.Way); ok {
				asked[other] = true
			}
		}
		for _, t := range s.Through {
			asked[t] = true
		}
	}
	for i := range d.r.p.Steps[:from] {
		s := &d.r.p.Steps[i]
		if s.Mark == nil {
			continue
		}
		p := d.m.Apply(s.Mark.At)
		if s.Mark.At.Y < d.box.Min.Y-near || s.Mark.At.Y > d.box.Max.Y+near {
			continue
		}
		if !asked[s.Mark.Name] {
			d.l.Dot(p.X, p.Y, 0.5, drawing.Light)
			continue
		}
		d.l.Dot(p.X, p.Y, 0.7, drawing.Mid)
		d.take(boxAt(p, 1.4, 1.4))
		d.label(d.l, strconv.Itoa(s.N), oldNum, math.Inf(1), func(w, h float64) []spot { return round(p, w, h, 0.7, 1.8, 3.2) })
	}
}

// cutWay parts "midway to X" and "plumb to X".
func cutWay(way string) (verb, other string, ok bool) {
	for _, v := range []string{"midway", "plumb"} {
		if len(way) > len(v)+4 && way[:len(v)+4] == v+" to " {
			return v, way[len(v)+4:], true
		}
	}
	return way, "", false
}

// way shows how a mark is reached: a dimension line with the tape's figure, or the lines that are squared off.
func (d *sketch) way(k *piece.Mark) {
	at := d.m.Apply(k.At)
	d.l.Dot(at.X, at.Y, 0.8, drawing.Black)
	f := d.r.p.Mark(k.From)
	if f == nil {
		return
	}
	from := d.m.Apply(f.At)
	verb, other, _ := cutWay(k.Way)
	switch verb {
	case "midway":
		if o := d.r.p.Mark(other); o != nil {
			q := d.m.Apply(o.At)
			d.l.Line(from.X, from.Y, q.X, q.Y, buildLine)
			d.avoid(curve.Path{curve.Line(from, q)})
		}
	case "plumb":
		if o := d.r.p.Mark(other); o != nil {
			q := d.m.Apply(o.At)
			d.l.Line(from.X, from.Y, at.X, at.Y, buildLine)
			d.l.Line(q.X, q.Y, at.X, at.Y, buildLine)
			d.avoid(curve.Path{curve.Line(from, at)})
			d.avoid(curve.Path{curve.Line(q, at)})
		}
	case "level":
		d.l.Line(from.X, from.Y, at.X, at.Y, buildLine)
		d.avoid(curve.Path{curve.Line(from, at)})
	case "crossing", "start":
	default:
		if k.Distance > 0 {
			d.dimension(from, at, fr(d.r.far(k.Distance)))
		}
	}
}

// dimension draws an arrow from one mark to the next with its figure, beside whatever lies there already.
func (d *sketch) dimension(a, b curve.Point, words string) {
	u := b.Sub(a).Unit()
	if a.Dist(b) < 0.5 {
		return
	}
	left := u.Left()
	w, h := dimType.Measure(words)+1, text.CapHeight*dimType.Size+0.8
	steep := math.Abs(u.Y) > math.Abs(u.X)
	bw, bh := w, h
	if steep {
		bw, bh = h, w
	}
	if slanted := math.Min(math.Abs(u.X), math.Abs(u.Y)); slanted > 0.05 {
		bw, bh = math.Max(bw, w*math.Abs(u.X)), math.Max(bh, w*math.Abs(u.Y))
	}
	type choice struct {
		off   float64
		label curve.Point
		cost  float64
	}
	best := choice{cost: math.Inf(1)}
	offs := []float64{0}
	for i := range 5 {
		o := laneFirst + float64(i)*laneNext
		offs = append(offs, o, -o)
	}
	for _, off := range offs {
		p, q := a.Add(left.Mul(off)), b.Add(left.Mul(off))
		cost := math.Abs(off) * 0.6
		if !d.bounds.Contains(p) || !d.bounds.Contains(q) {
			cost += costLeave
		}
		for _, b := range d.boxes {
			if b.Meets(p.Lerp(q, 0.04), p.Lerp(q, 0.96)) {
				cost += 10
			}
		}
		for _, s := range d.dims {
			cost += 8 * shared(p, q, s[0], s[1], 2.2)
		}
		for _, s := range d.lines {
			cost += 0.6 * shared(p, q, s[0], s[1], 0.8)
		}
		for _, t := range []float64{0.5, 0.32, 0.68, 0.2, 0.8} {
			if p.Dist(q)*math.Min(t, 1-t)*2 < w && t != 0.5 {
				continue
			}
			for _, sideways := range []float64{1, -1} {
				up := curve.Point{Y: -1}
				if steep {
					up = curve.Point{X: -1}
				}
				at := p.Lerp(q, t).Add(up.Mul(sideways * (math.Min(bw, bh)/2 + 0.4)))
				c := cost + d.cost(boxAt(at, bw, bh)) + math.Abs(t-0.5)*2
				if sideways < 0 {
					c += 0.5
				}
				if c < best.cost-1e-9 {
					best = choice{off, at, c}
				}
			}
		}
		if p.Dist(q) < w+1 { // a short one: its figure stands beside its end
			for k, e := range []curve.Point{q, p} {
				out := u.Mul(float64(1 - 2*k))
				at := e.Add(curve.Point{X: out.X * (bw/2 + 1.2), Y: out.Y * (bh/2 + 1.2)})
				c := cost + d.cost(boxAt(at, bw, bh)) + 1.5
				if c < best.cost-1e-9 {
					best = choice{off, at, c}
				}
			}
		}
	}
	p, q := a.Add(left.Mul(best.off)), b.Add(left.Mul(best.off))
	if best.off != 0 {
		out := left.Mul(math.Copysign(1, best.off))
		for _, e := range [][2]curve.Point{{a, p}, {b, q}} {
			s, t := e[0].Add(out.Mul(1)), e[1].Add(out.Mul(0.8))
			d.l.Line(s.X, s.Y, t.X, t.Y, drawing.Hair.In(drawing.Light))
		}
	}
	d.l.Arrow(p.X, p.Y, q.X, q.Y, dimLine)
	d.dims = append(d.dims, [2]curve.Point{p, q})
	d.lines = append(d.lines, [2]curve.Point{p, q})
	turn := 0.0
	switch {
	case steep && math.Abs(u.X) < 0.05:
		turn = -math.Pi / 2
	case math.Abs(u.Y) >= 0.05:
		turn = math.Atan(u.Y / u.X)
	}
	foot := curve.Point{Y: text.CapHeight * dimType.Size / 2}.Rotate(turn)
	d.l.Text(best.label.X+foot.X, best.label.Y+foot.Y, words, dimType.At(drawing.Middle).Turned(turn))
	d.take(boxAt(best.label, bw, bh))
}

// shared is how long two lines run beside each other nearer than gap, in mm.
func shared(a, b, c, e curve.Point, gap float64) float64 {
	u := b.Sub(a).Unit()
	if math.Abs(c.Sub(a).Cross(u)) > gap || math.Abs(e.Sub(a).Cross(u)) > gap {
		return 0
	}
	s, t := c.Sub(a).Dot(u), e.Sub(a).Dot(u)
	return math.Max(0, math.Min(math.Max(s, t), a.Dist(b))-math.Max(math.Min(s, t), 0))
}

// number sets the number of a step in a small circle: beside its mark, or in the middle of its line.
func (d *sketch) number(s *piece.Step) {
	var spots []spot
	side := 2*numRadius + 0.4
	if s.Mark != nil {
		spots = round(d.m.Apply(s.Mark.At), side, side, 0.9, 2, 3.5, 5.5)
	} else {
		path := s.Path.Transform(d.m)
		whole := path.Length()
		for i, t := range []float64{0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8} {
			p, n := path.PointAt(whole*t), path.TangentAt(whole*t).Left()
			for k, off := range []float64{0, side/2 + 0.8, -side/2 - 0.8, side/2 + 3.5, -side/2 - 3.5, side/2 + 6.5, -side/2 - 6.5} {
				bad := float64(i)*0.3 + float64(k)*0.4
				if k == 0 {
					bad -= 2 * costLine // its own line does not count against it
				}
				spots = append(spots, spot{p.Add(n.Mul(off)), bad})
			}
		}
	}
	at, _ := d.best(side, side, spots)
	foot := curve.Point{}
	if s.Mark != nil {
		foot = d.m.Apply(s.Mark.At)
	} else {
		path := s.Path.Transform(d.m)
		along, _ := path.Nearest(at)
		foot = path.PointAt(along)
	}
	if at.Dist(foot) > numRadius+2.6 { // far off: a line leads to it
		d.l.Line(foot.X, foot.Y, at.X, at.Y, drawing.Hair.In(drawing.Light))
	}
	d.l.Circle(at.X, at.Y, numRadius, drawing.Hair.Filled(drawing.White))
	words := strconv.Itoa(s.N)
	t := numType
	if len(words) > 2 {
		t.Size *= 0.75
	}
	d.l.Text(at.X, at.Y+text.CapHeight*t.Size/2, words, t.At(drawing.Middle))
	d.take(boxAt(at, side, side))
	if d.nums == nil {
		d.nums = map[int]curve.Point{}
	}
	d.nums[s.N] = at
}

// name writes a new mark's name beside its number where there is room; the step has it anyway.
func (d *sketch) name(s *piece.Step) {
	at := d.nums[s.N]
	d.label(d.l, s.Mark.Name, nameType, 4.5, func(w, h float64) []spot {
		return []spot{
			{at.Add(curve.Point{X: numRadius + w/2 + 0.2}), 0}, {at.Add(curve.Point{X: -numRadius - w/2 - 0.2}), 0.1},
			{at.Add(curve.Point{Y: -numRadius - h/2 - 0.2}), 1}, {at.Add(curve.Point{Y: numRadius + h/2 + 0.2}), 1.1},
		}
	})
}
