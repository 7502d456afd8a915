package bitmap

import (
	"bytes"
	"encoding/binary"
	"math"
	"strings"
	"testing"

	"clothwright/curve"
	"clothwright/sheet/drawing"
	"clothwright/sheet/drawing/drawingtest"
	"clothwright/sheet/pdf"
)

// across is how many dots wide a page is at a resolution.
func across(p *drawing.Page, dpi int) int { return int(math.Round(p.W / 25.4 * float64(dpi))) }

// The names have ink where they measure, the square measures 100 mm, the clip holds: the checks that every writer passes.
func TestMeasures(t *testing.T) {
	d := drawingtest.Sample()
	const dpi = 300
	var all []drawingtest.Raster
	for _, p := range d.Pages {
		b, err := Bytes(p, across(p, dpi))
		if err != nil {
			t.Fatal(err)
		}
		r := drawingtest.PNGRaster(t, b)
		r.DPI = dpi
		all = append(all, r)
	}
	if a, b := must(t)(Bytes(d.Pages[2], 300)), must(t)(Bytes(drawingtest.Sample().Pages[2], 300)); !bytes.Equal(a, b) {
		t.Error("the same page gives other bytes")
	}
	drawingtest.CheckNames(t, all[0])
	drawingtest.CheckShapes(t, all[1])
}

// Outside: pdftoppm of poppler draws the PDF of the same page, with its own fill, stroke, clip and font code. The mean
// difference of grey over the page is small; the same picture one dot aside, or without its words, differs many times more.
func TestAgainstPoppler(t *testing.T) {
	d := drawingtest.Sample()
	doc, err := pdf.Bytes(d)
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range d.Pages {
		ours := drawingtest.PNGRaster(t, must(t)(Bytes(p, Phone)))
		theirs := drawingtest.PDFPicture(t, doc, i+1, ours.W, ours.H)
		got, aside := ours.Difference(theirs, 0), ours.Difference(theirs, 1)
		t.Logf("page %d: mean difference %.2f of 255, one dot aside %.2f", i+1, got, aside)
		if got > 1 || got > aside/2 {
			t.Errorf("page %d differs from poppler's by %.2f of 255 on average, one dot aside by %.2f", i+1, got, aside)
		}
		blank := drawingtest.Raster{W: ours.W, H: ours.H, Dots: bytes.Repeat([]byte{255}, len(ours.Dots))}
		ink, theirInk := ours.Difference(blank, 0), theirs.Difference(blank, 0)
		if math.Abs(ink-theirInk) > 0.05*theirInk { // as much ink in all
			t.Errorf("page %d has ink of %.2f, poppler's %.2f", i+1, ink, theirInk)
		}
	}
}

