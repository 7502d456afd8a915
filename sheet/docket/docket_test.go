package docket

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"clothwright/cost"
	"clothwright/curve"
	"clothwright/job"
	"clothwright/job/jobtest"
	"clothwright/piece"
	"clothwright/sheet/bitmap"
	"clothwright/sheet/drawing"
	"clothwright/sheet/drawing/drawingtest"
	"clothwright/sheet/pdf"
	"clothwright/sheet/svg"
)

func priced(t *testing.T, r *job.Result) *cost.Quote {
	t.Helper()
	src, err := os.ReadFile("../../examples/saltmarsh/costing.toml")
	if err != nil {
		t.Fatal(err)
	}
	rates, err := cost.Read("costing.toml", src)
	if err != nil {
		t.Fatal(err)
	}
	q, err := cost.Work(rates, cost.Order{Garment: r.Job.Garment.Title, Pieces: 1, Notions: r.Pattern.Notions, Order: r.Pattern.Order,
		Cloths: []cost.Cloth{{Material: "shell", Name: "wax print", Bought: 2100, Own: true}, {Material: "lining", Name: "lining", Bought: 1700}, {Material: "rib", Name: "ready band", Bought: 1600}}})
	if err != nil {
		t.Fatal(err)
	}
	return q
}

func head(r *job.Result) Head {
	return Head{House: "Saltmarsh workroom", Job: r.Job.Number, Client: r.Job.Client, Garment: r.Job.Garment.Title, Date: "2026-03-02", Note: r.Job.Demo}
}

// sheets are all four sheets of one job.
func sheets(t *testing.T, name string) map[string]*drawing.Drawing {
	t.Helper()
	r := jobtest.Example(t, name)
	q := priced(t, r)
	out := map[string]*drawing.Drawing{}
	put := func(name string, d *drawing.Drawing, err error) {
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		out[name] = d
	}
	style := []string{"Ease: regular", "Rib: ready", "Block width: 2 3/4 in"}
	sizes := []Size{{"Chest", "46 in"}, {"Waist", "44 1/2 in"}, {"Length", "24 in"}, {"Sleeve", "24 1/4 in"}, {"Neck", "16 in"}}
	d, err := Quotation(head(r), q, style, "This price holds until 2026-04-01.", []string{"Work begins when the deposit is paid."})
	put("quotation", d, err)
	d, err = Costing(head(r), q)
	put("costing", d, err)
	d, err = Confirmation(head(r), Agreement{Issue: 2, Changed: []Change{{"Ready on", "2026-03-18", "2026-03-20"}, {"Chest round", "45 1/2 in", "46 in"}, {"Left sleeve", "", "24 1/2 in"}}, Style: style, Sizes: sizes, Prices: q.Client(), Due: "2026-03-20", Pattern: r.Pattern,
		Cloth: []string{"wax print, 3.00 m by 1.15 m, sound"}, ByHand: []string{"left shoulder lower 1/4 in"}, Terms: []string{"A change after signing is a new sheet and may change price and day."}})
	put("confirmation", d, err)
	d, err = Docket(head(r), Matter{Pattern: r.Pattern, State: "cut", Due: "2026-03-20", Draft: 2, Code: r.Job.Number, Findings: r.Findings,
		Cut: []Size{{"Front", "2 × shell, a pair"}, {"Back", "1 × shell, on the fold"}, {"Sleeve", "2 × shell, a pair"}}, Materials: []Size{{"wax print", "2.10 m"}, {"lining", "1.70 m"}},
		Fittings: []string{"2026-03-10: sleeve +1/2 in; left shoulder lower 1/4 in (by hand)"}, Adjustments: []string{"arm length +12.7 mm"}})
	put("docket", d, err)
	return out
}

