package web

import (
	"math"
	"net/url"
	"strconv"
	"strings"

	"clothwright/curve"
	"clothwright/piece"
	"clothwright/tape"
)

// Taping is measuring on the picture of one piece: two points are chosen and the tape is laid between them, straight and along the line
// they lie on. The figures come of the pattern's own curves; the picture only says where the tape was put.

// on is how near to a line a point must be to lie on it, in mm: the sheets' own tolerance.
const on = 0.02

// lane is a line of a piece that a tape can follow.
type lane struct {
	Key    string // "e3", an edge; "l0", a line inside; "k", the cut line
	Title  string
	Path   curve.Path
	Ref    string // "piece.edge", empty for the cut line
	long   float64
	begins float64 // of an edge: how far round the seam line it starts
}

// taped is a point that was chosen.
type taped struct {
	Key  string // finds it again: "c3" a corner, "m2" a mark, "n1" a notch, "e3@120.5" a place on a lane, "p12,-40" a free one
	Name string
	At   curve.Point
}

// tapeBoard is one piece with everything a tape can be put to.
type tapeBoard struct {
	Piece   *piece.Piece
	Title   string
	Lanes   []lane
	Corners []taped
	Notches []taped
	Marks   []taped
	tape    tape.Tape
	words   *Words
	round   float64      // length of the seam line
	was     *piece.Piece // what it was, where it is compared and has changed
}

func edgeTitle(w *Words, name string) string { return w.Or("edge."+name, w.Call(name)) }

func newBoard(p *piece.Piece, t tape.Tape, w *Words) *tapeBoard {
	b := &tapeBoard{Piece: p, Title: w.piece(p.Name, p.Title), tape: t, words: w}
	for i := range p.Edges {
		e := &p.Edges[i]
		b.Lanes = append(b.Lanes, lane{Key: "e" + itoa(i), Title: edgeTitle(w, e.Name), Path: e.Path, Ref: p.Name + "." + e.Name, long: e.Length(), begins: b.round})
		b.round += e.Length()
		last := &p.Edges[(i+len(p.Edges)-1)%len(p.Edges)]
		b.Corners = append(b.Corners, taped{"c" + itoa(i), w.T("taping.corner", "edge", edgeTitle(w, last.Name), "next", edgeTitle(w, e.Name)), e.Path.Start()})
	}
	for i, l := range p.Lines {
		title := w.Call(l.Label)
		if title == "" {
			title = w.Call(l.Name)
		}
		b.Lanes = append(b.Lanes, lane{Key: "l" + itoa(i), Title: w.Or("edge."+l.Name, title), Path: l.Path, Ref: p.Name + "." + l.Name, long: l.Path.Length()})
	}
	if cut := p.CutLine(); len(cut) > 0 {
		b.Lanes = append(b.Lanes, lane{Key: "k", Title: w.T("taping.cutline"), Path: cut, long: cut.Length()})
	}
	for i, n := range p.Notches {
		if e := p.Edge(n.Edge); e != nil {
			b.Notches = append(b.Notches, taped{"n" + itoa(i), w.T("taping.notch", "edge", edgeTitle(w, n.Edge), "n", itoa(i+1)), e.Path.PointAt(n.At)})
		}
	}
	box := b.box()
	for i, m := range p.Marks {
		if box.Contains(m.At) {
			b.Marks = append(b.Marks, taped{"m" + itoa(i), w.T("taping.mark", "mark", w.Call(m.Name)), m.At})
		}
	}
	return b
}

func (b *tapeBoard) box() curve.Rect { return b.Piece.Bounds().Pad(8) }

// Points are all points that have a name, as they stand in the lists.
func (b *tapeBoard) Points() []taped {
	return append(append(append([]taped(nil), b.Corners...), b.Notches...), b.Marks...)
}

func (b *tapeBoard) lane(key string) *lane {
	for i := range b.Lanes {
		if b.Lanes[i].Key == key {
			return &b.Lanes[i]
		}
	}
	return nil
}