func must(t testing.TB) func([]byte, error) []byte {
	return func(b []byte, err error) []byte {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
}

// Facts that can be reckoned by hand, drawn at 10 dots to the mm.
func TestByHand(t *testing.T) {
	at := func(draw func(p *drawing.Page)) drawingtest.Raster {
		p := &drawing.Page{W: 10, H: 10}
		draw(p)
		picture, err := Draw(p, 100)
		if err != nil {
			t.Fatal(err)
		}
		return drawingtest.Grey(picture)
	}
	ink := func(r drawingtest.Raster) float64 { // mm² of black
		sum := 0.0
		for _, v := range r.Dots {
			sum += (255 - float64(v)) / 255
		}
		return sum / 100
	}
	for _, c := range []struct {
		what string
		want float64
		draw func(p *drawing.Page)
	}{
		{"a line of 6 by 0.7 mm, square ends", 6*0.7 + 0.7*0.7, func(p *drawing.Page) { p.Line(2, 5, 8, 5, drawing.Style{Width: 0.7, Cap: drawing.Square}) }},
		{"the same aslant, cut ends", math.Hypot(6, 4) * 0.7, func(p *drawing.Page) { p.Line(2, 3, 8, 7, drawing.Style{Width: 0.7}) }},
		{"round ends", 6*1 + math.Pi*0.25, func(p *drawing.Page) { p.Line(2, 5, 8, 5, drawing.Style{Width: 1, Cap: drawing.Round}) }},
		{"dashes of 1 mm, 1 mm apart", 3 * 0.5, func(p *drawing.Page) { p.Line(2, 5, 8, 5, drawing.Style{Width: 0.5}.Dashed(1, 1)) }},
		{"a disc", math.Pi * 9, func(p *drawing.Page) { p.Dot(5, 5, 3, drawing.Black) }},
		{"a frame: each corner once", 6*6 - 5*5 - (1-math.Pi/4)*0.25, func(p *drawing.Page) { p.Rect(2.25, 2.25, 5.5, 5.5, drawing.Style{Width: 0.5}) }},
		{"two discs over each other", math.Pi * 9, func(p *drawing.Page) { p.Dot(5, 5, 3, drawing.Black); p.Dot(5, 5, 3, drawing.Black) }},
		{"a disc with a hole", math.Pi * (9 - 4), func(p *drawing.Page) {
			hole := &drawing.Page{}
			hole.Circle(5, 5, 3, drawing.Solid(drawing.Black))
			hole.Circle(5, 5, 2, drawing.Solid(drawing.Black))
			a, b := hole.Items[0].(drawing.Path), hole.Items[1].(drawing.Path)
			a.Paths = append(a.Paths, b.Paths[0].Reverse())
			p.Put(a)
		}},
		{"the half of a disc in a turned group that its window leaves", math.Pi * 9 / 2, func(p *drawing.Page) {
			half := drawing.Box(5, 0, 5, 10)
			p.Within(curve.RotateAbout(0.7, curve.Point{X: 5, Y: 5}), &half).Dot(5, 5, 3, drawing.Black)
		}},
		{"what runs off the page", 10 * 2, func(p *drawing.Page) { p.Line(-1e9, 5, 1e9, 5, drawing.Style{Width: 2}) }},
	} {
		if got := ink(at(c.draw)); math.Abs(got-c.want) > 0.012*c.want {
			t.Errorf("%s: %.3f mm² are black, want %.3f", c.what, got, c.want)
		}
	}
}

// The file says the page's size: pHYs, in dots to the metre (PNG specification, 11.3.5.3).
func TestResolution(t *testing.T) {
	p := &drawing.Page{W: 210, H: 297}
	b := must(t)(Bytes(p, 1050)) // 5 dots to the mm
	i := bytes.Index(b, []byte("pHYs"))
	if i < 0 || binary.BigEndian.Uint32(b[i+4:]) != 5000 || binary.BigEndian.Uint32(b[i+8:]) != 5000 || b[i+12] != 1 {
		t.Errorf("pHYs does not say 5000 dots to the metre")
	}
	if r := drawingtest.PNGRaster(t, b); r.W != 1050 || r.H != 1485 {
		t.Errorf("%d x %d dots", r.W, r.H)
	}
	for _, bad := range []struct {
		w, h float64
		dots int
		want string
	}{{0, 10, 100, "more than 0"}, {210, 297, 0, "1 to 5318 dots are allowed"}, {210, 297, 9000, "1 to 5318 dots are allowed"}, {10, 5000, 1000, "allowed"}} {
		if _, err := Bytes(&drawing.Page{W: bad.w, H: bad.h}, bad.dots); err == nil || !strings.Contains(err.Error(), bad.want) {
			t.Errorf("%v: %v", bad, err)
		}
	}
}

func BenchmarkPage(b *testing.B) {
	p := drawingtest.Sample().Pages[0]
	for b.Loop() {
		if _, err := Bytes(p, Phone); err != nil {
			b.Fatal(err)
		}
	}
}

// A drawing in one picture is its pages' pictures one below another, each dot the same but for the hairline between them.
func TestColumn(t *testing.T) {
	d := &drawing.Drawing{}
	for _, words := range []string{"first page", "second", "third"} {
		p := d.Add(drawing.A4)
		p.Put(drawing.Text{At: curve.Point{X: 30, Y: 60}, Words: words, Type: drawing.Type{Size: 12}})
	}
	const dots = 420 // two to the millimetre, so that every page begins on a dot
	whole := drawingtest.PNGRaster(t, must(t)(Bytes(d.Column(), dots)))
	if whole.W != dots || whole.H != 3*594 {
		t.Fatalf("the picture is %d by %d dots; three pages of A4 at two a millimetre have 420 by 1782", whole.W, whole.H)
	}
	for i, p := range d.Pages {
		page := drawingtest.PNGRaster(t, must(t)(Bytes(p, dots)))
		from := i * len(page.Dots)
		inner := 4 * dots // dots of the rows beside the hairlines are left out
		if !bytes.Equal(page.Dots[inner:len(page.Dots)-inner], whole.Dots[from+inner:from+len(page.Dots)-inner]) {
			t.Errorf("page %d is not in the picture as it is by itself", i+1)
		}
	}
}
