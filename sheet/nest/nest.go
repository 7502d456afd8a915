// Package nest draws a run of sizes one over another, as the trade stacks graded sizes to see that they grow evenly.
// It is for checking by eye: nothing is cut from it.
package nest

import (
	"fmt"
	"math"

	"clothwright/curve"
	"clothwright/piece"
	"clothwright/sheet/drawing"
	"clothwright/tape"
)

// Size is one size of a run.
type Size struct {
	Label   string
	Pattern *piece.Pattern
}

const (
	margin = 12.0
	head   = 22.0
	air    = 8.0
	scale  = 0.2 // one fifth, smaller where a piece would not go on the page
)

// widths tells sizes apart by the weight of their lines as well as by their dashes, so that a grey printer will do.
var strokes = []drawing.Style{
	drawing.Hair, drawing.Hair.Dashed(3, 1), drawing.Thin.In(drawing.Mid), drawing.Hair.Dashed(1, 1), drawing.Thin, drawing.Thin.Dashed(4, 1.2), drawing.Medium.In(drawing.Mid), drawing.Thin.Dashed(1.2, 1.2),
}

// Draw stacks the sizes, a block a piece: seam lines, all with their origins (centre front, fold, crown) on one
// point, and a table of what key edges measure in each size. Paper is "A4" or "Letter".
func Draw(title, paper string, t tape.Tape, sizes []Size) (*drawing.Drawing, error) {
	if len(sizes) == 0 {
		return nil, fmt.Errorf("there is no size to stack")
	}
	at := drawing.A4
	if paper == "Letter" {
		at = drawing.Letter
	}
	d := &drawing.Drawing{Title: title}
	b := book{d: d, size: at, title: title, sizes: sizes, tape: t}
	first := sizes[0].Pattern
	for i := range first.Pieces {
		b.block(first.Pieces[i].Name)
	}
	return d, nil
}

// book is the pages as they fill.
type book struct {
	d     *drawing.Drawing
	size  drawing.Size
	title string
	sizes []Size
	tape  tape.Tape
	page  *drawing.Page
	x, y  float64
	row   float64
}

// turnPage begins a page with its head and the key to the lines.
func (b *book) turnPage() {
	b.page = b.d.Add(b.size)
	b.page.Title = fmt.Sprintf("Nest %d", len(b.d.Pages))
	b.page.Fit(margin, margin+4, b.size.W-2*margin-30, b.title, drawing.Title)
	b.page.Text(b.size.W-margin, margin+4, "for checking, not for cutting", drawing.Small.At(drawing.End))
	x := margin
	for i, s := range b.sizes {
		b.page.Line(x, margin+12, x+9, margin+12, stroke(i))
		b.page.Text(x+10.5, margin+13, s.Label, drawing.Body)
		x += 14 + drawing.Body.Measure(s.Label)
	}
	b.x, b.y, b.row = margin, margin+head, 0
}

func stroke(i int) drawing.Style { return strokes[i%len(strokes)] }

// block stacks one piece of every size and its table.
func (b *book) block(name string) {
	all := curve.EmptyRect()
	var ps []*piece.Piece
	for _, s := range b.sizes {
		p := s.Pattern.Piece(name)
		ps = append(ps, p)
		if p != nil {
			all = all.Union(p.SeamLine().Bounds())
		}
	}
	if all.Empty() {
		return
	}
	table := drawing.Table{Columns: []drawing.Column{{Title: "size", Width: 14}}, Type: drawing.Small}
	var edges []string
	for _, e := range ps[0].Edges {
		if len(edges) < 4 && e.Finish == piece.Sewn {
			edges = append(edges, e.Name)
			table.Columns = append(table.Columns, drawing.Column{Title: words(e.Name), Width: 18})
		}
	}
	for i, p := range ps {
		if p == nil {
			continue
		}
		cells := []string{b.sizes[i].Label}
		for _, name := range edges {
			cell := ""
			if e := p.Edge(name); e != nil {
				cell = b.tape.Fine(e.Length())
			}
			cells = append(cells, cell)
		}
		table.Add(cells...)
	}
	k := math.Min(scale, (b.size.W-2*margin)/all.W())
	k = math.Min(k, (b.size.H-2*margin-head-20-table.Height())/all.H())
	w, h := math.Max(all.W()*k, table.Width()), all.H()*k+9+table.Height()
	if b.page == nil || b.x+w > b.size.W-margin && b.y+b.row+air+h > b.size.H-margin || b.y+h > b.size.H-margin {
		b.turnPage()
	}
	if b.x > margin && b.x+w > b.size.W-margin {
		b.x, b.y, b.row = margin, b.y+b.row+air, 0
		if b.y+h > b.size.H-margin {
			b.turnPage()
		}
	}
	b.page.Text(b.x, b.y+3, ps[0].Title, drawing.Heading)
	to := curve.Translate(curve.Point{X: -all.Min.X, Y: -all.Min.Y}).Then(curve.Scale(k, k)).Then(curve.Translate(curve.Point{X: b.x, Y: b.y + 6}))
	for i, p := range ps {
		if p != nil {
			b.page.Outline(stroke(i), p.SeamLine().Transform(to))
		}
	}
	b.page.Table(b.x, b.y+all.H()*k+9, table.Height()+10, table)
	b.x += w + air
	b.row = math.Max(b.row, h)
}

// words says an edge's name for people.
func words(name string) string {
	b := []byte(name)
	for i := range b {
		if b[i] == '_' {
			b[i] = ' '
		}
	}
	return string(b)
}
