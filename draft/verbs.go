package draft

import (
	"math"

	"go.starlark.net/starlark"

	"clothwright/curve"
	"clothwright/curve/root"
	"clothwright/piece"
)

// verb is one word of the drafting language: the row makes the word, its page and its test.
type verb struct {
	name    string
	group   string // heading on the page
	on      string // "" stands alone, "piece" is said of a piece
	sig     string
	doc     string
	example string // runs as a test; a piece p and marks a (top left), b (200 mm across), c (300 mm down from b) are there
	run     func(*call) (starlark.Value, error)
}

var pieceVerbs = map[string]*starlark.Builtin{}

// verbs is every word, in the order of the page. It is filled by init since the rows' functions look back at it.
var verbs []verb

func init() {
	verbs = []verb{
		{"inch", "Lengths", "", "inch(n)", "n inches. The constants `cm` and `mm` are lengths too: `2 * cm`. Lengths add to lengths and are multiplied and divided by numbers; a length and a bare number do not go together.",
			"d = inch(8.125) + 2 * cm", runInch},
		{"taped", "Lengths", "", "taped(d)", "The length d as the house's tape can mark it: the nearest step.",
			"d = taped(inch(8) + 1 * mm)", func(c *call) (starlark.Value, error) { return c.tapeWord(c.host.house.Tape.Round) }},
		{"taped_up", "Lengths", "", "taped_up(d)", "The next step of the tape not shorter than d. Use it where too small would not go on.",
			"d = taped_up(61 * mm)", func(c *call) (starlark.Value, error) { return c.tapeWord(c.host.house.Tape.Up) }},
		{"tape_step", "Lengths", "", "tape_step()", "The finest division of the house's tape.",
			"s = tape_step()", runTapeStep},
		{"hypot", "Lengths", "", "hypot(a, b)", "The long side of a square corner with sides a and b.",
			"d = hypot(3 * cm, 4 * cm)", runHypot},
		{"fall", "Lengths", "", "fall(run, degrees)", "How far a line at that angle below the level falls over a run. Degrees from 0 to 60.",
			"d = fall(12 * cm, 20)", runFall},

		{"piece", "Pieces", "", "piece(name, title, material, count=1, pair=False, on_fold=False, cloth=\"\", from_edge=\"\", inset=0*mm, line=\"\", why=\"\", note=\"\", side=\"\")",
			"Begins a piece. Count is how many are cut; a pair is half of them mirrored; a piece on the fold is drafted as its half. Cloth, from_edge, inset and line say how the cloth lies and where its first line is ruled: folded how, from which edge or fold, how far in, which line of the piece that is.",
			"q = piece(\"patch\", \"Patch\", \"shell\", count=2, pair=True)", runPiece},
		{"trial", "Pieces", "", "trial()", "A piece that is only tried: marks and paths work, nothing is chalked and it is not in the pattern.",
			"t = trial()\nm = t.start()\nn = t.across(m, 10 * cm)", runTrial},
		{"repeat", "Pieces", "", "repeat(of, name, title, material, count, allowance=0*mm, pair=False, note=\"\")",
			"A piece with the same seam line as another, in another material: padding is cut so. Its edges have the same names, and every edge has the one allowance but a fold, which stays a fold.",
			"square4(p, a, b, c)\nq = repeat(p, \"pad\", \"Padding\", \"padding\", 2)", runRepeat},

		{"start", "Marks", "piece", "p.start(name, why=\"\")", "The first mark of a piece, at its origin.",
			"q = piece(\"q\", \"Q\", \"shell\")\nm = q.start(\"top\")", runStart},
		{"down", "Marks", "piece", "p.down(from, distance, name, why=\"\")", "From a mark go straight down the distance, as the tape can mark it.",
			"m = p.down(a, inch(8.17), \"armhole line\")", way("down", curve.Point{Y: 1})},
		{"up", "Marks", "piece", "p.up(from, distance, name, why=\"\")", "From a mark go straight up.",
			"m = p.up(c, 5 * cm, \"m\")", way("up", curve.Point{Y: -1})},
		{"across", "Marks", "piece", "p.across(from, distance, name, why=\"\")", "From a mark go straight across, away from the centre line or the fold (to the right on the page).",
			"m = p.across(a, 5 * cm, \"m\")", way("across", curve.Point{X: 1})},
		{"inward", "Marks", "piece", "p.inward(from, distance, name, why=\"\")", "From a mark go straight back toward the centre line or the fold (to the left on the page).",
			"m = p.inward(b, 5 * cm, \"m\")", way("inward", curve.Point{X: -1})},
		{"go", "Marks", "piece", "p.go(from, direction, distance, name, why=\"\", walked=False)", "From a mark go in any direction: `right_of(a, b)` squares off a line, `toward(a, b)` follows it. A walked distance is not rounded to the tape.",
			"m = p.go(b, right_of(a, b), 3 * cm, \"m\")", runGo},
		{"along", "Marks", "piece", "p.along(path, distance, name, why=\"\", from_end=False, walked=False)", "Along a line or curve from its start (or its end) by the distance. The path is chalked first. A walked distance is found by walking one seam along another, and so is not rounded to the tape.",
			"m = p.along(line(a, b), 4 * cm, \"m\")", runAlong},
		{"midway", "Marks", "piece", "p.midway(a, b, name, why=\"\")", "Half way between two marks: fold the tape in two.",
			"m = p.midway(a, b, \"m\")", runMidway},
		{"plumb", "Marks", "piece", "p.plumb(across_of, level_with, name, why=\"\")", "Where the plumb line through one mark crosses the level line through another: square both off.",
			"m = p.plumb(b, c, \"m\")", runPlumb},
		{"swing", "Marks", "piece", "p.swing(from, distance, path, name, why=\"\", last=False)", "Hold the tape at a mark, swing the distance until it meets a line or curve: the first meeting along the path, or the last.",
			"m = p.swing(a, 25 * cm, line(b, c), \"m\")", runSwing},
		{"meet", "Marks", "piece", "p.meet(path, other, name, why=\"\")", "Where two lines or curves cross: the first crossing along the first.",
			"m = p.meet(line(a, c), line(b, point(0 * mm, 300 * mm)), \"m\")", runMeet},
		{"level", "Marks", "piece", "p.level(with_mark, path, name, why=\"\")", "Where the level line through a mark meets a line or curve.",
			"m = p.level(point(0 * mm, 100 * mm), line(b, c), \"m\")", runLevel},
		{"point", "Marks", "", "point(x, y)", "A place that is not chalked, for trying and for directions. Not rounded.",
			"m = point(10 * cm, 5 * cm)", runPoint},

		{"right_of", "Directions", "", "right_of(a, b)", "Square to the line from a to b, to the right of one who walks it. DOWN, UP, ACROSS and INWARD are directions too.",
			"d = right_of(a, b)", func(c *call) (starlark.Value, error) { return c.facing(curve.Point.Right) }},
		{"left_of", "Directions", "", "left_of(a, b)", "Square to the line from a to b, to the left of one who walks it.",
			"d = left_of(a, b)", func(c *call) (starlark.Value, error) { return c.facing(curve.Point.Left) }},
		{"toward", "Directions", "", "toward(a, b)", "The way from a to b.",
			"d = toward(a, b)", func(c *call) (starlark.Value, error) {
				return c.facing(func(p curve.Point) curve.Point { return p })
			}},

		{"line", "Lines and curves", "", "line(a, b, ..., name=\"\", why=\"\")", "The ruled line through marks, in order.",
			"l = line(a, b, c)", runLine},
		{"curve", "Lines and curves", "", "curve(marks, leave=None, arrive=None, name=\"\", why=\"\")", "A smooth curve through marks, in order (by J. D. Hobby's published splines, 1986), leaving and arriving in the directions given.",
			"l = curve([a, c], leave=DOWN, arrive=ACROSS)", runCurve},
		{"quarter", "Lines and curves", "", "quarter(a, b, leave, arrive, name=\"\", why=\"\")", "A quarter of an ellipse from a to b: the two directions must meet in a corner ahead of a and behind b.",
			"l = quarter(a, c, leave=ACROSS, arrive=DOWN)", runQuarter},
		{"sweep", "Lines and curves", "", "sweep(a, b, leave, arrive, full, full_end=None, name=\"\", why=\"\")", "One curve from a to b whose fullness at either end is a share of the straight distance between them: 0.2 nearly straight, 0.4 gentle, 0.7 full. From 0.05 to 1.2.",
			"l = sweep(a, c, leave=ACROSS, arrive=ACROSS, full=0.4)", runSweep},
		{"part", "Lines and curves", "", "part(path, start, end, name=\"\")", "The part of a path between two lengths along it.",
			"l = part(line(a, b), 2 * cm, 10 * cm)", runPart},
		{"mirrored", "Lines and curves", "", "mirrored(path, name=\"\")", "The path mirrored about the piece's centre line (x becomes -x).",
			"l = mirrored(line(a, b))", runMirrored},
		{"solve", "Lines and curves", "", "solve(f, low, high)", "The value between low and high (lengths or numbers) at which f gives nothing: by R. P. Brent's published root finder, 1973. None when f has the same sign at both ends.",
			"x = solve(lambda w: w - 5 * cm, 1 * cm, 20 * cm)", runSolve},

		{"edge", "Edges", "piece", "p.edge(name, paths, allowance=0*mm, finish=\"\", corner=\"\")", "Names the next edge of the outline, clockwise or anticlockwise, one after another; the last must end where the first began. Finish is \"\" (sewn), \"fold\", \"turned\", \"zip\", \"neat\", \"cut\" or \"turn-up\". Corner says how the cut line turns at the edge's end as the piece lies, clockwise: \"\" (mitred), \"square\" or \"mirror\".",
			"p.edge(\"top\", line(a, b), allowance=1 * cm)\np.edge(\"side\", line(b, c), allowance=1 * cm)\np.edge(\"slant\", line(c, a), allowance=1 * cm)", runEdge},
		{"inside", "Edges", "piece", "p.inside(name, path, kind, label=\"\")", "A line inside the piece that is marked and not cut: kind \"pocket\", \"fold\", \"stitch\" or \"guide\".",
			"p.inside(\"fold line\", line(a, c), \"fold\")", runInside},
		{"grain", "Edges", "piece", "p.grain(from, to)", "The straight grain of the cloth runs from one mark to the other.",
			"p.grain(b, c)", runGrain},
		{"notch", "Edges", "piece", "p.notch(edge, at, name, double=False, from_mark=None)", "A notch across an edge at a mark on it, or at a length from the edge's end that was drawn first (or from the end at a mark). Notches of the same name meet when sewn.",
			"square4(p, a, b, c)\np.notch(\"top\", 5 * cm, \"middle\")", runNotch},
		{"length_of", "Edges", "piece", "p.length_of(edge)", "The seam line length of an edge already named.",
			"square4(p, a, b, c)\nd = p.length_of(\"top\")", runLengthOf},
		{"reach", "Edges", "piece", "p.reach(edge, mark)", "How far along an edge a mark on it lies, from the edge's end that was drawn first.",
			"square4(p, a, b, c)\nd = p.reach(\"top\", b)", runReach},
		{"mark", "Edges", "piece", "p.mark(name)", "A mark already made on the piece.",
			"m = p.mark(\"a\")", runMarkWord},
		{"width_at", "Edges", "piece", "p.width_at(level)", "How wide the finished outline is at the level of a mark, measured on the outline once its last edge is named.",
			"square4(p, a, b, c)\nd = p.width_at(point(0 * mm, 100 * mm))", runWidthAt},

		{"join", "Seams", "", "join(name, a, b, ease=None, ratio=None, most=None, layer=\"shell\", smooth=[])", "Sews two lists of edges together, end to end. Plain unless an ease (b longer than a by so much) or a ratio (b is a rib, so much of a) is given. Layer is \"shell\", \"lining\" or \"padding\": an edge is in one seam of each. Smooth lists edges in twos that must run on without a corner across the seam.",
			"square4(p, a, b, c)\njoin(\"side\", \"p.top\", \"p.foot\")", runJoin},
		{"wear", "Seams", "", "wear(at, measure, garment, least=0*mm, most=None, pieces=[], stop=True, body=None, why=\"\")", "Compares the garment with a measure of the body where it is worn. The garment's figure should be measured with length_of or width_at. Below the least is a finding; body overrules the measure's own figure.",
			"wear(\"chest\", \"chest_girth\", 1100 * mm, least=8 * cm)", runWear},
		{"adjusted", "Seams", "", "adjusted(what, rule, now, why, pieces=[])", "Tells that a rule's value was corrected for this body: what the rule gave, what was marked.",
			"adjusted(\"armhole_lowered\", 20 * cm, 21 * cm, \"the underarm is low\")", runAdjusted},
		{"notion", "Seams", "", "notion(kind, name, length, edge, refs=[], count=1, note=\"\")", "Something bought and sewn in: a zip, with the edge it is set to.",
			"notion(\"zip\", \"separating zip\", 50 * cm, 51 * cm)", runNotion},
		{"operation", "Seams", "", "operation(do, stitch=\"\", care=\"\")", "One thing done in making up, in order; the stitch by its ISO 4915 number, the care a caution printed beside it.",
			"operation(\"Sew the shoulder seams\", stitch=\"301\")", runOperation},
		{"say", "Seams", "", "say(level, code, text, pieces=[])", "A finding of the script's own: level \"note\", \"warn\" or \"stop\" (do not cut).",
			"say(\"note\", \"sleeve:blouse\", \"The sleeve blouses over the cuff.\")", runSay},
		{"refuse", "Seams", "", "refuse(text)", "Gives up: the garment cannot be drafted on this body or in this style, and why.",
			"", func(c *call) (starlark.Value, error) {
				var s string
				if err := c.take("text", &s); err != nil {
					return nil, err
				}
				return nil, &refusal{s}
			}},
		{"show", "Seams", "", "show(d)", "A length as the house's tape says it, for a text: \"8 1/8 in\".",
			"t = show(inch(8.125))", runShow},
	}
	declare()
	for i := range verbs {
		v := &verbs[i]
		if v.on == "piece" {
			pieceVerbs[v.name] = starlark.NewBuiltin(v.name, func(th *starlark.Thread, b *starlark.Builtin, a starlark.Tuple, k []starlark.Tuple) (starlark.Value, error) {
				p := b.Receiver().(*draftPiece)
				return v.run(&call{host: p.host, on: p, name: v.name, args: a, kw: k})
			})
		}
	}
}

