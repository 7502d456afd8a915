package docket

import (
	"fmt"
	"strings"

	"clothwright/cost"
	"clothwright/curve"
	"clothwright/piece"
	"clothwright/sheet/drawing"
	"clothwright/sheet/text"
)

// Head names the job on every page.
type Head struct {
	House, Job, Client, Garment string
	Date                        string // the day of the sheet
	Paper                       string // "A4" or "Letter"
	Note                        string // at the foot of every page, as that the figures are made up; may be empty
	Stop                        string // why it must not be cut; empty when it may
}

func (h Head) size() (drawing.Size, error) {
	switch h.Paper {
	case "", "A4":
		return drawing.A4, nil
	case "Letter":
		return drawing.Letter, nil
	}
	return drawing.Size{}, fmt.Errorf("the paper is %q; A4 and Letter are allowed", h.Paper)
}

const (
	side  = 18.
	topAt = 30.
	foot  = 14.
)

type book struct {
	h     Head
	title string
	size  drawing.Size
	d     *drawing.Drawing
	f     *drawing.Flow
}

func begin(h Head, title string) (*book, error) {
	size, err := h.size()
	if err != nil {
		return nil, err
	}
	b := &book{h: h, title: title, size: size, d: &drawing.Drawing{Title: strings.TrimSpace(title + " " + h.Job)}}
	b.f = &drawing.Flow{New: func() (*drawing.Page, curve.Rect) {
		p := b.d.Add(size)
		p.Title = title
		top := topAt
		if h.Stop != "" {
			p.Rect(side, topAt-2, size.W-2*side, 9, drawing.Solid(drawing.Accent))
			p.Fit(side+3, topAt+4, size.W-2*side-6, "DO NOT CUT: "+text.Fractions(h.Stop), drawing.Type{Size: 4, Bold: true, Color: drawing.White})
			top += 12
		}
		return p, drawing.Box(side, top, size.W-2*side, size.H-foot-top)
	}}
	return b, nil
}

var (
	headTitle = drawing.Type{Size: 6.5, Bold: true}
	words     = drawing.Type{Size: 3.6, Leading: 1.35}
	quiet     = drawing.Type{Size: 3.1, Color: drawing.Dark, Leading: 1.35}
)

// finish draws the heads, now that it is known how many pages there are.
func (b *book) finish() *drawing.Drawing {
	b.f.Page()
	for i, p := range b.d.Pages {
		right := p.W - side
		p.Fit(side, 15, right-side-60, b.title, headTitle)
		p.Fit(right, 15, 58, text.Fractions(b.h.House), quiet.At(drawing.End))
		t := drawing.Type{Size: 3.2, Color: drawing.Dark}
		page := ""
		if len(b.d.Pages) > 1 {
			page = fmt.Sprintf("page %d of %d", i+1, len(b.d.Pages))
			p.Text(right, 21.5, page, t.At(drawing.End))
		}
		// Each name stands by itself, so that one that reads from right to left does not turn its neighbours round.
		x, room := side, right-side-30
		parts := []string{b.h.Client, b.h.Job, b.h.Garment, b.h.Date}
		all := 0.0
		for _, s := range parts {
			all += t.Measure(s) + 6
		}
		if all > room {
			t.Size *= room / all
		}
		for n, s := range parts {
			if s == "" {
				continue
			}
			one := t
			one.Bold = n == 0
			p.Text(x, 21.5, s, one)
			x += one.Measure(s) + 6
		}
		p.Line(side, 24, right, 24, drawing.Thin)
		if b.h.Note != "" {
			p.Fit(side, p.H-6.5, right-side, b.h.Note, drawing.Small)
		}
	}
	return b.d
}

// Quotation is the price for the client: lines, total, deposit and balance, what the garment is in words, and how long the price
// holds. Nothing of the cost is on it.
func Quotation(h Head, q *cost.Quote, style []string, holds string, terms []string) (*drawing.Drawing, error) {
	b, err := begin(h, "Quotation")
	if err != nil {
		return nil, err
	}
	f := b.f
	f.Heading(q.Garment, drawing.Heading, 10)
	if len(style) > 0 {
		f.Space(1)
		f.Paragraph(text.Fractions(sentences(style)), quiet)
	}
	f.Space(6)
	prices(f, q.Client())
	f.Space(6)
	if holds != "" {
		f.Paragraph(holds, words)
		f.Space(2)
	}
	for _, t := range terms {
		f.Paragraph(t, words)
		f.Space(1)
	}
	return b.finish(), nil
}

