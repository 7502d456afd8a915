package pdf

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"clothwright/curve"
	"clothwright/sheet/drawing"
	"clothwright/sheet/text"

	"codeberg.org/go-pdf/fpdf"
)

// canvas writes items as PDF operators (ISO 32000-1, annex A) in a space of millimetres, y down.
type canvas struct {
	book  *book
	pageH float64
	raw   func(string)
	use   func(fpdf.Template, fpdf.PointType, fpdf.SizeType) // nil inside a figure

	buf   strings.Builder
	pen   pen
	saved []pen
}

// pen is the part of the graphics state that the canvas sets, so that it need not be set again.
type pen struct {
	line, fill string // colour operators
	width      string
	dash       string
	cap        string
}

func (c *canvas) put(format string, args ...any) {
	fmt.Fprintf(&c.buf, format, args...)
	c.buf.WriteByte('\n')
}

// flush hands what has been written to the library.
func (c *canvas) flush() {
	if c.buf.Len() > 0 {
		c.raw(strings.TrimSuffix(c.buf.String(), "\n"))
		c.buf.Reset()
	}
}

func (c *canvas) save() {
	c.buf.WriteString("q\n")
	c.saved = append(c.saved, c.pen)
}

func (c *canvas) restore() {
	c.buf.WriteString("Q\n")
	c.pen = c.saved[len(c.saved)-1]
	c.saved = c.saved[:len(c.saved)-1]
}

func (c *canvas) items(items []drawing.Item) {
	for _, it := range items {
		switch it := it.(type) {
		case drawing.Path:
			c.path(it)
		case drawing.Text:
			c.text(it)
		case *drawing.Group:
			c.save()
			c.clip(it.Clip)
			c.matrix(it.Map())
			c.items(it.Items)
			c.restore()
		case drawing.Window:
			c.window(it)
		}
	}
}

func (c *canvas) window(w drawing.Window) {
	c.save()
	c.clip(w.Clip)
	c.matrix(w.Map())
	if c.use == nil {
		whole := drawing.Box(0, 0, w.Figure.W, w.Figure.H)
		c.clip(&whole)
		c.items(w.Figure.Items)
	} else {
		t := c.book.figure(w.Figure)
		c.flush()
		_, size := t.Size()
		// This corner makes the library's own matrix the identity; the real one has just been written.
		c.use(t, fpdf.PointType{Y: c.pageH - size.Ht}, size)
	}
	c.restore()
}

func (c *canvas) clip(r *curve.Rect) {
	if r != nil {
		c.put("%s %s %s %s re W n", mm(r.Min.X), mm(r.Min.Y), mm(r.W()), mm(r.H()))
	}
}

func (c *canvas) matrix(m curve.Affine) {
	if m != curve.Identity() {
		c.put("%s %s %s %s %s %s cm", num(m.XX, 7), num(m.YX, 7), num(m.XY, 7), num(m.YY, 7), mm(m.DX), mm(m.DY))
	}
}

// set writes an operator unless it is the one in force.
func (c *canvas) set(now *string, op string) {
	if *now != op {
		*now = op
		c.buf.WriteString(op + "\n")
	}
}

var capOps = map[drawing.Cap]string{drawing.Butt: "0 J", drawing.Round: "1 J", drawing.Square: "2 J"}

func (c *canvas) path(p drawing.Path) {
	s := p.Style
	stroke, fill := s.Width > 0, s.Fill != nil && p.Closed
	if !stroke && !fill {
		return
	}
	if stroke {
		c.set(&c.pen.line, colour(s.Color, "RG", "G"))
		c.set(&c.pen.width, mm(s.Width)+" w")
		c.set(&c.pen.cap, capOps[s.Cap])
		c.set(&c.pen.dash, dash(s.Dash))
	}
	if fill {
		c.set(&c.pen.fill, colour(*s.Fill, "rg", "g"))
	}
	c.trace(p.Paths, p.Closed)
	switch {
	case stroke && fill:
		c.put("B")
	case fill:
		c.put("f")
	default:
		c.put("S")
	}
}

