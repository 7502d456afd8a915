package layplan

import (
	"fmt"
	"math"
	"strings"

	"clothwright/curve"
	"clothwright/lay"
	"clothwright/sheet/drawing"
	"clothwright/tape"
)

// view is one cloth to scale.
type view struct {
	b      *book
	p      *lay.Plan
	k      float64 // mm on paper for a mm of cloth
	beside bool    // the table stands beside the drawing
	rows   []row
	end    float64 // of the cloth shown, mm
}

// row is one place with its two points.
type row struct {
	q    *lay.Place
	a, b curve.Point // on the cloth, mm
}

// scales are the scales a plan may have, 1 to so many.
var scales = []float64{4, 5, 6, 7, 8, 9, 10, 11, 12, 15, 20, 25, 30, 40, 50, 75, 100, 200}

const (
	rulerW   = 11. // left of the cloth, for the ruler
	besideW  = 80. // widest cloth beside a table
	rulerTop = 9.
	smallest = 1 / 12. // below this scale a lay is rather spread over pages
)

func (b *book) view(p *lay.Plan, room float64) *view {
	v := &view{b: b, p: p, end: p.Depth()}
	if p.Bought > 0 && p.Cloth.Fold != lay.Crosswise {
		v.end = math.Max(v.end, p.Bought)
	}
	seen := map[int]bool{}
	for i := range p.Places {
		q := &p.Places[i]
		if seen[q.N] {
			continue
		}
		seen[q.N] = true
		a, c := q.GrainPoints()
		v.rows = append(v.rows, row{q, a, c})
	}
	v.scale(b.size.W-2*side-rulerW-9, room-rulerTop-6)
	return v
}

// scale chooses the scale: the table beside the drawing and all on one page if that is not too small, else the drawing by
// itself, else over several pages.
func (v *view) scale(wide, high float64) {
	c := v.p.Cloth
	full := v.p.Usable + c.Selvedge*selvedges(c)
	fit := func(wide, high float64) float64 {
		for _, s := range scales {
			if full/s <= wide && v.end/s <= high {
				return 1 / s
			}
		}
		return 0
	}
	if v.k = fit(besideW, high); v.k >= smallest {
		v.beside = true
		return
	}
	t := v.list(0, math.Inf(1))
	t.Columns[1].Width += wide - t.Width()
	for _, high := range []float64{high - t.Height() - 12, high} {
		if v.k = fit(wide, high); v.k >= smallest {
			return
		}
	}
	v.beside = full*smallest <= besideW
	if v.beside {
		wide = besideW
	}
	v.k = fit(wide, math.Inf(1))
}

func selvedges(c lay.Cloth) float64 {
	if c.Fold == lay.Open || c.Fold == lay.Crosswise {
		return 2
	}
	return 1
}

// draw sets the plan from y down on its first page and goes on over more.
func (v *view) draw(page *drawing.Page, box curve.Rect, y float64, title string) {
	from := 0.0
	first := true
	for {
		room := box.Max.Y - y - rulerTop - 3
		to := math.Min(v.end, from+room/v.k)
		v.window(page, box, y, from, to)
		foot := y + rulerTop + (to-from)*v.k + 4
		v.table(page, box, y, foot, from, to, first, title)
		if to >= v.end-1e-6 {
			return
		}
		from = to
		page, box = v.b.page(title + ", going on")
		y = box.Min.Y
		first = false
	}
}

