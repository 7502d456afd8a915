package drawing

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"clothwright/curve"
	"clothwright/sheet/text"
)

func texts(items []Item) []Text {
	var out []Text
	for _, it := range items {
		switch it := it.(type) {
		case Text:
			out = append(out, it)
		case *Group:
			out = append(out, texts(it.Items)...)
		}
	}
	return out
}

// extent is the box a line of words takes, unturned.
func extent(t Text) curve.Rect {
	w := t.Type.Measure(t.Words)
	x := t.At.X - w*float64(t.Type.Anchor)/2
	return Box(x, t.At.Y-text.Ascent*t.Type.Size, w, (text.Ascent+text.Descent)*t.Type.Size)
}

func words(items []Item) string {
	var all []string
	for _, t := range texts(items) {
		all = append(all, strings.Fields(t.Words)...)
	}
	return strings.Join(all, " ")
}

func TestParagraphStaysInItsPlace(t *testing.T) {
	const said = "Square off the centre line at the armhole line, 8\u202f⅛ in down from the top; chalk the quarter width across.\nThen the neck."
	for _, a := range []Anchor{Start, Middle, End} {
		var l Layer
		h := l.Paragraph(20, 30, 45, said, Body.At(a))
		if want := ParagraphHeight(45, said, Body); h != want {
			t.Errorf("height %g, foretold %g", h, want)
		}
		place := Box(20, 30, 45, h).Pad(1e-9)
		lines := texts(l.Items)
		if len(lines) < 4 {
			t.Fatalf("%d lines", len(lines))
		}
		for i, line := range lines {
			b := extent(line)
			if !place.Contains(b.Min) || !place.Contains(b.Max) {
				t.Errorf("line %d, %q, takes %v, outside %v", i, line.Words, b, place)
			}
			if i > 0 && extent(lines[i-1]).Max.Y > b.Min.Y {
				t.Errorf("line %d overlaps the one above", i)
			}
		}
		if got := words(l.Items); got != strings.Join(strings.Fields(said), " ") {
			t.Errorf("words lost: %q", got)
		}
	}
}

// Arabic is set flush right when nothing else is asked for.
func TestParagraphFromTheRight(t *testing.T) {
	var l Layer
	l.Paragraph(20, 30, 60, "مرحبا بكم", Body)
	if b := extent(texts(l.Items)[0]); math.Abs(b.Max.X-80) > 1e-9 {
		t.Errorf("ends at %g, want 80", b.Max.X)
	}
}

func cutList(rows int) Table {
	t := Table{Columns: []Column{{Title: "Piece", Width: 30, Bold: true}, {Title: "Note", Width: 50}, {Title: "Cut", Width: 14, Anchor: End}}}
	for i := range rows {
		t.Add(fmt.Sprintf("piece%d", i), strings.Repeat(fmt.Sprintf("note%d ", i), 1+i*7%20), fmt.Sprint(i%3+1))
	}
	return t
}

func TestTableOverPages(t *testing.T) {
	full := cutList(40)
	var all []string
	rest := full
	for page := 0; ; page++ {
		var l Layer
		used, left := l.Table(10, 20, 90, rest)
		if used <= 0 || used > 90 {
			t.Fatalf("page %d uses %g mm of 90", page, used)
		}
		if got := words(l.Items); !strings.HasPrefix(got, "Piece Note Cut") {
			t.Errorf("page %d has no header: %q", page, got)
		}
		checkCells(t, l, full, used)
		all = append(all, strings.Fields(words(l.Items))[3:]...)
		if rest = left; len(rest.Rows) == 0 {
			break
		}
	}
	want := 0
	for _, r := range full.Rows {
		want += len(strings.Fields(strings.Join(r.Cells, " ")))
	}
	if len(all) != want {
		t.Errorf("%d words over all pages, want %d", len(all), want)
	}
}

