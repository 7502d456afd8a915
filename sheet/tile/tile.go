// Package tile spreads one big figure, full size, over pages that a small printer can print, and joins them again:
//
//	set, err := tile.Cut(figure, tile.Options{Paper: drawing.A4, Title: "Jacket for …"})
//	d.Pages = append(d.Pages, set.Pages()...)
//
// Rows are A, B, C … from the top, columns 1, 2, 3 … from the left, so that a page is called B3. Every page shows
// the figure through a window inside the printable margins. Neighbours share an overlap: the page to the right or below
// is cut along its trim line (a whole line) and laid on the page before it, its edge against the lay line (a dashed line)
// there. Half-diamonds on both lines then make whole ones with the two pages' names on either side.
//
// A page on which nothing is drawn is left out, unless it is the inside of a piece; the map on the first page shows it
// crossed out. The first page also has the squares to measure before cutting.
//
// [Roll] puts the same figure on one long page for a wide printer.
package tile

import (
	"fmt"
	"math"
	"strconv"

	"clothwright/curve"
	"clothwright/sheet/drawing"
)

// Margin is the width in mm of the paper's edge that is kept free: most printers reach to within 5 mm. *Common practice*.
const Margin = 10

// Overlap is the width in mm of the strip that two neighbours share: room for glue. *Common practice*.
const Overlap = 10

// Options say how a figure is tiled.
type Options struct {
	Paper   drawing.Size // upright, such as drawing.A4 or drawing.Letter; the pages may be laid across
	Title   string       // in the edge of every page: whose pieces these are
	Warning string       // in red in the edge of every page, such as a finding that says not to cut; may be empty
}

// Tile is one page of a set.
type Tile struct {
	Name     string     // such as B3
	Row, Col int        // from 0
	Window   curve.Rect // what it shows, in the figure's coordinates
	Page     *drawing.Page
}

// Set is a tiled figure.
type Set struct {
	Paper      drawing.Size // as it lies: upright or across
	Rows, Cols int
	Cover      *drawing.Page // the map, the squares to measure, and how to join the pages
	Tiles      []Tile        // row by row, without the empty ones

	options Options
	figure  *drawing.Figure
	at      map[[2]int]int // row and column to the index in Tiles
}

// Pages returns the pages to print in order, the cover first.
func (s *Set) Pages() []*drawing.Page {
	out := []*drawing.Page{s.Cover}
	for _, t := range s.Tiles {
		out = append(out, t.Page)
	}
	return out
}

// Name returns the name of the page in a row and column, both from 0: A1, B3, and AA1 after Z1.
func Name(row, col int) string {
	letters := ""
	for n := row + 1; n > 0; n = (n - 1) / 26 {
		letters = string(rune('A'+(n-1)%26)) + letters
	}
	return letters + strconv.Itoa(col+1)
}

// Cut tiles a figure on the paper, upright or across, whichever needs fewer pages. It fails with a sentence for the user
// when there is nothing to show or the paper is too small for its squares to measure (150 x 250 mm).
func Cut(f *drawing.Figure, o Options) (*Set, error) {
	ink := f.Ink()
	if !(f.W > 0 && f.H > 0) || ink.Bounds().Empty() {
		return nil, fmt.Errorf("the full-size pages would be empty: nothing is drawn on the figure of %g x %g mm", f.W, f.H)
	}
	if !(o.Paper.W >= 150 && o.Paper.H >= 250) {
		return nil, fmt.Errorf("the paper is %g x %g mm: full-size pages need at least 150 x 250 mm", o.Paper.W, o.Paper.H)
	}
	s := plan(f, ink, o, o.Paper)
	if across := plan(f, ink, o, o.Paper.Across()); len(across.Tiles) < len(s.Tiles) {
		s = across
	}
	for i := range s.Tiles {
		s.page(&s.Tiles[i], i)
	}
	s.cover()
	return s, nil
}

// window is the size of what one page shows, and step the distance from one page's window to the next.
func window(paper drawing.Size) (w, h float64) { return paper.W - 2*Margin, paper.H - 2*Margin }

func plan(f *drawing.Figure, ink drawing.Ink, o Options, paper drawing.Size) *Set {
	w, h := window(paper)
	s := &Set{
		Paper: paper, Rows: count(f.H, h), Cols: count(f.W, w),
		options: o, figure: f, at: map[[2]int]int{},
	}
	for row := range s.Rows {
		for col := range s.Cols {
			win := drawing.Box(float64(col)*(w-Overlap), float64(row)*(h-Overlap), w, h)
			if !ink.Touches(s.own(row, col, win)) {
				continue
			}
			s.at[[2]int{row, col}] = len(s.Tiles)
			s.Tiles = append(s.Tiles, Tile{Name: Name(row, col), Row: row, Col: col, Window: win})
		}
	}
	return s
}

// count is how many windows of a size cover a length.
func count(length, window float64) int {
	return max(1, int(math.Ceil((length-Overlap)/(window-Overlap)-1e-9)))
}

// own is the part of a window that no later page shows too: what is drawn only in the shared strip needs no page.
func (s *Set) own(row, col int, win curve.Rect) curve.Rect {
	if col+1 < s.Cols {
		win.Max.X -= Overlap
	}
	if row+1 < s.Rows {
		win.Max.Y -= Overlap
	}
	return win
}

// neighbour returns the name of a page in the set, if it is not left out.
func (s *Set) neighbour(row, col int) (string, bool) {
	i, ok := s.at[[2]int{row, col}]
	if !ok {
		return "", false
	}
	return s.Tiles[i].Name, true
}
