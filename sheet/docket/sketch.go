package docket

import (
	"math"
	"slices"

	"clothwright/curve"
	"clothwright/piece"
	"clothwright/sheet/drawing"
)

// outlineTolerance is how far a sketch's outline may stray from its curve, in mm of the garment: at a tenth of the size no eye sees it.
const outlineTolerance = 0.5

// hang is how far from plumb a sleeve hangs in the sketch: as on a hanger. Own choice.
const hang = 17 * math.Pi / 180

// Sketch draws the garment's front and back, made of the pieces themselves and to one scale, into a box at (x, y) of w by h mm. A
// garment that has no front, back and sleeve is shown as its shell pieces in a row. It returns the scale.
func Sketch(l *drawing.Layer, p *piece.Pattern, x, y, w, h float64) float64 {
	views := [][]shape{view(p, "front"), view(p, "back")}
	if views[0] == nil || views[1] == nil {
		views = nil
		for i := range p.Pieces {
			if q := &p.Pieces[i]; q.Material == piece.Shell {
				views = append(views, []shape{{pts: flat(q, false), pen: drawing.Thin}})
			}
		}
	}
	const gap = 40. // mm of the garment between two views
	wide, high := 0.0, 0.0
	boxes := make([]curve.Rect, len(views))
	for i, v := range views {
		boxes[i] = bounds(v)
		wide += boxes[i].W() + gap
		high = math.Max(high, boxes[i].H())
	}
	if wide == 0 || high == 0 {
		return 0
	}
	k := math.Min(w/wide, h/high)
	at := x + (w-float64(wide*k))/2 + float64(gap*k)/2
	for i, v := range views {
		m := curve.Scale(k, k).Then(curve.Translate(curve.Point{X: at - float64(boxes[i].Min.X*k), Y: y - float64(boxes[i].Min.Y*k)}))
		for _, s := range v {
			pts := make([]curve.Point, len(s.pts))
			for n, q := range s.pts {
				pts[n] = m.Apply(q)
			}
			if s.open {
				l.Put(drawing.Path{Paths: []curve.Path{curve.Polyline(pts...)}, Style: s.pen})
				continue
			}
			l.Polygon(s.pen.Filled(drawing.White), pts...)
		}
		at += float64((boxes[i].W() + gap) * k)
	}
	return k
}

// shape is a part of a view, in mm of the garment.
type shape struct {
	pts  []curve.Point
	open bool
	pen  drawing.Style
}

func bounds(v []shape) curve.Rect {
	var all []curve.Point
	for _, s := range v {
		all = append(all, s.pts...)
	}
	return curve.Bounds(all...)
}

// flat is a piece's seam line as points; mirrored about its centre line when asked.
func flat(p *piece.Piece, mirrored bool) []curve.Point {
	seam, _ := p.Outline(outlineTolerance)
	out := append([]curve.Point(nil), seam...)
	if mirrored {
		for i := range out {
			out[i].X = -out[i].X
		}
	}
	return out
}

func mirror(pts []curve.Point) []curve.Point {
	out := make([]curve.Point, len(pts))
	for i, p := range pts {
		out[i] = curve.Point{X: -p.X, Y: p.Y}
	}
	return out
}

// opened is the outline of a piece on the fold, unfolded: without its fold, and its mirror image the way back.
func opened(p *piece.Piece) []curve.Point {
	fold := 0
	for i, e := range p.Edges {
		if e.Finish == piece.Fold {
			fold = i
		}
	}
	var half []curve.Point
	for i := 1; i < len(p.Edges); i++ {
		half = append(half, p.Edges[(fold+i)%len(p.Edges)].Path.Flatten(outlineTolerance)...)
	}
	out := append([]curve.Point(nil), half...)
	for i := len(half) - 1; i >= 0; i-- {
		out = append(out, curve.Point{X: -half[i].X, Y: half[i].Y})
	}
	return out
}

// half is one side of a view: the pieces of the wearer's left or right, or those of both where the sides are alike.
type half struct {
	word         string // "left" or "right"
	flip         bool   // it lies on the left of the page, so what is drafted to the right of the centre line is mirrored
	body, sleeve *piece.Piece
	cuff         *piece.Piece
	tip          curve.Point // the shoulder's end, drawn to the right
}

