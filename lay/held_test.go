package lay_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"clothwright/curve"
	"clothwright/job/jobtest"
	"clothwright/lay"
	"clothwright/lay/laytest"
	"clothwright/piece"
)

// byKey are the places of a plan by what lies there; of a piece opened out, its first half.
func byKey(p *lay.Plan) map[lay.Key]lay.Place {
	out := map[lay.Key]lay.Place{}
	for _, q := range p.Places {
		if _, there := out[q.Key()]; !there {
			out[q.Key()] = q
		}
	}
	return out
}

// Facts of the trade: what lies by hand stays where it is, and the others are cut as often as wanted round it, in every way of
// laying. Every second place of a lay is held, one of them carried far from the cloth's end.
func TestTheRestIsLaidRoundWhatIsHeld(t *testing.T) {
	var cases []laytest.Case
	works := workOf(t, "stroke")
	for _, f := range lay.Folds {
		for _, nap := range []bool{false, true} {
			if nap && f == lay.Crosswise {
				continue
			}
			c := shell()
			c.Fold, c.Nap = f, nap
			if f == lay.Tubular {
				c.Width, c.Selvedge = 26*inch, 0
			}
			first := mustLay(t, works, c, lay.Options{Steps: 300})
			c = first.Cloth // as it was folded, where that was found
			var held []lay.Held
			for i, q := range first.Places {
				if q.N%2 == 1 && (i == 0 || first.Places[i-1].N != q.N) {
					held = append(held, q.Hold())
				}
			}
			held[0].Y += 2000
			p := mustLay(t, works, c, lay.Options{Steps: 300, Seed: 5, Held: held})
			name := fmt.Sprintf("%s nap %t", f, nap)
			got := byKey(p)
			for _, h := range held {
				q := got[h.Key]
				if q.X != h.X || q.Y != h.Y || q.Turn != h.Turn || !q.Held || q.Opened == false && q.Flipped != h.Flipped {
					t.Errorf("%s: %s was held at %+v and lies at %g, %g, turned %g", name, h.Piece, h, q.X, q.Y, q.Turn)
				}
			}
			for _, q := range p.Places {
				if q.Held != has(held, q.Key()) {
					t.Errorf("%s: %s is held: %t", name, q.Piece, q.Held)
				}
			}
			cases = append(cases, laytest.Case{Name: name, Plan: p, Works: works})
			// The same places, all of them by hand, are the same lay.
			var all []lay.Held
			for _, q := range p.Places {
				if !(q.Opened && q.Flipped) {
					all = append(all, q.Hold())
				}
			}
			again := lay.ByHand(works, c, all, lay.Options{})
			if piece.Worst(again.Findings) == piece.Stop || again.Length != p.Length || again.Bought != p.Bought || len(again.Places) != len(p.Places) {
				t.Errorf("%s: by hand it is %g long, to buy %g, %d places, by search %g, %g, %d: %v", name, again.Length, again.Bought, len(again.Places), p.Length, p.Bought, len(p.Places), again.Findings)
			}
			cases = append(cases, laytest.Case{Name: name + " by hand", Plan: again, Works: works})
			// And held all together there is nothing left to search.
			whole := mustLay(t, works, c, lay.Options{Held: all})
			if whole.Length != p.Length {
				t.Errorf("%s: all held it is %g long, it was %g", name, whole.Length, p.Length)
			}
		}
	}
	laytest.Judge(t, cases...)
}

func has(held []lay.Held, k lay.Key) bool {
	for _, h := range held {
		if h.Key == k {
			return true
		}
	}
	return false
}

// By hand: on half of 1000 mm a half back of 300 x 600 on the fold and a pair of fronts of 199 x 600 lie abreast. Where the fronts are
// held, the back's place follows.
func TestHeldLaysWorkedByHand(t *testing.T) {
	works := patternOf(rectangle(t, "back", 300, 600, 1, false, true), rectangle(t, "front", 199, 600, 2, true, false))
	c := lay.Cloth{Material: piece.Shell, Width: 1000, Fold: lay.Lengthwise, Gap: -1}
	front := lay.Key{Job: "test", Piece: "front"}
	for _, x := range []struct {
		what   string
		at     curve.Point
		length float64
	}{
		{"beside the fold's room", curve.Point{X: 301, Y: 0}, 600},
		{"far out", curve.Point{X: 301, Y: 1000}, 1600},
		{"over the fold, so that the back lies behind it", curve.Point{X: 10, Y: 0}, 1200.1},
		{"over the fold, with room for the back before it", curve.Point{X: 10, Y: 601}, 1201},
	} {
		p := mustLay(t, works, c, lay.Options{Held: []lay.Held{{Key: front, X: x.at.X, Y: x.at.Y}}})
		if math.Abs(p.Length-x.length) > 0.2 {
			t.Errorf("%s: length %.3f, by hand %.3f", x.what, p.Length, x.length)
		}
		laytest.Judge(t, laytest.Case{Name: x.what, Plan: p, Works: works})
	}
}

