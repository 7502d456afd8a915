package drawing

import (
	"math"

	"clothwright/curve"
	"clothwright/sheet/text"
)

// Ink is where a layer is drawn on, for asking what part of it is empty. It is made once with [Layer.Ink].
type Ink struct{ marks []mark }

// mark is one line or outline, flattened; within r of its points is ink.
type mark struct {
	pts    []curve.Point
	closed bool
	r      float64
	box    curve.Rect // padded by r
}

// flat is how far a flattened curve may be from the true one, in mm; ink counts as that much wider.
const flat = 0.25

// Ink traces everything drawn on the layer. Clips of groups and windows are taken as they are, words as their boxes.
func (l *Layer) Ink() Ink {
	var ink Ink
	ink.trace(l.Items, curve.Identity(), nil)
	return ink
}

func (k *Ink) trace(items []Item, m curve.Affine, clip *curve.Rect) {
	scale := math.Sqrt(math.Abs(m.Det()))
	for _, it := range items {
		switch it := it.(type) {
		case Path:
			for _, p := range it.Paths {
				k.add(p.Transform(m).Flatten(flat), it.Closed, it.Style.Width/2*scale+flat, clip)
			}
		case Text:
			w := it.Type.Measure(it.Words)
			left := -w * float64(it.Type.Anchor) / 2
			to := curve.Rotate(it.Type.Turn).Then(curve.Translate(it.At)).Then(m)
			k.add(corners(Box(left, -text.Ascent*it.Type.Size, w, (text.Ascent+text.Descent)*it.Type.Size), to), true, 0, clip)
		case *Group:
			k.trace(it.Items, it.Map().Then(m), narrow(clip, it.Clip, m))
		case Window:
			to := it.Map().Then(m)
			whole := Box(0, 0, it.Figure.W, it.Figure.H)
			k.trace(it.Figure.Items, to, narrow(narrow(clip, it.Clip, m), &whole, to))
		}
	}
}

func corners(r curve.Rect, m curve.Affine) []curve.Point {
	return []curve.Point{
		m.Apply(r.Min), m.Apply(curve.Point{X: r.Max.X, Y: r.Min.Y}), m.Apply(r.Max), m.Apply(curve.Point{X: r.Min.X, Y: r.Max.Y}),
	}
}

// narrow returns what is common to a clip and another that is mapped by m; nil is everything.
func narrow(clip, more *curve.Rect, m curve.Affine) *curve.Rect {
	if more == nil {
		return clip
	}
	b := curve.Bounds(corners(*more, m)...)
	if clip != nil {
		b = b.Common(*clip)
	}
	return &b
}

func (k *Ink) add(pts []curve.Point, closed bool, r float64, clip *curve.Rect) {
	if len(pts) == 0 {
		return
	}
	box := curve.Bounds(pts...).Pad(r)
	if clip != nil {
		box = box.Common(*clip)
	}
	if !box.Empty() {
		k.marks = append(k.marks, mark{pts, closed, r, box})
	}
}

// Lines returns every line and outline of the layer that is drawn with a line, mapped by to, for a small sketch of it in
// one weight. Clips are not applied and words are left out.
func (l *Layer) Lines(to curve.Affine) []curve.Path {
	var out []curve.Path
	for _, it := range l.Items {
		switch it := it.(type) {
		case Path:
			for _, p := range it.Paths {
				if it.Style.Width == 0 || len(p) == 0 {
					continue
				}
				if it.Closed && p.Start() != p.End() {
					p = append(p[:len(p):len(p)], curve.Line(p.End(), p.Start()))
				}
				out = append(out, p.Transform(to))
			}
		case *Group:
			out = append(out, it.Lines(it.Map().Then(to))...)
		case Window:
			out = append(out, it.Figure.Lines(it.Map().Then(to))...)
		}
	}
	return out
}

// Bounds returns the smallest upright box round all ink, the empty box if there is none.
func (k Ink) Bounds() curve.Rect {
	b := curve.EmptyRect()
	for _, m := range k.marks {
		b = b.Union(m.box)
	}
	return b
}

// Touches reports whether anything is drawn in the box, or the box lies wholly within a closed outline: then it is the
// inside of a piece.
func (k Ink) Touches(r curve.Rect) bool {
	for _, m := range k.marks {
		if m.box.Overlaps(r) && m.touches(r.Common(m.box)) {
			return true
		}
	}
	return false
}

func (m mark) touches(r curve.Rect) bool {
	wide := r.Pad(m.r)
	n := len(m.pts)
	for i, p := range m.pts {
		switch {
		case i+1 < n && wide.Meets(p, m.pts[i+1]), i+1 == n && m.closed && wide.Meets(p, m.pts[0]), n == 1 && wide.Contains(p):
			return true
		}
	}
	return m.closed && curve.Contains(m.pts, r.Center())
}
