package sheet

import (
	"math"
	"strings"

	"clothwright/curve"
	"clothwright/piece"
	"clothwright/tape"
)

// table is how one curve is chalked without printing it: for each stretch between two marks, how far along the chord and
// how far out from it.
type table struct {
	letter    string
	n         int    // the step that draws the curve
	name      string // the curve's
	path      curve.Path
	stretches []stretch
}

// stretch is a part of a curve between two places, over whose chord it has one height everywhere.
type stretch struct {
	from, to string // the two places, as the steps say them
	a, b     curve.Point
	chord    string // the chord's length, as a check
	turn     string // how the place b is found when no step has marked it, else empty
	rows     []offset
}

// offset is one row: so far along the chord, so far out from it.
type offset struct {
	along, out string
	side       string // which side of the chord: "outside", "inside", or "" on it
	at         curve.Point
	foot       curve.Point // its foot on the chord
}

// slackness is how far in mm straight lines from row to row may lie from the curve: less than the chalk is wide. A smooth line
// through the rows lies nearer still.
const slackness = 0.35

// spacing is how far rows lie apart along the chord, the widest first: an inch or two centimetres, halved where the curve
// turns fast.
func spacing(t tape.Tape) []float64 {
	if t.Unit == tape.IN {
		return []float64{tape.Inch, tape.Inch / 2, tape.Inch / 4, tape.Inch / 8}
	}
	return []float64{20, 10, 5, 2}
}

// flatSpacing is how far rows lie apart where a curve hardly leaves its chord.
func flatSpacing(t tape.Tape) float64 {
	if t.Unit == tape.IN {
		return 3 * tape.Inch
	}
	return 60
}

// flat is the greatest height over the chord.
func flat(out []float64) float64 {
	most := 0.0
	for _, y := range out {
		most = math.Max(most, math.Abs(y))
	}
	return most
}

// fine is a length as the finer division of the tape shows it, in mm.
func fine(t tape.Tape, mm float64) float64 {
	v, err := tape.Parse(strings.TrimPrefix(t.Fine(math.Abs(mm)), "-"), t.Unit)
	if err != nil {
		return mm
	}
	return math.Copysign(v, mm)
}

// tables makes the table of every curve of the piece, lettered in the order of the steps.
func (r reader) tables() []table {
	var out []table
	for i := range r.p.Steps {
		s := &r.p.Steps[i]
		if s.Mark != nil || straight(s.Path) {
			continue
		}
		t := table{letter: letter(len(out)), n: s.N, name: lineName(s), path: s.Path}
		t.stretches = r.stretches(s, t.name)
		out = append(out, t)
	}
	return out
}

func letter(i int) string {
	if i < 26 {
		return string(rune('A' + i))
	}
	return letter(i/26-1) + letter(i%26)
}

func straight(path curve.Path) bool {
	for _, s := range path {
		if !s.Straight() {
			return false
		}
	}
	return true
}

// stretches cuts a curve at the marks it runs through, and each part again where it turns back over its chord.
func (r reader) stretches(s *piece.Step, name string) []stretch {
	ks := r.knots(s.Path, s.Through)
	outline := curve.Path(r.p.SeamLine()).Flatten(0.05)
	var out []stretch
	turns := 0
	last := 0.0
	for i := 0; i+1 < len(ks); i++ {
		end := s.Path.Length()
		if i+2 < len(ks) {
			end, _ = s.Path.Nearest(ks[i+1])
		}
		c := cutter{r: r, name: name, outline: outline, turns: &turns}
		out = append(out, c.cut(s.Path.Sub(last, end), r.place(ks[i]), r.place(ks[i+1]), ks[i], ks[i+1], 3)...)
		last = end
	}
	return out
}

// cutter reads one curve off its chords.
type cutter struct {
	r       reader
	name    string
	outline []curve.Point
	turns   *int
}

// cut makes the stretches of a part of a curve from a to b, dividing it at most depth times.
func (c cutter) cut(part curve.Path, from, to string, a, b curve.Point, depth int) []stretch {
	t := c.r.t
	one := stretch{from: from, to: to, a: a, b: b, chord: t.Fine(a.Dist(b))}
	along, out := chordwise(part, a, b)
	rows, ok := c.rows(along, out, a, b)
	if ok || depth == 0 || a.Dist(b) < 4*spacing(t)[2] {
		one.rows = rows
		return []stretch{one}
	}
	// The place farthest from the chord: there the curve runs level with it, so that a slip along it does no harm.
	far := 0
	for i := range out {
		if math.Abs(out[i]) > math.Abs(out[far]) {
			far = i
		}
	}
	u := b.Sub(a).Unit()
	x, y := fine(t, along[far]), fine(t, out[far])
	mid := a.Add(u.Mul(x)).Add(u.Left().Mul(y))
	s, _ := part.Nearest(a.Add(u.Mul(along[far])).Add(u.Left().Mul(out[far])))
	*c.turns++
	name := "turn of the " + c.name
	if *c.turns > 1 {
		name += " " + letter(*c.turns-1)
	}
	first := c.cut(part.Sub(0, s), from, name, a, mid, depth-1)
	first[len(first)-1].turn = "On the line from " + from + " to " + to + " go along " + t.Fine(along[far]) + ", then " + c.side(mid, u.Left().Mul(sign(y))) + " " + t.Fine(math.Abs(y)) + ": mark " + name + "."
	return append(first, c.cut(part.Sub(s, part.Length()), name, to, mid, b, depth-1)...)
}

