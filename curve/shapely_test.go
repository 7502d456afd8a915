package curve

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os/exec"
	"testing"
)

// The outside reference for areas and parallels is GEOS, reached through Python's shapely. It sees flattened outlines.
const shapelyScript = `
import json, sys
from shapely.validation import explain_validity
from shapely.geometry import Polygon
def biggest(g):
    if g.is_empty: return g
    return max(g.geoms, key=lambda x: x.exterior.length) if hasattr(g, "geoms") else g
out = []
for case in json.load(sys.stdin):
    p = Polygon(case["outline"])
    q = biggest(p.buffer(case["d"], join_style=2, mitre_limit=4.0))
    q = Polygon(q.exterior) if not q.is_empty else q
    r = Polygon(case["ours"]) if len(case["ours"]) > 2 else Polygon()
    out.append({"valid": p.is_valid, "area": p.area, "cx": p.centroid.x, "cy": p.centroid.y, "ours_valid": r.is_valid, "why": explain_validity(r),
                "gap": p.exterior.distance(r.exterior) if not r.is_empty else -1, "theirs": q.area, "differ": q.symmetric_difference(r.buffer(0)).area})
json.dump(out, sys.stdout)
`

type shapelyCase struct {
	Outline [][2]float64 `json:"outline"`
	Ours    [][2]float64 `json:"ours"`
	D       float64      `json:"d"`
	path    Path
}

type shapelyAnswer struct {
	Valid     bool    `json:"valid"`
	OursValid bool    `json:"ours_valid"`
	Why       string  `json:"why"`
	Gap       float64 `json:"gap"`
	Area      float64 `json:"area"`
	CX        float64 `json:"cx"`
	CY        float64 `json:"cy"`
	Theirs    float64 `json:"theirs"`
	Differ    float64 `json:"differ"`
}

func shapely(t *testing.T, cases []shapelyCase) []shapelyAnswer {
	t.Helper()
	in, err := json.Marshal(cases)
	if err != nil {
		t.Fatal(err)
	}
	for _, python := range []string{"python3", "/usr/bin/python3"} {
		if exec.Command(python, "-c", "import shapely.geometry").Run() != nil {
			continue
		}
		cmd := exec.Command(python, "-c", shapelyScript)
		cmd.Stdin = bytes.NewReader(in)
		var stderr bytes.Buffer
		cmd.Stderr = &stderr
		out, err := cmd.Output()
		if err != nil {
			t.Fatalf("%v: %s", err, stderr.String())
		}
		var a []shapelyAnswer
		if err := json.Unmarshal(out, &a); err != nil {
			t.Fatal(err)
		}
		return a
	}
	t.Skip("python3 with shapely is not installed, so areas and parallels are not compared with GEOS")
	return nil
}

func ring(pts []Point) [][2]float64 {
	out := make([][2]float64, 0, len(pts))
	for i, p := range pts {
		if i == len(pts)-1 && p == pts[0] {
			break
		}
		out = append(out, [2]float64{p.X, p.Y})
	}
	return out
}

// outline draws a closed shape like a pattern piece: straight sides and curves, corners and hollows.
func outline(r *rand.Rand) Path {
	n := 4 + r.IntN(5)
	var marks []Point
	for i := range n {
		a := 2 * math.Pi * (float64(i) + 0.6*r.Float64()) / float64(n)
		marks = append(marks, unitAt(a).Mul(120+180*r.Float64()).Add(Point{300, 400}))
	}
	var p Path
	for i := range marks {
		a, b := marks[i], marks[(i+1)%n]
		if r.IntN(3) == 0 {
			p = append(p, Line(a, b))
			continue
		}
		side := b.Sub(a)
		bow := side.Left().Mul(0.35 * (2*r.Float64() - 1))
		p = append(p, Cubic(a, a.Lerp(b, 0.3).Add(bow), a.Lerp(b, 0.6).Add(bow.Mul(r.Float64())), b))
	}
	return p
}

// sharpest is the least angle between neighbouring sides of a closed path, in radians.
func sharpest(p Path) float64 {
	least := math.Pi
	for i := range p {
		u, v := p[i].Tangent(1), p[(i+1)%len(p)].Tangent(0)
		least = math.Min(least, math.Pi-math.Abs(turn(v.Angle()-u.Angle())))
	}
	return least
}

func TestAgainstGEOS(t *testing.T) {
	const tol = 0.002
	r := rand.New(rand.NewPCG(7, 11))
	var cases []shapelyCase
	for range 60 {
		p := outline(r)
		pts := p.Flatten(tol)
		if !Simple(pts[:len(pts)-1]) {
			continue
		}
		if sharpest(p) < 0.6 {
			continue // beyond the limit of the mitre GEOS cuts corners at another place
		}
		for _, d := range []float64{6, 40, -12.7, -40} {
			cases = append(cases, shapelyCase{ring(pts), ring(p.Offset(d, tol).Flatten(tol)), d, p})
		}
	}
	if len(cases) < 120 {
		t.Fatalf("only %d outlines to compare", len(cases))
	}
	for i, a := range shapely(t, cases) {
		c := cases[i]
		long := c.path.Length()
		if !a.Valid {
			t.Errorf("GEOS finds outline %d not simple, Simple does not: %s", i, row(c.path))
			continue
		}
		// Area of the path is exact, GEOS sees chords within tol.
		near1(t, "area", math.Abs(Area(c.path)), a.Area, long*tol)
		var pts []Point
		for _, v := range c.Outline {
			pts = append(pts, Point{v[0], v[1]})
		}
		near1(t, "polygon area", math.Abs(PolygonArea(pts)), a.Area, 1e-6)
		nearPoint(t, "centroid", PolygonCentroid(pts), Point{a.CX, a.CY}, 1e-8)
		if !a.OursValid {
			t.Errorf("parallel at %g of outline %d crosses itself by GEOS (%s): %s", c.D, i, a.Why, row(c.path))
		}
		if a.Gap >= 0 {
			near1(t, "distance between path and parallel by GEOS", a.Gap, math.Abs(c.D), 3*tol)
		}
		if a.Differ > long*(3*tol+2e-3*math.Abs(c.D)) {
			// GEOS smooths hollows by up to a hundredth of the distance before it begins (its simplify factor).
			t.Errorf("parallel at %g of outline %d differs from GEOS by %.4f mm² of %.0f: %s", c.D, i, a.Differ, a.Theirs, row(c.path))
		}
	}
}
