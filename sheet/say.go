package sheet

import (
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"clothwright/curve"
	"clothwright/piece"
	"clothwright/tape"
)

// span is words of one weight.
type span struct {
	words string
	bold  bool
}

// said is one chalk step in words, with what it adds to the picture.
type said struct {
	n     int
	spans []span
	why   string
	step  *piece.Step
	table string // the letter of the curve's table of offsets, else empty
}

// plain is the step's sentence without weights.
func (s said) plain() string {
	var out strings.Builder
	for _, p := range s.spans {
		out.WriteString(p.words)
	}
	return out.String()
}

// reader puts one piece into words. A mark is said with the number of the step that made it, so that it can be found in
// the picture.
type reader struct {
	t   tape.Tape
	p   *piece.Piece
	num map[string]int
}

// near is how far a mark may lie from a line's end and still be it, in mm.
const near = 0.02

func newReader(t tape.Tape, p *piece.Piece) reader {
	r := reader{t, p, map[string]int{}}
	for i := range p.Steps {
		if m := p.Steps[i].Mark; m != nil {
			r.num[m.Name] = p.Steps[i].N
		}
	}
	return r
}

// mark says a mark by its name: "neck point (2)".
func (r reader) mark(name string) string {
	if n, ok := r.num[name]; ok {
		return fmt.Sprintf("%s (%d)", name, n)
	}
	return name
}

// at returns the first mark at a place, nil if none is there.
func (r reader) at(q curve.Point) *piece.Mark {
	for i := range r.p.Marks {
		if r.p.Marks[i].At.Dist(q) <= near {
			return &r.p.Marks[i]
		}
	}
	return nil
}

// place says a place by its mark, or by how far across and down it lies from the first mark.
func (r reader) place(q curve.Point) string {
	if m := r.at(q); m != nil {
		return r.mark(m.Name)
	}
	if len(r.p.Marks) == 0 {
		return "the place drawn"
	}
	first := r.p.Marks[0]
	return fmt.Sprintf("the place %s from %s", r.slant(q.Sub(first.At)), r.mark(first.Name))
}

// slant says a way that is neither level nor plumb: "3 in across and 1 in down".
func (r reader) slant(v curve.Point) string {
	var parts []string
	if math.Abs(v.X) > near {
		parts = append(parts, r.t.Fine(math.Abs(v.X))+pick(v.X > 0, " across", " inward"))
	}
	if math.Abs(v.Y) > near {
		parts = append(parts, r.t.Fine(math.Abs(v.Y))+pick(v.Y > 0, " down", " up"))
	}
	return strings.Join(parts, " and ")
}

func pick(yes bool, a, b string) string {
	if yes {
		return a
	}
	return b
}

// on finds the line or curve, of those chalked before step i, on which a place lies; the latest one, nil if none.
func (r reader) on(i int, q curve.Point, skip *piece.Step) *piece.Step {
	for k := i - 1; k >= 0; k-- {
		s := &r.p.Steps[k]
		if s == skip || len(s.Path) == 0 {
			continue
		}
		if _, d := s.Path.Nearest(q); d <= near {
			return s
		}
	}
	return nil
}

func lineName(s *piece.Step) string { return strings.ReplaceAll(s.Name, "_", " ") }

func (r reader) line(s *piece.Step) string {
	if s == nil {
		return "the line drawn"
	}
	return fmt.Sprintf("the %s (%d)", lineName(s), s.N)
}

// knots are the places a line or curve runs through, its ends included, in order.
func (r reader) knots(path curve.Path, through []string) []curve.Point {
	out := []curve.Point{path.Start()}
	last, whole := 0.0, path.Length()
	for _, name := range through {
		m := r.p.Mark(name)
		if m == nil {
			continue
		}
		if s, d := path.Nearest(m.At); d <= near && s > last+near && s < whole-near {
			out = append(out, m.At)
			last = s
		}
	}
	return append(out, path.End())
}

// sentence cuts words at asterisks: what stands between two of them is bold.
func sentence(words string) []span {
	var out []span
	for i, w := range strings.Split(words, "*") {
		if w != "" {
			out = append(out, span{w, i%2 == 1})
		}
	}
	return out
}

// bare keeps names from being taken for weights.
func bare(s string) string { return strings.ReplaceAll(s, "*", "×") }

// steps says every step of the piece.
func (r reader) steps(tables []table) []said {
	out := make([]said, 0, len(r.p.Steps))
	for i := range r.p.Steps {
		s := &r.p.Steps[i]
		one := said{n: s.N, step: s, why: full(s.Why.String())}
		for _, t := range tables {
			if t.n == s.N {
				one.table = t.letter
			}
		}
		if s.Mark != nil {
			one.spans = sentence(r.walk(i, s.Mark))
		} else {
			one.spans = sentence(r.draw(s, one.table))
		}
		out = append(out, one)
	}
	return out
}

