package job

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"clothwright/piece"
)

// rowers are the demo jobs, read from the examples and cut.
func rowers(t testing.TB) map[string]*Result {
	t.Helper()
	const dir = "../examples/saltmarsh"
	out := map[string]*Result{}
	names, _ := filepath.Glob(dir + "/*.toml")
	for _, n := range names {
		src, err := os.ReadFile(n)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Contains(src, []byte("\n[measures]")) {
			continue // a house or a costing
		}
		out[filepath.Base(n)] = example(t, strings.TrimSuffix(filepath.Base(n), ".toml"), "")
	}
	if len(out) < 8 {
		t.Fatalf("%d demo jobs; eight rowers are wanted", len(out))
	}
	return out
}

// Every demo jacket may be cut: each seam matches as stated to 1 mm and nothing says stop.
func TestRowersMayBeCut(t *testing.T) {
	for name, r := range rowers(t) {
		for _, f := range r.Findings {
			if f.Level == piece.Stop {
				t.Errorf("%s: %s (%s)", name, f.Text, f.Code)
			}
		}
		for _, s := range r.Pattern.Seams {
			var a, b float64
			for _, ref := range s.A {
				a += r.Pattern.LengthOf(ref)
			}
			for _, ref := range s.B {
				b += r.Pattern.LengthOf(ref)
			}
			want := a
			switch s.Kind {
			case piece.Eased:
				want = a + s.Intended
			case piece.Ribbed:
				want = a * s.Intended
			}
			if math.Abs(b-want) > 1 {
				t.Errorf("%s: seam %s: %.2f mm against %.2f, %.2f was wanted", name, s.Name, a, b, want)
			}
		}
	}
}

// The record has what scripts rely on, under the names they rely on, and its seams add up from its edges.
func TestRecordKeepsItsPromise(t *testing.T) {
	for name, r := range rowers(t) {
		raw, err := r.JSON()
		if err != nil {
			t.Fatal(err)
		}
		var rec struct {
			Format   int
			Garment  string
			Job      string
			Tape     string
			Measures []map[string]any
			Marks    []map[string]any
			Pieces   []struct {
				Name     string
				Material string
				Count    int
				Pair     bool
				OnFold   bool         `json:"on_fold"`
				SeamLine [][2]float64 `json:"seam_line"`
				CutLine  [][2]float64 `json:"cut_line"`
				Grain    [][2]float64
				Edges    []struct {
					Name              string
					Length, Allowance float64
				}
				Notches []map[string]any
			}
			Seams []struct {
				Name     string
				A, B     []string
				LengthA  float64 `json:"length_a"`
				LengthB  float64 `json:"length_b"`
				Kind     string
				Intended float64
			}
			Worn, Findings, Cloths []map[string]any
		}
		if err := json.Unmarshal(raw, &rec); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if rec.Format != 1 || rec.Garment != "rib-zip-jacket" || rec.Job == "" || rec.Tape == "" {
			t.Errorf("%s: format %d, garment %q, job %q, tape %q", name, rec.Format, rec.Garment, rec.Job, rec.Tape)
		}
		has := func(what string, rows []map[string]any, keys ...string) {
			if len(rows) == 0 {
				t.Errorf("%s: no %s", name, what)
			}
			for _, row := range rows {
				for _, k := range keys {
					if _, ok := row[k]; !ok {
						t.Errorf("%s: a %s has no %q: %v", name, what, k, row)
						return
					}
				}
			}
		}
		has("measure", rec.Measures, "name", "mm", "from", "spread")
		has("mark", rec.Marks, "piece", "name", "x", "y", "from", "way", "distance", "taped", "why")
		has("worn", rec.Worn, "at", "body", "garment", "ease", "least")
		has("finding", rec.Findings, "level", "code", "text", "pieces")
		length := map[string]float64{}
		for _, p := range rec.Pieces {
			if len(p.SeamLine) < 4 || len(p.CutLine) < 4 || len(p.Grain) != 2 || p.Count < 1 || p.Material == "" {
				t.Errorf("%s: piece %q is not whole", name, p.Name)
			}
			if p.SeamLine[0] == p.SeamLine[len(p.SeamLine)-1] {
				t.Errorf("%s: piece %q repeats its first point", name, p.Name)
			}
			has("notch", append(p.Notches, map[string]any{"edge": 0, "at": 0, "kind": 0}), "edge", "at", "kind")
			for _, e := range p.Edges {
				length[p.Name+"."+e.Name] = e.Length
			}
		}
		for _, s := range rec.Seams {
			for i, refs := range [][]string{s.A, s.B} {
				sum, known := 0.0, true
				for _, ref := range refs {
					l, ok := length[ref]
					known = known && ok // a pocket mouth is a line inside
					sum += l
				}
				if want := []float64{s.LengthA, s.LengthB}[i]; known && math.Abs(sum-want) > 0.01 {
					t.Errorf("%s: seam %q says %.3f mm, its edges add up to %.3f", name, s.Name, want, sum)
				}
			}
		}
	}
}

// GEOS, an independent library, must find every outline valid and agree on its area to a thousandth.
func TestAreasAgreeWithGEOS(t *testing.T) {
	const python = "/usr/bin/python3"
	if exec.Command(python, "-c", "import shapely").Run() != nil {
		t.Skip("python3 with shapely is not here; skipped")
	}
	type shape struct {
		Name string       `json:"name"`
		Pts  [][2]float64 `json:"pts"`
		Area float64      `json:"area"`
	}
	var shapes []shape
	for name, r := range rowers(t) {
		for i := range r.Pattern.Pieces {
			p := &r.Pattern.Pieces[i]
			seam, cutLine := p.Outline(0.05)
			for k, pts := range [][]xy{outline(seam), outline(cutLine)} {
				s := shape{Name: name + " " + p.Name + []string{" seam line", " cut line"}[k], Area: []float64{p.Area(), p.CutArea()}[k]}
				for _, q := range pts {
					s.Pts = append(s.Pts, [2]float64{float64(q[0]), float64(q[1])})
				}
				shapes = append(shapes, s)
			}
		}
	}
	in, _ := json.Marshal(shapes)
	cmd := exec.Command(python, "-c", `
import json, sys
from shapely.geometry import Polygon
n = 0
for s in json.load(sys.stdin):
    p = Polygon(s["pts"])
    if not p.is_valid: print(s["name"], "is not valid")
    if abs(p.area - s["area"]) > 0.001 * s["area"]: print(s["name"], p.area, s["area"])
    n += 1
print("judged", n)
`)
	cmd.Stdin = bytes.NewReader(in)
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	for _, l := range lines[:len(lines)-1] {
		t.Error(l)
	}
	if last := lines[len(lines)-1]; !strings.HasPrefix(last, "judged ") || len(shapes) < 150 {
		t.Errorf("%s; %d shapes were sent", last, len(shapes))
	}
}
