package draft

import (
	"math"

	"go.starlark.net/starlark"

	"clothwright/curve"
	"clothwright/curve/root"
	"clothwright/phrase"
	"clothwright/piece"
)

func way(name string, dir curve.Point) func(*call) (starlark.Value, error) {
	return func(c *call) (starlark.Value, error) { return c.move(name, dir) }
}

func runStart(c *call) (starlark.Value, error) {
	var name string
	var why told
	if err := c.take("name?", &name, "why?", &why); err != nil {
		return nil, err
	}
	if len(c.on.marks) > 0 {
		return nil, c.fail("mark %q: the piece has been started already", name)
	}
	return c.put(piece.Mark{Name: name, Way: "start", Why: phrase.Said(why)})
}

func runGo(c *call) (starlark.Value, error) {
	var from *mark
	var dir direction
	var d length
	var name string
	var why told
	var walked bool
	if err := c.take("from", &from, "direction", &dir, "distance", &d, "name?", &name, "why?", &why, "walked?", &walked); err != nil {
		return nil, err
	}
	if err := c.own(from); err != nil {
		return nil, err
	}
	taped, err := c.measure(name, d)
	if err != nil {
		return nil, err
	}
	if walked {
		taped = float64(d)
	}
	return c.put(piece.Mark{Name: name, At: from.at.Add(curve.Point(dir).Mul(taped)), From: from.name, Way: "slant", Distance: taped, Exact: float64(d), Why: phrase.Said(why)})
}

func runAlong(c *call) (starlark.Value, error) {
	var on *pathValue
	var d length
	var name string
	var why told
	var fromEnd, walked bool
	if err := c.take("path", &on, "distance", &d, "name?", &name, "why?", &why, "from_end?", &fromEnd, "walked?", &walked); err != nil {
		return nil, err
	}
	taped, err := c.measure(name, d)
	if err != nil {
		return nil, err
	}
	way := "along"
	if walked {
		taped, way = float64(d), "walked along"
	}
	whole := on.path.Length()
	if taped > whole+1e-6 {
		return nil, c.fail("mark %q: %s along a line that is only %s long", name, c.host.house.Tape.Format(taped), c.host.house.Tape.Format(whole))
	}
	c.on.chalk(on, "line")
	s, from := taped, on.end(false)
	if fromEnd {
		s, from = whole-taped, on.end(true)
	}
	return c.put(piece.Mark{Name: name, At: on.path.PointAt(s), From: from, Way: way, Distance: taped, Exact: float64(d), Why: phrase.Said(why)})
}

func runMidway(c *call) (starlark.Value, error) {
	var a, b *mark
	var name string
	var why told
	if err := c.take("a", &a, "b", &b, "name?", &name, "why?", &why); err != nil {
		return nil, err
	}
	if err := c.own(a, b); err != nil {
		return nil, err
	}
	d := a.at.Dist(b.at) / 2
	return c.put(piece.Mark{Name: name, At: a.at.Lerp(b.at, 0.5), From: a.name, Way: "midway to " + b.name, Distance: d, Exact: d, Why: phrase.Said(why)})
}

func runPlumb(c *call) (starlark.Value, error) {
	var a, b *mark
	var name string
	var why told
	if err := c.take("across_of", &a, "level_with", &b, "name?", &name, "why?", &why); err != nil {
		return nil, err
	}
	if err := c.own(a, b); err != nil {
		return nil, err
	}
	d := math.Abs(a.at.Y - b.at.Y)
	return c.put(piece.Mark{Name: name, At: curve.Point{X: a.at.X, Y: b.at.Y}, From: a.name, Way: "plumb to " + b.name, Distance: d, Exact: d, Why: phrase.Said(why)})
}

