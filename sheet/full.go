package sheet

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"clothwright/curve"
	"clothwright/piece"
	"clothwright/sheet/drawing"
	"clothwright/sheet/text"
	"clothwright/sheet/tile"
)

// FullSize is every piece at full size on pages of the job's paper. A piece that needs several pages is a set of its own with
// its own map; small pieces share one. A piece that repeats another is named on that one, whose seam line it is. It fails
// with a sentence when the job has no piece or no known paper.
func FullSize(j Job) (*drawing.Drawing, error) {
	if err := j.check(); err != nil {
		return nil, err
	}
	pages, err := j.fullPages()
	if err != nil {
		return nil, err
	}
	return &drawing.Drawing{Title: strings.TrimSpace(j.Garment + " full size " + j.Job), Pages: pages}, nil
}

// longestRoll is how long one page of a roll is made, in mm: readers of the format stop a little beyond 5 m.
const longestRoll = 4800.

// Roll is every piece at full size on pages as wide as the job's roll, as few as can be. It fails with a sentence when the job
// has no roll or a piece is wider than it.
func Roll(j Job) (*drawing.Drawing, error) {
	if err := j.check(); err != nil {
		return nil, err
	}
	if !(j.Roll > 0) {
		return nil, fmt.Errorf("the house has no roll: say how wide it is")
	}
	d := &drawing.Drawing{Title: strings.TrimSpace(j.Garment + " full size " + j.Job)}
	rest := j.fullPieces()
	for len(rest) > 0 {
		var f *drawing.Figure
		f, rest = j.shelves(rest, j.Roll-2*tile.Margin, longestRoll, drawing.Size{})
		p, err := tile.Roll(f, j.Roll, tile.Options{Title: j.who(), Warning: j.warning()})
		if err != nil {
			return nil, err
		}
		d.Pages = append(d.Pages, p)
	}
	for i, p := range d.Pages {
		words := fmt.Sprintf("Full size on a roll: page %d of %d", i+1, len(d.Pages))
		p.Text(p.W-tile.Margin, p.H-tile.Margin+4, words, drawing.Type{Size: 3.2, Anchor: drawing.End})
		if j.DemoNote != "" {
			put(&p.Layer, tile.Margin, p.H-tile.Margin+4, p.W-2*tile.Margin-80, j.DemoNote, drawing.Small)
		}
	}
	return d, nil
}

// fullPieces are the pieces that are drawn at full size: all but those that repeat others.
func (j Job) fullPieces() []*piece.Piece {
	var out []*piece.Piece
	for i := range j.Pattern.Pieces {
		p := &j.Pattern.Pieces[i]
		if p.CopyOf == "" || j.Pattern.Piece(p.CopyOf) == nil {
			out = append(out, p)
		}
	}
	return out
}

func (j Job) fullPages() ([]*drawing.Page, error) {
	paper, err := j.paper()
	if err != nil {
		return nil, err
	}
	type group struct {
		name   string
		pieces []*piece.Piece
		width  float64
	}
	var groups []group
	var small []*piece.Piece
	for _, p := range j.fullPieces() {
		b := area(p).Pad(fullAir)
		if b.W()*b.H() < 1.3*paper.W*paper.H && math.Min(b.W(), b.H()) < paper.H {
			small = append(small, p)
			continue
		}
		groups = append(groups, group{titled(p), []*piece.Piece{p}, math.Inf(1)})
	}
	if len(small) > 0 {
		groups = append(groups, group{"small pieces", small, 0})
	}
	var out []*drawing.Page
	for i, g := range groups {
		o := tile.Options{Paper: paper, Warning: j.warning(), Title: fmt.Sprintf("%s · %s (set %d of %d)", j.who(), g.name, i+1, len(groups))}
		set, err := j.cheapest(g.pieces, g.width, o)
		if err != nil {
			return nil, err
		}
		pages := set.Pages()
		if j.DemoNote != "" {
			put(&pages[0].Layer, tile.Margin, pages[0].H-2.5, pages[0].W-2*tile.Margin, j.DemoNote, drawing.Small)
		}
		out = append(out, pages...)
	}
	return out, nil
}