// refusal is a script's own word that it will not draft this.
type refusal struct{ text string }

func (r *refusal) Error() string { return r.text }

func way(name string, dir curve.Point) func(*call) (starlark.Value, error) {
	return func(c *call) (starlark.Value, error) { return c.move(name, dir) }
}

func runInch(c *call) (starlark.Value, error) {
	var v starlark.Value
	if err := c.take("n", &v); err != nil {
		return nil, err
	}
	n, ok := starlark.AsFloat(v)
	if !ok {
		return nil, c.fail("inch takes a number, not a %s", v.Type())
	}
	return finite(n * 25.4)
}

func (c *call) tapeWord(round func(float64) float64) (starlark.Value, error) {
	var d length
	if err := c.take("d", &d); err != nil {
		return nil, err
	}
	return length(round(float64(d))), nil
}

func runTapeStep(c *call) (starlark.Value, error) {
	if err := c.take(); err != nil {
		return nil, err
	}
	return length(c.host.house.Tape.Step), nil
}

func runHypot(c *call) (starlark.Value, error) {
	var a, b length
	if err := c.take("a", &a, "b", &b); err != nil {
		return nil, err
	}
	return length(curve.Point{X: float64(a), Y: float64(b)}.Norm()), nil
}

func runFall(c *call) (starlark.Value, error) {
	var run length
	var degrees number
	if err := c.take("run", &run, "degrees", &degrees); err != nil {
		return nil, err
	}
	deg := float64(degrees)
	if !(deg >= 0 && deg <= 60) {
		return nil, c.fail("the angle is %g degrees; 0 to 60 is allowed", deg)
	}
	return finite(float64(run) * math.Tan(deg*math.Pi/180))
}

