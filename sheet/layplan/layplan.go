// Package layplan composes the lay plan: how the pieces lie on the cloth, to scale, with two points of every piece measured
// from the cloth's end and from the fold or the selvedge, so that each can be put in its place with a tape.
//
//   - [Sheet]: the plan of every cloth of a job, one after the other, and if wanted the comparison of widths;
//   - [Strip]: one picture of polygons on a strip, for the lay command.
//
// In the picture the cloth's end is at the top and the length runs down; the fold or the left selvedge is at the left. A long lay
// goes on over several pages; distances are always from the end. Points A and B of a piece are where its grain line, drawn
// on, meets its cut line. Pieces are numbered in the order of cutting, from the end.
package layplan

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"clothwright/curve"
	"clothwright/lay"
	"clothwright/piece"
	"clothwright/sheet/drawing"
	"clothwright/sheet/text"
	"clothwright/tape"
)

// Job is what the lay plan prints.
type Job struct {
	Job, Client, Garment string
	Date                 string
	Tape                 tape.Tape
	Paper                string // "A4" or "Letter"
	Plans                []*lay.Plan
	Trials               []lay.Trial // the comparison of widths, may be empty
	Findings             []piece.Finding
	DemoNote             string
}

// The frame of every page, in mm.
const (
	side   = 15.
	headAt = 11.
	headTo = 21.
	bandH  = 12.
	footH  = 13.
)

// Sheet draws the lay plan. The error is a paper that is not known or a job without plans.
func Sheet(j Job) (*drawing.Drawing, error) {
	size := drawing.A4
	switch j.Paper {
	case "A4", "":
	case "Letter":
		size = drawing.Letter
	default:
		return nil, fmt.Errorf("the paper is %q; A4 and Letter are allowed", j.Paper)
	}
	if len(j.Plans) == 0 && len(j.Trials) == 0 {
		return nil, errors.New("there is no cloth to lay the pieces on")
	}
	b := &book{j: j, size: size, d: &drawing.Drawing{Title: strings.TrimSpace(j.Garment + " lay plan " + j.Job)}}
	for _, p := range j.Plans {
		b.plan(p)
	}
	if len(j.Trials) > 0 {
		b.trials()
	}
	b.finish()
	return b.d, nil
}

// book is the drawing in the making.
type book struct {
	j      Job
	size   drawing.Size
	d      *drawing.Drawing
	titles []string
}

func (b *book) stops() []string {
	var out []string
	for _, f := range b.j.Findings {
		if f.Level == piece.Stop {
			out = append(out, f.Text)
		}
	}
	return out
}

func (b *book) page(title string) (*drawing.Page, curve.Rect) {
	p := b.d.Add(b.size)
	p.Title = title
	b.titles = append(b.titles, title)
	return p, b.box()
}

func (b *book) box() curve.Rect {
	top := headTo
	if len(b.stops()) > 0 {
		top += bandH
	}
	return drawing.Box(side, top, b.size.W-2*side, b.size.H-footH-top)
}

var (
	headTitle = drawing.Type{Size: 4, Bold: true}
	headWords = drawing.Type{Size: 3, Color: drawing.Dark}
)

// finish draws what stands on every page.
func (b *book) finish() {
	for i, p := range b.d.Pages {
		right := p.W - side
		page := fmt.Sprintf("page %d of %d", i+1, len(b.d.Pages))
		p.Text(right, headAt, page, headWords.At(drawing.End))
		p.Fit(side, headAt, right-side-headWords.Measure(page)-6, b.titles[i], headTitle)
		b.names(p)
		p.Line(side, headAt+6.8, right, headAt+6.8, drawing.Thin)
		if stops := b.stops(); len(stops) > 0 {
			b.band(p, stops)
		}
		if b.j.DemoNote != "" {
			p.Fit(side, p.H-6.5, right-side, b.j.DemoNote, drawing.Small)
		}
	}
}

