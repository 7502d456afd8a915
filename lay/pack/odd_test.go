package pack

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// wavy is a smooth outline of n corners with hollows, the same for a seed.
func wavy(n int, r float64, seed uint64) []Point {
	d := dice{seed}
	var size, phase [5]float64
	for k := range size {
		size[k], phase[k] = 0.12*d.unit(), 360*d.unit()
	}
	out := make([]Point, n)
	for i := range out {
		a := 360 * float64(i) / float64(n)
		s := 1.0
		for k := range size {
			s += float64(size[k] * heading(float64(k+2)*a+phase[k]).Y)
		}
		h := heading(a)
		out[i] = Point{r * s * h.X, 0.7 * r * s * h.Y}
	}
	return out
}

// ragged is an outline of n corners, each a little off a round shape.
func ragged(n int, r float64, seed uint64) []Point {
	d := dice{seed}
	out := make([]Point, n)
	for i := range out {
		h, s := heading(360*float64(i)/float64(n)), r*(0.98+0.04*d.unit())
		out[i] = Point{s * h.X, 0.7 * s * h.Y}
	}
	return out
}

func starred(points int, r, inner float64) []Point {
	out := make([]Point, 2*points)
	for i := range out {
		h, s := heading(180*float64(i)/float64(points)), r
		if i%2 == 1 {
			s *= inner
		}
		out[i] = Point{s * h.X, s * h.Y}
	}
	return out
}

func combed(teeth int, pitch, high float64) []Point {
	long := float64(teeth) * pitch
	out := []Point{{0, 0}, {long, 0}, {long, pitch}}
	for k := teeth - 1; k >= 0; k-- {
		x := float64(k) * pitch
		out = append(out, Point{x + 0.9*pitch, pitch}, Point{x + 0.9*pitch, pitch + high}, Point{x + 0.5*pitch, pitch + high}, Point{x + 0.5*pitch, pitch})
	}
	return append(out, Point{0, pitch})
}

// ringed is a ring with a slit of so many degrees.
func ringed(n int, r, inner, slit float64) []Point {
	var out []Point
	for i := 0; i <= n; i++ {
		h := heading(slit/2 + float64(i)*(360-slit)/float64(n))
		out = append(out, Point{r * h.X, r * h.Y})
	}
	for i := n; i >= 0; i-- {
		h := heading(slit/2 + float64(i)*(360-slit)/float64(n))
		out = append(out, Point{inner * h.X, inner * h.Y})
	}
	return out
}

// many is n pieces by a rule.
func many(n, quantity int, turns []float64, outline func(k int) []Point) []Piece {
	var out []Piece
	for k := range n {
		out = append(out, Piece{ID: fmt.Sprint("p", k), Quantity: quantity, Turns: turns, Outline: outline(k)})
	}
	return out
}