func runPiece(c *call) (starlark.Value, error) {
	p := piece.Piece{Count: 1}
	var material string
	var inset length
	err := c.take("name", &p.Name, "title", &p.Title, "material", &material, "count?", &p.Count, "pair?", &p.Pair, "on_fold?", &p.OnFold,
		"cloth?", &p.Start.Cloth, "from_edge?", &p.Start.From, "inset?", &inset, "line?", &p.Start.Line, "why?", &p.Start.Why, "note?", &p.Note, "side?", &p.Side)
	if err != nil {
		return nil, err
	}
	p.Material, p.Start.In = piece.Material(material), float64(inset)
	return c.host.newPiece(p)
}

func (d *drafter) newPiece(p piece.Piece) (*draftPiece, error) {
	if p.Name == "" {
		return nil, (&call{}).fail("a piece needs a name")
	}
	for _, q := range d.pieces {
		if q.p.Name == p.Name {
			return nil, (&call{}).fail("piece %q is begun twice", p.Name)
		}
	}
	if len(d.pieces) >= maxPieces {
		return nil, (&call{}).fail("piece %q is one too many: at most %d are allowed", p.Name, maxPieces)
	}
	q := &draftPiece{host: d, p: &p, chalked: map[*pathValue]bool{}, marks: map[string]bool{}, drawnFrom: map[string]curve.Point{}}
	d.pieces = append(d.pieces, q)
	return q, nil
}