// full makes a reason a sentence.
func full(s string) string {
	if s == "" {
		return ""
	}
	first, n := utf8.DecodeRuneInString(s)
	s = string(unicode.ToUpper(first)) + s[n:]
	if !strings.ContainsAny(s[len(s)-1:], ".!?") {
		s += "."
	}
	return s
}

// far says a distance as it is marked: on the tape where it lies on one of its marks, else to the finer division, as what was
// found by walking one seam along another.
func (r reader) far(mm float64) string {
	if math.Abs(r.t.Round(mm)-mm) < near {
		return r.t.Format(mm)
	}
	return r.t.Fine(mm)
}

// walk says how a mark is reached.
func (r reader) walk(i int, m *piece.Mark) string {
	from, name := bare(r.mark(m.From)), "*"+bare(m.Name)+"*"
	taped := "*" + r.far(m.Distance) + "*"
	way, other, _ := strings.Cut(m.Way, " to ")
	switch way {
	case "start":
		first := r.p.Start.Line
		if first == "" {
			first = "first line"
		}
		return fmt.Sprintf("On the %s mark %s.", bare(first), name)
	case "down", "up", "across", "inward":
		return fmt.Sprintf("From %s go %s %s: mark %s.", from, way, taped, name)
	case "midway":
		return fmt.Sprintf("Half way between %s and %s: mark %s.", from, bare(r.mark(other)), name)
	case "plumb":
		return fmt.Sprintf("Plumb with %s, level with %s: mark %s.", from, bare(r.mark(other)), name)
	case "along", "walked along":
		return r.along(i, m, name)
	case "swing":
		return fmt.Sprintf("Hold the tape at %s, swing %s to meet %s: mark %s.", from, taped, bare(r.line(r.on(i, m.At, nil))), name)
	case "level":
		return fmt.Sprintf("On %s, level with %s: mark %s.", bare(r.line(r.on(i, m.At, nil))), from, name)
	case "crossing":
		one := r.on(i, m.At, nil)
		return fmt.Sprintf("Where %s crosses %s: mark %s.", bare(r.line(one)), bare(r.line(r.on(i, m.At, one))), name)
	}
	if f := r.p.Mark(m.From); f != nil {
		if words := r.inLine(i, f, m); words != "" {
			return fmt.Sprintf("From %s %s: mark %s.", from, words, name)
		}
		return fmt.Sprintf("From %s go *%s*: mark %s.", from, r.slant(m.At.Sub(f.At)), name)
	}
	return fmt.Sprintf("At %s mark %s.", r.slant(m.At), name)
}

// inLine says a slanted way by an earlier mark that lies in its line, ahead or behind; empty when there is none.
func (r reader) inLine(i int, f, m *piece.Mark) string {
	way := m.At.Sub(f.At).Unit()
	for k := i - 1; k >= 0; k-- {
		o := r.p.Steps[k].Mark
		if o == nil || o.At.Dist(f.At) < 25 || math.Abs(o.At.Sub(f.At).Unit().Cross(way)) > 1e-6 {
			continue
		}
		if o.At.Sub(f.At).Dot(way) > 0 {
			return fmt.Sprintf("go *%s* toward %s", r.far(m.Distance), bare(r.mark(o.Name)))
		}
		return fmt.Sprintf("go on *%s* in line with %s", r.far(m.Distance), bare(r.mark(o.Name)))
	}
	return ""
}

// along says a mark reached along a line: how far from which mark, toward which.
func (r reader) along(i int, m *piece.Mark, name string) string {
	on := r.on(i, m.At, nil)
	from := r.p.Mark(m.From)
	if on == nil || from == nil {
		return fmt.Sprintf("From %s go along %s *%s*: mark %s.", bare(r.mark(m.From)), bare(r.line(on)), r.t.Fine(m.Distance), name)
	}
	begin := from.At
	a, off := on.Path.Nearest(begin)
	if off > near { // measured from a part of the line: say it from the line's own start
		begin, a = on.Path.Start(), 0
	}
	b, _ := on.Path.Nearest(m.At)
	far := math.Abs(b - a)
	how := r.far(far)
	end := on.Path.End()
	if b < a {
		end = on.Path.Start()
	}
	return fmt.Sprintf("From %s go along %s toward %s *%s*: mark %s.", bare(r.place(begin)), bare(r.line(on)), bare(r.place(end)), how, name)
}

// draw says a line or a curve.
func (r reader) draw(s *piece.Step, letter string) string {
	ks := r.knots(s.Path, s.Through)
	words := fmt.Sprintf("the *%s*: from %s", bare(lineName(s)), bare(r.place(ks[0])))
	for _, k := range ks[1 : len(ks)-1] {
		words += " through " + bare(r.place(k))
	}
	words += " to " + bare(r.place(ks[len(ks)-1]))
	if letter == "" {
		return "Rule " + words + "."
	}
	return fmt.Sprintf("Curve %s, by table *%s*.", words, letter)
}
