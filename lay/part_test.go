package lay_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"clothwright/curve"
	"clothwright/lay"
	"clothwright/lay/laytest"
	"clothwright/piece"
)

// By hand: cloth with 1000 mm between its selvedges, folded only so far as what is cut double needs.
func TestPartSingleByHandWorked(t *testing.T) {
	back := rectangle(t, "back", 300, 600, 1, false, true)
	cases := []struct {
		name                    string
		works                   []lay.Work
		change                  func(*lay.Cloth)
		length, doubled, single float64 // lay; the selvedge's edge from the fold; where the single part begins
	}{
		// A single piece of 399.8 has no room beside the half back on half the width: folded it takes 1200. With 300 folded over, 400 lie single.
		{"a wide single piece", patternOf(back, rectangle(t, "panel", 399.8, 600, 1, false, false)), func(*lay.Cloth) {}, 600, 300, 300},
		// Selvedges of 20: the edge must lie 300 + 20 from the fold, 330 by a tape of 30. 1000 - 310 - 330 = 360 are left single.
		{"selvedges and tape", patternOf(back, rectangle(t, "panel", 360, 600, 1, false, false)), func(c *lay.Cloth) { c.Width, c.Selvedge = 1040, 20 }, 600, 330, 330},
		// A pair of 160 by 600 beside the back would need 460.1 double and leave 79.8: so it lies single, one and its mirror, beside a panel of 79.
		{"a pair laid single", patternOf(back, rectangle(t, "front", 160, 600, 2, true, false), rectangle(t, "panel", 79.7, 600, 1, false, false)), func(*lay.Cloth) {}, 600, 300, 300},
		// The maker says 350: 300 are left single, where a panel of 290 lies.
		{"as the maker says", patternOf(back, rectangle(t, "panel", 290, 600, 1, false, false)), func(c *lay.Cloth) { c.Doubled = 350 }, 600, 350, 350},
		// A narrow cloth: 500 - 2 * 130 leave 240 for the pair's 115, one and its mirror.
		{"narrow", patternOf(rectangle(t, "back", 130, 600, 1, false, true), rectangle(t, "front", 119.9, 600, 2, true, false)), func(c *lay.Cloth) { c.Width = 500 }, 600, 0, 0},
		// Washed first: 980 are left, 980 - 600 = 380 single.
		{"washed", patternOf(back, rectangle(t, "panel", 379.8, 600, 1, false, false)), func(c *lay.Cloth) { c.ShrinkWide, c.Wash = 0.02, true }, 600, 300, 300},
	}
	var judged []laytest.Case
	for _, k := range cases {
		c := lay.Cloth{Material: piece.Shell, Width: 1000, Fold: lay.PartSingle, Gap: -1}
		k.change(&c)
		mark := 1.0
		if c.Selvedge > 0 {
			mark = 30
		}
		p := mustLay(t, k.works, c, lay.Options{Mark: mark})
		if math.Abs(p.Length-k.length) > 0.2 || k.doubled > 0 && math.Abs(p.Cloth.Doubled-k.doubled) > 1e-9 {
			t.Errorf("%s: %.3f long, folded over %.3f; by hand %.0f and %.0f", k.name, p.Length, p.Cloth.Doubled, k.length, k.doubled)
		}
		for _, q := range p.Places {
			if b := q.Bounds(); k.single > 0 && q.Piece == "panel" && (b.Min.X < k.single-1e-6 || q.Layers != 1) {
				t.Errorf("%s: the panel lies from %g through %d layers", k.name, b.Min.X, q.Layers)
			}
		}
		judged = append(judged, laytest.Case{Name: k.name, Plan: p, Works: k.works})
	}
	laytest.Judge(t, judged...)
}

// Facts of the trade: the two distances that the fold is laid by add up to what the cloth is wide: each layer from the fold to its
// selvedge's edge.
func TestFoldAt(t *testing.T) {
	works := workOf(t, "stroke")
	c := shell()
	c.Fold = lay.PartSingle
	p := mustLay(t, works, c, lay.Options{Mark: inch / 8, Say: func(mm float64) string { return fmt.Sprintf("%.3f in", mm/inch) }})
	over, apart := p.Cloth.Doubled, p.Apart()
	if math.Abs(2*over+apart-c.Width) > 1e-9 {
		t.Errorf("%g from the fold and %g from the other selvedge do not make %g", over, apart, c.Width)
	}
	if n := over / (inch / 8); math.Abs(n-math.Round(n)) > 1e-9 {
		t.Errorf("%g in cannot be measured with a tape of eighths", over/inch)
	}
	s, ok := laytest.Has(p.Findings, piece.Info, "lay:fold-at")
	if !ok || !strings.Contains(s, fmt.Sprintf("%.3f in from the fold and %.3f in from", over/inch, apart/inch)) {
		t.Errorf("the plan says %q", s)
	}
	laytest.Judge(t, laytest.Case{Name: "fold", Plan: p, Works: works})
}