// find is the point of a key; ok is false when there is none.
func (b *tapeBoard) find(key string) (taped, bool) {
	for _, p := range b.Points() {
		if p.Key == key {
			return p, true
		}
	}
	if name, far, ok := strings.Cut(key, "@"); ok {
		s, err := strconv.ParseFloat(far, 64)
		l := b.lane(name)
		if err != nil || l == nil || !(s >= 0 && s <= l.long) {
			return taped{}, false
		}
		return taped{key, b.words.T("taping.on", "edge", l.Title), l.Path.PointAt(s)}, true
	}
	if at, ok := strings.CutPrefix(key, "p"); ok {
		if q, ok := pointIn(at); ok && b.box().Pad(50).Contains(q) {
			return taped{key, b.words.T("taping.free"), q}, true
		}
	}
	return taped{}, false
}

func pointIn(s string) (curve.Point, bool) {
	x, y, ok := strings.Cut(s, ",")
	px, err := strconv.ParseFloat(x, 64)
	py, err2 := strconv.ParseFloat(y, 64)
	q := curve.Point{X: px, Y: py}
	return q, ok && err == nil && err2 == nil && math.Abs(px) < 1e5 && math.Abs(py) < 1e5
}

// catch is the point that a tap at q means: the nearest with a name within reach, else the nearest place on a line, else q itself.
func (b *tapeBoard) catch(q curve.Point, reach float64) taped {
	best, near := taped{}, reach
	for _, p := range b.Points() {
		if d := p.At.Dist(q); d < near {
			best, near = p, d
		}
	}
	if best.Key != "" {
		return best
	}
	key, near := "", reach
	for i := range b.Lanes {
		l := &b.Lanes[i]
		if s, d := l.Path.Nearest(q); d < near {
			key, near = l.Key+"@"+strconv.FormatFloat(min(s, l.long), 'f', 3, 64), d
		}
	}
	if key == "" {
		key = "p" + strconv.FormatFloat(q.X, 'f', 1, 64) + "," + strconv.FormatFloat(q.Y, 'f', 1, 64)
	}
	p, _ := b.find(key)
	return p
}

// along is the way a tape takes from one point to another along a line that both lie on.
type along struct {
	Title string
	MM    float64
	Path  curve.Path
}

// follow lays the tape along the line that two points share: an edge, a line inside, else the shorter way round the seam line or the
// cut line.
func (b *tapeBoard) follow(p, q curve.Point) (along, bool) {
	type place struct{ p, q float64 }
	lies := func(l *lane) (place, bool) {
		s, d := l.Path.Nearest(p)
		t, e := l.Path.Nearest(q)
		return place{s, t}, d <= on && e <= on
	}
	var around []float64
	for _, x := range []curve.Point{p, q} {
		for i := range b.Piece.Edges {
			if s, d := b.Lanes[i].Path.Nearest(x); d <= on {
				around = append(around, b.Lanes[i].begins+s)
				break
			}
		}
	}
	for i := range b.Lanes {
		l := &b.Lanes[i]
		if l.Key == "k" {
			break
		}
		if at, ok := lies(l); ok {
			s, t := min(at.p, at.q), max(at.p, at.q)
			return along{b.words.T("taping.along", "edge", l.Title), t - s, l.Path.Sub(s, t)}, true
		}
	}
	if len(around) == 2 {
		return b.shorter(b.Piece.SeamLine(), around[0], around[1], true), true
	}
	if l := b.lane("k"); l != nil {
		if at, ok := lies(l); ok {
			return b.shorter(l.Path, at.p, at.q, false), true
		}
	}
	return along{}, false
}

// shorter is the shorter of the two ways round a closed line.
func (b *tapeBoard) shorter(line curve.Path, s, t float64, seam bool) along {
	whole := line.Length()
	s, t = min(s, t), max(s, t)
	way := along{MM: t - s, Path: line.Sub(s, t)}
	inside := func(x float64) bool { return x > s+on && x < t-on }
	if whole-(t-s) < t-s {
		way = along{MM: whole - (t - s), Path: append(append(curve.Path{}, line.Sub(t, whole)...), line.Sub(0, s)...)}
		inside = func(x float64) bool { return x > t+on || x < s-on }
	}
	if !seam {
		way.Title = b.words.T("taping.along", "edge", b.words.T("taping.cutline"))
		return way
	}
	var names []string
	for i := range b.Piece.Edges {
		l := &b.Lanes[i]
		for _, x := range []float64{l.begins + 4*on, l.begins + l.long/2, l.begins + l.long - 4*on} {
			if inside(x) {
				names = append(names, l.Title)
				break
			}
		}
	}
	way.Title = b.words.T("taping.round", "edges", strings.Join(names, ", "))
	return way
}

