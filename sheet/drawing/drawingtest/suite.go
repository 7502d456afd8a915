package drawingtest

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"clothwright/sheet/drawing"
	"clothwright/sheet/text"
)

// Writer is a writer under test.
type Writer struct {
	Write func(*drawing.Drawing) ([][]byte, error) // one file, or one a page
	Read  func(t *testing.T, files [][]byte) []Page
}

// Page is a page as a reader found it.
type Page struct {
	W, H   float64
	Words  string
	Raster func(t *testing.T, dpi int) Raster // nil if the reader cannot; the page skips the test if a tool is absent
}

// Suite checks that a writer keeps what every writer must.
func Suite(t *testing.T, w Writer) {
	d := Sample()
	files, err := w.Write(d)
	if err != nil {
		t.Fatal(err)
	}

	t.Run("same bytes", func(t *testing.T) {
		again, err := w.Write(Sample())
		if err != nil || len(again) != len(files) {
			t.Fatalf("second time: %d files and %v", len(again), err)
		}
		for i := range files {
			if !bytes.Equal(files[i], again[i]) {
				t.Errorf("file %d differs from the first time", i)
			}
		}
	})

	t.Run("a page without size is refused", func(t *testing.T) {
		bad := &drawing.Drawing{Pages: []*drawing.Page{{W: 210}}}
		if _, err := w.Write(bad); err == nil || !strings.Contains(err.Error(), "more than 0") {
			t.Errorf("error %v does not say that sides must be more than 0", err)
		}
	})

	t.Run("read back", func(t *testing.T) { readBack(t, d, w.Read(t, files)) })
}

func readBack(t *testing.T, d *drawing.Drawing, pages []Page) {
	if len(pages) != len(d.Pages) {
		t.Fatalf("%d pages read, %d written", len(pages), len(d.Pages))
	}
	// PDF stores page sizes in hundredths of a point, 0.0035 mm.
	for i, p := range pages {
		if want := d.Pages[i]; math.Abs(p.W-want.W) > 0.0036 || math.Abs(p.H-want.H) > 0.0036 {
			t.Errorf("page %d is %.4f x %.4f mm, want %g x %g", i+1, p.W, p.H, want.W, want.H)
		}
	}
	for _, n := range Names {
		if !strings.Contains(Logical(pages[0].Words), n.Words) {
			t.Errorf("%s: %q cannot be found by searching; the page reads %q", n.Script, n.Words, Logical(pages[0].Words))
		}
	}
	for _, want := range []string{"Angle < 90° & \"square\"", "⅛", "turned", "日"} {
		if !strings.Contains(pages[0].Words, want) {
			t.Errorf("page 1 lacks %q", want)
		}
	}
	if n := strings.Count(pages[2].Words, "figure"); n == 0 {
		t.Error("page 3 lacks the figure's words")
	}
	if pages[0].Raster == nil {
		return
	}
	const dpi = 300
	t.Run("names are drawn", func(t *testing.T) { namesDrawn(t, pages[0].Raster(t, dpi)) })
	t.Run("square", func(t *testing.T) { squareMeasures(t, pages[1].Raster(t, dpi)) })
	t.Run("clip", func(t *testing.T) { clipHolds(t, pages[1].Raster(t, dpi)) })
	t.Run("figure", func(t *testing.T) { figureShown(t, pages[2].Raster(t, dpi)) })
}

// Logical takes out the direction marks that pdftotext puts round right-to-left words.
func Logical(s string) string {
	return strings.Map(func(r rune) rune {
		if r >= 0x202A && r <= 0x202E || r == 0x200E || r == 0x200F || r >= 0x2066 && r <= 0x2069 {
			return -1
		}
		return r
	}, s)
}

