package tile

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"clothwright/curve"
	"clothwright/sheet/drawing"
	"clothwright/sheet/drawing/drawingtest"
	"clothwright/sheet/pdf"
)

func at(x, y float64) curve.Point { return curve.Point{X: x, Y: y} }

// pieces is a figure of three pieces and a slanting net of lines, so that every joint is crossed by many.
func pieces(w, h float64) *drawing.Figure {
	f := &drawing.Figure{W: w, H: h}
	f.Outline(drawing.Medium, curve.Path{
		curve.Line(at(5, 5), at(0.4*w, 20)),
		curve.Cubic(at(0.4*w, 20), at(0.35*w, 0.3*h), at(0.5*w, 0.4*h), at(0.6*w, 0.45*h)),
		curve.Line(at(0.6*w, 0.45*h), at(0.6*w, h-5)), curve.Line(at(0.6*w, h-5), at(5, h-5)), curve.Line(at(5, h-5), at(5, 5)),
	})
	f.Circle(0.8*w, 0.3*h, 0.18*w, drawing.Thick)
	for i := range 14 {
		x := float64(i) * w / 13
		f.Line(x, 2, w-x, h-2, drawing.Thin)
	}
	return f
}

func cut(t testing.TB, f *drawing.Figure, paper drawing.Size) *Set {
	t.Helper()
	s, err := Cut(f, Options{Paper: paper, Title: "Test pieces"})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func file(t testing.TB, pages ...*drawing.Page) []byte {
	t.Helper()
	b, err := pdf.Bytes(&drawing.Drawing{Pages: pages})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// Laid together the tiles are the figure: wherever the figure drawn on one page has ink, every tile that shows the place
// has it at the same place, and where it has none for a few dots round, the tiles have none (their own marks keep to the
// edge and the grey name is lighter than ink counts).
func TestTilesMakeTheFigure(t *testing.T) {
	const dpi = 75
	for _, paper := range []drawing.Size{drawing.A4, drawing.Letter} {
		f := pieces(520, 640)
		whole := &drawing.Page{W: f.W, H: f.H}
		whole.Show(f, 0, 0, nil)
		one := drawingtest.PDFRaster(t, file(t, whole), 1, dpi)

		s := cut(t, f, paper)
		b := file(t, s.Pages()...)
		rng := rand.New(rand.NewPCG(1, 2))
		ink, blank, joints := 0, 0, 0
		var points []curve.Point
		for range 1000 {
			points = append(points, at(1+rng.Float64()*(f.W-2), 1+rng.Float64()*(f.H-2)))
		}
		lines := f.Lines(curve.Identity())
		for range 1000 { // and places on lines
			p := lines[rng.IntN(len(lines))]
			points = append(points, p[rng.IntN(len(p))].At(rng.Float64()))
		}
		covered := make([]int, len(points))
		for i, tile := range s.Tiles {
			r := drawingtest.PDFRaster(t, b, i+2, dpi)
			for k, p := range points {
				if !tile.Window.Pad(-0.7).Contains(p) {
					continue
				}
				covered[k]++
				q := p.Sub(tile.Window.Min).Add(at(Margin, Margin))
				switch {
				case one.At(p, 0):
					ink++
					if !r.At(q, 1) {
						t.Fatalf("the figure has ink at %v, tile %s has none at %v", p, tile.Name, q)
					}
				case !one.At(p, 3) && tile.Window.Pad(-Overlap-14).Contains(p):
					blank++
					if r.At(q, 0) {
						t.Fatalf("the figure has no ink at %v, tile %s has at %v", p, tile.Name, q)
					}
				}
			}
		}
		for k, n := range covered {
			if n > 1 {
				joints++
			}
			if n == 0 && one.At(points[k], 0) && s.inner(points[k]) {
				t.Fatalf("%v has ink and is on no tile", points[k])
			}
		}
		if ink < 300 || blank < 300 || joints < 100 {
			t.Errorf("looked at %d inked and %d blank places and %d across joints: too few to tell", ink, blank, joints)
		}
	}
}

// inner reports whether a place is not on the very edge of every window, where dots round either way.
func (s *Set) inner(p curve.Point) bool {
	for _, t := range s.Tiles {
		if t.Window.Contains(p) {
			return false
		}
	}
	return true
}

// The squares on the first page, by a ruler of dots at 400 to the inch: 100 mm within 0.1, and 4 in = 101.6 mm by the
// definition of the inch (25.4 mm, ISO 31-1).
func TestSquaresMeasure(t *testing.T) {
	s := cut(t, pieces(300, 300), drawing.A4)
	b := file(t, s.Pages()...)
	r := drawingtest.PDFRaster(t, b, 1, 400)
	top := 0.0
	const dot = 25.4 / 400
	for y := 20.0; y < 60 && top == 0; y += dot { // the first square's top is the first whole level line
		if r.Share(drawing.Box(Margin+1, y, 98, 1.01*dot)) > 0.99 {
			top = r.Down(Margin+20, y-1, y+1)
		}
	}
	if top == 0 {
		t.Fatal("no square found")
	}
	measure := func(name string, top, side float64) {
		mid := top + 0.8*side
		wide := r.Across(mid, Margin+side-2, Margin+side+2) - r.Across(mid, Margin-2, Margin+2)
		high := r.Down(Margin+20, top+side-2, top+side+2) - r.Down(Margin+20, top-2, top+2)
		if !(math.Abs(wide-side) <= 0.1) || !(math.Abs(high-side) <= 0.1) {
			t.Errorf("%s: %.3f x %.3f mm, want %g within 0.1", name, wide, high, side)
		}
	}
	measure("metric square", top, 100)
	measure("inch square", top+Metric+squareGap, 101.6)
	words := drawingtest.PDFText(t, b, 1)
	for _, w := range []string{"100 mm", "4 in", "Measure before cutting", "no scaling"} {
		if !strings.Contains(words, w) {
			t.Errorf("the first page does not say %q", w)
		}
	}
}

// Every page says its name and its neighbours' in words.
func TestPagesNameTheirNeighbours(t *testing.T) {
	s := cut(t, pieces(520, 640), drawing.A4)
	b := file(t, s.Pages()...)
	for i, tile := range s.Tiles {
		words := strings.Join(strings.Fields(drawingtest.PDFText(t, b, i+2)), " ")
		if !strings.Contains(words, fmt.Sprintf("%s · page %d of %d", tile.Name, i+1, len(s.Tiles))) {
			t.Errorf("page %d does not say that it is %s: %s", i+2, tile.Name, words)
		}
		for _, n := range []struct {
			row, col int
			words    string
		}{
			{tile.Row, tile.Col + 1, "lay %s here"}, {tile.Row + 1, tile.Col, "lay %s here"},
			{tile.Row, tile.Col - 1, "lay on %s"}, {tile.Row - 1, tile.Col, "lay on %s"},
		} {
			if name, ok := s.neighbour(n.row, n.col); ok && !strings.Contains(words, fmt.Sprintf(n.words, name)) {
				t.Errorf("%s does not say %s: %s", tile.Name, fmt.Sprintf(n.words, name), words)
			}
		}
	}
}

// On both sides of a joint the diamonds' halves have their middle at the same place of the figure.
func TestHalfDiamondsMeet(t *testing.T) {
	s := cut(t, pieces(520, 640), drawing.A4)
	w, h := window(s.Paper)
	checked := 0
	for _, tile := range s.Tiles {
		for _, e := range edges[:2] {
			i, ok := s.at[[2]int{tile.Row + e.down, tile.Col + e.across}]
			if !ok {
				continue
			}
			other, back := s.Tiles[i], side{-e.down, -e.across, false}
			for _, part := range []float64{0.25, 0.75} {
				here := inFigure(e, part, w, h, tile)
				there := inFigure(back, part, w, h, other)
				if here.Dist(there) > 1e-9 {
					if there = inFigure(back, 1-part, w, h, other); here.Dist(there) > 1e-9 {
						t.Errorf("%s to %s: halves at %v and %v", tile.Name, other.Name, here, there)
					}
				}
				checked++
			}
		}
	}
	if checked < 8 {
		t.Errorf("only %d diamonds", checked)
	}
}

func inFigure(e side, part, w, h float64, tile Tile) curve.Point {
	to, long := e.frame(w, h)
	return to.Apply(at(part*long, 0)).Sub(at(Margin, Margin)).Add(tile.Window.Min)
}

// Sixteen A4 windows of which only those along an L have lines: the others are left out and crossed on the map. The middle
// of a large piece is kept although no line crosses it.
func TestEmptyPagesAreLeftOut(t *testing.T) {
	f := &drawing.Figure{W: 700, H: 1000}
	f.Line(20, 20, 20, 990, drawing.Medium)
	f.Line(20, 990, 690, 990, drawing.Medium)
	s := cut(t, f, drawing.A4)
	if s.Rows*s.Cols <= len(s.Tiles) || len(s.Tiles) != s.Rows+s.Cols-1 {
		t.Errorf("%d rows, %d columns, %d pages: want those along the two lines only", s.Rows, s.Cols, len(s.Tiles))
	}
	words := drawingtest.PDFText(t, file(t, s.Cover), 1)
	if !strings.Contains(words, fmt.Sprintf("%d pages", s.Rows*s.Cols-len(s.Tiles))) {
		t.Error("the first page does not say how many are left out")
	}
	f = &drawing.Figure{W: 700, H: 1000}
	f.Rect(5, 5, 690, 990, drawing.Medium)
	if s := cut(t, f, drawing.A4); len(s.Tiles) != s.Rows*s.Cols {
		t.Errorf("%d of %d pages: the inside of a piece was left out", len(s.Tiles), s.Rows*s.Cols)
	}
}

// A strip 270 mm high and 500 wide takes three upright pages (180 mm each after the first) and two across would need two
// rows; one 180 high takes two across.
func TestTheWayThatNeedsFewerPages(t *testing.T) {
	for _, c := range []struct {
		w, h  float64
		pages int
		wide  bool
	}{{500, 270, 3, false}, {500, 180, 2, true}, {180, 270, 1, false}, {270, 180, 1, true}, {190, 277, 1, false}, {191, 277, 2, false}} {
		f := &drawing.Figure{W: c.w, H: c.h}
		f.Rect(1, 1, c.w-2, c.h-2, drawing.Medium)
		s := cut(t, f, drawing.A4)
		if len(s.Tiles) != c.pages || (s.Paper.W > s.Paper.H) != c.wide {
			t.Errorf("%g x %g: %d pages of %g x %g, want %d, across %v", c.w, c.h, len(s.Tiles), s.Paper.W, s.Paper.H, c.pages, c.wide)
		}
	}
}

func TestNames(t *testing.T) {
	for want, rc := range map[string][2]int{"A1": {0, 0}, "B3": {1, 2}, "Z10": {25, 9}, "AA1": {26, 0}, "AZ2": {51, 1}, "BA1": {52, 0}} {
		if got := Name(rc[0], rc[1]); got != want {
			t.Errorf("row %d, column %d is %s, want %s", rc[0], rc[1], got, want)
		}
	}
}

func TestRoll(t *testing.T) {
	f := pieces(580, 900)
	p, err := Roll(f, 610, Options{Title: "Roll"})
	if err != nil {
		t.Fatal(err)
	}
	if p.W != 610 || p.H < 900+100 {
		t.Errorf("page of %g x %g", p.W, p.H)
	}
	b := file(t, p)
	words := drawingtest.PDFText(t, b, 1)
	if !strings.Contains(words, "100 mm") || !strings.Contains(words, "4 in") {
		t.Error("no squares to measure")
	}
	if _, err := Roll(f, 580, Options{}); err == nil || !strings.Contains(err.Error(), "has room for 560") {
		t.Errorf("error %v does not say what there is room for", err)
	}
}

func TestRefusals(t *testing.T) {
	if _, err := Cut(&drawing.Figure{W: 100, H: 100}, Options{Paper: drawing.A4}); err == nil || !strings.Contains(err.Error(), "nothing is drawn") {
		t.Errorf("an empty figure: %v", err)
	}
	if _, err := Cut(pieces(100, 100), Options{Paper: drawing.Size{W: 105, H: 148}}); err == nil || !strings.Contains(err.Error(), "at least 150 x 250 mm") {
		t.Errorf("small paper: %v", err)
	}
}

func BenchmarkCut(b *testing.B) {
	f := pieces(900, 1300)
	for b.Loop() {
		cut(b, f, drawing.A4)
	}
}