// cheapest arranges pieces so that they take few pages: one piece as it is, several on shelves of the width that needs the fewest.
func (j Job) cheapest(ps []*piece.Piece, width float64, o tile.Options) (*tile.Set, error) {
	widths := []float64{width}
	if width == 0 {
		widths = nil
		for _, across := range []bool{false, true} {
			s := o.Paper
			if across {
				s = s.Across()
			}
			for n := 1.; n <= 4; n++ {
				widths = append(widths, n*(s.W-2*tile.Margin-tile.Overlap)+tile.Overlap)
			}
		}
	}
	var best *tile.Set
	bestWide := 0.0
	for _, w := range widths {
		widest := 0.0
		for _, p := range ps {
			widest = math.Max(widest, area(p).W()+2*fullAir)
		}
		if w < widest && len(widths) > 1 {
			continue
		}
		f, _ := j.shelves(ps, w, math.Inf(1), drawing.Size{})
		set, err := tile.Cut(f, o)
		if err != nil {
			return nil, err
		}
		if best == nil || len(set.Tiles) < len(best.Tiles) {
			best, bestWide = set, w
		}
	}
	if best == nil {
		f, _ := j.shelves(ps, math.Inf(1), math.Inf(1), drawing.Size{})
		set, err := tile.Cut(f, o)
		if err != nil {
			return nil, err
		}
		best, bestWide = set, math.Inf(1)
	}
	// Now that the pages are known, the labels are moved off their joints.
	f, _ := j.shelves(ps, bestWide, math.Inf(1), best.Paper)
	return tile.Cut(f, o)
}

// fullAir is kept free round a piece at full size, in mm: the cut line shall not run along a page's edge.
const fullAir = 6.

// shelves lays pieces in rows on a figure at most wide mm wide and long mm long, the highest first, grain as drafted. It
// returns the figure and the pieces that found no room. With a paper given, labels keep off the joints of its pages.
func (j Job) shelves(ps []*piece.Piece, wide, long float64, paper drawing.Size) (*drawing.Figure, []*piece.Piece) {
	order := append([]*piece.Piece(nil), ps...)
	sort.SliceStable(order, func(a, b int) bool { return area(order[a]).H() > area(order[b]).H() })
	f := &drawing.Figure{}
	// A shelf is as high as its first piece. It is divided into stacks as wide as their first piece, so that short
	// pieces come to lie below each other.
	type stack struct{ x, w, used float64 }
	type shelf struct {
		y, h, x float64
		stacks  []stack
	}
	var rows []shelf
	var rest []*piece.Piece
	place := func(p *piece.Piece, b curve.Rect) (curve.Point, bool) {
		for i := range rows {
			s := &rows[i]
			for k := range s.stacks {
				c := &s.stacks[k]
				if b.W() <= c.w+1e-9 && c.used+b.H() <= s.h+1e-9 {
					at := curve.Point{X: c.x, Y: s.y + c.used}
					c.used += b.H()
					return at, true
				}
			}
			if s.x+b.W() <= wide+1e-9 && b.H() <= s.h+1e-9 {
				s.stacks = append(s.stacks, stack{s.x, b.W(), b.H()})
				at := curve.Point{X: s.x, Y: s.y}
				s.x += b.W()
				return at, true
			}
		}
		y := 0.0
		if n := len(rows); n > 0 {
			y = rows[n-1].y + rows[n-1].h
		}
		if y+b.H() > long && len(rows) > 0 {
			return curve.Point{}, false
		}
		rows = append(rows, shelf{y: y, h: b.H(), x: b.W(), stacks: []stack{{0, b.W(), b.H()}}})
		return curve.Point{Y: y}, true
	}
	for _, p := range order {
		b := area(p).Pad(fullAir)
		at, ok := place(p, b)
		if !ok {
			rest = append(rest, p)
			continue
		}
		j.fullPiece(&f.Layer, p, at.Sub(b.Min), paper)
		f.W, f.H = math.Max(f.W, at.X+b.W()), math.Max(f.H, at.Y+b.H())
	}
	return f, rest
}

