// Package laytest judges lays: by what this project knows and by GEOS, which shares nothing with it. Every test that makes a lay
// passes it through Judge.
package laytest

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"sort"
	"strings"
	"testing"

	"clothwright/lay"
	"clothwright/piece"
)

//go:embed geos.py
var script []byte

// Case is a plan with the works it was made of.
type Case struct {
	Name  string
	Plan  *lay.Plan
	Works []lay.Work
}

// Judge fails the test where a plan does not hold every piece exactly as often as wanted, in a turn that is allowed, apart from
// all others, on the cloth and off its flaws. Without a Python that has shapely it judges without GEOS and says so.
func Judge(t *testing.T, cases ...Case) {
	t.Helper()
	for _, c := range cases {
		if err := c.Plan.Check(); err != nil {
			t.Errorf("%s: %v", c.Name, err)
		}
		for _, s := range c.counts() {
			t.Errorf("%s: %s", c.Name, s)
		}
		for _, s := range c.turns() {
			t.Errorf("%s: %s", c.Name, s)
		}
	}
	var all []any
	for _, c := range cases {
		all = append(all, c.told())
	}
	geos(t, all)
}

// geos lets GEOS judge lays as the script reads them.
func geos(t *testing.T, all []any) {
	t.Helper()
	if s, _ := ask(t, all); s != "" {
		t.Errorf("GEOS says:\n%s", s)
	}
}

// Faults is what GEOS finds wrong with each of the plans, a sentence a line; asked is false where there is no GEOS.
func Faults(t *testing.T, cases ...Case) (said []string, asked bool) {
	t.Helper()
	for _, c := range cases {
		s, ok := ask(t, []any{c.told()})
		said, asked = append(said, s), ok
	}
	return said, asked
}

