package pack

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func solved(t *testing.T, p Problem, steps int64) Lay {
	t.Helper()
	l, err := Solve(context.Background(), p, Options{Seed: 1, Steps: steps})
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// Best lengths that can be seen by hand.
func TestKnownBest(t *testing.T) {
	ell := []Point{{0, 0}, {3, 0}, {3, 1}, {1, 1}, {1, 2}, {0, 2}} // area 4; two make 4 by 2
	cases := []struct {
		name  string
		p     Problem
		steps int64
		want  float64
	}{
		{"nine squares", Problem{Width: 3, Pieces: []Piece{square("a", 1, 9, 0)}}, 500, 3},
		{"two of three fit side by side", Problem{Width: 2.5, Pieces: []Piece{square("a", 1, 3, 0)}}, 500, 2},
		{"two L", Problem{Width: 2, Pieces: []Piece{{ID: "L", Quantity: 2, Turns: []float64{0, 180}, Outline: ell}}}, 2000, 4},
		{"four L", Problem{Width: 4, Pieces: []Piece{{ID: "L", Quantity: 4, Turns: []float64{0, 90, 180, 270}, Outline: ell}}}, 4000, 4},
		{"a tab in a notch", Problem{Width: 4, Pieces: []Piece{
			{ID: "U", Quantity: 1, Turns: []float64{0}, Outline: []Point{{0, 0}, {4, 0}, {4, 1}, {1, 1}, {1, 3}, {4, 3}, {4, 4}, {0, 4}}},
			{ID: "I", Quantity: 1, Turns: []float64{0, 90}, Outline: []Point{{0, 0}, {3, 0}, {3, 2}, {0, 2}}}}}, 3000, 4},
		{"mirrored pair", Problem{Width: 1, Pieces: []Piece{
			{ID: "a", Quantity: 2, Turns: []float64{0}, Flip: true, Outline: []Point{{0, 0}, {2, 0}, {1, 1}, {0, 1}}}}}, 2000, 4},
		{"gap", Problem{Width: 2.5, Gap: 0.5, Pieces: []Piece{square("a", 1, 4, 0)}}, 2000, 2.5},
		// Each begins where its point is on the repeat: at 0, 2 and 4, so the last ends at 5.5.
		{"repeat along", Problem{Width: 1, Pieces: []Piece{tied(1.5, 1, 3, Repeat{Along: 1})}}, 500, 5.5},
		// The point is at 0.25 of the piece, so they begin at 0.75, 2.75 and 4.75.
		{"repeat along by a point inside", Problem{Width: 1, Pieces: []Piece{tied(1.5, 1, 3, Repeat{Point: Point{0.25, 0.5}, Along: 1})}}, 500, 6.25},
		// The pattern begins 0.5 before the strip's end: at 0.5, 2.5, 4.5.
		{"a pattern that begins before the strip", Problem{Width: 1, Pieces: []Piece{tied(1.5, 1, 3, Repeat{From: Point{X: -0.5}, Along: 1})}}, 500, 6},
		// Across there is room for three, on the repeat for two: 0 and 2.
		{"repeat across", Problem{Width: 3, Pieces: []Piece{tied(1, 1, 4, Repeat{Across: 2})}}, 500, 2},
		// Upside down the point is at the other end: one from 0 to 1.5 and its counterpart, ending at 3, can share the strip.
		{"repeat turned", Problem{Width: 1, Pieces: []Piece{with(tied(1.5, 1, 2, Repeat{Along: 3}), func(p *Piece) { p.Turns = []float64{0, 180} })}}, 500, 3},
		// One on the repeat at 0, the next at 4; two free ones go between.
		{"free ones between", Problem{Width: 1, Pieces: []Piece{tied(2, 1, 2, Repeat{Along: 4}), square("b", 1, 2, 0)}}, 1000, 6},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if l := solved(t, c.p, c.steps); math.Abs(l.Length-c.want) > 1e-5*c.want {
				t.Errorf("length %.9g, want %g; %v", l.Length, c.want, l.Places)
			}
		})
	}
}

