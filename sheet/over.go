package sheet

import (
	"fmt"
	"math"
	"strings"

	"clothwright/curve"
	"clothwright/piece"
	"clothwright/sheet/drawing"
)

// likeness finds the cut piece that a piece on the fold can be chalked from, as a back from its front: of the same material, with
// the most marks of the same name at the same place and at least one whole edge in common. It is nil when there is none.
func likeness(pattern *piece.Pattern, p *piece.Piece) *piece.Piece {
	if !p.OnFold || p.CopyOf != "" || band(p) {
		return nil
	}
	var best *piece.Piece
	most := 4 // fewer common marks than five save no work
	for i := range pattern.Pieces {
		q := &pattern.Pieces[i]
		if q.Name == p.Name {
			break // only what is chalked before it
		}
		if q.Material != p.Material || q.OnFold || q.CopyOf != "" || band(q) {
			continue
		}
		n, edges := 0, 0
		for k := range p.Marks {
			if m := q.Mark(p.Marks[k].Name); m != nil && m.At.Dist(p.Marks[k].At) <= near {
				n++
			}
		}
		for k := range p.Edges {
			if sameEdge(q.Edge(p.Edges[k].Name), &p.Edges[k]) {
				edges++
			}
		}
		if edges > 0 && n > most {
			best, most = q, n
		}
	}
	return best
}

// sameEdge reports whether two edges run on the same seam line.
func sameEdge(a, b *piece.Edge) bool {
	if a == nil || b == nil || math.Abs(a.Length()-b.Length()) > near {
		return false
	}
	for _, t := range []float64{0, 0.21, 0.5, 0.77, 1} {
		if a.Path.PointAt(t*a.Length()).Dist(b.Path.PointAt(t*b.Length())) > near {
			return false
		}
	}
	return true
}

// over is how one piece is chalked by laying another, cut, on the cloth.
type over struct {
	from, to reader
	same     []string // edges to chalk round
	pricked  []string // marks to prick through
	steps    []overStep
	tables   []table
	left     []string // edges of the cut piece that this one has not
}

// overStep is one difference.
type overStep struct {
	words string // with weights between asterisks
	mark  *piece.Mark
	path  curve.Path
}

func newOver(j Job, from, to *piece.Piece) *over {
	o := &over{from: newReader(j.Tape, from), to: newReader(j.Tape, to)}
	o.from.num, o.to.num = nil, nil // this set has its own numbers
	done := map[string]bool{}
	for i := range to.Edges {
		e := &to.Edges[i]
		if e.Finish == piece.Fold {
			continue
		}
		if sameEdge(from.Edge(e.Name), e) {
			o.same = append(o.same, e.Name)
			for _, q := range []curve.Point{e.Path.Start(), e.Path.End()} {
				o.prick(q, done)
			}
		}
	}
	for i := range to.Edges {
		e := &to.Edges[i]
		if e.Finish != piece.Fold && !sameEdge(from.Edge(e.Name), e) {
			o.differ(e, done)
		}
	}
	for i := range from.Edges {
		if e := &from.Edges[i]; to.Edge(e.Name) == nil {
			o.left = append(o.left, edgeName(e))
		}
	}
	return o
}

// prick pricks a mark of the new piece through when the cut piece has it at the same place.
func (o *over) prick(q curve.Point, done map[string]bool) bool {
	m := o.to.at(q)
	if m == nil {
		return false
	}
	if done[m.Name] {
		return true
	}
	if f := o.from.p.Mark(m.Name); f == nil || f.At.Dist(m.At) > near {
		return false
	}
	done[m.Name] = true
	o.pricked = append(o.pricked, m.Name)
	return true
}

// differ adds the steps for an edge that is not that of the cut piece.
func (o *over) differ(e *piece.Edge, done map[string]bool) {
	mine := o.from.p.Edge(e.Name)
	for i := range o.to.p.Steps {
		s := &o.to.p.Steps[i]
		if len(s.Path) == 0 || !within(s.Path, e.Path) {
			continue
		}
		ks := o.to.knots(s.Path, s.Through)
		for _, q := range ks {
			if o.prick(q, done) {
				continue
			}
			o.mark(q, e, mine, done)
		}
		one := overStep{path: s.Path}
		letterNow := ""
		if !straight(s.Path) {
			t := table{letter: letter(len(o.tables)), n: s.N, name: lineName(s), path: s.Path}
			t.stretches = o.to.stretches(s, t.name)
			o.tables = append(o.tables, t)
			letterNow = t.letter
		}
		one.words = o.to.draw(s, letterNow)
		o.steps = append(o.steps, one)
	}
}

