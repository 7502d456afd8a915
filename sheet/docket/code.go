package docket

import (
	"fmt"

	"clothwright/curve"
	"clothwright/sheet/drawing"

	"github.com/boombuler/barcode/qr"
)

// QR draws a QR code (ISO/IEC 18004, error correction M) of words as squares into a box of side mm with its top left corner at (x, y).
// The quiet zone of four modules that the standard wants lies inside the box. The error is words too long for a code.
func QR(l *drawing.Layer, x, y, side float64, words string) error {
	code, err := qr.Encode(words, qr.M, qr.Unicode)
	if err != nil {
		return fmt.Errorf("the QR code cannot hold %d bytes", len(words))
	}
	n := code.Bounds().Dx()
	u := side / float64(n+8)
	l.Rect(x, y, side, side, drawing.Solid(drawing.White))
	var paths []curve.Path
	for row := range n {
		for from := 0; from < n; from++ {
			to := from
			for to < n && dark(code.At(to, row).RGBA()) {
				to++
			}
			if to > from { // one rectangle for each run of dark modules
				x1, x2, y1, y2 := x+float64(u*float64(from+4)), x+float64(u*float64(to+4)), y+float64(u*float64(row+4)), y+float64(u*float64(row+5))
				paths = append(paths, curve.Polyline(curve.Point{X: x1, Y: y1}, curve.Point{X: x2, Y: y1}, curve.Point{X: x2, Y: y2}, curve.Point{X: x1, Y: y2}))
				from = to
			}
		}
	}
	l.Put(drawing.Path{Paths: paths, Closed: true, Style: drawing.Solid(drawing.Black)})
	return nil
}

func dark(r, _, _, _ uint32) bool { return r < 0x8000 }