// window draws the cloth between two distances from its end.
func (v *view) window(page *drawing.Page, box curve.Rect, y, from, to float64) {
	c := v.p.Cloth
	left := box.Min.X + rulerW
	if selvedges(c) == 2 {
		left += c.Selvedge * v.k
	}
	top := y + rulerTop
	m := curve.Translate(curve.Point{Y: -from}).Then(curve.Scale(v.k, v.k)).Then(curve.Translate(curve.Point{X: left, Y: top}))
	w, h := v.p.Usable*v.k, (to-from)*v.k
	l := &page.Layer
	v.edges(l, left, top, w, h, from, to)
	v.rulers(l, left, top, w, h, from, to)
	clip := drawing.Box(left-0.4, top-0.4, w+0.8, h+0.8)
	g := l.Within(curve.Identity(), &clip)
	v.repeats(&g.Layer, m, from, to)
	for _, o := range v.p.Offcuts {
		v.offcut(&g.Layer, o, m)
	}
	for _, f := range v.flaws() {
		hatch(&g.Layer, f, m, drawing.Hair.In(drawing.Accent))
	}
	if v.p.Bought > v.p.Length && c.Fold != lay.Crosswise && v.p.Length < to {
		at := m.Apply(curve.Point{Y: v.p.Depth()}).Y
		g.Line(left, at, left+w, at, drawing.Hair.In(drawing.Mid).Dashed(2, 1.2))
	}
	for i := range v.rows {
		if b := v.rows[i].q.Bounds(); b.Max.Y > from && b.Min.Y < to {
			v.piece(&g.Layer, &v.rows[i], m, from, to)
		}
	}
}

// repeats draws where stripes and checks repeat.
func (v *view) repeats(l *drawing.Layer, m curve.Affine, from, to float64) {
	c := v.p.Cloth
	line := drawing.Hair.In(drawing.Light)
	if c.Along*v.k > 1 {
		for y := math.Ceil(from/c.Along) * c.Along; y <= to; y += c.Along {
			a, b := m.Apply(curve.Point{Y: y}), m.Apply(curve.Point{X: v.p.Usable, Y: y})
			l.Line(a.X, a.Y, b.X, b.Y, line)
		}
	}
	if c.Across*v.k > 1 {
		for x := 0.0; x <= v.p.Usable; x += c.Across {
			a, b := m.Apply(curve.Point{X: x, Y: from}), m.Apply(curve.Point{X: x, Y: to})
			l.Line(a.X, a.Y, b.X, b.Y, line)
		}
	}
}

func (v *view) flaws() []curve.Rect { return v.p.Flaws() }

// edges draws the sides of the cloth: fold or selvedges, its end and where it goes on.
func (v *view) edges(l *drawing.Layer, x, y, w, h, from, to float64) {
	c := v.p.Cloth
	label := drawing.Type{Size: 2.5, Color: drawing.Dark}
	selv := math.Max(c.Selvedge*v.k, 0)
	strip := func(x float64) {
		if selv <= 0 {
			l.Line(x, y, x, y+h, drawing.Thin)
			return
		}
		hatch(l, curve.Rect{Min: curve.Point{X: x, Y: y}, Max: curve.Point{X: x + selv, Y: y + h}}, curve.Identity(), drawing.Hair.In(drawing.Mid))
		l.Line(x, y, x, y+h, drawing.Hair)
		l.Line(x+selv, y, x+selv, y+h, drawing.Thin)
	}
	down := label.Turned(math.Pi / 2).At(drawing.Middle)
	right := x + w + math.Max(selv, 0) + 1.2
	edge := func(words string) {
		if label.Measure(words) < h {
			l.Text(right, y+h/2, words, down)
		}
	}
	switch {
	case v.p.Band:
		l.Line(x, y, x, y+h, drawing.Thin)
		l.Line(x+w, y, x+w, y+h, drawing.Thin.Dashed(2, 1))
		edge("raw edge: here the sewn edges lie")
	case c.Fold.Folded():
		l.Line(x, y, x, y+h, drawing.Thick.Dashed(7, 1.4, 1.4, 1.4))
		switch c.Fold {
		case lay.Lengthwise:
			strip(x + w)
			edge("selvedges: two layers")
		case lay.PartSingle:
			strip(x + w)
			edge("selvedge: one layer")
			v.parts(l, x, y, h, to)
		default:
			l.Line(x+w, y, x+w, y+h, drawing.Thick.Dashed(7, 1.4, 1.4, 1.4))
			edge("fold of the tube")
		}
	default:
		strip(x - selv)
		strip(x + w)
		edge("selvedge")
	}
	wide := x - selv
	if c.Fold.Folded() {
		wide = x
	}
	style := drawing.Thin
	if from > 0 {
		style = drawing.Thin.Dashed(3, 2)
	} else if c.Fold == lay.Crosswise {
		style = drawing.Thick.Dashed(7, 1.4, 1.4, 1.4)
	}
	l.Line(wide, y, x+w+selv, y, style)
	style = drawing.Thin
	if to < v.end-1e-6 {
		style = drawing.Thin.Dashed(3, 2)
	}
	l.Line(wide, y+h, x+w+selv, y+h, style)
	if to < v.end-1e-6 {
		l.Text(x+w/2, y+h+3, "goes on", label.At(drawing.Middle))
	} else {
		l.Text(x, y+h+3, fmt.Sprintf("1 : %.0f", 1/v.k), label)
	}
	if c.Nap && !v.p.Band {
		nx := right + 4
		l.Arrow(nx, y+4, nx, y+math.Min(h-4, 34), drawing.Thick)
		l.Text(nx+1.6, y+math.Min(h, 36)/2, "nap", drawing.Strong.Turned(math.Pi/2).At(drawing.Middle))
	}
}

