package svg

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"clothwright/curve"
	"clothwright/sheet/drawing"
	"clothwright/sheet/drawing/drawingtest"
)

func files(d *drawing.Drawing) ([][]byte, error) {
	var out [][]byte
	for _, p := range d.Pages {
		b, err := Bytes(p)
		if err != nil {
			return nil, err
		}
		out = append(out, b)
	}
	return out, nil
}

func TestSuite(t *testing.T) {
	drawingtest.Suite(t, drawingtest.Writer{
		Write: files,
		Read: func(t *testing.T, files [][]byte) []drawingtest.Page {
			var out []drawingtest.Page
			for _, b := range files {
				out = append(out, read(t, b))
			}
			return out
		},
	})
}

// read takes a page apart with encoding/xml.
func read(t *testing.T, b []byte) drawingtest.Page {
	t.Helper()
	var p drawingtest.Page
	var words strings.Builder
	in := xml.NewDecoder(bytes.NewReader(b))
	inText := false
	for {
		tok, err := in.Token()
		if errors.Is(err, io.EOF) {
			p.Words = words.String()
			return p
		}
		if err != nil {
			t.Fatalf("not well-formed: %v", err)
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			inText = tok.Name.Local == "text"
			if tok.Name.Local == "svg" {
				p.W, p.H = size(t, tok)
			}
		case xml.CharData:
			if inText {
				words.Write(tok)
			}
		case xml.EndElement:
			if inText {
				words.WriteByte('\n')
			}
			inText = false
		}
	}
}

// size reads width and height, which must be in mm and agree with the viewBox so that a unit is a millimetre.
func size(t *testing.T, svg xml.StartElement) (w, h float64) {
	attr := map[string]string{}
	for _, a := range svg.Attr {
		attr[a.Name.Local] = a.Value
	}
	w, err1 := strconv.ParseFloat(strings.TrimSuffix(attr["width"], "mm"), 64)
	h, err2 := strconv.ParseFloat(strings.TrimSuffix(attr["height"], "mm"), 64)
	want := "0 0 " + strings.TrimSuffix(attr["width"], "mm") + " " + strings.TrimSuffix(attr["height"], "mm")
	if err1 != nil || err2 != nil || !strings.HasSuffix(attr["width"], "mm") || attr["viewBox"] != want {
		t.Errorf("width %q, height %q, viewBox %q do not make a unit a millimetre", attr["width"], attr["height"], attr["viewBox"])
	}
	return w, h
}

// The goldens' rule for numbers: 0.001, no minus zero. A matrix's factors may have seven decimals.
func TestNumbers(t *testing.T) {
	p := &drawing.Page{W: 100, H: 50}
	p.Line(-0.0001, 1./3, 99.99951, -0.0, drawing.Hair)
	p.Stroke(drawing.Thin, curve.Path{curve.Cubic(curve.Point{X: 1e-9}, curve.Point{X: 1, Y: -1e-12}, curve.Point{X: 2. / 3}, curve.Point{X: 4})})
	b, err := Bytes(p)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`d="M0 0.333L100 0"`, `d="M0 0C1 0 0.667 0 4 0"`} {
		if !bytes.Contains(b, []byte(want)) {
			t.Errorf("no %s in\n%s", want, b)
		}
	}
	all, err := files(drawingtest.Sample())
	if err != nil {
		t.Fatal(err)
	}
	bad := regexp.MustCompile(`-0[ "A-Z]|[0-9]\.[0-9]{4,}`)
	matrix := regexp.MustCompile(`matrix\([^)]*\)|rotate\([^)]*\)`)
	for _, b := range all {
		if found := bad.Find(matrix.ReplaceAll(b, nil)); found != nil {
			t.Errorf("number %q", found)
		}
	}
}

// A browser draws the pages within the same measures.
func TestInABrowser(t *testing.T) {
	if testing.Short() {
		t.Skip("a browser is started only in the long run")
	}
	all, err := files(drawingtest.Sample())
	if err != nil {
		t.Fatal(err)
	}
	drawingtest.CheckNames(t, drawingtest.SVGRaster(t, all[0], drawing.A4.W, drawing.A4.H, 192))
	drawingtest.CheckShapes(t, drawingtest.SVGRaster(t, all[1], drawing.Letter.W, drawing.Letter.H, 192))
}