func runTrial(c *call) (starlark.Value, error) {
	if err := c.take(); err != nil {
		return nil, err
	}
	return &draftPiece{host: c.host, p: &piece.Piece{}, trial: true, drawnFrom: map[string]curve.Point{}}, nil
}

func runRepeat(c *call) (starlark.Value, error) {
	var of *draftPiece
	p := piece.Piece{}
	var material string
	var allowance length
	if err := c.take("of", &of, "name", &p.Name, "title", &p.Title, "material", &material, "count", &p.Count, "allowance?", &allowance, "pair?", &p.Pair, "note?", &p.Note); err != nil {
		return nil, err
	}
	if !of.closed {
		return nil, c.fail("piece %q repeats %q before that one's outline is closed", p.Name, of.p.Name)
	}
	p.Material, p.CopyOf, p.OnFold = piece.Material(material), of.p.Name, of.p.OnFold
	p.Start = of.p.Start
	p.Side = of.p.Side
	q, err := c.host.newPiece(p)
	if err != nil {
		return nil, err
	}
	for _, e := range of.p.Edges {
		if e.Finish != piece.Fold {
			e.Allowance, e.Finish, e.Corner = float64(allowance), piece.Cut, piece.Mitre
		}
		q.p.Edges = append(q.p.Edges, e)
	}
	q.notches = append(q.notches, of.notches...)
	q.closed, q.rim, q.grain = true, of.rim, of.grain
	return q, nil
}

func runStart(c *call) (starlark.Value, error) {
	var name, why string
	if err := c.take("name?", &name, "why?", &why); err != nil {
		return nil, err
	}
	if len(c.on.marks) > 0 {
		return nil, c.fail("mark %q: the piece has been started already", name)
	}
	return c.put(piece.Mark{Name: name, Way: "start", Why: why})
}

func runGo(c *call) (starlark.Value, error) {
	var from *mark
	var dir direction
	var d length
	var name, why string
	var walked bool
	if err := c.take("from", &from, "direction", &dir, "distance", &d, "name?", &name, "why?", &why, "walked?", &walked); err != nil {
		return nil, err
	}
	if err := c.own(from); err != nil {
		return nil, err
	}
	taped, err := c.measure(name, d)
	if err != nil {
		return nil, err
	}
	if walked {
		taped = float64(d)
	}
	return c.put(piece.Mark{Name: name, At: from.at.Add(curve.Point(dir).Mul(taped)), From: from.name, Way: "slant", Distance: taped, Exact: float64(d), Why: why})
}

func runAlong(c *call) (starlark.Value, error) {
	var on *pathValue
	var d length
	var name, why string
	var fromEnd, walked bool
	if err := c.take("path", &on, "distance", &d, "name?", &name, "why?", &why, "from_end?", &fromEnd, "walked?", &walked); err != nil {
		return nil, err
	}
	taped, err := c.measure(name, d)
	if err != nil {
		return nil, err
	}
	way := "along"
	if walked {
		taped, way = float64(d), "walked along"
	}
	whole := on.path.Length()
	if taped > whole+1e-6 {
		return nil, c.fail("mark %q: %s along a line that is only %s long", name, c.host.house.Tape.Format(taped), c.host.house.Tape.Format(whole))
	}
	c.on.chalk(on, "line")
	s, from := taped, on.end(false)
	if fromEnd {
		s, from = whole-taped, on.end(true)
	}
	return c.put(piece.Mark{Name: name, At: on.path.PointAt(s), From: from, Way: way, Distance: taped, Exact: float64(d), Why: why})
}

// end is the name of the path's first or last mark.
func (p *pathValue) end(last bool) string {
	switch {
	case len(p.through) == 0:
		return ""
	case last:
		return p.through[len(p.through)-1]
	}
	return p.through[0]
}

func runMidway(c *call) (starlark.Value, error) {
	var a, b *mark
	var name, why string
	if err := c.take("a", &a, "b", &b, "name?", &name, "why?", &why); err != nil {
		return nil, err
	}
	if err := c.own(a); err != nil {
		return nil, err
	}
	if err := c.own(b); err != nil {
		return nil, err
	}
	d := a.at.Dist(b.at) / 2
	return c.put(piece.Mark{Name: name, At: a.at.Lerp(b.at, 0.5), From: a.name, Way: "midway to " + b.name, Distance: d, Exact: d, Why: why})
}

func runPlumb(c *call) (starlark.Value, error) {
	var a, b *mark
	var name, why string
	if err := c.take("across_of", &a, "level_with", &b, "name?", &name, "why?", &why); err != nil {
		return nil, err
	}
	if err := c.own(a); err != nil {
		return nil, err
	}
	if err := c.own(b); err != nil {
		return nil, err
	}
	d := math.Abs(a.at.Y - b.at.Y)
	return c.put(piece.Mark{Name: name, At: curve.Point{X: a.at.X, Y: b.at.Y}, From: a.name, Way: "plumb to " + b.name, Distance: d, Exact: d, Why: why})
}

func runSwing(c *call) (starlark.Value, error) {
	var from *mark
	var d length
	var on *pathValue
	var name, why string
	var last bool
	if err := c.take("from", &from, "distance", &d, "path", &on, "name?", &name, "why?", &why, "last?", &last); err != nil {
		return nil, err
	}
	if err := c.own(from); err != nil {
		return nil, err
	}
	taped, err := c.measure(name, d)
	if err != nil {
		return nil, err
	}
	s, ok := swung(on.path, from.at, taped, last)
	if !ok {
		return nil, c.fail("mark %q: %s swung from %q does not meet the line", name, c.host.house.Tape.Format(taped), from.name)
	}
	c.on.chalk(on, "line")
	return c.put(piece.Mark{Name: name, At: on.path.PointAt(s), From: from.name, Way: "swing", Distance: taped, Exact: float64(d), Why: why})
}