// parts draws where cloth with one part single ends to lie double: the selvedge that is folded over, and how many layers there are on
// either side of it.
func (v *view) parts(l *drawing.Layer, x, y, h, to float64) {
	c := v.p.Cloth
	from, edge := x+c.Double()*v.k, x+c.Doubled*v.k
	if edge > from {
		hatch(l, curve.Rect{Min: curve.Point{X: from, Y: y}, Max: curve.Point{X: edge, Y: y + h}}, curve.Identity(), drawing.Hair.In(drawing.Mid))
		l.Line(from, y, from, y+h, drawing.Hair)
	}
	l.Line(edge, y, edge, y+h, drawing.Medium)
	if to < v.end-1e-6 {
		return
	}
	t := drawing.Type{Size: 2.5, Color: drawing.Dark}
	at := func(a, b float64, words ...string) {
		for _, s := range words {
			if t.Measure(s) < b-a-2 {
				l.Text((a+b)/2, y+h+3, s, t.At(drawing.Middle))
				return
			}
		}
	}
	at(x+10, from, "double: two layers", "double")
	at(edge, x+v.p.Usable*v.k, "single: one layer, right side up", "single: one layer", "single")
}

// ruler steps: how far apart the figures stand, by the tape's unit, mm; small ticks between them.
func (v *view) steps() (figure, tick float64) {
	if v.b.j.Tape.Unit == tape.IN {
		figure, tick = 6*tape.Inch, tape.Inch
	} else {
		figure, tick = 100, 20
	}
	for figure*v.k < 8 {
		figure, tick = figure*2, tick*2
	}
	return figure, tick
}

func (v *view) figure(mm float64) string {
	if v.b.j.Tape.Unit == tape.IN {
		return fmt.Sprintf("%.0f", math.Abs(mm/tape.Inch))
	}
	return fmt.Sprintf("%.0f", math.Abs(mm/10))
}