func (c *canvas) trace(paths []curve.Path, closed bool) {
	for _, path := range paths {
		for i, s := range path {
			k := s.Controls()
			if i == 0 || path[i-1].End() != k[0] {
				c.point(k[0], "m")
			}
			if s.Straight() {
				c.point(k[3], "l")
				continue
			}
			c.buf.WriteString(mm(k[1].X) + " " + mm(k[1].Y) + " " + mm(k[2].X) + " " + mm(k[2].Y) + " ")
			c.point(k[3], "c")
		}
		if closed && len(path) > 0 {
			c.put("h")
		}
	}
}

func (c *canvas) point(p curve.Point, op string) {
	c.buf.WriteString(mm(p.X) + " " + mm(p.Y) + " " + op + "\n")
}

func (c *canvas) text(t drawing.Text) {
	line := t.Type.Lay(t.Words)
	if len(line.Runs) == 0 {
		return
	}
	c.set(&c.pen.fill, colour(t.Type.Color, "rg", "g"))
	shift := -line.Width * float64(t.Type.Anchor) / 2
	at := curve.Rotate(t.Type.Turn).Then(curve.Translate(t.At))
	for _, r := range line.Runs {
		if r.Kind == text.Plain {
			c.words(r.Face, r.Shown, at, r.X+shift, t.Type.Size, 0)
			continue
		}
		c.save()
		c.matrix(curve.Translate(curve.Point{X: shift}).Then(at))
		c.trace(r.Ink, true)
		c.put("f")
		c.restore()
		c.ghost(r, at, shift, t.Type.Size)
	}
}

// words writes real text from x on the baseline of the line placed by at; spread, if not 0, is its width in percent.
func (c *canvas) words(f text.Face, s string, at curve.Affine, x, size, spread float64) {
	o := at.Apply(curve.Point{X: x})
	mode := ""
	if spread != 0 {
		mode = "3 Tr " + num(spread, 3) + " Tz "
	}
	c.put("BT /%s 1 Tf %s%s %s %s %s %s %s Tm <%s> Tj ET", c.book.fonts.name(c.book.f, f), mode,
		num(at.XX*size, 6), num(at.YX*size, 6), num(-at.XY*size, 6), num(-at.YY*size, 6), mm(o.X), mm(o.Y),
		c.book.fonts.hex(f, s))
}

// ghost writes the words of outlines invisibly, in the order in which they stand, as wide as the outlines.
func (c *canvas) ghost(r text.Run, at curve.Affine, shift, size float64) {
	shown := basic(r.Shown)
	em := 0.0
	for _, k := range shown {
		em += r.Face.Advance(k)
	}
	if em == 0 || strings.ContainsRune(shown, '\uFFFD') {
		return
	}
	c.save()
	c.words(r.Face, shown, at, r.X+shift, size, 100*r.Width/(em*size))
	c.restore()
}

func colour(k drawing.Color, full, grey string) string {
	if k.R == k.G && k.G == k.B {
		return num(float64(k.R)/255, 3) + " " + grey
	}
	return num(float64(k.R)/255, 3) + " " + num(float64(k.G)/255, 3) + " " + num(float64(k.B)/255, 3) + " " + full
}

func dash(lengths []float64) string {
	parts := make([]string, len(lengths))
	for i, d := range lengths {
		parts[i] = mm(d)
	}
	return "[" + strings.Join(parts, " ") + "] 0 d"
}

func mm(v float64) string { return num(v, 3) }

// num writes a number with at most the given decimals, without trailing zeros or a minus zero. It rounds to a millionth
// of the last decimal first, so that a value half way between two falls the same way on processors that multiply and add
// in one step as on those that do not.
func num(v float64, decimals int) string {
	scale := math.Pow10(decimals)
	r := math.Round(math.Round(v*scale*1e6)/1e6) / scale
	return strconv.FormatFloat(r+0, 'f', -1, 64)
}