func runSwing(c *call) (starlark.Value, error) {
	var from *mark
	var d length
	var on *pathValue
	var name string
	var why told
	var last bool
	if err := c.take("from", &from, "distance", &d, "path", &on, "name?", &name, "why?", &why, "last?", &last); err != nil {
		return nil, err
	}
	if err := c.own(from); err != nil {
		return nil, err
	}
	taped, err := c.measure(name, d)
	if err != nil {
		return nil, err
	}
	s, ok := swung(on.path, from.at, taped, last)
	if !ok {
		return nil, c.fail("mark %q: %s swung from %q does not meet the line", name, c.host.house.Tape.Format(taped), from.name)
	}
	c.on.chalk(on, "line")
	return c.put(piece.Mark{Name: name, At: on.path.PointAt(s), From: from.name, Way: "swing", Distance: taped, Exact: float64(d), Why: phrase.Said(why)})
}

// swung is how far along a path its points come to lie at a straight distance d from a point: the first such
// place or the last. The path is sampled finely enough for a garment's curves (32 places a segment).
func swung(p curve.Path, from curve.Point, d float64, last bool) (float64, bool) {
	whole := p.Length()
	n := 32 * len(p)
	gap := func(s float64) float64 { return p.PointAt(s).Dist(from) - d }
	found, at := false, 0.0
	for i := 0; i < n; i++ {
		lo, hi := whole*float64(i)/float64(n), whole*float64(i+1)/float64(n)
		a, b := gap(lo), gap(hi)
		if (a > 0) == (b > 0) && a != 0 && b != 0 {
			continue
		}
		s, ok := root.Brent(gap, lo, hi, 1e-9)
		if !ok {
			continue
		}
		found, at = true, s
		if !last {
			break
		}
	}
	return at, found
}

func runMeet(c *call) (starlark.Value, error) {
	var a, b *pathValue
	var name string
	var why told
	if err := c.take("path", &a, "other", &b, "name?", &name, "why?", &why); err != nil {
		return nil, err
	}
	ms := a.path.Meet(b.path)
	if len(ms) == 0 {
		return nil, c.fail("mark %q: the two lines do not cross", name)
	}
	c.on.chalk(a, "line")
	c.on.chalk(b, "line")
	return c.put(piece.Mark{Name: name, At: ms[0].At, From: a.end(false), Way: "crossing", Why: phrase.Said(why)})
}

func runLevel(c *call) (starlark.Value, error) {
	var with *mark
	var on *pathValue
	var name string
	var why told
	if err := c.take("with_mark", &with, "path", &on, "name?", &name, "why?", &why); err != nil {
		return nil, err
	}
	b := on.path.Bounds().Pad(1)
	level := curve.Path{curve.Line(curve.Point{X: b.Min.X, Y: with.at.Y}, curve.Point{X: b.Max.X, Y: with.at.Y})}
	ms := on.path.Meet(level)
	if len(ms) == 0 {
		return nil, c.fail("mark %q: the level line through %q does not meet the line", name, with.name)
	}
	c.on.chalk(on, "line")
	d := ms[0].At.Dist(with.at)
	return c.put(piece.Mark{Name: name, At: ms[0].At, From: with.name, Way: "level", Distance: d, Exact: d, Why: phrase.Said(why)})
}

func runPoint(c *call) (starlark.Value, error) {
	var x, y length
	if err := c.take("x", &x, "y", &y); err != nil {
		return nil, err
	}
	return &mark{at: curve.Point{X: float64(x), Y: float64(y)}}, nil
}

func (c *call) facing(turn func(curve.Point) curve.Point) (starlark.Value, error) {
	var a, b *mark
	if err := c.take("a", &a, "b", &b); err != nil {
		return nil, err
	}
	v := b.at.Sub(a.at)
	if v.Norm() < 1e-9 {
		return nil, c.fail("marks %q and %q lie on each other, which gives no direction", a.name, b.name)
	}
	return direction(turn(v.Unit())), nil
}

func runMarkWord(c *call) (starlark.Value, error) {
	var name string
	if err := c.take("name", &name); err != nil {
		return nil, err
	}
	m := c.on.p.Mark(name)
	if m == nil {
		return nil, c.fail("there is no mark %q", name)
	}
	return &mark{at: m.At, name: m.Name, on: c.on}, nil
}