// halves are the two sides of a view, the one on the right of the page first; ok is false for a garment without front, back and sleeve.
func halves(p *piece.Pattern, name string) (out [2]half, ok bool) {
	words := [2]string{"left", "right"} // who looks at the front has the wearer's left on the right
	if name == "back" {
		words = [2]string{"right", "left"}
	}
	for i, word := range words {
		h := half{word: word, flip: i == 1, body: sided(p, name, word), sleeve: sided(p, "sleeve", word), cuff: sided(p, "cuff", word)}
		if h.body == nil || h.sleeve == nil || h.sleeve.Mark("crown") == nil || h.sleeve.Mark("sleeve hem") == nil {
			return out, false
		}
		tip := h.body.Mark("shoulder tip, " + word)
		if tip == nil {
			tip = h.body.Mark("shoulder tip")
		}
		if tip == nil {
			return out, false
		}
		h.tip = curve.Point{X: math.Abs(tip.At.X), Y: tip.At.Y}
		out[i] = h
	}
	return out, true
}

// sided is a side's own piece, or that of both sides.
func sided(p *piece.Pattern, name, word string) *piece.Piece {
	if q := p.Piece(name + "_" + word); q != nil {
		return q
	}
	return p.Piece(name)
}

// wholly reports whether a body piece is cut whole, right of the centre line and left of it: as a back is whose sides differ.
func wholly(body *piece.Piece) bool { return !body.OnFold && body.Count == 1 && body.Side == "" }

// beside is the part of a line of the body that lies on the half's side, drawn to the right of the centre line.
func (h half) beside(line []curve.Point) []curve.Point {
	if !wholly(h.body) {
		return line
	}
	if h.flip {
		line = mirror(line)
	}
	var out []curve.Point
	for i, q := range line {
		if i > 0 && (q.X < 0) != (line[i-1].X < 0) {
			out = append(out, line[i-1].Lerp(q, line[i-1].X/(line[i-1].X-q.X)))
		}
		if q.X >= 0 {
			out = append(out, q)
		}
	}
	return out
}

// put is a shape of the half where it lies on the page.
func (h half) put(pts []curve.Point, open bool, pen drawing.Style) shape {
	if h.flip {
		pts = mirror(pts)
	}
	return shape{pts, open, pen}
}

// view is the garment seen from one side: sleeves behind, the body over them, ribs, zip and pockets.
func view(p *piece.Pattern, name string) []shape {
	sides, ok := halves(p, name)
	if !ok {
		return nil
	}
	var out []shape
	for _, h := range sides {
		out = append(out, h.arm()...)
	}
	first := sides[0].body
	switch {
	case first.OnFold:
		out = append(out, shape{pts: opened(first), pen: drawing.Thin})
	case wholly(first):
		out = append(out, shape{pts: flat(first, false), pen: drawing.Thin})
	default:
		for _, h := range sides {
			out = append(out, h.put(flat(h.body, false), false, drawing.Thin))
		}
	}
	for _, h := range sides {
		out = append(out, h.hemRib(p)...)
	}
	out = append(out, collar(p, sides)...)
	if name == "back" {
		return out
	}
	for _, h := range sides {
		for _, l := range h.body.Lines {
			if l.Kind == "pocket" {
				out = append(out, h.put(l.Path.Flatten(outlineTolerance), true, drawing.Hair))
			}
		}
		if zip := h.body.Edge("front_edge"); zip != nil {
			b := curve.Bounds(zip.Path.Flatten(outlineTolerance)...)
			out = append(out, h.put([]curve.Point{{X: 4, Y: b.Min.Y}, {X: 4, Y: b.Max.Y}}, true, drawing.Hair))
		}
	}
	return out
}

