package pack

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// geosPython is a Python that has shapely, or the test is skipped.
func geosPython(t *testing.T) string {
	t.Helper()
	for _, name := range []string{"python3", "/usr/bin/python3"} {
		if exec.Command(name, "-c", "import shapely").Run() == nil {
			return name
		}
	}
	t.Skip("no Python with shapely (Debian: python3-shapely), so GEOS cannot judge the lays")
	return ""
}

// geosFaults lets GEOS judge a lay.
func geosFaults(t *testing.T, python string, p Problem, l Lay) string {
	t.Helper()
	dir := t.TempDir()
	files := map[string]func(*os.File) error{
		"problem.json": func(f *os.File) error { return WriteProblemJSON(f, p) },
		"lay.json":     func(f *os.File) error { return WriteJSON(f, l) },
	}
	for name, write := range files {
		f, err := os.Create(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		if err := write(f); err != nil {
			t.Fatal(err)
		}
		f.Close()
	}
	out, err := exec.Command(python, "testdata/geos.py", filepath.Join(dir, "problem.json"), filepath.Join(dir, "lay.json")).CombinedOutput()
	if err != nil {
		t.Fatalf("GEOS could not judge the lay: %v\n%s", err, out)
	}
	return strings.TrimSpace(string(out))
}

// published reads one of the shared instances.
func published(t testing.TB, name string) Problem {
	t.Helper()
	return readProblem(t, filepath.Join("../../../shared/data/lay", name+".json"))
}

func readProblem(t testing.TB, path string) Problem {
	t.Helper()
	f, err := os.Open(path)
	if os.IsNotExist(err) {
		t.Skipf("%s is not beside the checkout", path)
	}
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	p, err := ReadJSON(f)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Source: GEOS through shapely judges overlap, strip, turns, counts and area, apart
// from everything in this package. ESICUP 2D irregular instances.
func TestGEOSAgrees(t *testing.T) {
	python := geosPython(t)
	cases := []struct {
		name  string
		steps int64
	}{
		{"albano", 8000}, {"dagli", 8000}, {"dighe1", 30000}, {"dighe2", 30000}, {"fu", 8000},
		{"shapes1", 8000}, {"shirts", 8000}, {"trousers", 8000},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			p := published(t, c.name)
			l, err := Solve(context.Background(), p, Options{Seed: 5, Steps: c.steps})
			if err != nil {
				t.Fatal(err)
			}
			if faults := geosFaults(t, python, p, l); faults != "" {
				t.Error(faults)
			}
			t.Logf("%d steps: %.2f %%", l.Steps, 100*l.Utilisation)
		})
	}
}

// Source: GEOS again, on everything a problem may ask for beyond the plain task.
func TestGEOSAgreesOnDemands(t *testing.T) {
	python := geosPython(t)
	jacket := readProblem(t, "testdata/jacket.json")
	gap := jacket
	gap.Gap = 6
	flawed := jacket
	flawed.Obstacles = [][]Point{{{300, 200}, {360, 210}, {340, 260}}, {{900, 500}, {900, 560}, {1000, 560}, {1000, 500}}}
	turning := blobs(20)
	for i := range turning.Pieces {
		turning.Pieces[i].Turns = []float64{0, 3, 357, 45, 211.5}
		turning.Pieces[i].Flip = i%2 == 0
	}
	striped := jacket
	striped.Pieces = slices.Clone(jacket.Pieces)
	for i := range striped.Pieces {
		striped.Pieces[i].Repeat = Repeat{Point: striped.Pieces[i].Outline[0], From: Point{-20, 0}, Along: 60}
	}
	for name, p := range map[string]Problem{"jacket": jacket, "gap": gap, "flaws": flawed, "odd turns": turning, "stripes": striped} {
		t.Run(name, func(t *testing.T) {
			l, err := Solve(context.Background(), p, Options{Seed: 2, Steps: 4000})
			if err != nil {
				t.Fatal(err)
			}
			if faults := geosFaults(t, python, p, l); faults != "" {
				t.Error(faults)
			}
			t.Logf("%.2f %%", 100*l.Utilisation)
		})
	}
}