// Each thing that is wrong with a held place is said, and of which piece.
func TestBadHeldPlaces(t *testing.T) {
	works := patternOf(rectangle(t, "back", 300, 600, 1, false, true), rectangle(t, "front", 199, 600, 2, true, false), wedge(t, "badge", 150, 200, 2, false))
	down := func(h lay.Held) lay.Held { h.Flipped, h.X = true, h.X+150; return h } // the badge is cut from the upper layer, whose wrong side is up
	c := lay.Cloth{Material: piece.Shell, Name: "cloth", Width: 1000, Fold: lay.Lengthwise, Nap: true, Tilt: 2, Gap: -1,
		Flaws: []curve.Rect{{Min: curve.Point{X: 500 + 350, Y: 2000}, Max: curve.Point{X: 500 + 360, Y: 2010}}}}
	at := func(name string, copy int, turn, x, y float64) lay.Held {
		return lay.Held{Key: lay.Key{Job: "test", Piece: name, Copy: copy}, Turn: turn, X: x, Y: y}
	}
	over := at("front", 0, 0, 301, 0)
	over.Flipped = true
	for _, k := range []struct {
		code, piece, says string
		held              []lay.Held
	}{
		{"lay:overlap", "front", "by 99 mm", []lay.Held{at("back", 0, 0, 0, 0), at("front", 0, 0, 201, 0)}},
		{"lay:overlap", "badge", "lie on one another", []lay.Held{down(at("badge", 0, 0, 10, 10)), down(at("badge", 1, 0, 10, 10))}},
		{"lay:off-cloth", "front", "by 1 mm", []lay.Held{at("front", 0, 0, 302, 0)}},
		{"lay:off-cloth", "front", "by 30 mm", []lay.Held{at("front", 0, 0, 0, -30)}},
		{"lay:off-fold", "back", "4 mm off the fold", []lay.Held{at("back", 0, 0, 4, 0)}},
		{"lay:on-flaw", "front", "flaw", []lay.Held{at("front", 0, 0, 301, 1900)}},
		{"lay:turn", "front", "180 degrees", []lay.Held{at("front", 0, 180, 450, 650)}},
		{"lay:turn", "front", "2.5 degrees", []lay.Held{at("front", 0, 2.5, 250, 0)}},
		{"lay:turn", "back", "on the fold", []lay.Held{at("back", 0, 1, 0, 0)}},
		{"lay:turn", "front", "turned over", []lay.Held{over}},
		{"lay:held", "front", "copy 3", []lay.Held{at("front", 2, 0, 301, 0)}},
		{"lay:held", "hood", "hood", []lay.Held{at("hood", 0, 0, 301, 0)}},
		{"lay:held", "front", "two places", []lay.Held{at("front", 0, 0, 301, 0), at("front", 0, 0, 301, 0)}},
		{"lay:held", "front", "no number", []lay.Held{at("front", 0, 0, math.NaN(), 0)}},
		{"lay:held", "front", "no number", []lay.Held{at("front", 0, math.Inf(1), 0, 0)}},
	} {
		p, err := lay.Lay(context.Background(), works, c, lay.Options{Steps: 100, Held: k.held})
		if err != nil {
			t.Fatal(err)
		}
		said := false
		for _, f := range p.Findings {
			said = said || f.Level == piece.Stop && f.Code == k.code && strings.Contains(strings.Join(f.Pieces, " "), k.piece) && strings.Contains(f.Text, k.says)
		}
		if !said || p.Laid() {
			t.Errorf("%s of %s, %q: laid %t, %v", k.code, k.piece, k.says, p.Laid(), p.Findings)
		}
	}
	// What is right at the limit: tilted as far as the cloth bears, along the edge, touching.
	p := mustLay(t, works, c, lay.Options{Steps: 100, Held: []lay.Held{at("front", 0, 2, 290, 0), down(at("badge", 0, -1.3, 200, 690)), at("back", 0, 0, 0, 900)}})
	laytest.Judge(t, laytest.Case{Name: "at the limits", Plan: p, Works: works})
}