// swung is how far along a path its points come to lie at a straight distance d from a point: the first such
// place or the last. The path is sampled finely enough for a garment's curves (32 places a segment).
func swung(p curve.Path, from curve.Point, d float64, last bool) (float64, bool) {
	whole := p.Length()
	n := 32 * len(p)
	gap := func(s float64) float64 { return p.PointAt(s).Dist(from) - d }
	found, at := false, 0.0
	for i := 0; i < n; i++ {
		lo, hi := whole*float64(i)/float64(n), whole*float64(i+1)/float64(n)
		a, b := gap(lo), gap(hi)
		if (a > 0) == (b > 0) && a != 0 && b != 0 {
			continue
		}
		s, ok := root.Brent(gap, lo, hi, 1e-9)
		if !ok {
			continue
		}
		found, at = true, s
		if !last {
			break
		}
	}
	return at, found
}

func runMeet(c *call) (starlark.Value, error) {
	var a, b *pathValue
	var name, why string
	if err := c.take("path", &a, "other", &b, "name?", &name, "why?", &why); err != nil {
		return nil, err
	}
	ms := a.path.Meet(b.path)
	if len(ms) == 0 {
		return nil, c.fail("mark %q: the two lines do not cross", name)
	}
	c.on.chalk(a, "line")
	c.on.chalk(b, "line")
	return c.put(piece.Mark{Name: name, At: ms[0].At, From: a.end(false), Way: "crossing", Why: why})
}

func runLevel(c *call) (starlark.Value, error) {
	var with *mark
	var on *pathValue
	var name, why string
	if err := c.take("with_mark", &with, "path", &on, "name?", &name, "why?", &why); err != nil {
		return nil, err
	}
	b := on.path.Bounds().Pad(1)
	level := curve.Path{curve.Line(curve.Point{X: b.Min.X, Y: with.at.Y}, curve.Point{X: b.Max.X, Y: with.at.Y})}
	ms := on.path.Meet(level)
	if len(ms) == 0 {
		return nil, c.fail("mark %q: the level line through %q does not meet the line", name, with.name)
	}
	c.on.chalk(on, "line")
	d := ms[0].At.Dist(with.at)
	return c.put(piece.Mark{Name: name, At: ms[0].At, From: with.name, Way: "level", Distance: d, Exact: d, Why: why})
}

func runPoint(c *call) (starlark.Value, error) {
	var x, y length
	if err := c.take("x", &x, "y", &y); err != nil {
		return nil, err
	}
	return &mark{at: curve.Point{X: float64(x), Y: float64(y)}}, nil
}

func (c *call) facing(turn func(curve.Point) curve.Point) (starlark.Value, error) {
	var a, b *mark
	if err := c.take("a", &a, "b", &b); err != nil {
		return nil, err
	}
	v := b.at.Sub(a.at)
	if v.Norm() < 1e-9 {
		return nil, c.fail("marks %q and %q lie on each other, which gives no direction", a.name, b.name)
	}
	return direction(turn(v.Unit())), nil
}

func runLine(c *call) (starlark.Value, error) {
	name, why, err := c.nameAndWhy()
	if err != nil {
		return nil, err
	}
	ms, err := marksOf(c.args)
	if err != nil {
		return nil, c.fail("line: %v", err)
	}
	if len(ms) < 2 {
		return nil, c.fail("a line takes two marks or more")
	}
	var path curve.Path
	for i := 1; i < len(ms); i++ {
		if ms[i].at.Dist(ms[i-1].at) < 1e-9 {
			return nil, c.fail("a line from %q to %q, which lie on each other", ms[i-1].name, ms[i].name)
		}
		path = append(path, curve.Line(ms[i-1].at, ms[i].at))
	}
	return &pathValue{path: path, through: names(ms), name: name, why: why}, nil
}

func (c *call) nameAndWhy() (name, why string, err error) {
	for _, kv := range c.kw {
		key, _ := starlark.AsString(kv[0])
		val, err := text(kv[1])
		if err != nil {
			return "", "", err
		}
		switch key {
		case "name":
			name = val
		case "why":
			why = val
		default:
			return "", "", c.fail("%s takes no %q; name and why are allowed", c.name, key)
		}
	}
	return name, why, nil
}

func runCurve(c *call) (starlark.Value, error) {
	var list starlark.Iterable
	var leave, arrive starlark.Value
	v := &pathValue{}
	if err := c.take("marks", &list, "leave?", &leave, "arrive?", &arrive, "name?", &v.name, "why?", &v.why); err != nil {
		return nil, err
	}
	ms, err := marksOf(list)
	if err != nil {
		return nil, c.fail("curve: %v", err)
	}
	if len(ms) < 2 {
		return nil, c.fail("a curve takes two marks or more")
	}
	pts := make([]curve.Point, len(ms))
	for i, m := range ms {
		pts[i] = m.at
		if i > 0 && pts[i].Dist(pts[i-1]) < 1e-6 {
			return nil, c.fail("a curve from %q to %q, which lie on each other", ms[i-1].name, m.name)
		}
	}
	var ends [2]*curve.Point
	for i, d := range []starlark.Value{leave, arrive} {
		if d == nil || d == starlark.None {
			continue
		}
		var dir direction
		if err := dir.Unpack(d); err != nil {
			return nil, c.fail("curve: %v", err)
		}
		p := curve.Point(dir)
		ends[i] = &p
	}
	v.path, v.through = curve.Smooth(pts, ends[0], ends[1]), names(ms)
	return v, nil
}

