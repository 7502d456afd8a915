package pack

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
)

func square(id string, side float64, quantity int, turns ...float64) Piece {
	return Piece{ID: id, Quantity: quantity, Turns: turns, Outline: []Point{{0, 0}, {side, 0}, {side, side}, {0, side}}}
}

func with(p Piece, change func(*Piece)) Piece {
	change(&p)
	return p
}

// Each mistake is named with its piece in a sentence of its own; by hand.
func TestCheckNamesMistakes(t *testing.T) {
	good := square("a", 1, 1, 0)
	cases := []struct {
		width float64
		piece Piece
		want  string
	}{
		{0, good, "the strip's width is 0"},
		{math.NaN(), good, "the strip's width is NaN"},
		{10, square("a", 1, -1, 0), `piece "a": the quantity is -1`},
		{10, square("a", 1, 1), `piece "a": no turn is allowed`},
		{10, square("a", 1, 1, math.NaN()), `piece "a": a turn is NaN`},
		{10, square("a", 11, 1, 0, 45), `piece "a": it is at least 11 across in every turn allowed`},
		{10, square("", 1, 1, 0), `piece "number 1": it has no id`},
		{10, with(good, func(p *Piece) { p.Outline = p.Outline[:2] }), "the outline has 2 points"},
		{10, with(good, func(p *Piece) { p.Outline = []Point{{0, 0}, {1, 1}, {2, 2}} }), "encloses no area"},
		{10, with(good, func(p *Piece) { p.Outline = []Point{{0, 0}, {1, 1}, {0, 1}, {1, 0}} }), "encloses no area"},
		{10, with(good, func(p *Piece) { p.Outline = []Point{{0, 0}, {3, 3}, {0, 3}, {2, 0}} }), "crosses or touches itself"},
		{10, with(good, func(p *Piece) { p.Outline = []Point{{0, 0}, {4, 0}, {4, 4}, {2, 0}, {0, 4}} }), "crosses or touches itself"},
		{10, with(square("a", 1, 1, 0), func(p *Piece) { p.Outline[2].X = math.NaN() }), "point 3 of the outline is (NaN, 1)"},
		{10, with(square("a", 1, 1, 90), func(p *Piece) { p.OnEdge = true }), "turn 0 is not allowed"},
		{10, square("a", 1, 6000, 0), "more than 5000 copies"},
		{10, with(good, func(p *Piece) { p.Repeat.Along = -2 }), "a step of -2"},
		{10, with(good, func(p *Piece) { p.Repeat.Across = math.NaN() }), "a step of NaN"},
		{10, with(good, func(p *Piece) { p.Repeat.Along = 1e-300 }), "a step of 1e-300; 0 (none) is allowed, or 1e-05 and more"},
		{10, with(good, func(p *Piece) { p.Repeat = Repeat{Point: Point{math.Inf(1), 0}, Along: 1} }), "the point (+Inf, 0)"},
		{10, with(square("a", 6, 1, 0), func(p *Piece) { p.Repeat = Repeat{Point: Point{0, 2}, Across: 7} }), "nowhere on its repeat of 7 across"},
	}
	for _, c := range cases {
		err := Check(Problem{Width: c.width, Pieces: []Piece{c.piece}})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("want %q, got %v", c.want, err)
		} else if n := len(err.(Faults)); n != 1 {
			t.Errorf("want one sentence, got %d: %v", n, err)
		}
	}
	twice := Problem{Width: 5, Pieces: []Piece{good, good}, Locked: []Place{{ID: "a", Copy: 3}, {ID: "b"}}, Gap: -1}
	if n := len(Check(twice).(Faults)); n != 4 {
		t.Errorf("want 4 sentences, got %d: %v", n, Check(twice))
	}
}

// Repeats, straight corners, spikes and the way round change nothing.
func TestCheckAcceptsUntidyOutlines(t *testing.T) {
	for _, pts := range [][]Point{
		{{0, 0}, {0, 1}, {1, 1}, {1, 0}},
		{{0, 0}, {0, 0}, {1, 0}, {1, 1}, {1, 1}, {0, 1}, {0, 0}},
		{{0, 0}, {0.5, 0}, {1, 0}, {1, 1}, {0, 1}},
		{{0, 0}, {1, 0}, {1, 0.5}, {3, 0.5}, {1, 0.5}, {1, 1}, {0, 1}},
		{{0, 0}, {1, 0}, {3, 0}, {1, 0}, {1, 1}, {0, 1}},
	} {
		if err := Check(Problem{Width: 1, Pieces: []Piece{{ID: "a", Quantity: 1, Turns: []float64{0}, Outline: pts}}}); err != nil {
			t.Error(err)
		}
		if got := cleaned(pts); len(got) != 4 || signedArea(got) != 1 {
			t.Errorf("%v is cleaned to %v", pts, got)
		}
	}
}