func sentences(style []string) string { return strings.Join(style, "; ") + "." }

func prices(f *drawing.Flow, lines []cost.ClientLine) {
	t := drawing.Table{Type: drawing.Type{Size: 3.8}, Columns: []drawing.Column{{Width: f.W() - 50}, {Width: 50, Anchor: drawing.End}}}
	for _, l := range lines {
		t.Rows = append(t.Rows, drawing.Row{Cells: []string{l.What, l.Amount}, Bold: l.Sum, Rule: l.Sum})
	}
	f.Table(t)
}

// beginCosting begins a sheet that the client is not to see, which it says.
func beginCosting(h Head, found []piece.Finding) (*book, error) {
	b, err := begin(h, "Costing")
	if err != nil {
		return nil, err
	}
	b.f.Paragraph("For the workroom alone: cost, margin and minutes are not the client's.", quiet)
	b.f.Space(3)
	findings(b.f, found)
	b.f.Space(3)
	return b, nil
}

// Costing is the whole reckoning, line by line, for the maker: never for the client, which it says.
func Costing(h Head, q *cost.Quote) (*drawing.Drawing, error) {
	b, err := beginCosting(h, q.Findings)
	if err != nil {
		return nil, err
	}
	f, c := b.f, q.Currency
	run := "1 piece"
	if q.Pieces > 1 {
		run = fmt.Sprintf("%d pieces", q.Pieces)
	}
	f.Paragraph(fmt.Sprintf("%s; amounts in %s, each line rounded by itself.", run, c.Code), quiet)
	f.Space(2)
	t := drawing.Table{Type: drawing.Type{Size: 3.1}, Columns: []drawing.Column{{Title: "What", Width: f.W() - 96}, {Title: "Stitch", Width: 13}, {Title: "Quantity", Width: 24, Anchor: drawing.End},
		{Title: "At", Width: 33, Anchor: drawing.End}, {Title: "Amount", Width: 26, Anchor: drawing.End}}}
	for _, g := range []struct {
		group cost.Group
		title string
		sum   cost.Money
	}{{cost.Materials, "Materials", q.Materials}, {cost.Labour, "Labour", q.Labour}, {cost.Overhead, "Overhead", q.Overhead}} {
		first := true
		for _, l := range q.Lines {
			if l.Group != g.group {
				continue
			}
			if first {
				t.Rows = append(t.Rows, drawing.Row{Cells: []string{g.title}, Bold: true, Rule: true})
				first = false
			}
			what := text.Fractions(l.What)
			if l.From == cost.Guessed {
				what += " (assumed)"
			} else if l.From == cost.Recorded {
				what += " (recorded)"
			}
			t.Add(what, l.Stitch, l.Quantity, l.Price, c.Bare(l.Amount))
		}
		if !first {
			t.Rows = append(t.Rows, drawing.Row{Cells: []string{"", "", "", "", c.Bare(g.sum)}, Bold: true})
		}
	}
	sum := func(what string, m cost.Money, bold bool) {
		t.Rows = append(t.Rows, drawing.Row{Cells: []string{what, "", "", "", c.Bare(m)}, Bold: bold, Rule: bold})
	}
	sum("Cost", q.Cost, true)
	sum(q.ProfitWords(), q.Goods.Sub(q.Cost).Sub(inside(q)), false)
	if !q.Discount.IsZero() {
		sum("Discount", q.Discount.Neg(), false)
	}
	sum(q.TaxName+", "+q.TaxPer.String()+" %", q.Tax, false)
	sum("Total", q.Total, true)
	sum("Deposit", q.Deposit, false)
	sum("Balance", q.Balance, false)
	f.Table(t)
	f.Space(4)
	f.Paragraph(fmt.Sprintf("Over the cost %s are left. At this price an hour earns %s, labour and what is left together; %s min are reckoned.", c.Format(q.Profit), c.Format(q.Earns), q.Minutes), words)
	return b.finish(), nil
}