func runQuarter(c *call) (starlark.Value, error) {
	var a, b *mark
	var leave, arrive direction
	v := &pathValue{}
	if err := c.take("a", &a, "b", &b, "leave", &leave, "arrive", &arrive, "name?", &v.name, "why?", &v.why); err != nil {
		return nil, err
	}
	u, w := curve.Point(leave), curve.Point(arrive)
	span := b.at.Sub(a.at)
	det := u.Cross(w)
	if math.Abs(det) < 1e-6 {
		return nil, c.fail("a quarter from %q to %q leaves and arrives the same way, which makes no corner", a.name, b.name)
	}
	s, t := span.Cross(w)/det, u.Cross(span)/det
	if s <= 0 || t <= 0 {
		return nil, c.fail("a quarter from %q to %q: the two directions do not meet in a corner between them", a.name, b.name)
	}
	v.path = curve.Path{curve.Quarter(a.at, a.at.Add(u.Mul(s)), b.at)}
	v.through = []string{a.name, b.name}
	return v, nil
}

func runSweep(c *call) (starlark.Value, error) {
	var a, b *mark
	var leave, arrive direction
	var fullness number
	var fullEnd starlark.Value
	v := &pathValue{}
	if err := c.take("a", &a, "b", &b, "leave", &leave, "arrive", &arrive, "full", &fullness, "full_end?", &fullEnd, "name?", &v.name, "why?", &v.why); err != nil {
		return nil, err
	}
	full := float64(fullness)
	end := full
	if fullEnd != nil && fullEnd != starlark.None {
		var ok bool
		if end, ok = starlark.AsFloat(fullEnd); !ok {
			return nil, c.fail("sweep: full_end is a number")
		}
	}
	for _, f := range []float64{full, end} {
		if !(f >= 0.05 && f <= 1.2) {
			return nil, c.fail("a sweep from %q to %q with fullness %g; 0.05 to 1.2 is allowed", a.name, b.name, f)
		}
	}
	far := a.at.Dist(b.at)
	if far < 1e-6 {
		return nil, c.fail("a sweep from %q to %q, which lie on each other", a.name, b.name)
	}
	v.path = curve.Path{curve.Cubic(a.at, a.at.Add(curve.Point(leave).Mul(full*far)), b.at.Sub(curve.Point(arrive).Mul(end*far)), b.at)}
	v.through = []string{a.name, b.name}
	return v, nil
}

func runPart(c *call) (starlark.Value, error) {
	var on *pathValue
	var from, to length
	var name string
	if err := c.take("path", &on, "start", &from, "end", &to, "name?", &name); err != nil {
		return nil, err
	}
	whole := on.path.Length()
	if from < 0 || to <= from || float64(to) > whole+1e-6 {
		return nil, c.fail("a part from %.1f to %.1f mm of a path %.1f mm long", float64(from), float64(to), whole)
	}
	return &pathValue{path: on.path.Sub(float64(from), min(float64(to), whole)), through: on.through, name: name, why: on.why, of: on}, nil
}

func runMirrored(c *call) (starlark.Value, error) {
	var on *pathValue
	var name string
	if err := c.take("path", &on, "name?", &name); err != nil {
		return nil, err
	}
	return &pathValue{path: on.path.MirrorX(0), through: on.through, name: name, why: on.why}, nil
}

func runSolve(c *call) (starlark.Value, error) {
	var f starlark.Callable
	var low, high starlark.Value
	if err := c.take("f", &f, "low", &low, "high", &high); err != nil {
		return nil, err
	}
	value := func(v starlark.Value) (float64, bool, error) {
		if l, ok := v.(length); ok {
			return float64(l), true, nil
		}
		x, ok := starlark.AsFloat(v)
		if !ok || math.IsNaN(x) || math.IsInf(x, 0) {
			return 0, false, c.fail("solve: a length or a number is wanted, not %s", v.String())
		}
		return x, false, nil
	}
	lo, isLength, err := value(low)
	if err != nil {
		return nil, err
	}
	hi, alike, err := value(high)
	if err != nil {
		return nil, err
	}
	if isLength != alike {
		return nil, c.fail("solve: low and high are both lengths or both numbers")
	}
	wrap := func(x float64) starlark.Value {
		if isLength {
			return length(x)
		}
		return starlark.Float(x)
	}
	var failed error
	arg := make(starlark.Tuple, 1)
	g := func(x float64) float64 {
		if failed != nil {
			return 0
		}
		arg[0] = wrap(x)
		v, err := starlark.Call(c.host.thread, f, arg, nil)
		if err == nil {
			var y float64
			if y, _, err = value(v); err == nil {
				return y
			}
		}
		failed = err
		return 0
	}
	x, ok := root.Brent(g, lo, hi, 1e-7)
	if failed != nil {
		return nil, failed
	}
	if !ok {
		return starlark.None, nil
	}
	return wrap(x), nil
}

func runEdge(c *call) (starlark.Value, error) {
	var name, finish, corner string
	var paths starlark.Value
	var allowance length
	if err := c.take("name", &name, "paths", &paths, "allowance?", &allowance, "finish?", &finish, "corner?", &corner); err != nil {
		return nil, err
	}
	p := c.on
	switch {
	case p.closed:
		return nil, c.fail("edge %q: the outline is closed already", name)
	case name == "":
		return nil, c.fail("an edge needs a name")
	case p.p.Edge(name) != nil:
		return nil, c.fail("edge %q is named twice", name)
	case allowance < 0 || allowance > 200:
		return nil, c.fail("edge %q: an allowance of %.1f mm; 0 to 200 mm is allowed", name, float64(allowance))
	case !oneOf(finish, "", "fold", "turned", "zip", "neat", "cut", "turn-up"):
		return nil, c.fail("edge %q: finish %q; fold, turned, zip, neat, cut and turn-up are allowed, or none", name, finish)
	case !oneOf(corner, "", "square", "mirror"):
		return nil, c.fail("edge %q: corner %q; square and mirror are allowed, or none", name, corner)
	}
	parts, err := pathsOf(paths)
	if err != nil {
		return nil, c.fail("edge %q: %v", name, err)
	}
	var path curve.Path
	for i, v := range parts {
		q := v.path
		if len(path) > 0 {
			if q.Start().Dist(path.End()) > snap && q.End().Dist(path.End()) <= snap {
				q = q.Reverse()
			}
			if i == 1 && q.Start().Dist(path.End()) > snap {
				path = path.Reverse()
				if q.Start().Dist(path.End()) > snap {
					q = q.Reverse()
				}
			}
			if q.Start().Dist(path.End()) > snap {
				return nil, c.fail("edge %q: its parts do not meet", name)
			}
		}
		path = append(path[:len(path):len(path)], q...)
		p.chalk(v, name)
	}
	e := piece.Edge{Name: name, Path: path, Allowance: float64(allowance), Finish: piece.Finish(finish), Corner: piece.Corner(corner)}
	p.drawnFrom[name] = path.Start()
	if err := p.chain(e); err != nil {
		return nil, c.fail("%v", err)
	}
	return starlark.None, nil
}