// figure is one length that was taped.
type figure struct {
	Title, Size, Exact string
	MM                 string
	Main               bool
}

func (b *tapeBoard) figure(title string, mm float64, main bool) figure {
	return figure{Title: title, Size: b.tape.Fine(mm), Exact: b.words.Number(mm, 1) + " mm", MM: strconv.FormatFloat(math.Round(mm*1000)/1000+0, 'f', -1, 64), Main: main}
}

// taping is what the page shows of a board: what is chosen, and what it measures.
type taping struct {
	*tapeBoard
	A, B     *taped
	Edge     *lane
	Figures  []figure
	View     view
	Way      string // drawn along
	Straight string
	Dots     []dot
	Pieces   []pieceLink
	Edges    []edgeRow
	Lists    []pointList
}

type dot struct{ X, Y, R, Class, Label, TX, TY, Size string }

// edgeRow is one line of a piece with its length.
type edgeRow struct {
	figure
	Key string
	Now bool
}

// pointList is points of one kind, for the lists to choose from.
type pointList struct {
	Title  string
	Points []taped
}

type pieceLink struct {
	Name, Title string
	Now         bool
}

// measure reads what is chosen out of an address and works out its figures. A tap puts the first point, then the second, then begins anew.
func (b *tapeBoard) measure(q url.Values) taping {
	t := taping{tapeBoard: b}
	take := func(key string) *taped {
		if p, ok := b.find(key); ok {
			return &p
		}
		return nil
	}
	t.A, t.B = take(q.Get("a")), take(q.Get("b"))
	if t.A == nil {
		t.A, t.B = t.B, nil
	}
	if at, ok := pointIn(q.Get("tap")); ok {
		reach, err := strconv.ParseFloat(q.Get("reach"), 64)
		if err != nil || !(reach > 0 && reach < 200) {
			reach = 10
		}
		p := b.catch(at, reach)
		switch {
		case t.A == nil || t.B != nil:
			t.A, t.B = &p, nil
		case p.Key != t.A.Key:
			t.B = &p
		default:
			t.A = nil // a second tap at the same place takes it away
		}
	}
	if l := b.lane(q.Get("edge")); l != nil && t.A == nil {
		t.Edge = l
	}
	w := b.words
	switch {
	case t.A != nil && t.B != nil:
		a, z := t.A.At, t.B.At
		t.Straight = "M" + xy(a) + "L" + xy(z)
		t.Figures = append(t.Figures, b.figure(w.T("taping.straight"), a.Dist(z), true))
		if way, ok := b.follow(a, z); ok {
			t.Way = pathData(way.Path)
			t.Figures = append(t.Figures, b.figure(way.Title, way.MM, true))
		}
		t.Figures = append(t.Figures, b.figure(w.T("taping.across"), math.Abs(a.X-z.X), false), b.figure(w.T("taping.down"), math.Abs(a.Y-z.Y), false))
	case t.A != nil:
		for i := range b.Lanes {
			l := &b.Lanes[i]
			s, d := l.Path.Nearest(t.A.At)
			if d > on || l.Key == "k" {
				continue
			}
			t.Figures = append(t.Figures, b.figure(w.T("taping.whole", "edge", l.Title), l.long, true))
			if s > 0.5 && s < l.long-0.5 {
				t.Figures = append(t.Figures, b.figure(w.T("taping.before"), s, false), b.figure(w.T("taping.after"), l.long-s, false))
			}
		}
	case t.Edge != nil:
		t.Way = pathData(t.Edge.Path)
		t.Figures = append(t.Figures, b.figure(w.T("taping.whole", "edge", t.Edge.Title), t.Edge.long, true))
		if d := t.Edge.Path.Start().Dist(t.Edge.Path.End()); t.Edge.long-d > 0.05 && d > 1 {
			t.Figures = append(t.Figures, b.figure(w.T("taping.ends"), d, false))
		}
	}
	t.draw()
	return t
}