// tied is a rectangle that is held to a repeat.
func tied(x, y float64, quantity int, r Repeat) Piece {
	return Piece{ID: "tied", Quantity: quantity, Turns: []float64{0}, Outline: []Point{{0, 0}, {x, 0}, {x, y}, {0, y}}, Repeat: r}
}

func TestNothingToLay(t *testing.T) {
	if l := solved(t, Problem{Width: 5}, 10); l.Length != 0 || len(l.Places) != 0 {
		t.Errorf("got %+v", l)
	}
	if l := solved(t, Problem{Width: 5, Pieces: []Piece{square("a", 1, 0, 0)}}, 10); len(l.Places) != 0 {
		t.Errorf("got %+v", l)
	}
}

// A piece on the edge lies on y = 0 at turn 0, a locked copy stays, an obstacle
// is avoided, and all that is left fills up: by hand the length is 5.
func TestEdgeLockObstacle(t *testing.T) {
	edge := square("edge", 2, 1, 0, 90)
	edge.OnEdge = true
	p := Problem{Width: 4,
		Pieces:    []Piece{edge, square("a", 2, 3, 0)},
		Obstacles: [][]Point{{{4, 0}, {5, 0}, {5, 1.9}, {4, 1.9}}},
		Locked:    []Place{{ID: "a", Copy: 1, X: 2, Y: 0}}}
	l := solved(t, p, 3000)
	if math.Abs(l.Length-4) > 1e-5 {
		t.Errorf("length %g, want 4: %v", l.Length, l.Places)
	}
	for _, q := range l.Places {
		if q.ID == "edge" && (q.Y != 0 || q.Turn != 0) {
			t.Errorf("the piece on the edge lies at %+v", q)
		}
		if q.ID == "a" && q.Copy == 1 && q != p.Locked[0] {
			t.Errorf("the locked copy lies at %+v", q)
		}
	}
}

// Ways keep pieces in parts of the width. By hand: on a width of 10 whose first 4 are for a alone and whose last 5 for b, a (4 by
// 3, three of them) takes 9 in a row and b (5 by 4, two) 8; c, which is held mirrored at the far edge for 2, makes that 10. A piece that
// fits nowhere is refused.
func TestWays(t *testing.T) {
	box := func(w, h float64) []Point { return []Point{{0, 0}, {w, 0}, {w, h}, {0, h}} }
	p := Problem{Width: 10, Pieces: []Piece{
		{ID: "a", Quantity: 3, Outline: box(3, 4), Ways: []Way{{From: 0, To: 4}}},
		{ID: "b", Quantity: 2, Outline: box(4, 5), Ways: []Way{{From: 5, To: 10}, {Turn: 180, From: 5, To: 10}}},
		{ID: "c", Quantity: 1, Outline: []Point{{0, 0}, {2, 0}, {2, 1}}, Ways: []Way{{Turn: 180, Flipped: true, From: 9, To: 10}}},
	}}
	l := solved(t, p, 2000)
	if math.Abs(l.Length-10) > 1e-5 {
		t.Errorf("length %g, by hand 10: %v", l.Length, l.Places)
	}
	for _, q := range l.Places {
		if q.ID == "c" && (!q.Flipped || q.Turn != 180 || math.Abs(q.Y-10) > 1e-6) {
			t.Errorf("c lies at %+v, by hand mirrored across with its edge on 10", q)
		}
	}
	if faults := geosFaults(t, geosPython(t), p, l); faults != "" {
		t.Error(faults)
	}
	moved := l
	moved.Places = append([]Place(nil), l.Places...)
	moved.Places[0].Y = 0.5
	if Validate(p, moved, Tolerance) == nil {
		t.Error("a piece outside its part of the width is accepted")
	}
	p.Pieces[1].Ways[0].To, p.Pieces[1].Ways[1].To = 9, 9
	if err := Check(p); err == nil || !strings.Contains(err.Error(), "at least 5 across") || !strings.Contains(err.Error(), "4 wide") {
		t.Errorf("a piece wider than its part of the strip: %v", err)
	}
	p.Pieces[1].Ways = []Way{{From: 5, To: 11}}
	if err := Check(p); err == nil || !strings.Contains(err.Error(), "from 5 to 11") {
		t.Errorf("a way that leaves the strip: %v", err)
	}
}

