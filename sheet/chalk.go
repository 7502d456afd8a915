package sheet

import (
	"fmt"
	"math"
	"strings"

	"clothwright/curve"
	"clothwright/piece"
	"clothwright/sheet/drawing"
	"clothwright/sheet/text"
)

// Chalk is the sheet a cutter works from with tape, yardstick, curve and chalk, no pattern printed: for every piece how the cloth
// lies and where the first line is ruled, the numbered steps beside pictures to scale, a table of offsets for every curve,
// the cut lines, notches and grain. The back is given twice, afresh and as what differs from the cut front. Pieces
// that repeat others and rib bands have one block each. It fails with a sentence when the job has no piece or no known paper.
func Chalk(j Job) (*drawing.Drawing, error) {
	if err := j.check(); err != nil {
		return nil, err
	}
	b := newBook(j, "chalk sheet")
	b.chalk()
	return b.finish(), nil
}

var (
	stepType  = drawing.Type{Size: 3.8, Leading: 1.32}
	whyType   = drawing.Type{Size: 3.4, Color: drawing.Dark, Leading: 1.3}
	pieceType = drawing.Type{Size: 6, Bold: true}
	partType  = drawing.Type{Size: 4, Bold: true}
)

// chalk adds all pages of the chalk sheet.
func (b *book) chalk() {
	first := true
	var ribs, copies []*piece.Piece
	var f *drawing.Flow
	title := ""
	pattern := b.j.Pattern
	for i := range pattern.Pieces {
		p := &pattern.Pieces[i]
		switch {
		case p.CopyOf != "" || twin(pattern, p) != nil:
			copies = append(copies, p)
			continue
		case band(p):
			ribs = append(ribs, p)
			continue
		}
		s := newSheet(b, p)
		if title = "Chalk sheet: " + titled(p); f == nil || f.Left() < s.least() {
			f = b.flowOf(&title)
			if first {
				findings(f, b.j, piece.Warn)
				legend(f, b.j)
				first = false
			}
		} else {
			f.Space(8)
			rule(f)
		}
		s.set(f)
		if from := likeness(pattern, p); from != nil {
			b.over(from, p)
			f = nil
		}
	}
	if len(ribs) == 0 && len(copies) == 0 {
		return
	}
	if title = "Chalk sheet: ribs and pieces that repeat others"; f == nil || f.Left() < 90 {
		f = b.flowOf(&title)
		if first {
			findings(f, b.j, piece.Warn)
		}
	} else {
		f.Space(8)
		rule(f)
	}
	ribBlock(f, b.j, ribs)
	copyBlock(f, b.j, copies)
}

// rule draws a line across the page between two pieces.
func rule(f *drawing.Flow) {
	y := f.Room(4)
	f.Page().Line(f.X(), y, f.X()+f.W(), y, drawing.Thin)
}

// legend says once how the sheet is read.
func legend(f *drawing.Flow, j Job) {
	words := "*Down* is along the first line toward the hem, *up* is back; *across* is square off the first line, to the right in the pictures, *inward* is the other way. " +
		"A figure in brackets is the step that made the mark; in the pictures it stands in a circle. Grey was chalked before. " +
		"All lines are seam lines, finished size; the cut lines come last and lie outside. " +
		fmt.Sprintf("Distances are on the tape to %s; tables of curves are finer.", j.Tape.String())
	r := lay(sentence(words), f.W()-8, drawing.Type{Size: 3.4, Leading: 1.35})
	top := f.Room(r.height() + 10)
	f.Page().Rect(f.X(), top, f.W(), r.height()+6, drawing.Solid(drawing.Pale))
	r.draw(&f.Page().Layer, f.X()+4, top+3)
}

// set is the chalk sheet of one piece.
type set struct {
	b      *book
	r      reader
	tables []table
	steps  []said
}