// arm is the half's sleeve and cuff.
func (h half) arm() []shape {
	crown, hem := h.sleeve.Mark("crown"), h.sleeve.Mark("sleeve hem")
	// The sleeve lies folded along the line from the crown down, so half its width is seen.
	place := curve.Translate(crown.At.Mul(-1)).Then(curve.Rotate(-hang)).Then(curve.Translate(h.tip))
	var sleeve []curve.Point
	for _, q := range flat(h.sleeve, false) {
		sleeve = append(sleeve, place.Apply(curve.Point{X: math.Min(q.X, crown.At.X), Y: q.Y}))
	}
	out := []shape{h.put(sleeve, false, drawing.Thin)}
	if h.cuff == nil {
		return out
	}
	b := curve.Bounds(flat(h.cuff, false)...)
	wide, high := b.W()/2, shows(h.cuff)
	edge := float64(h.sleeve.Edge("hem").Length()) / 2
	var pts []curve.Point
	for _, q := range []curve.Point{{X: 0, Y: hem.At.Y}, {X: -edge, Y: hem.At.Y}, {X: -(edge + wide) / 2, Y: hem.At.Y + high}, {X: -(edge - wide) / 2, Y: hem.At.Y + high}} {
		pts = append(pts, place.Apply(q))
	}
	return append(append(out, h.put(pts, false, drawing.Hair)), h.ribs(pts)...)
}

// shows is what is seen of a rib's height: half of one that is folded.
func shows(rib *piece.Piece) float64 {
	h := curve.Bounds(flat(rib, false)...).H()
	for _, e := range rib.Edges {
		if e.Finish == piece.TurnUp {
			return h
		}
	}
	if fold := rib.Lines; len(fold) > 0 {
		for _, l := range fold {
			if l.Kind == "fold" {
				return h / 2
			}
		}
	}
	return h
}

// hemRib is the band below the half, drawn in a little as it draws in when it is worn.
func (h half) hemRib(p *piece.Pattern) []shape {
	rib, hem := p.Piece("hem_rib"), h.body.Edge("hem")
	if rib == nil || hem == nil {
		return nil
	}
	b := curve.Bounds(h.beside(hem.Path.Flatten(outlineTolerance))...)
	high := shows(rib)
	from, to := b.Min.X, b.Max.X
	pts := []curve.Point{{X: from, Y: b.Max.Y}, {X: to, Y: b.Max.Y}, {X: from + float64((to-from)*0.94), Y: b.Max.Y + high}, {X: from, Y: b.Max.Y + high}}
	return append([]shape{h.put(pts, false, drawing.Hair)}, h.ribs(pts)...)
}

// ribs are a few lines along a rib.
func (h half) ribs(quad []curve.Point) []shape {
	var out []shape
	n := int(quad[0].Dist(quad[1])/9) + 1
	for i := 1; i < n; i++ {
		t := float64(i) / float64(n)
		out = append(out, h.put([]curve.Point{quad[0].Lerp(quad[1], t), quad[3].Lerp(quad[2], t)}, true, drawing.Style{Width: 0.1, Color: drawing.Mid}))
	}
	return out
}

// collar is the stand above the neckline: in one behind, in two in front.
func collar(p *piece.Pattern, sides [2]half) []shape {
	stand := p.Piece("collar")
	if stand == nil {
		return nil
	}
	high := shows(stand)
	var halves [2][]curve.Point
	for i, h := range sides {
		neck := h.body.Edge("neck")
		if neck == nil {
			return nil
		}
		line := h.beside(neck.Path.Flatten(outlineTolerance))
		if line[0].X > line[len(line)-1].X { // from the centre out
			slices.Reverse(line)
		}
		pts := append([]curve.Point(nil), line...)
		for _, q := range slices.Backward(line) {
			pts = append(pts, curve.Point{X: float64(q.X * 0.92), Y: q.Y - high})
		}
		halves[i] = pts
	}
	if sides[0].body.OnFold || wholly(sides[0].body) {
		other := mirror(halves[1])
		slices.Reverse(other)
		return []shape{{pts: append(halves[0], other...), pen: drawing.Hair}}
	}
	return []shape{sides[0].put(halves[0], false, drawing.Hair), sides[1].put(halves[1], false, drawing.Hair)}
}