// findings are what the maker should know, a paragraph each.
func findings(f *drawing.Flow, all []piece.Finding) {
	for _, x := range all {
		mark := drawing.Type{Size: 3.5, Leading: 1.35}
		if x.Level.Rank() >= piece.Warn.Rank() {
			mark = mark.Heavy().In(drawing.Accent)
		}
		f.Paragraph("– "+x.Text, mark)
		f.Space(1)
	}
}

// inside is the tax that lies within the goods' price.
func inside(q *cost.Quote) cost.Money {
	if q.TaxInside {
		return q.Tax
	}
	return cost.Money{}
}

// Size is one finished size.
type Size struct{ What, Text string }

// Change is one thing that a sheet says otherwise than the one before it. What a sheet does not say is empty.
type Change struct{ What, Was, Now string }

// changes sets what was and what is now side by side.
func changes(f *drawing.Flow, all []Change) {
	t := drawing.Table{Type: drawing.Type{Size: 3.4}, Columns: []drawing.Column{{Width: f.W() - 90}, {Title: "Before", Width: 45, Anchor: drawing.End}, {Title: "Now", Width: 45, Anchor: drawing.End}}}
	for _, c := range all {
		t.Add(text.Fractions(c.What), orDash(text.Fractions(c.Was)), orDash(text.Fractions(c.Now)))
	}
	f.Table(t)
}

func orDash(s string) string {
	if s == "" {
		return "–"
	}
	return s
}

// Agreement is what client and maker agree on.
type Agreement struct {
	Issue   int      // 1 for the first; each change makes a new one
	Changed []Change // since the issue before; none for the first
	Style   []string
	Sizes   []Size
	Prices  []cost.ClientLine
	Due     string   // the day promised
	Cloth   []string // the client's own cloth, a line each
	ByHand  []string // what was pinned and is made by hand
	Terms   []string
	Pattern *piece.Pattern
}

// Confirmation is the sheet to agree on before cutting: sketch, style, finished sizes, price, deposit, date, lines to sign.
func Confirmation(h Head, a Agreement) (*drawing.Drawing, error) {
	if a.Pattern == nil || len(a.Pattern.Pieces) == 0 {
		return nil, fmt.Errorf("there is no piece to sketch")
	}
	b, err := begin(h, fmt.Sprintf("Confirmation, issue %d", a.Issue))
	if err != nil {
		return nil, err
	}
	f := b.f
	if a.Issue > 1 {
		f.Paragraph(fmt.Sprintf("This sheet takes the place of issue %d, which no longer holds. Changed:", a.Issue-1), words.Heavy())
		f.Space(1)
		changes(f, a.Changed)
		f.Space(4)
	}
	sketchH := 72.
	if len(a.Changed) > 0 { // room for what changed, so that the lines to sign stay beside what is signed
		sketchH = 54
	}
	y := f.Room(sketchH)
	k := Sketch(&f.Page().Layer, a.Pattern, f.X(), y, f.W(), sketchH)
	if k > 0 {
		f.Paragraph(fmt.Sprintf("Front and back, sketched from the drafted pieces, about 1 : %.0f.", 1/k), quiet)
	}
	f.Space(3)
	f.Heading("What is made", drawing.Heading, 12)
	f.Paragraph(h.Garment+". "+text.Fractions(sentences(a.Style)), words)
	for _, c := range a.Cloth {
		f.Paragraph("Your own cloth: "+text.Fractions(c), words)
	}
	for _, c := range a.ByHand {
		f.Paragraph("By hand: "+text.Fractions(c), words)
	}
	f.Space(3)
	f.Heading("Finished sizes", drawing.Heading, 15)
	sizes(f, a.Sizes)
	f.Space(4)
	f.Heading("Price", drawing.Heading, 20)
	prices(f, a.Prices)
	f.Space(3)
	due := "No day is promised yet."
	if a.Due != "" {
		due = "Ready on " + a.Due + "."
	}
	f.Paragraph(due, words.Heavy())
	f.Space(1)
	for _, t := range a.Terms {
		f.Paragraph(t, quiet)
	}
	y = f.Room(26)
	half := f.W()/2 - 5
	for i, who := range []string{"Client", "Workroom"} {
		x := f.X() + float64(i)*(half+10)
		f.Page().Line(x, y+16, x+half, y+16, drawing.Thin)
		f.Page().Text(x, y+20.5, who+", day and signature", quiet)
	}
	return b.finish(), nil
}

