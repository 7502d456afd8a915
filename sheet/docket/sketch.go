package docket

import (
	"math"

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
	return whole(half)
}

// whole is a half, from the centre line round to it again, with its mirror image.
func whole(half []curve.Point) []curve.Point {
	out := append([]curve.Point(nil), half...)
	for i := len(half) - 1; i >= 0; i-- {
		out = append(out, curve.Point{X: -half[i].X, Y: half[i].Y})
	}
	return out
}

// view is the garment seen from one side: sleeves behind, the body over them, ribs, zip and pockets.
func view(p *piece.Pattern, name string) []shape {
	body, sleeve := p.Piece(name), p.Piece("sleeve")
	if body == nil || sleeve == nil {
		return nil
	}
	tip, crown, hem := body.Mark("shoulder tip"), sleeve.Mark("crown"), sleeve.Mark("sleeve hem")
	if tip == nil || crown == nil || hem == nil {
		return nil
	}
	var out []shape
	both := func(pts []curve.Point, open bool, pen drawing.Style) {
		out = append(out, shape{pts, open, pen}, shape{mirror(pts), open, pen})
	}
	// The sleeve lies folded along the line from the crown down, so half its width is seen.
	place := curve.Translate(crown.At.Mul(-1)).Then(curve.Rotate(-hang)).Then(curve.Translate(tip.At))
	var half []curve.Point
	for _, q := range flat(sleeve, false) {
		half = append(half, curve.Point{X: math.Min(q.X, crown.At.X), Y: q.Y})
	}
	for i := range half {
		half[i] = place.Apply(half[i])
	}
	both(half, false, drawing.Thin)
	if cuff := p.Piece("cuff"); cuff != nil {
		b := curve.Bounds(flat(cuff, false)...)
		wide, high := b.W()/2, shows(cuff)
		edge := float64(sleeve.Edge("hem").Length()) / 2
		var pts []curve.Point
		for _, q := range []curve.Point{{X: 0, Y: hem.At.Y}, {X: -edge, Y: hem.At.Y}, {X: -(edge + wide) / 2, Y: hem.At.Y + high}, {X: -(edge - wide) / 2, Y: hem.At.Y + high}} {
			pts = append(pts, place.Apply(q))
		}
		both(pts, false, drawing.Hair)
		out = append(out, ribs(pts)...)
	}
	if body.OnFold {
		out = append(out, shape{pts: opened(body), pen: drawing.Thin})
	} else {
		both(flat(body, false), false, drawing.Thin)
	}
	out = append(out, hemRib(p, body)...)
	out = append(out, collar(p, body)...)
	if name == "back" {
		return out
	}
	for _, l := range body.Lines {
		if l.Kind == "pocket" {
			both(l.Path.Flatten(outlineTolerance), true, drawing.Hair)
		}
	}
	if zip := body.Edge("front_edge"); zip != nil {
		b := curve.Bounds(zip.Path.Flatten(outlineTolerance)...)
		for _, dx := range []float64{-4, 4} {
			out = append(out, shape{[]curve.Point{{X: dx, Y: b.Min.Y}, {X: dx, Y: b.Max.Y}}, true, drawing.Hair})
		}
	}
	return out
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

// hemRib is the band below the body, drawn in a little as it draws in when it is worn.
func hemRib(p *piece.Pattern, body *piece.Piece) []shape {
	rib, hem := p.Piece("hem_rib"), body.Edge("hem")
	if rib == nil || hem == nil {
		return nil
	}
	b := curve.Bounds(hem.Path.Flatten(outlineTolerance)...)
	high := shows(rib)
	from, to := b.Min.X, b.Max.X
	pts := []curve.Point{{X: from, Y: b.Max.Y}, {X: to, Y: b.Max.Y}, {X: from + (to-from)*0.94, Y: b.Max.Y + high}, {X: from, Y: b.Max.Y + high}}
	out := []shape{{pts, false, drawing.Hair}, {mirror(pts), false, drawing.Hair}}
	return append(out, ribs(pts)...)
}

// ribs are a few lines along a rib, on both sides of the garment.
func ribs(quad []curve.Point) []shape {
	var out []shape
	n := int(quad[0].Dist(quad[1])/9) + 1
	for i := 1; i < n; i++ {
		t := float64(i) / float64(n)
		line := []curve.Point{quad[0].Lerp(quad[1], t), quad[3].Lerp(quad[2], t)}
		for _, pts := range [][]curve.Point{line, mirror(line)} {
			out = append(out, shape{pts, true, drawing.Style{Width: 0.1, Color: drawing.Mid}})
		}
	}
	return out
}

// collar is the stand above the neckline.
func collar(p *piece.Pattern, body *piece.Piece) []shape {
	stand, neck := p.Piece("collar"), body.Edge("neck")
	if stand == nil || neck == nil {
		return nil
	}
	line := neck.Path.Flatten(outlineTolerance)
	if line[0].X > line[len(line)-1].X { // from the centre out
		for i, j := 0, len(line)-1; i < j; i, j = i+1, j-1 {
			line[i], line[j] = line[j], line[i]
		}
	}
	high := shows(stand)
	pts := append([]curve.Point(nil), line...)
	for i := len(line) - 1; i >= 0; i-- {
		pts = append(pts, curve.Point{X: line[i].X * 0.92, Y: line[i].Y - high})
	}
	if body.OnFold {
		return []shape{{pts: whole(pts), pen: drawing.Hair}}
	}
	return []shape{{pts, false, drawing.Hair}, {mirror(pts), false, drawing.Hair}}
}
