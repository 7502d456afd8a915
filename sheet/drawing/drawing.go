// Package drawing is the neutral drawing that every sheet is composed in: pages of lines, outlines and words in
// millimetres, y down from the page's top left corner. Writers (sheet/pdf, sheet/svg) only translate it.
//
// A [Drawing] is a list of pages; a [Page] and a [Figure] are sheets of a given size with items on them. Items are
// values and are drawn in order, later over earlier. They are most easily added with the methods of [Layer], which
// every page, figure and group has:
//
//	d := drawing.Drawing{Title: "Chalk sheet"}
//	p := d.Add(drawing.A4)
//	p.Line(20, 40, 190, 40, drawing.Thin)
//	p.Text(20, 38, "Front", drawing.Heading)
//	h := p.Paragraph(20, 50, 80, "Square off the centre line …", drawing.Body)
//
// A big picture that is looked at through several windows, such as full-size pieces spread over many pages, is made
// once as a *[Figure] and shown with [Layer.Show]; the PDF writer stores it once.
//
// # The look
//
// Black lines of four weights (0.18, 0.35, 0.5, 0.7 mm), three greys and one accent, a deep red that prints as a dark
// grey on a monochrome printer and is therefore never the only carrier of a meaning. Five sizes of type.
package drawing

import "clothwright/curve"

// Size is the width and height of a page in mm.
type Size struct{ W, H float64 }

// Paper sizes, upright: ISO 216 A4 and A3, and the North American letter and ledger (ANSI/ASME Y14.1, 8.5 x 11 and
// 11 x 17 in).
var (
	A4      = Size{210, 297}
	A3      = Size{297, 420}
	Letter  = Size{215.9, 279.4}
	Tabloid = Size{279.4, 431.8}
)

// Across returns the size lying on its side.
func (s Size) Across() Size { return Size{s.H, s.W} }

// Drawing is a document of pages in order.
type Drawing struct {
	Title string // goes into the file's properties, not onto the pages
	Pages []*Page
}

// Add appends an empty page of the given size and returns it.
func (d *Drawing) Add(s Size) *Page {
	p := &Page{W: s.W, H: s.H}
	d.Pages = append(d.Pages, p)
	return p
}

// Page is one sheet of paper, W by H mm.
type Page struct {
	W, H  float64
	Title string // a name for the page in file names and document outlines; may be empty
	Layer
}

// Figure is a picture W by H mm that can be shown many times, on several pages, at several places. What lies outside
// its W by H is cut off.
type Figure struct {
	W, H float64
	Layer
}

// Layer is a list of items, drawn in order.
type Layer struct{ Items []Item }

// Put appends items.
func (l *Layer) Put(items ...Item) { l.Items = append(l.Items, items...) }

// Item is something drawn: a [Path], [Text], [Group] or [Window].
type Item interface{ item() }

// Path is one or more lines or outlines drawn together. Each of its paths is a contour of its own; a fill takes them all
// at once by the non-zero rule, so that an anticlockwise contour inside a clockwise one is a hole.
type Path struct {
	Paths  []curve.Path
	Closed bool // draw the joint from the end back to the start, and fill if the style has a fill
	Style  Style
}

// Text is one line of words. It never breaks; see [Layer.Paragraph] for words that do.
type Text struct {
	At    curve.Point // on the baseline, at the start, middle or end of the words as Type.Anchor says
	Words string
	Type  Type
}

// Group is a layer placed by a map from its own coordinates to those outside, and looked at through a window.
type Group struct {
	To   curve.Affine // the zero value means: stays where it is
	Clip *curve.Rect  // in the coordinates outside; nil shows all
	Layer
}

// Window shows a figure: Figure's coordinates are mapped by To, and only what falls in Clip is seen.
type Window struct {
	Figure *Figure
	To     curve.Affine // the zero value means: stays where it is
	Clip   *curve.Rect  // in the coordinates outside; nil shows the whole figure
}

func (Path) item()   {}
func (Text) item()   {}
func (*Group) item() {}
func (Window) item() {}

// Map returns the group's map, the identity for the zero value.
func (g *Group) Map() curve.Affine { return orIdentity(g.To) }

// Map returns the window's map, the identity for the zero value.
func (w Window) Map() curve.Affine { return orIdentity(w.To) }

func orIdentity(m curve.Affine) curve.Affine {
	if m == (curve.Affine{}) {
		return curve.Identity()
	}
	return m
}

// Box returns the rectangle with its top left corner at (x, y), w wide and h high.
func Box(x, y, w, h float64) curve.Rect {
	return curve.Rect{Min: curve.Point{X: x, Y: y}, Max: curve.Point{X: x + w, Y: y + h}}
}