// oddProblems are shapes that other people's files may hold.
func oddProblems() map[string]Problem {
	halves, quarters := []float64{0, 180}, []float64{0, 90, 180, 270}
	untidy := []Point{{0, 0}, {0, 0}, {30, 0}, {60, 0}, {100, 0}, {100, 0}, {100, 50}, {100, 100}, {60, 100}, {60, 100}, {0, 100}, {0, 40}}
	other := slices.Clone(untidy)
	slices.Reverse(other)
	return map[string]Problem{
		"smooth, 500 corners":  {Width: 1000, Pieces: many(5, 2, halves, func(k int) []Point { return wavy(500, float64(80+20*k), uint64(k)) })},
		"smooth, 5000 corners": {Width: 1000, Pieces: many(2, 2, halves, func(k int) []Point { return wavy(5000, float64(80+20*k), uint64(k)) })},
		"ragged, 120 corners":  {Width: 1000, Pieces: many(6, 2, halves, func(k int) []Point { return ragged(120, float64(80+20*k), uint64(k)) })},
		"ragged, 5000 corners": {Width: 1000, Pieces: many(2, 2, halves, func(k int) []Point { return ragged(5000, float64(80+20*k), uint64(k)) })},
		"stars":                {Width: 1000, Pieces: many(6, 3, quarters, func(k int) []Point { return starred(5+k, float64(60+10*k), 0.4) })},
		"stars of 300 corners": {Width: 1000, Pieces: many(3, 2, halves, func(k int) []Point { return starred(150+20*k, float64(90+10*k), 0.6) })},
		"combs":                {Width: 1000, Gap: 1, Pieces: many(3, 2, halves, func(k int) []Point { return combed(8+3*k, 20, 120) })},
		"combs of 120 teeth":   {Width: 1000, Pieces: many(2, 2, halves, func(k int) []Point { return combed(120+20*k, 4, 120) })},
		"rings with slits":     {Width: 1000, Pieces: append(many(4, 2, quarters, func(k int) []Point { return ringed(60, float64(60+30*k), float64(30+20*k), 2) }), Piece{ID: "in", Quantity: 4, Turns: halves, Outline: wavy(30, 20, 9)})},
		"rings of 800 corners": {Width: 1000, Pieces: many(3, 2, halves, func(k int) []Point { return ringed(400, float64(60+30*k), float64(30+20*k), 0.1) })},
		"needles": {Width: 1000, Pieces: many(8, 5, quarters, func(k int) []Point {
			return []Point{{0, 0}, {float64(400 + 30*k), 0.5}, {float64(400 + 30*k), 1}, {0, 1.5}}
		})},
		"hairs":                 {Width: 1000, Pieces: many(8, 3, halves, func(k int) []Point { return []Point{{0, 0}, {float64(400 + 30*k), 0.005}, {float64(400 + 30*k), 0.01}} })},
		"1000 tiny ones":        {Width: 1000, Pieces: many(10, 100, halves, func(k int) []Point { return wavy(12, float64(8+k), uint64(k)) })},
		"150 different ones":    {Width: 1000, Pieces: many(150, 1, halves, func(k int) []Point { return wavy(8, float64(8+k%10), uint64(k)) })},
		"squares":               {Width: 100, Pieces: []Piece{square("q", 10, 400, 0)}},
		"squares of a tenth":    {Width: 1, Pieces: []Piece{square("q", 0.1, 100, 0, 90)}},
		"untidy":                {Width: 300, Pieces: []Piece{{ID: "one", Quantity: 3, Turns: halves, Outline: untidy}, {ID: "other", Quantity: 3, Turns: halves, Outline: other}}},
		"none of it":            {Width: 300, Pieces: []Piece{square("none", 10, 0, 0), square("one", 100, 1, 0)}},
		"as wide as the cloth":  {Width: 1000, Pieces: []Piece{{ID: "w", Quantity: 2, Turns: halves, Outline: []Point{{0, 0}, {300, 0}, {300, 1000}, {0, 1000}}}, {ID: "round", Quantity: 1, Turns: []float64{0}, Outline: starred(100, 500, 0.9999)}, {ID: "s", Quantity: 3, Turns: halves, Outline: wavy(60, 60, 1)}}},
		"dust beside a giant":   {Width: 1000, Pieces: []Piece{{ID: "giant", Quantity: 1, Turns: []float64{0}, Outline: []Point{{0, 0}, {5000, 0}, {5000, 990}, {0, 990}}}, square("dust", 0.5, 50, 0)}},
		"far from its origin":   {Width: 1000, Pieces: []Piece{{ID: "far", Quantity: 3, Turns: halves, Outline: moved(wavy(200, 100, 4), Point{1e6, -3e5})}}},
		"parts of the width":    {Width: 1000, Gap: 2, Pieces: []Piece{{ID: "a", Quantity: 4, Outline: wavy(300, 90, 1), Ways: []Way{{From: 2, To: 300}}}, {ID: "b", Quantity: 5, Outline: ragged(300, 90, 2), Ways: []Way{{From: 310, To: 1000}, {Turn: 180, Flipped: true, From: 2, To: 300}}}}},
		"flaws among the waves": {Width: 500, Gap: 2, Obstacles: [][]Point{ragged(800, 60, 3)}, Pieces: many(5, 2, halves, func(k int) []Point { return wavy(400, float64(60+10*k), uint64(k)) })},
	}
}

// Source: GEOS through shapely judges, as of every lay here, what was found for outlines that nobody would draft; where the best can be
// seen by hand the length is known.
func TestOddOutlines(t *testing.T) {
	if raceDetector {
		t.Skip("one goroutine searches here")
	}
	python := geosPython(t)
	known := map[string]float64{"squares": 400, "squares of a tenth": 1, "none of it": 100, "dust beside a giant": 5000, "untidy": 200}
	for name, p := range oddProblems() {
		t.Run(name, func(t *testing.T) {
			if err := Check(p); err != nil {
				t.Fatal(err)
			}
			l, err := Solve(context.Background(), p, Options{Seed: 3, Steps: 300})
			if err != nil {
				t.Fatal(err)
			}
			if faults := geosFaults(t, python, p, l); faults != "" {
				t.Error(faults)
			}
			if want, ok := known[name]; ok && math.Abs(l.Length-want) > 1e-6*want {
				t.Errorf("length %.9g, by hand %g", l.Length, want)
			}
		})
	}
}