// names sets whose job it is, each name by itself, so that one that reads from right to left does not turn its neighbours round.
func (b *book) names(p *drawing.Page) {
	x, y, t := side, headAt+5, headWords
	all := 0.0
	parts := []string{b.j.Client, b.j.Job, b.j.Garment, b.j.Date}
	for _, s := range parts {
		if s != "" {
			all += headWords.Measure(s) + 6
		}
	}
	if room := p.W - 2*side; all > room {
		t.Size *= room / all
	}
	first := true
	for i, s := range parts {
		if s == "" {
			continue
		}
		one := t
		one.Bold = i == 0
		if !first {
			p.Text(x-3, y, "·", one.At(drawing.Middle))
		}
		p.Text(x, y, s, one)
		x += one.Measure(s) + 6
		first = false
	}
}

// band says on every page that the job is not to be cut.
func (b *book) band(p *drawing.Page, stops []string) {
	y, w, h := headTo-1.5, p.W-2*side, bandH-3
	p.Rect(side, y, w, h, drawing.Solid(drawing.Accent))
	big := drawing.Type{Size: 5.4, Bold: true, Color: drawing.White}
	p.Text(side+3, y+h/2+2, "DO NOT CUT", big)
	x := side + 3 + big.Measure("DO NOT CUT") + 5
	words := text.Fractions(stops[0])
	if n := len(stops) - 1; n > 0 {
		words += fmt.Sprintf("  (and %d more)", n)
	}
	t := drawing.Type{Size: 3.1, Bold: true, Color: drawing.White}
	lines := t.Wrap(words, side+w-3-x)
	if len(lines) == 1 {
		p.Text(x, y+h/2+1.1, words, t)
		return
	}
	p.Fit(x, y+h/2-0.8, side+w-3-x, lines[0], t)
	p.Fit(x, y+h/2+3, side+w-3-x, strings.Join(lines[1:], " "), t)
}

// bought says a length to buy as the shop does: in yards and inches, or in metres.
func bought(t tape.Tape, mm float64) string {
	if t.Unit != tape.IN {
		return strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.3f", mm/1000), "0"), ".") + " m"
	}
	in := text.Fractions(tape.Tape{Unit: tape.IN, Step: tape.Inch / 8}.Format(mm))
	eighths := mm / (36 * tape.Inch / 8)
	if n := math.Round(eighths); n >= 1 && math.Abs(eighths-n) < 1e-6 {
		return text.Fractions(strings.TrimSuffix(tape.Tape{Unit: tape.IN, Step: tape.Inch / 8}.Format(n/8*tape.Inch), " in")) + " yd (" + in + ")"
	}
	return in
}

var ways = map[lay.Fold]string{
	lay.Lengthwise: "folded lengthwise, selvedge on selvedge, right sides together",
	lay.PartSingle: "folded lengthwise with one part single, right sides together",
	lay.Open:       "laid open, right side up",
	lay.Crosswise:  "folded across, right sides together",
	lay.Tubular:    "a tube, lying flat",
}

// said sets the fractions of a sentence.
func said(s string) string { return text.Fractions(s) }

// clothWords says what cloth it is and how it lies.
func (b *book) clothWords(p *lay.Plan) string {
	c, t := p.Cloth, b.j.Tape
	if p.Band {
		return said(fmt.Sprintf("Ready band %s high, laid open in one layer; the sewn edge of every piece lies on the raw edge. Cut across it square.", t.Fine(c.Width)))
	}
	s := fmt.Sprintf("%s wide, %s: %s to use", t.Fine(c.Width), ways[c.Fold], t.Fine(p.Usable))
	if c.Fold == lay.Lengthwise || c.Fold == lay.PartSingle {
		s += " from the fold"
	}
	s += ". "
	switch {
	case c.Nap:
		s += "With nap: every piece lies the same way, as the arrow shows. "
	case c.OneWay():
		s += "For the sake of its repeat every piece lies the same way up. "
	default:
		s += "Without nap: pieces lie either way up. "
	}
	s += fmt.Sprintf("At least %s between two cuts.", t.Fine(math.Max(c.Gap, lay.ChalkGap)))
	return said(s)
}

