package piece

import (
	"math"
	"testing"

	"clothwright/curve"
)

// The verification must see what drawing would never do: a cut line moved in by a hair too much, run out in a point, or dented.
func TestVerifyCutSeesWhatIsWrong(t *testing.T) {
	arc := curve.Path{curve.Quarter(curve.Point{Y: 60}, curve.Point{X: 60, Y: 60}, curve.Point{X: 60})} // a hollow, as a neckline
	p := &Piece{Name: "test"}
	at := arc.End()
	add := func(name string, to curve.Point) {
		p.Edges = append(p.Edges, Edge{Name: name, Path: curve.Path{curve.Line(at, to)}, Allowance: 10})
		at = to
	}
	p.Edges = append(p.Edges, Edge{Name: "neck", Path: arc, Allowance: 10})
	add("shoulder", curve.Point{X: 200})
	add("side", curve.Point{X: 200, Y: 200})
	add("hem", curve.Point{Y: 200})
	add("front", curve.Point{Y: 60})
	if err := p.Finish(); err != nil {
		t.Fatal(err)
	}
	type outline struct{ cut, probes []curve.Point }
	good := outline{loop(p.cut, cutFine), probes(p.cut)}
	change := func(f func(q curve.Point) curve.Point) (out outline) {
		for _, q := range good.cut {
			out.cut = append(out.cut, f(q))
		}
		for _, q := range good.probes {
			out.probes = append(out.probes, f(q))
		}
		return out
	}
	in := func(by float64) func(curve.Point) curve.Point { // the hem moved up
		return func(q curve.Point) curve.Point {
			if q.Y > 205 {
				q.Y -= by
			}
			return q
		}
	}
	neck := func(by float64) func(curve.Point) curve.Point { // the neck moved toward its seam line
		return func(q curve.Point) curve.Point {
			if s, d := arc.Nearest(q); d < 10.5 && s > 1 && s < arc.Length()-1 {
				return q.Sub(arc.TangentAt(s).Left().Mul(by))
			}
			return q
		}
	}
	for _, c := range []struct {
		name string
		cut  outline
		edge string // of the fault; empty for none
	}{
		{"as drawn", good, ""},
		{"hem short by 0.01 mm", change(in(0.01)), ""},
		{"hem short by 0.03 mm", change(in(0.03)), "hem"},
		{"neck short by 0.005 mm", change(neck(0.005)), ""},
		{"neck short by 0.05 mm", change(neck(0.05)), "neck"},
		{"a corner run out", change(func(q curve.Point) curve.Point {
			if q.X > 205 && q.Y > 205 {
				return curve.Point{X: q.X + 30, Y: q.Y + 30}
			}
			return q
		}), "side"},
		{"inside the seam line", change(func(q curve.Point) curve.Point {
			return curve.Point{X: 100 + 0.8*(q.X-100), Y: 100 + 0.8*(q.Y-100)}
		}), "neck"},
	} {
		err := p.verifyCut(c.cut.cut, c.cut.probes)
		f, _ := err.(*Fault)
		if (err == nil) != (c.edge == "") || f != nil && (f.Code != "cut" || f.Edge != c.edge) {
			t.Errorf("%s: got %v, want a fault of %q", c.name, err, c.edge)
		}
	}
}

// A bend tighter than the allowance is swallowed. Common practice, no source: a slot with a round end of radius 5 and an allowance of 10
// closes, so that the cut line runs straight across it.
func TestTightBendIsSwallowed(t *testing.T) {
	p := &Piece{Name: "test"}
	at := curve.Point{}
	line := func(name string, to curve.Point) {
		p.Edges = append(p.Edges, Edge{Name: name, Path: curve.Path{curve.Line(at, to)}, Allowance: 10})
		at = to
	}
	line("top", curve.Point{X: 200})
	line("right", curve.Point{X: 200, Y: 100})
	line("hem", curve.Point{X: 105, Y: 100})
	line("up", curve.Point{X: 105, Y: 60})
	end := curve.Path{
		curve.Quarter(curve.Point{X: 105, Y: 60}, curve.Point{X: 105, Y: 55}, curve.Point{X: 100, Y: 55}),
		curve.Quarter(curve.Point{X: 100, Y: 55}, curve.Point{X: 95, Y: 55}, curve.Point{X: 95, Y: 60}),
	}
	p.Edges = append(p.Edges, Edge{Name: "round", Path: end, Allowance: 10})
	at = end.End()
	line("down", curve.Point{X: 95, Y: 100})
	line("hem_left", curve.Point{Y: 100})
	line("left", curve.Point{})
	if err := p.Finish(); err != nil {
		t.Fatal(err)
	}
	if got, want := p.CutArea(), 220.0*120; math.Abs(got-want) > 0.1 {
		t.Errorf("the cut line encloses %.2f mm², want %.0f", got, want)
	}
}
