package job

import (
	"bytes"
	"context"
	"math"
	"strings"
	"testing"

	"clothwright/draft"
	"clothwright/garments"
	"clothwright/lay"
	"clothwright/tape"
)

func benchJob(b *testing.B) *Job {
	j, err := Read("bench.toml", []byte("garment = \"rib-zip-jacket\"\nunit = \"in\"\n[measures]\n"+twelve), nil)
	if err != nil {
		b.Fatal(err)
	}
	return j
}

// Draft and true one jacket, the script being loaded: at most 5 ms and 5 MB is aimed at.
func BenchmarkDraftAndTrue(b *testing.B) {
	j := benchJob(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := j.Cut(); err != nil {
			b.Fatal(err)
		}
	}
}

// Reading a job file loads the garment's script.
func BenchmarkRead(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		benchJob(b)
	}
}

// The whole of cut: draft, true, lay, every sheet. At most 1 s is aimed at.
func BenchmarkWholeCut(b *testing.B) {
	j := benchJob(b)
	b.ReportAllocs()
	for b.Loop() {
		r, err := j.Cut()
		if err != nil {
			b.Fatal(err)
		}
		if _, err := r.Files(false); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLayOnly(b *testing.B) {
	j := benchJob(b)
	r, err := j.Cut()
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if err := r.Lay(context.Background(), lay.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// Changing one rule of the jacket's script changes marks, outlines and cap together.
func TestOneRuleChangesAll(t *testing.T) {
	src, _ := garments.Script("rib-zip-jacket")
	deeper := strings.ReplaceAll(string(src), "DEPTH_MORE = inch(1.5)", "DEPTH_MORE = inch(2.5)")
	if deeper == string(src) {
		t.Fatal("the armhole's rule is not where it was")
	}
	files := func(name string) ([]byte, error) { return []byte(deeper), nil }
	j, err := Read("own.toml", []byte("garment = \"own.star\"\nunit = \"in\"\n[measures]\n"+forty), files)
	if err != nil {
		t.Fatal(err)
	}
	own, err := j.Cut()
	if err != nil {
		t.Fatal(err)
	}
	plain := cut(t, forty, "", "")
	for _, piece := range []string{"front", "back", "front_lining", "back_lining"} {
		a, b := mark(t, plain, piece, "armhole line").At.Y, mark(t, own, piece, "armhole line").At.Y
		if math.Abs(b-a-25.4) > 1e-9 {
			t.Errorf("%s: the armhole line moved by %.2f mm; want 25.4", piece, b-a)
		}
	}
	if a, b := plain.Pattern.LengthOf("front.armhole"), own.Pattern.LengthOf("front.armhole"); b-a < 20 {
		t.Errorf("the armhole's outline grew by %.1f mm only", b-a)
	}
	if a, b := plain.Pattern.LengthOf("sleeve.cap_front"), own.Pattern.LengthOf("sleeve.cap_front"); b-a < 20 {
		t.Errorf("the sleeve's cap grew by %.1f mm only", b-a)
	}
	var stepped bool
	for _, s := range own.Pattern.Piece("front").Steps {
		stepped = stepped || s.Name == "armhole line" && s.Mark.Taped == "9 1/8 in" && strings.Contains(s.Why.String(), "2 1/2 in")
	}
	if !stepped {
		t.Error("the chalk step does not say 9 1/8 in, by a rule of 2 1/2 in")
	}
}

// A body of a table on both cores, as a batch drafts and trues it; memory is for each body, whatever their number.
func BenchmarkBatch(b *testing.B) {
	lines := bytes.SplitAfter(bodies(b), []byte("\n"))
	g := jacket(b)
	style, _ := g.Style(nil, 0)
	batch := Batch{File: "bodies.csv", Garment: g, Style: style, House: draft.Standard(), Unit: tape.MM, Workers: 2, Line: func([]byte) error { return nil }}
	b.ReportAllocs()
	b.ResetTimer()
	for n := b.N; n > 0; {
		k := min(n, len(lines)-2)
		if _, err := batch.Run(context.Background(), bytes.NewReader(bytes.Join(lines[:k+1], nil))); err != nil {
			b.Fatal(err)
		}
		n -= k
	}
}
