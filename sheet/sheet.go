// Package sheet composes the printed sheets of a job, each as a neutral drawing that sheet/pdf and sheet/svg write:
//
//   - [Chalk]: how to chalk every piece on the cloth with tape, yardstick and a curve, no pattern printed;
//   - [FullSize]: every piece at full size, spread over pages of A4 or Letter; [Roll]: the same on a roll;
//   - [CutList]: what is cut, of what and how often; measures, corrections, the fit, the findings;
//   - [Order]: making up, step by step, with its cautions;
//   - [PiecesSVG]: one picture of all pieces;
//   - [All]: the whole book of a job, with a first page and contents.
//
// Everything is a function of its [Job]: the same job gives the same drawing. Every page says whose job it is, and
// when any finding says stop, every page says DO NOT CUT and why.
//
// Every figure on a sheet is one that the house's tape can show. A chalk step is measured from marks that are themselves
// chalked at rounded distances, so what is read is what was drafted; only curves are rounded when they are read, to
// the finer division of the tape.
package sheet

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"clothwright/curve"
	"clothwright/piece"
	"clothwright/sheet/drawing"
	"clothwright/sheet/text"
	"clothwright/tape"
)

// Job is all that the sheets of one garment print.
type Job struct {
	Job, Client, Garment string
	Date                 string // as it is to be printed; may be empty
	Tape                 tape.Tape
	Paper                string  // "A4" or "Letter"
	Roll                 float64 // width of the plotter's roll in mm, 0 when there is none
	Pattern              *piece.Pattern
	Measures             []Measure
	StyleWords           []string // the choices of style in words, such as "regular ease"
	Findings             []piece.Finding
	DemoNote             string // printed at the foot of every page, such as that the figures are made up; may be empty
}

// Measure is one measure of the body as it was used.
type Measure struct {
	Title string
	MM    float64 // degrees for an angle
	Text  string  // what to print; when empty, MM as the tape says it
	From  string  // "given", "estimated" or "derived"
}

// words is what a sheet prints for the measure.
func (m Measure) words(t tape.Tape) string {
	if m.Text != "" {
		return m.Text
	}
	return t.Format(m.MM)
}

// paper is the size of an upright page.
func (j Job) paper() (drawing.Size, error) {
	switch j.Paper {
	case "A4", "":
		return drawing.A4, nil
	case "Letter":
		return drawing.Letter, nil
	}
	return drawing.Size{}, fmt.Errorf("the paper is %q; A4 and Letter are allowed", j.Paper)
}

func (j Job) check() error {
	if j.Pattern == nil || len(j.Pattern.Pieces) == 0 {
		return errors.New("there is no piece to print")
	}
	_, err := j.paper()
	return err
}

// stops are the findings that say: do not cut.
func (j Job) stops() []piece.Finding { return j.level(piece.Stop) }

func (j Job) level(l piece.Level) []piece.Finding {
	var out []piece.Finding
	for _, f := range j.Findings {
		if f.Level == l {
			out = append(out, f)
		}
	}
	return out
}

// shortest is how many letters of a finding the band on every page repeats; the whole sentence is on the first page.
const shortest = 110

// short is the beginning of a sentence: up to its first full stop or semicolon, or to the last whole word that fits.
func short(s string) string {
	if i := strings.IndexAny(s, ";"); i > 0 {
		s = s[:i]
	}
	if i := strings.Index(s, ". "); i > 0 {
		s = s[:i]
	}
	s = strings.TrimSuffix(s, ".")
	r := []rune(s)
	if len(r) <= shortest {
		return s
	}
	cut := string(r[:shortest])
	if i := strings.LastIndex(cut, " "); i > shortest/2 {
		cut = cut[:i]
	}
	return strings.TrimRight(cut, " ,:") + " …"
}

// warning is what every page of full-size pieces carries when the job must not be cut, else empty.
func (j Job) warning() string {
	stops := j.stops()
	if len(stops) == 0 {
		return ""
	}
	w := "DO NOT CUT: " + text.Fractions(short(stops[0].Text))
	if n := len(stops) - 1; n > 0 {
		w += fmt.Sprintf(" (and %d more)", n)
	}
	return w
}