// Three squares of 2 on a width of 4 need a length of 4 and not less.
func TestMaxLength(t *testing.T) {
	p := Problem{Width: 4, Pieces: []Piece{square("a", 2, 3, 0)}, MaxLength: 4.5}
	l, err := Solve(context.Background(), p, Options{Steps: 1000, StopWhenFits: true})
	if err != nil || !l.Fits || l.Length > 4.5 {
		t.Errorf("got %+v, %v", l, err)
	}
	p.MaxLength = 3.9
	if l = solved(t, p, 300); l.Fits || l.Length < 4-1e-6 {
		t.Errorf("got %+v", l)
	}
}

// The same seed and steps give the same bytes; another seed another lay.
func TestSameSeedSameBytes(t *testing.T) {
	text := func(seed uint64) string {
		l, err := Solve(context.Background(), blobs(25), Options{Seed: seed, Steps: 3000})
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if err := WriteJSON(&b, l); err != nil {
			t.Fatal(err)
		}
		return b.String()
	}
	one := text(1)
	if one != text(1) {
		t.Error("two runs with the same seed differ")
	}
	if one == text(2) {
		t.Error("two seeds give the same lay")
	}
}

// On a repeat no lay is ever reported off it: one that were would be thrown away at the end, for an earlier and longer one. The search
// finds a shorter lay than the first.
func TestTheSearchStaysOnTheRepeat(t *testing.T) {
	p := blobs(20)
	for i := range p.Pieces {
		p.Pieces[i].Repeat = Repeat{Point: Point{float64(i), 2}, Along: 9, Across: float64(3 * (i % 2))}
	}
	first := 0.0
	l, err := Solve(context.Background(), p, Options{Seed: 1, Steps: 4000, Progress: func(q Progress) {
		if first == 0 {
			first = q.Lay.Length
		}
		if err := Validate(p, q.Lay, Tolerance); err != nil {
			t.Errorf("%s: %v", q.Phase, err)
		}
	}})
	if err != nil || l.Length > 0.9*first {
		t.Errorf("the first lay was %g long, the last is %g, %v", first, l.Length, err)
	}
}

// A cancelled search still returns a full valid lay, as does one whose clock has
// run out before it began; reports only get better.
func TestAnytime(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	last := math.Inf(1)
	l, err := Solve(ctx, blobs(40), Options{Seed: 3, Steps: math.MaxInt64, Workers: 2, Progress: func(p Progress) {
		if p.Lay.Length >= last {
			t.Errorf("a report of %g after %g", p.Lay.Length, last)
		}
		last = p.Lay.Length
		if p.Phase != "first" {
			cancel()
		}
	}})
	if err != nil || len(l.Places) != 40 {
		t.Errorf("%d places, %v", len(l.Places), err)
	}
	tick := time.Unix(0, 0)
	clock := func() time.Time { tick = tick.Add(time.Hour); return tick }
	if l, err = Solve(context.Background(), blobs(40), Options{Time: time.Second, Now: clock}); err != nil || len(l.Places) != 40 {
		t.Errorf("%d places, %v", len(l.Places), err)
	}
	if _, err := Solve(context.Background(), blobs(3), Options{}); err == nil {
		t.Error("a search without a budget is not refused")
	}
}

