package job

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"clothwright/lay"
	"clothwright/lay/laytest"
	"clothwright/piece"
	"clothwright/tape"
)

// readExample reads one of the examples with more put after its own file and after its house file.
func readExample(name, more, house string) (*Job, error) {
	dir := "../examples/saltmarsh"
	src, err := os.ReadFile(filepath.Join(dir, name+".toml"))
	if err != nil {
		return nil, err
	}
	return Read(name+".toml", append(src, more...), func(p string) ([]byte, error) {
		b, err := os.ReadFile(filepath.Join(dir, p))
		if strings.HasPrefix(p, "house") {
			b = append(b, house...)
		}
		return b, err
	})
}

func exampleWith(t testing.TB, name, more, house string) *Job {
	t.Helper()
	j, err := readExample(name, more, house)
	if err != nil {
		t.Fatal(err)
	}
	return j
}

// example drafts one of the examples with a house of the test's own put after its own house file.
func example(t testing.TB, name, more string) *Result {
	t.Helper()
	r, err := exampleWith(t, name, "", more).Cut()
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// CONTRACT, cloths: the record alone is enough to lay every piece; GEOS lays its rounded outlines at its rounded places.
func TestRecordCanBeLaid(t *testing.T) {
	const other = "\n[[cloth]]\nmaterial = \"shell\"\nwidth = \"36 in\"\nselvedge = \"1/2 in\"\nfold = \"lengthwise\"\nnap = true\n" +
		"\n[[cloth]]\nmaterial = \"lining\"\nwidth = \"60 in\"\nfold = \"crosswise\"\n\n[[cloth]]\nmaterial = \"padding\"\nwidth = \"45 in\"\nfold = \"open\"\n"
	const part = "\n[[cloth]]\nmaterial = \"shell\"\nwidth = \"60 in\"\nselvedge = \"1/2 in\"\nfold = \"part-single\"\ndoubled = \"17 in\"\n" +
		"\n[[cloth]]\nmaterial = \"lining\"\nwidth = \"54 in\"\nfold = \"part-single\"\n\n[[cloth]]\nmaterial = \"padding\"\nwidth = \"26 in\"\nfold = \"tubular\"\n"
	for _, k := range []struct{ name, more string }{{"stroke", ""}, {"two", ""}, {"six", ""}, {"four", other}, {"six", other}, {"stroke", part}, {"two", part}} {
		r := example(t, k.name, k.more)
		if err := r.Lay(context.Background(), lay.Options{Steps: 1500}); err != nil {
			t.Fatal(err)
		}
		b, err := r.JSON()
		if err != nil {
			t.Fatal(err)
		}
		laytest.JudgeRecord(t, b)
		for _, p := range r.Plans {
			laytest.Judge(t, laytest.Case{Name: k.name + " " + string(p.Cloth.Material), Plan: p, Works: []lay.Work{{Job: r.Job.Number, Pattern: r.Pattern}}})
		}
	}
}

// Facts of the trade: where right and left differ nothing but the small pieces is cut double, so that folded cloth is half wasted. With one part
// single a jacket so cut takes less than folded, by no less than a quarter here; GEOS judges both.
func TestPartSingleWhereSidesDiffer(t *testing.T) {
	const sides = "\n[left]\nshoulder_slope = \"18\"\n[right]\nshoulder_slope = \"24\"\n"
	length := map[string]float64{}
	for _, fold := range []string{"lengthwise", "part-single"} {
		j := exampleWith(t, "stroke", sides, "\n[[cloth]]\nmaterial = \"shell\"\nname = \"drill\"\nwidth = \"60 in\"\nselvedge = \"1/2 in\"\nfold = \""+fold+"\"\n")
		r, err := j.Cut()
		if err != nil {
			t.Fatal(err)
		}
		if err := r.Lay(context.Background(), lay.Options{Steps: 2000}); err != nil {
			t.Fatal(err)
		}
		shell := r.Plans[0]
		length[fold] = shell.Length
		laytest.Judge(t, laytest.Case{Name: fold, Plan: shell, Works: []lay.Work{{Job: r.Job.Number, Pattern: r.Pattern}}})
		b, err := r.JSON()
		if err != nil {
			t.Fatal(err)
		}
		laytest.JudgeRecord(t, b)
		if s, ok := laytest.Has(r.Findings, piece.Info, "lay:fold-at"); ok != (fold == "part-single") || ok && !strings.Contains(s, " in from the fold and ") {
			t.Errorf("%s: the folding is %q", fold, s)
		}
	}
	if length["part-single"] > 0.75*length["lengthwise"] {
		t.Errorf("with one part single %.0f mm, folded %.0f mm", length["part-single"], length["lengthwise"])
	}
}

// What a house says of a part single that cannot be is one sentence.
func TestDoubledInAHouse(t *testing.T) {
	for _, k := range []struct{ cloth, want string }{
		{"fold = \"lengthwise\"\ndoubled = \"12 in\"\n", "only part-single has a part single"},
		{"fold = \"part-single\"\ndoubled = \"1 in\"\n", "doubled"},
		{"fold = \"single\"\n", "lengthwise, part-single, open, crosswise and tubular are allowed"},
	} {
		_, err := readExample("stroke", "", "\n[[cloth]]\nmaterial = \"shell\"\nwidth = \"60 in\"\n"+k.cloth)
		if err == nil || !strings.Contains(err.Error(), k.want) {
			t.Errorf("%q: %v", k.cloth, err)
		}
	}
}

// Cloth too narrow to be folded is laid open and the findings say so; cloth too narrow for that too stops the job.
func TestTooNarrow(t *testing.T) {
	cloth := func(width string) string {
		return "\n[[cloth]]\nmaterial = \"shell\"\nname = \"drill\"\nwidth = \"" + width + "\"\n[[cloth]]\nmaterial = \"lining\"\nwidth = \"54 in\"\n"
	}
	r := example(t, "stroke", cloth("34 in"))
	if err := r.Lay(context.Background(), lay.Options{Steps: 500}); err != nil {
		t.Fatal(err)
	}
	if s, ok := laytest.Has(r.Findings, piece.Warn, "lay:opened"); !ok || !strings.Contains(s, "Sleeve") || r.Plans[0].Cloth.Fold != lay.Open {
		t.Errorf("34 in: %v", r.Findings)
	}
	r = example(t, "stroke", cloth("16 in"))
	before := len(r.Findings)
	if err := r.Lay(context.Background(), lay.Options{Steps: 500}); err != nil {
		t.Fatal(err)
	}
	if _, ok := laytest.Has(r.Findings, piece.Stop, "lay:too-wide"); !ok || r.Level != piece.Stop || r.ExitCode() != 1 {
		t.Errorf("16 in: level %s, %v", r.Level, r.Findings)
	}
	// Laid again, the findings are not doubled.
	n := len(r.Findings)
	if err := r.Lay(context.Background(), lay.Options{Steps: 500}); err != nil || len(r.Findings) != n || n <= before {
		t.Errorf("%d findings, laid again %d", n, len(r.Findings))
	}
}

// A cost finding is of the present lay: laid again on wider cloth, it names the length that is bought now, and names it once.
func TestCostOfThePresentLay(t *testing.T) {
	r := example(t, "stroke", "\n[[cloth]]\nmaterial = \"shell\"\nwidth = \"36 in\"\n[[cloth]]\nmaterial = \"lining\"\nwidth = \"54 in\"\n")
	r.Job.Rates.Cloths = nil // no price for any cloth: each is told with its length
	for _, width := range []float64{36, 60} {
		r.Job.House.Cloths[0].Width = width * tape.Inch
		if err := r.Lay(context.Background(), lay.Options{Steps: 300}); err != nil {
			t.Fatal(err)
		}
		var said []string
		for _, f := range r.Findings {
			if f.Code == "cost:no-price" && strings.Contains(f.Text, "(shell)") {
				said = append(said, f.Text)
			}
		}
		if bought := fmt.Sprintf("%.2f m", r.Plans[0].Bought/1000); len(said) != 1 || !strings.Contains(said[0], bought) {
			t.Errorf("%g in wide, %s to buy, but it is said: %q", width, bought, said)
		}
	}
}

// A material without a cloth is told, and the rest is laid.
func TestNoCloth(t *testing.T) {
	r := example(t, "stroke", "\n[[cloth]]\nmaterial = \"shell\"\nwidth = \"45 in\"\n")
	if err := r.Lay(context.Background(), lay.Options{Steps: 300}); err != nil {
		t.Fatal(err)
	}
	if s, ok := laytest.Has(r.Findings, piece.Warn, "lay:no-cloth"); !ok || !strings.Contains(s, "lining") {
		t.Errorf("nothing is said of the lining: %v", r.Findings)
	}
	if len(r.Plans) != 2 || !r.Plans[0].Laid() {
		t.Errorf("%d plans", len(r.Plans))
	}
}

// A lay that was kept takes the place of the one that would be searched: its length, its findings and what it costs. By hand: the
// shell's last piece is carried two yards on, so that the lay is longer by two yards less what that piece ends before the others.
func TestAKeptLayTakesThePlace(t *testing.T) {
	r := example(t, "stroke", "\n[[cloth]]\nmaterial = \"shell\"\nwidth = \"45 in\"\nprice = \"10.00\"\n[[cloth]]\nmaterial = \"lining\"\nwidth = \"54 in\"\n")
	if err := r.Lay(context.Background(), lay.Options{Steps: 300}); err != nil {
		t.Fatal(err)
	}
	was := r.Plans[0]
	cloth, ok := r.Cloth(piece.Shell)
	if !ok || cloth.Width != was.Cloth.Width || cloth.Price != "10.00" {
		t.Fatalf("the shell's cloth is %+v, %t", cloth, ok)
	}
	works := []lay.Work{{Job: r.Job.Number, Pattern: r.Pattern}}
	var held []lay.Held
	for _, q := range was.Places {
		held = append(held, q.Hold())
	}
	last := &held[len(held)-1]
	last.Y += 72 * 25.4
	longer := lay.ByHand(works, cloth, held, lay.Options{})
	if err := r.Lay(context.Background(), lay.Options{Steps: 300}, longer); err != nil {
		t.Fatal(err)
	}
	if r.Plans[0] != longer || !r.Plans[1].Laid() || r.Plans[0].Length < was.Length+60*25.4 || r.Level == piece.Stop {
		t.Errorf("the plan is %g long, level %s; it was %g: %v", r.Plans[0].Length, r.Level, was.Length, r.Findings)
	}
	// One over another: the job is not to be cut, and each sheet says so.
	last.X, last.Y = held[0].X, held[0].Y
	if err := r.Lay(context.Background(), lay.Options{Steps: 300}, lay.ByHand(works, cloth, held, lay.Options{})); err != nil {
		t.Fatal(err)
	}
	if _, ok := laytest.Has(r.Findings, piece.Stop, "lay:overlap"); !ok || r.Level != piece.Stop {
		t.Errorf("level %s: %v", r.Level, r.Findings)
	}
	if err := r.Lay(context.Background(), lay.Options{Steps: 300}, was); err != nil || r.Level == piece.Stop {
		t.Errorf("mended, the level is %s, %v: %v", r.Level, err, r.Findings)
	}
}

// What a job file says of how its cloths are laid is what is laid: by hand place by place, by a search again from its seed, on the width and in the
// way that was settled. When the pieces have changed it is laid anew and said; the same file gives the same record.
func TestALayInTheJobFile(t *testing.T) {
	cloths := "\n[[cloth]]\nmaterial = \"shell\"\nname = \"drill\"\nwidth = \"45 in\"\n[[cloth]]\nmaterial = \"lining\"\nwidth = \"54 in\"\n"
	r := example(t, "stroke", cloths)
	cloth, _ := r.Cloth(piece.Shell)
	cloth.Width, cloth.Fold = 1500, lay.Open
	works := []lay.Work{{Job: r.Job.Number, Pattern: r.Pattern}}
	found, err := lay.Lay(context.Background(), works, cloth, lay.Options{Seed: 4, Steps: 400, Mark: r.Job.House.Tape.Step, Say: r.Job.House.Tape.Fine})
	if err != nil {
		t.Fatal(err)
	}
	kept := KeptLay{Material: "shell", Width: 1500, Fold: "open", Of: r.LaySign(cloth), Seed: 4, Steps: 400}
	byHand := kept
	byHand.Seed, byHand.Steps = 0, 0
	far := 0.0
	for _, q := range found.Places {
		if q.Opened && q.Flipped {
			continue
		}
		y := q.Y
		if q.Piece == "sleeve" && q.Copy == 0 {
			y += 2000
			far = q.Bounds().Max.Y + 2000
		}
		byHand.Places = append(byHand.Places, KeptPlace{Piece: q.Piece, Copy: q.Copy, Turn: q.Turn, Flipped: q.Flipped, X: q.X, Y: y})
	}
	stale := kept
	stale.Of = "0123"
	for _, k := range []struct {
		what   string
		lay    KeptLay
		length float64
		anew   bool
	}{{"again from its seed", kept, found.Length, false}, {"by hand", byHand, far, false}, {"of other pieces", stale, 0, true}} {
		// Written into a job file and read again, as the folder and the book keep it.
		src, err := WithLays([]byte("garment = \"rib-zip-jacket\"\n[measures]\nchest_girth = \"40 in\"\n"), []KeptLay{k.lay})
		if err != nil {
			t.Fatal(err)
		}
		in := reading("lays.toml", LaysIn(src))
		var f file
		if !in.Decode(&f, aJob) || in.Err() != nil {
			t.Fatalf("%s: %v\n%s", k.what, in.Err(), src)
		}
		again := example(t, "stroke", cloths)
		again.Job.Lays = in.lays(f.Lays)
		if err := again.Lay(context.Background(), lay.Options{Steps: 400}); err != nil || in.Err() != nil {
			t.Fatal(err, in.Err())
		}
		p := again.Plans[0]
		if p.Cloth.Width != 1500 || p.Cloth.Fold != lay.Open || k.length > 0 && math.Abs(p.Length-k.length) > 0.002 {
			t.Errorf("%s: it is %g long on %g, %s; %g is wanted", k.what, p.Length, p.Cloth.Width, p.Cloth.Fold, k.length)
		}
		if _, said := laytest.Has(again.Findings, piece.Info, "lay:other"); said != k.anew {
			t.Errorf("%s: %v", k.what, again.Findings)
		}
		if _, bad := laytest.Has(again.Findings, piece.Stop, "lay:held"); bad {
			t.Errorf("%s: %v", k.what, again.Findings)
		}
		laytest.Judge(t, laytest.Case{Name: k.what, Plan: p, Works: []lay.Work{{Job: again.Job.Number, Pattern: again.Pattern}}})
	}
	// Each mistake is one sentence with its line.
	_, err = Read("bad.toml", []byte("garment = \"rib-zip-jacket\"\n[[lay]]\nmaterial = \"shell\"\nwidth = 10\nfold = \"twisted\"\nsteps = -1\n[[lay.place]]\npiece = \"front\"\nx = nan\ny = 0\n"), nil)
	for _, want := range []string{"bad.toml:4: lay 1: width is 10 mm", "bad.toml:5: lay 1: fold is \"twisted\"", "bad.toml:6: lay 1: -1 steps", "the place of \"front\" is at NaN"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("it is not said: %s; %v", want, err)
		}
	}
}

func BenchmarkLay(b *testing.B) {
	r := example(b, "six", "")
	for b.Loop() {
		if err := r.Lay(context.Background(), lay.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
