package truing_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"clothwright/curve"
	"clothwright/piece"
	"clothwright/tape"
	"clothwright/truing"
)

type pt = curve.Point

var inches = tape.Tape{Unit: tape.IN, Step: tape.Inch / 8}

func line(a, b pt) curve.Path { return curve.Path{curve.Line(a, b)} }

func heading(deg float64) *pt {
	s, c := math.Sincos(deg * math.Pi / 180)
	return &pt{X: c, Y: s}
}

// Shoulders slope 30 over 120: 14.04 degrees. The front neck arrives upright at them, so the back neck must arrive so that the two
// corners fill half a turn: at 14.04 - (180 - 104.04) degrees.
const slope = 14.036243467926479

func bodyEdges(neck curve.Path, front bool) []piece.Edge {
	arm := curve.Smooth([]pt{{X: 180, Y: 30}, {X: 170, Y: 120}, {X: 230, Y: 200}}, heading(90+slope), heading(0))
	last := piece.Edge{Name: "centre", Path: line(pt{Y: 500}, neck.Start())}
	if front {
		last.Finish, last.Allowance = piece.Zip, 12
	} else {
		last.Finish = piece.Fold
	}
	return []piece.Edge{
		{Name: "neck", Path: neck, Allowance: 6},
		{Name: "shoulder", Path: line(pt{X: 60}, pt{X: 180, Y: 30}), Allowance: 10},
		{Name: "armhole", Path: arm, Allowance: 10},
		{Name: "side", Path: line(pt{X: 230, Y: 200}, pt{X: 230, Y: 500}), Allowance: 10},
		{Name: "hem", Path: line(pt{X: 230, Y: 500}, pt{Y: 500}), Allowance: 30, Finish: piece.Turned, Corner: piece.Mirror},
		last,
	}
}

const capEase, hemRatio, neckRatio = 10.0, 0.7, 0.9

// sleeveEdges makes a sleeve of half width h.
func sleeveEdges(h float64) []piece.Edge {
	top := curve.SmoothThrough([]curve.Knot{{At: pt{X: -h}, Dir: heading(0)}, {At: pt{Y: -110}, Dir: heading(0)}, {At: pt{X: h}, Dir: heading(0)}})
	return []piece.Edge{
		{Name: "cap", Path: top, Allowance: 10},
		{Name: "seam_b", Path: line(pt{X: h}, pt{X: h, Y: 300}), Allowance: 10},
		{Name: "hem", Path: line(pt{X: h, Y: 300}, pt{X: -h, Y: 300}), Allowance: 10},
		{Name: "seam_a", Path: line(pt{X: -h, Y: 300}, pt{X: -h}), Allowance: 10},
	}
}

func bandEdges(l float64) []piece.Edge {
	return []piece.Edge{
		{Name: "top", Path: line(pt{}, pt{X: l}), Allowance: 10},
		{Name: "end_b", Path: line(pt{X: l}, pt{X: l, Y: 60}), Allowance: 10},
		{Name: "turn", Path: line(pt{X: l, Y: 60}, pt{Y: 60}), Finish: piece.TurnUp},
		{Name: "end_a", Path: line(pt{Y: 60}, pt{}), Allowance: 10},
	}
}