func newSheet(b *book, p *piece.Piece) *set {
	s := &set{b: b, r: newReader(b.j.Tape, p)}
	s.tables = s.r.tables()
	s.steps = s.r.steps(s.tables)
	return s
}

// picture is the piece at the scale of all its pictures: two of them one below the other on a page.
func (s *set) picture() picture {
	box := s.b.box()
	return newPicture(s.r, 100, (box.H()-44)/2-5)
}

const startH = 34. // height of the block that says how the cloth lies, at least

// least is the room a piece needs to be begun on a page that has another piece already.
func (s *set) least() float64 {
	return startH + 14 + s.picture().h() + 12
}

func (s *set) set(f *drawing.Flow) {
	s.head(f)
	s.panels(f)
	s.curves(f, s.tables)
	s.cutting(f)
}

// head names the piece and says how the cloth lies and where the first line is ruled.
func (s *set) head(f *drawing.Flow) {
	p := s.r.p
	y := f.Room(9)
	pg := f.Page()
	count := drawing.Type{Size: 4}
	name, t := fitted(titled(p), f.W()-count.Measure(cuts(p))-5, pieceType)
	pg.Text(f.X(), y+5.5, name, t)
	pg.Text(f.X()+t.Measure(name)+5, y+5.5, cuts(p), count)
	s.start(f)
}

// starting are the sentences before the first step.
func (s *set) starting() []string {
	p, t := s.r.p, s.r.t
	var out []string
	if p.Start.Cloth != "" {
		out = append(out, full("Lay the cloth "+bare(p.Start.Cloth)))
	}
	line := p.Start.Line
	if line == "" {
		line = "first line"
	}
	line = bare(line)
	in := "*" + t.Format(p.Start.In) + "*"
	switch {
	case p.Start.From == "fold" && p.Start.In < near:
		out = append(out, fmt.Sprintf("The fold is the *%s*.", line))
	case p.Start.From == "straight grain":
		out = append(out, fmt.Sprintf("Rule the *%s* on the straight grain, at least %s from the edge.", line, in))
	case p.Start.From != "":
		out = append(out, fmt.Sprintf("Rule the *%s* %s from the %s.", line, in, bare(p.Start.From)))
	}
	if !p.Start.Why.Empty() {
		out = append(out, full(p.Start.Why.String()))
	}
	if b := p.Bounds(); !b.Empty() {
		words := fmt.Sprintf("Keep %s free above the first mark and %s below it", t.Format(t.Up(math.Max(0, -b.Min.Y))), t.Format(t.Up(b.Max.Y)))
		if b.Min.X < -near {
			words += fmt.Sprintf("; %s inward of the line and %s across", t.Format(t.Up(-b.Min.X)), t.Format(t.Up(b.Max.X)))
		} else {
			words += fmt.Sprintf("; %s across", t.Format(t.Up(b.Max.X)))
		}
		out = append(out, words+".")
	}
	if p.Note != "" {
		out = append(out, full(bare(p.Note)))
	}
	return out
}

func (s *set) start(f *drawing.Flow) {
	const picW = 42.
	w := f.W() - picW - 6
	var rs []rich
	h := 0.0
	for _, words := range s.starting() {
		r := lay(sentence(words), w, stepType)
		rs = append(rs, r)
		h += r.height() + 0.8
	}
	h = math.Max(h, startH-4)
	top := f.Room(h + 4)
	l := &f.Page().Layer
	s.clothPicture(l, f.X(), top, picW-2, h)
	y := top
	for _, r := range rs {
		r.draw(l, f.X()+picW+6, y)
		y += r.height() + 0.8
	}
}

