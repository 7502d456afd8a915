// Package svg writes one page of a drawing as an SVG file (SVG 1.1) of exact size: width and height are in millimetres
// and one user unit is one millimetre, so that lengths in the file can be read off as they are.
//
// Words stay words. The families asked for are the ones the drawing was measured with, then what is at hand; textLength
// holds the words to the measured width, so that another font does not run out of its place. A line that needs shaping,
// or has a rune that no face has, is drawn as outlines as in the other writers, since readers differ most there; its
// words lie over it without ink, so that it can still be searched and copied.
//
// Numbers have three decimals at most and never a minus zero; the same page gives the same bytes.
package svg

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"clothwright/curve"
	"clothwright/sheet/drawing"
	"clothwright/sheet/text"
)

// Write writes the page to w. It fails with a sentence for the user when the page has no size, and with w's error when
// w fails.
func Write(w io.Writer, p *drawing.Page) error {
	b, err := Bytes(p)
	if err != nil {
		return err
	}
	_, err = w.Write(b)
	return err
}

// Bytes returns the page as an SVG file. See [Write] for its error.
func Bytes(p *drawing.Page) ([]byte, error) {
	if !(p.W > 0 && p.H > 0) || math.IsInf(p.W, 0) || math.IsInf(p.H, 0) {
		return nil, fmt.Errorf("the page %s is %g x %g mm: both sides must be more than 0", p.Title, p.W, p.H)
	}
	c := &canvas{figures: map[*drawing.Figure]string{}}
	c.items(p.Items)
	var out bytes.Buffer
	fmt.Fprintf(&out, `<?xml version="1.0" encoding="UTF-8"?>
<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="%smm" height="%smm" viewBox="0 0 %s %s" style="background:#fff" fill="none" stroke-linejoin="round" xml:space="preserve">
`, mm(p.W), mm(p.H), mm(p.W), mm(p.H))
	if p.Title != "" {
		fmt.Fprintf(&out, "<title>%s</title>\n", escape(text.Clean(p.Title)))
	}
	if c.defs.Len() > 0 {
		fmt.Fprintf(&out, "<defs>\n%s</defs>\n", c.defs.String())
	}
	out.WriteString(c.body.String())
	out.WriteString("</svg>\n")
	return out.Bytes(), nil
}

// canvas collects the page's body and the definitions it refers to.
type canvas struct {
	body, defs strings.Builder
	figures    map[*drawing.Figure]string // the names of those defined
	clips      int
}

func (c *canvas) put(format string, args ...any) {
	fmt.Fprintf(&c.body, format, args...)
	c.body.WriteByte('\n')
}

func (c *canvas) items(items []drawing.Item) {
	for _, it := range items {
		switch it := it.(type) {
		case drawing.Path:
			c.path(it)
		case drawing.Text:
			c.text(it)
		case *drawing.Group:
			end := c.open(it.Clip, it.Map())
			c.items(it.Items)
			c.put("%s", end)
		case drawing.Window:
			name := c.figure(it.Figure)
			end := c.open(it.Clip, it.Map())
			c.put(`<use xlink:href="#%s"/>`, name)
			c.put("%s", end)
		}
	}
}

// open begins a group and returns what ends it. A clip is in the coordinates outside, hence the group of its own.
func (c *canvas) open(clip *curve.Rect, m curve.Affine) (end string) {
	if clip != nil {
		c.put(`<g clip-path="url(#%s)">`, c.clip(*clip))
		end = "</g>"
	}
	if m == curve.Identity() {
		c.put("<g>")
	} else {
		c.put(`<g transform="matrix(%s %s %s %s %s %s)">`, num(m.XX, 7), num(m.YX, 7), num(m.XY, 7), num(m.YY, 7), mm(m.DX), mm(m.DY))
	}
	return "</g>" + end
}

func (c *canvas) clip(r curve.Rect) string {
	c.clips++
	name := fmt.Sprintf("clip%d", c.clips)
	fmt.Fprintf(&c.defs, `<clipPath id="%s"><rect x="%s" y="%s" width="%s" height="%s"/></clipPath>`+"\n",
		name, mm(r.Min.X), mm(r.Min.Y), mm(r.W()), mm(r.H()))
	return name
}

// figure defines a figure when it is first met and returns its name.
func (c *canvas) figure(f *drawing.Figure) string {
	if name, ok := c.figures[f]; ok {
		return name
	}
	name := fmt.Sprintf("figure%d", len(c.figures)+1)
	c.figures[f] = name
	outside := c.body.String()
	c.body.Reset()
	clip := c.clip(drawing.Box(0, 0, f.W, f.H))
	c.items(f.Items)
	inside := c.body.String()
	c.body.Reset()
	c.body.WriteString(outside)
	fmt.Fprintf(&c.defs, "<g id=\"%s\" clip-path=\"url(#%s)\">\n%s</g>\n", name, clip, inside)
	return name
}

