package sheet

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"clothwright/curve"
	"clothwright/piece"
	"clothwright/tape"
)

// cutterWith follows the printed words of one piece with a tape in hand, and nothing else: it never sees a coordinate of the pattern.
type cutterWith struct {
	t      *testing.T
	tape   tape.Tape
	marks  map[string]curve.Point // by step number, or by the name of a turn
	lines  map[string]curve.Path  // by step number
	inside func(from, to curve.Point) curve.Point
}

const length = `(-?[0-9][0-9 /.]* (?:in|cm|mm))`

// The sentences of the chalk sheet, as a reader knows them. A mark is its name and the step that made it.
var (
	named     = `.+? \((\d+)\)`
	saysStart = regexp.MustCompile(`^On the .+ mark .+\.$`)
	saysGo    = regexp.MustCompile(`^From ` + named + ` go (down|up|across|inward) ` + length + `: mark .+\.$`)
	saysHalf  = regexp.MustCompile(`^Half way between ` + named + ` and ` + named + `: mark .+\.$`)
	saysPlumb = regexp.MustCompile(`^Plumb with ` + named + `, level with ` + named + `: mark .+\.$`)
	saysAlong = regexp.MustCompile(`^From ` + named + ` go along the ` + named + ` toward ` + named + ` ` + length + `: mark .+\.$`)
	saysTo    = regexp.MustCompile(`^From ` + named + ` go ` + length + ` toward ` + named + `: mark .+\.$`)
	saysOn    = regexp.MustCompile(`^From ` + named + ` go on ` + length + ` in line with ` + named + `: mark .+\.$`)
	saysSlant = regexp.MustCompile(`^From ` + named + ` go ` + length + ` (across|inward) and ` + length + ` (down|up): mark .+\.$`)
	saysSwing = regexp.MustCompile(`^Hold the tape at ` + named + `, swing ` + length + ` to meet the ` + named + `: mark .+\.$`)
	saysLevel = regexp.MustCompile(`^On the ` + named + `, level with ` + named + `: mark .+\.$`)
	saysCross = regexp.MustCompile(`^Where the ` + named + ` crosses the ` + named + `: mark .+\.$`)
	saysRule  = regexp.MustCompile(`^Rule the .+?: from .+\.$`)
	saysCurve = regexp.MustCompile(`^Curve the .+?: from .+, by table ([A-Z]+)\.$`)
	saysTurn  = regexp.MustCompile(`^On the line from (.+) to (.+) go along ` + length + `, then (\w+) ` + length + `: mark (.+)\.$`)
	number    = regexp.MustCompile(`\((\d+)\)`)
)

var ways = map[string]curve.Point{"down": {Y: 1}, "up": {Y: -1}, "across": {X: 1}, "inward": {X: -1}}

func (c *cutterWith) read(s string) float64 {
	v, err := tape.Parse(s, 0)
	if err != nil {
		c.t.Fatalf("a cutter cannot read %q: %v", s, err)
	}
	return v
}

func (c *cutterWith) mark(n string) curve.Point {
	p, ok := c.marks[n]
	if !ok {
		c.t.Fatalf("step %s is referred to but has made no mark", n)
	}
	return p
}

func (c *cutterWith) line(n string) curve.Path {
	p, ok := c.lines[n]
	if !ok {
		c.t.Fatalf("step %s is referred to but has drawn no line", n)
	}
	return p
}

