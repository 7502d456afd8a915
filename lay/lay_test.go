package lay_test

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"
	"time"

	"clothwright/curve"
	"clothwright/job/jobtest"
	"clothwright/lay"
	"clothwright/lay/laytest"
	"clothwright/piece"
)

const inch = 25.4

func workOf(t testing.TB, names ...string) []lay.Work {
	var out []lay.Work
	for _, n := range names {
		out = append(out, lay.Work{Job: n, Pattern: jobtest.Example(t, n).Pattern})
	}
	return out
}

// shell is plain shell cloth 45 in wide, folded.
func shell() lay.Cloth {
	return lay.Cloth{Material: piece.Shell, Name: "shell cloth", Width: 45 * inch, Selvedge: inch / 2, Fold: lay.Lengthwise, Step: 36 * inch / 8}
}

// quick is a budget for tests of meaning, not of length.
const quick = 1500

func mustLay(t testing.TB, works []lay.Work, c lay.Cloth, o lay.Options) *lay.Plan {
	t.Helper()
	if o.Steps == 0 && o.Time == 0 {
		o.Steps = quick
	}
	p, err := lay.Lay(context.Background(), works, c, o)
	if err != nil {
		t.Fatal(err)
	}
	if !p.Laid() {
		t.Fatalf("nothing is laid: %v", p.Findings)
	}
	return p
}

// rectangle is a piece w by h whose grain runs down, with its origin at its upper left corner, or on the fold there.
func rectangle(t testing.TB, name string, w, h float64, count int, pair, onFold bool) piece.Piece {
	t.Helper()
	pts := []curve.Point{{X: 0, Y: 0}, {X: w, Y: 0}, {X: w, Y: h}, {X: 0, Y: h}}
	p := piece.Piece{Name: name, Title: strings.ToUpper(name[:1]) + name[1:], Material: piece.Shell, Count: count, Pair: pair, OnFold: onFold,
		Grain: [2]curve.Point{{X: w / 2, Y: h / 4}, {X: w / 2, Y: h * 3 / 4}}}
	for i, e := range []string{"top", "right", "foot", "left"} {
		finish := piece.Cut
		if onFold && e == "left" {
			finish = piece.Fold
		}
		p.Edges = append(p.Edges, piece.Edge{Name: e, Path: curve.Path{curve.Line(pts[i], pts[(i+1)%4])}, Finish: finish})
	}
	if err := p.Finish(); err != nil {
		t.Fatal(err)
	}
	return p
}

// wedge is a right-angled triangle, which is not its own mirror image.
func wedge(t testing.TB, name string, w, h float64, count int, pair bool) piece.Piece {
	t.Helper()
	pts := []curve.Point{{X: 0, Y: 0}, {X: w, Y: h}, {X: 0, Y: h}}
	p := piece.Piece{Name: name, Title: name, Material: piece.Shell, Count: count, Pair: pair, Grain: [2]curve.Point{{X: 1, Y: h / 2}, {X: 1, Y: h}}}
	for i := range pts {
		p.Edges = append(p.Edges, piece.Edge{Name: fmt.Sprint("e", i), Path: curve.Path{curve.Line(pts[i], pts[(i+1)%3])}, Finish: piece.Cut})
	}
	if err := p.Finish(); err != nil {
		t.Fatal(err)
	}
	return p
}

func patternOf(ps ...piece.Piece) []lay.Work {
	return []lay.Work{{Job: "test", Pattern: &piece.Pattern{Pieces: ps}}}
}

// Facts of the trade: each way of laying cuts every piece as often as it is wanted, halves on the fold, pairs as mirror images.
func TestWaysOfLaying(t *testing.T) {
	works := workOf(t, "stroke", "two")
	lined := shell()
	lined.Material, lined.Width = piece.Lining, 54*inch
	var cases []laytest.Case
	for _, w := range works {
		for _, f := range lay.Folds {
			for _, nap := range []bool{false, true} {
				if nap && f == lay.Crosswise {
					continue
				}
				for _, c := range []lay.Cloth{shell(), lined} {
					c.Fold, c.Nap = f, nap
					if f == lay.Tubular {
						c.Width, c.Selvedge = 26*inch, 0
					}
					p := mustLay(t, []lay.Work{w}, c, lay.Options{Steps: 300})
					cases = append(cases, laytest.Case{Name: fmt.Sprintf("%s %s %s nap %t", w.Job, c.Material, f, nap), Plan: p, Works: []lay.Work{w}})
					for _, q := range p.Places {
						if q.From.OnFold && f.Folded() && !(q.OnFold && q.Layers == 2 && (q.X == 0 || f == lay.Tubular && q.X == p.Usable)) {
							t.Errorf("%s on %s cloth does not lie on the fold: %+v", q.Piece, f, q)
						}
						if q.From.OnFold && !f.Folded() && !q.Opened {
							t.Errorf("%s on %s cloth is not opened out", q.Piece, f)
						}
					}
				}
			}
		}
	}
	laytest.Judge(t, cases...)
}