// sound is a small jacket in which everything agrees.
func sound() *piece.Pattern {
	frontNeck := curve.Path{curve.Quarter(pt{Y: 60}, pt{X: 60, Y: 60}, pt{X: 60})}
	backNeck := curve.Smooth([]pt{{Y: 20}, {X: 60}}, heading(0), heading(2*slope-90))
	p := &piece.Pattern{Garment: "vest", Title: "Vest"}
	add := func(q piece.Piece) { p.Pieces = append(p.Pieces, q) }
	grain := [2]pt{{X: 80, Y: 150}, {X: 80, Y: 400}}
	front := piece.Piece{Name: "front", Material: piece.Shell, Count: 2, Pair: true, Grain: grain, Edges: bodyEdges(frontNeck, true)}
	back := piece.Piece{Name: "back", Material: piece.Shell, Count: 1, OnFold: true, Grain: [2]pt{{Y: 100}, {Y: 400}}, Edges: bodyEdges(backNeck, false)}
	arms := front.Edge("armhole").Length() + back.Edge("armhole").Length()
	lo, hi := 100.0, 250.0
	for range 60 {
		if h := (lo + hi) / 2; curve.Path(sleeveEdges(h)[0].Path).Length() < arms+capEase {
			lo = h
		} else {
			hi = h
		}
	}
	sleeve := piece.Piece{Name: "sleeve", Material: piece.Shell, Count: 2, Pair: true, Grain: [2]pt{{Y: 0}, {Y: 200}}, Edges: sleeveEdges(lo)}
	half := front.Edge("armhole").Length()
	front.Notches = []piece.Notch{{Edge: "armhole", At: half - 60, Kind: "single", Name: "f"}, {Edge: "side", At: 150, Name: "w"}}
	back.Notches = []piece.Notch{{Edge: "armhole", At: half - 75, Kind: "double", Name: "b"}, {Edge: "side", At: 150, Name: "w"}}
	sleeve.Notches = []piece.Notch{{Edge: "cap", At: 60, Name: "f"}, {Edge: "cap", At: arms + capEase - 75, Name: "b"}}
	padding := piece.Piece{Name: "front_padding", Material: piece.Padding, Count: 2, Pair: true, CopyOf: "front", Grain: grain, Edges: bodyEdges(frontNeck, true)}
	for i := range padding.Edges {
		padding.Edges[i].Finish, padding.Edges[i].Allowance, padding.Edges[i].Corner = piece.Cut, 0, piece.Mitre
	}
	add(front)
	add(back)
	add(sleeve)
	add(piece.Piece{Name: "cuff", Material: piece.Rib, Count: 2, Grain: [2]pt{{X: 20, Y: 20}, {X: 60, Y: 20}}, Edges: bandEdges(hemRatio * sleeve.Edge("hem").Length())})
	add(piece.Piece{Name: "collar", Material: piece.Rib, Count: 1, Grain: [2]pt{{X: 20, Y: 20}, {X: 60, Y: 20}},
		Edges: bandEdges(neckRatio * 2 * (front.Edge("neck").Length() + back.Edge("neck").Length()))})
	p.Piece("collar").Edge("end_a").Finish, p.Piece("collar").Edge("end_b").Finish = piece.Neat, piece.Neat
	add(padding)
	refs := func(s ...piece.Ref) []piece.Ref { return s }
	p.Seams = []piece.Seam{
		{Name: "shoulder", A: refs("front.shoulder"), B: refs("back.shoulder"), Kind: piece.Plain, Layer: "shell", Smooth: refs("front.neck", "back.neck", "front.armhole", "back.armhole")},
		{Name: "cap", A: refs("front.armhole", "back.armhole"), B: refs("sleeve.cap"), Kind: piece.Eased, Intended: capEase, Most: 20, Layer: "shell"},
		{Name: "side", A: refs("front.side"), B: refs("back.side"), Kind: piece.Plain, Layer: "shell", Smooth: refs("front.armhole", "back.armhole", "front.hem", "back.hem")},
		{Name: "underarm", A: refs("sleeve.seam_a"), B: refs("sleeve.seam_b"), Kind: piece.Plain, Layer: "shell", Smooth: refs("sleeve.cap", "sleeve.cap", "sleeve.hem", "sleeve.hem")},
		{Name: "cuff_end", A: refs("cuff.end_a"), B: refs("cuff.end_b"), Kind: piece.Plain, Layer: "shell"},
		{Name: "cuff", A: refs("sleeve.hem"), B: refs("cuff.top"), Kind: piece.Ribbed, Intended: hemRatio, Layer: "shell"},
		{Name: "neck", A: refs("front.neck", "back.neck"), B: refs("collar.top"), Kind: piece.Ribbed, Intended: neckRatio, Layer: "shell"},
	}
	p.Worn = []piece.Worn{{At: "chest", Body: 40 * 25.4, Garment: 46 * 25.4, Least: 4 * 25.4, Most: 8 * 25.4, BodyFrom: "given", Pieces: []string{"front", "back"}, Stop: true}}
	p.Notions = []piece.Notion{{Kind: "zip", Name: "zip", Length: 400, Edge: 440, Count: 1, Refs: refs("front.centre")}}
	return p
}

func codes(fs []piece.Finding) []string {
	var out []string
	for _, f := range fs {
		out = append(out, string(f.Level)+" "+f.Code)
	}
	return out
}