func oneOf(s string, allowed ...string) bool {
	for _, a := range allowed {
		if s == a {
			return true
		}
	}
	return false
}

func pathsOf(v starlark.Value) ([]*pathValue, error) {
	if p, ok := v.(*pathValue); ok {
		return []*pathValue{p}, nil
	}
	it, ok := v.(starlark.Iterable)
	if !ok {
		return nil, (&call{}).fail("a path or a list of paths is wanted, not a %s", v.Type())
	}
	var out []*pathValue
	i := it.Iterate()
	defer i.Done()
	var x starlark.Value
	for i.Next(&x) {
		p, ok := x.(*pathValue)
		if !ok {
			return nil, (&call{}).fail("a path is wanted, not a %s", x.Type())
		}
		out = append(out, p)
	}
	if len(out) == 0 {
		return nil, (&call{}).fail("there is no path in the list")
	}
	return out, nil
}

func runInside(c *call) (starlark.Value, error) {
	var name, kind, label string
	var v *pathValue
	if err := c.take("name", &name, "path", &v, "kind", &kind, "label?", &label); err != nil {
		return nil, err
	}
	if !oneOf(kind, "pocket", "fold", "stitch", "guide") {
		return nil, c.fail("line %q: kind %q; pocket, fold, stitch and guide are allowed", name, kind)
	}
	c.on.chalk(v, name)
	c.on.p.Lines = append(c.on.p.Lines, piece.Line{Name: name, Path: v.path, Kind: kind, Label: label})
	return starlark.None, nil
}

func runGrain(c *call) (starlark.Value, error) {
	var a, b *mark
	if err := c.take("from", &a, "to", &b); err != nil {
		return nil, err
	}
	if a.at.Dist(b.at) < 1 {
		return nil, c.fail("the grain runs from %q to %q, which lie on each other", a.name, b.name)
	}
	c.on.grain = [2]curve.Point{a.at, b.at}
	return starlark.None, nil
}

func runNotch(c *call) (starlark.Value, error) {
	var edge, name string
	var at starlark.Value
	var double bool
	var from *mark
	if err := c.take("edge", &edge, "at", &at, "name", &name, "double?", &double, "from_mark?", &from); err != nil {
		return nil, err
	}
	e := c.on.p.Edge(edge)
	if e == nil {
		return nil, c.fail("notch %q: there is no edge %q yet", name, edge)
	}
	n := &notch{edge: edge, name: name, kind: "single"}
	if double {
		n.kind = "double"
	}
	switch v := at.(type) {
	case *mark:
		if _, d := e.Path.Nearest(v.at); d > 0.5 {
			return nil, c.fail("notch %q: mark %q lies %.1f mm off edge %q", name, v.name, d, edge)
		}
		n.at = v.at
	case length:
		l := e.Path.Length()
		if v < 0 || float64(v) > l {
			return nil, c.fail("notch %q: %s along edge %q, which is %s long", name, c.host.house.Tape.Format(float64(v)), edge, c.host.house.Tape.Format(l))
		}
		path := c.on.drawn(e)
		if from != nil && from.at.Dist(path.End()) < from.at.Dist(path.Start()) {
			path = path.Reverse()
		}
		n.at = path.PointAt(float64(v))
	default:
		return nil, c.fail("notch %q: a mark or a length is wanted, not a %s", name, at.Type())
	}
	c.on.notches = append(c.on.notches, n)
	return starlark.None, nil
}

func runLengthOf(c *call) (starlark.Value, error) {
	var edge string
	if err := c.take("edge", &edge); err != nil {
		return nil, err
	}
	if e := c.on.p.Edge(edge); e != nil {
		return length(e.Path.Length()), nil
	}
	for _, l := range c.on.p.Lines {
		if l.Name == edge {
			return length(l.Path.Length()), nil
		}
	}
	return nil, c.fail("there is no edge %q", edge)
}

func runWidthAt(c *call) (starlark.Value, error) {
	var at *mark
	if err := c.take("level", &at); err != nil {
		return nil, err
	}
	if !c.on.closed {
		return nil, c.fail("the width is asked before the outline is closed")
	}
	x0, x1, ok := curve.WidthAt(c.on.rim, at.at.Y)
	if !ok {
		return nil, c.fail("the outline is not there at the level of %q", at.name)
	}
	return length(x1 - x0), nil
}

