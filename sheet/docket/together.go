package docket

import (
	"fmt"
	"strings"

	"clothwright/cost"
	"clothwright/sheet/drawing"
	"clothwright/sheet/text"
)

// Piece is one garment of a run, as its sheets name it.
type Piece struct {
	Client string // who wears it
	Style  []string
}

// QuotationTogether is the price of several garments that are laid together: a line a garment, total, deposit and balance, and what each
// is in words. Nothing of the cost is on it. The pieces are in the order of the run.
func QuotationTogether(h Head, q *cost.Together, pieces []Piece, terms []string) (*drawing.Drawing, error) {
	b, err := begin(h, "Quotation")
	if err != nil {
		return nil, err
	}
	f := b.f
	f.Heading(h.Garment, drawing.Heading, 10)
	f.Space(4)
	prices(f, q.Client())
	f.Space(5)
	for _, t := range terms {
		f.Paragraph(t, words)
		f.Space(1)
	}
	f.Space(4)
	f.Heading("What is made", drawing.Heading, 12)
	f.Space(1)
	t := drawing.Table{Type: drawing.Type{Size: 3.2}, Columns: []drawing.Column{{Title: "No.", Width: 22}, {Title: "For", Width: 50}, {Title: "How", Width: f.W() - 72}}}
	for i, p := range pieces {
		t.Add(q.Names[i], p.Client, text.Fractions(sentences(p.Style)))
	}
	f.Table(t)
	return b.finish(), nil
}

// CostingTogether is the whole reckoning of a run for the maker: the cloth that is bought together and each garment's part of it, each
// garment's cost and price, and what they come to; then each garment's own costing. Heads are the garments' own.
func CostingTogether(h Head, q *cost.Together, heads []Head) (*drawing.Drawing, error) {
	b, err := beginCosting(h, q.Findings)
	if err != nil {
		return nil, err
	}
	f, c := b.f, q.Currency
	f.Paragraph(fmt.Sprintf("%d garments laid together; amounts in %s. Cloth is shared by the area that is cut for each garment, what is left over in rounding going to the largest rests; what is done once for the run is shared alike.", len(q.Each), c.Code), quiet)
	f.Space(4)
	f.Heading("Bought together", drawing.Heading, 14)
	t := drawing.Table{Type: drawing.Type{Size: 3.1}, Columns: []drawing.Column{{Title: "What", Width: f.W() - 83}, {Title: "Quantity", Width: 24, Anchor: drawing.End}, {Title: "At", Width: 33, Anchor: drawing.End}, {Title: "Amount", Width: 26, Anchor: drawing.End}}}
	sum := cost.Money{}
	for _, s := range q.Cloths {
		t.Add(text.Fractions(s.What), s.Quantity, s.Price, c.Bare(s.Amount))
		sum = sum.Add(s.Amount)
	}
	t.Rows = append(t.Rows, drawing.Row{Cells: []string{"Cloth together", "", "", c.Bare(sum)}, Bold: true, Rule: true})
	f.Table(t)
	f.Space(5)
	f.Heading("Each garment's part, in metres", drawing.Heading, 14)
	wide := min(30, (f.W()-28)/float64(max(1, len(q.Cloths))))
	t = drawing.Table{Type: drawing.Type{Size: 3.1}, Columns: []drawing.Column{{Title: "No.", Width: 28}}}
	for _, s := range q.Cloths {
		t.Columns = append(t.Columns, drawing.Column{Title: s.Cloth.Name, Width: wide, Anchor: drawing.End})
	}
	for i, name := range q.Names {
		row := []string{name}
		for _, s := range q.Cloths {
			row = append(row, fmt.Sprintf("%.3f", float64(s.Lengths[i])/1000))
		}
		t.Add(row...)
	}
	row := []string{"Together"}
	for _, s := range q.Cloths {
		all := int64(0)
		for _, mm := range s.Lengths {
			all += mm
		}
		row = append(row, fmt.Sprintf("%.3f", float64(all)/1000))
	}
	t.Rows = append(t.Rows, drawing.Row{Cells: row, Bold: true, Rule: true})
	f.Table(t)
	f.Space(5)
	f.Heading("Each garment", drawing.Heading, 14)
	t = drawing.Table{Type: drawing.Type{Size: 3.1}, Columns: []drawing.Column{{Title: "No.", Width: 28}}}
	for _, title := range []string{"Materials", "Labour", "Overhead", "Cost", "Price each", "Total"} {
		t.Columns = append(t.Columns, drawing.Column{Title: title, Width: (f.W() - 28) / 6, Anchor: drawing.End})
	}
	line := func(name string, of ...cost.Money) []string {
		out := []string{name}
		for _, m := range of {
			out = append(out, c.Bare(m))
		}
		return out
	}
	for i, x := range q.Each {
		t.Add(line(q.Names[i], x.Materials, x.Labour, x.Overhead, x.Cost, x.Each, x.Total)...)
	}
	t.Rows = append(t.Rows, drawing.Row{Cells: line("Together", q.Materials, q.Labour, q.Overhead, q.Cost, q.Goods, q.Total), Bold: true, Rule: true})
	f.Table(t)
	f.Space(4)
	f.Paragraph(fmt.Sprintf("Over the cost %s are left. At these prices an hour earns %s, labour and what is left together; %s min are reckoned.", c.Format(q.Profit), c.Format(q.Earns), q.Minutes), words)
	out := b.finish()
	for i, x := range q.Each {
		own, err := Costing(heads[i], x)
		if err != nil {
			return nil, err
		}
		out.Pages = append(out.Pages, own.Pages...)
	}
	return out, nil
}

// NamesOf says which jobs a run is of: all of a few, else the first and how many more.
func NamesOf(numbers []string) string {
	if len(numbers) <= 4 {
		return strings.Join(numbers, ", ")
	}
	return fmt.Sprintf("%s, %s and %d more", numbers[0], numbers[1], len(numbers)-2)
}