// plan draws the pages of one cloth.
func (b *book) plan(p *lay.Plan) {
	name := p.Cloth.Name
	if name == "" {
		name = string(p.Cloth.Material)
	}
	title := "Lay plan: " + name
	page, box := b.page(title)
	y := box.Min.Y
	if p.Laid() {
		y = b.summary(page, box, p)
	} else {
		y += page.Paragraph(box.Min.X, y, box.W(), b.clothWords(p), drawing.Body.Sized(3.6)) + 2
	}
	for _, f := range p.Findings {
		t := drawing.Body
		switch {
		case f.Level == piece.Stop:
			t = drawing.Strong.In(drawing.Accent)
		case f.Code == "lay:fold-at": // the first thing to do
			t = drawing.Strong
		}
		y += page.Paragraph(box.Min.X, y, box.W(), said(f.Text), t) + 1
	}
	y += 2
	if !p.Laid() {
		return
	}
	v := b.view(p, box.Max.Y-y)
	v.draw(page, box, y, title)
}

// summary sets what is to be bought, large, and the figures of the lay.
func (b *book) summary(page *drawing.Page, box curve.Rect, p *lay.Plan) float64 {
	c, t := p.Cloth, b.j.Tape
	y := box.Min.Y
	head := "Buy " + bought(t, p.Bought)
	if c.Length > 0 {
		head = "Remnant of " + bought(t, c.Length)
		if p.Fits {
			head += ": it is enough"
		} else {
			head += ": too short"
		}
	}
	page.Text(box.Min.X, y+5.5, head, drawing.Title)
	right := fmt.Sprintf("pieces take %s, %.0f %% of the cloth", t.Fine(p.Length), 100*p.Utilisation)
	if cost, ok := lay.Cost(c.Price, p.Bought); ok && c.Length == 0 {
		right += ", costs " + cost
	}
	figures := drawing.Body.Sized(3.4).At(drawing.End)
	if drawing.Title.Measure(head)+6+figures.Measure(said(right)) > box.W() {
		y += 5 // the two would run into each other
	}
	page.Text(box.Max.X, y+5.5, said(right), figures)
	y += 8.5
	return y + page.Paragraph(box.Min.X, y, box.W(), b.clothWords(p), drawing.Body.Sized(3.4)) + 1
}

// trials sets the comparison of widths.
func (b *book) trials() {
	page, box := b.page("The same pieces on other cloth")
	y := box.Min.Y
	y += page.Paragraph(box.Min.X, y, box.W(), "Every row is a lay of its own, found with the same effort. Waste is of the whole cloth bought, selvedges and margin included.", drawing.Body.Sized(3.4)) + 3
	t := drawing.Table{Type: drawing.Type{Size: 3.4}, Columns: []drawing.Column{
		{Title: "Width", Width: 22, Bold: true}, {Title: "Laid", Width: 32}, {Title: "Pieces take", Width: 28, Anchor: drawing.End}, {Title: "Buy", Width: 38, Anchor: drawing.End, Bold: true},
		{Title: "Waste", Width: 20, Anchor: drawing.End}, {Title: "Cost", Width: box.W() - 140, Anchor: drawing.End},
	}}
	var why []string
	seen := map[string]bool{}
	for i, r := range b.j.Trials {
		width := said(b.j.Tape.Fine(r.Width))
		row := drawing.Row{Rule: i > 0 && r.Width != b.j.Trials[i-1].Width}
		if r.Why != "" {
			row.Cells = []string{width, short[r.Fold], "–", "does not fit", "–", "–"}
			if !seen[r.Why] {
				seen[r.Why] = true
				why = append(why, r.Why)
			}
		} else {
			row.Cells = []string{width, short[r.Fold], said(b.j.Tape.Fine(r.Plan.Length)), bought(b.j.Tape, r.Plan.Bought), fmt.Sprintf("%.0f %%", 100*r.Waste()), r.Cost}
		}
		t.Rows = append(t.Rows, row)
	}
	used, _ := page.Table(box.Min.X, y, box.Max.Y-y, t)
	y += used + 4
	for _, s := range why {
		y += page.Paragraph(box.Min.X, y, box.W(), said(s), drawing.Body) + 1
	}
}

var short = map[lay.Fold]string{lay.Lengthwise: "folded", lay.PartSingle: "part single", lay.Open: "open", lay.Crosswise: "folded across", lay.Tubular: "tube"}

// Way is the way of laying in a word or two, for tables.
func Way(f lay.Fold) string { return short[f] }