func TestSoundPatternHasNoFindings(t *testing.T) {
	for _, f := range truing.True(sound(), inches) {
		t.Errorf("%s %s: %s", f.Level, f.Code, f.Text)
	}
}

// points moves every point of a piece's seam line.
func points(q *piece.Piece, edit func(pt) pt) {
	for i := range q.Edges {
		for k, s := range q.Edges[i].Path {
			c := s.Controls()
			if s.Straight() {
				q.Edges[i].Path[k] = curve.Line(edit(c[0]), edit(c[3]))
			} else {
				q.Edges[i].Path[k] = curve.Cubic(edit(c[0]), edit(c[1]), edit(c[2]), edit(c[3]))
			}
		}
	}
}

// Each fault is one that a cutter makes; each is to give its own finding and no other.
var faults = []struct {
	name string
	make func(*piece.Pattern)
	want []string // level and code
	says string   // part of the first text
}{
	{"a side seam 2 mm longer", func(p *piece.Pattern) {
		points(p.Piece("back"), func(q pt) pt {
			if q.Y > 250 {
				q.Y += 2
			}
			return q
		})
	}, []string{"stop seam:side"}, "front.side measures 11 13/16 in and back.side 11 7/8 in, a difference of 2.0 mm (1/16 in)"},
	{"half a millimetre is nothing", func(p *piece.Pattern) {
		points(p.Piece("back"), func(q pt) pt {
			if q.Y > 250 {
				q.Y += 0.5
			}
			return q
		})
	}, nil, ""},
	{"a cap shorter than the armhole", func(p *piece.Pattern) { scaleCap(p, -14) }, []string{"stop seam:cap"}, "4.0 mm (3/16 in) too short"},
	{"a cap with too little ease", func(p *piece.Pattern) { scaleCap(p, -5) }, []string{"warn seam:cap"}, "5.0 mm (3/16 in) to ease in; 10.0 mm (3/8 in) was meant"},
	{"a cap with more ease than it may take", func(p *piece.Pattern) { scaleCap(p, 25) }, []string{"stop seam:cap"}, "at most 20.0 mm"},
	{"a cuff cut too short", func(p *piece.Pattern) {
		q := p.Piece("cuff")
		l := q.Edge("top").Length()
		points(q, func(q pt) pt { return pt{X: q.X * (l - 8) / l, Y: q.Y} })
	}, []string{"stop seam:cuff"}, "0.700 was meant"},
	{"a rib without a ratio", func(p *piece.Pattern) { p.Seams[5].Intended = 0 }, []string{"stop seam:cuff"}, "must say how long"},
	{"a seam of no known kind", func(p *piece.Pattern) { p.Seams[2].Kind = "" }, []string{"stop seam:side"}, "plain, eased or rib"},
	{"a notch in the wrong place", func(p *piece.Pattern) { p.Piece("back").Notches[1].At = 153 }, []string{"stop notch:side"}, "from the start to notch w"},
	{"a cap notch too far round", func(p *piece.Pattern) { p.Piece("sleeve").Notches[0].At = 95 }, []string{"stop notch:cap"}, "notch f"},
	{"a cap notch with all the ease on one side", func(p *piece.Pattern) { p.Piece("sleeve").Notches[0].At = 70 }, nil, ""},
	{"a notch without its mate", func(p *piece.Pattern) { p.Piece("back").Notches = p.Piece("back").Notches[:1] }, []string{"warn mate:w"}, "front.side: notch w has no mate"},
	{"a notch that meets the shoulder seam", func(p *piece.Pattern) {
		q := p.Piece("sleeve")
		q.Notches = append(q.Notches, piece.Notch{Edge: "cap", At: p.Piece("front").Edge("armhole").Length() + capEase/2, Name: "shoulder seam"})
	}, nil, ""},
	{"a notch that misses the shoulder seam", func(p *piece.Pattern) {
		q := p.Piece("sleeve")
		q.Notches = append(q.Notches, piece.Notch{Edge: "cap", At: p.Piece("front").Edge("armhole").Length() + 30, Name: "shoulder seam"})
	}, []string{"warn mate:shoulder seam"}, "nor does it meet a seam there"},
	{"a notch beyond its edge", func(p *piece.Pattern) {
		p.Piece("front").Notches = append(p.Piece("front").Notches, piece.Notch{Edge: "hem", At: 231, Name: "x"})
	}, []string{"stop notch:front.hem"}, "notch x is set"},
	{"a notch on no edge", func(p *piece.Pattern) {
		p.Piece("front").Notches = append(p.Piece("front").Notches, piece.Notch{Edge: "pleat", At: 1, Name: "x"})
	}, []string{"stop ref:front.pleat"}, "no such edge"},
	{"a hem that dips at the side", func(p *piece.Pattern) {
		for i, e := range p.Piece("front").Edges {
			if e.Name == "hem" || e.Name == "centre" { // the centre drops by 16 over 230: 3.98 degrees
				points(&piece.Piece{Edges: p.Piece("front").Edges[i : i+1]}, func(q pt) pt {
					if q.X == 0 && q.Y == 500 {
						q.Y = 516
					}
					return q
				})
			}
		}
		p.Piece("front_padding").CopyOf = ""
		p.Notions[0].Edge, p.Notions[0].Length = 456, 420
	}, []string{"warn corner:side"}, "front.hem runs on into back.hem the joined edge makes a hollow of 4.0°"},
	{"a back neck that leaves the shoulder at the wrong angle", func(p *piece.Pattern) {
		p.Piece("back").Edge("neck").Path = curve.Smooth([]pt{{Y: 20}, {X: 60}}, heading(0), heading(2*slope-80))
	}, []string{"stop corner:shoulder"}, "the joined edge makes a hollow of 10.0°"},
	{"a back neck not square to the fold", func(p *piece.Pattern) {
		p.Piece("back").Edge("neck").Path = curve.Smooth([]pt{{Y: 20}, {X: 60}}, heading(4), heading(2*slope-90))
	}, []string{"warn fold:back.neck"}, "4.0° off square, so that it turns a corner of 8.0°"},
	{"a smooth edge that is not beside the seam", func(p *piece.Pattern) { p.Seams[2].Smooth = []piece.Ref{"front.neck", "back.neck"} }, []string{"stop corner:side"}, "front.neck is not beside it"},
	{"an open outline", func(p *piece.Pattern) {
		p.Piece("cuff").Edge("turn").Path = line(p.Piece("cuff").Edge("turn").Path.Start(), pt{X: 1, Y: 60})
	}, []string{"stop outline:cuff"}, "each edge must end where the next begins"},
	{"a negative allowance", func(p *piece.Pattern) { p.Piece("front").Edge("hem").Allowance = -1 }, []string{"stop outline:front"}, "it must be 0 or more"},
	{"a tiny edge", func(p *piece.Pattern) {
		q := p.Piece("back")
		q.Edges = slices.Insert(q.Edges, 5, piece.Edge{Name: "slip", Path: line(pt{X: 2, Y: 500}, pt{Y: 500}), Allowance: 30, Finish: piece.Turned})
		q.Edge("hem").Path = line(pt{X: 230, Y: 500}, pt{X: 2, Y: 500})
	}, []string{"warn tiny:back.slip"}, "only 2.0 mm"},
	{"no grainline", func(p *piece.Pattern) { p.Piece("sleeve").Grain = [2]pt{} }, []string{"stop grain:sleeve"}, "no grainline"},
	{"a grainline outside", func(p *piece.Pattern) { p.Piece("sleeve").Grain[0].Y = -120 }, []string{"warn grain:sleeve"}, "outside the piece"},
	{"no material", func(p *piece.Pattern) { p.Piece("cuff").Material = "" }, []string{"stop material:cuff"}, "not stated"},
	{"no count", func(p *piece.Pattern) { p.Piece("front_padding").Count = 0 }, []string{"stop count:front_padding"}, "must be 1 or more"},
	{"an odd pair", func(p *piece.Pattern) { p.Piece("front_padding").Count = 3 }, []string{"stop count:front_padding"}, "must be even"},
	{"one sleeve", func(p *piece.Pattern) { p.Piece("sleeve").Count, p.Piece("sleeve").Pair = 1, false },
		[]string{"stop pairs:front", "stop pairs:back", "stop pairs:cuff"}, "front.armhole: it is there twice, but the seams take it only once"},
	{"two pieces of one name", func(p *piece.Pattern) { p.Piece("front_padding").Name = "collar" }, []string{"stop name:collar"}, "two pieces"},
	{"two seams of one name", func(p *piece.Pattern) { p.Seams[3].Name = "side" }, []string{"stop name:side"}, "two seams"},
	{"two edges of one name", func(p *piece.Pattern) { p.Piece("front_padding").Edges[2].Name = "hem" }, []string{"stop name:front_padding.hem"}, "two edges"},
	{"a fold that is not stated", func(p *piece.Pattern) { p.Piece("front_padding").Edges[5].Finish = piece.Fold }, []string{"stop fold:front_padding"}, "not stated to be cut on the fold"},
	{"an edge left open", func(p *piece.Pattern) { p.Piece("front").Edge("hem").Finish = piece.Sewn }, []string{"stop open:front.hem"}, "no seam takes this edge"},
	{"an edge sewn twice", func(p *piece.Pattern) {
		p.Seams = append(p.Seams, piece.Seam{Name: "again", A: []piece.Ref{"front.side"}, B: []piece.Ref{"front_padding.side"}, Kind: piece.Plain, Layer: "shell"})
	}, []string{"stop twice:front.side"}, "take this edge 4 times, but it is cut twice"},
	{"the same edge in another layer", func(p *piece.Pattern) {
		p.Seams = append(p.Seams, piece.Seam{Name: "again", A: []piece.Ref{"front.side"}, B: []piece.Ref{"front_padding.side"}, Kind: piece.Plain, Layer: "padding"})
	}, nil, ""},
	{"a seam on a fold", func(p *piece.Pattern) {
		p.Seams[4].B = []piece.Ref{"cuff.turn"}
		p.Piece("cuff").Edge("end_b").Finish = piece.Neat
	},
		[]string{"stop seam:cuff_end", "stop twice:cuff.turn"}, ""},
	{"a seam that names nothing", func(p *piece.Pattern) { p.Seams[2].B = []piece.Ref{"back.sid"} }, []string{"stop ref:back.sid", "stop open:back.side"}, "there is no such edge"},
	{"a copy that strays", func(p *piece.Pattern) {
		points(p.Piece("front_padding"), func(q pt) pt {
			if q.Y > 250 {
				q.Y += 0.3
			}
			return q
		})
	}, []string{"stop copy:front_padding"}, "strays 0.3 mm"},
	{"a copy of nothing", func(p *piece.Pattern) { p.Piece("front_padding").CopyOf = "yoke" }, []string{"stop ref:yoke"}, "no such piece"},
	{"too tight a chest", func(p *piece.Pattern) { p.Worn[0].Garment = 43 * 25.4 }, []string{"stop worn:chest"},
		"chest: the garment measures 43 in, the body 40 in: 3 in ease; at least 4 in wanted"},
	{"too tight by an estimate", func(p *piece.Pattern) { p.Worn[0].Garment, p.Worn[0].BodyFrom = 43*25.4, "estimated" }, []string{"warn worn:chest"}, "the body (estimated) 40 in"},
	{"too wide a chest", func(p *piece.Pattern) { p.Worn[0].Garment = 50 * 25.4 }, []string{"warn worn:chest"}, "at most 8 in wanted"},
	{"smaller than the body", func(p *piece.Pattern) { p.Worn[0].Garment = 39 * 25.4 }, []string{"stop worn:chest"}, "short of the body by 25.4 mm (1 in)"},
	{"a zip too long", func(p *piece.Pattern) { p.Notions[0].Length = 450 }, []string{"stop zip:zip"}, "longer than its edge"},
	{"a zip much too short", func(p *piece.Pattern) { p.Notions[0].Length = 380 }, []string{"note zip:zip"}, "shorter than its edge"},
	{"a zip for another edge", func(p *piece.Pattern) { p.Notions[0].Edge = 430 }, []string{"stop zip:zip"}, "front.centre measures"},
	{"no zip", func(p *piece.Pattern) { p.Notions = nil }, []string{"stop zip:front.centre"}, "no zip is listed"},
}