// A lay by hand is judged as GEOS judges it: a wedge moved step by step into a rectangle and another wedge, off the cloth and apart.
func TestALayByHandIsJudgedAsGEOSDoes(t *testing.T) {
	works := patternOf(rectangle(t, "back", 300, 600, 1, false, true), wedge(t, "badge", 150, 200, 1, false), wedge(t, "side", 100, 300, 1, false))
	c := lay.Cloth{Material: piece.Shell, Width: 500, Fold: lay.Tubular, Gap: -1}
	var cases []laytest.Case
	bad := 0
	for _, dx := range []float64{-40, -0.01, 0, 0.01, 40} {
		for _, dy := range []float64{-250, -0.02, 0, 13, 199.99, 200, 200.01, 610} {
			held := []lay.Held{{Key: lay.Key{Job: "test", Piece: "back"}}, {Key: lay.Key{Job: "test", Piece: "badge"}, X: 300 + dx, Y: dy}, {Key: lay.Key{Job: "test", Piece: "side"}, Turn: 180, X: 500, Y: 300}}
			p := lay.ByHand(works, c, held, lay.Options{})
			if (piece.Worst(p.Findings) == piece.Stop) != (p.Check() != nil) {
				t.Errorf("%g, %g: the findings are %v, the check says %v", dx, dy, p.Findings, p.Check())
			}
			if piece.Worst(p.Findings) == piece.Stop {
				bad++
			}
			cases = append(cases, laytest.Case{Name: fmt.Sprintf("%g %g", dx, dy), Plan: p, Works: works})
		}
	}
	if bad < 10 || bad > len(cases)-5 {
		t.Errorf("%d of %d lays are bad; the test needs both kinds", bad, len(cases))
	}
	said, asked := laytest.Faults(t, cases...)
	if !asked {
		return
	}
	for i, c := range cases {
		faulty := piece.Worst(c.Plan.Findings) == piece.Stop
		if faulty != (said[i] != "") {
			t.Errorf("%s: we say %v, GEOS says %q", c.Name, c.Plan.Findings, said[i])
		}
	}
}

// With one part single, shapes can be held where the fold is given: the rest is laid round them, and all of that by hand is the same lay.
func TestPartSingleByHand(t *testing.T) {
	works := workOf(t, "stroke")
	c := shell()
	c.Fold, c.Width = lay.PartSingle, 60*inch
	if _, fs := lay.Shapes(works, c, lay.Options{}); piece.Worst(fs) != piece.Stop {
		t.Error("shapes are told though nobody says how far the cloth is folded over")
	}
	c.Doubled = 14 * inch
	shapes, fs := lay.Shapes(works, c, lay.Options{})
	if piece.Worst(fs) == piece.Stop {
		t.Fatal(fs)
	}
	first := mustLay(t, works, c, lay.Options{Steps: 300, Held: []lay.Held{{Key: shapes[0].Key, Turn: shapes[0].Poses[0].Turn, Flipped: shapes[0].Poses[0].Flipped,
		X: shapes[0].Poses[0].To - curve.Bounds(shapes[0].Outline...).Max.X, Y: 500}}})
	if len(byKey(first)) != len(shapes) {
		t.Errorf("%d shapes, %d are laid", len(shapes), len(byKey(first)))
	}
	var all []lay.Held
	for _, q := range first.Places {
		all = append(all, q.Hold())
	}
	again := lay.ByHand(works, c, all, lay.Options{})
	if piece.Worst(again.Findings) == piece.Stop || again.Length != first.Length {
		t.Errorf("by hand it is %g long, by search %g: %v", again.Length, first.Length, again.Findings)
	}
	// A piece that is cut through both layers cannot lie where there is one.
	for i, q := range first.Places {
		if q.Layers == 2 && !q.OnFold {
			all[i].X += 14 * inch
			break
		}
	}
	if s, ok := laytest.Has(lay.ByHand(works, c, all, lay.Options{}).Findings, piece.Stop, "lay:off-part"); !ok {
		t.Errorf("a piece cut double in the single part is not refused: %s", s)
	}
	laytest.Judge(t, laytest.Case{Name: "held", Plan: first, Works: works}, laytest.Case{Name: "by hand", Plan: again, Works: works})
}

