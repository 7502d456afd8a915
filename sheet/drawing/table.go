package drawing

// Column is one column of a table.
type Column struct {
	Title  string
	Width  float64 // mm, including the air on both sides
	Anchor Anchor  // Start for words, End for figures
	Bold   bool
	Mono   bool
}

// Row is one row of a table. Cells beyond the columns are left out, missing ones are empty.
type Row struct {
	Cells []string
	Bold  bool // a total
	Rule  bool // a strong rule above it
}

// Table is a plain table: a bold header over a strong rule, hair rules between the rows, no upright lines. Cells wrap.
type Table struct {
	Columns []Column
	Rows    []Row
	Type    Type // the zero value means Body
}

const (
	cellAir = 1.2 // mm on the left and right of a cell
	rowAir  = 0.9 // mm above and below its words
)

// Add appends a row of cells.
func (t *Table) Add(cells ...string) { t.Rows = append(t.Rows, Row{Cells: cells}) }

// Width is the sum of the columns' widths in mm.
func (t Table) Width() float64 {
	w := 0.0
	for _, c := range t.Columns {
		w += c.Width
	}
	return w
}

// Height is the height in mm of the whole table, header included.
func (t Table) Height() float64 {
	h := t.headHeight()
	for _, r := range t.Rows {
		h += t.rowHeight(t.wrap(r))
	}
	return h
}

func (t Table) base() Type {
	if t.Type.Size == 0 {
		return Body
	}
	return t.Type
}

func (t Table) cellType(i int, bold bool) Type {
	c := t.Columns[i]
	b := t.base()
	b.Bold, b.Mono, b.Anchor = b.Bold || c.Bold || bold, c.Mono, c.Anchor
	return b
}

func (t Table) wrap(r Row) [][]string {
	cells := make([][]string, len(t.Columns))
	for i, c := range t.Columns {
		s := ""
		if i < len(r.Cells) {
			s = r.Cells[i]
		}
		cells[i] = t.cellType(i, r.Bold).Wrap(s, c.Width-2*cellAir)
	}
	return cells
}

func (t Table) head() Row {
	r := Row{Bold: true}
	for _, c := range t.Columns {
		r.Cells = append(r.Cells, c.Title)
	}
	return r
}

// headed reports whether any column has a title.
func (t Table) headed() bool {
	for _, c := range t.Columns {
		if c.Title != "" {
			return true
		}
	}
	return false
}

func (t Table) headHeight() float64 {
	if !t.headed() {
		return 0
	}
	return t.rowHeight(t.wrap(t.head()))
}

func (t Table) rowHeight(cells [][]string) float64 {
	n := 1
	for _, c := range cells {
		n = max(n, len(c))
	}
	return float64(n)*t.base().Pitch() + 2*rowAir
}

// Table draws as many rows as fit into most mm, with the header first, from the top left corner (x, y). It returns the
// height used and the table of the rows that are left, to be drawn on the next page; it is done when that has no rows.
// When not even one row fits, nothing is drawn and the height is 0. A row that is higher than most by itself, and is the
// first, is cut between its lines.
func (l *Layer) Table(x, y, most float64, t Table) (used float64, rest Table) {
	head := t.headHeight()
	if len(t.Rows) > 0 {
		first := t.rowHeight(t.wrap(t.Rows[0]))
		if head+first > most {
			now, later, ok := t.cut(t.Rows[0], most-head)
			if !ok {
				return 0, t
			}
			t.Rows = append([]Row{now, later}, t.Rows[1:]...)
		}
	}
	if head > 0 {
		l.row(x, y, t, t.wrap(t.head()), true)
		l.Line(x, y+head, x+t.Width(), y+head, Thin)
	}
	used = head
	for i, r := range t.Rows {
		cells := t.wrap(r)
		h := t.rowHeight(cells)
		if used+h > most+1e-9 {
			rest = t
			rest.Rows = t.Rows[i:]
			return used, rest
		}
		switch {
		case r.Rule:
			l.Line(x, y+used, x+t.Width(), y+used, Thin)
		case i > 0:
			l.Line(x, y+used, x+t.Width(), y+used, Hair.In(Light))
		}
		l.row(x, y+used, t, cells, r.Bold)
		used += h
	}
	l.Line(x, y+used, x+t.Width(), y+used, Hair.In(Light))
	rest = t
	rest.Rows = nil
	return used, rest
}

func (l *Layer) row(x, y float64, t Table, cells [][]string, bold bool) {
	for i, c := range t.Columns {
		l.lines(x+cellAir, y+rowAir, c.Width-2*cellAir, cells[i], t.cellType(i, bold))
		x += c.Width
	}
}

// cut divides a row that is higher than most between its lines. It is ok only when the first part has a line.
func (t Table) cut(r Row, most float64) (now, later Row, ok bool) {
	n := int((most - 2*rowAir) / t.base().Pitch())
	cells := t.wrap(r)
	if n < 1 || t.rowHeight(cells) <= 2*rowAir+t.base().Pitch() {
		return r, Row{}, false
	}
	now, later = Row{Bold: r.Bold, Rule: r.Rule}, Row{Bold: r.Bold}
	for _, c := range cells {
		k := min(n, len(c))
		now.Cells = append(now.Cells, join(c[:k]))
		later.Cells = append(later.Cells, join(c[k:]))
	}
	return now, later, true
}

func join(lines []string) string {
	s := ""
	for i, l := range lines {
		if i > 0 {
			s += "\n"
		}
		s += l
	}
	return s
}
