package drawingtest

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"clothwright/curve"
)

// Raster is a page as dots of grey, 0 black to 255 white.
type Raster struct {
	W, H int
	Dots []byte
	DPI  int
}

// darkest is the limit: a dot this dark or darker counts as ink.
const darkest = 140

func (r Raster) dark(x, y int) bool {
	return x >= 0 && y >= 0 && x < r.W && y < r.H && r.Dots[y*r.W+x] <= darkest
}

func (r Raster) dot(mm float64) int { return int(math.Floor(mm * float64(r.DPI) / 25.4)) }

// At reports whether any dot within reach dots of a place in mm is dark.
func (r Raster) At(p curve.Point, reach int) bool {
	x, y := r.dot(p.X), r.dot(p.Y)
	for dy := -reach; dy <= reach; dy++ {
		for dx := -reach; dx <= reach; dx++ {
			if r.dark(x+dx, y+dy) {
				return true
			}
		}
	}
	return false
}

// Dark counts the dark dots in a box in mm.
func (r Raster) Dark(b curve.Rect) int {
	n := 0
	for y := r.dot(b.Min.Y); y < r.dot(b.Max.Y); y++ {
		for x := r.dot(b.Min.X); x < r.dot(b.Max.X); x++ {
			if r.dark(x, y) {
				n++
			}
		}
	}
	return n
}

// Share is the part of a box in mm that is dark.
func (r Raster) Share(b curve.Rect) float64 {
	all := (r.dot(b.Max.X) - r.dot(b.Min.X)) * (r.dot(b.Max.Y) - r.dot(b.Min.Y))
	return float64(r.Dark(b)) / float64(all)
}

// Across finds the one line that crosses the level y between x0 and x1, all in mm: the middle of its ink, weighed by its
// darkness. NaN if there is none.
func (r Raster) Across(y, x0, x1 float64) float64 {
	row := r.dot(y) * r.W
	return r.middle(x0, x1, r.W, func(i int) byte { return r.Dots[row+i] })
}

// Down finds the one line that crosses the plumb line x between y0 and y1.
func (r Raster) Down(x, y0, y1 float64) float64 {
	col := r.dot(x)
	return r.middle(y0, y1, r.H, func(i int) byte { return r.Dots[i*r.W+col] })
}

func (r Raster) middle(from, to float64, n int, grey func(int) byte) float64 {
	sum, at := 0.0, 0.0
	for i := max(0, r.dot(from)); i < min(n, r.dot(to)); i++ {
		w := 255 - float64(grey(i))
		sum += w
		at += w * (float64(i) + 0.5)
	}
	if sum < 100 {
		return math.NaN()
	}
	return at / sum * 25.4 / float64(r.DPI)
}

// Tool returns the path of a program, or skips the test with a sentence.
func Tool(t testing.TB, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		t.Skipf("%s is not installed (Debian: poppler-utils for pdf…, chromium): this check is skipped", name)
	}
	return path
}

func run(t testing.TB, stdin []byte, name string, args ...string) []byte {
	t.Helper()
	cmd := exec.Command(Tool(t, name), args...)
	cmd.Stdin = bytes.NewReader(stdin)
	var complaint bytes.Buffer
	cmd.Stderr = &complaint
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s: %v: %s", name, err, complaint.String())
	}
	// Poppler reports a damaged file on standard error and goes on.
	if strings.HasPrefix(name, "pdf") && strings.Contains(complaint.String(), "rror") {
		t.Errorf("%s complains: %s", name, complaint.String())
	}
	return out
}

// PDFRaster draws one page, from 1, of a PDF file.
func PDFRaster(t testing.TB, pdf []byte, page, dpi int) Raster {
	t.Helper()
	n := strconv.Itoa(page)
	r, err := pgm(run(t, pdf, "pdftoppm", "-gray", "-r", strconv.Itoa(dpi), "-f", n, "-l", n, "-"))
	if err != nil {
		t.Fatal(err)
	}
	r.DPI = dpi
	return r
}

// PDFText returns the words of one page, from 1, in the order they lie.
func PDFText(t testing.TB, pdf []byte, page int) string {
	n := strconv.Itoa(page)
	return string(run(t, pdf, "pdftotext", "-layout", "-f", n, "-l", n, "-", "-"))
}