// The first lay, on shelves, is there whatever the outlines are, before any no-fit region is worked out: a search whose time is up at once
// returns it, and GEOS finds nothing wrong with it. It works in little memory.
func TestShelves(t *testing.T) {
	if raceDetector {
		t.Skip("one goroutine searches here")
	}
	python := geosPython(t)
	for name, p := range oddProblems() {
		t.Run(name, func(t *testing.T) {
			tick := time.Unix(0, 0)
			clock := func() time.Time { tick = tick.Add(time.Hour); return tick }
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			l, err := Solve(context.Background(), p, Options{Seed: 3, Time: time.Second, Now: clock})
			runtime.ReadMemStats(&after)
			if err != nil {
				t.Fatal(err)
			}
			if faults := geosFaults(t, python, p, l); faults != "" {
				t.Error(faults)
			}
			if mb := (after.TotalAlloc - before.TotalAlloc) >> 20; mb > 200 {
				t.Errorf("%d MB were asked for", mb)
			}
		})
	}
}

// Two ways to find the same pairs of edges: sweeping, and trying each with each.
func TestNearEdges(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := ragged(rapid.IntRange(40, 120).Draw(t, "n"), 50, rapid.Uint64().Draw(t, "a"))
		b := moved(combed(rapid.IntRange(12, 30).Draw(t, "teeth"), 3, 40), Point{rapid.Float64Range(-60, 60).Draw(t, "x"), rapid.Float64Range(-60, 60).Draw(t, "y")})
		by := rapid.SampledFrom([]float64{0, 0.5, 20, math.Inf(1)}).Draw(t, "by")
		edge := func(pts []Point, i int) box { return boxOf2(pts[i], pts[(i+1)%len(pts)]) }
		got, want := map[[2]int]int{}, map[[2]int]int{}
		nearEdges(a, b, by, func(i, j int) bool { got[[2]int{i, j}]++; return true })
		for i := range a {
			for j := range b {
				if edge(a, i).grown(by).meets(edge(b, j)) {
					want[[2]int{i, j}]++
				}
			}
		}
		if len(got) != len(want) {
			t.Fatalf("%d pairs, by trying each %d", len(got), len(want))
		}
		for k, n := range got {
			if n != 1 || want[k] != 1 {
				t.Fatalf("pair %v is visited %d times, by trying each %d", k, n, want[k])
			}
		}
	})
}

// Facts of geometry: what is searched with holds the true outline, is no wider nor longer, and has no more corners than are wanted.
func TestCoarsened(t *testing.T) {
	for name, pts := range map[string][]Point{"wavy": wavy(900, 100, 1), "ragged": ragged(900, 100, 2), "star": starred(200, 100, 0.5), "comb": combed(150, 2, 60), "ring": ringed(300, 100, 60, 0.2), "jagged ring": ringed(300, 100, 99, 40)} {
		pts = cleaned(pts)
		for _, most := range []int{120, 40, 14} {
			out := coarsened(pts, 0.1, most)
			if !simple(out) || len(out) > most {
				t.Errorf("%s, at most %d: %d corners, simple: %t", name, most, len(out), simple(out))
			}
			for i, p := range pts {
				if side(p, out) < 0 && outlineDistance(p, out) > 1e-9 {
					t.Errorf("%s, at most %d: corner %d lies outside by %g", name, most, i, outlineDistance(p, out))
					break
				}
			}
			if a, b := boxOf(pts), boxOf(out); a != b {
				t.Errorf("%s, at most %d: the box is %v, it was %v", name, most, b, a)
			}
		}
		fine := coarsened(pts, 0.1, len(pts))
		for _, p := range fine {
			if d := outlineDistance(p, pts); d > 0.1+1e-9 {
				t.Errorf("%s: within 0.1 a corner lies %g off", name, d)
				break
			}
		}
	}
}

// An outline of many corners that crosses itself once is found out, wherever that is.
func TestSelfMeetingOfManyCorners(t *testing.T) {
	for _, k := range []int{0, 7, 998, 2000, 2996} {
		pts := wavy(3000, 100, 5)
		if !simple(pts) {
			t.Fatal("the outline crosses itself before it is made to")
		}
		pts[k+1], pts[k+2] = pts[k+2], pts[k+1]
		if i, j, bad := selfMeeting(pts); !bad || i < k-2 || j > k+4 {
			t.Errorf("corners %d and %d exchanged: found %t, edges %d and %d", k+1, k+2, bad, i, j)
		}
	}
}