// ask is what GEOS says of lays.
func ask(t *testing.T, all []any) (string, bool) {
	t.Helper()
	python := geosPython()
	if python == "" {
		t.Log("no Python with shapely (Debian: python3-shapely), so GEOS did not judge these lays")
		return "", false
	}
	dir := t.TempDir()
	src, err := json.Marshal(all)
	if err != nil {
		t.Fatal(err)
	}
	for name, b := range map[string][]byte{"geos.py": script, "lays.json": src} {
		if err := os.WriteFile(filepath.Join(dir, name), b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	out, err := exec.Command(python, filepath.Join(dir, "geos.py"), filepath.Join(dir, "lays.json")).CombinedOutput()
	if err != nil {
		t.Fatalf("GEOS could not judge the lays: %v\n%s", err, out)
	}
	return strings.TrimSpace(string(out)), true
}

var python = "?"

func geosPython() string {
	if python == "?" {
		python = ""
		for _, name := range []string{"/usr/bin/python3", "python3"} {
			if exec.Command(name, "-c", "import shapely").Run() == nil {
				python = name
				break
			}
		}
	}
	return python
}

// counts compares what the places cut with what the patterns want.
func (c Case) counts() []string {
	var out []string
	type tally struct{ cut, plain, mirror float64 }
	got := map[string]*tally{}
	for _, q := range c.Plan.Places {
		k := q.Job + "/" + q.Piece
		if got[k] == nil {
			got[k] = &tally{}
		}
		n := float64(q.Layers)
		if q.From.OnFold {
			n /= 2 // a half through two layers, or two halves through one, is a whole piece
		}
		if q.Parts > 0 {
			n /= float64(q.Parts)
			if q.From.OnFold {
				n *= 2
			}
		}
		got[k].cut += n
		if q.Layers == 2 {
			got[k].plain++
			got[k].mirror++
		} else if q.Flipped != wrongSideUp(c.Plan, &q) {
			got[k].mirror++
		} else {
			got[k].plain++
		}
	}
	for _, w := range c.Works {
		for i := range w.Pattern.Pieces {
			p := &w.Pattern.Pieces[i]
			k := w.Job + "/" + p.Name
			g := got[k]
			delete(got, k)
			switch {
			case p.Material != c.Plan.Cloth.Material && g == nil:
			case p.Material != c.Plan.Cloth.Material:
				out = append(out, k+" is laid on the wrong cloth")
			case g == nil:
				out = append(out, k+" is not laid")
			case math.Abs(g.cut-float64(p.Count)) > 1e-9:
				out = append(out, fmt.Sprintf("%s is cut %g times, %d are wanted", k, g.cut, p.Count))
			case p.Pair && g.plain != g.mirror:
				out = append(out, fmt.Sprintf("%s is cut %g times as it is and %g times mirrored", k, g.plain, g.mirror))
			}
		}
	}
	for k := range got {
		out = append(out, k+" is laid but in no pattern")
	}
	sort.Strings(out)
	return out
}

// wrongSideUp reports whether a place is cut through one layer whose wrong side is up: the upper one of cloth folded right sides
// together. The package comment says which cloth is.
func wrongSideUp(p *lay.Plan, q *lay.Place) bool {
	if q.Layers > 1 {
		return false
	}
	switch p.Cloth.Fold {
	case lay.Lengthwise, lay.Crosswise:
		return true
	case lay.PartSingle:
		return q.Bounds().Max.X <= p.Cloth.Doubled-p.Cloth.Selvedge+1e-6
	}
	return false
}

// turns checks that grain lines run along the cloth, all one way where there is nap, tilted no more than the cloth allows.
func (c Case) turns() []string {
	var out []string
	for _, q := range c.Plan.Places {
		if c.Plan.Band || q.Parts > 0 {
			continue
		}
		g := q.From.Grain[1].Sub(q.From.Grain[0])
		if q.Flipped {
			g.X = -g.X
		}
		angle := g.Angle()*180/math.Pi + q.Turn - 90 // 0: foot away from the cloth's end
		off := math.Abs(math.Remainder(angle, 180))
		up := math.Abs(math.Remainder(angle, 360)) > 90
		tilt := c.Plan.Cloth.Tilt
		if q.From.OnFold {
			tilt = 0
		}
		if off > tilt+1e-6 {
			out = append(out, fmt.Sprintf("%s lies %g degrees off its grain", q.Piece, off))
		}
		if c.Plan.Cloth.Nap && up {
			out = append(out, fmt.Sprintf("%s lies against the nap", q.Piece))
		}
	}
	return out
}

// told is the plan as the script reads it.
func (c Case) told() any {
	p := c.Plan
	places := []place{}
	for _, q := range p.Places {
		one := place{q.Job, q.Piece, fmt.Sprintf("copy %d part %d", q.Copy, q.Part), q.Turn, q.Flipped, q.X, q.Y, q.Layers, q.Enlarge.X, q.Enlarge.Y, q.From.OnFold, nil}
		if q.Parts > 0 { // the part itself; it has no cut line of its own on the pattern
			one.Turn, one.Flipped, one.X, one.Y, one.Wider, one.Longer, one.OnFold = 0, false, 0, 0, 1, 1, false
			for _, v := range q.Shape {
				one.CutLine = append(one.CutLine, [2]float64{v.X, v.Y})
			}
		} else {
			_, cut := q.From.Outline(0.05)
			for _, v := range cut {
				one.CutLine = append(one.CutLine, [2]float64{v.X, v.Y})
			}
		}
		places = append(places, one)
	}
	flaws := [][4]float64{}
	for _, f := range p.Flaws() {
		flaws = append(flaws, [4]float64{f.Min.X, f.Min.Y, f.Max.X, f.Max.Y})
	}
	out := cloth(string(p.Cloth.Fold), p.Usable, p.Cloth.Doubled, p.Cloth.Selvedge, p.Depth())
	out["name"], out["flaws"], out["utilisation"], out["places"] = c.Name, flaws, p.Utilisation, places
	return out
}

// cloth is how a cloth lies as the script reads it: its folds, and the parts across in which it is so many layers thick.
func cloth(fold string, usable, doubled, selvedge, depth float64) map[string]any {
	whole := [2]float64{0, usable}
	out := map[string]any{"usable": usable, "depth": depth, "area": 2 * usable * depth, "folds": []float64{}, "one": [][2]float64{whole}, "two": [][2]float64{whole}}
	switch fold {
	case "open":
		out["area"], out["two"] = usable*depth, [][2]float64{}
	case "lengthwise":
		out["folds"] = []float64{0}
	case "tubular":
		out["folds"] = []float64{0, usable}
	case "part-single":
		double := [2]float64{0, doubled - selvedge}
		out["folds"], out["area"] = []float64{0}, (usable+double[1])*depth
		out["one"], out["two"] = [][2]float64{double, {doubled, usable}}, [][2]float64{double}
	}
	return out
}

// Has reports whether a finding of this level and code is among them, and its sentence.
func Has(fs []piece.Finding, level piece.Level, code string) (string, bool) {
	for _, f := range fs {
		if f.Level == level && f.Code == code {
			return f.Text, true
		}
	}
	return "", false
}

// place is a place as the script reads it.
type place struct {
	Job     string       `json:"job"`
	Piece   string       `json:"piece"`
	Copy    string       `json:"copy"`
	Turn    float64      `json:"turn"`
	Flipped bool         `json:"flipped"`
	X       float64      `json:"x"`
	Y       float64      `json:"y"`
	Layers  int          `json:"layers"`
	Wider   float64      `json:"wider"`
	Longer  float64      `json:"longer"`
	OnFold  bool         `json:"on_fold"`
	CutLine [][2]float64 `json:"cut_line"`
}

// JudgeRecord judges the cloths of a job's record (job.json) by what is written in it alone: places of rounded outlines, by
// GEOS, and counts.
func JudgeRecord(t *testing.T, record []byte) {
	t.Helper()
	var r struct {
		Job    string
		Pieces []struct {
			Name, Material string
			Count          int
			OnFold         bool         `json:"on_fold"`
			CutLine        [][2]float64 `json:"cut_line"`
		}
		Cloths []struct {
			Material, Fold              string
			Usable, Length, Utilisation float64
			Doubled, Selvedge           float64
			Places                      []struct {
				Piece   string
				Copy    int
				Turn    float64
				Flipped bool
				X, Y    float64
				Layers  int
			}
		}
	}
	if err := json.Unmarshal(record, &r); err != nil {
		t.Fatal(err)
	}
	var all []any
	for _, c := range r.Cloths {
		depth := c.Length
		if c.Fold == "crosswise" {
			depth /= 2
		}
		places := []place{}
		for _, p := range r.Pieces {
			if p.Material != c.Material {
				continue
			}
			cut := 0
			for _, q := range c.Places {
				if q.Piece != p.Name {
					continue
				}
				cut += q.Layers
				places = append(places, place{r.Job, q.Piece, fmt.Sprint(q.Copy), q.Turn, q.Flipped, q.X, q.Y, q.Layers, 1, 1, p.OnFold, p.CutLine})
			}
			want := p.Count
			if p.OnFold {
				want *= 2 // halves
			}
			if cut != want {
				t.Errorf("%s: %s is cut through %d layers, %d are wanted", r.Job, p.Name, cut, want)
			}
		}
		if len(places) != len(c.Places) {
			t.Errorf("%s: %d places on %s are of its pieces, of %d", r.Job, len(places), c.Material, len(c.Places))
		}
		one := cloth(c.Fold, c.Usable, c.Doubled, c.Selvedge, depth)
		one["name"], one["flaws"], one["utilisation"], one["places"] = r.Job+" "+c.Material, [][4]float64{}, c.Utilisation, places
		all = append(all, one)
	}
	geos(t, all)
}
