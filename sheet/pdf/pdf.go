// Package pdf writes a drawing as a PDF file: pages of exact size, true Bézier curves, real text with embedded subset
// fonts, and each figure stored once however often it is shown.
//
// The same drawing gives the same bytes: the file has no dates, no random identifiers and a fixed order. It asks the
// viewer not to scale when printing (PrintScaling, ISO 32000-1, 12.2).
//
// Words whose letters are drawn as outlines (see sheet/text) are written a second time invisibly, so that they can be
// searched and copied. A rune beyond the basic plane is drawn but cannot be searched.
//
// Coordinates are written to 0.001 mm. The page box is written in hundredths of a point (0.0035 mm).
package pdf

import (
	"bytes"
	"fmt"
	"io"

	"clothwright/sheet/drawing"

	"codeberg.org/go-pdf/fpdf"
)

// Longest is the longest side a page may have, in mm: 14,400 points, the limit of PDF 1.6 and earlier (ISO 32000-1,
// annex C, from memory) that many readers still keep to.
const Longest = 5080

const pointsPerMM = 72 / 25.4

// Write writes d to w. It fails with a sentence for the user when d has no pages or a page is longer than [Longest] or
// has no size, and with w's error when w fails.
func Write(w io.Writer, d *drawing.Drawing) error {
	b, err := Bytes(d)
	if err != nil {
		return err
	}
	_, err = w.Write(b)
	return err
}

// Bytes returns d as a PDF file. See [Write] for its errors.
func Bytes(d *drawing.Drawing) ([]byte, error) {
	if err := check(d); err != nil {
		return nil, err
	}
	b := newBook(d)
	for _, p := range d.Pages {
		b.page(p)
	}
	return b.finish()
}

func check(d *drawing.Drawing) error {
	if len(d.Pages) == 0 {
		return fmt.Errorf("the drawing has no pages: a PDF file needs at least one")
	}
	for i, p := range d.Pages {
		name := fmt.Sprintf("page %d", i+1)
		if p.Title != "" {
			name += " (" + p.Title + ")"
		}
		if !(p.W > 0 && p.H > 0) {
			return fmt.Errorf("%s is %g x %g mm: both sides must be more than 0", name, p.W, p.H)
		}
		if p.W > Longest || p.H > Longest {
			return fmt.Errorf("%s is %.0f x %.0f mm: a PDF page may be at most %d mm long, so print it in parts", name, p.W, p.H, Longest)
		}
	}
	return nil
}

// book is a PDF file being written.
type book struct {
	f       *fpdf.Fpdf
	fonts   fonts
	figures map[*drawing.Figure]fpdf.Template
}

func newBook(d *drawing.Drawing) *book {
	first := d.Pages[0]
	f := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "mm", Size: fpdf.SizeType{Wd: first.W, Ht: first.H}})
	f.SetCompression(true)
	f.SetCatalogSort(true)
	f.SetAutoPageBreak(false, 0)
	f.SetMargins(0, 0, 0)
	f.SetProducer("clothwright", false)
	f.SetTitle(basic(d.Title), true)
	f.SetCreationDate(noDate)
	f.SetModificationDate(noDate)
	f.SetLang(placeForPreferences)
	return &book{f: f, figures: map[*drawing.Figure]fpdf.Template{}}
}

func (b *book) page(p *drawing.Page) {
	b.f.AddPageFormat("P", fpdf.SizeType{Wd: p.W, Ht: p.H})
	c := &canvas{book: b, pageH: p.H, raw: b.f.RawWriteStr, use: b.f.UseTemplateScaled}
	// From here on the page is in millimetres, y down from the top left corner; joints are round.
	c.put("%s 0 0 %s 0 %s cm 1 j", num(pointsPerMM, 8), num(-pointsPerMM, 8), num(p.H*pointsPerMM, 5))
	c.items(p.Items)
	c.flush()
}

// figure returns the stored form of a figure, storing it when it is first met. Its own space is millimetres, y down, so
// that it can be used on a page as it is. Windows inside it are drawn out: only whole figures are stored.
func (b *book) figure(fig *drawing.Figure) fpdf.Template {
	if t, ok := b.figures[fig]; ok {
		return t
	}
	// The library takes the size in mm and writes the box in points, so the size is given such that the points come
	// out as the figure's millimetres.
	size := fpdf.SizeType{Wd: fig.W / pointsPerMM, Ht: fig.H / pointsPerMM}
	t := b.f.CreateTemplateCustom(fpdf.PointType{}, size, func(tpl *fpdf.Tpl) {
		c := &canvas{book: b, raw: tpl.RawWriteStr}
		c.put("1 j")
		c.items(fig.Items)
		c.flush()
	})
	b.figures[fig] = t
	return t
}

func (b *book) finish() ([]byte, error) {
	b.fonts.register(b.f)
	var out bytes.Buffer
	if err := b.f.Output(&out); err != nil {
		return nil, fmt.Errorf("the PDF file could not be written: %w", err)
	}
	return b.fonts.dress(out.Bytes()), nil
}