// Each sheet says what it must, read back from the PDF by poppler's pdftotext; the client's sheets have nothing of the inside.
func TestSheets(t *testing.T) {
	dir := t.TempDir()
	if keep := os.Getenv("KEEP_SHEETS"); keep != "" {
		dir = keep
	}
	tool, err := exec.LookPath("pdftotext")
	for _, name := range []string{"stroke", "five", "two"} {
		all := sheets(t, name)
		q := priced(t, jobtest.Example(t, name))
		for which, want := range map[string][]string{
			"quotation":    {"Quotation", "Rib-trimmed zip jacket", "Total", q.Currency.Format(q.Total), "Deposit", q.Currency.Format(q.Balance), "your own"},
			"costing":      {"For the workroom alone", q.Currency.Bare(q.Cost), "Set the zip", "301", "assumed", q.Currency.Bare(q.Labour)},
			"confirmation": {"Confirmation, issue 2", "takes the place of issue 1", "Ready on 2026-03-18 2026-03-20", "Chest round 45 ½ in 46 in", "Left sleeve –", "Finished sizes", "Ready on 2026-03-20", "signature", "left shoulder lower", q.Currency.Format(q.Total)},
			"docket":       {"Docket", "draft 2", "Due 2026-03-20", "by hand", "Cut list", "2.10 m"},
		} {
			b, bad := pdf.Bytes(all[which])
			if bad != nil {
				t.Fatal(bad)
			}
			if again, _ := pdf.Bytes(sheets(t, name)[which]); name == "five" && !bytes.Equal(b, again) {
				t.Errorf("%s is not the same twice", which)
			}
			if n := len(all[which].Pages); n > 2 {
				t.Errorf("%s of %s has %d pages", which, name, n)
			}
			if len(b) > 300_000 {
				t.Errorf("%s is %d bytes: too large to send in a message", which, len(b))
			}
			if name == "five" {
				pictures(t, which, all[which], b)
			}
			path := filepath.Join(dir, name+"-"+which+".pdf")
			if bad := os.WriteFile(path, b, 0o600); bad != nil {
				t.Fatal(bad)
			}
			if err != nil {
				continue
			}
			out, bad := exec.Command(tool, "-layout", path, "-").Output()
			if bad != nil {
				t.Fatal(bad)
			}
			got := strings.Join(strings.Fields(string(out)), " ")
			for _, w := range want {
				if !strings.Contains(got, w) {
					t.Errorf("%s of %s does not say %q:\n%s", which, name, w, got)
				}
			}
			if which == "quotation" || which == "confirmation" {
				for _, inner := range []string{q.Currency.Bare(q.Cost), q.Currency.Bare(q.Labour), q.Currency.Bare(q.Materials), "argin", "verhead", " min"} {
					if strings.Contains(got, inner) {
						t.Errorf("the client's %s shows %q", which, inner)
					}
				}
			}
		}
	}
	if err != nil {
		t.Skip("pdftotext is not installed, so the words were not read back")
	}
}

// A page as a picture is small enough for a message, and looks as poppler draws the PDF of it: the mean difference is a small part
// of what a shift by two dots makes.
func pictures(t *testing.T, which string, d *drawing.Drawing, doc []byte) {
	t.Helper()
	for i, p := range d.Pages {
		b, err := bitmap.Bytes(p, bitmap.Phone)
		if err != nil {
			t.Fatal(err)
		}
		if len(b) > 300_000 {
			t.Errorf("page %d of the %s is a picture of %d bytes: too large to send in a message", i+1, which, len(b))
		}
		if keep := os.Getenv("KEEP_SHEETS"); keep != "" {
			os.WriteFile(filepath.Join(keep, fmt.Sprintf("%s-%d.png", which, i+1)), b, 0o600)
		}
		if _, err := exec.LookPath("pdftoppm"); err != nil {
			continue
		}
		ours := drawingtest.PNGRaster(t, b)
		theirs := drawingtest.PDFPicture(t, doc, i+1, ours.W, ours.H)
		got, aside := ours.Difference(theirs, 0), ours.Difference(theirs, 2)
		t.Logf("%s, page %d: %d bytes, mean difference %.2f of 255, two dots aside %.2f", which, i+1, len(b), got, aside)
		if got > 5 || got > aside/2 {
			t.Errorf("page %d of the %s differs from poppler's by %.2f of 255 on average, two dots aside by %.2f", i+1, which, got, aside)
		}
	}
}

