package sheet

import (
	"fmt"
	"math"
	"strings"

	"clothwright/piece"
	"clothwright/sheet/drawing"
	"clothwright/sheet/text"
)

// CutList is what is cut, of what, how often and how large, what is bought by count, the measures it was drafted from, what was
// corrected for this body, how it will be worn, and all findings. It fails with a sentence when the job has no piece or no known
// paper.
func CutList(j Job) (*drawing.Drawing, error) {
	if err := j.check(); err != nil {
		return nil, err
	}
	b := newBook(j, "cut list")
	b.cutList()
	return b.finish(), nil
}

var tableType = drawing.Type{Size: 3.3}

func (b *book) cutList() {
	j := b.j
	f := b.flow("Cut list")
	findings(f, j, piece.Warn)
	f.Heading("Pieces", drawing.Heading, 20)
	f.Table(j.pieceTable(f.W()))
	f.Space(5)
	for _, part := range []struct {
		title string
		keep  float64 // mm of it that stand on the same page as the title
		table drawing.Table
	}{
		{"Ribs", 20, j.ribTable(f.W())},
		{"To buy by count", 15, j.notionTable(f.W())},
		{"Measures", 25, j.measureTable(f.W())},
		{"Corrected for this body", 20, j.adjustTable(f.W())},
		{"As it will be worn", 20, j.wornTable(f.W())},
	} {
		if len(part.table.Rows) > 0 {
			f.Heading(part.title, drawing.Heading, part.keep)
			f.Table(part.table)
			f.Space(5)
		}
	}
	if notes := j.level(piece.Info); len(notes) > 0 {
		f.Heading("Notes", drawing.Heading, 10)
		for _, x := range notes {
			item(f, "–", text.Fractions(x.Text), drawing.Body.Sized(3.4))
		}
	}
}

// columns shares a width out by parts.
func columns(w float64, cols ...drawing.Column) []drawing.Column {
	sum := 0.0
	for _, c := range cols {
		sum += c.Width
	}
	for i := range cols {
		cols[i].Width *= w / sum
	}
	return cols
}

func how(p *piece.Piece) string {
	switch {
	case p.OnFold:
		return "on the fold"
	case p.Pair:
		return "a pair"
	}
	return ""
}

func (j Job) pieceTable(w float64) drawing.Table {
	t := drawing.Table{Type: tableType, Columns: columns(w,
		drawing.Column{Title: "Piece", Width: 42, Bold: true}, drawing.Column{Title: "Material", Width: 22}, drawing.Column{Title: "Count", Width: 15},
		drawing.Column{Title: "", Width: 24}, drawing.Column{Title: "Finished size", Width: 44}, drawing.Column{Title: "", Width: 48})}
	for i := range j.Pattern.Pieces {
		p := &j.Pattern.Pieces[i]
		b := p.SeamLine().Bounds()
		size := j.Tape.Fine(b.W()) + " × " + j.Tape.Fine(b.H())
		if p.OnFold {
			size = j.Tape.Fine(2*b.W()) + " × " + j.Tape.Fine(b.H())
		}
		note := p.Note
		if p.CopyOf != "" {
			of := p.CopyOf
			if q := j.Pattern.Piece(of); q != nil {
				of = strings.ToLower(titled(q))
			}
			note = "as the " + of + ". " + note
		}
		if p.Material == piece.Rib {
			note = "see below"
		}
		if p.Side != "" {
			note = p.Side + " side. " + note
		}
		t.Add(titled(p), string(p.Material), fmt.Sprint(p.Count), how(p), fr(size), full(strings.TrimSpace(note)))
	}
	return t
}

func (j Job) ribTable(w float64) drawing.Table {
	t := drawing.Table{Type: tableType, Columns: columns(w,
		drawing.Column{Title: "Rib", Width: 30, Bold: true}, drawing.Column{Title: "Count", Width: 14}, drawing.Column{Title: "Cut length, whole", Width: 36, Bold: true},
		drawing.Column{Title: "Cut height", Width: 28, Bold: true}, drawing.Column{Title: "Between seams", Width: 28}, drawing.Column{Title: "Shows", Width: 20}, drawing.Column{Title: "Of its seam", Width: 24, Anchor: drawing.End})}
	for i := range j.Pattern.Pieces {
		p := &j.Pattern.Pieces[i]
		if p.Material != piece.Rib {
			continue
		}
		s := sizeOf(p)
		shows := s.high
		if folded(p) {
			shows /= 2
		}
		t.Add(titled(p), fmt.Sprint(p.Count), fr(j.Tape.Fine(s.cutLong)), fr(j.Tape.Fine(s.cutHigh)), fr(j.Tape.Fine(s.long)), fr(j.Tape.Fine(shows)), j.ratio(p))
	}
	return t
}