// By hand: where flaws of the open cloth come to lie when 300 of 1000 are folded over; the left selvedge's part is turned round.
func TestFlawsPartSingle(t *testing.T) {
	c := lay.Cloth{Material: piece.Shell, Width: 1000, Fold: lay.PartSingle, Doubled: 300, Gap: -1, Flaws: []curve.Rect{
		{Min: curve.Point{X: 280, Y: 0}, Max: curve.Point{X: 310, Y: 10}},
		{Min: curve.Point{X: 100, Y: 0}, Max: curve.Point{X: 150, Y: 10}},
		{Min: curve.Point{X: 700, Y: 0}, Max: curve.Point{X: 720, Y: 10}},
	}}
	works := patternOf(rectangle(t, "back", 200, 300, 1, false, true), rectangle(t, "panel", 310, 300, 1, false, false))
	p := mustLay(t, works, c, lay.Options{})
	want := [][2]float64{{0, 20}, {150, 200}, {400, 420}}
	for i, f := range p.Flaws() {
		if f.Min.X != want[i][0] || f.Max.X != want[i][1] {
			t.Errorf("flaw %d lies from %g to %g, by hand %v", i, f.Min.X, f.Max.X, want[i])
		}
	}
	laytest.Judge(t, laytest.Case{Name: "flaws", Plan: p, Works: works})
}

// Facts of the trade: folded right sides together, the upper layer's wrong side is up. What is cut from it alone comes out turned over
// unless its pattern lies face down; in the single part the right side is up. A piece that looks the same either way is not troubled with it.
func TestOneLayerComesOutTheRightWayRound(t *testing.T) {
	works := patternOf(rectangle(t, "back", 300, 600, 1, false, true), wedge(t, "badge", 150, 200, 1, false), rectangle(t, "label", 40, 60, 1, false, false))
	var judged []laytest.Case
	for _, k := range []struct {
		fold lay.Fold
		down bool
	}{{lay.Lengthwise, true}, {lay.Crosswise, true}, {lay.Tubular, false}, {lay.Open, false}, {lay.PartSingle, false}} {
		c := lay.Cloth{Material: piece.Shell, Width: 1000, Fold: k.fold, Nap: k.fold != lay.Crosswise}
		p := mustLay(t, works, c, lay.Options{})
		for _, q := range p.Places {
			if k.fold == lay.PartSingle {
				k.down = q.Bounds().Max.X <= p.Cloth.Double()
			}
			if q.Piece == "badge" && (q.FaceDown != k.down || q.Flipped != k.down) || q.Piece == "label" && (q.FaceDown || q.Flipped) {
				t.Errorf("%s: %s lies face down: %t, turned over: %t", k.fold, q.Piece, q.FaceDown, q.Flipped)
			}
		}
		judged = append(judged, laytest.Case{Name: string(k.fold), Plan: p, Works: works})
	}
	// Where the badge fits the double part alone it lies face down there.
	c := lay.Cloth{Material: piece.Shell, Width: 1000, Fold: lay.PartSingle, Doubled: 450}
	p := mustLay(t, works, c, lay.Options{})
	for _, q := range p.Places {
		if q.Piece == "badge" && !(q.FaceDown && q.Flipped && q.Bounds().Max.X <= 450) {
			t.Errorf("the badge that only the double part holds lies %+v", q)
		}
	}
	laytest.Judge(t, append(judged, laytest.Case{Name: "in the double part", Plan: p, Works: works})...)
}

// By hand: a tube 500 wide has a fold on either side, so that two half backs of 240 by 600 lie abreast; on cloth that is folded once they
// lie one behind the other, as they do where only the left fold is used. With nap both are still the same way up.
func TestTubeUsesBothFolds(t *testing.T) {
	works := patternOf(rectangle(t, "back", 240, 600, 1, false, true), rectangle(t, "front", 245, 600, 1, false, true))
	var judged []laytest.Case
	for _, k := range []struct {
		fold   lay.Fold
		width  float64
		both   bool
		nap    bool
		length float64
	}{{lay.Tubular, 500, true, false, 600}, {lay.Tubular, 500, true, true, 600}, {lay.Tubular, 500, false, false, 1200.1}, {lay.Lengthwise, 1000, false, true, 1200.1}} {
		c := lay.Cloth{Material: piece.Shell, Width: k.width, Fold: k.fold, Both: k.both, Nap: k.nap, Gap: -1}
		p := mustLay(t, works, c, lay.Options{})
		if math.Abs(p.Length-k.length) > 0.2 {
			t.Errorf("%s: length %.3f, by hand %.3f", k.fold, p.Length, k.length)
		}
		judged = append(judged, laytest.Case{Name: fmt.Sprint(k), Plan: p, Works: works})
	}
	laytest.Judge(t, judged...)
}