// scaleCap makes the cap longer by d mm, widening the sleeve and its cuff with it.
func scaleCap(p *piece.Pattern, d float64) {
	q := p.Piece("sleeve")
	want := q.Edge("cap").Length() + d
	lo, hi := 100.0, 250.0
	for range 60 {
		if h := (lo + hi) / 2; curve.Path(sleeveEdges(h)[0].Path).Length() < want {
			lo = h
		} else {
			hi = h
		}
	}
	q.Edges = sleeveEdges(lo)
	q.Notches = []piece.Notch{{Edge: "cap", At: 60, Name: "f"}, {Edge: "cap", At: want - 75, Name: "b"}}
	p.Piece("cuff").Edges = bandEdges(hemRatio * q.Edge("hem").Length())
}

func TestFaults(t *testing.T) {
	for _, f := range faults {
		t.Run(f.name, func(t *testing.T) {
			p := sound()
			f.make(p)
			got := truing.True(p, inches)
			if !slices.Equal(codes(got), f.want) {
				for _, g := range got {
					t.Logf("%s %s: %s", g.Level, g.Code, g.Text)
				}
				t.Fatalf("got %q, want %q", codes(got), f.want)
			}
			if len(got) > 0 && !strings.Contains(got[0].Text, f.says) {
				t.Errorf("says %q, want it to say %q", got[0].Text, f.says)
			}
		})
	}
}