// Hand-computed: pieces that leave only one lay.
func TestLaysWorkedByHand(t *testing.T) {
	cloth := lay.Cloth{Material: piece.Shell, Width: 1000, Fold: lay.Lengthwise, Gap: -1}
	cases := []struct {
		name   string
		works  []lay.Work
		change func(*lay.Cloth)
		length float64
	}{
		// Half the width is 500: the half back (300) on the fold, the pair of fronts (199) beside it through both layers.
		{"folded", patternOf(rectangle(t, "back", 300, 600, 1, false, true), rectangle(t, "front", 199, 600, 2, true, false)), func(*lay.Cloth) {}, 600},
		// Open: 600 + 199 + 199 = 998 of 1000.
		{"open", patternOf(rectangle(t, "back", 300, 600, 1, false, true), rectangle(t, "front", 199, 600, 2, true, false)), func(c *lay.Cloth) { c.Fold = lay.Open }, 600},
		// Folded across: both layers full width; the back (600) through one, the fronts through two: 799 abreast. Both layers count.
		{"crosswise", patternOf(rectangle(t, "back", 300, 600, 1, false, true), rectangle(t, "front", 199, 600, 2, true, false)), func(c *lay.Cloth) { c.Fold = lay.Crosswise }, 1200.2}, // and the least gap from the fold, in both layers
		// A tube 500 wide is the folded cloth over again.
		{"tube", patternOf(rectangle(t, "back", 300, 600, 1, false, true), rectangle(t, "front", 199, 600, 2, true, false)), func(c *lay.Cloth) { c.Fold, c.Width = lay.Tubular, 500 }, 600},
		// Selvedges of 50 leave 450 folded: 300 and 199 no longer lie abreast.
		{"selvedge", patternOf(rectangle(t, "back", 300, 600, 1, false, true), rectangle(t, "front", 199, 600, 2, true, false)), func(c *lay.Cloth) { c.Selvedge = 50 }, 1200.1},
		// Cut 5 % larger along and 2 % larger across: 1/0.95 and 1/0.98; 510.2 would be wanted abreast.
		{"enlarged", patternOf(rectangle(t, "back", 290, 570, 1, false, true), rectangle(t, "front", 190, 570, 2, true, false)), func(c *lay.Cloth) { c.ShrinkLong, c.ShrinkWide = 0.05, 0.02 }, 600},
		// Washed first: the width is 980, half of it 490.
		{"washed", patternOf(rectangle(t, "back", 290, 570, 1, false, true), rectangle(t, "front", 199, 570, 2, true, false)), func(c *lay.Cloth) { c.ShrinkLong, c.ShrinkWide, c.Wash = 0.05, 0.02, true }, 570},
	}
	var judged []laytest.Case
	for _, k := range cases {
		c := cloth
		k.change(&c)
		p := mustLay(t, k.works, c, lay.Options{})
		if math.Abs(p.Length-k.length) > 0.2 {
			t.Errorf("%s: length %.3f, by hand %.3f", k.name, p.Length, k.length)
		}
		judged = append(judged, laytest.Case{Name: k.name, Plan: p, Works: k.works})
	}
	laytest.Judge(t, judged...)
}

// By hand: what is bought. The margin is 2 % but at least 20 mm; then the shop's step; washing takes its part first.
func TestLengthToBuy(t *testing.T) {
	for _, k := range []struct {
		c            lay.Cloth
		length, want float64
	}{
		{lay.Cloth{Step: 100}, 500, 600},                                 // 520
		{lay.Cloth{Step: 100}, 1400, 1500},                               // 1428
		{lay.Cloth{Step: 100}, 1470, 1500},                               // 1499.4
		{lay.Cloth{Step: 100}, 1480, 1600},                               // 1509.6
		{lay.Cloth{Step: 114.3}, 1286, 1371.6},                           // 1311.7 is 11.5 eighths of a yard
		{lay.Cloth{Step: 100, ShrinkLong: 0.05, Wash: true}, 1400, 1600}, // 1428 / 0.95 = 1503.2
		{lay.Cloth{}, 1000, 1020},
		{lay.Cloth{Step: 100}, 0, 0},
	} {
		if got := k.c.Buy(k.length); math.Abs(got-k.want) > 1e-6 {
			t.Errorf("%+v: %g mm need %g, want %g", k.c, k.length, got, k.want)
		}
	}
}

// Two cuffs are their own mirror image and are cut through both layers; two pieces that must not be mirrored are not.
func TestTwoLayersMirrorOnlyWhatMayBe(t *testing.T) {
	works := patternOf(rectangle(t, "cuff", 200, 80, 2, false, false), wedge(t, "badge", 150, 200, 2, false), wedge(t, "side", 100, 300, 2, true))
	c := shell()
	p := mustLay(t, works, c, lay.Options{})
	layers := map[string][]int{}
	for _, q := range p.Places {
		layers[q.Piece] = append(layers[q.Piece], q.Layers)
	}
	want := map[string][]int{"cuff": {2}, "badge": {1, 1}, "side": {2}}
	if !reflect.DeepEqual(layers, want) {
		t.Errorf("layers are %v, want %v", layers, want)
	}
	if s, ok := laytest.Has(p.Findings, piece.Info, "lay:single-layer"); !ok || !strings.Contains(s, "badge") {
		t.Errorf("nothing is said of single layers: %v", p.Findings)
	}
	laytest.Judge(t, laytest.Case{Name: "mirrored", Plan: p, Works: works})
}