// Whatever is asked for, the lay passes the exact validation, is no shorter than
// its area allows and no longer than all pieces in a row.
func TestAnyProblem(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Problem{Width: float64(rapid.IntRange(40, 90).Draw(t, "width"))}
		if rapid.Bool().Draw(t, "wide gap") {
			p.Gap = rapid.Float64Range(0, 5).Draw(t, "gap")
		}
		row, area := 0.0, 0.0
		for i := range rapid.IntRange(1, 4).Draw(t, "pieces") {
			piece := Piece{ID: fmt.Sprint(i), Quantity: rapid.IntRange(0, 3).Draw(t, "quantity"),
				Turns: rapid.SampledFrom([][]float64{{0}, {0, 180}, {0, 90, 180, 270}, {0, 12.5}}).Draw(t, "turns"),
				Flip:  rapid.Bool().Draw(t, "flip"), OnEdge: rapid.Bool().Draw(t, "on edge"),
				Outline: anyOutline(t, "outline")}
			p.Pieces = append(p.Pieces, piece)
			b := boxOf(piece.Outline)
			row += float64(piece.Quantity) * (math.Hypot(b.width(), b.height()) + p.Gap)
			if rapid.Bool().Draw(t, "repeat") {
				r := Repeat{Point: Point{rapid.Float64Range(-20, 20).Draw(t, "at"), 3}, From: Point{-4.5, 0}, Along: rapid.Float64Range(0.5, 30).Draw(t, "along")}
				if !piece.OnEdge {
					r.Across = rapid.SampledFrom([]float64{0, 0.7, 4}).Draw(t, "across")
				}
				p.Pieces[i].Repeat = r
				row += float64(piece.Quantity) * r.Along
			}
			area += float64(piece.Quantity) * math.Abs(signedArea(piece.Outline))
		}
		if rapid.Bool().Draw(t, "flaw") {
			o := moved(starOutline(t, "obstacle"), Point{30, 20})
			p.Obstacles = append(p.Obstacles, o)
			row += boxOf(o).x1
		}
		l, err := Solve(context.Background(), p, Options{Seed: rapid.Uint64().Draw(t, "seed"), Steps: 60})
		if err != nil {
			t.Fatal(err)
		}
		if err := Validate(p, l, Tolerance); err != nil {
			t.Fatal(err)
		}
		if l.Length > row*1.1+1e-6 || l.Length < area/p.Width*(1-1e-9) {
			t.Fatalf("length %g, in a row %g, by area %g", l.Length, row, area/p.Width)
		}
	})
}

// The validation is no formality: each of these changes to a good lay is refused.
func TestValidateRefuses(t *testing.T) {
	p := Problem{Width: 4, Gap: 0.5, Pieces: []Piece{with(square("a", 1, 4, 0, 90), func(p *Piece) { p.Repeat.Across = 0.25 })}, Obstacles: [][]Point{{{10, 0}, {11, 0}, {11, 1}}}}
	good := solved(t, p, 500)
	if err := Validate(p, good, Tolerance); err != nil {
		t.Fatal(err)
	}
	for name, change := range map[string]func(*Lay){
		"a copy is missing":  func(l *Lay) { l.Places = l.Places[1:] },
		"a copy twice":       func(l *Lay) { l.Places[1].Copy = 0 },
		"a turn not allowed": func(l *Lay) { l.Places[1].Turn = 45 },
		"mirrored":           func(l *Lay) { l.Places[1].Flipped = true },
		"outside":            func(l *Lay) { l.Places[0].Y = -0.1 },
		"one on the other": func(l *Lay) {
			l.Places[0].X, l.Places[0].Y, l.Places[0].Turn = l.Places[1].X, l.Places[1].Y, l.Places[1].Turn
		},
		"the length is not right": func(l *Lay) { l.Length++ },
		"on the obstacle":         func(l *Lay) { l.Places[0].X, l.Places[0].Y, l.Places[0].Turn, l.Length = 10, 0, 0, 11 },
		"not a number":            func(l *Lay) { l.Places[0].X = math.NaN() },
		"off the repeat": func(l *Lay) {
			for i := range l.Places { // all of them, so that none comes nearer to another
				l.Places[i].Y += 0.01
			}
		},
	} {
		l := good
		l.Places = append([]Place(nil), good.Places...)
		change(&l)
		if Validate(p, l, Tolerance) == nil {
			t.Errorf("%s: accepted", name)
		}
	}
	near := Lay{Length: 2.3, Fits: true, Places: []Place{{ID: "a"}, {ID: "a", Copy: 1, X: 1.3}, {ID: "a", Copy: 2, Y: 2}, {ID: "a", Copy: 3, X: 1.3, Y: 2}}}
	if Validate(p, near, Tolerance) == nil {
		t.Error("pieces nearer than the gap are accepted")
	}
}