// checkCells checks that every word stands within one column and the height used, and that no two overlap.
func checkCells(t *testing.T, l Layer, table Table, used float64) {
	t.Helper()
	cells := texts(l.Items)
	for i, c := range cells {
		b := extent(c)
		x, in := 10.0, false
		for _, col := range table.Columns {
			in = in || b.Min.X >= x && b.Max.X <= x+col.Width
			x += col.Width
		}
		if !in || b.Min.Y < 20 || b.Max.Y > 20+used {
			t.Errorf("%q takes %v, outside its column or the %g mm used", c.Words, b, used)
		}
		for _, d := range cells[:i] {
			if e := extent(d); b.Min.X < e.Max.X && e.Min.X < b.Max.X && b.Min.Y < e.Max.Y && e.Min.Y < b.Max.Y {
				t.Errorf("%q and %q overlap", c.Words, d.Words)
			}
		}
	}
}

func TestTableHeightIsWhatIsDrawn(t *testing.T) {
	table := cutList(8)
	var l Layer
	if used, rest := l.Table(10, 20, 1000, table); math.Abs(used-table.Height()) > 1e-9 || len(rest.Rows) > 0 {
		t.Errorf("used %g, foretold %g, %d rows left", used, table.Height(), len(rest.Rows))
	}
	if used, rest := l.Table(10, 20, 5, table); used != 0 || len(rest.Rows) != 8 {
		t.Errorf("5 mm: used %g, %d rows left, want 0 and 8", used, len(rest.Rows))
	}
}

// A row that no page can hold is cut between its lines and loses nothing.
func TestTableCutsAHugeRow(t *testing.T) {
	table := Table{Columns: []Column{{Width: 20}, {Width: 30}}}
	table.Add("huge", strings.Repeat("word ", 200))
	var all []string
	for page := 0; len(table.Rows) > 0; page++ {
		var l Layer
		used, rest := l.Table(0, 0, 60, table)
		if used == 0 || used > 60 || page > 30 {
			t.Fatalf("page %d uses %g", page, used)
		}
		all = append(all, strings.Fields(words(l.Items))...)
		table = rest
	}
	if len(all) != 201 {
		t.Errorf("%d words, want 201", len(all))
	}
}

func TestFlow(t *testing.T) {
	var d Drawing
	box := Box(20, 25, 100, 120)
	f := Flow{New: func() (*Page, curve.Rect) { return d.Add(A4), box }}
	said := ""
	for i := range 6 {
		head := fmt.Sprintf("Heading%d", i)
		body := strings.Repeat(fmt.Sprintf("body%d ", i), 90)
		f.Heading(head, Heading, 2*Body.Pitch())
		f.Paragraph(body, Body)
		f.Space(4)
		said += head + " " + body
	}
	table := cutList(25)
	f.Table(table)
	if len(d.Pages) < 3 {
		t.Fatalf("%d pages", len(d.Pages))
	}
	got := ""
	for i, p := range d.Pages {
		for _, w := range texts(p.Items) {
			if b := extent(w); b.Min.Y < box.Min.Y-1e-9 || b.Max.Y > box.Max.Y+1e-9 || b.Min.X < box.Min.X-1e-9 || b.Max.X > box.Max.X+1e-9 {
				t.Errorf("page %d: %q takes %v, outside %v", i+1, w.Words, b, box)
			}
		}
		on := strings.Fields(words(p.Items))
		if len(on) > 0 && strings.HasPrefix(on[len(on)-1], "Heading") {
			t.Errorf("page %d ends with a heading", i+1)
		}
		got += strings.Join(on, " ") + " "
	}
	if !strings.HasPrefix(strings.Join(strings.Fields(got), " "), strings.Join(strings.Fields(said), " ")) {
		t.Error("the flow lost or moved words")
	}
	for i := range 25 {
		if strings.Count(got, fmt.Sprintf("piece%d ", i)) != 1 {
			t.Errorf("row %d is not there once", i)
		}
	}
}

