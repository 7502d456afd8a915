package curve

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"
)

// Paths in these tests are written as rows of letters and numbers: M x y begins, L x y is a straight line, C with six numbers a
// cubic, Z a straight line back to the beginning (left out when the path is already there). These are the letters of SVG.

func path(t testing.TB, s string) Path {
	t.Helper()
	for _, c := range "MLCZ" {
		s = strings.ReplaceAll(s, string(c), " "+string(c)+" ")
	}
	words := strings.Fields(strings.ReplaceAll(s, ",", " "))
	var p Path
	var begin, at Point
	point := func(i int) Point {
		var v [2]float64
		for k := range v {
			if i+k >= len(words) {
				t.Fatalf("path %q ends too soon", s)
			}
			f, err := strconv.ParseFloat(words[i+k], 64)
			if err != nil {
				t.Fatalf("path %q: %v", s, err)
			}
			v[k] = f
		}
		return Point{v[0], v[1]}
	}
	for i := 0; i < len(words); {
		switch words[i] {
		case "M":
			begin = point(i + 1)
			at, i = begin, i+3
		case "L":
			p = append(p, Line(at, point(i+1)))
			at, i = p.End(), i+3
		case "C":
			p = append(p, Cubic(at, point(i+1), point(i+3), point(i+5)))
			at, i = p.End(), i+7
		case "Z":
			if at != begin {
				p = append(p, Line(at, begin))
				at = begin
			}
			i++
		default:
			t.Fatalf("path %q: what is %q?", s, words[i])
		}
	}
	return p
}

// row writes a path in the same notation, to three decimals.
func row(p Path) string {
	if len(p) == 0 {
		return ""
	}
	xy := func(q Point) string { return short(q.X) + " " + short(q.Y) }
	var b strings.Builder
	fmt.Fprintf(&b, "M%s", xy(p.Start()))
	for i, s := range p {
		switch {
		case i == len(p)-1 && i > 0 && s.Straight() && s.End() == p.Start():
			b.WriteString("Z")
		case s.Straight():
			fmt.Fprintf(&b, "L%s", xy(s.End()))
		default:
			fmt.Fprintf(&b, "C%s %s %s", xy(s.c[1]), xy(s.c[2]), xy(s.c[3]))
		}
	}
	return b.String()
}

func near1(t reporter, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.12g, want %.12g within %g", what, got, want, tol)
	}
}

func nearPoint(t reporter, what string, got, want Point, tol float64) {
	t.Helper()
	if !(got.Dist(want) <= tol) {
		t.Errorf("%s: got (%.9g, %.9g), want (%.9g, %.9g) within %g", what, got.X, got.Y, want.X, want.Y, tol)
	}
}

func connected(t reporter, p Path) {
	t.Helper()
	for i := 1; i < len(p); i++ {
		if p[i-1].End() != p[i].Start() {
			t.Fatalf("segment %d starts at %v but the one before it ends at %v", i, p[i].Start(), p[i-1].End())
		}
	}
}

// reporter is what *testing.T and *rapid.T have in common.
type reporter interface {
	Helper()
	Errorf(string, ...any)
	Fatalf(string, ...any)
}