// Source: numbers of pieces as published with the ESICUP 2D irregular instances
// (for instance Elkeran 2013, table 1; from memory): albano 24, dagli 30, dighe1 16,
// dighe2 10, fu 12, shapes1 43, shirts 99, trousers 64.
func TestPublishedInstancesAreRead(t *testing.T) {
	for name, want := range map[string]int{"albano": 24, "dagli": 30, "dighe1": 16, "dighe2": 10, "fu": 12, "shapes1": 43, "shirts": 99, "trousers": 64} {
		p := published(t, name)
		if err := Check(p); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		n, area := 0, 0.0
		for _, q := range p.Pieces {
			n += q.Quantity
			area += float64(q.Quantity) * math.Abs(signedArea(q.Outline))
		}
		if n != want {
			t.Errorf("%s has %d pieces, want %d", name, n, want)
		}
		// A jigsaw of 100 by 100 by construction.
		if strings.HasPrefix(name, "dighe") && math.Abs(area-10000) > 1e-6 {
			t.Errorf("%s covers %g, want 10000", name, area)
		}
	}
}

func TestJSONThereAndBack(t *testing.T) {
	p := Problem{Name: "n", Width: 3, Gap: 0.5, MaxLength: 7,
		Pieces: []Piece{with(square("a", 1, 2, 0, 90), func(p *Piece) {
			p.Flip, p.OnEdge, p.Ways, p.Repeat = true, true, []Way{{90, true, 1, 2}}, Repeat{Point{1, 2}, Point{3, 4}, 5, 6}
		})},
		Obstacles: [][]Point{{{0, 0}, {1, 0}, {0, 1}}},
		Locked:    []Place{{ID: "a", Copy: 1, X: 2, Y: 1}}}
	var b bytes.Buffer
	if err := WriteProblemJSON(&b, p); err != nil {
		t.Fatal(err)
	}
	got, err := ReadJSON(&b)
	if err != nil || !reflect.DeepEqual(p, got) {
		t.Errorf("got %+v, %v", got, err)
	}
}

func TestReadJSONRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"":                           "it is empty",
		"{":                          "it ends in the middle",
		"{,}":                        "not JSON at byte 2",
		`{"pieces":[{"turns":"x"}]}`: "is a string",
		`{"width":10,"pieces":[]}`:   "cloth_width, the strip's width, is missing or 0",
		`{"cloth_width":3} {}`:       "it goes on at byte 19",
		`{"pieces":[{"outline":[[0,0],[1],[1,1]]}]}`:     "[1] stands where a point belongs; two numbers are wanted",
		`{"pieces":[{"outline":[[0,0],[1,2,3],[1,1]]}]}`: "two numbers are wanted",
	} {
		if _, err := ReadJSON(strings.NewReader(text)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: want %q, got %v", text, want, err)
		}
	}
}

// FuzzReadJSON holds that whatever is read and passes Check gets a lay.
func FuzzReadJSON(f *testing.F) {
	f.Add([]byte(`{"cloth_width":3,"pieces":[{"id":"a","quantity":2,"turns":[0,90],"outline":[[0,0],[2,0],[2,1],[1,1],[1,2],[0,2]]}]}`))
	f.Add([]byte(`{"cloth_width":3,"gap":0.1,"pieces":[{"id":"a","quantity":1,"turns":[0],"on_edge":true,"flip":true,"outline":[[0,0],[2,0],[1,1],[1,1]]}],"obstacles":[[[0,0],[1,0],[0,1]]],"locked":[{"id":"a","copy":0,"x":1,"y":1}]}`))
	f.Add([]byte(`{"cloth_width":1e300,"pieces":[{"id":"a","quantity":1,"turns":[0],"outline":[[0,0],[1e-300,0],[0,1e-300]]}]}`))
	if text, err := os.ReadFile(filepath.Join("testdata", "jacket.json")); err == nil {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		p, err := ReadJSON(bytes.NewReader(text))
		if err != nil || Check(p) != nil {
			return
		}
		copies, corners := 0, 0
		for _, q := range p.Pieces {
			copies += q.Quantity
			corners = max(corners, len(q.Outline)*len(q.Turns))
		}
		if copies > 12 || corners > 100 || len(p.Obstacles) > 4 {
			return
		}
		if _, err := Solve(t.Context(), p, Options{Seed: 1, Steps: 30}); err != nil {
			t.Error(err)
		}
	})
}
