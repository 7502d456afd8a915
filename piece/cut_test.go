package piece_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"clothwright/curve"
	"clothwright/piece"
)

type (
	pt   = curve.Point
	edge = piece.Edge
)

// ring makes a piece of straight edges through the points, named a, b, c...; edit changes them before Finish.
func ring(pts []pt, allow []float64, edit func(map[string]*edge)) *piece.Piece {
	p := &piece.Piece{Name: "test", Material: piece.Shell, Count: 1}
	for i := range pts {
		p.Edges = append(p.Edges, edge{
			Name:      string(rune('a' + i)),
			Path:      curve.Path{curve.Line(pts[i], pts[(i+1)%len(pts)])},
			Allowance: allow[i%len(allow)],
		})
	}
	if edit != nil {
		by := map[string]*edge{}
		for i := range p.Edges {
			by[p.Edges[i].Name] = &p.Edges[i]
		}
		edit(by)
	}
	return p
}

// sameRing fails unless got is want, from whichever point it starts.
func sameRing(t *testing.T, got, want []pt) {
	t.Helper()
	if len(got) == len(want) {
		for off := range got {
			ok := true
			for i := range want {
				ok = ok && got[(i+off)%len(got)].Dist(want[i]) < 1e-6
			}
			if ok {
				return
			}
		}
	}
	t.Errorf("cut line\n got %v\nwant %v", got, want)
}

var (
	// A top edge a, then b leaving it by a 3-4-5 slope outward (the side widens) or inward (it narrows), a bottom, a left side.
	widening  = []pt{{X: 0, Y: 0}, {X: 100, Y: 0}, {X: 160, Y: 80}, {X: 0, Y: 80}}
	narrowing = []pt{{X: 0, Y: 0}, {X: 200, Y: 0}, {X: 140, Y: 80}, {X: 0, Y: 80}}
	block     = []pt{{X: 0, Y: 0}, {X: 200, Y: 0}, {X: 200, Y: 100}, {X: 80, Y: 100}, {X: 80, Y: 160}, {X: 0, Y: 160}}
)

