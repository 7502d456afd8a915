package job

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"clothwright/piece"
)

const in = 25.4

// cut drafts a job written in the test.
func cut(t testing.TB, measures, style, house string) *Result {
	t.Helper()
	src := "format = 1\njob = \"test\"\ngarment = \"rib-zip-jacket\"\nunit = \"in\"\n"
	if house != "" {
		src += "house = \"house.toml\"\n"
	}
	src += "[measures]\n" + measures + "\n[style]\n" + style
	j, err := Read("test.toml", []byte(src), func(string) ([]byte, error) { return []byte(house), nil })
	if err != nil {
		t.Fatal(err)
	}
	r, err := j.Cut()
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// forty is a body of bust 40 in whose draft is known by heart in the trade.
const forty = `chest_girth = "40 in"
shoulder_width = "15 in"
underbust_length = "14 in"
body_length = "24 in"
arm_length = "24 in"
wrist_girth = "7 in"
neck_base_girth = "15 3/4 in"
hand_girth = "8 in"
`

func mark(t *testing.T, r *Result, pieceName, name string) *piece.Mark {
	t.Helper()
	p := r.Pattern.Piece(pieceName)
	if p == nil {
		t.Fatalf("there is no piece %q", pieceName)
	}
	m := p.Mark(name)
	if m == nil {
		t.Fatalf("%s has no mark %q", pieceName, name)
	}
	return m
}

// Facts of the trade: the draft of a bust of 40 in, shoulder 15, length 24, sleeve 24, cuff 7, with a ready rib
// of 3 in (common practice, no source).
func TestBustFortyMarks(t *testing.T) {
	r := cut(t, forty, `ease = "regular"`, "")
	for _, c := range []struct{ piece, mark, taped string }{
		{"front", "shoulder plumb", "7 1/2 in"}, // half of 15
		{"front", "neck point", "3 in"},         // half neck width
		{"front", "neck pit", "3 in"},           // front neck depth
		{"front", "shoulder tip", "1 in"},       // drop for slope
		{"front", "armhole line", "8 1/8 in"},   // 40/6 + 1 1/2 = 8.17
		{"front", "bust line", "10 in"},         // underbust less 4
		{"front", "armhole hollow", "1/2 in"},   // inside the shoulder's plumb line
		{"front", "block, inner corner", "3 in"},
		{"front", "block, inner foot", "2 1/2 in"}, // exactly what shows of the rib
		{"front", "hem level", "21 1/2 in"},        // 24 less what shows
		{"back", "hem level", "21 1/2 in"},
		{"back", "shoulder plumb", "7 1/2 in"},
		{"back", "armhole line", "8 1/8 in"},
		{"sleeve", "sleeve hem", "24 in"},    // not shortened for the rib
		{"sleeve", "hem, front", "5 1/2 in"}, // 3 1/2 + 2
	} {
		if m := mark(t, r, c.piece, c.mark); m.Taped != c.taped {
			t.Errorf("%s, %s is %s; want %s", c.piece, c.mark, m.Taped, c.taped)
		}
	}
	// The quarter bust is 10; the folded cloth is 12 wide: quarter, 2 for ease and side seam.
	front := r.Pattern.Piece("front")
	point := mark(t, r, "front", "armhole point")
	if got := point.At.X + front.Edge("side").Allowance; math.Abs(got-12*in) > 0.01 {
		t.Errorf("centre to cut edge at the armhole is %.3f in; want 12", got/in)
	}
	// The hollow lies at half the armhole's depth, and the back is half an inch fuller than the front.
	tip, line := mark(t, r, "front", "shoulder tip").At, mark(t, r, "front", "armhole line").At
	f, b := mark(t, r, "front", "armhole hollow").At, mark(t, r, "back", "armhole hollow").At
	if math.Abs(f.Y-(tip.Y+line.Y)/2) > 0.01 || math.Abs(b.Y-f.Y) > 0.01 {
		t.Errorf("the hollows lie at %.2f and %.2f; want half way from %.2f to %.2f", f.Y, b.Y, tip.Y, line.Y)
	}
	if math.Abs(b.X-f.X-0.5*in) > 0.01 {
		t.Errorf("the back is %.3f in fuller than the front; want 1/2", (b.X-f.X)/in)
	}
	// The back neck is higher than the front.
	if nape, pit := mark(t, r, "back", "nape").At.Y, mark(t, r, "front", "neck pit").At.Y; nape >= pit {
		t.Errorf("the back neck lies %.1f mm down and the front %.1f: the back must be higher", nape, pit)
	}
	for _, c := range []struct {
		ref piece.Ref
		in  float64
	}{{"front.front_edge", 0.5}, {"front.neck", 0.5}, {"front.block_bottom", 0.5}, {"front.side", 0.5}} {
		if a := r.Pattern.Edge(c.ref).Allowance; math.Abs(a-c.in*in) > 1e-9 {
			t.Errorf("the allowance of %s is %.2f in; want %.2f", c.ref, a/in, c.in)
		}
	}
	// The block is as high as the rib that shows, whatever the rib.
	if rib, block := r.Pattern.LengthOf("hem_rib.end"), r.Pattern.LengthOf("front.block_side"); math.Abs(rib-block) > 0.001 || math.Abs(rib-2.5*in) > 0.001 {
		t.Errorf("the rib shows %.3f in and the block is %.3f in high; want 2 1/2 both", rib/in, block/in)
	}
}

// On a half-inch tape 8.17 is 8 (common practice, no source).
func TestHalfInchTape(t *testing.T) {
	r := cut(t, forty, "", "tape = \"1/2 in\"\n")
	if m := mark(t, r, "front", "armhole line"); m.Taped != "8 in" {
		t.Errorf("the armhole line is %s; want 8 in", m.Taped)
	}
}

// A seam's chord bounds its cap: the cap is never shorter than the two straight lines from crown to underarm.
// Geometry; and the cap never shorter than the armhole (common practice, no source).
func TestCapAndArmhole(t *testing.T) {
	for _, ease := range []string{"trim", "regular", "roomy"} {
		for chest := 32; chest <= 56; chest += 4 {
			m := strings.Replace(forty, `"40 in"`, fmt.Sprintf("\"%d in\"", chest), 1)
			r := cut(t, m, "ease = \""+ease+"\"", "")
			p := r.Pattern
			capLine := p.LengthOf("sleeve.cap_front") + p.LengthOf("sleeve.cap_back")
			hole := p.LengthOf("front.armhole") + p.LengthOf("back.armhole")
			half, h := mark(t, r, "sleeve", "front underarm").At.X, mark(t, r, "sleeve", "cap line").At.Y
			if chord := 2 * math.Hypot(half, h); capLine < chord {
				t.Errorf("chest %d %s: the cap is %.1f mm, its chords %.1f", chest, ease, capLine, chord)
			}
			// Common practice, no source: 0 to 3/8 in for padded or firm cloth.
			if got := capLine - hole; got < 0 || got > 0.375*in {
				t.Errorf("chest %d %s: the cap has %.2f mm of ease; 0 to 9.5 is wanted", chest, ease, got)
			}
		}
	}
}

// Ribbing by the metre is cut twice the finished width and two seams of 1/4 in: 2 1/2 finished is 5 1/2; a
// prefinished band is the finished width and one seam: 2 3/4. Sewing reference book, "Ribbed edges".
func TestRibWidths(t *testing.T) {
	quarter := "[rib]\nseam = \"1/4 in\"\nready_band = \"2 3/4 in\"\n"
	for _, c := range []struct {
		style string
		want  float64
	}{{`rib = "metre"` + "\nrib_height = \"2 1/2 in\"", 5.5}, {`rib = "ready"`, 2.75}} {
		r := cut(t, forty, c.style, quarter)
		_, cutLine := r.Pattern.Piece("hem_rib").Outline(0.05)
		lo, hi := cutLine[0].Y, cutLine[0].Y
		for _, q := range cutLine {
			lo, hi = min(lo, q.Y), max(hi, q.Y)
		}
		if math.Abs(hi-lo-c.want*in) > 0.01 {
			t.Errorf("%s: the hem rib is cut %.3f in wide; want %.3f", c.style, (hi-lo)/in, c.want)
		}
	}
}

// Ribbing is cut 2/3 to 3/4 of the edge: Sewing & Craft Alliance, "Using ribbing".
func TestCuffRatio(t *testing.T) {
	r := cut(t, forty, "", "")
	ratio := r.Pattern.LengthOf("cuff.top") / r.Pattern.LengthOf("sleeve.hem")
	if ratio < 2.0/3 || ratio > 0.75 {
		t.Errorf("the cuff is %.3f of the sleeve hem; 2/3 to 3/4 is wanted", ratio)
	}
}

// The armhole lies below the real underarm, and the depth from the nape lies between a close bodice and an
// overcoat: at chest 36 from 7 in (an Indian school draft, 1/8 chest and 2 1/2) to 9 3/4 in (Vincent's overcoat:
// 1/6 breast and 3, and 3/4). Bodies: medians by chest of the 2012 Anthropometric Survey of US Army Personnel.
func TestArmholeDepthAgainstOtherSystems(t *testing.T) {
	for _, c := range []struct {
		chest, underarm float64 // cm, in
	}{{91.4, 17.9}, {96.5, 18.1}, {101.6, 18.6}, {106.7, 18.9}, {111.8, 19.1}} {
		m := strings.Replace(forty, `chest_girth = "40 in"`, fmt.Sprintf("chest_girth = \"%.1f cm\"\nunderarm_depth = \"%.1f cm\"", c.chest, c.underarm), 1)
		r := cut(t, m, "", "")
		depth := mark(t, r, "front", "armhole line").At.Y - mark(t, r, "back", "nape").At.Y
		inches := c.chest * 10 / in
		if least, most := (inches/8+2.5)*in, (inches/6+3.75)*in; depth < least || depth > most {
			t.Errorf("chest %.1f in: the armhole is %.2f in below the nape; %.2f to %.2f is wanted", inches, depth/in, least/in, most/in)
		}
		// Common practice, no source: at least 3/4 in below the wearer's real underarm.
		if depth < c.underarm*10+0.75*in-0.01 {
			t.Errorf("chest %.1f in: the armhole is %.1f mm below the nape, the underarm %.1f", inches, depth, c.underarm*10)
		}
	}
}

// Worn eases follow from the measures: E of 6 in at the chest for a regular jacket (common practice, no source),
// in the band 3 to 6 in for a lined zip jacket.
func TestChestEase(t *testing.T) {
	for ease, want := range map[string]float64{"trim": 4, "regular": 6, "roomy": 8.5} {
		r := cut(t, forty, "lining = \"none\"\nease = \""+ease+"\"", "")
		for _, w := range r.Pattern.Worn {
			// A quarter is rounded to the tape, so the whole may be off by half a step four times.
			if w.At == "chest" && math.Abs(w.Ease()-want*in) > 4*in/16+0.01 {
				t.Errorf("%s: the chest has %.2f in of ease; want %.2f", ease, w.Ease()/in, want)
			}
		}
	}
}