// clothPicture shows the edge or fold of the cloth, the first line and the piece on it.
func (s *set) clothPicture(l *drawing.Layer, x, y, w, h float64) {
	p := s.r.p
	b := area(p).AddPoint(curve.Point{X: -p.Start.In})
	k := math.Min((w-9)/math.Max(b.W(), 1), (h-6)/math.Max(b.H(), 1))
	m := curve.Scale(k, k).Then(curve.Translate(curve.Point{X: x + 7 - float64(b.Min.X*k), Y: y + 3 - float64(b.Min.Y*k)}))
	edge := m.Apply(curve.Point{X: -p.Start.In}).X
	right := math.Min(x+w, m.Apply(b.Max).X+5)
	l.Rect(edge, y, right-edge, h, drawing.Solid(drawing.Pale))
	name := p.Start.From
	style := drawing.Thin
	switch p.Start.From {
	case "fold":
		style = drawing.Thick
	case "straight grain":
		name, style = "edge of the cloth", drawing.Hair.Dashed(2, 1)
	}
	l.Line(edge, y, edge, y+h, style)
	l.Text(edge-1.4, y+h/2, name, drawing.Type{Size: 2.6, Anchor: drawing.Middle, Turn: -math.Pi / 2})
	if len(p.CutLine()) > 0 {
		l.Outline(drawing.Hair.Filled(drawing.White), p.CutLine().Transform(m))
	}
	l.Stroke(drawing.Hair.Dashed(1.2, 0.8), p.SeamLine().Transform(m))
	axis := m.Apply(curve.Point{}).X
	if p.Start.In > 0 {
		l.Line(axis, y, axis, y+h, drawing.Medium.In(drawing.Accent))
	} else {
		l.Line(edge, y, edge, y+h, drawing.Thick)
	}
}

// mostSteps is how many steps share a picture at most: with more of them it would be crowded.
const mostSteps = 8

// panels sets the steps beside pictures of the piece as it grows: as many to a picture as the page has room for.
func (s *set) panels(f *drawing.Flow) {
	pic := s.picture()
	w := f.W() - pic.w() - 4
	blocks := make([]block, len(s.steps))
	for i := range s.steps {
		blocks[i] = s.block(s.steps[i], w)
	}
	for from := 0; from < len(blocks); {
		to, h := s.group(blocks, pic, from, f.Left()-3)
		if to-from < min(fewSteps, len(blocks)-from) {
			f.Break()
			if to, h = s.group(blocks, pic, from, f.Left()-3); to == from {
				to, h = from+1, blocks[from].h
			}
		}
		shown := pic.cropped(from, to)
		top := f.Room(math.Max(h, shown.h()) + 3)
		l := &f.Page().Layer
		shown.draw(l, f.X(), top, from, to)
		y := top + 1
		for _, b := range blocks[from:to] {
			b.draw(l, f.X()+pic.w()+4, y)
			y += b.h
		}
		from = to
	}
}

// fewSteps is how many steps a picture is worth, unless no more are left.
const fewSteps = 3

// group says up to which step a picture and its words fit into most mm, and how high the words are. The last picture is not left
// with a step or two.
func (s *set) group(blocks []block, pic picture, from int, most float64) (to int, h float64) {
	to = from
	sum := 0.0
	for i := from; i < len(blocks) && i < from+mostSteps; i++ {
		sum += blocks[i].h
		if math.Max(sum, pic.cropped(from, i+1).h()) <= most {
			to, h = i+1, sum
		}
	}
	for rest := len(blocks) - to; rest > 0 && rest < fewSteps && to-from > fewSteps; rest++ {
		to--
		h -= blocks[to].h
	}
	return to, h
}

// block is one step set in words.
type block struct {
	n          int
	words, why rich
	h          float64
}

const stepIn = 8.5 // mm from a step's number to its words

func (s *set) block(one said, w float64) block {
	b := block{n: one.n, words: lay(one.spans, w-stepIn, stepType)}
	b.h = b.words.height()
	if one.why != "" {
		b.why = lay([]span{{bare(one.why), false}}, w-stepIn, whyType)
		b.h += b.why.height()
	}
	b.h += 2.2
	return b
}

