package sheet

import (
	"fmt"
	"math"
	"strings"

	"clothwright/piece"
	"clothwright/sheet/drawing"
	"clothwright/sheet/text"
)

// All is the whole book of a job: a first page with a picture of all pieces, key figures, findings and contents, then cut list,
// chalk sheet, making-up order, and last the full-size pages. It fails as its parts do.
func All(j Job) (*drawing.Drawing, error) {
	if err := j.check(); err != nil {
		return nil, err
	}
	pages, err := j.fullPages()
	if err != nil {
		return nil, err
	}
	b := newBook(j, "")
	first, box := b.page("The job")
	type part struct {
		title, what string
		page        int
	}
	var parts []part
	begin := func(title, what string) { parts = append(parts, part{title, what, len(b.d.Pages) + 1}) }
	begin("Cut list", "pieces, ribs, zip, measures, corrections, fit")
	b.cutList()
	begin("Chalk sheet", "every step with tape and chalk, curves by table")
	b.chalk()
	begin("Making up", "order of work, stitches, cautions")
	b.order()
	begin("Full-size pages", "print only if you cut from paper")
	b.d.Pages = append(b.d.Pages, pages...)

	l := &first.Layer
	y := box.Min.Y
	y += l.Paragraph(box.Min.X, y, box.W(), j.Garment, drawing.Title.Sized(8))
	if len(j.StyleWords) > 0 {
		t := drawing.Type{Size: 3.8, Color: drawing.Dark}
		lines := t.Wrap(full1(text.Fractions(strings.Join(j.StyleWords, ", "))), box.W())
		if len(lines) > 3 {
			lines = append(lines[:2], strings.Join(lines[2:], " "))
		}
		for _, line := range lines {
			put(l, box.Min.X, y+4, box.W(), line, t)
			y += t.Pitch()
		}
	}
	y += 4
	low := box.Max.Y - 8 - float64(len(parts))*6.2
	c := low
	l.Text(box.Min.X, c, "Contents", drawing.Heading)
	c += 2
	for i, p := range parts {
		c += 6.2
		last := len(b.d.Pages)
		if i+1 < len(parts) {
			last = parts[i+1].page - 1
		}
		t := drawing.Type{Size: 3.6}
		l.Text(box.Min.X, c, p.title, t.Heavy())
		l.Text(box.Min.X+36, c, p.what, t.In(drawing.Dark))
		which := fmt.Sprintf("pages %d to %d", p.page, last)
		if p.page == last {
			which = fmt.Sprintf("page %d", last)
		}
		l.Text(box.Max.X, c, which, t.At(drawing.End))
		l.Line(box.Min.X, c+1.8, box.Max.X, c+1.8, drawing.Hair.In(drawing.Light))
	}
	y = b.keyFigures(l, box.Min.X, y, box.W()) + 5
	found := b.firstFindings(l, box.Min.X, box.W(), low-8, (low-y)*0.45)
	if g := fitGallery(j, box.W(), found-y-4); g.h <= found-y-4 {
		g.draw(l, box.Min.X, y)
	}
	return b.finish(), nil
}

// keyFigures sets the measures in a row of small fields and returns the foot.
func (b *book) keyFigures(l *drawing.Layer, x, y, w float64) float64 {
	j := b.j
	type field struct{ name, value string }
	var fs []field
	for _, m := range j.keyMeasures(5) {
		fs = append(fs, field{m.Title, fr(m.words(j.Tape))})
	}
	for _, n := range j.Pattern.Notions {
		fs = append(fs, field{n.Name, fr(j.Tape.Fine(n.Length))})
	}
	fs = append(fs, field{"Pieces", fmt.Sprint(len(j.Pattern.Pieces))}, field{"Tape", fr(j.Tape.String())})
	const cols = 4
	fw := w / cols
	for i, f := range fs {
		fx, fy := x+float64(i%cols)*fw, y+float64(i/cols)*12.5
		put(l, fx, fy+3.2, fw-3, full1(f.name), drawing.Type{Size: 2.9, Color: drawing.Dark})
		put(l, fx, fy+9, fw-3, f.value, drawing.Type{Size: 5, Bold: true})
	}
	return y + math.Ceil(float64(len(fs))/cols)*12.5
}

// firstFindings sets the findings above the foot, as many as fit into most mm, and returns their top.
func (b *book) firstFindings(l *drawing.Layer, x, w, foot, most float64) float64 {
	type line struct {
		words string
		t     drawing.Type
		h     float64
	}
	var lines []line
	h := 0.0
	left := 0
	for _, level := range []struct {
		l piece.Level
		t drawing.Type
	}{{piece.Stop, drawing.Type{Size: 3.5, Bold: true, Color: drawing.Accent}}, {piece.Warn, drawing.Type{Size: 3.4}}, {piece.Info, drawing.Type{Size: 3.2, Color: drawing.Dark}}} {
		for _, f := range b.j.level(level.l) {
			words := text.Fractions(f.Text)
			one := line{words, level.t, drawing.ParagraphHeight(w-5, words, level.t) + 0.8}
			if h+one.h > most {
				left++
				continue
			}
			lines = append(lines, one)
			h += one.h
		}
	}
	if left > 0 {
		lines = append(lines, line{fmt.Sprintf("and %d more on the cut list", left), drawing.Type{Size: 3.2, Color: drawing.Dark}, 5})
		h += 5
	}
	if len(lines) == 0 {
		lines = []line{{"Nothing found that speaks against cutting.", drawing.Type{Size: 3.4}, 5}}
		h = 5
	}
	top := foot - h
	l.Text(x, top-2, "Findings", drawing.Heading)
	y := top
	for _, one := range lines {
		l.Paragraph(x, y, 5, "–", one.t)
		l.Paragraph(x+5, y, w-5, one.words, one.t)
		y += one.h
	}
	return top - 7
}