// The width conversion chart of the extension services (CHECKS f; complete, in three agreeing copies): yards by width. Each
// jacket is laid on 36, 45, 54 and 60 in, the better of folded and open. The chart is a rule for any garment; a lay must be
// within 20 % of the row that fits it best.
func TestWidthsFollowTheExtensionChart(t *testing.T) {
	chart := [][4]float64{ // 35-36, 44-45, 52-54, 58-60 in
		{1.75, 1.375, 1.125, 1}, {2, 1.625, 1.375, 1.25}, {2.25, 1.75, 1.5, 1.375}, {2.5, 2.125, 1.75, 1.625}, {2.875, 2.25, 1.875, 1.75}, {3.125, 2.5, 2, 1.875},
		{3.375, 2.75, 2.25, 2}, {3.75, 2.875, 2.375, 2.25}, {4.25, 3.125, 2.625, 2.375}, {4.5, 3.375, 2.75, 2.625}, {4.75, 3.625, 2.875, 2.75}, {5, 3.875, 3.125, 2.875},
	}
	var judged []laytest.Case
	for _, w := range workOf(t, "stroke", "six", "bow") {
		c := shell()
		trials, err := lay.Compare(context.Background(), []lay.Work{w}, c, lay.Widths, []lay.Fold{lay.Lengthwise, lay.Open}, lay.Options{Steps: 4000})
		if err != nil {
			t.Fatal(err)
		}
		var yards [4]float64
		for i := range trials {
			r := &trials[i]
			if r.Why != "" {
				if r.Fold == lay.Open {
					t.Errorf("%s does not fit on %g in open: %s", w.Job, r.Width/inch, r.Why)
				}
				continue
			}
			judged = append(judged, laytest.Case{Name: fmt.Sprintf("%s %g in %s", w.Job, r.Width/inch, r.Fold), Plan: r.Plan, Works: []lay.Work{w}})
			if y := r.Plan.Length / (36 * inch); yards[i/2] == 0 || y < yards[i/2] {
				yards[i/2] = y
			}
		}
		worst, row := math.Inf(1), [4]float64{}
		for _, k := range between(chart) {
			off := 0.0
			for i := range yards {
				off = math.Max(off, math.Abs(yards[i]/k[i]-1))
			}
			if off < worst {
				worst, row = off, k
			}
		}
		t.Logf("%s: %.2f %.2f %.2f %.2f yd, nearest row of the chart %.2f, at most %.0f %% off", w.Job, yards[0], yards[1], yards[2], yards[3], row, 100*worst)
		if worst > 0.20 {
			t.Errorf("%s: %.2f yd by width is %.0f %% off the chart's nearest row %.2f", w.Job, yards, 100*worst, row)
		}
	}
	laytest.Judge(t, judged...)
}

// between is the chart with rows between its rows, and with its first row made smaller for jackets smaller than any in it.
func between(chart [][4]float64) [][4]float64 {
	var out [][4]float64
	for _, k := range []float64{0.75, 0.8, 0.85, 0.9, 0.95} {
		var r [4]float64
		for i := range r {
			r[i] = chart[0][i] * k
		}
		out = append(out, r)
	}
	for n := 0; n+1 < len(chart); n++ {
		for _, k := range []float64{0, 0.25, 0.5, 0.75} {
			var r [4]float64
			for i := range r {
				r[i] = chart[n][i]*(1-k) + chart[n+1][i]*k
			}
			out = append(out, r)
		}
	}
	return out
}

// Facts of the trade: four jackets in one lay need less cloth than four lays, and each is still whole.
func TestFourJobsTogether(t *testing.T) {
	works := workOf(t, "bow", "stroke", "two", "six")
	c := shell()
	c.Width, c.Step = 60*inch, 1
	sum := 0.0
	var judged []laytest.Case
	for _, w := range works {
		p := mustLay(t, []lay.Work{w}, c, lay.Options{Steps: 4000})
		sum += p.Length
		judged = append(judged, laytest.Case{Name: w.Job, Plan: p, Works: []lay.Work{w}})
	}
	together := mustLay(t, works, c, lay.Options{Steps: 8000})
	t.Logf("four lays %.0f mm, one lay %.0f mm: %.1f %% saved", sum, together.Length, 100*(1-together.Length/sum))
	if together.Length >= sum {
		t.Errorf("four jackets in one lay need %.0f mm, one by one %.0f mm", together.Length, sum)
	}
	laytest.Judge(t, append(judged, laytest.Case{Name: "together", Plan: together, Works: works})...)
}