func (b block) draw(l *drawing.Layer, x, y float64) {
	r := numRadius + 0.7
	cy := y + b.words.t.Pitch()/2
	l.Circle(x+r, cy, r, drawing.Hair)
	t := drawing.Type{Size: 3.1, Bold: true, Anchor: drawing.Middle}
	l.Text(x+r, cy+text.CapHeight*t.Size/2, fmt.Sprint(b.n), t)
	b.words.draw(l, x+stepIn, y)
	if len(b.why.lines) > 0 {
		b.why.draw(l, x+stepIn, y+b.words.height())
	}
}

// Sizes of the curve tables, in mm.
const (
	curvePicW, curvePicH = 62., 50.
	ladderW, ladderRow   = 37., 5.1
)

// curves sets the table of offsets of each curve beside a picture of it.
func (s *set) curves(f *drawing.Flow, tables []table) {
	if len(tables) == 0 {
		return
	}
	f.Space(3)
	words := "Curves: along the straight line between the two marks, then square off it"
	f.Heading(words, partType, 60)
	f.Space(1)
	for _, t := range tables {
		s.curve(f, t)
	}
}

func (s *set) curve(f *drawing.Flow, t table) {
	w := f.W() - curvePicW - 4
	type part struct {
		head rich
		turn rich
		per  int
		wide float64 // of one column
		h    float64
	}
	var parts []part
	h := 7.0
	for _, st := range t.stretches {
		p := part{wide: ladderWidth(st.rows)}
		cols := max(1, int((w+4)/p.wide))
		p.per = max(3, (len(st.rows)+cols-1)/cols)
		words := fmt.Sprintf("From %s to %s: *%s* straight.", bare(st.from), bare(st.to), st.chord)
		if len(st.rows) == 0 {
			words += " Rule it: the curve stays on the line."
		}
		p.head = lay(sentence(words), w, drawing.Type{Size: 3.4, Leading: 1.3})
		p.h = p.head.height() + 1
		if st.turn != "" {
			p.turn = lay(sentence(bare(st.turn)), w, drawing.Type{Size: 3.4, Leading: 1.3})
			p.h += p.turn.height()
		}
		if len(st.rows) > 0 {
			p.h += float64(min(p.per, len(st.rows))+1)*ladderRow + 2
		}
		parts = append(parts, p)
		h += p.h
	}
	pw, ph, k := curveSize(t.path)
	h = math.Max(h, ph+7)
	top := f.Room(h + 4)
	l := &f.Page().Layer
	l.Text(f.X(), top+4, fmt.Sprintf("%s   %s", t.letter, full1(t.name)), drawing.Type{Size: 4, Bold: true})
	s.curvePicture(l, f.X()+(curvePicW-pw)/2, top+7, k, t)
	x, y := f.X()+curvePicW+4, top+1
	for i, p := range parts {
		if len(p.turn.lines) > 0 {
			p.turn.draw(l, x, y)
			y += p.turn.height()
		}
		p.head.draw(l, x, y)
		y += p.head.height() + 1
		rows := t.stretches[i].rows
		if len(rows) == 0 {
			continue
		}
		for c := 0; c*p.per < len(rows); c++ {
			ladder(l, x+float64(c)*p.wide, y, p.wide, rows[c*p.per:min(len(rows), (c+1)*p.per)], oneSide(rows))
		}
		y += float64(min(p.per, len(rows))+1)*ladderRow + 2
	}
}

// full1 is words with their first letter large.
func full1(s string) string { return strings.TrimSuffix(full(s), ".") }

// oneSide is the side on which all rows lie, empty when they lie on both.
func oneSide(rows []offset) string {
	side := ""
	for _, o := range rows {
		if o.side != "" && side != "" && o.side != side {
			return ""
		}
		side = pick(o.side != "", o.side, side)
	}
	return side
}