// Places on the repeat and off it, by hand.
func TestValidateKnowsTheRepeat(t *testing.T) {
	p := Problem{Width: 4, Pieces: []Piece{with(square("a", 1, 1, 0, 180), func(p *Piece) { p.Repeat = Repeat{Point: Point{0.5, 0.2}, From: Point{-1, 0}, Along: 2, Across: 0.7} })}}
	for _, c := range []struct {
		q  Place
		ok bool
	}{
		{Place{X: 0.5, Y: 0.5}, true}, // its point is at 1 and 0.7: a step from where the pattern begins, either way
		{Place{X: 0.6, Y: 0.5}, false},
		{Place{X: 0.5, Y: 0.6}, false},
		{Place{X: 2.5, Y: 1.9}, true},
		{Place{X: 1.5, Y: 1.6, Turn: 180}, true}, // turned, its point is at 1 and 1.4
		{Place{X: 1.5, Y: 1.7, Turn: 180}, false},
	} {
		c.q.ID = "a"
		end := c.q.X + 1
		if c.q.Turn == 180 {
			end = c.q.X
		}
		if err := Validate(p, Lay{Length: end, Places: []Place{c.q}}, Tolerance); (err == nil) != c.ok {
			t.Errorf("%+v: %v", c.q, err)
		}
	}
}

// Overlaps decided by hand, touching ones among them.
func TestInsidesMeet(t *testing.T) {
	unit := []Point{{0, 0}, {1, 0}, {1, 1}, {0, 1}}
	plus := []Point{{1, 0}, {2, 0}, {2, 1}, {3, 1}, {3, 2}, {2, 2}, {2, 3}, {1, 3}, {1, 2}, {0, 2}, {0, 1}, {1, 1}}
	bar := []Point{{-1, 0.4}, {2, 0.4}, {2, 0.6}, {-1, 0.6}}
	cases := []struct {
		name string
		a, b []Point
		want bool
	}{
		{"the same", unit, unit, true},
		{"edge on edge", unit, moved(unit, Point{1, 0.3}), false},
		{"edge on edge and a hair", unit, moved(unit, Point{1 - 1e-15, 0}), true},
		{"corner on corner", unit, moved(unit, Point{1, 1}), false},
		{"half over", unit, moved(unit, Point{0.5, 0}), true},
		{"a cross of bars, no corner inside", unit, bar, true},
		{"one within", []Point{{-1, -1}, {3, -1}, {3, 3}, {-1, 3}}, unit, true},
		{"in the corner of a plus", plus, unit, false},
		{"over the corner of a plus", plus, moved(unit, Point{0.1, 0}), true},
		{"the heart of a plus", plus, moved(unit, Point{1, 1}), true},
		{"an arm of a plus", plus, moved(unit, Point{2, 1}), true},
		{"two plus locked", plus, moved(plus, Point{2, -1}), false},
	}
	for _, c := range cases {
		if got := insidesMeet(c.a, c.b); got != c.want {
			t.Errorf("%s: %t", c.name, got)
		}
		if got := insidesMeet(c.b, c.a); got != c.want {
			t.Errorf("%s, exchanged: %t", c.name, got)
		}
	}
}
