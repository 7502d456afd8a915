package curve

import "math"

// Rect is an upright box from Min (least x and y: top left on the page) to Max. A Rect with Min beyond Max is empty.
type Rect struct{ Min, Max Point }

// EmptyRect holds no point; its union with anything is the other thing.
func EmptyRect() Rect {
	inf := math.Inf(1)
	return Rect{Point{inf, inf}, Point{-inf, -inf}}
}

// Bounds returns the smallest box round the points, the empty one if there are none.
func Bounds(pts ...Point) Rect {
	r := EmptyRect()
	for _, p := range pts {
		r = r.AddPoint(p)
	}
	return r
}

// AddPoint returns the smallest box that holds r and p.
func (r Rect) AddPoint(p Point) Rect {
	if p.X < r.Min.X {
		r.Min.X = p.X
	}
	if p.X > r.Max.X {
		r.Max.X = p.X
	}
	if p.Y < r.Min.Y {
		r.Min.Y = p.Y
	}
	if p.Y > r.Max.Y {
		r.Max.Y = p.Y
	}
	return r
}

// Empty reports whether r holds no point.
func (r Rect) Empty() bool { return r.Min.X > r.Max.X || r.Min.Y > r.Max.Y }

// Union returns the smallest box that holds both.
func (r Rect) Union(o Rect) Rect {
	if o.Empty() {
		return r
	}
	return r.AddPoint(o.Min).AddPoint(o.Max)
}

// Pad returns r grown by d on every side (shrunk when d is negative); an empty box stays empty.
func (r Rect) Pad(d float64) Rect {
	if r.Empty() {
		return r
	}
	return Rect{Point{r.Min.X - d, r.Min.Y - d}, Point{r.Max.X + d, r.Max.Y + d}}
}

// Contains reports whether p is in r; the edge counts as in.
func (r Rect) Contains(p Point) bool {
	return r.Min.X <= p.X && p.X <= r.Max.X && r.Min.Y <= p.Y && p.Y <= r.Max.Y
}

// Overlaps reports whether r and o share a point; touching edges count.
func (r Rect) Overlaps(o Rect) bool {
	return r.Min.X <= o.Max.X && o.Min.X <= r.Max.X && r.Min.Y <= o.Max.Y && o.Min.Y <= r.Max.Y
}

// Common returns the box that r and o share, an empty one when they share no point.
func (r Rect) Common(o Rect) Rect {
	return Rect{Point{math.Max(r.Min.X, o.Min.X), math.Max(r.Min.Y, o.Min.Y)}, Point{math.Min(r.Max.X, o.Max.X), math.Min(r.Max.Y, o.Max.Y)}}
}

// Meets reports whether the straight line from a to b shares a point with r, exactly; touching an edge or a corner counts.
func (r Rect) Meets(a, b Point) bool {
	if r.Empty() || !r.Overlaps(Bounds(a, b)) {
		return false
	}
	// Two convex figures are apart when some side of either has them on different sides. Those of the box are done with; along the
	// line itself, it is the two corners farthest off on either hand that tell.
	c, d := r.Min, r.Max
	if (b.X > a.X) == (b.Y > a.Y) { // falling to the right on the page: the other two corners
		c.X, d.X = d.X, c.X
	}
	return Orient(a, b, c)*Orient(a, b, d) <= 0
}

// W is the width, 0 for an empty box.
func (r Rect) W() float64 { return math.Max(0, r.Max.X-r.Min.X) }

// H is the height, 0 for an empty box.
func (r Rect) H() float64 { return math.Max(0, r.Max.Y-r.Min.Y) }

// Center returns the middle of the box.
func (r Rect) Center() Point { return r.Min.Lerp(r.Max, 0.5) }

// Distance returns how far q is from the box, 0 inside it.
func (r Rect) Distance(q Point) float64 {
	dx := math.Max(0, math.Max(r.Min.X-q.X, q.X-r.Max.X))
	dy := math.Max(0, math.Max(r.Min.Y-q.Y, q.Y-r.Max.Y))
	return Point{dx, dy}.Norm()
}
