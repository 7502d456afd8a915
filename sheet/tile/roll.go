package tile

import (
	"fmt"
	"math"

	"clothwright/curve"
	"clothwright/sheet/drawing"
)

// Roll puts the whole figure on one page as wide as a printer's roll (such as 610 or 914 mm), as long as it needs to be,
// with the squares to measure in a strip above it. It fails with a sentence for the user when the figure is wider than
// the roll allows. How long a page may be depends on the writer.
func Roll(f *drawing.Figure, width float64, o Options) (*drawing.Page, error) {
	if !(f.W > 0 && f.H > 0) {
		return nil, fmt.Errorf("the full-size page would be empty: the figure is %g x %g mm", f.W, f.H)
	}
	if f.W > width-2*Margin {
		return nil, fmt.Errorf("the pieces lie %.0f mm wide, but a roll of %.0f mm has room for %.0f: turn them or take a wider roll", f.W, width, width-2*Margin)
	}
	const head, gap = 14, 16
	p := &drawing.Page{W: width, Title: o.Title}
	across := width-2*Margin >= Metric+squareGap+Inch
	w, h := Squares(&p.Layer, Margin, Margin+head, across)
	p.Fit(Margin, Margin+7, width-2*Margin, o.Title, drawing.Type{Size: 5.5, Bold: true})
	if x, wide := Margin+w+10, width-2*Margin-w-10; o.Warning != "" && wide > 60 {
		p.Paragraph(x, Margin+head, wide, o.Warning, drawing.Type{Size: 6, Bold: true, Color: drawing.Accent})
	} else if o.Warning != "" {
		p.Fit(Margin, Margin+head-2, width-2*Margin, o.Warning, drawing.Type{Size: 3.5, Bold: true, Color: drawing.Accent})
	}
	top := Margin + head + h + gap
	p.Line(Margin, top-gap/2, width-Margin, top-gap/2, layLine)
	win := curve.Rect{Min: curve.Point{X: Margin, Y: top}, Max: curve.Point{X: Margin + f.W, Y: top + f.H}}
	p.Show(f, Margin, top, &win)
	p.H = math.Ceil(top + f.H + Margin)
	return p, nil
}
