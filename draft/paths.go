package draft

import (
	"math"

	"go.starlark.net/starlark"

	"clothwright/curve"
	"clothwright/curve/root"
	"clothwright/phrase"
)

// end is the name of the path's first or last mark.
func (p *pathValue) end(last bool) string {
	switch {
	case len(p.through) == 0:
		return ""
	case last:
		return p.through[len(p.through)-1]
	}
	return p.through[0]
}

func runLine(c *call) (starlark.Value, error) {
	name, why, err := c.nameAndWhy()
	if err != nil {
		return nil, err
	}
	ms, err := marksOf(c.args)
	if err != nil {
		return nil, c.fail("line: %v", err)
	}
	if len(ms) < 2 {
		return nil, c.fail("a line takes two marks or more")
	}
	var path curve.Path
	for i := 1; i < len(ms); i++ {
		if ms[i].at.Dist(ms[i-1].at) < 1e-9 {
			return nil, c.fail("a line from %q to %q, which lie on each other", ms[i-1].name, ms[i].name)
		}
		path = append(path, curve.Line(ms[i-1].at, ms[i].at))
	}
	return &pathValue{path: path, through: names(ms), name: name, why: why}, nil
}

func (c *call) nameAndWhy() (name string, why phrase.Said, err error) {
	for _, kv := range c.kw {
		key, _ := starlark.AsString(kv[0])
		switch key {
		case "name":
			if name, err = text(kv[1]); err != nil {
				return "", why, err
			}
		case "why":
			if err := (*told)(&why).Unpack(kv[1]); err != nil {
				return "", why, err
			}
		default:
			return "", why, c.fail("%s takes no %q; name and why are allowed", c.name, key)
		}
	}
	return name, why, nil
}

func runCurve(c *call) (starlark.Value, error) {
	var list starlark.Iterable
	var leave, arrive starlark.Value
	v := &pathValue{}
	if err := c.take("marks", &list, "leave?", &leave, "arrive?", &arrive, "name?", &v.name, "why?", (*told)(&v.why)); err != nil {
		return nil, err
	}
	ms, err := marksOf(list)
	if err != nil {
		return nil, c.fail("curve: %v", err)
	}
	if len(ms) < 2 {
		return nil, c.fail("a curve takes two marks or more")
	}
	pts := make([]curve.Point, len(ms))
	for i, m := range ms {
		pts[i] = m.at
		if i > 0 && pts[i].Dist(pts[i-1]) < 1e-6 {
			return nil, c.fail("a curve from %q to %q, which lie on each other", ms[i-1].name, m.name)
		}
	}
	var ends [2]*curve.Point
	for i, d := range []starlark.Value{leave, arrive} {
		if d == nil || d == starlark.None {
			continue
		}
		var dir direction
		if err := dir.Unpack(d); err != nil {
			return nil, c.fail("curve: %v", err)
		}
		p := curve.Point(dir)
		ends[i] = &p
	}
	v.path, v.through = curve.Smooth(pts, ends[0], ends[1]), names(ms)
	return v, nil
}

func runQuarter(c *call) (starlark.Value, error) {
	var a, b *mark
	var leave, arrive direction
	v := &pathValue{}
	if err := c.take("a", &a, "b", &b, "leave", &leave, "arrive", &arrive, "name?", &v.name, "why?", (*told)(&v.why)); err != nil {
		return nil, err
	}
	u, w := curve.Point(leave), curve.Point(arrive)
	span := b.at.Sub(a.at)
	det := u.Cross(w)
	if math.Abs(det) < 1e-6 {
		return nil, c.fail("a quarter from %q to %q leaves and arrives the same way, which makes no corner", a.name, b.name)
	}
	s, t := span.Cross(w)/det, u.Cross(span)/det
	if s <= 0 || t <= 0 {
		return nil, c.fail("a quarter from %q to %q: the two directions do not meet in a corner between them", a.name, b.name)
	}
	v.path = curve.Path{curve.Quarter(a.at, a.at.Add(u.Mul(s)), b.at)}
	v.through = []string{a.name, b.name}
	return v, nil
}