// fullPiece draws one piece at full size, moved by v.
func (j Job) fullPiece(l *drawing.Layer, p *piece.Piece, v curve.Point, paper drawing.Size) {
	m := curve.Translate(v)
	outline(l, p, m, fullPen)
	grain(l, p, m, math.Inf(1), drawing.Thin)
	foldSign(l, p, m, 12, "place on the fold", drawing.Type{Size: 6})
	copies := j.copiesOf(p)
	for _, c := range copies {
		if c.CutArea() != p.Area() {
			l.Outline(drawing.Thin.Dashed(10, 2, 1, 2), c.CutLine().Transform(m))
		}
	}
	room := j.fullRoom(p, m)
	j.fullLabel(l, p, copies, m, &room, paper)
	r := newReader(j.Tape, p)
	for i := range p.Edges {
		e := &p.Edges[i]
		if e.Finish == piece.Fold {
			continue
		}
		words := edgeName(e)
		if e.Allowance > 0 {
			words += ", " + fr(r.outside(e)) + " allowed"
		}
		edgeWords(l, e, m, words)
	}
	for _, in := range p.Lines {
		if in.Label != "" && in.Label != "fold" {
			path := in.Path.Transform(m)
			n := path.TangentAt(path.Length() / 2)
			along(l, path.Start(), path.End(), n.Left(), 1.2, in.Label, drawing.Type{Size: 3.4, Color: drawing.Dark})
		}
	}
}

// edgeWords writes along the inside of an edge, in its middle, where the edge is long enough.
func edgeWords(l *drawing.Layer, e *piece.Edge, m curve.Affine, words string) {
	path := e.Path.Transform(m)
	whole := path.Length()
	t := drawing.Type{Size: 3, Color: drawing.Dark}
	w := t.Measure(words)
	if w+4 > whole {
		t.Size *= math.Max(0.55, (whole-2)/(w+2))
		w = t.Measure(words)
	}
	mid := whole / 2
	a, b := path.PointAt(math.Max(0, mid-w/2)), path.PointAt(math.Min(whole, mid+w/2))
	in := path.TangentAt(mid).Right()
	sag := math.Max(0, path.PointAt(mid).Sub(a.Lerp(b, 0.5)).Dot(in))
	along(l, a.Add(in.Mul(sag)), b.Add(in.Mul(sag)), in, 1.4, words, t)
}

// copiesOf are the pieces that repeat p.
func (j Job) copiesOf(p *piece.Piece) []*piece.Piece {
	var out []*piece.Piece
	for i := range j.Pattern.Pieces {
		if q := &j.Pattern.Pieces[i]; q.CopyOf == p.Name {
			out = append(out, q)
		}
	}
	return out
}

// fullRoom knows where on a piece its label should not stand.
func (j Job) fullRoom(p *piece.Piece, m curve.Affine) placer {
	room := placer{bounds: area(p).Pad(fullAir)}
	at := m.Apply(curve.Point{})
	room.bounds.Min, room.bounds.Max = room.bounds.Min.Add(at), room.bounds.Max.Add(at)
	room.avoid(p.SeamLine().Transform(m))
	for _, in := range p.Lines {
		room.avoid(in.Path.Transform(m))
	}
	if p.Grain[0].Dist(p.Grain[1]) > 1 {
		room.avoid(curve.Path{curve.Line(m.Apply(p.Grain[0]), m.Apply(p.Grain[1]))})
	}
	return room
}

// onOnePage reports whether a box on the figure is seen whole on one of the pages it is spread over.
func onOnePage(r curve.Rect, paper drawing.Size) bool {
	if paper.W == 0 {
		return true
	}
	one := func(a, b, side float64) bool {
		window := side - 2*tile.Margin
		step := window - tile.Overlap
		return b <= math.Floor(a/step)*step+window || b <= math.Floor(a/step-1)*step+window && a >= step
	}
	return one(r.Min.X, r.Max.X, paper.W) && one(r.Min.Y, r.Max.Y, paper.H)
}

