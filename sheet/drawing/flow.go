package drawing

import "clothwright/curve"

// Flow sets headings, paragraphs and tables one below the other and goes on to a new page when one is full.
//
//	f := drawing.Flow{New: func() (*drawing.Page, curve.Rect) { p := d.Add(drawing.A4); return p, drawing.Box(18, 20, 174, 257) }}
//	f.Paragraph("Cut in this order.", drawing.Body)
//	f.Table(cutList)
type Flow struct {
	// New makes the next page, draws what stands on every page, and returns it with the box to fill in mm.
	New func() (*Page, curve.Rect)

	page *Page
	box  curve.Rect
	y    float64
}

// Page returns the page being filled, making the first if there is none yet.
func (f *Flow) Page() *Page {
	if f.page == nil {
		f.Break()
	}
	return f.page
}

// Break goes on to a new page.
func (f *Flow) Break() {
	f.page, f.box = f.New()
	f.y = f.box.Min.Y
}

// Left is the height in mm that is left on the page.
func (f *Flow) Left() float64 { f.Page(); return f.box.Max.Y - f.y }

// X is the left side of the box being filled, in mm.
func (f *Flow) X() float64 { f.Page(); return f.box.Min.X }

// W is the width of the box being filled, in mm.
func (f *Flow) W() float64 { f.Page(); return f.box.W() }

// Y is where the next thing begins, in mm from the page's top.
func (f *Flow) Y() float64 { f.Page(); return f.y }

// Space leaves mm blank, but never at the top of a page.
func (f *Flow) Space(mm float64) {
	if f.Page(); f.y > f.box.Min.Y {
		f.y += mm
	}
}

// Room makes sure that mm are left, going on to a new page if not, and returns the place of their top. The caller draws
// there on [Flow.Page]; the next thing comes below.
func (f *Flow) Room(mm float64) float64 {
	if f.Page(); f.y+mm > f.box.Max.Y+1e-9 && f.y > f.box.Min.Y {
		f.Break()
	}
	top := f.y
	f.y += mm
	return top
}

// Heading sets a heading that is kept on one page with at least keep mm of what follows.
func (f *Flow) Heading(words string, t Type, keep float64) {
	h := ParagraphHeight(f.W(), words, t)
	top := f.Room(h + keep)
	f.Page().Paragraph(f.box.Min.X, top, f.box.W(), words, t)
	f.y -= keep
}

// Paragraph sets words, line by line over as many pages as they need.
func (f *Flow) Paragraph(words string, t Type) {
	for _, line := range t.Wrap(words, f.W()) {
		top := f.Room(t.Pitch())
		f.page.lines(f.box.Min.X, top, f.box.W(), []string{line}, t)
	}
}

// Table sets a table over as many pages as it needs, its header on each.
func (f *Flow) Table(t Table) {
	for {
		if len(t.Rows) > 0 && f.Left() < t.headHeight()+t.rowHeight(t.wrap(t.Rows[0])) && f.y > f.box.Min.Y {
			f.Break()
		}
		used, rest := f.Page().Table(f.box.Min.X, f.y, f.Left(), t)
		f.y += used
		switch {
		case used > 0 && len(rest.Rows) == 0 || used == 0 && len(t.Rows) == 0:
			return
		case used == 0 && f.y <= f.box.Min.Y: // not even a line fits on an empty page: let it run over
			used, rest = f.page.Table(f.box.Min.X, f.y, t.Height(), t)
			f.y += used
			return
		}
		t = rest
		f.Break()
	}
}