// Flaws are kept clear of, also the one that lies across the fold or in the under layer.
func TestFlaws(t *testing.T) {
	works := workOf(t, "stroke")
	var judged []laytest.Case
	for _, f := range []lay.Fold{lay.Lengthwise, lay.Open} {
		c := shell()
		c.Fold = f
		clean := mustLay(t, works, c, lay.Options{})
		middle := (c.Width - 2*c.Selvedge) / 2
		c.Flaws = []curve.Rect{
			{Min: curve.Point{X: middle - 30, Y: 400}, Max: curve.Point{X: middle + 10, Y: 460}}, // across the fold
			{Min: curve.Point{X: 100, Y: 200}, Max: curve.Point{X: 140, Y: 230}},                 // left of the middle: the under layer
			{Min: curve.Point{X: middle + 300, Y: 800}, Max: curve.Point{X: middle + 340, Y: 900}},
		}
		p := mustLay(t, works, c, lay.Options{})
		judged = append(judged, laytest.Case{Name: string(f), Plan: p, Works: works})
		if p.Length < clean.Length*0.9 {
			t.Errorf("%s: with flaws %.0f mm, without %.0f mm", f, p.Length, clean.Length)
		}
		for i, r := range p.Flaws() {
			if f == lay.Lengthwise && (r.Min.X < 0 || r.Max.X > p.Usable) {
				t.Errorf("flaw %d of folded cloth lies at %v", i, r)
			}
		}
	}
	laytest.Judge(t, judged...)
}

// By hand: where flaws of the open cloth come to lie when it is folded; the middle is at 500.
func TestFlawsFolded(t *testing.T) {
	c := lay.Cloth{Material: piece.Shell, Width: 1000, Fold: lay.Lengthwise, Gap: -1, Flaws: []curve.Rect{
		{Min: curve.Point{X: 480, Y: 0}, Max: curve.Point{X: 530, Y: 10}},
		{Min: curve.Point{X: 100, Y: 0}, Max: curve.Point{X: 150, Y: 10}},
		{Min: curve.Point{X: 600, Y: 0}, Max: curve.Point{X: 620, Y: 10}},
	}}
	works := patternOf(rectangle(t, "front", 200, 300, 2, true, false))
	p := mustLay(t, works, c, lay.Options{})
	want := [][2]float64{{0, 30}, {350, 400}, {100, 120}}
	for i, f := range p.Flaws() {
		if f.Min.X != want[i][0] || f.Max.X != want[i][1] {
			t.Errorf("flaw %d lies from %g to %g, by hand %v", i, f.Min.X, f.Max.X, want[i])
		}
	}
	laytest.Judge(t, laytest.Case{Name: "folded flaws", Plan: p, Works: works})
}

// Nap costs cloth and never saves any that is worth speaking of; the turns themselves are judged in laytest.
func TestNap(t *testing.T) {
	works := workOf(t, "stroke")
	c := shell()
	plain := mustLay(t, works, c, lay.Options{Steps: 4000})
	c.Nap = true
	nap := mustLay(t, works, c, lay.Options{Steps: 4000})
	if nap.Length < 0.97*plain.Length {
		t.Errorf("with nap %.0f mm, without %.0f mm", nap.Length, plain.Length)
	}
	for _, q := range nap.Places {
		if q.Turn != 0 {
			t.Errorf("%s is turned by %g on cloth with nap", q.Piece, q.Turn)
		}
	}
	laytest.Judge(t, laytest.Case{Name: "nap", Plan: nap, Works: works}, laytest.Case{Name: "plain", Plan: plain, Works: works})
}

// A tilt off the grain is used within its limit and never on the fold; laytest judges the angles.
func TestTilt(t *testing.T) {
	works := workOf(t, "stroke")
	c := shell()
	c.Tilt = 2
	var judged []laytest.Case
	for _, f := range []lay.Fold{lay.Lengthwise, lay.Open} {
		c.Fold = f
		judged = append(judged, laytest.Case{Name: string(f), Plan: mustLay(t, works, c, lay.Options{Steps: 3000}), Works: works})
	}
	laytest.Judge(t, judged...)
}

// Facts of the trade: on checked cloth the side seams' upper ends and the sleeve's notch fall on the same place of the check, and
// the centres of all matched pieces on its middle, on both halves of the body.
func TestRepeatsMatch(t *testing.T) {
	works := workOf(t, "stroke")
	pattern := works[0].Pattern
	ms := lay.MatchSeams(works[0], piece.Shell)
	found := map[string]bool{}
	for _, m := range ms {
		found[m.Piece] = true
	}
	for _, want := range []string{"front", "back", "sleeve"} {
		if !found[want] {
			t.Errorf("%s is not matched: %v", want, ms)
		}
	}
	var judged []laytest.Case
	for _, k := range []struct {
		fold          lay.Fold
		along, across float64
	}{{lay.Lengthwise, 60, 0}, {lay.Lengthwise, 75, 50}, {lay.Open, 75, 50}, {lay.Open, 0, 40}} {
		c := shell()
		c.Fold, c.Along, c.Across, c.Matches = k.fold, k.along, k.across, ms
		p := mustLay(t, works, c, lay.Options{})
		judged = append(judged, laytest.Case{Name: fmt.Sprint(k), Plan: p, Works: works})
		onRepeat(t, p, pattern, k.along, k.across)
		t.Logf("%v: %.0f mm, %.0f %%", k, p.Length, 100*p.Utilisation)
	}
	laytest.Judge(t, judged...)
}