// who names the job in the edge of a full-size page.
func (j Job) who() string {
	var parts []string
	for _, s := range []string{j.Client, j.Job, j.Garment} {
		if s != "" {
			parts = append(parts, s)
		}
	}
	who := strings.Join(parts, " · ")
	if text.RTL(who) {
		who = "\u200e" + who // the line is ours and runs from the left, whatever script the client's name begins with
	}
	return who
}

// The frame of every page, in mm.
const (
	side   = 15. // left and right of the page
	headAt = 11. // baseline of the head's first line
	headTo = 20. // where the page's own matter begins when there is no band
	bandH  = 12. // height of the DO NOT CUT band with the air below it
	footH  = 13. // kept free below
)

// book is a drawing in the making: its pages get their heads when their number is known.
type book struct {
	j     Job
	size  drawing.Size
	d     *drawing.Drawing
	heads []head
}

type head struct {
	page  *drawing.Page
	title string
}

func newBook(j Job, title string) *book {
	size, _ := j.paper()
	return &book{j: j, size: size, d: &drawing.Drawing{Title: strings.TrimSpace(j.Garment + " " + title + " " + j.Job)}}
}

// page adds a page and returns it with the box to fill.
func (b *book) page(title string) (*drawing.Page, curve.Rect) {
	p := b.d.Add(b.size)
	p.Title = title
	b.heads = append(b.heads, head{p, title})
	return p, b.box()
}

// box is what a page has to fill, below its head and band.
func (b *book) box() curve.Rect {
	top := headTo
	if len(b.j.stops()) > 0 {
		top += bandH
	}
	return drawing.Box(side, top, b.size.W-2*side, b.size.H-footH-top)
}

// flow sets matter one below the other, on pages of one title.
func (b *book) flow(title string) *drawing.Flow {
	return &drawing.Flow{New: func() (*drawing.Page, curve.Rect) { return b.page(title) }}
}

// flowOf is flow with a title that changes while pages are filled.
func (b *book) flowOf(title *string) *drawing.Flow {
	return &drawing.Flow{New: func() (*drawing.Page, curve.Rect) { return b.page(*title) }}
}

// finish draws the heads, now that it is known how many pages there are.
func (b *book) finish() *drawing.Drawing {
	for _, h := range b.heads {
		n := 0
		for i, p := range b.d.Pages {
			if p == h.page {
				n = i + 1
			}
		}
		b.head(h, n)
	}
	return b.d
}

var (
	headTitle = drawing.Type{Size: 4, Bold: true}
	headWords = drawing.Type{Size: 3, Color: drawing.Dark}
)

func (b *book) head(h head, n int) {
	p, right := h.page, h.page.W-side
	page := fmt.Sprintf("page %d of %d", n, len(b.d.Pages))
	p.Text(right, headAt, page, headWords.At(drawing.End))
	put(&p.Layer, side, headAt, right-side-headWords.Measure(page)-6, h.title, headTitle)
	// Each name stands by itself, so that one that reads from right to left does not turn its neighbours round. Where they are
	// too long together, the longest give way.
	y := headAt + 5
	var parts []string
	for _, s := range []string{b.j.Client, b.j.Job, b.j.Garment, b.j.Date} {
		if s != "" {
			parts = append(parts, s)
		}
	}
	const gap = 6.
	widths, room := make([]float64, len(parts)), right-side
	for i, s := range parts {
		widths[i] = weight(headWords, i == 0).Measure(s) + 0.1
		room -= gap
	}
	share(widths, room+gap)
	x := side
	for i, s := range parts {
		words, t := fitted(s, widths[i], weight(headWords, i == 0))
		if i > 0 {
			p.Text(x-gap/2, y, "·", headWords.At(drawing.Middle))
		}
		p.Text(x, y, words, t)
		x += t.Measure(words) + gap
	}
	p.Line(side, y+1.8, right, y+1.8, drawing.Thin)
	if len(b.j.stops()) > 0 {
		b.band(p)
	}
	if b.j.DemoNote != "" {
		put(&p.Layer, side, p.H-6.5, right-side, b.j.DemoNote, drawing.Small)
	}
}

