package draft

import (
	"go.starlark.net/starlark"

	"clothwright/curve"
	"clothwright/phrase"
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
				var s told
				if err := c.take("text", &s); err != nil {
					return nil, err
				}
				return nil, &refusal{phrase.Said(s)}
			}},
		{"phrase", "Seams", "", "phrase(text, ...)", "A text with values put in where it says %s or %d, for `why`, `say`, `refuse` and the note of a notion; a length is put in as `show` says it. Use it in place of %: a phrase keeps its text apart from what is put in, so that the pages can say it in another language. A text that is whole needs no phrase. What is said only now and then is another text, not one joined on.",
			"say(\"note\", \"sleeve:blouse\", phrase(\"The sleeve blouses %s over the %s.\", 2 * cm, \"cuff\"))", runPhrase},
		{"show", "Seams", "", "show(d, fine=False)", "A length as the house's tape says it, for a text: \"8 1/8 in\". Fine is for a rule's own figure, which a coarse tape would round away: to a sixteenth of an inch, or a millimetre.",
			"t = show(inch(8.125))\nleast = show(inch(0.375), fine=True)", runShow},
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