// What the table has to do for a repeat is said for the way the cloth lies; what is measured from the end or the fold lies on the repeat
// from there. Common practice, no source.
func TestStripesAreToldByTheFold(t *testing.T) {
	works := workOf(t, "stroke")
	for _, k := range []struct {
		fold                   lay.Fold
		along, across          float64
		stripe, centre, repeat string
	}{
		{lay.Lengthwise, 60, 0, "pin the stripes of both layers", "", "cut the end where a repeat begins"},
		{lay.Lengthwise, 0, 50, "fold it on the middle of a stripe", "", ""},
		{lay.Open, 60, 0, "", "", "cut the end where a repeat begins"},
		{lay.Open, 60, 50, "", "state a wider selvedge", "cut the end where a repeat begins"},
		{lay.Crosswise, 60, 0, "fold it across on the middle of a stripe", "", ""},
		{lay.Crosswise, 0, 50, "pin the stripes of both layers", "state a wider selvedge", ""},
	} {
		c := shell()
		c.Fold, c.Along, c.Across, c.Matches = k.fold, k.along, k.across, lay.MatchSeams(works[0], piece.Shell)
		p := mustLay(t, works, c, lay.Options{Steps: 200})
		for code, want := range map[string]string{"lay:stripe": k.stripe, "lay:centre": k.centre, "lay:repeat": k.repeat} {
			if s, ok := laytest.Has(p.Findings, piece.Info, code); ok != (want != "") || !strings.Contains(s, want) {
				t.Errorf("%s, %v by %v, %s: %q", k.fold, k.along, k.across, code, s)
			}
		}
		matched := 0
		for _, q := range p.Places {
			for _, m := range c.Matches {
				if m.Piece != q.Piece {
					continue
				}
				at := m.At
				if q.Flipped {
					at.X = -at.X
				}
				at = at.Rotate(q.Turn * math.Pi / 180).Add(curve.Point{X: q.X, Y: q.Y})
				matched++
				if k.along > 0 && math.Abs(math.Remainder(at.Y, k.along)) > 0.01 || k.across > 0 && math.Abs(math.Remainder(at.X, k.across)) > 0.01 {
					t.Errorf("%s, %v by %v: the point of %s that is matched lies at %.2f, %.2f", k.fold, k.along, k.across, q.Piece, at.X, at.Y)
				}
			}
		}
		if matched < 4 {
			t.Errorf("%s: %d pieces are matched", k.fold, matched)
		}
	}
}

// onRepeat measures, on the cloth, the points that meet when sewn.
func onRepeat(t *testing.T, p *lay.Plan, pattern *piece.Pattern, along, across float64) {
	t.Helper()
	at := func(q lay.Place, v curve.Point) curve.Point {
		if q.Flipped {
			v.X = -v.X
		}
		return v.Rotate(q.Turn * math.Pi / 180).Add(curve.Point{X: q.X, Y: q.Y})
	}
	phase := func(v, repeat float64) float64 { return math.Abs(math.Remainder(v, repeat)) }
	places := map[string][]lay.Place{}
	for _, q := range p.Places {
		places[q.Piece] = append(places[q.Piece], q)
	}
	upper := func(name, edge string) curve.Point {
		e := pattern.Edge(piece.Ref(name + "." + edge))
		a, b := e.Path.Start(), e.Path.End()
		if b.Y < a.Y {
			a = b
		}
		return a
	}
	notch := func(name, edge, of string) curve.Point {
		for _, n := range pattern.Piece(name).Notches {
			if n.Edge == edge && (of == "" || n.Name == of) {
				return pattern.Edge(piece.Ref(name + "." + edge)).Path.PointAt(n.At)
			}
		}
		t.Fatalf("%s has no notch on its %s", name, edge)
		return curve.Point{}
	}
	notchName := ""
	for _, n := range pattern.Piece("front").Notches {
		if n.Edge == "armhole" {
			notchName = n.Name
			break
		}
	}
	pairs := []struct {
		a, b   string
		pa, pb curve.Point
	}{
		{"front", "back", upper("front", "side"), upper("back", "side")},
		{"front", "front", upper("front", "side"), upper("front", "side")},
		{"front", "sleeve", notch("front", "armhole", notchName), notch("sleeve", "cap_front", notchName)},
	}
	for _, k := range pairs {
		for _, a := range places[k.a] {
			for _, b := range places[k.b] {
				if along > 0 {
					if d := phase(at(a, k.pa).Y-at(b, k.pb).Y, along); d > 0.01 {
						t.Errorf("%s and %s meet %.3f mm off the repeat along", k.a, k.b, d)
					}
				}
				if across > 0 {
					if d := phase(at(a, curve.Point{}).X-at(b, curve.Point{}).X, across); d > 0.01 {
						t.Errorf("the centres of %s and %s are %.3f mm off the repeat across", k.a, k.b, d)
					}
				}
			}
		}
	}
}

