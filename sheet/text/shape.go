package text

import (
	"fmt"

	"clothwright/curve"

	"github.com/go-text/typesetting/font"
	"github.com/go-text/typesetting/font/opentype"
	"github.com/go-text/typesetting/harfbuzz"
	"github.com/go-text/typesetting/language"
)

// outline shapes a word and returns its contours, moved to at (y down, mm), and its width in mm.
func (f Face) outline(w []rune, rtl bool, size float64, at curve.Point) ([]curve.Path, float64) {
	c := f.get()
	defer c.mu.Unlock()
	buf := c.buf
	buf.Clear()
	buf.Props = harfbuzz.SegmentProperties{Script: script(w), Language: language.NewLanguage("und"), Direction: harfbuzz.LeftToRight}
	if rtl {
		buf.Props.Direction = harfbuzz.RightToLeft
	}
	buf.AddRunes(w, 0, len(w))
	buf.Shape(c.shape, nil)
	scale := size / units
	var ink []curve.Path
	pen, under := at, stack{cluster: -1}
	for i, g := range buf.Info {
		p := buf.Pos[i]
		o := pen.Add(curve.Point{X: float64(p.XOffset) * scale, Y: -float64(p.YOffset) * scale})
		if shape, ok := c.font.GlyphDataOutline(g.Glyph); ok {
			ink = append(ink, under.put(contours(shape, scale, o), g.Cluster, p.XAdvance == 0, size, at.Y)...)
		}
		pen.X += float64(p.XAdvance) * scale
	}
	return ink, pen.X - at.X
}

// Ink returns the outlines of the whole line, the plain runs among them, for a file that cannot rely on its reader's
// fonts. Size is the one the line was laid out in.
func (l Line) Ink(size float64) []curve.Path {
	var out []curve.Path
	for _, r := range l.Runs {
		if r.Kind == Plain {
			out = append(out, r.Face.glyphs(r.Words, size, r.X)...)
		}
		out = append(out, r.Ink...)
	}
	return out
}

// glyphs outlines words rune by rune, as a plain run stands.
func (f Face) glyphs(words string, size, x float64) []curve.Path {
	var out []curve.Path
	for _, r := range words {
		out = append(out, f.glyph(r, size, x)...)
		x += float64(f.Advance(r) * size)
	}
	return out
}

func (f Face) glyph(r rune, size, x float64) []curve.Path {
	c := f.get()
	defer c.mu.Unlock()
	g, _ := c.font.NominalGlyph(r)
	shape, _ := c.font.GlyphDataOutline(g)
	return contours(shape, size/units, curve.Point{X: x})
}

// stack is a letter and the marks put over it so far.
type stack struct {
	cluster int
	box     curve.Rect
}

// put adds a glyph and returns its contours where they are to stand. DejaVu gives no place for a mark over some capitals
// that have a dot below, such as U+1ECC with a tone of Yoruba or Igbo, and the mark would then lie across the letter: it
// is lifted to where the face has the accents of its own capitals, 0.056 em above the letter, and centred.
func (s *stack) put(glyph []curve.Path, cluster int, mark bool, size, base float64) []curve.Path {
	const clear, lift = 0.03, 0.056 // em
	box := curve.EmptyRect()
	for _, p := range glyph {
		box = box.Union(p.Bounds())
	}
	if box.Empty() {
		return glyph
	}
	if !mark || cluster != s.cluster {
		*s = stack{cluster, box}
		return glyph
	}
	above := box.Max.Y < base-float64(0.4*size)
	if above && box.Max.Y > s.box.Min.Y-float64(clear*size) {
		by := curve.Point{X: s.box.Center().X - box.Center().X, Y: s.box.Min.Y - float64(lift*size) - box.Max.Y}
		for i, p := range glyph {
			glyph[i] = p.Move(by)
		}
		box.Min, box.Max = box.Min.Add(by), box.Max.Add(by)
	}
	if above {
		s.box.Min.Y = box.Min.Y
	}
	return glyph
}

// script is the first script in a word that is not shared by all.
func script(w []rune) language.Script {
	for _, r := range w {
		if s := language.LookupScript(r); s != language.Common && s != language.Inherited && s != language.Unknown {
			return s
		}
	}
	return language.Latin
}

// contours turns a glyph, y up in font units, into closed paths, y down in mm.
func contours(g font.GlyphOutline, scale float64, o curve.Point) []curve.Path {
	var out []curve.Path
	var path curve.Path
	var here, start curve.Point
	at := func(p opentype.SegmentPoint) curve.Point {
		return curve.Point{X: o.X + float64(float64(p.X)*scale), Y: o.Y - float64(float64(p.Y)*scale)}
	}
	finish := func() {
		if here != start {
			path = append(path, curve.Line(here, start))
		}
		if len(path) > 0 && path.Bounds() != curve.Bounds(start) { // not an anchor's lone point
			out = append(out, path)
		}
		path = nil
	}
	for _, s := range g.Segments {
		switch a := s.Args; s.Op {
		case opentype.SegmentOpMoveTo:
			finish()
			here = at(a[0])
			start = here
		case opentype.SegmentOpLineTo:
			path = append(path, curve.Line(here, at(a[0])))
			here = at(a[0])
		case opentype.SegmentOpQuadTo:
			q, end := at(a[0]), at(a[1])
			path = append(path, curve.Cubic(here, here.Lerp(q, 2./3), end.Lerp(q, 2./3), end))
			here = end
		case opentype.SegmentOpCubeTo:
			path = append(path, curve.Cubic(here, at(a[0]), at(a[1]), at(a[2])))
			here = at(a[2])
		}
	}
	finish()
	return out
}

// box adds the frame that stands for a rune no face has, with its code, such as U+65E5, in it.
func (b *builder) box(r rune) {
	const (
		small  = 0.46 // the code's size in em
		air    = 0.12 // between frame and code, and outside the frame
		stroke = 0.045
	)
	code := []rune(fmt.Sprintf("U+%04X", r))
	x0 := b.line.Width + float64(air/2*b.size)
	base := -float64(0.22 * b.size)
	ink, wide := Mono.outline(code, false, float64(small*b.size), curve.Point{X: x0 + float64(air*b.size), Y: base})
	x1 := x0 + wide + float64(2*air*b.size)
	outer := curve.Rect{Min: curve.Point{X: x0, Y: -float64(0.73 * b.size)}, Max: curve.Point{X: x1, Y: float64(0.05 * b.size)}}
	frame := []curve.Path{ring(outer, false), ring(outer.Pad(-float64(stroke*b.size)), true)}
	b.add(Run{Kind: Boxed, Face: Mono, Width: x1 - b.line.Width + float64(air/2*b.size), Words: string(r), Shown: string(r), Ink: append(frame, ink...)})
}

// ring is the outline of a box, clockwise, or anticlockwise to make a hole in another.
func ring(r curve.Rect, hole bool) curve.Path {
	a, b, c, d := r.Min, curve.Point{X: r.Max.X, Y: r.Min.Y}, r.Max, curve.Point{X: r.Min.X, Y: r.Max.Y}
	if hole {
		b, d = d, b
	}
	return curve.Path{curve.Line(a, b), curve.Line(b, c), curve.Line(c, d), curve.Line(d, a)}
}