// rulers draws distances from the end at the left and from the left edge at the top.
func (v *view) rulers(l *drawing.Layer, x, y, w, h, from, to float64) {
	c := v.p.Cloth
	fig, tick := v.steps()
	t := drawing.Type{Size: 2.4}
	out := x - 1
	if selvedges(c) == 2 {
		out -= c.Selvedge * v.k
	}
	for n := math.Ceil(from/tick - 1e-9); n*tick <= to+1e-9; n++ {
		d := n * tick
		at := y + (d-from)*v.k
		long := 1.0
		if math.Abs(math.Mod(d+fig/2, fig)-fig/2) < 1e-6 {
			long = 2.2
			l.Text(out-2.8, at+0.85, v.figure(d), t.At(drawing.End))
		}
		l.Line(out, at, out-long, at, drawing.Hair)
	}
	for n := 0.0; n*tick <= v.p.Usable+1e-9; n++ {
		d := n * tick
		at := x + d*v.k
		long := 1.0
		if math.Abs(math.Mod(d+fig/2, fig)-fig/2) < 1e-6 {
			long = 2.2
			l.Text(at, y-3.9, v.figure(d), t.At(drawing.Middle))
		}
		l.Line(at, y-1, at, y-1-long, drawing.Hair)
	}
	unit := "cm"
	if v.b.j.Tape.Unit == tape.IN {
		unit = "in"
	}
	l.Text(out-2.8, y-3.9, unit, t.At(drawing.End).In(drawing.Dark))
	name := ""
	switch {
	case v.p.Band:
	case c.Fold.Folded():
		name = "fold"
		if c.Fold == lay.Tubular {
			name = "left fold"
		}
	default:
		name = "left selvedge"
	}
	if name != "" {
		l.Text(x, y-7, name, t.Heavy())
	}
	if from == 0 {
		end := "end of the cloth"
		if c.Fold == lay.Crosswise {
			end = "fold across"
		}
		if !v.p.Band {
			l.Text(x+w, y-7, end, t.Heavy().At(drawing.End))
		}
	}
}

// offcut marks a rectangle worth keeping.
func (v *view) offcut(l *drawing.Layer, o lay.Offcut, m curve.Affine) {
	a, b := m.Apply(o.At.Min), m.Apply(o.At.Max)
	l.Rect(a.X+0.3, a.Y+0.3, b.X-a.X-0.6, b.Y-a.Y-0.6, drawing.Hair.In(drawing.Mid).Dashed(0.8, 0.8))
	t := drawing.Type{Size: 2.2, Color: drawing.Mid}
	words := []string{"offcut", said(v.b.j.Tape.Plain(v.b.j.Tape.Down(o.At.W())) + " × " + v.b.j.Tape.Plain(v.b.j.Tape.Down(o.At.H())))}
	for i, s := range words {
		if t.Measure(s) < b.X-a.X-1 {
			l.Text((a.X+b.X)/2, a.Y+(b.Y-a.Y)*0.35+float64(i)*2.8, s, t.At(drawing.Middle))
		}
	}
}

// hatch fills a box with slanting lines.
func hatch(l *drawing.Layer, r curve.Rect, m curve.Affine, s drawing.Style) {
	box := curve.Bounds(m.Apply(r.Min), m.Apply(r.Max))
	g := l.Within(curve.Identity(), &box)
	for d := -box.H(); d < box.W(); d += 1.6 {
		g.Line(box.Min.X+d, box.Max.Y, box.Min.X+d+box.H(), box.Min.Y, s)
	}
}

// name is what the drawing calls a place.
func (v *view) name(q *lay.Place) string {
	s := q.From.Title
	if s == "" {
		s = strings.ReplaceAll(q.Piece, "_", " ")
	}
	if q.Parts > 0 {
		s += fmt.Sprintf(", part %d of %d", q.Part, q.Parts)
	}
	if v.several() {
		s = q.Job + " " + s
	}
	return s
}

// several reports whether pieces of more than one job lie together.
func (v *view) several() bool {
	for i := range v.p.Places {
		if v.p.Places[i].Job != v.p.Places[0].Job {
			return true
		}
	}
	return false
}