// A remnant: by hand, two fronts and a back 600 long lie abreast on 600 and not on 590.
func TestRemnant(t *testing.T) {
	works := patternOf(rectangle(t, "back", 300, 600, 1, false, true), rectangle(t, "front", 199, 600, 2, true, false))
	c := lay.Cloth{Material: piece.Shell, Name: "remnant", Width: 1000, Fold: lay.Lengthwise, Gap: -1, Length: 600}
	enough := mustLay(t, works, c, lay.Options{})
	if !enough.Fits || piece.Worst(enough.Findings) == piece.Stop {
		t.Errorf("600 mm are enough, but: %v", enough.Findings)
	}
	c.Length = 590
	short := mustLay(t, works, c, lay.Options{})
	if s, ok := laytest.Has(short.Findings, piece.Stop, "lay:short"); short.Fits || !ok || !strings.Contains(s, "10 mm") {
		t.Errorf("590 mm are 10 mm short, but: %v", short.Findings)
	}
	// A jacket on the length it was laid on before fits; on nine tenths of the least its area allows it cannot.
	jacket := workOf(t, "bow")
	real := shell()
	free := mustLay(t, jacket, real, lay.Options{Steps: 4000})
	real.Length = free.Length + 20
	again := mustLay(t, jacket, real, lay.Options{Steps: 4000})
	if !again.Fits {
		t.Errorf("%.0f mm are enough, but: %v", real.Length, again.Findings)
	}
	real.Length = 0.9 * free.Length * free.Utilisation
	never := mustLay(t, jacket, real, lay.Options{Steps: 500})
	if never.Fits {
		t.Error("a remnant with less area than the pieces is said to do")
	}
	laytest.Judge(t, laytest.Case{Name: "enough", Plan: enough, Works: works}, laytest.Case{Name: "short", Plan: short, Works: works},
		laytest.Case{Name: "again", Plan: again, Works: jacket}, laytest.Case{Name: "never", Plan: never, Works: jacket})
}

// What cannot be is one sentence each, with a figure that would do.
func TestMistakes(t *testing.T) {
	works := patternOf(rectangle(t, "back", 300, 600, 1, false, true), rectangle(t, "front", 450, 600, 2, true, false))
	good := lay.Cloth{Material: piece.Shell, Name: "tweed", Width: 1000, Selvedge: 10, Fold: lay.Lengthwise, Step: 100}
	nan := math.NaN()
	cases := []struct {
		code, says string
		change     func(*lay.Cloth)
	}{
		{"lay:too-wide", "925 mm wide would do, or lay it open", func(c *lay.Cloth) { c.Width = 850 }},
		{"lay:width", "-1000 mm", func(c *lay.Cloth) { c.Width = -1000 }},
		{"lay:width", "NaN", func(c *lay.Cloth) { c.Width = nan }},
		{"lay:width", "leaves nothing", func(c *lay.Cloth) { c.Selvedge = 500 }},
		{"lay:selvedge", "-1 mm", func(c *lay.Cloth) { c.Selvedge = -1 }},
		{"lay:doubled", "600 mm", func(c *lay.Cloth) { c.Fold, c.Doubled = lay.PartSingle, 600 }},
		{"lay:doubled", "9 mm", func(c *lay.Cloth) { c.Fold, c.Doubled = lay.PartSingle, 9 }},
		{"lay:too-wide", "Back is 300 mm wide", func(c *lay.Cloth) { c.Fold, c.Doubled = lay.PartSingle, 290 }},
		{"lay:too-wide", "Front is 450 mm wide", func(c *lay.Cloth) { c.Fold, c.Doubled = lay.PartSingle, 330 }},
		{"lay:too-wide", "Front is 450 mm wide", func(c *lay.Cloth) { c.Fold, c.Width = lay.PartSingle, 850 }},
		{"lay:fold", "\"rolled\"", func(c *lay.Cloth) { c.Fold = "rolled" }},
		{"lay:nap", "lengthwise or lay it open", func(c *lay.Cloth) { c.Fold, c.Nap = lay.Crosswise, true }},
		{"lay:repeat", "1200 mm", func(c *lay.Cloth) { c.Across = 1200 }},
		{"lay:repeat", "700 mm", func(c *lay.Cloth) { c.Length, c.Along = 650, 700 }},
		{"lay:repeat", "-5 mm", func(c *lay.Cloth) { c.Along = -5 }},
		{"lay:shrinkage", "40 %", func(c *lay.Cloth) { c.ShrinkLong = 0.4 }},
		{"lay:tilt", "9 degrees", func(c *lay.Cloth) { c.Tilt = 9 }},
		{"lay:step", "-1 mm", func(c *lay.Cloth) { c.Step = -1 }},
		{"lay:gap", "101 mm", func(c *lay.Cloth) { c.Gap = 101 }},
		{"lay:remnant", "Inf", func(c *lay.Cloth) { c.Length = math.Inf(1) }},
		{"lay:flaw", "flaw 1 has no size", func(c *lay.Cloth) { c.Flaws = []curve.Rect{{}} }},
	}
	for _, k := range cases {
		c := good
		k.change(&c)
		p, err := lay.Lay(context.Background(), works, c, lay.Options{Steps: 100})
		if err != nil {
			t.Errorf("%s: %v", k.code, err)
			continue
		}
		s, ok := laytest.Has(p.Findings, piece.Stop, k.code)
		if !ok || !strings.Contains(s, k.says) || strings.Count(s, ". ") > 0 || !strings.HasSuffix(s, ".") {
			t.Errorf("%s: found %v, want one sentence with %q", k.code, p.Findings, k.says)
		}
		if p.Laid() {
			t.Errorf("%s: it is laid all the same", k.code)
		}
	}
	// A width that is said to do, does.
	c := good
	c.Width = 925 // twice 450 and the chalk's 2 mm beside the fold, and the selvedges; rounded up and one more
	if p := mustLay(t, works, c, lay.Options{}); !p.Laid() {
		t.Error("the width that would do does not")
	}
}