// do follows one step.
func (c *cutterWith) do(n int, words string, tables map[string]table) {
	me := strconv.Itoa(n)
	put := func(p curve.Point) { c.marks[me] = p }
	m := func(re *regexp.Regexp) []string { return re.FindStringSubmatch(words) }
	switch {
	case m(saysAlong) != nil:
		g := m(saysAlong)
		on := c.line(g[2])
		a, _ := on.Nearest(c.mark(g[1]))
		b, _ := on.Nearest(c.mark(g[3]))
		put(on.PointAt(a + math.Copysign(c.read(g[4]), b-a)))
	case m(saysGo) != nil:
		g := m(saysGo)
		put(c.mark(g[1]).Add(ways[g[2]].Mul(c.read(g[3]))))
	case m(saysHalf) != nil:
		g := m(saysHalf)
		put(c.mark(g[1]).Lerp(c.mark(g[2]), 0.5))
	case m(saysPlumb) != nil:
		g := m(saysPlumb)
		put(curve.Point{X: c.mark(g[1]).X, Y: c.mark(g[2]).Y})
	case m(saysTo) != nil:
		g := m(saysTo)
		a := c.mark(g[1])
		put(a.Add(c.mark(g[3]).Sub(a).Unit().Mul(c.read(g[2]))))
	case m(saysOn) != nil:
		g := m(saysOn)
		a := c.mark(g[1])
		put(a.Add(a.Sub(c.mark(g[3])).Unit().Mul(c.read(g[2]))))
	case m(saysSlant) != nil:
		g := m(saysSlant)
		put(c.mark(g[1]).Add(ways[g[3]].Mul(c.read(g[2]))).Add(ways[g[5]].Mul(c.read(g[4]))))
	case m(saysSwing) != nil:
		g := m(saysSwing)
		on, from, d := c.line(g[3]), c.mark(g[1]), c.read(g[2])
		best := curve.Point{X: math.Inf(1)}
		for s := 0.0; s < on.Length(); s += 0.05 {
			if q := on.PointAt(s); math.Abs(q.Dist(from)-d) < math.Abs(best.Dist(from)-d) {
				best = q
			}
		}
		put(best)
	case m(saysLevel) != nil:
		g := m(saysLevel)
		y := c.mark(g[2]).Y
		got := c.line(g[1]).Meet(curve.Path{curve.Line(curve.Point{X: -5000, Y: y}, curve.Point{X: 5000, Y: y})})
		if len(got) == 0 {
			c.t.Fatalf("step %d: nothing is level there: %s", n, words)
		}
		put(got[0].At)
	case m(saysCross) != nil:
		g := m(saysCross)
		got := c.line(g[1]).Meet(c.line(g[2]))
		if len(got) == 0 {
			c.t.Fatalf("step %d: the lines do not cross: %s", n, words)
		}
		put(got[0].At)
	case m(saysStart) != nil:
		put(curve.Point{})
	case m(saysRule) != nil:
		var pts []curve.Point
		for _, g := range number.FindAllStringSubmatch(words, -1) {
			pts = append(pts, c.mark(g[1]))
		}
		c.lines[me] = curve.Polyline(pts...)
	case m(saysCurve) != nil:
		t, ok := tables[m(saysCurve)[1]]
		if !ok {
			c.t.Fatalf("step %d asks for a table that is not there: %s", n, words)
		}
		c.lines[me] = c.curve(t)
	default:
		c.t.Fatalf("step %d cannot be followed: %s", n, words)
	}
}

// place finds a place as tables name it: by the number of its step, or by the turn's own name.
func (c *cutterWith) place(name string) curve.Point {
	if g := number.FindStringSubmatch(name); g != nil {
		return c.mark(g[1])
	}
	return c.mark(name)
}

// curve chalks a curve with straight lines from row to row, which is the worst that a cutter would do.
func (c *cutterWith) curve(t table) curve.Path {
	var pts []curve.Point
	for _, st := range t.stretches {
		if st.turn != "" {
			g := saysTurn.FindStringSubmatch(st.turn)
			if g == nil {
				c.t.Fatalf("a turn cannot be followed: %s", st.turn)
			}
			a, b := c.place(g[1]), c.place(g[2])
			c.marks[g[6]] = c.off(a, b, c.read(g[3]), c.read(g[5]), g[4])
		}
		a, b := c.place(st.from), c.place(st.to)
		if chord := c.read(st.chord); math.Abs(chord-a.Dist(b)) > 0.8 {
			c.t.Errorf("table %s: the chord is said to be %s and is %.1f mm", t.letter, st.chord, a.Dist(b))
		}
		pts = append(pts, a)
		for _, o := range st.rows {
			pts = append(pts, c.off(a, b, c.read(o.along), c.read(o.out), o.side))
		}
		pts = append(pts, b)
	}
	return curve.Polyline(pts...)
}

// off goes along the line from a to b, then square off it.
func (c *cutterWith) off(a, b curve.Point, along, out float64, side string) curve.Point {
	u := b.Sub(a).Unit()
	way := curve.Point{}
	switch side {
	case "inside":
		way = c.inside(a, b)
	case "outside":
		way = c.inside(a, b).Mul(-1)
	case "":
	default:
		if way = u.Left(); way.Dot(ways[side]) < 0 {
			way = u.Right()
		}
	}
	return a.Add(u.Mul(along)).Add(way.Mul(out))
}

