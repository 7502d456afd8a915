package draft

import (
	"math"

	"go.starlark.net/starlark"

	"clothwright/curve"
)

func runInch(c *call) (starlark.Value, error) {
	var v starlark.Value
	if err := c.take("n", &v); err != nil {
		return nil, err
	}
	n, ok := starlark.AsFloat(v)
	if !ok {
		return nil, c.fail("inch takes a number, not a %s", v.Type())
	}
	return finite(n * 25.4)
}

func (c *call) tapeWord(round func(float64) float64) (starlark.Value, error) {
	var d length
	if err := c.take("d", &d); err != nil {
		return nil, err
	}
	return length(round(float64(d))), nil
}

func runTapeStep(c *call) (starlark.Value, error) {
	if err := c.take(); err != nil {
		return nil, err
	}
	return length(c.host.house.Tape.Step), nil
}

func runHypot(c *call) (starlark.Value, error) {
	var a, b length
	if err := c.take("a", &a, "b", &b); err != nil {
		return nil, err
	}
	return length(curve.Point{X: float64(a), Y: float64(b)}.Norm()), nil
}

func runFall(c *call) (starlark.Value, error) {
	var run length
	var degrees number
	if err := c.take("run", &run, "degrees", &degrees); err != nil {
		return nil, err
	}
	deg := float64(degrees)
	if !(deg >= 0 && deg <= 60) {
		return nil, c.fail("the angle is %g degrees; 0 to 60 is allowed", deg)
	}
	return finite(float64(run) * math.Tan(deg*math.Pi/180))
}