// A match that the width has no room for is said, with the width that would do; that width then does.
func TestRepeatTooTight(t *testing.T) {
	works := patternOf(rectangle(t, "front", 290, 300, 2, true, false))
	c := lay.Cloth{Material: piece.Shell, Name: "plaid", Width: 600, Fold: lay.Lengthwise, Gap: -1, Across: 200, Matches: []lay.Match{{Piece: "front", At: curve.Point{X: 150}}}}
	p, err := lay.Lay(context.Background(), works, c, lay.Options{Steps: 100})
	if err != nil {
		t.Fatal(err)
	}
	// By hand: the point is at 150, 350, …: the piece begins at 50 and ends at 340, so 680 folded, 681 with what is rounded.
	if s, ok := laytest.Has(p.Findings, piece.Stop, "lay:repeat"); !ok || !strings.Contains(s, "681 mm") {
		t.Errorf("found %v", p.Findings)
	}
	c.Width = 681
	p = mustLay(t, works, c, lay.Options{Steps: 100})
	if x := p.Places[0].X; math.Abs(x-50) > 0.01 {
		t.Errorf("the piece lies at %g, by hand at 50", x)
	}
	laytest.Judge(t, laytest.Case{Name: "plaid", Plan: p, Works: works})
}

// Facts of the trade: a ready band is bought by the sum of the lengths, each piece whole, its sewn edge on the raw edge.
func TestReadyBand(t *testing.T) {
	works := workOf(t, "stroke")
	sum := 0.0
	for _, p := range works[0].Pattern.Pieces {
		if p.Material != piece.Rib {
			continue
		}
		w := p.CutLine().Bounds().W() * float64(p.Count)
		if p.OnFold {
			w *= 2
		}
		sum += w
	}
	c := lay.Cloth{Material: piece.Rib, Name: "ready band", Width: 3 * inch, Step: 100}
	p := lay.Band(works, c, lay.Options{})
	if math.Abs(p.Length-sum) > 0.1 {
		t.Errorf("the band is %.3f mm, the pieces together %.3f mm", p.Length, sum)
	}
	laytest.Judge(t, laytest.Case{Name: "band", Plan: p, Works: works})
	c.Width = 2 * inch
	if s, ok := laytest.Has(lay.Band(works, c, lay.Options{}).Findings, piece.Stop, "lay:too-wide"); !ok || !strings.Contains(s, "Hem rib") {
		t.Error("a band too low for the hem rib is not refused")
	}
}

// Rib by the metre is cut from a tube on its fold where it fits, and joined of as few parts as will do where it does not.
func TestRibByTheMetre(t *testing.T) {
	works := workOf(t, "two")
	c := lay.Cloth{Material: piece.Rib, Name: "rib", Width: 450, Fold: lay.Tubular, Step: 100}
	wide := mustLay(t, works, c, lay.Options{})
	if _, ok := laytest.Has(wide.Findings, piece.Info, "lay:joined"); ok {
		t.Error("a band that fits on the fold is joined")
	}
	c.Width = 300 // the half hem rib is about 380 mm, whole 760: three parts of a 300 mm tube
	narrow := mustLay(t, works, c, lay.Options{})
	s, ok := laytest.Has(narrow.Findings, piece.Info, "lay:joined")
	if !ok || !strings.Contains(s, "3 parts") {
		t.Errorf("the hem rib is not joined of 3 parts: %v", narrow.Findings)
	}
	laytest.Judge(t, laytest.Case{Name: "on the fold", Plan: wide, Works: works}, laytest.Case{Name: "joined", Plan: narrow, Works: works})
}