var capNames = map[drawing.Cap]string{drawing.Round: "round", drawing.Square: "square"}

func (c *canvas) path(p drawing.Path) {
	s := p.Style
	stroke, fill := s.Width > 0, s.Fill != nil && p.Closed
	if !stroke && !fill {
		return
	}
	c.body.WriteString(`<path d="` + data(p.Paths, p.Closed) + `"`)
	if stroke {
		fmt.Fprintf(&c.body, ` stroke="%s" stroke-width="%s"`, colour(s.Color), mm(s.Width))
		if name := capNames[s.Cap]; name != "" {
			fmt.Fprintf(&c.body, ` stroke-linecap="%s"`, name)
		}
		if len(s.Dash) > 0 {
			parts := make([]string, len(s.Dash))
			for i, d := range s.Dash {
				parts[i] = mm(d)
			}
			fmt.Fprintf(&c.body, ` stroke-dasharray="%s"`, strings.Join(parts, " "))
		}
	}
	if fill {
		fmt.Fprintf(&c.body, ` fill="%s"`, colour(*s.Fill))
	}
	c.put("/>")
}

// data writes contours as path data (SVG 1.1, chapter 8) in absolute coordinates.
func data(paths []curve.Path, closed bool) string {
	var out strings.Builder
	at := func(op string, pts ...curve.Point) {
		out.WriteString(op)
		for i, p := range pts {
			if i > 0 {
				out.WriteByte(' ')
			}
			out.WriteString(mm(p.X) + " " + mm(p.Y))
		}
	}
	for _, path := range paths {
		for i, s := range path {
			k := s.Controls()
			if i == 0 || path[i-1].End() != k[0] {
				at("M", k[0])
			}
			if s.Straight() {
				at("L", k[3])
			} else {
				at("C", k[1], k[2], k[3])
			}
		}
		if closed && len(path) > 0 {
			out.WriteByte('Z')
		}
	}
	return out.String()
}

var families = [text.Faces]string{
	text.Sans: "'DejaVu Sans',sans-serif",
	text.Bold: "'DejaVu Sans',sans-serif",
	text.Mono: "'DejaVu Sans Mono',monospace",
}

func (c *canvas) text(t drawing.Text) {
	line := t.Type.Lay(t.Words)
	if len(line.Runs) == 0 {
		return
	}
	x := t.At.X - line.Width*float64(t.Type.Anchor)/2
	if line.RTL {
		x += line.Width // the start of words that read from right to left is their right end
	}
	fill := colour(t.Type.Color)
	if slices.ContainsFunc(line.Runs, func(r text.Run) bool { return r.Kind != text.Plain }) {
		c.outlines(line, t)
		fill = "none"
	}
	face := t.Type.Face()
	fmt.Fprintf(&c.body, `<text x="%s" y="%s" font-family="%s" font-size="%s" fill="%s"`, mm(x), mm(t.At.Y), families[face], mm(t.Type.Size), fill)
	if face == text.Bold {
		c.body.WriteString(` font-weight="bold"`)
	}
	if line.RTL {
		c.body.WriteString(` direction="rtl"`)
	}
	fmt.Fprintf(&c.body, ` textLength="%s" lengthAdjust="spacingAndGlyphs"`, mm(line.Width))
	if t.Type.Turn != 0 {
		fmt.Fprintf(&c.body, ` transform="rotate(%s %s %s)"`, num(t.Type.Turn*180/math.Pi, 5), mm(t.At.X), mm(t.At.Y))
	}
	c.put(`>%s</text>`, escape(text.Clean(t.Words)))
}

// outlines draws a line of words as outlines.
func (c *canvas) outlines(line text.Line, t drawing.Text) {
	to := curve.Translate(curve.Point{X: -line.Width * float64(t.Type.Anchor) / 2}).Then(curve.Rotate(t.Type.Turn)).Then(curve.Translate(t.At))
	ink := line.Ink(t.Type.Size)
	for i, p := range ink {
		ink[i] = p.Transform(to)
	}
	c.put(`<path d="%s" fill="%s"/>`, data(ink, true), colour(t.Type.Color))
}

func colour(k drawing.Color) string { return fmt.Sprintf("#%02x%02x%02x", k.R, k.G, k.B) }

func escape(s string) string {
	var out bytes.Buffer
	xml.EscapeText(&out, []byte(s)) // a bytes.Buffer does not fail
	return out.String()
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