// insideOf says on which side of a chord the piece lies: its edges run clockwise, so it lies to the right of one who walks them.
// The cutter sees that in the picture.
func insideOf(p *piece.Piece) func(a, b curve.Point) curve.Point {
	seam := p.SeamLine()
	whole := seam.Length()
	return func(a, b curve.Point) curve.Point {
		s, _ := seam.Nearest(a)
		t, _ := seam.Nearest(b)
		u := b.Sub(a).Unit()
		if ahead := math.Mod(t-s+whole, whole); ahead < whole/2 {
			return u.Right()
		}
		return u.Left()
	}
}

// worst is the farthest a path runs from the nearest of some lines.
func worst(path curve.Path, lines map[string]curve.Path) (far float64, at curve.Point) {
	for _, q := range path.Flatten(0.2) {
		best := math.Inf(1)
		for _, l := range lines {
			if _, d := l.Nearest(q); d < best {
				best = d
			}
		}
		if best > far {
			far, at = best, q
		}
	}
	return far, at
}

// tolerance is what the rounding of the tables and straight lines between their rows may do: half a division of the finer
// tape (1/16 in or 1 mm) and the slack of the rows.
func tolerance(t tape.Tape) float64 {
	if t.Unit == tape.IN {
		return tape.Inch/32 + slackness + 0.06
	}
	return 0.5 + slackness + 0.06
}

// A tape for dressmaking shows 1/16 in or 1 mm (ASTM D6240: graduated to 1/16 in). Who follows the printed figures must get the seam
// line that was drafted, within that.
func TestFollowingTheStepsGivesThePiece(t *testing.T) {
	for _, f := range fittings {
		t.Run(f.name, func(t *testing.T) {
			j := jacket(t, f)
			for i := range j.Pattern.Pieces {
				p := &j.Pattern.Pieces[i]
				if len(p.Steps) == 0 {
					continue
				}
				follow(t, j, p)
			}
		})
	}
}

// follow rebuilds a piece from its steps and compares it with the pattern.
func follow(t *testing.T, j Job, p *piece.Piece) *cutterWith {
	t.Helper()
	r := newReader(j.Tape, p)
	tables := r.tables()
	by := map[string]table{}
	for _, x := range tables {
		by[x.letter] = x
	}
	c := &cutterWith{t: t, tape: j.Tape, marks: map[string]curve.Point{}, lines: map[string]curve.Path{}, inside: insideOf(p)}
	for _, s := range r.steps(tables) {
		c.do(s.n, s.plain(), by)
		if m := s.step.Mark; m != nil {
			// Marks are chalked at taped distances, so they must come out exactly, but for
			// those that were walked, swung or lie off the square, which are read to the finer division.
			most := 1e-6
			measured := !strings.HasPrefix(m.Way, "midway") && !strings.HasPrefix(m.Way, "plumb") && m.Way != "level"
			if m.Way == "swing" || measured && math.Abs(j.Tape.Round(m.Distance)-m.Distance) > near || saysSlant.MatchString(s.plain()) {
				most = tolerance(j.Tape)
			}
			if d := c.marks[strconv.Itoa(s.n)].Dist(m.At); d > most {
				t.Errorf("%s: step %d %q comes out %.2f mm off", p.Name, s.n, s.plain(), d)
			}
		}
	}
	most := tolerance(j.Tape)
	for i := range p.Edges {
		if far, at := worst(p.Edges[i].Path, c.lines); far > most {
			t.Errorf("%s.%s: chalked %.2f mm off the seam line at %v, at most %.2f is allowed", p.Name, p.Edges[i].Name, far, at, most)
		}
	}
	for i := range p.Steps {
		if s := &p.Steps[i]; len(s.Path) > 0 {
			n := strconv.Itoa(s.N)
			if far, at := worst(c.lines[n], map[string]curve.Path{n: s.Path}); far > most {
				t.Errorf("%s: step %d draws %.2f mm off its line at %v", p.Name, s.N, far, at)
			}
		}
	}
	return c
}