// within reports whether a path lies on another.
func within(a, b curve.Path) bool {
	whole := a.Length()
	for _, t := range []float64{0, 0.5, 1} {
		if _, d := b.Nearest(a.PointAt(t * whole)); d > near {
			return false
		}
	}
	return true
}

// mark adds the step that finds a mark from the cut piece: from its mark of the same name, or from where its edge of the same
// name ends.
func (o *over) mark(q curve.Point, e, mine *piece.Edge, done map[string]bool) {
	m := o.to.at(q)
	name := o.to.place(q)
	if m != nil {
		if done[m.Name] {
			return
		}
		name = m.Name
		done[m.Name] = true
	}
	base, said := curve.Point{}, ""
	cut := strings.ToLower(titled(o.from.p))
	if m != nil {
		if f := o.from.p.Mark(m.Name); f != nil {
			base, said = f.At, fmt.Sprintf("the %s's %s", cut, f.Name)
		}
	}
	if said == "" && mine != nil {
		base = mine.Path.Start()
		if q.Dist(e.Path.End()) < q.Dist(e.Path.Start()) {
			base = mine.Path.End()
		}
		said = fmt.Sprintf("the %s's %s", cut, o.from.place(base))
	}
	if said == "" && len(o.from.p.Marks) > 0 {
		base = o.from.p.Marks[0].At
		said = fmt.Sprintf("the %s's %s", cut, o.from.p.Marks[0].Name)
	}
	step := overStep{mark: m, words: fmt.Sprintf("From %s go *%s*: mark *%s*.", bare(said), o.to.slant(q.Sub(base)), bare(name))}
	if m != nil && !m.Why.Empty() {
		step.words += " " + full(bare(m.Why.String()))
	}
	o.steps = append(o.steps, step)
}

// opening says how the cut piece is laid on and what is chalked round.
func (o *over) opening() []string {
	from, to, t := o.from.p, o.to.p, o.to.t
	cut := strings.ToLower(titled(from))
	var out []string
	if to.Start.Cloth != "" {
		out = append(out, full("Lay the cloth "+bare(to.Start.Cloth)))
	}
	line := from.Start.Line
	if line == "" {
		line = "first line"
	}
	words := fmt.Sprintf("Lay the cut %s on it, its *%s* on the *fold*", cut, bare(line))
	for i := range from.Edges {
		e := &from.Edges[i]
		if b := e.Path.Bounds(); math.Abs(b.Min.X) <= near && math.Abs(b.Max.X) <= near && e.Allowance > 0 {
			words += fmt.Sprintf(": the *%s* beyond it lie over the fold and are not chalked", t.Fine(e.Allowance))
			break
		}
	}
	out = append(out, words+".")
	out = append(out, fmt.Sprintf("Chalk round what is the same: *%s*.", bare(strings.ReplaceAll(strings.Join(o.same, ", "), "_", " "))))
	for _, name := range o.same {
		a, b := from.Edge(name), to.Edge(name)
		if math.Abs(a.Allowance-b.Allowance) > near {
			out = append(out, fmt.Sprintf("Only the %s is cut %s outside its seam line here, not %s.", edgeName(b), t.Fine(b.Allowance), t.Fine(a.Allowance)))
		}
	}
	if len(o.pricked) > 0 {
		out = append(out, fmt.Sprintf("Prick these marks through: *%s*.", bare(strings.Join(o.pricked, "; "))))
	}
	if len(o.left) > 0 {
		words := fmt.Sprintf("Leave off: %s.", bare(strings.Join(o.left, ", ")))
		if low := from.SeamLine().Bounds().Max.Y - to.SeamLine().Bounds().Max.Y; low > near {
			words += fmt.Sprintf(" The %s runs on *%s* below this hem.", cut, t.Fine(low))
		}
		out = append(out, words)
	}
	return out
}