// ladderWidth is how wide a column of such rows is: wider where each row says its side, so that it runs into no other.
func ladderWidth(rows []offset) float64 {
	if oneSide(rows) != "" {
		return ladderW
	}
	t, wide := drawing.Type{Size: 3.4}, 0.0
	for _, o := range rows {
		wide = math.Max(wide, 18+t.Heavy().Measure(fr(o.out)+" ")+t.Sized(2.6).Measure(o.side)+5)
	}
	return math.Max(ladderW, wide)
}

// ladder sets rows of a table of offsets one below the other, in a column so wide. A side they all share stands in the head.
func ladder(l *drawing.Layer, x, y, wide float64, rows []offset, side string) {
	head := drawing.Type{Size: 2.7, Color: drawing.Dark}
	l.Text(x+15, y+3.4, "along", head.At(drawing.End))
	l.Text(x+18, y+3.4, pick(side != "", side, "off the line"), head)
	l.Line(x, y+ladderRow-0.3, x+wide-4, y+ladderRow-0.3, drawing.Thin)
	t := drawing.Type{Size: 3.4}
	for i, o := range rows {
		base := y + float64(i+1)*ladderRow + 3.6
		l.Text(x+15, base, fr(o.along), t.At(drawing.End))
		words := fr(o.out)
		l.Text(x+18, base, words, t.Heavy())
		if side == "" {
			l.Text(x+18+t.Heavy().Measure(words+" "), base, o.side, t.Sized(2.6))
		}
		l.Line(x, base+1.2, x+wide-4, base+1.2, drawing.Hair.In(drawing.Light))
	}
}

// curveSize is the size of a curve's picture and its scale.
func curveSize(path curve.Path) (w, h, k float64) {
	b := path.Bounds()
	k = math.Min(0.45, math.Min((curvePicW-14)/math.Max(b.W(), 1), (curvePicH-12)/math.Max(b.H(), 1)))
	return b.W()*k + 14, b.H()*k + 12, k
}

// curvePicture shows a curve as it lies on the piece, its chords and the heights of its table.
func (s *set) curvePicture(l *drawing.Layer, x, y, k float64, t table) {
	b := t.path.Bounds()
	m := curve.Scale(k, k).Then(curve.Translate(curve.Point{X: x + 7 - float64(b.Min.X*k), Y: y + 6 - float64(b.Min.Y*k)}))
	p := placer{bounds: drawing.Box(x, y, b.W()*k+14, b.H()*k+12)}
	path := t.path.Transform(m)
	p.avoid(path)
	for _, st := range t.stretches {
		a, c := m.Apply(st.a), m.Apply(st.b)
		l.Line(a.X, a.Y, c.X, c.Y, drawing.Hair.In(drawing.Accent))
		p.avoid(curve.Path{curve.Line(a, c)})
		for _, o := range st.rows {
			q, r := m.Apply(o.foot), m.Apply(o.at)
			l.Line(q.X, q.Y, r.X, r.Y, drawing.Hair.In(drawing.Mid))
		}
	}
	l.Stroke(drawing.Medium, path)
	for i, st := range t.stretches {
		ends := []curve.Point{st.a}
		names := []string{st.from}
		if i == len(t.stretches)-1 {
			ends, names = append(ends, st.b), append(names, st.to)
		}
		for e, q := range ends {
			at := m.Apply(q)
			l.Dot(at.X, at.Y, 0.8, drawing.Black)
			p.take(boxAt(at, 1.6, 1.6))
			words, t := numberOf(names[e]), numType
			if words == "" {
				words, t = names[e], nameType
			}
			p.label(l, words, t, math.Inf(1), func(w, h float64) []spot { return round(at, w, h, 0.8, 1.8) })
		}
	}
}

// numberOf is the step in "neck point (2)".
func numberOf(place string) string {
	i, k := strings.LastIndex(place, "("), strings.LastIndex(place, ")")
	if i < 0 || k < i {
		return ""
	}
	return place[i+1 : k]
}