func runSweep(c *call) (starlark.Value, error) {
	var a, b *mark
	var leave, arrive direction
	var fullness number
	var fullEnd starlark.Value
	v := &pathValue{}
	if err := c.take("a", &a, "b", &b, "leave", &leave, "arrive", &arrive, "full", &fullness, "full_end?", &fullEnd, "name?", &v.name, "why?", (*told)(&v.why)); err != nil {
		return nil, err
	}
	full := float64(fullness)
	end := full
	if fullEnd != nil && fullEnd != starlark.None {
		var ok bool
		if end, ok = starlark.AsFloat(fullEnd); !ok {
			return nil, c.fail("sweep: full_end is a number")
		}
	}
	for _, f := range []float64{full, end} {
		if !(f >= 0.05 && f <= 1.2) {
			return nil, c.fail("a sweep from %q to %q with fullness %g; 0.05 to 1.2 is allowed", a.name, b.name, f)
		}
	}
	far := a.at.Dist(b.at)
	if far < 1e-6 {
		return nil, c.fail("a sweep from %q to %q, which lie on each other", a.name, b.name)
	}
	v.path = curve.Path{curve.Cubic(a.at, a.at.Add(curve.Point(leave).Mul(full*far)), b.at.Sub(curve.Point(arrive).Mul(end*far)), b.at)}
	v.through = []string{a.name, b.name}
	return v, nil
}

func runPart(c *call) (starlark.Value, error) {
	var on *pathValue
	var from, to length
	var name string
	if err := c.take("path", &on, "start", &from, "end", &to, "name?", &name); err != nil {
		return nil, err
	}
	whole := on.path.Length()
	if from < 0 || to <= from || float64(to) > whole+1e-6 {
		return nil, c.fail("a part from %.1f to %.1f mm of a path %.1f mm long", float64(from), float64(to), whole)
	}
	return &pathValue{path: on.path.Sub(float64(from), min(float64(to), whole)), through: on.through, name: name, why: on.why, of: on}, nil
}

func runMirrored(c *call) (starlark.Value, error) {
	var on *pathValue
	var name string
	if err := c.take("path", &on, "name?", &name); err != nil {
		return nil, err
	}
	return &pathValue{path: on.path.MirrorX(0), through: on.through, name: name, why: on.why}, nil
}

func runSolve(c *call) (starlark.Value, error) {
	var f starlark.Callable
	var low, high starlark.Value
	if err := c.take("f", &f, "low", &low, "high", &high); err != nil {
		return nil, err
	}
	value := func(v starlark.Value) (float64, bool, error) {
		if l, ok := v.(length); ok {
			return float64(l), true, nil
		}
		x, ok := starlark.AsFloat(v)
		if !ok || math.IsNaN(x) || math.IsInf(x, 0) {
			return 0, false, c.fail("solve: a length or a number is wanted, not %s", v.String())
		}
		return x, false, nil
	}
	lo, isLength, err := value(low)
	if err != nil {
		return nil, err
	}
	hi, alike, err := value(high)
	if err != nil {
		return nil, err
	}
	if isLength != alike {
		return nil, c.fail("solve: low and high are both lengths or both numbers")
	}
	wrap := func(x float64) starlark.Value {
		if isLength {
			return length(x)
		}
		return starlark.Float(x)
	}
	var failed error
	arg := make(starlark.Tuple, 1)
	g := func(x float64) float64 {
		if failed != nil {
			return 0
		}
		arg[0] = wrap(x)
		v, err := starlark.Call(c.host.thread, f, arg, nil)
		if err == nil {
			var y float64
			if y, _, err = value(v); err == nil {
				return y
			}
		}
		failed = err
		return 0
	}
	x, ok := root.Brent(g, lo, hi, 1e-7)
	if failed != nil {
		return nil, failed
	}
	if !ok {
		return starlark.None, nil
	}
	return wrap(x), nil
}

func pathsOf(v starlark.Value) ([]*pathValue, error) {
	if p, ok := v.(*pathValue); ok {
		return []*pathValue{p}, nil
	}
	it, ok := v.(starlark.Iterable)
	if !ok {
		return nil, (&call{}).fail("a path or a list of paths is wanted, not a %s", v.Type())
	}
	var out []*pathValue
	i := it.Iterate()
	defer i.Done()
	var x starlark.Value
	for i.Next(&x) {
		p, ok := x.(*pathValue)
		if !ok {
			return nil, (&call{}).fail("a path is wanted, not a %s", x.Type())
		}
		out = append(out, p)
	}
	if len(out) == 0 {
		return nil, (&call{}).fail("there is no path in the list")
	}
	return out, nil
}