// Corners computed by hand from the rules that Finish states; the slopes are 3-4-5 (and 7-24-25), so that the figures are exact.
var corners = []struct {
	name  string
	pts   []pt
	allow []float64
	edit  func(map[string]*edge)
	want  []pt
}{
	{"one allowance", []pt{{}, {X: 100}, {X: 100, Y: 100}, {Y: 100}}, []float64{10}, nil,
		[]pt{{X: -10, Y: -10}, {X: 110, Y: -10}, {X: 110, Y: 110}, {X: -10, Y: 110}}},
	{"no allowance", block, []float64{0}, nil, block},
	{"an allowance a side", []pt{{}, {X: 100}, {X: 100, Y: 100}, {Y: 100}}, []float64{10, 20, 30, 5}, nil,
		[]pt{{X: -5, Y: -10}, {X: 120, Y: -10}, {X: 120, Y: 130}, {X: -5, Y: 130}}},
	{"the wide allowance is kept to the end of its edge", widening, []float64{20, 8, 10, 10}, nil,
		[]pt{{X: -10, Y: -20}, {X: 100, Y: -20}, {X: 100, Y: -40. / 3}, {X: 177.5, Y: 90}, {X: -10, Y: 90}}},
	{"square, widening", widening, []float64{20, 8, 10, 10}, func(e map[string]*edge) { e["a"].Corner = piece.Square },
		[]pt{{X: -10, Y: -20}, {X: 110, Y: -20}, {X: 110, Y: 0}, {X: 177.5, Y: 90}, {X: -10, Y: 90}}},
	{"square, narrowing", narrowing, []float64{20, 8, 10, 10}, func(e map[string]*edge) { e["a"].Corner = piece.Square },
		[]pt{{X: -10, Y: -20}, {X: 210, Y: -20}, {X: 210, Y: 0}, {X: 142.5, Y: 90}, {X: -10, Y: 90}}},
	{"mirror, widening", widening, []float64{20, 8, 10, 10}, func(e map[string]*edge) { e["a"].Corner = piece.Mirror },
		[]pt{{X: -10, Y: -20}, {X: 125, Y: -20}, {X: 110, Y: 0}, {X: 177.5, Y: 90}, {X: -10, Y: 90}}},
	{"mirror, narrowing", narrowing, []float64{20, 8, 10, 10}, func(e map[string]*edge) { e["a"].Corner = piece.Mirror },
		[]pt{{X: -10, Y: -20}, {X: 195, Y: -20}, {X: 210, Y: 0}, {X: 142.5, Y: 90}, {X: -10, Y: 90}}},
	{"edges that run on smoothly with different allowances", []pt{{}, {X: 60}, {X: 100}, {X: 100, Y: 100}, {Y: 100}}, []float64{10, 25, 10, 10, 10}, nil,
		[]pt{{X: -10, Y: -10}, {X: 60, Y: -10}, {X: 60, Y: -25}, {X: 110, Y: -25}, {X: 110, Y: 110}, {X: -10, Y: 110}}},
	{"the inner corner of a block is trimmed", block, []float64{10, 10, 12, 6, 10, 10}, nil,
		[]pt{{X: -10, Y: -10}, {X: 210, Y: -10}, {X: 210, Y: 112}, {X: 86, Y: 112}, {X: 86, Y: 170}, {X: -10, Y: 170}}},
	{"a sharp corner is cut off at three allowances", []pt{{X: -96, Y: -28}, {}, {X: -96, Y: 28}}, []float64{10, 10, 10}, nil,
		[]pt{{X: -106, Y: -28 - 10/.96 - 10*.28/.96}, {X: 30, Y: -5. / 3}, {X: 30, Y: 5. / 3}, {X: -106, Y: 28 + 10/.96 + 10*.28/.96}}},
	{"a fold that the neckline meets from above", []pt{{}, {X: 80, Y: -60}, {X: 80, Y: 80}, {Y: 80}}, []float64{10, 10, 10, 0}, foldD,
		[]pt{{Y: -12.5}, {X: 90, Y: -80}, {X: 90, Y: 90}, {Y: 90}}},
	{"a fold that the neckline meets from below", []pt{{}, {X: 80, Y: 60}, {X: 80, Y: 180}, {Y: 180}}, []float64{10, 10, 10, 0}, foldD,
		[]pt{{Y: -12.5}, {X: 90, Y: 55}, {X: 90, Y: 190}, {Y: 190}}},
	{"a slit narrower than the allowances closes", []pt{{}, {X: 200}, {X: 200, Y: 100}, {X: 104, Y: 100}, {X: 104, Y: 60}, {X: 96, Y: 60}, {X: 96, Y: 100}, {Y: 100}}, []float64{10}, nil,
		[]pt{{X: -10, Y: -10}, {X: 210, Y: -10}, {X: 210, Y: 110}, {X: -10, Y: 110}}},
	{"a short edge in a hollow is swallowed", []pt{{}, {X: 200}, {X: 200, Y: 100}, {X: 92, Y: 100}, {X: 88, Y: 104}, {X: 88, Y: 160}, {Y: 160}}, []float64{10}, nil,
		[]pt{{X: -10, Y: -10}, {X: 210, Y: -10}, {X: 210, Y: 110}, {X: 98, Y: 110}, {X: 98, Y: 170}, {X: -10, Y: 170}}},
}

func foldD(e map[string]*edge) { e["d"].Finish = piece.Fold }

func TestCorners(t *testing.T) {
	for _, c := range corners {
		t.Run(c.name, func(t *testing.T) {
			p := ring(c.pts, c.allow, c.edit)
			if err := p.Finish(); err != nil {
				t.Fatal(err)
			}
			_, cut := p.Outline(0.05)
			sameRing(t, inRowOut(cut), c.want)
		})
	}
}

// inRowOut leaves out points on the straight between their neighbours.
func inRowOut(pts []pt) []pt {
	var out []pt
	for i, q := range pts {
		a, b := pts[(i+len(pts)-1)%len(pts)], pts[(i+1)%len(pts)]
		if math.Abs(q.Sub(a).Unit().Cross(b.Sub(q).Unit())) > 1e-7 {
			out = append(out, q)
		}
	}
	return out
}

