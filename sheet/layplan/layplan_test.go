package layplan_test

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"clothwright/curve"
	"clothwright/job"
	"clothwright/job/jobtest"
	"clothwright/lay"
	"clothwright/lay/laytest"
	"clothwright/piece"
	"clothwright/sheet/drawing"
	"clothwright/sheet/layplan"
	"clothwright/sheet/pdf"
	"clothwright/tape"
)

const inch = 25.4

// words are all words drawn on a layer.
func words(items []drawing.Item) []string {
	var out []string
	for _, it := range items {
		switch it := it.(type) {
		case drawing.Text:
			out = append(out, it.Words)
		case *drawing.Group:
			out = append(out, words(it.Items)...)
		}
	}
	return out
}

func sheetOf(r *job.Result, paper string, plans ...*lay.Plan) layplan.Job {
	return layplan.Job{Job: r.Job.Number, Client: r.Job.Client, Garment: "Jacket", Tape: r.Job.House.Tape, Paper: paper, Plans: plans, Findings: r.Findings}
}

// The sheet says what to buy, names every piece once a place, and keeps what it draws on the paper.
func TestSheet(t *testing.T) {
	var judged []laytest.Case
	for _, name := range []string{"stroke", "six", "bow"} {
		r := jobtest.Example(t, name)
		if err := r.Lay(context.Background(), lay.Options{Steps: 1000}); err != nil {
			t.Fatal(err)
		}
		works := []lay.Work{{Job: r.Job.Number, Pattern: r.Pattern}}
		for _, p := range r.Plans {
			judged = append(judged, laytest.Case{Name: name + " " + p.Cloth.Name, Plan: p, Works: works})
		}
		for _, paper := range []string{"A4", "Letter"} {
			d, err := layplan.Sheet(sheetOf(r, paper, r.Plans...))
			if err != nil {
				t.Fatal(err)
			}
			for i, p := range d.Pages {
				if b := p.Ink().Bounds(); b.Min.X < 4 || b.Min.Y < 4 || b.Max.X > p.W-4 || b.Max.Y > p.H-4 {
					t.Errorf("%s on %s: page %d draws from %v to %v on %g x %g", name, paper, i+1, b.Min, b.Max, p.W, p.H)
				}
			}
			all := ""
			for _, p := range d.Pages {
				all += strings.Join(words(p.Items), "\n") + "\n"
			}
			if n := strings.Count(all, "Buy "); n != len(r.Plans) {
				t.Errorf("%s: %d cloths, %d times it says what to buy", name, len(r.Plans), n)
			}
			for _, p := range r.Plans {
				for _, q := range p.Places {
					if !strings.Contains(strings.Join(strings.Fields(all), " "), strings.Fields(q.From.Title)[0]) {
						t.Errorf("%s: %s is not named", name, q.From.Title)
					}
				}
			}
		}
	}
	laytest.Judge(t, judged...)
}

// The table's figures, read back from the paper's words, are the distances of the grain line's ends on the cut line; by hand, for one
// rectangle whose grain lies in its middle.
func TestFiguresByHand(t *testing.T) {
	pts := []curve.Point{{X: 0, Y: 0}, {X: 200, Y: 0}, {X: 200, Y: 500}, {X: 0, Y: 500}}
	p := piece.Piece{Name: "panel", Title: "Panel", Material: piece.Shell, Count: 2, Pair: true, Grain: [2]curve.Point{{X: 60, Y: 200}, {X: 60, Y: 250}}}
	for i := range pts {
		p.Edges = append(p.Edges, piece.Edge{Name: fmt.Sprint("e", i), Path: curve.Path{curve.Line(pts[i], pts[(i+1)%4])}, Finish: piece.Cut})
	}
	if err := p.Finish(); err != nil {
		t.Fatal(err)
	}
	works := []lay.Work{{Job: "j", Pattern: &piece.Pattern{Pieces: []piece.Piece{p}}}}
	c := lay.Cloth{Material: piece.Shell, Name: "drill", Width: 440, Fold: lay.Lengthwise, Nap: true, Step: 100}
	plan, err := lay.Lay(context.Background(), works, c, lay.Options{Steps: 100})
	if err != nil {
		t.Fatal(err)
	}
	laytest.Judge(t, laytest.Case{Name: "panel", Plan: plan, Works: works})
	place := plan.Places[0]
	d, err := layplan.Sheet(layplan.Job{Tape: tape.Tape{Unit: tape.CM, Step: 1}, Paper: "A4", Plans: []*lay.Plan{plan}})
	if err != nil {
		t.Fatal(err)
	}
	all := strings.Join(words(d.Pages[0].Items), "|")
	// The piece is 500 long from the end, its grain 60 in from its left side.
	in := fmt.Sprintf("%.4g", (60+place.X)/10)
	if place.Y != 0 || !strings.Contains(all, "|0|"+in+"|50|"+in) {
		t.Errorf("the row of the panel at %g, %g is not 0, %s, 50, %s in: %s", place.X, place.Y, in, in, all)
	}
	if !strings.Contains(all, "Buy 0.6 m") { // 500 and 20 of margin
		t.Errorf("it does not say to buy 0.6 m: %s", all)
	}
}

