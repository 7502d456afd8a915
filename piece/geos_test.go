package piece_test

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os/exec"
	"testing"

	"clothwright/curve"
	"clothwright/piece"
)

// star makes the corners of a jagged outline round the origin, clockwise on the page; radius is asked for x and for y.
func star(n int, radius func(i int) float64) []pt {
	out := make([]pt, n)
	for i := range out {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		out[i] = pt{X: radius(i) * c, Y: radius(i) * s}
	}
	return out
}

// bowed makes a piece whose sides bow out or in by up to the given shares of their chord.
func bowed(pts []pt, allow float64, bow func(i int) float64) *piece.Piece {
	p := &piece.Piece{Name: "bowed"}
	for i, a := range pts {
		b := pts[(i+1)%len(pts)]
		out := b.Sub(a).Left().Mul(bow(i))
		p.Edges = append(p.Edges, edge{Name: string(rune('a' + i)), Allowance: allow,
			Path: curve.Path{curve.Cubic(a, a.Lerp(b, 0.3).Add(out), a.Lerp(b, 0.7).Add(out.Mul(0.5)), b)}})
	}
	return p
}

// blunt reports whether every outward corner's mitre stays within the limit, so that a cut-off corner does not come into it.
func blunt(p *piece.Piece) bool {
	for i := range p.Edges {
		u, v := p.Edges[i].Path.EndTangent(), p.Edges[(i+1)%len(p.Edges)].Path.StartTangent()
		if turn := math.Atan2(u.Cross(v), u.Dot(v)); turn > 0 && math.Cos(turn/2) < 1.01/piece.MitreLimit {
			return false
		}
	}
	return true
}

// For an allowance that is the same all round, the cut line is what GEOS calls a buffer with mitred joins. GEOS, by way of shapely,
// is the reference: the area in which the two differ, as a share of the whole, must be less than a thousandth (a millionth for
// straight sides). Curves differ because GEOS is given chords, by whose direction it mitres, and thins them by a hundredth of the
// allowance before it begins.
func TestAgainstGEOS(t *testing.T) {
	python := "/usr/bin/python3"
	if err := exec.Command(python, "-c", "import shapely").Run(); err != nil {
		t.Skip("needs Debian's python3-shapely, which is not installed")
	}
	rng := rand.New(rand.NewPCG(7, 11))
	type job struct {
		Seam, Cut [][2]float64
		Allowance float64
		within    float64
	}
	var jobs []job
	add := func(p *piece.Piece, within float64) {
		if !blunt(p) {
			return
		}
		if err := p.Finish(); err != nil {
			if f := err.(*piece.Fault); f.Code == "crossing" { // a bow that runs into its neighbour
				return
			}
			t.Errorf("allowance %.1f: %v", p.Edges[0].Allowance, err)
			return
		}
		seam, cut := p.Outline(0.005)
		jobs = append(jobs, job{pairs(seam), pairs(cut), p.Edges[0].Allowance, within})
	}
	for range 120 {
		pts := star(4+rng.IntN(7), func(int) float64 { return 60 + 120*rng.Float64() })
		allow := 5 + 25*rng.Float64()
		add(ring(pts, []float64{allow}, nil), 1e-6)
		add(bowed(pts, allow, func(int) float64 { return 0.6*rng.Float64() - 0.3 }), 1e-3)
	}
	front := jacketFront()
	for i := range front.Edges {
		front.Edges[i].Allowance, front.Edges[i].Corner = 10, piece.Mitre
	}
	add(front, 1e-3)
	add(ring(block, []float64{12}, nil), 1e-6)
	if len(jobs) < 150 {
		t.Fatalf("only %d pieces to compare", len(jobs))
	}
	in, err := json.Marshal(jobs)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(python, "-c", `
import json, sys
from shapely.geometry import Polygon
out = []
for j in json.load(sys.stdin):
    want = Polygon(Polygon(j["Seam"]).buffer(j["Allowance"], join_style=2, mitre_limit=5).exterior)
    got = Polygon(j["Cut"])
    out.append([got.symmetric_difference(want).area / want.area if got.is_valid else 1, want.area])
json.dump(out, sys.stdout)`)
	cmd.Stdin = bytes.NewReader(in)
	res, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	var got [][2]float64
	if err := json.Unmarshal(res, &got); err != nil {
		t.Fatal(err)
	}
	worst := 0.0
	for i, g := range got {
		worst = max(worst, g[0])
		if g[0] > jobs[i].within {
			t.Errorf("piece %d with allowance %.2f: the cut lines differ by %.2g of the area; seam %v", i, jobs[i].Allowance, g[0], jobs[i].Seam[:min(12, len(jobs[i].Seam))])
		}
	}
	t.Logf("%d pieces, worst difference %.2g of the area", len(got), worst)
}

func pairs(pts []pt) [][2]float64 {
	out := make([][2]float64, len(pts))
	for i, q := range pts {
		out[i] = [2]float64{q.X, q.Y}
	}
	return out
}