// sizes sets sizes in two columns, each as wide for what it says as it can be, so that neither it nor its name is broken where there is room.
func sizes(f *drawing.Flow, s []Size) {
	const between = 6.
	t := drawing.Table{Type: drawing.Type{Size: 3.4}}
	half := (len(s) + 1) / 2
	for c := range 2 {
		name, said := 0.0, 0.0
		for i := c * half; i < min(len(s), (c+1)*half); i++ {
			name, said = max(name, t.Type.Measure(s[i].What)), max(said, t.Type.Measure(text.Fractions(s[i].Text)))
		}
		room := (f.W()-between)/2 - 4*cellAir
		spare := max(0, room-name-said)
		wide := min(said, max(room-name, room/2)) + spare/2 + 2*cellAir
		if c == 1 {
			t.Columns = append(t.Columns, drawing.Column{Width: between})
		}
		t.Columns = append(t.Columns, drawing.Column{Width: (f.W()-between)/2 - wide}, drawing.Column{Width: wide, Anchor: drawing.End})
	}
	for i := range half {
		cells := []string{s[i].What, text.Fractions(s[i].Text), "", "", ""}
		if i+half < len(s) {
			cells[3], cells[4] = s[i+half].What, text.Fractions(s[i+half].Text)
		}
		t.Add(cells...)
	}
	f.Table(t)
}

// cellAir is more than a table leaves beside the words of a cell, in mm.
const cellAir = 1.6

// Matter is what a docket page tells.
type Matter struct {
	Pattern     *piece.Pattern
	State, Due  string
	Draft       int
	Cut         []Size // pieces and how they are cut
	Materials   []Size // what is bought, with its length
	Findings    []piece.Finding
	Adjustments []string
	Fittings    []string
	Cloth       []string // the client's own
	Code        string   // what the QR code says; the job's number
}

// Docket is the page that follows the job on the table.
func Docket(h Head, m Matter) (*drawing.Drawing, error) {
	if m.Pattern == nil || len(m.Pattern.Pieces) == 0 {
		return nil, fmt.Errorf("there is no piece to sketch")
	}
	b, err := begin(h, "Docket")
	if err != nil {
		return nil, err
	}
	f := b.f
	const top, codeSide = 62., 38.
	y := f.Room(top)
	page := f.Page()
	Sketch(&page.Layer, m.Pattern, f.X(), y, f.W()-codeSide-6, top)
	x := f.X() + f.W() - codeSide
	if err := QR(&page.Layer, x, y-3, codeSide, m.Code); err != nil {
		return nil, err
	}
	page.Fit(x, y+codeSide+2, codeSide, h.Job, drawing.Type{Size: 5, Bold: true})
	page.Fit(x, y+codeSide+8, codeSide, "Due "+orNone(m.Due), words)
	page.Fit(x, y+codeSide+13.5, codeSide, fmt.Sprintf("%s, draft %d", m.State, m.Draft), words)
	f.Space(3)
	levels := map[piece.Level]string{piece.Stop: "Do not cut: ", piece.Warn: "Look: ", piece.Info: ""}
	section := func(title string, lines []string, t drawing.Type) {
		if len(lines) == 0 {
			return
		}
		f.Heading(title, drawing.Heading.Sized(3.8), 8)
		for _, s := range lines {
			f.Paragraph("– "+text.Fractions(s), t)
		}
		f.Space(2.5)
	}
	var grave, known []string
	for _, x := range m.Findings {
		if x.Level.Rank() >= piece.Warn.Rank() {
			grave = append(grave, levels[x.Level]+x.Text)
		} else {
			known = append(known, x.Text)
		}
	}
	small := drawing.Type{Size: 3.2, Leading: 1.3}
	section("Findings", grave, small.Heavy())
	section("Fittings", m.Fittings, small)
	section("Adjustments", m.Adjustments, small)
	section("The client's own cloth", m.Cloth, small)
	f.Heading("Materials", drawing.Heading.Sized(3.8), 12)
	sizes(f, m.Materials)
	f.Space(2.5)
	f.Heading("Cut list", drawing.Heading.Sized(3.8), 12)
	sizes(f, m.Cut)
	f.Space(2.5)
	section("To know", known, quiet)
	return b.finish(), nil
}

func orNone(s string) string {
	if s == "" {
		return "not promised"
	}
	return s
}