// namesDrawn checks that each name has ink, and only within the width it measures: letters hang over by a side bearing
// at most, here taken as 0.08 em.
func namesDrawn(t *testing.T, r Raster) {
	for i, n := range Names {
		base := NamesY + float64(i)*NamesPitch
		w := text.Measure(text.Sans, NameSize, n.Words)
		air := 0.08 * NameSize
		band := func(x, wide float64) int { return r.Dark(drawing.Box(x, base-6, wide, 8.5)) }
		if got := band(NamesX, w); got < 500 {
			t.Errorf("%s: only %d dark dots", n.Script, got)
		}
		if got := band(NamesX-8, 8-air) + band(NamesX+w+air, 8); got > 0 {
			t.Errorf("%s: %d dark dots outside its measured width of %.2f mm", n.Script, got, w)
		}
		// The last fifth of the width has ink too: a name measured too wide would leave it white.
		if got := band(NamesX+0.8*w, 0.2*w); got == 0 {
			t.Errorf("%s: the end of its measured width of %.2f mm is white", n.Script, w)
		}
	}
}

// squareMeasures checks the drawn square with a ruler of dots: middle of line to middle of line.
func squareMeasures(t *testing.T, r Raster) {
	c := Square.Center()
	left, right := r.Across(c.Y, Square.Min.X-5, Square.Min.X+5), r.Across(c.Y, Square.Max.X-5, Square.Max.X+5)
	top, foot := r.Down(c.X, Square.Min.Y-5, Square.Min.Y+5), r.Down(c.X, Square.Max.Y-5, Square.Max.Y+5)
	for _, m := range []struct {
		what      string
		got, want float64
	}{{"width", right - left, 100}, {"height", foot - top, 100}, {"left side", left, Square.Min.X}, {"top", top, Square.Min.Y}} {
		if !(math.Abs(m.got-m.want) <= 0.1) {
			t.Errorf("square: %s is %.3f mm, want %g within 0.1", m.what, m.got, m.want)
		}
	}
}

// clipHolds checks that the disc fills its window and does not leave it.
func clipHolds(t *testing.T, r Raster) {
	if got := r.Share(Clip.Pad(-0.3)); got < 0.999 {
		t.Errorf("the clipped disc fills only %.3f of its window", got)
	}
	out := Clip.Pad(0.3)
	for _, side := range []struct {
		name       string
		x, y, w, h float64
	}{
		{"left of", out.Min.X - 8, out.Min.Y, 8, out.H()}, {"right of", out.Max.X, out.Min.Y, 8, out.H()},
		{"above", out.Min.X, out.Min.Y - 8, out.W(), 8}, {"below", out.Min.X, out.Max.Y, out.W(), 8},
	} {
		if got := r.Dark(drawing.Box(side.x, side.y, side.w, side.h)); got > 0 {
			t.Errorf("the clipped disc has %d dark dots %s its window", got, side.name)
		}
	}
}

// figureShown checks that the figure stands twice in its place and is cut off by the second window.
func figureShown(t *testing.T, r Raster) {
	a, b := FigureAt[0], FigureAt[1]
	if got := r.Across(a.Y+40, a.X-3, a.X+5); math.Abs(got-(a.X+1)) > 0.1 {
		t.Errorf("the first ring's left side is at %.2f, want %g", got, a.X+1)
	}
	if got := r.Down(b.X+40, b.Y-3, b.Y+5); math.Abs(got-(b.Y+1)) > 0.1 {
		t.Errorf("the second ring's top is at %.2f, want %g", got, b.Y+1)
	}
	if got := r.Dark(drawing.Box(b.X-5, b.Y-5, FigureClip.Min.X-b.X+5-0.2, 90)); got > 0 {
		t.Errorf("%d dark dots left of the second window", got)
	}
	if got := r.Dark(drawing.Box(FigureClip.Max.X+0.2, b.Y-5, 30, 90)); got > 0 {
		t.Errorf("%d dark dots right of the second window", got)
	}
}

// CheckNames checks the first page of the sample, however it was made into dots: that names have ink where they measure.
func CheckNames(t *testing.T, r Raster) { namesDrawn(t, r) }

// CheckShapes checks the second page of the sample, however it was made into dots: the square and the clip.
func CheckShapes(t *testing.T, r Raster) {
	squareMeasures(t, r)
	clipHolds(t, r)
}