// PDFFonts returns the lines of the table of fonts, without its head.
func PDFFonts(t testing.TB, pdf []byte) []string {
	lines := strings.Split(strings.TrimSpace(string(run(t, pdf, "pdffonts", "-"))), "\n")
	return lines[min(2, len(lines)):]
}

// PDFInfo returns what is said about a PDF file and each of its pages.
func PDFInfo(t testing.TB, pdf []byte) string {
	return string(run(t, pdf, "pdfinfo", "-box", "-l", "-1", "-"))
}

// PDFSizes returns the media boxes' widths and heights in mm.
func PDFSizes(t testing.TB, pdf []byte) [][2]float64 {
	var out [][2]float64
	for _, line := range strings.Split(PDFInfo(t, pdf), "\n") {
		var page int
		var x0, y0, x1, y1 float64
		if n, _ := fmt.Sscanf(line, "Page %d MediaBox: %f %f %f %f", &page, &x0, &y0, &x1, &y1); n == 5 {
			out = append(out, [2]float64{(x1 - x0) * 25.4 / 72, (y1 - y0) * 25.4 / 72})
		}
	}
	return out
}

// SVGRaster draws an SVG file of a page of w x h mm in a browser.
func SVGRaster(t testing.TB, svg []byte, w, h float64, dpi int) Raster {
	t.Helper()
	Tool(t, "chromium")
	dir := t.TempDir()
	in, out := filepath.Join(dir, "in.svg"), filepath.Join(dir, "out.png")
	if err := os.WriteFile(in, svg, 0o644); err != nil {
		t.Fatal(err)
	}
	run(t, nil, "chromium", "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars",
		fmt.Sprintf("--force-device-scale-factor=%g", float64(dpi)/96),
		fmt.Sprintf("--window-size=%d,%d", int(math.Ceil(w*96/25.4)), int(math.Ceil(h*96/25.4))),
		"--screenshot="+out, in)
	file, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	r := PNGRaster(t, file)
	r.DPI = dpi
	return r
}

// PNGRaster reads a PNG file by Go's own reader; it says no resolution.
func PNGRaster(t testing.TB, file []byte) Raster {
	t.Helper()
	picture, err := png.Decode(bytes.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	return Grey(picture)
}

// Grey is a picture as dots of grey.
func Grey(picture image.Image) Raster {
	b := picture.Bounds()
	r := Raster{W: b.Dx(), H: b.Dy(), Dots: make([]byte, 0, b.Dx()*b.Dy())}
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			r.Dots = append(r.Dots, color.GrayModel.Convert(picture.At(x, y)).(color.Gray).Y)
		}
	}
	return r
}

// PDFPicture draws one page, from 1, of a PDF file w by h dots large.
func PDFPicture(t testing.TB, pdf []byte, page, w, h int) Raster {
	t.Helper()
	n := strconv.Itoa(page)
	r, err := pgm(run(t, pdf, "pdftoppm", "-gray", "-scale-to-x", strconv.Itoa(w), "-scale-to-y", strconv.Itoa(h), "-f", n, "-l", n, "-"))
	if err != nil {
		t.Fatal(err)
	}
	if r.W != w || r.H != h {
		t.Fatalf("poppler's picture is %d x %d dots, not %d x %d", r.W, r.H, w, h)
	}
	return r
}

// Difference is the mean difference of grey, 0 to 255, of two pictures of one size, the other moved aside by some dots.
func (r Raster) Difference(other Raster, aside int) float64 {
	sum, n := 0, 0
	for y := range r.H {
		for x := range r.W - aside {
			d := int(r.Dots[y*r.W+x]) - int(other.Dots[y*r.W+x+aside])
			sum += max(d, -d)
			n++
		}
	}
	return float64(sum) / float64(n)
}

// pgm reads a binary grey picture (netpbm P5 with 8 bits).
func pgm(b []byte) (Raster, error) {
	var r Raster
	var deep int
	in := bytes.NewReader(b)
	if _, err := fmt.Fscanf(in, "P5\n%d %d\n%d\n", &r.W, &r.H, &deep); err != nil || deep != 255 {
		return r, fmt.Errorf("no grey picture of 8 bits: %v", err)
	}
	r.Dots = b[len(b)-in.Len():]
	if len(r.Dots) < r.W*r.H {
		return r, fmt.Errorf("a picture of %d x %d dots has only %d", r.W, r.H, len(r.Dots))
	}
	return r, nil
}