// share cuts the longest of some widths down until all together are no more than room.
func share(widths []float64, room float64) {
	most := room
	for range widths {
		sum, long := 0.0, 0
		for _, w := range widths {
			if w < most {
				sum += w
			} else {
				long++
			}
		}
		if long == 0 {
			break
		}
		most = (room - sum) / float64(long)
	}
	for i := range widths {
		widths[i] = math.Min(widths[i], most)
	}
}

// band says on every page that the job is not to be cut.
func (b *book) band(p *drawing.Page) {
	stops := b.j.stops()
	y, w, h := headTo-1., p.W-2*side, bandH-3
	p.Rect(side, y, w, h, drawing.Solid(drawing.Accent))
	big := drawing.Type{Size: 5.4, Bold: true, Color: drawing.White}
	p.Text(side+3, y+h/2+2, "DO NOT CUT", big)
	x := side + 3 + big.Measure("DO NOT CUT") + 5
	words := text.Fractions(short(stops[0].Text))
	if n := len(stops) - 1; n > 0 {
		words += fmt.Sprintf("  (and %d more)", n)
	}
	t := drawing.Type{Size: 3.1, Bold: true, Color: drawing.White}
	lines := t.Wrap(words, side+w-3-x)
	if len(lines) == 1 {
		p.Text(x, y+h/2+1.1, words, t)
		return
	}
	p.Text(x, y+h/2-0.8, lines[0], t)
	put(&p.Layer, x, y+h/2+3, side+w-3-x, strings.Join(lines[1:], " "), t)
}

// findings lists what the maker should know, the worst first: a heading for each level and a paragraph for each finding.
func findings(f *drawing.Flow, j Job, least piece.Level) {
	for _, l := range []struct {
		level piece.Level
		title string
		t     drawing.Type
	}{
		{piece.Stop, "Do not cut", drawing.Heading.In(drawing.Accent)},
		{piece.Warn, "Look at this before cutting", drawing.Heading},
		{piece.Info, "To know", drawing.Heading},
	} {
		fs := j.level(l.level)
		if len(fs) == 0 || l.level.Rank() < least.Rank() {
			continue
		}
		f.Heading(l.title, l.t, 10)
		for _, x := range fs {
			item(f, "–", text.Fractions(x.Text), drawing.Body.Sized(3.4))
		}
		f.Space(3)
	}
}

// item sets a paragraph with a sign hanging before it.
func item(f *drawing.Flow, sign, words string, t drawing.Type) {
	const in = 5.
	h := drawing.ParagraphHeight(f.W()-in, words, t)
	top := f.Room(h + 0.6)
	f.Page().Paragraph(f.X(), top, in, sign, t)
	f.Page().Paragraph(f.X()+in, top, f.W()-in, words, t)
}

// cuts says how often a piece is cut: "2 × shell, a pair", "1 × lining, on the fold".
func cuts(p *piece.Piece) string {
	s := fmt.Sprintf("%d × %s", p.Count, p.Material)
	switch {
	case p.OnFold:
		s += ", on the fold"
	case p.Pair:
		s += ", a pair"
	}
	if p.Side != "" {
		s += ", " + p.Side + " side"
	}
	return s
}

// titled is a piece's name for people.
func titled(p *piece.Piece) string {
	if p.Title != "" {
		return p.Title
	}
	return p.Name
}

// fr sets the fractions of lengths as one sign each, and keeps a figure and its unit on one line.
func fr(s string) string {
	s = text.Fractions(s)
	var out strings.Builder
	for i, r := range s {
		if r == ' ' && i > 0 && unitFrom(s[i+1:]) && !unicode.IsLetter(lastRune(s[:i])) && !unicode.IsPunct(lastRune(s[:i])) {
			r = '\u00a0'
		}
		out.WriteRune(r)
	}
	return out.String()
}

func unitFrom(s string) bool {
	for _, u := range []string{"in", "cm", "mm"} {
		if strings.HasPrefix(s, u) && (len(s) == 2 || !unicode.IsLetter(rune(s[2]))) {
			return true
		}
	}
	return false
}

func lastRune(s string) rune {
	r, _ := utf8.DecodeLastRuneInString(s)
	return r
}