// labelLine is one line of a piece's label.
type labelLine struct {
	words string
	t     drawing.Type
}

// labelLines is who and what a piece is, the most needed first.
func (j Job) labelLines(p *piece.Piece, copies []*piece.Piece) []labelLine {
	plain := drawing.Type{Size: 4}
	name, t := fitted(titled(p), 110, drawing.Type{Size: 9, Bold: true})
	lines := []labelLine{{name, t}, {cuts(p), drawing.Type{Size: 5.5, Bold: true}}}
	add := func(words string) {
		if words = strings.TrimSpace(words); words != "" {
			for _, line := range plain.Wrap(words, 70) {
				lines = append(lines, labelLine{line, plain})
			}
		}
	}
	for _, c := range copies {
		where := "cut on this seam line"
		if c.CutArea() != p.Area() {
			where = "cut on the line of long and short dashes"
		}
		add(fmt.Sprintf("%s: %s, %s", titled(c), cuts(c), where))
	}
	add(j.Client)
	add(j.Job + "  " + j.Date)
	for _, m := range j.keyMeasures(1) {
		add(m.Title + " " + fr(m.words(j.Tape)))
	}
	add(p.Note)
	return lines
}

// fullLabel writes who and what a piece is where most room is free inside it: upright, or turned where the piece is narrow,
// as large as it can be.
func (j Job) fullLabel(l *drawing.Layer, p *piece.Piece, copies []*piece.Piece, m curve.Affine, room *placer, paper drawing.Size) {
	b := p.SeamLine().Bounds()
	lines := j.labelLines(p, copies)
	w, h := 0.0, 0.0
	for _, x := range lines {
		w = math.Max(w, x.t.Measure(x.words))
		h += x.t.Pitch()
	}
	outline := p.SeamLine().Transform(m).Flatten(1)
	best, cost, scale, turned := m.Apply(b.Center()), math.Inf(1), 0.5, false
	for _, k := range []float64{1, 0.8, 0.65, 0.55, 0.48} {
		for _, turn := range []bool{false, true} {
			bw, bh := w*k+8*k, h*k+6*k
			if turn {
				bw, bh = bh, bw
			}
			if bw > b.W() || bh > b.H() {
				continue
			}
			for iy := range 17 {
				for ix := range 13 {
					q := m.Apply(curve.Point{X: b.Min.X + b.W()*(float64(ix)+0.5)/13, Y: b.Min.Y + b.H()*(float64(iy)+0.5)/17})
					r := boxAt(q, bw, bh)
					if !curve.Contains(outline, r.Min) || !curve.Contains(outline, r.Max) {
						continue
					}
					c := room.cost(r)*20 + q.Dist(m.Apply(b.Center()))*0.05 + (1-k)*40
					if turn {
						c += 14
					}
					if !onOnePage(r, paper) {
						c += 30
					}
					if c < cost {
						best, cost, scale, turned = q, c, k, turn
					}
				}
			}
		}
	}
	turn := 0.0
	if turned {
		turn = -math.Pi / 2
	}
	y := -h * scale / 2
	for _, x := range lines {
		t := x.t.Sized(x.t.Size * scale).At(drawing.Middle).Turned(turn)
		at := best.Add(curve.Point{Y: y + 0.5*t.Pitch() + text.CapHeight*t.Size/2}.Rotate(turn))
		l.Text(at.X, at.Y, x.words, t)
		y += t.Pitch()
	}
}

// keyMeasures are the first n given measures, chest before all others: enough to tell one person's pieces from another's.
func (j Job) keyMeasures(n int) []Measure {
	ms := append([]Measure(nil), j.Measures...)
	sort.SliceStable(ms, func(a, b int) bool {
		key := func(m Measure) int {
			switch title := strings.ToLower(m.Title); {
			case strings.Contains(title, "chest"), strings.Contains(title, "bust") && !strings.Contains(title, "under"):
				return 0
			case m.From == "given":
				return 1
			}
			return 2
		}
		return key(ms[a]) < key(ms[b])
	})
	return ms[:min(n, len(ms))]
}