// Every finding that the faults give is in the table of codes, at no graver a level than the table says, and every row of the table is met.
func TestCodes(t *testing.T) {
	met := map[string]bool{}
	for _, f := range faults {
		p := sound()
		f.make(p)
		for _, g := range truing.True(p, inches) {
			kind, name, _ := strings.Cut(g.Code, ":")
			ok := false
			for _, c := range truing.Codes {
				k, form, _ := strings.Cut(c.Form, ":")
				if k == kind && strings.Contains(name, ".") == strings.Contains(form, ".") || k == kind && (k == "ref" || k == "zip" || k == "name") {
					ok = ok || g.Level.Rank() <= c.Level.Rank()
					met[c.Form] = true
				}
			}
			if !ok {
				t.Errorf("%s: %s %s is not in the table", f.name, g.Level, g.Code)
			}
		}
	}
	for _, c := range truing.Codes {
		if !met[c.Form] {
			t.Errorf("no fault gives %s", c.Form)
		}
	}
}

func TestSortedGravestFirst(t *testing.T) {
	p := sound()
	p.Notions[0].Length = 380
	p.Worn[0].Garment = 50 * 25.4
	p.Piece("sleeve").Grain = [2]pt{}
	p.Piece("front").Edge("hem").Finish = piece.Sewn
	got := codes(truing.True(p, inches))
	if want := []string{"stop grain:sleeve", "stop open:front.hem", "warn worn:chest", "note zip:zip"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestMetricSaysMillimetresOnly(t *testing.T) {
	p := sound()
	faults[0].make(p)
	got := truing.True(p, tape.Tape{Unit: tape.CM, Step: 5})
	if len(got) != 1 || !strings.Contains(got[0].Text, "30 cm and back.side 30.2 cm, a difference of 2.0 mm; ") {
		t.Errorf("got %v", got)
	}
}

// Nothing stated at all must not trip the walk.
func TestEmpty(t *testing.T) {
	if got := truing.True(&piece.Pattern{}, inches); len(got) != 0 {
		t.Errorf("an empty pattern gives %v", got)
	}
	p := &piece.Pattern{Pieces: []piece.Piece{{}, {Name: "x", Edges: make([]piece.Edge, 2)}}, Seams: []piece.Seam{{A: []piece.Ref{"x."}, B: []piece.Ref{"x.", "."}, Kind: piece.Plain}, {}}}
	if worst := piece.Worst(truing.True(p, inches)); worst != piece.Stop {
		t.Errorf("a pattern of empty pieces gives %s", worst)
	}
}

func BenchmarkTrue(b *testing.B) {
	p := sound()
	b.ReportAllocs()
	for b.Loop() {
		truing.True(p, inches)
	}
}

func ExampleTrue() {
	p := sound()
	p.Worn[0].Garment = 43 * 25.4
	for _, f := range truing.True(p, inches) {
		fmt.Println(f.Level, f.Code)
		fmt.Println(f.Text)
	}
	// Output:
	// stop worn:chest
	// chest: the garment measures 43 in, the body 40 in: 3 in ease; at least 4 in wanted
}