// A long lay goes on over several pages, and its table has every place once.
func TestLongLay(t *testing.T) {
	var works []lay.Work
	var r *job.Result
	for _, n := range []string{"stroke", "two", "six", "seven"} {
		r = jobtest.Example(t, n)
		works = append(works, lay.Work{Job: r.Job.Number, Pattern: r.Pattern})
	}
	c := lay.Cloth{Material: piece.Shell, Name: "shell cloth", Width: 45 * inch, Selvedge: inch / 2, Fold: lay.Lengthwise, Step: 36 * inch / 8}
	plan, err := lay.Lay(context.Background(), works, c, lay.Options{Steps: 300})
	if err != nil {
		t.Fatal(err)
	}
	laytest.Judge(t, laytest.Case{Name: "long", Plan: plan, Works: works})
	d, err := layplan.Sheet(sheetOf(r, "A4", plan))
	if err != nil {
		t.Fatal(err)
	}
	if len(d.Pages) < 2 {
		t.Errorf("%.0f mm of cloth are on %d page", plan.Length, len(d.Pages))
	}
	all := ""
	for _, p := range d.Pages {
		all += strings.Join(words(p.Items), "|") + "|"
	}
	rows := regexp.MustCompile(`\|(\d+)\|SRC`).FindAllStringSubmatch(all, -1)
	seen := map[string]int{}
	for _, m := range rows {
		seen[m[1]]++
	}
	for _, q := range plan.Places {
		if seen[fmt.Sprint(q.N)] == 0 {
			t.Errorf("place %d, %s, is in no table", q.N, q.Piece)
		}
	}
}

// A job that must not be cut says so on every page, and so does a cloth that nothing fits on.
func TestStop(t *testing.T) {
	r := jobtest.Example(t, "stroke")
	works := []lay.Work{{Job: "x", Pattern: r.Pattern}}
	c := lay.Cloth{Material: piece.Shell, Name: "ribbon", Width: 300, Fold: lay.Open, Step: 100}
	plan, err := lay.Lay(context.Background(), works, c, lay.Options{Steps: 100})
	if err != nil {
		t.Fatal(err)
	}
	j := sheetOf(r, "A4", plan)
	j.Findings = plan.Findings
	d, err := layplan.Sheet(j)
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range d.Pages {
		if !strings.Contains(strings.Join(words(p.Items), "|"), "DO NOT CUT") {
			t.Errorf("page %d does not say do not cut", i+1)
		}
	}
	j.Paper = "foolscap"
	if _, err := layplan.Sheet(j); err == nil || !strings.Contains(err.Error(), "A4 and Letter") {
		t.Errorf("foolscap: %v", err)
	}
	if _, err := layplan.Sheet(layplan.Job{Paper: "A4"}); err == nil {
		t.Error("a sheet without any cloth is drawn")
	}
}

// Same job, same bytes; and a reader outside finds the words (poppler's pdftotext).
func TestSameBytesAndReadBack(t *testing.T) {
	r := jobtest.Example(t, "bow")
	if err := r.Lay(context.Background(), lay.Options{Steps: 500}); err != nil {
		t.Fatal(err)
	}
	write := func() []byte {
		d, err := layplan.Sheet(sheetOf(r, "A4", r.Plans...))
		if err != nil {
			t.Fatal(err)
		}
		b, err := pdf.Bytes(d)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	a := write()
	if string(a) != string(write()) {
		t.Error("the same plan gave two files")
	}
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("no pdftotext (Debian: poppler-utils) to read the sheet back")
	}
	name := filepath.Join(t.TempDir(), "plan.pdf")
	if err := os.WriteFile(name, a, 0o644); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("pdftotext", "-layout", name, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Lay plan: shell cloth", "Sleeve", "on the fold", "fold", "end of the cloth"} {
		if !strings.Contains(string(out), want) {
			t.Errorf("the sheet does not say %q", want)
		}
	}
}

