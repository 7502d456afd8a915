package sheet

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"clothwright/curve"
	"clothwright/draft"
	"clothwright/piece"
	"clothwright/sheet/drawing"
	"clothwright/sheet/drawing/drawingtest"
	"clothwright/sheet/pdf"
	"clothwright/sheet/svg"
	"clothwright/sheet/text"
)

// every is every sheet by name.
var every = []struct {
	name string
	make func(Job) (*drawing.Drawing, error)
}{{"chalk", Chalk}, {"full", FullSize}, {"cut list", CutList}, {"order", Order}, {"roll", Roll}, {"pieces", PiecesSVG}, {"all", All}}

// words are all words drawn on a page, figures that it shows included.
func words(items []drawing.Item) string {
	var out strings.Builder
	for _, it := range items {
		switch it := it.(type) {
		case drawing.Text:
			out.WriteString(it.Words + " ")
		case *drawing.Group:
			out.WriteString(words(it.Items))
		case drawing.Window:
			out.WriteString(words(it.Figure.Items))
		}
	}
	return out.String()
}

// pdfText is what a reader outside finds in a PDF, a string a page. It skips the test where poppler is absent.
func pdfText(t *testing.T, d *drawing.Drawing) []string {
	t.Helper()
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("pdftotext is not there")
	}
	b, err := pdf.Bytes(d)
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "sheet.pdf")
	if err := os.WriteFile(file, b, 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(tool, "-enc", "UTF-8", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return strings.Split(strings.TrimSuffix(string(out), "\f"), "\f")
}

// joined drops the ways in which a page breaks its lines.
func joined(s string) string { return strings.Join(strings.Fields(s), " ") }

// ISO 216: A4 is 210 by 297 mm. US Letter is 8 1/2 by 11 in.
func TestPagesHaveTheHousesSize(t *testing.T) {
	sizes := map[string]drawing.Size{"A4": {W: 210, H: 297}, "Letter": {W: 8.5 * 25.4, H: 11 * 25.4}}
	for _, f := range fittings {
		j := jacket(t, f)
		want := sizes[f.paper]
		for _, s := range every {
			if s.name == "roll" || s.name == "pieces" {
				continue
			}
			d, err := s.make(j)
			if err != nil {
				t.Fatal(f.name, s.name, err)
			}
			for i, p := range d.Pages {
				upright := math.Abs(p.W-want.W) < 1e-9 && math.Abs(p.H-want.H) < 1e-9
				across := math.Abs(p.H-want.W) < 1e-9 && math.Abs(p.W-want.H) < 1e-9
				if !upright && !across {
					t.Errorf("%s, %s, page %d is %g x %g mm", f.name, s.name, i+1, p.W, p.H)
				}
			}
		}
		d, err := Roll(j)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range d.Pages {
			if p.W != j.Roll || p.H > pdf.Longest {
				t.Errorf("%s: a roll page of %g x %g mm", f.name, p.W, p.H)
			}
		}
	}
}

// common practice, no source: a pattern sheet that does not say what it is, of what and how often it is cut spoils cloth.
func TestFullSizeNamesEveryPiece(t *testing.T) {
	for _, f := range fittings[1:] {
		j := jacket(t, f)
		for _, k := range []int{1, 4} { // the two that are full size
			s := every[k]
			d, err := s.make(j)
			if err != nil {
				t.Fatal(err)
			}
			all := joined(strings.Join(pdfText(t, d), " "))
			for i := range j.Pattern.Pieces {
				p := &j.Pattern.Pieces[i]
				for _, want := range []string{p.Title, fmt.Sprintf("%d × %s", p.Count, p.Material)} {
					if !strings.Contains(all, want) {
						t.Errorf("%s, %s: %q of %s is not printed", f.name, s.name, want, p.Name)
					}
				}
			}
		}
	}
}

// paths are all lines drawn, in the figure's own coordinates.
func paths(items []drawing.Item) []curve.Path {
	var out []curve.Path
	for _, it := range items {
		switch it := it.(type) {
		case drawing.Path:
			out = append(out, it.Paths...)
		case *drawing.Group:
			out = append(out, paths(it.Items)...)
		}
	}
	return out
}

// moved reports whether b is a moved, otherwise unchanged, and by how much.
func moved(a, b curve.Path) (curve.Point, bool) {
	if len(a) != len(b) || len(a) == 0 {
		return curve.Point{}, false
	}
	v := b.Start().Sub(a.Start())
	for i := range a {
		p, q := a[i].Controls(), b[i].Controls()
		for k := range p {
			if p[k].Add(v).Dist(q[k]) > 1e-9 {
				return v, false
			}
		}
	}
	return v, true
}

// common practice, no source: full size means full size. Each piece's cut line and each of its seam lines stand in the figure
// unchanged but for one move.
func TestFullSizeFiguresAreThePattern(t *testing.T) {
	for _, f := range fittings {
		j := jacket(t, f)
		for _, k := range []int{1, 4} { // the two that are full size
			s := every[k]
			d, err := s.make(j)
			if err != nil {
				t.Fatal(err)
			}
			var drawn [][]curve.Path
			seen := map[*drawing.Figure]bool{}
			for _, p := range d.Pages {
				for _, it := range p.Items {
					if w, ok := it.(drawing.Window); ok {
						if m := w.Map(); m.XX != 1 || m.YY != 1 || m.XY != 0 || m.YX != 0 {
							t.Fatalf("%s: a figure is shown at another size: %+v", s.name, m)
						}
						if !seen[w.Figure] {
							seen[w.Figure] = true
							drawn = append(drawn, paths(w.Figure.Items))
						}
					}
				}
			}
			for i := range j.Pattern.Pieces {
				p := &j.Pattern.Pieces[i]
				if p.CopyOf != "" && p.CutArea() == j.Pattern.Piece(p.CopyOf).Area() {
					continue // named on the piece whose seam line it is
				}
				if !shows(drawn, p) {
					t.Errorf("%s, %s: the lines of %s are not in one figure", f.name, s.name, p.Name)
				}
			}
		}
	}
}

func shows(drawn [][]curve.Path, p *piece.Piece) bool {
	for _, figure := range drawn {
		for _, cut := range figure {
			v, ok := moved(p.CutLine(), cut)
			if !ok {
				continue
			}
			all := true
			for i := range p.Edges {
				found := false
				for _, q := range figure {
					w, same := moved(p.Edges[i].Path, q)
					found = found || same && w.Dist(v) < 1e-9
				}
				all = all && (found || p.Edges[i].Allowance == 0 && p.Edges[i].Finish != piece.Fold)
			}
			if all {
				return true
			}
		}
	}
	return false
}

// ISO 32000-1, annex C.2: pages end at 14,400 points, 5.08 m. A narrow roll needs more than one.
func TestALongRollIsDivided(t *testing.T) {
	j := jacket(t, fittings[1])
	j.Roll = 560
	for _, p := range j.Pattern.Pieces[:len(j.Pattern.Pieces):len(j.Pattern.Pieces)] {
		p.Name, p.Title = p.Name+"_again", p.Title+" again"
		j.Pattern.Pieces = append(j.Pattern.Pieces, p)
	}
	d, err := Roll(j)
	if err != nil {
		t.Fatal(err)
	}
	if len(d.Pages) < 2 {
		t.Fatalf("%d pages: the roll was expected to be too long for one", len(d.Pages))
	}
	var all strings.Builder
	for _, p := range d.Pages {
		if p.H > 5080 {
			t.Errorf("a page %.0f mm long", p.H)
		}
		all.WriteString(words(p.Items))
	}
	for i := range j.Pattern.Pieces {
		if p := &j.Pattern.Pieces[i]; !strings.Contains(all.String(), p.Title) {
			t.Errorf("%s is on none of the pages", p.Name)
		}
	}
}

// common practice, no source: a page that is carried to the table alone must still say that the job is not to be cut.
func TestEveryPageSaysDoNotCut(t *testing.T) {
	j := jacket(t, fittings[1])
	if len(j.stops()) == 0 {
		t.Fatal("the fitting has no stop")
	}
	for _, s := range every[4:] { // the book has the pages of the others
		d, err := s.make(j)
		if err != nil {
			t.Fatal(err)
		}
		for i, page := range pdfText(t, d) {
			page = joined(page)
			if !strings.Contains(page, "DO NOT CUT") || !strings.Contains(page, "At the waist the jacket") {
				t.Errorf("%s, page %d does not say DO NOT CUT and why", s.name, i+1)
			}
		}
	}
	calm := jacket(t, fittings[0])
	for _, s := range every[4:] {
		d, err := s.make(calm)
		if err != nil {
			t.Fatal(err)
		}
		for i, p := range d.Pages {
			if strings.Contains(words(p.Items), "DO NOT CUT") {
				t.Errorf("%s, page %d says DO NOT CUT without a reason", s.name, i+1)
			}
		}
	}
}

// common practice, no source: a page says whose it is, what it is and which of how many.
func TestEveryPageSaysWhoseItIs(t *testing.T) {
	for k, name := range drawingtest.Names {
		j := jacket(t, fittings[0])
		j.Client = name.Words
		for _, s := range every {
			if k > 0 && (s.name == "all" || s.name == "chalk") {
				continue // made of the same heads
			}
			d, err := s.make(j)
			if err != nil {
				t.Fatal(err)
			}
			for i, p := range d.Pages {
				got := words(p.Items)
				want := []string{j.Garment}
				if s.name != "pieces" {
					want = append(want, name.Words, j.Job)
				}
				if s.name == "chalk" || s.name == "order" || s.name == "cut list" {
					want = append(want, fmt.Sprintf("page %d of %d", i+1, len(d.Pages)))
				}
				for _, w := range want {
					if !strings.Contains(got, w) {
						t.Errorf("%s, %s, page %d: %q is not on it", name.Script, s.name, i+1, w)
					}
				}
			}
		}
		if !name.Plain {
			continue
		}
		d, err := Order(j)
		if err != nil {
			t.Fatal(err)
		}
		for i, page := range pdfText(t, d) {
			if !strings.Contains(page, name.Words) {
				t.Errorf("%s: %q is not found on page %d of the file", name.Script, name.Words, i+1)
			}
		}
	}
}

// What is read in the test of the steps is what is printed: every sentence stands on the chalk sheet, word for word.
func TestTheStepsArePrinted(t *testing.T) {
	for _, f := range fittings {
		j := jacket(t, f)
		d, err := Chalk(j)
		if err != nil {
			t.Fatal(err)
		}
		var all strings.Builder
		for _, p := range d.Pages {
			all.WriteString(words(p.Items))
		}
		tight := func(s string) string { return strings.Join(strings.Fields(s), "") }
		got := tight(all.String())
		for i := range j.Pattern.Pieces {
			p := &j.Pattern.Pieces[i]
			if band(p) || twin(j.Pattern, p) != nil {
				continue
			}
			r := newReader(j.Tape, p)
			tables := r.tables()
			for _, s := range r.steps(tables) {
				if !strings.Contains(got, tight(fr(s.plain()))) {
					t.Errorf("%s: step %d is not printed: %s", p.Name, s.n, s.plain())
				}
			}
			for _, x := range tables {
				for _, st := range x.stretches {
					for _, o := range st.rows {
						if !strings.Contains(got, tight(fr(o.along)+fr(o.out))) {
							t.Errorf("%s: table %s: the row %s, %s is not printed", p.Name, x.letter, o.along, o.out)
						}
					}
				}
			}
		}
	}
}

// box is where words stand on a page.
type box struct {
	curve.Rect
	words string
}

func boxes(items []drawing.Item) []box {
	var out []box
	for _, it := range items {
		switch it := it.(type) {
		case drawing.Text:
			w := it.Type.Measure(it.Words)
			x := -w * float64(it.Type.Anchor) / 2
			r := curve.EmptyRect()
			for _, c := range []curve.Point{{X: x, Y: 0}, {X: x + w, Y: 0}, {X: x, Y: -text.CapHeight * it.Type.Size}, {X: x + w, Y: -text.CapHeight * it.Type.Size}} {
				r = r.AddPoint(c.Rotate(it.Type.Turn).Add(it.At))
			}
			out = append(out, box{r, it.Words})
		case *drawing.Group:
			if it.Clip == nil && it.To == (curve.Affine{}) {
				out = append(out, boxes(it.Items)...)
			}
		}
	}
	return out
}

// wordy is a job whose every text is long.
func wordy(t *testing.T) Job {
	j := jacket(t, fittings[1])
	long := strings.Repeat("a long word or two and ", 12)
	j.Client, j.Job, j.Date, j.DemoNote = "Agnes "+long, "No 17 "+long, "the third of May", "Made-up figures: "+long
	j.StyleWords = strings.Split(strings.Repeat("a choice of style that takes many words,", 9), ",")
	for i := range 24 {
		level := []piece.Level{piece.Warn, piece.Info, piece.Stop}[i%3]
		j.Findings = append(j.Findings, piece.Finding{Level: level, Code: "x", Text: fmt.Sprintf("Finding %d says at length that %s.", i, long)})
	}
	for i := range j.Measures {
		j.Measures[i].Title += ", " + long[:50]
		j.Measures[i].From = "estimated"
	}
	for i := range j.Pattern.Pieces {
		j.Pattern.Pieces[i].Title += " " + long[:40]
		j.Pattern.Pieces[i].Note = long
	}
	return j
}

// common practice, no source: words on a sheet stand on the page and not on each other.
func TestWordsDoNotOverlap(t *testing.T) {
	for _, f := range append(fittings[:len(fittings):len(fittings)], fitting{name: "wordy"}) {
		j := Job{}
		if f.name == "wordy" {
			j = wordy(t)
		} else {
			j = jacket(t, f)
		}
		for _, s := range every {
			if s.name == "full" || s.name == "roll" {
				continue
			}
			d, err := s.make(j)
			if err != nil {
				t.Fatal(err)
			}
			for n, p := range d.Pages {
				if strings.Contains(words(p.Items), "no scaling") {
					continue // a full-size page in the book
				}
				all := boxes(p.Items)
				for i, a := range all {
					if a.Min.X < 4 || a.Min.Y < 4 || a.Max.X > p.W-4 || a.Max.Y > p.H-1 {
						t.Errorf("%s, %s, page %d: %q runs off the page", f.name, s.name, n+1, a.words)
					}
					for _, b := range all[:i] {
						w := math.Min(a.Max.X, b.Max.X) - math.Max(a.Min.X, b.Min.X)
						h := math.Min(a.Max.Y, b.Max.Y) - math.Max(a.Min.Y, b.Min.Y)
						if w > 0.3 && h > 0.3 {
							t.Errorf("%s, %s, page %d: %q lies on %q by %.1f x %.1f mm", f.name, s.name, n+1, a.words, b.words, w, h)
						}
					}
				}
			}
		}
	}
}

// common practice, no source: the same job prints the same, so that a sheet printed again can be laid on the first.
func TestTheSameJobGivesTheSameBytes(t *testing.T) {
	for _, f := range fittings[1:3] {
		for _, s := range every {
			var got [2][]byte
			for i := range got {
				d, err := s.make(jacket(t, f))
				if err != nil {
					t.Fatal(err)
				}
				if got[i], err = pdf.Bytes(d); err != nil {
					t.Fatal(err)
				}
				b, err := svg.Bytes(d.Pages[0])
				if err != nil {
					t.Fatal(err)
				}
				got[i] = append(got[i], b...)
			}
			if !bytes.Equal(got[0], got[1]) {
				t.Errorf("%s, %s: two runs differ", f.name, s.name)
			}
		}
	}
}

// "Ribbed edges", a sewing reference book (trantor.is ch0918): a rib is cut twice its finished width and two 1/4 in seams, 5 1/2 in for
// 2 1/2 in; a ready band its finished width and 1/4 in.
func TestRibIsCutAsTheBookSays(t *testing.T) {
	f := fittings[0]
	f.style = map[string]any{"rib": "metre", "rib_height": "2.5 in"}
	f.house = func(h *draft.House) { h.RibSeam = 25.4 / 4 }
	if got := jacket(t, f); !strings.Contains(ribRow(t, got), "5\u202f½\u00a0in") {
		t.Errorf("rib by the metre for 2 1/2 in: %q", ribRow(t, got))
	}
	f.style = nil
	f.house = func(h *draft.House) { h.RibSeam, h.ReadyBand = 25.4/4, 2.75*25.4 }
	if got := ribRow(t, jacket(t, f)); !strings.Contains(got, "2\u202f¾\u00a0in") || !strings.Contains(got, "2\u202f½\u00a0in") {
		t.Errorf("a ready band that shows 2 1/2 in: %q", got)
	}
}

// ribRow is what the cut list prints of the hem rib.
func ribRow(t *testing.T, j Job) string {
	for _, r := range j.ribTable(180).Rows {
		if r.Cells[0] == "Hem rib" {
			return strings.Join(r.Cells, " | ")
		}
	}
	t.Fatal("the cut list has no hem rib")
	return ""
}

// common practice, no source: the cut list says the whole length of a rib that is drafted as its half.
func TestRibsAreListedWhole(t *testing.T) {
	j := jacket(t, fittings[0])
	p := j.Pattern.Piece("hem_rib")
	if !p.OnFold {
		t.Fatal("the hem rib is expected to be drafted as its half")
	}
	want := fr(j.Tape.Fine(2 * p.Edge("top").Length()))
	if got := ribRow(t, j); !strings.Contains(got, want) {
		t.Errorf("%q does not say %s", got, want)
	}
}

// common practice, no source: what cannot be printed is said in a sentence.
func TestWhatCannotBePrinted(t *testing.T) {
	good := jacket(t, fittings[0])
	for _, c := range []struct {
		name string
		job  func(Job) Job
		make func(Job) (*drawing.Drawing, error)
		want string
	}{
		{"no pattern", func(j Job) Job { j.Pattern = nil; return j }, Chalk, "no piece"},
		{"no piece", func(j Job) Job { j.Pattern = &piece.Pattern{}; return j }, All, "no piece"},
		{"odd paper", func(j Job) Job { j.Paper = "A7"; return j }, FullSize, "A4 and Letter"},
		{"no roll", func(j Job) Job { j.Roll = 0; return j }, Roll, "no roll"},
		{"narrow roll", func(j Job) Job { j.Roll = 300; return j }, Roll, "wider roll"},
	} {
		if _, err := c.make(c.job(good)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want a sentence with %q", c.name, err, c.want)
		}
	}
}

func BenchmarkAllSheets(b *testing.B) {
	j := jacket(b, fittings[0])
	b.ReportAllocs()
	for b.Loop() {
		for _, s := range every[:6] {
			d, err := s.make(j)
			if err != nil {
				b.Fatal(err)
			}
			if _, err := pdf.Bytes(d); err != nil {
				b.Fatal(err)
			}
		}
	}
}

func BenchmarkSheet(b *testing.B) {
	j := jacket(b, fittings[0])
	for _, s := range every {
		b.Run(s.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := s.make(j); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