// A pair that lies along a fold is easily cut as one piece on the fold: what is not cut on a fold keeps the gap from it.
func TestGapFromFolds(t *testing.T) {
	works := patternOf(rectangle(t, "front", 100, 200, 2, true, false), rectangle(t, "side", 90, 200, 2, true, false))
	var judged []laytest.Case
	for _, f := range []lay.Fold{lay.Lengthwise, lay.PartSingle, lay.Tubular, lay.Crosswise} {
		c := lay.Cloth{Material: piece.Shell, Width: 500, Fold: f, Gap: 6}
		p := mustLay(t, works, c, lay.Options{Steps: 300})
		for _, q := range p.Places {
			b := q.Bounds()
			room := b.Min.X
			switch {
			case f == lay.Crosswise:
				room = b.Min.Y
			case f == lay.Tubular:
				room = math.Min(room, p.Usable-b.Max.X)
			}
			if room < 6-1e-6 {
				t.Errorf("%s: %s lies %g from a fold", f, q.Piece, room)
			}
		}
		judged = append(judged, laytest.Case{Name: string(f), Plan: p, Works: works})
	}
	laytest.Judge(t, judged...)
}

// Four jackets on three widths with one part single, with nap and without, some of them striped: every lay is judged. A lay that leaves the search
// to choose the fold is told the same twice, and folded as it was found it is laid as short again.
func TestPartSingleJackets(t *testing.T) {
	var judged []laytest.Case
	for _, n := range []string{"stroke", "six", "bow"} {
		works := workOf(t, n)
		for _, w := range []float64{45, 60} {
			c := shell()
			c.Fold, c.Width, c.Nap = lay.PartSingle, w*inch, w == 60
			if n == "bow" {
				c.Along, c.Across, c.Matches = 40, 30, lay.MatchSeams(works[0], piece.Shell)
			}
			p := mustLay(t, works, c, lay.Options{Mark: inch / 8, Steps: 3 * quick})
			even := c
			even.Fold = lay.Lengthwise
			folded, err := lay.Lay(context.Background(), works, even, lay.Options{Steps: quick})
			if err != nil {
				t.Fatal(err)
			}
			t.Logf("%s on %g in: %.0f mm with %.0f folded over, %.0f mm folded", n, w, p.Length, p.Cloth.Doubled, folded.Length)
			name := fmt.Sprintf("%s on %g in", n, w)
			judged = append(judged, laytest.Case{Name: name, Plan: p, Works: works})
			again := mustLay(t, works, p.Cloth, lay.Options{Mark: inch / 8})
			if again.Length > p.Length*1.03 || again.Cloth.Doubled != p.Cloth.Doubled || len(again.Places) != len(p.Places) {
				t.Errorf("%s: folded as found it is %g long, not %g", name, again.Length, p.Length)
			}
			judged = append(judged, laytest.Case{Name: name + " again", Plan: again, Works: works})
		}
	}
	laytest.Judge(t, judged...)
}

// Four jackets together with one part single are judged too, and take no more than folded selvedge on selvedge, within what a search differs by.
func TestPartSingleTogether(t *testing.T) {
	works := workOf(t, "bow", "stroke", "two", "six")
	c := shell()
	c.Width = 60 * inch
	folded := mustLay(t, works, c, lay.Options{Steps: 2000})
	c.Fold = lay.PartSingle
	part := mustLay(t, works, c, lay.Options{Steps: 8000, Mark: inch / 8})
	t.Logf("folded %.0f mm, with one part single %.0f mm, %.0f folded over", folded.Length, part.Length, part.Cloth.Doubled)
	if part.Length > 1.05*folded.Length {
		t.Errorf("with one part single %.0f mm, folded %.0f mm", part.Length, folded.Length)
	}
	laytest.Judge(t, laytest.Case{Name: "folded", Plan: folded, Works: works}, laytest.Case{Name: "part single", Plan: part, Works: works})
}
