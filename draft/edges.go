package draft

import (
	"go.starlark.net/starlark"

	"clothwright/curve"
	"clothwright/piece"
)

func runEdge(c *call) (starlark.Value, error) {
	var name, finish, corner string
	var paths starlark.Value
	var allowance length
	if err := c.take("name", &name, "paths", &paths, "allowance?", &allowance, "finish?", &finish, "corner?", &corner); err != nil {
		return nil, err
	}
	p := c.on
	switch {
	case p.closed:
		return nil, c.fail("edge %q: the outline is closed already", name)
	case name == "":
		return nil, c.fail("an edge needs a name")
	case p.p.Edge(name) != nil:
		return nil, c.fail("edge %q is named twice", name)
	case allowance < 0 || allowance > 200:
		return nil, c.fail("edge %q: an allowance of %.1f mm; 0 to 200 mm is allowed", name, float64(allowance))
	case !oneOf(finish, "", "fold", "turned", "zip", "neat", "cut", "turn-up"):
		return nil, c.fail("edge %q: finish %q; fold, turned, zip, neat, cut and turn-up are allowed, or none", name, finish)
	case !oneOf(corner, "", "square", "mirror"):
		return nil, c.fail("edge %q: corner %q; square and mirror are allowed, or none", name, corner)
	}
	parts, err := pathsOf(paths)
	if err != nil {
		return nil, c.fail("edge %q: %v", name, err)
	}
	var path curve.Path
	for i, v := range parts {
		q := v.path
		if len(path) > 0 {
			if q.Start().Dist(path.End()) > snap && q.End().Dist(path.End()) <= snap {
				q = q.Reverse()
			}
			if i == 1 && q.Start().Dist(path.End()) > snap {
				path = path.Reverse()
				if q.Start().Dist(path.End()) > snap {
					q = q.Reverse()
				}
			}
			if q.Start().Dist(path.End()) > snap {
				return nil, c.fail("edge %q: its parts do not meet", name)
			}
		}
		path = append(path[:len(path):len(path)], q...)
		p.chalk(v, name)
	}
	e := piece.Edge{Name: name, Path: path, Allowance: float64(allowance), Finish: piece.Finish(finish), Corner: piece.Corner(corner)}
	p.drawnFrom[name] = path.Start()
	if err := p.chain(e); err != nil {
		return nil, c.fail("%v", err)
	}
	return starlark.None, nil
}

func oneOf(s string, allowed ...string) bool {
	for _, a := range allowed {
		if s == a {
			return true
		}
	}
	return false
}

func runInside(c *call) (starlark.Value, error) {
	var name, kind, label string
	var v *pathValue
	if err := c.take("name", &name, "path", &v, "kind", &kind, "label?", &label); err != nil {
		return nil, err
	}
	if !oneOf(kind, "pocket", "fold", "stitch", "guide") {
		return nil, c.fail("line %q: kind %q; pocket, fold, stitch and guide are allowed", name, kind)
	}
	c.on.chalk(v, name)
	c.on.p.Lines = append(c.on.p.Lines, piece.Line{Name: name, Path: v.path, Kind: kind, Label: label})
	return starlark.None, nil
}

func runGrain(c *call) (starlark.Value, error) {
	var a, b *mark
	if err := c.take("from", &a, "to", &b); err != nil {
		return nil, err
	}
	if a.at.Dist(b.at) < 1 {
		return nil, c.fail("the grain runs from %q to %q, which lie on each other", a.name, b.name)
	}
	c.on.grain = [2]curve.Point{a.at, b.at}
	return starlark.None, nil
}

func runNotch(c *call) (starlark.Value, error) {
	var edge, name string
	var at starlark.Value
	var double bool
	var from *mark
	if err := c.take("edge", &edge, "at", &at, "name", &name, "double?", &double, "from_mark?", &from); err != nil {
		return nil, err
	}
	e := c.on.p.Edge(edge)
	if e == nil {
		return nil, c.fail("notch %q: there is no edge %q yet", name, edge)
	}
	n := &notch{edge: edge, name: name, kind: "single"}
	if double {
		n.kind = "double"
	}
	switch v := at.(type) {
	case *mark:
		if _, d := e.Path.Nearest(v.at); d > 0.5 {
			return nil, c.fail("notch %q: mark %q lies %.1f mm off edge %q", name, v.name, d, edge)
		}
		n.at = v.at
	case length:
		l := e.Path.Length()
		if v < 0 || float64(v) > l {
			return nil, c.fail("notch %q: %s along edge %q, which is %s long", name, c.host.house.Tape.Format(float64(v)), edge, c.host.house.Tape.Format(l))
		}
		path := c.on.drawn(e)
		if from != nil && from.at.Dist(path.End()) < from.at.Dist(path.Start()) {
			path = path.Reverse()
		}
		n.at = path.PointAt(float64(v))
	default:
		return nil, c.fail("notch %q: a mark or a length is wanted, not a %s", name, at.Type())
	}
	c.on.notches = append(c.on.notches, n)
	return starlark.None, nil
}

func runLengthOf(c *call) (starlark.Value, error) {
	var edge string
	if err := c.take("edge", &edge); err != nil {
		return nil, err
	}
	if e := c.on.p.Edge(edge); e != nil {
		return length(e.Path.Length()), nil
	}
	for _, l := range c.on.p.Lines {
		if l.Name == edge {
			return length(l.Path.Length()), nil
		}
	}
	return nil, c.fail("there is no edge %q", edge)
}

func runReach(c *call) (starlark.Value, error) {
	var edge string
	var at *mark
	if err := c.take("edge", &edge, "mark", &at); err != nil {
		return nil, err
	}
	e := c.on.p.Edge(edge)
	if e == nil {
		return nil, c.fail("there is no edge %q", edge)
	}
	s, off := c.on.drawn(e).Nearest(at.at)
	if off > 0.5 {
		return nil, c.fail("mark %q lies %.1f mm off edge %q", at.name, off, edge)
	}
	return length(s), nil
}

func runWidthAt(c *call) (starlark.Value, error) {
	var at *mark
	if err := c.take("level", &at); err != nil {
		return nil, err
	}
	if !c.on.closed {
		return nil, c.fail("the width is asked before the outline is closed")
	}
	x0, x1, ok := curve.WidthAt(c.on.rim, at.at.Y)
	if !ok {
		return nil, c.fail("the outline is not there at the level of %q", at.name)
	}
	return length(x1 - x0), nil
}
