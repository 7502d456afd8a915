package pdf

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"

	"clothwright/curve"
	"clothwright/sheet/drawing"
	"clothwright/sheet/drawing/drawingtest"
	"clothwright/sheet/tile"
)

func TestSuite(t *testing.T) {
	drawingtest.Suite(t, drawingtest.Writer{
		Write: func(d *drawing.Drawing) ([][]byte, error) {
			b, err := Bytes(d)
			return [][]byte{b}, err
		},
		Read: func(t *testing.T, files [][]byte) []drawingtest.Page {
			var out []drawingtest.Page
			for i, size := range drawingtest.PDFSizes(t, files[0]) {
				out = append(out, drawingtest.Page{
					W: size[0], H: size[1], Words: drawingtest.PDFText(t, files[0], i+1),
					Raster: func(t *testing.T, dpi int) drawingtest.Raster { return drawingtest.PDFRaster(t, files[0], i+1, dpi) },
				})
			}
			return out
		},
	})
}

func write(t testing.TB, d *drawing.Drawing) []byte {
	t.Helper()
	b, err := Bytes(d)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestFontsAreEmbeddedSubsets(t *testing.T) {
	b := write(t, drawingtest.Sample())
	fonts := drawingtest.PDFFonts(t, b)
	if len(fonts) != 3 { // sans and bold for the names, mono for the code of the rune no face has
		t.Errorf("%d fonts, want 3: %q", len(fonts), fonts)
	}
	for _, line := range fonts {
		// Columns of pdffonts from the right: object, generation, uni, sub, emb.
		f := strings.Fields(line)
		if n := len(f); n < 5 || strings.Join(f[n-5:n-2], " ") != "yes yes yes" {
			t.Errorf("not embedded, a subset, and searchable: %s", line)
		}
	}
	// The three TrueType files have 1.8 MB together.
	if len(b) > 200_000 {
		t.Errorf("the file has %d bytes: are whole fonts in it?", len(b))
	}
}

func TestNoDatesAndNoScaling(t *testing.T) {
	b := write(t, drawingtest.Sample())
	for _, word := range []string{"CreationDate", "ModDate", "/ID"} {
		if bytes.Contains(b, []byte(word)) {
			t.Errorf("the file has %s", word)
		}
	}
	// ISO 32000-1, viewer preferences (clause number from memory: 12.2): PrintScaling None asks for no page scaling; it came with PDF 1.6.
	if !bytes.Contains(b, []byte("/PrintScaling /None")) || !bytes.HasPrefix(b, []byte("%PDF-1.6\n")) {
		t.Error("the file does not ask for printing without scaling")
	}
	info := drawingtest.PDFInfo(t, b)
	if strings.Contains(info, "Date") || !strings.Contains(info, "Sample (names & shapes)") {
		t.Errorf("pdfinfo reads\n%s", info)
	}
}

func TestPlotterRoll(t *testing.T) {
	d := &drawing.Drawing{}
	d.Add(drawing.Size{W: 900, H: 4000}).Rect(10, 10, 880, 3980, drawing.Medium)
	got := drawingtest.PDFSizes(t, write(t, d))
	if len(got) != 1 || math.Abs(got[0][0]-900) > 0.0036 || math.Abs(got[0][1]-4000) > 0.0036 {
		t.Errorf("page sizes %v, want 900 x 4000", got)
	}
}

func TestTooLongIsRefused(t *testing.T) {
	d := &drawing.Drawing{}
	d.Add(drawing.A4)
	d.Add(drawing.Size{W: 900, H: 5200}).Title = "Roll"
	want := "page 2 (Roll) is 900 x 5200 mm: a PDF page may be at most 5080 mm long, so print it in parts"
	if _, err := Bytes(d); err == nil || err.Error() != want {
		t.Errorf("error %v, want %s", err, want)
	}
	if _, err := Bytes(&drawing.Drawing{}); err == nil {
		t.Error("a drawing without pages was written")
	}
}

// A figure is stored once however often it is shown. A page that shows it costs its own entries only: 500 bytes each is
// generous for those, and the figure is some 15,000.
func TestFigureIsStoredOnce(t *testing.T) {
	f := bigFigure()
	file := func(n int) []byte {
		d := &drawing.Drawing{}
		for range n {
			d.Add(drawing.A4).Show(f, -100, -100, nil)
		}
		return write(t, d)
	}
	one, many := file(1), file(41)
	if n := bytes.Count(many, []byte("/Subtype /Form")); n != 1 {
		t.Errorf("%d forms stored, want 1", n)
	}
	if grown := len(many) - len(one); grown > 40*500 {
		t.Errorf("one page has %d bytes, 40 more add %d", len(one), grown)
	}
}

// bigFigure has 600 curves on 900 x 1300 mm.
func bigFigure() *drawing.Figure {
	f := &drawing.Figure{W: 900, H: 1300}
	at := func(x, y float64) curve.Point { return curve.Point{X: x, Y: y} }
	for i := range 100 {
		x, y := float64(i%10)*88+5, float64(i/10)*128+5
		var p curve.Path
		for k := range 6 {
			a0, a1 := float64(k)*math.Pi/3, float64(k+1)*math.Pi/3
			pt := func(a, r float64) curve.Point { return at(x+40+40*r*math.Cos(a), y+60+60*r*math.Sin(a)) }
			p = append(p, curve.Cubic(pt(a0, 1), pt(a0+0.3, 1.1), pt(a1-0.3, 0.9), pt(a1, 1)))
		}
		f.Outline(drawing.Medium, p)
		f.Text(x+20, y+60, fmt.Sprintf("piece %d", i), drawing.Body)
	}
	return f
}

func BenchmarkTiles(b *testing.B) {
	f := bigFigure()
	bytes, pages := 0, 0
	for b.Loop() {
		set, err := tile.Cut(f, tile.Options{Paper: drawing.A4, Title: "benchmark"})
		if err != nil {
			b.Fatal(err)
		}
		d := &drawing.Drawing{Pages: set.Pages()}
		out, err := Bytes(d)
		if err != nil {
			b.Fatal(err)
		}
		bytes, pages = len(out), len(d.Pages)
	}
	b.ReportMetric(float64(bytes), "bytes/file")
	b.ReportMetric(float64(pages), "pages")
}

func BenchmarkSample(b *testing.B) {
	d := drawingtest.Sample()
	for b.Loop() {
		if err := Write(io.Discard, d); err != nil {
			b.Fatal(err)
		}
	}
}