// What has no place, and what lies nearer than chalk allows, is said.
func TestALayByHandInTheMaking(t *testing.T) {
	works := patternOf(rectangle(t, "back", 300, 600, 1, false, true), rectangle(t, "front", 190, 600, 2, true, false))
	c := lay.Cloth{Material: piece.Shell, Width: 1000, Fold: lay.Lengthwise}
	p := lay.ByHand(works, c, []lay.Held{{Key: lay.Key{Job: "test", Piece: "back"}}}, lay.Options{})
	if s, ok := laytest.Has(p.Findings, piece.Stop, "lay:missing"); !ok || !strings.Contains(s, "Front") {
		t.Errorf("nothing is said of the front: %v", p.Findings)
	}
	p = lay.ByHand(works, c, []lay.Held{{Key: lay.Key{Job: "test", Piece: "back"}}, {Key: lay.Key{Job: "test", Piece: "front"}, X: 301}}, lay.Options{})
	if s, ok := laytest.Has(p.Findings, piece.Warn, "lay:near"); !ok || !strings.Contains(s, "less than 2 mm apart") || piece.Worst(p.Findings) == piece.Stop {
		t.Errorf("1 mm apart, and it is said: %v", p.Findings)
	}
	for _, h := range []lay.Held{{X: 302.1}, {X: 301.8, Y: 601.8}} { // the second from corner to corner, 2.5 mm
		h.Key = lay.Key{Job: "test", Piece: "front"}
		p = lay.ByHand(works, c, []lay.Held{{Key: lay.Key{Job: "test", Piece: "back"}}, h}, lay.Options{})
		if s, ok := laytest.Has(p.Findings, piece.Warn, "lay:near"); ok {
			t.Errorf("more than 2 mm apart, and it is said: %s", s)
		}
	}
}

// What may be moved by hand are the shapes that the search lays, each in the turns that it uses.
func TestShapesAreThoseThatAreLaid(t *testing.T) {
	works := workOf(t, "stroke")
	for _, f := range lay.Folds {
		if f == lay.PartSingle {
			continue // there the search finds which pairs are cut apart; see TestPartSingleByHand
		}
		c := shell()
		c.Fold, c.Tilt = f, 1
		if f == lay.Tubular {
			c.Width, c.Selvedge = 26*inch, 0
		}
		shapes, fs := lay.Shapes(works, c, lay.Options{})
		if piece.Worst(fs) == piece.Stop {
			t.Fatal(fs)
		}
		p := mustLay(t, works, c, lay.Options{Steps: 300})
		laid := byKey(p)
		if len(laid) != len(shapes) {
			t.Errorf("%s: %d shapes, %d are laid", f, len(shapes), len(laid))
		}
		for _, s := range shapes {
			q, ok := laid[s.Key]
			if !ok || q.Layers != s.Layers || q.OnFold != s.OnFold {
				t.Errorf("%s: %v is %v", f, s.Key, q)
			}
			found := false
			for _, o := range s.Poses {
				if math.Abs(o.Turn-q.Turn) < 1e-9 && o.Flipped == q.Flipped {
					found = true
					for i, v := range s.Outline { // the pose's own turning brings the outline to where it lies
						at := curve.Point{X: o.M[0]*v.X + o.M[1]*v.Y + q.X, Y: o.M[2]*v.X + o.M[3]*v.Y + q.Y}
						if at.Dist(q.Shape[i]) > 1e-9 {
							t.Fatalf("%s, %v: corner %d lies at %v, by its pose at %v", f, s.Key, i, q.Shape[i], at)
						}
					}
				}
			}
			if !found {
				t.Errorf("%s: %v lies turned by %g, %t, which is none of %v", f, s.Key, q.Turn, q.Flipped, s.Poses)
			}
		}
	}
}

// On cloth with a repeat what is held stays on it, off it is said, and the rest still matches.
func TestHeldOnARepeat(t *testing.T) {
	r := jobtest.Example(t, "stroke")
	works := []lay.Work{{Job: "stroke", Pattern: r.Pattern}}
	c := shell()
	c.Along, c.Across = 60, 40
	c.Matches = lay.MatchSeams(works[0], piece.Shell)
	first := mustLay(t, works, c, lay.Options{Steps: 300})
	var matched lay.Place
	for _, q := range first.Places {
		for _, m := range c.Matches {
			if m.Piece == q.Piece && !q.OnFold {
				matched = q
			}
		}
	}
	h := matched.Hold()
	h.Y += 5 * c.Along
	p := mustLay(t, works, c, lay.Options{Steps: 300, Held: []lay.Held{h}})
	if q := byKey(p)[h.Key]; q.Y != h.Y || q.X != h.X {
		t.Errorf("%s was held at %g, %g and lies at %g, %g", h.Piece, h.X, h.Y, q.X, q.Y)
	}
	laytest.Judge(t, laytest.Case{Name: "repeat", Plan: p, Works: works})
	h.Y += 7
	bad, err := lay.Lay(context.Background(), works, c, lay.Options{Steps: 100, Held: []lay.Held{h}})
	if s, ok := laytest.Has(bad.Findings, piece.Stop, "lay:off-repeat"); err != nil || !ok || !strings.Contains(s, "7 mm") {
		t.Errorf("7 mm off the repeat: %v, %v", bad.Findings, err)
	}
}
