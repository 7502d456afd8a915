package draft

import (
	"math"

	"go.starlark.net/starlark"

	"clothwright/phrase"
	"clothwright/piece"
)

func runJoin(c *call) (starlark.Value, error) {
	s := piece.Seam{Kind: piece.Plain, Layer: "shell"}
	var a, b, ease, ratio, most starlark.Value
	var smooth starlark.Value
	if err := c.take("name", &s.Name, "a", &a, "b", &b, "ease?", &ease, "ratio?", &ratio, "most?", &most, "layer?", &s.Layer, "smooth?", &smooth); err != nil {
		return nil, err
	}
	var err error
	if s.A, err = refs(a); err != nil {
		return nil, c.fail("seam %q: %v", s.Name, err)
	}
	if s.B, err = refs(b); err != nil {
		return nil, c.fail("seam %q: %v", s.Name, err)
	}
	if s.Smooth, err = refs(smooth); err != nil {
		return nil, c.fail("seam %q: %v", s.Name, err)
	}
	if ease != nil && ease != starlark.None {
		var l length
		if err := l.Unpack(ease); err != nil {
			return nil, c.fail("seam %q: ease: %v", s.Name, err)
		}
		s.Kind, s.Intended = piece.Eased, float64(l)
	}
	if ratio != nil && ratio != starlark.None {
		r, ok := starlark.AsFloat(ratio)
		if !ok || !(r > 0.2 && r <= 1.2) {
			return nil, c.fail("seam %q: a ratio of %s; 0.2 to 1.2 is allowed", s.Name, ratio.String())
		}
		s.Kind, s.Intended = piece.Ribbed, r
	}
	if most != nil && most != starlark.None {
		var l length
		if err := l.Unpack(most); err != nil {
			return nil, c.fail("seam %q: most: %v", s.Name, err)
		}
		s.Most = float64(l)
	}
	c.host.out.Seams = append(c.host.out.Seams, s)
	return starlark.None, nil
}

func runWear(c *call) (starlark.Value, error) {
	w := piece.Worn{}
	var measure string
	var garment, least length
	var most, pieces, bodyIs starlark.Value
	w.Stop = true
	if err := c.take("at", &w.At, "measure", &measure, "garment", &garment, "least?", &least, "most?", &most, "pieces?", &pieces, "stop?", &w.Stop, "body?", &bodyIs, "why?", (*told)(&w.Why)); err != nil {
		return nil, err
	}
	v, err := c.host.measures.Attr(measure)
	if err != nil || v == nil {
		return nil, c.fail("worn at %q: the card has no %q", w.At, measure)
	}
	if l, ok := v.(length); ok {
		w.Body = float64(l)
	}
	w.BodyFrom = c.host.measures.origin(measure)
	if bodyIs != nil && bodyIs != starlark.None {
		var l length
		if err := l.Unpack(bodyIs); err != nil {
			return nil, c.fail("worn at %q: body: %v", w.At, err)
		}
		w.Body = float64(l)
	}
	if most != nil && most != starlark.None {
		var l length
		if err := l.Unpack(most); err != nil {
			return nil, c.fail("worn at %q: most: %v", w.At, err)
		}
		w.Most = float64(l)
	}
	if w.Pieces, err = texts(pieces); err != nil {
		return nil, err
	}
	w.Garment, w.Least = float64(garment), float64(least)
	c.host.out.Worn = append(c.host.out.Worn, w)
	return starlark.None, nil
}

func runAdjusted(c *call) (starlark.Value, error) {
	a := piece.Adjustment{}
	var rule, now length
	var pieces starlark.Value
	if err := c.take("what", &a.What, "rule", &rule, "now", &now, "why", (*told)(&a.Why), "pieces?", &pieces); err != nil {
		return nil, err
	}
	var err error
	if a.Pieces, err = texts(pieces); err != nil {
		return nil, err
	}
	a.Rule, a.Now, a.By = float64(rule), float64(now), math.Abs(float64(now-rule))
	c.host.out.Adjusted = append(c.host.out.Adjusted, a)
	return starlark.None, nil
}

func runNotion(c *call) (starlark.Value, error) {
	n := piece.Notion{Count: 1}
	var l, e length
	var rs starlark.Value
	if err := c.take("kind", &n.Kind, "name", &n.Name, "length", &l, "edge", &e, "refs?", &rs, "count?", &n.Count, "note?", (*told)(&n.Note)); err != nil {
		return nil, err
	}
	var err error
	if n.Refs, err = refs(rs); err != nil {
		return nil, err
	}
	n.Length, n.Edge = float64(l), float64(e)
	c.host.out.Notions = append(c.host.out.Notions, n)
	return starlark.None, nil
}

func runOperation(c *call) (starlark.Value, error) {
	var o piece.Operation
	if err := c.take("do", &o.Do, "stitch?", &o.Stitch, "care?", &o.Care); err != nil {
		return nil, err
	}
	c.host.out.Order = append(c.host.out.Order, o)
	return starlark.None, nil
}

func runSay(c *call) (starlark.Value, error) {
	var level, code string
	var said phrase.Said
	var pieces starlark.Value
	if err := c.take("level", &level, "code", &code, "text", (*told)(&said), "pieces?", &pieces); err != nil {
		return nil, err
	}
	f := piece.Found(piece.Level(level), code, said)
	if f.Level.Rank() == 0 {
		return nil, c.fail("say: level %q; note, warn and stop are allowed", level)
	}
	var err error
	if f.Pieces, err = texts(pieces); err != nil {
		return nil, err
	}
	c.host.out.Said = append(c.host.out.Said, f)
	return starlark.None, nil
}

func runShow(c *call) (starlark.Value, error) {
	var d length
	var fine bool
	if err := c.take("d", &d, "fine?", &fine); err != nil {
		return nil, err
	}
	if fine {
		return starlark.String(c.host.house.Tape.Fine(float64(d))), nil
	}
	return starlark.String(c.host.house.Tape.Format(float64(d))), nil
}

// refusal is a script's own word that it will not draft this.
type refusal struct{ said phrase.Said }

func (r *refusal) Error() string { return r.said.String() }