func runJoin(c *call) (starlark.Value, error) {
	s := piece.Seam{Kind: piece.Plain, Layer: "shell"}
	var a, b, ease, ratio, most starlark.Value
	var smooth starlark.Value
	if err := c.take("name", &s.Name, "a", &a, "b", &b, "ease?", &ease, "ratio?", &ratio, "most?", &most, "layer?", &s.Layer, "smooth?", &smooth); err != nil {
		return nil, err
	}
	var err error
	if s.A, err = refs(a); err != nil {
		return nil, c.fail("seam %q: %v", s.Name, err)
	}
	if s.B, err = refs(b); err != nil {
		return nil, c.fail("seam %q: %v", s.Name, err)
	}
	if s.Smooth, err = refs(smooth); err != nil {
		return nil, c.fail("seam %q: %v", s.Name, err)
	}
	if ease != nil && ease != starlark.None {
		var l length
		if err := l.Unpack(ease); err != nil {
			return nil, c.fail("seam %q: ease: %v", s.Name, err)
		}
		s.Kind, s.Intended = piece.Eased, float64(l)
	}
	if ratio != nil && ratio != starlark.None {
		r, ok := starlark.AsFloat(ratio)
		if !ok || !(r > 0.2 && r <= 1.2) {
			return nil, c.fail("seam %q: a ratio of %s; 0.2 to 1.2 is allowed", s.Name, ratio.String())
		}
		s.Kind, s.Intended = piece.Ribbed, r
	}
	if most != nil && most != starlark.None {
		var l length
		if err := l.Unpack(most); err != nil {
			return nil, c.fail("seam %q: most: %v", s.Name, err)
		}
		s.Most = float64(l)
	}
	c.host.out.Seams = append(c.host.out.Seams, s)
	return starlark.None, nil
}

func runWear(c *call) (starlark.Value, error) {
	w := piece.Worn{}
	var measure string
	var garment, least length
	var most, pieces, bodyIs starlark.Value
	w.Stop = true
	if err := c.take("at", &w.At, "measure", &measure, "garment", &garment, "least?", &least, "most?", &most, "pieces?", &pieces, "stop?", &w.Stop, "body?", &bodyIs, "why?", &w.Why); err != nil {
		return nil, err
	}
	v, err := c.host.measures.Attr(measure)
	if err != nil || v == nil {
		return nil, c.fail("worn at %q: the card has no %q", w.At, measure)
	}
	if l, ok := v.(length); ok {
		w.Body = float64(l)
	}
	w.BodyFrom = c.host.measures.origin(measure)
	if bodyIs != nil && bodyIs != starlark.None {
		var l length
		if err := l.Unpack(bodyIs); err != nil {
			return nil, c.fail("worn at %q: body: %v", w.At, err)
		}
		w.Body = float64(l)
	}
	if most != nil && most != starlark.None {
		var l length
		if err := l.Unpack(most); err != nil {
			return nil, c.fail("worn at %q: most: %v", w.At, err)
		}
		w.Most = float64(l)
	}
	if w.Pieces, err = texts(pieces); err != nil {
		return nil, err
	}
	w.Garment, w.Least = float64(garment), float64(least)
	c.host.out.Worn = append(c.host.out.Worn, w)
	return starlark.None, nil
}

func runAdjusted(c *call) (starlark.Value, error) {
	a := piece.Adjustment{}
	var rule, now length
	var pieces starlark.Value
	if err := c.take("what", &a.What, "rule", &rule, "now", &now, "why", &a.Why, "pieces?", &pieces); err != nil {
		return nil, err
	}
	var err error
	if a.Pieces, err = texts(pieces); err != nil {
		return nil, err
	}
	a.Rule, a.Now, a.By = float64(rule), float64(now), math.Abs(float64(now-rule))
	c.host.out.Adjusted = append(c.host.out.Adjusted, a)
	return starlark.None, nil
}

func runNotion(c *call) (starlark.Value, error) {
	n := piece.Notion{Count: 1}
	var l, e length
	var rs starlark.Value
	if err := c.take("kind", &n.Kind, "name", &n.Name, "length", &l, "edge", &e, "refs?", &rs, "count?", &n.Count, "note?", &n.Note); err != nil {
		return nil, err
	}
	var err error
	if n.Refs, err = refs(rs); err != nil {
		return nil, err
	}
	n.Length, n.Edge = float64(l), float64(e)
	c.host.out.Notions = append(c.host.out.Notions, n)
	return starlark.None, nil
}

func runOperation(c *call) (starlark.Value, error) {
	var o piece.Operation
	if err := c.take("do", &o.Do, "stitch?", &o.Stitch, "care?", &o.Care); err != nil {
		return nil, err
	}
	c.host.out.Order = append(c.host.out.Order, o)
	return starlark.None, nil
}

func runSay(c *call) (starlark.Value, error) {
	var level string
	f := piece.Finding{}
	var pieces starlark.Value
	if err := c.take("level", &level, "code", &f.Code, "text", &f.Text, "pieces?", &pieces); err != nil {
		return nil, err
	}
	f.Level = piece.Level(level)
	if f.Level.Rank() == 0 {
		return nil, c.fail("say: level %q; note, warn and stop are allowed", level)
	}
	var err error
	if f.Pieces, err = texts(pieces); err != nil {
		return nil, err
	}
	c.host.out.Said = append(c.host.out.Said, f)
	return starlark.None, nil
}

func runShow(c *call) (starlark.Value, error) {
	var d length
	if err := c.take("d", &d); err != nil {
		return nil, err
	}
	return starlark.String(c.host.house.Tape.Format(float64(d))), nil
}

func runReach(c *call) (starlark.Value, error) {
	var edge string
	var at *mark
	if err := c.take("edge", &edge, "mark", &at); err != nil {
		return nil, err
	}
	e := c.on.p.Edge(edge)
	if e == nil {
		return nil, c.fail("there is no edge %q", edge)
	}
	s, off := c.on.drawn(e).Nearest(at.at)
	if off > 0.5 {
		return nil, c.fail("mark %q lies %.1f mm off edge %q", at.name, off, edge)
	}
	return length(s), nil
}

func runMarkWord(c *call) (starlark.Value, error) {
	var name string
	if err := c.take("name", &name); err != nil {
		return nil, err
	}
	m := c.on.p.Mark(name)
	if m == nil {
		return nil, c.fail("there is no mark %q", name)
	}
	return &mark{at: m.At, name: m.Name, on: c.on}, nil
}