// piece draws one place: outline, grain with its points, number, name, layers.
func (v *view) piece(l *drawing.Layer, r *row, m curve.Affine, from, to float64) {
	q := r.q
	ring := make([]curve.Point, len(q.Shape))
	for i, p := range q.Shape {
		ring[i] = m.Apply(p)
	}
	l.Polygon(drawing.Medium.Filled(drawing.Pale), ring...)
	if q.Opened && v.p.Band {
		y, box := m.Apply(curve.Point{Y: q.Y}).Y, curve.Bounds(ring...)
		l.Line(box.Min.X, y, box.Max.X, y, drawing.Hair.Dashed(1.2, 0.8))
	}
	a, b := m.Apply(r.a), m.Apply(r.b)
	if q.Parts == 0 && !v.p.Band {
		grain := drawing.Hair.In(drawing.Dark)
		if v.p.Cloth.Nap {
			l.Arrow(a.X, a.Y, b.X, b.Y, grain)
		} else {
			l.Both(a.X, a.Y, b.X, b.Y, grain)
		}
	}
	// Labels stay in that part of the piece that is on this page.
	seen := curve.Rect{Min: m.Apply(curve.Point{X: 0, Y: from}), Max: m.Apply(curve.Point{X: v.p.Usable, Y: to})}
	p := newPen(l, ring, seen)
	if q.Parts == 0 && !v.p.Band {
		p.avoid(a, b)
		v.point(p, "A", a, r.a)
		v.point(p, "B", b, r.b)
	}
	words := []string{fmt.Sprintf("%d", q.N), v.name(q), v.layers(q)}
	if words[2] == "" {
		words = words[:2]
	}
	p.label(words)
}

// layers says through how many layers a place is cut, and how its pattern lies where that is not plain.
func (v *view) layers(q *lay.Place) string {
	c := &v.p.Cloth
	switch {
	case q.OnFold && c.Fold == lay.Tubular && q.X > 0:
		return "on the right fold"
	case q.OnFold && c.Fold == lay.Tubular:
		return "on the left fold"
	case q.OnFold:
		return "on the fold"
	case q.Layers > 1:
		return fmt.Sprintf("%d layers", q.Layers)
	case q.Opened:
		return "opened out"
	case q.FaceDown:
		return "1 layer, face down"
	}
	words := []string{}
	if c.Fold != lay.Open {
		words = append(words, "1 layer")
	}
	if q.Flipped && (c.Fold == lay.Open || c.Fold == lay.PartSingle) {
		words = append(words, "mirrored")
	}
	return strings.Join(words, ", ")
}

// point marks one end of the grain line with its distances where they fit.
func (v *view) point(p *pen, name string, at, on curve.Point) {
	p.l.Dot(at.X, at.Y, 0.45, drawing.Black)
	t := v.b.j.Tape
	p.beside(at, []string{name + " ↓" + said(plain(t, on.Y)) + " →" + said(plain(t, on.X)), name})
}

// plain is a distance to the finer division of the tape, without its unit.
func plain(t tape.Tape, mm float64) string {
	s := t.Fine(mm)
	return s[:strings.LastIndex(s, " ")]
}

// table lists the places that begin on a page.
func (v *view) table(page *drawing.Page, box curve.Rect, y, foot, from, to float64, first bool, title string) {
	t := v.list(from, to)
	if len(t.Rows) == 0 {
		return
	}
	if v.beside {
		x := box.Min.X + rulerW + v.p.Usable*v.k + v.p.Cloth.Selvedge*v.k + 9
		if v.p.Cloth.Nap {
			x += 5
		}
		used := v.intro(page, x, y, box.Max.X-x, first)
		wide := box.Max.X - x
		grow := (wide - t.Width()) / float64(len(t.Columns)-2)
		for i := range t.Columns {
			if i == 1 {
				t.Columns[i].Width += math.Max(0, grow*float64(len(t.Columns)-2))
			}
		}
		left, rest := page.Table(x, y+used, box.Max.Y-y-used, t)
		_ = left
		v.more(rest, title)
		return
	}
	t.Columns[1].Width += box.W() - t.Width()
	if to < v.end-1e-6 { // the drawing goes on: the table follows its last page
		return
	}
	t = v.list(0, math.Inf(1))
	t.Columns[1].Width += box.W() - t.Width()
	if foot+t.Height()+14 > box.Max.Y {
		page, box = v.b.page(title + ", places")
		foot = box.Min.Y
	}
	used := v.intro(page, box.Min.X, foot, box.W(), true)
	_, rest := page.Table(box.Min.X, foot+used, box.Max.Y-foot-used, t)
	v.more(rest, title)
}