// draw puts the piece and what is chosen in it into the picture.
func (t *taping) draw() {
	b := t.tapeBoard
	t.View = pieceView(b.Piece, b.words)
	if b.was != nil {
		t.View.under(b.was, b.Piece.CutLine().Bounds().Pad(6))
	}
	unit := max(t.View.W, t.View.H) / 100 // of the picture, so that dots are of a size on every piece
	small := func(p taped, class string) dot {
		return dot{X: tenth(p.At.X), Y: tenth(p.At.Y), R: tenth(unit * 0.55), Class: class}
	}
	for _, p := range b.Marks {
		t.Dots = append(t.Dots, small(p, "catch mark"))
	}
	for _, p := range b.Corners {
		t.Dots = append(t.Dots, small(p, "catch corner"))
	}
	for _, p := range b.Notches {
		t.Dots = append(t.Dots, small(p, "catch at-notch"))
	}
	for i, p := range []*taped{t.A, t.B} {
		if p == nil {
			continue
		}
		d := small(*p, "chosen")
		d.R, d.Label, d.Size = tenth(unit*1.1), string(rune('A'+i)), tenth(unit*4)
		// The letter stands toward the middle of the piece, where there is room.
		way := b.box().Center().Sub(p.At).Unit().Mul(unit * 3.6)
		d.TX, d.TY = tenth(p.At.X+way.X), tenth(p.At.Y+way.Y+unit*1.4)
		t.Dots = append(t.Dots, d)
	}
	for i := range b.Lanes {
		l := &b.Lanes[i]
		t.Edges = append(t.Edges, edgeRow{figure: b.figure(l.Title, l.long, false), Key: l.Key, Now: t.Edge == l})
	}
	for _, l := range []pointList{{"taping.corners", b.Corners}, {"taping.notches", b.Notches}, {"taping.marks", b.Marks}} {
		if len(l.Points) > 0 {
			t.Lists = append(t.Lists, pointList{b.words.T(l.Title), l.Points})
		}
	}
}

// Lit reports whether a stroke is what was chosen whole.
func (t taping) Lit(s stroke) bool { return t.Edge != nil && s.Edge != "" && s.Edge == t.Edge.Ref }

// chosenKey is the key of a chosen point, for the list that shows it; a point without a name is listed by itself.
func chosenKey(p *taped) string {
	if p == nil {
		return ""
	}
	return p.Key
}

// unlisted is a chosen point that none of the lists has.
func (t taping) unlisted(p *taped) bool {
	if p == nil {
		return false
	}
	for _, x := range t.Points() {
		if x.Key == p.Key {
			return false
		}
	}
	return true
}

// tapingPage shows one piece large, to measure on.
func (v *visit) tapingPage() error {
	r, result, err := v.ready()
	if err != nil || result == nil {
		return err
	}
	p := result.Pattern.Piece(v.r.PathValue("piece"))
	if p == nil {
		return errNotFound
	}
	board := newBoard(p, result.Job.House.Tape, v.words)
	compared, err := v.compare(r, result.Pattern, result.Job.House.Tape)
	if err != nil {
		return err
	}
	board.was = compared.over(p.Name)
	t := board.measure(v.r.URL.Query())
	for i := range result.Pattern.Pieces {
		q := &result.Pattern.Pieces[i]
		t.Pieces = append(t.Pieces, pieceLink{q.Name, v.words.piece(q.Name, q.Title), q == p})
	}
	c := v.chrome(t.Title, "design", r)
	if v.live() {
		return v.show(tapingPart(c, t))
	}
	return v.show(tapingPage(c, t))
}

// pieceAt is the address of a piece's page with what is chosen on it.
func (c chrome) pieceAt(name string, more ...string) string {
	out := "/jobs/" + c.Job.ID + "/design/" + url.PathEscape(name)
	q := url.Values{}
	for i := 0; i+1 < len(more); i += 2 {
		q.Set(more[i], more[i+1])
	}
	if len(q) > 0 {
		out += "?" + q.Encode()
	}
	return out
}
