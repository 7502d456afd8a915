package curve

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// The three signs of the package, seen on a page with y down: clockwise is positive, left of going right is up.
func TestSigns(t *testing.T) {
	right, down, up := Point{1, 0}, Point{0, 1}, Point{0, -1}
	if right.Left() != up || right.Right() != down {
		t.Errorf("left of right is %v and right of it %v", right.Left(), right.Right())
	}
	nearPoint(t, "quarter turn", right.Rotate(math.Pi/2), down, 1e-15)
	if right.Cross(down) != 1 || Orient(Point{}, right, Point{1, 1}) != 1 {
		t.Error("a clockwise turn must be positive")
	}
	if a := Area(path(t, "M0 0L10 0L10 10L0 10Z")); a != 100 {
		t.Errorf("area of a clockwise square is %g", a)
	}
	near1(t, "angle of down", down.Angle(), math.Pi/2, 0)
}

func TestPoint(t *testing.T) {
	p := Point{3, -4}
	if p.Norm() != 5 || p.Norm2() != 25 || p.Unit() != (Point{0.6, -0.8}) || (Point{}).Unit() != (Point{}) {
		t.Errorf("norm %g, unit %v", p.Norm(), p.Unit())
	}
	if s := (Point{-0.00001, 12.34567}).String(); s != "(0, 12.346)" {
		t.Errorf("String gave %s", s)
	}
	if p.Lerp(Point{9, 9}, 1) != (Point{9, 9}) || p.Lerp(Point{9, 9}, 0) != p {
		t.Error("Lerp must be exact at its ends")
	}
}

func TestRect(t *testing.T) {
	r := Bounds(Point{3, 4}, Point{-1, 9})
	if r != (Rect{Point{-1, 4}, Point{3, 9}}) || r.W() != 4 || r.H() != 5 {
		t.Errorf("bounds %v", r)
	}
	if e := EmptyRect(); !e.Empty() || e.Union(r) != r || r.Union(e) != r || e.W() != 0 || !e.Pad(3).Empty() {
		t.Error("the empty box must take no part in a union")
	}
	if !r.Contains(Point{3, 9}) || r.Contains(Point{3.1, 9}) || r.Pad(0.2).W() != 4.4 {
		t.Error("edges count as inside")
	}
	if d := r.Distance(Point{6, 13}); d != 5 {
		t.Errorf("distance %g", d)
	}
}

func TestAffine(t *testing.T) {
	for _, r := range []struct {
		name     string
		m        Affine
		in, want Point
	}{
		{"quarter turn is exact", Rotate(math.Pi / 2), Point{2, 1}, Point{-1, 2}},
		{"half turn is exact", Rotate(math.Pi), Point{2, 1}, Point{-2, -1}},
		{"first scale, then move", Scale(2, 3).Then(Translate(Point{1, 1})), Point{1, 1}, Point{3, 4}},
		{"mirror at x = 10", MirrorX(10), Point{3, 7}, Point{17, 7}},
		{"mirror in the diagonal", MirrorLine(Point{1, 1}, Point{5, 5}), Point{3, 0}, Point{0, 3}},
	} {
		nearPoint(t, r.name, r.m.Apply(r.in), r.want, 1e-12)
	}
	rapid.Check(t, func(t *rapid.T) {
		a, d, q := drawPoint(t, "a"), drawPoint(t, "d"), drawPoint(t, "q")
		if d.Norm() < 1 {
			return
		}
		m := MirrorLine(a, d)
		nearPoint(t, "mirrored twice", m.Apply(m.Apply(q)), q, 1e-9)
		if got := m.Det(); math.Abs(got+1) > 1e-9 {
			t.Fatalf("determinant of a mirror is %g", got)
		}
	})
}

func drawPoint(t *rapid.T, name string) Point {
	f := rapid.Float64Range(-1000, 1000)
	return Point{f.Draw(t, name+".x"), f.Draw(t, name+".y")}
}

func drawCubic(t *rapid.T) Seg {
	return Cubic(drawPoint(t, "a"), drawPoint(t, "b"), drawPoint(t, "c"), drawPoint(t, "d"))
}

// drawPath is a run of lines and cubics, some of them with a handle of no length.
func drawPath(t *rapid.T) Path {
	at := drawPoint(t, "start")
	var p Path
	for range rapid.IntRange(1, 5).Draw(t, "segments") {
		to := drawPoint(t, "to")
		b, c := drawPoint(t, "b"), drawPoint(t, "c")
		switch rapid.IntRange(0, 3).Draw(t, "kind") {
		case 0:
			p = append(p, Line(at, to))
		case 1:
			p = append(p, Cubic(at, at, c, to))
		default:
			p = append(p, Cubic(at, b, c, to))
		}
		at = to
	}
	return p
}