// Offcuts are free cloth and large enough to keep; by hand: one piece 300 x 300 in a corner of cloth 1000 wide.
func TestOffcuts(t *testing.T) {
	works := patternOf(rectangle(t, "patch", 300, 300, 1, false, false))
	c := lay.Cloth{Material: piece.Shell, Width: 1000, Fold: lay.Open, Gap: -1, Step: 400}
	p := mustLay(t, works, c, lay.Options{})
	// 300 and margin: 400 are bought; beside the patch 690 x 400 is free, in squares of 10 mm.
	if len(p.Offcuts) != 1 || p.Offcuts[0].At.W() < 690 || p.Offcuts[0].At.H() != 400 {
		t.Errorf("offcuts are %v", p.Offcuts)
	}
	jacket := workOf(t, "six")
	full := mustLay(t, jacket, shell(), lay.Options{})
	if len(full.Offcuts) == 0 {
		t.Error("a jacket on 45 in cloth leaves no offcut")
	}
	for _, o := range append(full.Offcuts, p.Offcuts...) {
		if math.Min(o.At.W(), o.At.H()) < lay.OffcutLeast {
			t.Errorf("an offcut of %v is not worth keeping", o.At)
		}
	}
	// An offcut on which a piece lay would be a flaw that the plan hits.
	full.Cloth.Fold = lay.Tubular // so that flaws are taken as they lie
	for _, o := range full.Offcuts {
		full.Cloth.Flaws = append(full.Cloth.Flaws, o.At)
	}
	if err := full.Check(); err != nil {
		t.Errorf("an offcut is not free: %v", err)
	}
}

// By hand, exactly: 1.3716 m at 31.50 is 43.2054; 0.1 m at 0.25 is 0.025, rounded half up 0.03 where binary arithmetic gives 0.02.
func TestCost(t *testing.T) {
	for _, k := range []struct {
		price string
		mm    float64
		want  string
		ok    bool
	}{
		{"31.50", 1371.6, "43.21", true}, {"0.25", 100, "0.03", true}, {"0", 1000, "0.00", true}, {"19", 1000, "19.00", true},
		{"", 1000, "", false}, {"-1", 1000, "", false}, {"1e3", 1000, "", false}, {"1/3", 1000, "", false}, {"1.2.3", 1000, "", false}, {"5", math.NaN(), "", false},
	} {
		if got, ok := lay.Cost(k.price, k.mm); got != k.want || ok != k.ok {
			t.Errorf("%s at %g mm: %q %t, by hand %q %t", k.price, k.mm, got, ok, k.want, k.ok)
		}
	}
}

// The same input gives the same bytes, whatever else the machine does meanwhile.
func TestSameBytesTwice(t *testing.T) {
	read := func() []byte {
		r := jobtest.Example(t, "stroke")
		if err := r.Lay(context.Background(), lay.Options{Steps: quick}); err != nil {
			t.Fatal(err)
		}
		b, err := r.JSON()
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	a, b := read(), read()
	if string(a) != string(b) {
		t.Error("the same job gave two records")
	}
	var rec struct {
		Cloths []struct {
			Material, Fold                             string
			Width, Usable, Length, Bought, Utilisation float64
			Places                                     []struct {
				Piece  string
				Layers int
			}
		}
	}
	if err := json.Unmarshal(a, &rec); err != nil {
		t.Fatal(err)
	}
	if len(rec.Cloths) != 3 || rec.Cloths[0].Length <= 0 || rec.Cloths[0].Bought < rec.Cloths[0].Length || len(rec.Cloths[0].Places) == 0 {
		t.Errorf("the record's cloths are %+v", rec.Cloths)
	}
}

// A search that is stopped at once still gives a whole plan, and a budget in time needs its clock.
func TestStopped(t *testing.T) {
	works := workOf(t, "stroke")
	ctx, stop := context.WithCancel(context.Background())
	stop()
	p, err := lay.Lay(ctx, works, shell(), lay.Options{})
	if err != nil || !p.Laid() {
		t.Fatalf("a stopped search gives nothing: %v", err)
	}
	laytest.Judge(t, laytest.Case{Name: "stopped", Plan: p, Works: works})
	if _, err := lay.Lay(context.Background(), works, shell(), lay.Options{Time: time.Second}); err == nil {
		t.Error("a budget in time without a clock is taken")
	}
	clock := time.Unix(0, 0)
	now := func() time.Time { clock = clock.Add(time.Millisecond); return clock }
	told := 0
	p, err = lay.Lay(context.Background(), works, shell(), lay.Options{Time: 200 * time.Millisecond, Now: now, Progress: func(length, done float64) {
		told++
		if length <= 0 || done < 0 || done > 1 {
			t.Errorf("progress is %g mm, %g done", length, done)
		}
	}})
	if err != nil || !p.Laid() || told == 0 {
		t.Errorf("a search by the clock: %v, told %d times", err, told)
	}
}

func BenchmarkLay(b *testing.B) {
	for _, k := range []struct {
		name  string
		names []string
		fold  lay.Fold
	}{{"jacket folded", []string{"stroke"}, lay.Lengthwise}, {"jacket open", []string{"stroke"}, lay.Open}, {"four jackets folded", []string{"bow", "stroke", "two", "six"}, lay.Lengthwise}} {
		works := workOf(b, k.names...)
		c := shell()
		c.Fold, c.Width = k.fold, 60*inch
		b.Run(k.name, func(b *testing.B) {
			var p *lay.Plan
			for range b.N {
				p = mustLay(b, works, c, lay.Options{Steps: lay.Steps})
			}
			b.ReportMetric(p.Length, "mm")
			b.ReportMetric(100*p.Utilisation, "%")
		})
	}
}