// The same corners seen in a looking-glass: edges run the other way, so that the rule of an edge's end is that of its start.
func TestCornersMirrored(t *testing.T) {
	for _, c := range corners {
		t.Run(c.name, func(t *testing.T) {
			p := ring(c.pts, c.allow, c.edit)
			m := &piece.Piece{Name: "test"}
			for i := len(p.Edges) - 1; i >= 0; i-- {
				e := p.Edges[i]
				e.Path = e.Path.MirrorX(0).Reverse()
				e.Corner, e.StartCorner = e.StartCorner, e.Corner
				m.Edges = append(m.Edges, e)
			}
			if err := m.Finish(); err != nil {
				t.Fatal(err)
			}
			var want []pt
			for i := len(c.want) - 1; i >= 0; i-- {
				want = append(want, pt{X: -c.want[i].X, Y: c.want[i].Y})
			}
			_, cut := m.Outline(0.05)
			sameRing(t, inRowOut(cut), want)
		})
	}
}

// A turned hem is mirrored at both ends, though only the hem says so.
func TestHemMirroredAtBothEnds(t *testing.T) {
	p := ring([]pt{{X: 0, Y: 0}, {X: 100, Y: 0}, {X: 100, Y: 100}, {X: 70, Y: 140}, {X: 30, Y: 140}, {X: 0, Y: 100}},
		[]float64{10, 10, 8, 20, 8, 10}, func(e map[string]*edge) { e["d"].Corner = piece.Mirror })
	if err := p.Finish(); err != nil {
		t.Fatal(err)
	}
	_, cut := p.Outline(0.05)
	for _, want := range []pt{{X: 80, Y: 140}, {X: 95, Y: 160}, {X: 5, Y: 160}, {X: 20, Y: 140}} { // 8/0.8 out, then 20*3/4 out over 20 down
		found := false
		for _, q := range cut {
			found = found || q.Dist(want) < 1e-6
		}
		if !found {
			t.Errorf("no corner at %v in %v", want, cut)
		}
	}
}

func TestFaults(t *testing.T) {
	box := []pt{{}, {X: 100}, {X: 100, Y: 100}, {Y: 100}}
	for _, c := range []struct {
		name, code, says string
		p                *piece.Piece
	}{
		{"no edges", "open", "test: it has no edges", &piece.Piece{Name: "test"}},
		{"gap", "open", "test.a: it ends at (100, 0), 3 mm from the start of b at (103, 0)", ring(box, []float64{10}, func(e map[string]*edge) {
			e["b"].Path = curve.Path{curve.Line(pt{X: 103}, pt{X: 100, Y: 100})}
		})},
		{"crossed", "crossing", "crosses or touches", ring([]pt{{}, {X: 100, Y: 100}, {X: 100}, {Y: 110}}, []float64{10}, nil)},
		{"anticlockwise", "turn", "draw them clockwise", ring([]pt{{}, {Y: 100}, {X: 100, Y: 100}, {X: 100}}, []float64{10}, nil)},
		{"negative", "allowance", "test.c: its allowance is -5 mm", ring(box, []float64{10, 10, -5, 10}, nil)},
		{"not a number", "open", "not a number", ring([]pt{{}, {X: 100}, {X: math.NaN(), Y: 100}, {Y: 100}}, []float64{10}, nil)},
		{"allowance on the fold", "allowance", "beyond a fold", ring(box, []float64{10}, foldD)},
		{"bowed fold", "fold", "must be straight", ring(box, []float64{10, 10, 10, 0}, func(e map[string]*edge) {
			e["d"].Finish = piece.Fold
			e["d"].Path = curve.Path{curve.Cubic(pt{Y: 100}, pt{X: 2, Y: 66}, pt{X: 2, Y: 33}, pt{})}
		})},
		{"across the fold", "fold", "beyond the line of the fold", ring([]pt{{}, {X: 100}, {X: 100, Y: 150}, {X: -20, Y: 150}, {X: -20, Y: 100}, {Y: 100}}, []float64{10, 10, 10, 10, 10, 0},
			func(e map[string]*edge) { e["f"].Finish = piece.Fold })},
	} {
		t.Run(c.name, func(t *testing.T) {
			err := c.p.Finish()
			f, ok := err.(*piece.Fault)
			if !ok || f.Code != c.code || !strings.Contains(f.Error(), c.says) {
				t.Errorf("got %v, want code %q saying %q", err, c.code, c.says)
			}
		})
	}
}