// more sets what is left of a table on pages of its own.
func (v *view) more(rest drawing.Table, title string) {
	for len(rest.Rows) > 0 {
		page, box := v.b.page(title + ", places")
		_, next := page.Table(box.Min.X, box.Min.Y, box.H(), rest)
		if len(next.Rows) == len(rest.Rows) {
			return
		}
		rest = next
	}
}

// intro says how the table is read.
func (v *view) intro(page *drawing.Page, x, y, w float64, first bool) float64 {
	if !first {
		return 0
	}
	c := v.p.Cloth
	s := "Cut in the order of the numbers. "
	if v.p.Band {
		s += "Distances run along the band from its end."
	} else {
		edge := "the left selvedge's inner edge"
		switch {
		case c.Fold == lay.Tubular:
			edge = "the left fold"
		case c.Fold == lay.PartSingle:
			edge = "the fold, over the edge of the upper layer on to the single part"
		case c.Fold.Folded():
			edge = "the fold"
		}
		end := "the straightened end"
		if c.Fold == lay.Crosswise {
			end = "the fold across"
		}
		s += fmt.Sprintf("A and B are where a piece's grain line, drawn on, meets its cut line at top and foot (of a piece opened out: its middle): ↓ is measured from %s, → from %s.", end, edge)
	}
	return page.Paragraph(x, y, w, s, drawing.Body.Sized(3)) + 2
}

// list is the table of the places that begin between two distances.
func (v *view) list(from, to float64) drawing.Table {
	t := drawing.Table{Type: drawing.Type{Size: 3}}
	widest := 13. // a figure is never broken
	for _, r := range v.rows {
		for _, mm := range []float64{r.a.X, r.a.Y, r.b.X, r.b.Y} {
			widest = math.Max(widest, t.Type.Measure(said(plain(v.b.j.Tape, mm)))+2.6)
		}
	}
	num := func(title string) drawing.Column {
		return drawing.Column{Title: title, Width: widest, Anchor: drawing.End}
	}
	if v.p.Band {
		t.Columns = []drawing.Column{{Title: "No", Width: 9, Bold: true}, {Title: "Piece", Width: 26}, num("from"), num("to"), num("long")}
	} else {
		t.Columns = []drawing.Column{{Title: "No", Width: 8, Bold: true}, {Title: "Piece", Width: 72 - 4*widest}, num("A ↓"), num("A →"), num("B ↓"), num("B →")}
	}
	tp := v.b.j.Tape
	fine := func(mm float64) string { return said(plain(tp, mm)) }
	for i := range v.rows {
		r := &v.rows[i]
		b := r.q.Bounds()
		if b.Min.Y < from-1e-9 && from > 0 || b.Min.Y >= to {
			continue
		}
		what := strings.TrimSpace(v.name(r.q) + "\n" + v.how(r.q))
		if v.p.Band {
			t.Add(fmt.Sprint(r.q.N), v.name(r.q), fine(b.Min.Y), fine(b.Max.Y), fine(b.H()))
			continue
		}
		if r.q.Parts > 0 {
			t.Add(fmt.Sprint(r.q.N), what, fine(b.Min.Y), fine(b.Min.X), fine(b.Max.Y), fine(b.Max.X))
			continue
		}
		t.Add(fmt.Sprint(r.q.N), what, fine(r.a.Y), fine(r.a.X), fine(r.b.Y), fine(r.b.X))
	}
	return t
}

// how says how a place is cut.
func (v *view) how(q *lay.Place) string {
	var parts []string
	if s := v.layers(q); s != "" {
		parts = append(parts, s)
	}
	if q.FootUp() {
		parts = append(parts, "foot up")
	}
	return strings.Join(parts, ", ")
}