// ratio is how long a rib is of the seam it is stretched to, in words.
func (j Job) ratio(p *piece.Piece) string {
	for _, s := range j.Pattern.Seams {
		for _, r := range s.B {
			if s.Kind == piece.Ribbed && r.Piece() == p.Name {
				return fmt.Sprintf("%.0f %%", s.Intended*100)
			}
		}
	}
	return ""
}

func (j Job) notionTable(w float64) drawing.Table {
	t := drawing.Table{Type: tableType, Columns: columns(w,
		drawing.Column{Title: "What", Width: 44, Bold: true}, drawing.Column{Title: "Count", Width: 15}, drawing.Column{Title: "Length", Width: 24, Bold: true},
		drawing.Column{Title: "Its edge", Width: 26}, drawing.Column{Title: "", Width: 72})}
	for _, n := range j.Pattern.Notions {
		note := n.Note.String()
		if d := n.Edge - n.Length; math.Abs(d) > near {
			note += pick(d > 0, fmt.Sprintf(" The edge is %s longer: ease it in or leave it free above.", j.Tape.Fine(d)), fmt.Sprintf(" Shorten it by %s.", j.Tape.Fine(-d)))
		}
		t.Add(full1(n.Name), fmt.Sprint(n.Count), fr(j.Tape.Fine(n.Length)), fr(j.Tape.Fine(n.Edge)), fr(strings.TrimSpace(note)))
	}
	return t
}

func (j Job) measureTable(w float64) drawing.Table {
	// Two measures a line: the list is long and its entries are short.
	t := drawing.Table{Type: tableType, Columns: columns(w,
		drawing.Column{Width: 42}, drawing.Column{Width: 22, Bold: true, Anchor: drawing.End}, drawing.Column{Width: 26},
		drawing.Column{Width: 42}, drawing.Column{Width: 22, Bold: true, Anchor: drawing.End}, drawing.Column{Width: 26})}
	half := (len(j.Measures) + 1) / 2
	cells := func(i int) []string {
		if i >= len(j.Measures) {
			return []string{"", "", ""}
		}
		m := j.Measures[i]
		from := m.From
		if from == "given" {
			from = ""
		}
		return []string{m.Title, fr(m.words(j.Tape)), from}
	}
	for i := range half {
		t.Add(append(cells(i), cells(half+i)...)...)
	}
	return t
}

func (j Job) adjustTable(w float64) drawing.Table {
	t := drawing.Table{Type: tableType, Columns: columns(w,
		drawing.Column{Title: "What", Width: 40, Bold: true}, drawing.Column{Title: "By the rule", Width: 26}, drawing.Column{Title: "Marked", Width: 24, Bold: true},
		drawing.Column{Title: "Why", Width: 88})}
	for _, a := range j.Pattern.Adjusted {
		t.Add(full1(strings.ReplaceAll(a.What, "_", " ")), fr(j.Tape.Format(a.Rule)), fr(j.Tape.Format(a.Now)), full(a.Why.String()))
	}
	return t
}

func (j Job) wornTable(w float64) drawing.Table {
	t := drawing.Table{Type: tableType, Columns: columns(w,
		drawing.Column{Title: "Where", Width: 40, Bold: true}, drawing.Column{Title: "Body", Width: 26, Anchor: drawing.End}, drawing.Column{Title: "Jacket", Width: 26, Anchor: drawing.End},
		drawing.Column{Title: "Ease", Width: 24, Anchor: drawing.End, Bold: true}, drawing.Column{Title: "At least", Width: 24, Anchor: drawing.End}, drawing.Column{Title: "", Width: 40})}
	for _, x := range j.Pattern.Worn {
		note := ""
		if x.BodyFrom == "estimated" {
			note = "body estimated"
		}
		switch {
		case x.Ease() < x.Least-0.5:
			note = strings.TrimPrefix(note+", too little", ", ")
		case x.Most > 0 && x.Ease() > x.Most+0.5:
			note = strings.TrimPrefix(note+", more than "+fr(j.Tape.Fine(x.Most)), ", ")
		}
		least := ""
		if x.Least > 0 {
			least = fr(j.Tape.Fine(x.Least))
		}
		t.Add(full1(x.At), fr(j.Tape.Fine(x.Body)), fr(j.Tape.Fine(x.Garment)), fr(j.Tape.Fine(x.Ease())), least, note)
	}
	return t
}