// over adds the short set.
func (b *book) over(from, to *piece.Piece) {
	o := newOver(b.j, from, to)
	title := fmt.Sprintf("%s from the cut %s", titled(to), strings.ToLower(titled(from)))
	f := b.flow("Chalk sheet: " + title)
	y := f.Room(9)
	put(&f.Page().Layer, f.X(), y+5.5, f.W(), title, pieceType)
	f.Paragraph("Instead of chalking it afresh. Either way gives the same piece.", drawing.Type{Size: 3.6, Color: drawing.Dark})
	f.Space(2)

	const picW = 84.
	w := f.W() - picW - 4
	box := area(from).Union(area(to))
	k := math.Min((picW-14)/box.W(), 132/box.H())
	var rs []rich
	h := 0.0
	for _, s := range o.opening() {
		r := lay(sentence(s), w, stepType)
		rs = append(rs, r)
		h += r.height() + 1.4
	}
	var blocks []block
	for i, s := range o.steps {
		one := block{n: i + 1, words: lay(sentence(s.words), w-stepIn, stepType)}
		one.h = one.words.height() + 2
		blocks = append(blocks, one)
		h += one.h
	}
	h += 3
	top := f.Room(math.Max(h, box.H()*k+16) + 4)
	l := &f.Page().Layer
	o.picture(l, f.X(), top, k, box)
	x, y := f.X()+picW+4, top
	for _, r := range rs {
		r.draw(l, x, y)
		y += r.height() + 1.4
	}
	y += 3
	for _, one := range blocks {
		one.draw(l, x, y)
		y += one.h
	}
	s := &set{b: b, r: o.to}
	s.curves(f, o.tables)
	f.Space(2)
	for _, m := range o.to.marks() {
		r := lay(sentence(m), f.W(), drawing.Type{Size: 3.6, Leading: 1.35})
		y := f.Room(r.height() + 0.6)
		r.draw(&f.Page().Layer, f.X(), y)
	}
}

// picture shows the cut piece in grey and the new one over it, with the numbers of what differs.
func (o *over) picture(l *drawing.Layer, x, y, k float64, box curve.Rect) {
	m := curve.Scale(k, k).Then(curve.Translate(curve.Point{X: x + 7 - float64(box.Min.X*k), Y: y + 7 - float64(box.Min.Y*k)}))
	l.Outline(drawing.Thin.In(drawing.Light).Filled(drawing.Pale), o.from.p.CutLine().Transform(m))
	l.Stroke(drawing.Hair.In(drawing.Mid).Dashed(1.6, 0.9), o.from.p.SeamLine().Transform(m))
	top, foot := m.Apply(curve.Point{Y: box.Min.Y}), m.Apply(curve.Point{Y: box.Max.Y})
	l.Line(top.X, top.Y-3, foot.X, foot.Y+3, drawing.Thick)
	l.Text(top.X-1.5, (top.Y+foot.Y)/2, "fold", drawing.Type{Size: 2.8, Anchor: drawing.Middle, Turn: -math.Pi / 2})
	p := placer{bounds: drawing.Box(x, y, box.W()*k+14, box.H()*k+16)}
	for i := range o.to.p.Edges {
		e := &o.to.p.Edges[i]
		path := e.Path.Transform(m)
		p.avoid(path)
		style := drawing.Medium
		if e.Finish != piece.Fold && !sameEdge(o.from.p.Edge(e.Name), e) {
			style = drawing.Thick.In(drawing.Accent)
		}
		if e.Finish != piece.Fold {
			l.Stroke(style, path)
		}
	}
	side := 2*numRadius + 0.4
	for i, s := range o.steps {
		var spots []spot
		if s.mark != nil {
			at := m.Apply(s.mark.At)
			l.Dot(at.X, at.Y, 0.8, drawing.Black)
			p.take(boxAt(at, 1.6, 1.6))
			spots = round(at, side, side, 0.9, 2, 3.5)
		} else {
			path := s.path.Transform(m)
			for n, t := range []float64{0.5, 0.35, 0.65, 0.2, 0.8} {
				q, out := path.PointAt(t*path.Length()), path.TangentAt(t*path.Length()).Left()
				for _, off := range []float64{side/2 + 0.8, -side/2 - 0.8} {
					spots = append(spots, spot{q.Add(out.Mul(off)), float64(n) * 0.3})
				}
			}
		}
		at, _ := p.best(side, side, spots)
		l.Circle(at.X, at.Y, numRadius, drawing.Hair.Filled(drawing.White))
		l.Text(at.X, at.Y+0.9, fmt.Sprint(i+1), numType.At(drawing.Middle))
		p.take(boxAt(at, side, side))
	}
}