// jacketFront is a piece like the front of a jacket: neck, shoulder, armhole, side, hem, block and front edge.
func jacketFront() *piece.Piece {
	down, across := pt{Y: 1}, pt{X: 1}
	arm := curve.Smooth([]pt{{X: 230, Y: 25}, {X: 215, Y: 130}, {X: 292, Y: 210}}, &down, &across)
	neck := curve.Path{curve.Quarter(pt{Y: 76}, pt{X: 76, Y: 76}, pt{X: 76})}
	line := func(a, b pt) curve.Path { return curve.Path{curve.Line(a, b)} }
	return &piece.Piece{Name: "front", Material: piece.Shell, Count: 2, Pair: true, Edges: []edge{
		{Name: "neck", Path: neck, Allowance: 6},
		{Name: "shoulder", Path: line(pt{X: 76}, pt{X: 230, Y: 25}), Allowance: 12},
		{Name: "armhole", Path: arm, Allowance: 10},
		{Name: "side", Path: line(pt{X: 292, Y: 210}, pt{X: 292, Y: 560}), Allowance: 12},
		{Name: "hem", Path: line(pt{X: 292, Y: 560}, pt{X: 76, Y: 560}), Allowance: 10},
		{Name: "block_side", Path: line(pt{X: 76, Y: 560}, pt{X: 76, Y: 620}), Allowance: 10},
		{Name: "block_foot", Path: line(pt{X: 76, Y: 620}, pt{Y: 620}), Allowance: 25, Corner: piece.Mirror},
		{Name: "front", Path: line(pt{Y: 620}, pt{Y: 76}), Allowance: 12.7},
	}}
}

func TestJacketFront(t *testing.T) {
	p := jacketFront()
	if err := p.Finish(); err != nil {
		t.Fatal(err)
	}
	if !p.CutLine().Closed() || p.CutArea() <= p.Area() {
		t.Errorf("cut line closed %v, area %.0f, seam area %.0f", p.CutLine().Closed(), p.CutArea(), p.Area())
	}
	// The true parallel: every point of the cut line opposite the middle of the armhole is 10 mm from it.
	e := p.Edge("armhole")
	for _, f := range []float64{0.1, 0.3, 0.5, 0.7, 0.9} {
		at := f * e.Length()
		q := e.Path.PointAt(at).Add(e.Path.TangentAt(at).Left().Mul(10))
		if _, d := p.CutLine().Nearest(q); d > piece.Fit {
			t.Errorf("the cut line is %.4f mm off the true parallel at %.0f %% of the armhole", d, 100*f)
		}
	}
}

func BenchmarkFinish(b *testing.B) {
	p := jacketFront()
	b.ReportAllocs()
	for b.Loop() {
		if err := p.Finish(); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFinishStraight(b *testing.B) {
	p := ring(block, []float64{10, 10, 12, 6, 10, 10}, nil)
	b.ReportAllocs()
	for b.Loop() {
		if err := p.Finish(); err != nil {
			b.Fatal(err)
		}
	}
}

func ExamplePiece_Finish() {
	p := ring([]pt{{}, {X: 100}, {X: 100, Y: 50}, {Y: 50}}, []float64{10, 10, 20, 0}, foldD)
	if err := p.Finish(); err != nil {
		fmt.Println(err)
	}
	fmt.Println(p.CutLine().Bounds().Min, p.CutLine().Bounds().Max)
	// Output: (0, -10) (110, 70)
}