// The comparison of widths says what does not fit and why.
func TestTrials(t *testing.T) {
	r := jobtest.Example(t, "stroke")
	trials, err := r.Widths(context.Background(), "shell", "12.50", []float64{36 * inch, 60 * inch}, lay.Options{Steps: 300})
	if err != nil {
		t.Fatal(err)
	}
	if len(trials) != 6 || trials[0].Why == "" || trials[2].Plan.Length <= trials[5].Plan.Length {
		t.Fatalf("trials are %+v", trials)
	}
	for _, k := range trials {
		if want, _ := lay.Cost("12.50", k.Plan.Bought); k.Why == "" && k.Cost != want {
			t.Errorf("%g in costs %s, want %s", k.Width/inch, k.Cost, want)
		}
		if w := k.Waste(); k.Why == "" && !(w > 0.05 && w < 0.6) {
			t.Errorf("%g in wastes %g", k.Width/inch, w)
		}
	}
	d, err := layplan.Sheet(layplan.Job{Tape: r.Job.House.Tape, Paper: "Letter", Trials: trials})
	if err != nil {
		t.Fatal(err)
	}
	all := strings.Join(words(d.Pages[0].Items), "|")
	for _, want := range []string{"does not fit", "Waste", trials[5].Cost, "Sleeve is"} {
		if !strings.Contains(all, want) {
			t.Errorf("the table does not say %q: %s", want, all)
		}
	}
}

func BenchmarkSheet(b *testing.B) {
	r := jobtest.Example(b, "six")
	if err := r.Lay(context.Background(), lay.Options{Steps: 500}); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := layplan.Sheet(sheetOf(r, "A4", r.Plans...)); err != nil {
			b.Fatal(err)
		}
	}
}

// Facts of the trade: what a cutter must read to lay cloth with one part single is on the sheet, in the tape's own marks: how far to fold it over, where it
// is double and where single, which of a pair is mirrored; of a tube, on which of its folds a piece lies.
func TestPartSingleAndTubeAreTold(t *testing.T) {
	r := jobtest.Example(t, "stroke")
	works := []lay.Work{{Job: r.Job.Number, Pattern: r.Pattern}}
	ruler := r.Job.House.Tape
	c := lay.Cloth{Material: piece.Shell, Name: "drill", Width: 60 * inch, Selvedge: inch / 2, Fold: lay.PartSingle, Doubled: 13 * inch, Step: 36 * inch / 8}
	part, err := lay.Lay(context.Background(), works, c, lay.Options{Steps: 800, Say: ruler.Fine, Mark: ruler.Step})
	if err != nil {
		t.Fatal(err)
	}
	c.Fold, c.Width, c.Selvedge, c.Both = lay.Tubular, 26*inch, 0, true
	tube, err := lay.Lay(context.Background(), works, c, lay.Options{Steps: 800, Say: ruler.Fine})
	if err != nil {
		t.Fatal(err)
	}
	laytest.Judge(t, laytest.Case{Name: "part single", Plan: part, Works: works}, laytest.Case{Name: "tube", Plan: tube, Works: works})
	told := func(p *lay.Plan) string {
		d, err := layplan.Sheet(sheetOf(r, "Letter", p))
		if err != nil {
			t.Fatal(err)
		}
		all := ""
		for i, p := range d.Pages {
			if b := p.Ink().Bounds(); b.Min.X < 4 || b.Min.Y < 4 || b.Max.X > p.W-4 || b.Max.Y > p.H-4 {
				t.Errorf("page %d draws from %v to %v on %g x %g", i+1, b.Min, b.Max, p.W, p.H)
			}
			all += strings.Join(words(p.Items), " ") + " "
		}
		return strings.Join(strings.Fields(all), " ")
	}
	// 60 in less twice 13: 34 in between the selvedges' edges.
	on := told(part)
	for _, want := range []string{"13 in from the fold and 34 in from the edge of the other selvedge", "double", "single: one layer", "1 layer, mirrored", "over the edge of the upper layer"} {
		if !strings.Contains(on, want) {
			t.Errorf("the sheet does not say %q: %s", want, on)
		}
	}
	on = told(tube)
	for _, q := range tube.Places {
		if want := map[bool]string{false: "on the left fold", true: "on the right fold"}[q.X > 0]; q.OnFold && !strings.Contains(on, want) {
			t.Errorf("a piece lies %s, which the sheet does not say", want)
		}
	}
	if !strings.Contains(on, "measured from the straightened end, → from the left fold") {
		t.Error("the sheet does not say from which fold it measures")
	}
}