// A garment whose sides differ is sketched as a garment, as large as one whose sides are alike: the shoulder that lies lower on the wearer
// lies lower on the page, the left one on the right in front and on the left behind.
func TestSketchOfUnlikeSides(t *testing.T) {
	draw := func(left string) (shapes []curve.Rect, k float64) {
		t.Helper()
		src, err := os.ReadFile("../../examples/saltmarsh/stroke.toml")
		if err != nil {
			t.Fatal(err)
		}
		j, err := job.Read("stroke.toml", []byte(strings.Replace(string(src), "[style]", left+"\n[style]", 1)), func(n string) ([]byte, error) { return os.ReadFile("../../examples/saltmarsh/" + n) })
		if err != nil {
			t.Fatal(err)
		}
		r, err := j.Cut()
		if err != nil {
			t.Fatal(err)
		}
		var l drawing.Layer
		k = Sketch(&l, r.Pattern, 0, 0, 180, 70)
		for _, it := range l.Items {
			if p, ok := it.(drawing.Path); ok && p.Closed {
				shapes = append(shapes, p.Paths[0].Bounds())
			}
		}
		return shapes, k
	}
	even, k := draw("")
	uneven, k2 := draw("[left]\nshoulder_slope = 30\narm_length = \"56 cm\"\n[right]\nshoulder_slope = 15")
	if len(even) == 0 || k2 < 0.9*k {
		t.Fatalf("%d shapes at a scale of %.3f, with unlike sides %d at %.3f", len(even), k, len(uneven), k2)
	}
	// A view begins with its sleeves, each with its cuff: the right of the page, then the left. In front come two body halves, two of the hem
	// rib and two of the collar; behind they are in one, but for the hem rib. The sleeves' tops are the shoulders' ends.
	const behind = 4 + 2 + 2 + 2
	if len(uneven) != behind+4+1+2+1 {
		t.Fatalf("%d shapes", len(uneven))
	}
	for view, sleeves := range [][2]curve.Rect{{uneven[0], uneven[2]}, {uneven[behind], uneven[behind+2]}} {
		right, left := sleeves[0], sleeves[1] // of the page
		if right.Center().X < left.Center().X {
			t.Fatalf("view %d: the shapes are in another order: %v", view, sleeves)
		}
		wearersLeft, other := right, left
		if view == 1 {
			wearersLeft, other = left, right
		}
		if wearersLeft.Min.Y < other.Min.Y+1 {
			t.Errorf("view %d: the wearer's left shoulder is at %.2f and the right one at %.2f", view, wearersLeft.Min.Y, other.Min.Y)
		}
	}
}

// A stop is on every page.
func TestStop(t *testing.T) {
	r := jobtest.Example(t, "stroke")
	h := head(r)
	h.Stop = "The cap is shorter than the armhole."
	d, err := Docket(h, Matter{Pattern: r.Pattern, Code: "x"})
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range d.Pages {
		b, err := svg.Bytes(p)
		if err != nil || !bytes.Contains(b, []byte("DO NOT CUT")) {
			t.Errorf("%v: the page does not say so", err)
		}
	}
	if _, err := Docket(h, Matter{Pattern: &piece.Pattern{}}); err == nil {
		t.Error("a docket of nothing is drawn")
	}
	h.Paper = "B5"
	if _, err := Quotation(h, priced(t, r), nil, "", nil); err == nil || !strings.Contains(err.Error(), "A4 and Letter") {
		t.Errorf("%v", err)
	}
}

// The code is read by zbar from the printed page, as a phone would.
func TestCodeCanBeRead(t *testing.T) {
	for _, words := range []string{"SRC-01", "Đ-7/2026 Ọ", strings.Repeat("x", 80)} {
		d := &drawing.Drawing{}
		p := d.Add(drawing.Size{W: 60, H: 60})
		if err := QR(&p.Layer, 10, 10, 38, words); err != nil {
			t.Fatal(err)
		}
		reader, err := exec.LookPath("zbarimg")
		if err != nil {
			t.Skip("zbarimg is not installed, so the QR code is not read back")
		}
		b, err := pdf.Bytes(d)
		if err != nil {
			t.Fatal(err)
		}
		dir := t.TempDir()
		os.WriteFile(dir+"/q.pdf", b, 0o600)
		if out, err := exec.Command("pdftoppm", "-r", "150", "-png", "-singlefile", dir+"/q.pdf", dir+"/q").CombinedOutput(); err != nil {
			t.Skipf("the page cannot be made a picture: %s", out)
		}
		out, err := exec.Command(reader, "-q", "--raw", dir+"/q.png").Output()
		if got := strings.TrimSpace(string(out)); err != nil || got != words {
			t.Errorf("%q is read as %q, %v", words, got, err)
		}
	}
	if err := QR(&drawing.Layer{}, 0, 0, 10, strings.Repeat("x", 5000)); err == nil {
		t.Error("a text too long is a code")
	}
}