// Words of a dimension are read from below or from the right, whichever way its points are given (ISO 129-1, from memory).
func TestDimensionReadsFromBelowOrRight(t *testing.T) {
	for _, c := range []struct{ x, y, turn float64 }{{50, 0, 0}, {-50, 0, 0}, {0, 50, -90}, {0, -50, -90}, {50, -50, -45}, {-50, 50, -45}, {50, 50, 45}, {-50, -50, 45}} {
		var l Layer
		l.Dimension(100, 100, 100+c.x, 100+c.y, 5, "50", Hair, Small)
		got := texts(l.Items)[0].Type.Turn * 180 / math.Pi
		if math.Abs(got-c.turn) > 1e-9 {
			t.Errorf("way (%g, %g): turned by %g°, want %g°", c.x, c.y, got, c.turn)
		}
	}
}

func TestArrowEndsAtItsPoint(t *testing.T) {
	var l Layer
	l.Arrow(10, 10, 40, 50, Thin)
	head := l.Items[len(l.Items)-1].(Path)
	if tip := head.Paths[0].Start(); tip != (curve.Point{X: 40, Y: 50}) {
		t.Errorf("tip at %v", tip)
	}
	// The line stops at the head's foot, so that its round end does not blunt the tip.
	if end := l.Items[0].(Path).Paths[0].End(); end.Dist(curve.Point{X: 40, Y: 50}) < 1.5 {
		t.Errorf("the line goes on to %v", end)
	}
}

func TestInk(t *testing.T) {
	var l Layer
	if !l.Ink().Bounds().Empty() {
		t.Error("nothing has ink")
	}
	l.Circle(100, 100, 50, Medium)
	l.Line(200, 0, 200, 300, Thin)
	clip := Box(300, 0, 50, 50)
	l.Within(curve.Identity(), &clip).Line(250, 20, 450, 20, Thin)
	k := l.Ink()
	for _, c := range []struct {
		box  curve.Rect
		want bool
		why  string
	}{
		{Box(90, 90, 20, 20), true, "the inside of an outline"},
		{Box(40, 95, 20, 10), true, "its left side"},
		{Box(52, 52, 10, 10), false, "the corner outside a circle"},
		{Box(155, 0, 40, 300), false, "between circle and line"},
		{Box(199, 100, 2, 2), true, "on the line"},
		{Box(310, 10, 20, 20), true, "in the window"},
		{Box(360, 10, 50, 20), false, "cut off by the window"},
		{Box(250, 10, 45, 20), false, "cut off by the window on the left"},
	} {
		if got := k.Touches(c.box); got != c.want {
			t.Errorf("%s: %v", c.why, got)
		}
	}
	if b := k.Bounds(); math.Abs(b.Min.X-50) > 1 || math.Abs(b.Max.X-350) > 1 || math.Abs(b.Max.Y-300) > 1 {
		t.Errorf("bounds %v", b)
	}
}

// Fit makes a long name smaller, a short one not.
func TestFit(t *testing.T) {
	var l Layer
	l.Fit(0, 0, 40, "Adébáyọ̀ Oluwaseun Ògúnṣọlá-Weaver", Heading)
	l.Fit(0, 0, 40, "Ada", Heading)
	got := texts(l.Items)
	if w := got[0].Type.Measure(got[0].Words); w > 40+1e-9 || w < 39.9 {
		t.Errorf("the long name is %.2f mm wide, want 40", w)
	}
	if got[1].Type.Size != Heading.Size {
		t.Errorf("the short name has size %g", got[1].Type.Size)
	}
}

// Contrast of the colours words are set in, by the formula of WCAG 2.1 (relative luminance): at least 4.5 to 1 on white.
func TestContrast(t *testing.T) {
	channel := func(v uint8) float64 {
		c := float64(v) / 255
		if c <= 0.03928 {
			return c / 12.92
		}
		return math.Pow((c+0.055)/1.055, 2.4)
	}
	for name, c := range map[string]Color{"Black": Black, "Dark": Dark, "Mid": Mid, "Accent": Accent} {
		if got := 1.05 / (0.2126*channel(c.R) + 0.7152*channel(c.G) + 0.0722*channel(c.B) + 0.05); got < 4.5 {
			t.Errorf("%s: contrast %.2f", name, got)
		}
	}
}