func sign(v float64) float64 {
	if v < 0 {
		return -1
	}
	return 1
}

// chordwise gives points of a path, close together, as lengths along the chord and heights to its left.
func chordwise(part curve.Path, a, b curve.Point) (along, out []float64) {
	u := b.Sub(a).Unit()
	for _, q := range part.Flatten(0.01) {
		along = append(along, q.Sub(a).Dot(u))
		out = append(out, q.Sub(a).Dot(u.Left()))
	}
	return along, out
}

// rows reads the heights at even lengths of the tape, closer together where straight lines between them would miss the
// curve. It is not ok when the curve turns back over the chord or stays too steep for the closest rows.
func (c cutter) rows(along, out []float64, a, b curve.Point) ([]offset, bool) {
	whole := a.Dist(b)
	for i := 1; i < len(along); i++ {
		if along[i] <= along[i-1] {
			return nil, false
		}
	}
	if along[0] < -near || along[len(along)-1] > whole+1 {
		return nil, false
	}
	t := c.r.t
	steps := spacing(t)
	if flat(out) < 3 {
		steps = append([]float64{flatSpacing(t)}, steps...)
	}
	xs := []float64{0}
	for x := steps[0]; x < whole-steps[0]/3; x += steps[0] {
		xs = append(xs, x)
	}
	xs = append(xs, whole)
	for _, step := range steps[1:] {
		var next []float64
		for i := 0; i+1 < len(xs); i++ {
			next = append(next, xs[i])
			if !misses(along, out, xs[i], xs[i+1]) {
				continue
			}
			for x := math.Floor(xs[i]/step+1e-9)*step + step; x < xs[i+1]-step/3; x += step {
				next = append(next, x)
			}
		}
		xs = append(next, whole)
	}
	ok := true
	for i := 0; i+1 < len(xs); i++ {
		ok = ok && !misses(along, out, xs[i], xs[i+1])
	}
	if flat(out) < slackness { // it is ruled
		return nil, ok
	}
	u := b.Sub(a).Unit()
	var rows []offset
	for _, x := range xs[1 : len(xs)-1] {
		y := height(along, out, x)
		o := offset{along: t.Fine(x), out: t.Fine(math.Abs(y)), foot: a.Add(u.Mul(x))}
		o.at = o.foot.Add(u.Left().Mul(y))
		if fine(t, y) != 0 {
			o.side = c.side(o.at, u.Left().Mul(sign(y)))
		}
		rows = append(rows, o)
	}
	return rows, ok
}

// side says which side of the chord a height lies on: out of the piece or into it, where the curve is on the outline; else
// across or inward.
func (c cutter) side(at, way curve.Point) string {
	if _, d := curve.Polyline(append(c.outline[:len(c.outline):len(c.outline)], c.outline[0])...).Nearest(at); d < 2 {
		a, b := curve.Contains(c.outline, at.Add(way.Mul(3))), curve.Contains(c.outline, at.Sub(way.Mul(3)))
		switch {
		case a && !b:
			return "inside"
		case b && !a:
			return "outside"
		}
	}
	if math.Abs(way.X) > math.Abs(way.Y) {
		return pick(way.X > 0, "across", "inward")
	}
	return pick(way.Y > 0, "down", "up")
}

// height is the height over the chord at a length along it, straight from point to point.
func height(along, out []float64, x float64) float64 {
	for i := 1; i < len(along); i++ {
		if x <= along[i] || i == len(along)-1 {
			k := (x - along[i-1]) / (along[i] - along[i-1])
			return out[i-1] + float64(k*(out[i]-out[i-1]))
		}
	}
	return 0
}

// misses reports whether the straight line between two rows lies more than the slack from the curve between them.
func misses(along, out []float64, x0, x1 float64) bool {
	p, q := curve.Point{X: x0, Y: height(along, out, x0)}, curve.Point{X: x1, Y: height(along, out, x1)}
	way := q.Sub(p).Unit()
	for i := range along {
		if along[i] <= x0 || along[i] >= x1 {
			continue
		}
		if math.Abs(curve.Point{X: along[i], Y: out[i]}.Sub(p).Cross(way)) > slackness {
			return true
		}
	}
	return false
}
