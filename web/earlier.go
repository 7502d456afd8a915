package web

import (
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"clothwright/body"
	"clothwright/curve"
	"clothwright/piece"
	"clothwright/tape"
)

// Earlier is a job as it was at a moment that matters: what was typed then, from which the pieces of then are drafted again.
type Earlier struct {
	ID   string    `json:"id"`
	Why  string    `json:"why"` // "kept" by hand, "printed" or "chalked"
	When time.Time `json:"when"`

	Garment  string            `json:"garment"`
	Figure   string            `json:"figure,omitempty"`
	Age      string            `json:"age,omitempty"`
	Unit     string            `json:"unit"`
	House    string            `json:"house,omitempty"`
	Measures map[string]Typed  `json:"measures,omitempty"`
	Left     map[string]Typed  `json:"left,omitempty"`
	Right    map[string]Typed  `json:"right,omitempty"`
	Style    map[string]string `json:"style,omitempty"`
}

// mostEarlier is how many states kept by hand are remembered; the oldest makes room. Of those printed and chalked the last is.
const mostEarlier = 8

// same reports whether two states draft the same pieces.
func (e *Earlier) same(o *Earlier) bool {
	return e.Garment == o.Garment && e.Figure == o.Figure && e.Age == o.Age && e.Unit == o.Unit && e.House == o.House &&
		maps.Equal(e.Measures, o.Measures) && maps.Equal(e.Left, o.Left) && maps.Equal(e.Right, o.Right) && maps.Equal(e.Style, o.Style)
}

// state is the job as it is now.
func (r *Record) state(why string, now time.Time) Earlier {
	return Earlier{ID: newID(), Why: why, When: now.Truncate(time.Second), Garment: r.Garment, Figure: r.Figure, Age: r.Age, Unit: r.Unit, House: r.House,
		Measures: maps.Clone(r.Measures), Left: maps.Clone(r.Left), Right: maps.Clone(r.Right), Style: maps.Clone(r.Style)}
}

// remembered reports whether the job as it is now is already remembered for that reason, and by which ID.
func (r *Record) remembered(why string) (string, bool) {
	now := r.state(why, time.Time{})
	for i := range r.Kept.Earlier {
		if e := &r.Kept.Earlier[i]; e.Why == why && e.same(&now) {
			return e.ID, true
		}
	}
	return "", false
}

// remember keeps the job as it is now and returns the ID it is found by.
func (r *Record) remember(why string, now time.Time) string {
	if id, ok := r.remembered(why); ok {
		return id
	}
	e := r.state(why, now)
	room := 1
	if why == "kept" {
		room = mostEarlier
	}
	list := slices.Clone(r.Kept.Earlier)
	for count, i := 1, len(list)-1; i >= 0; i-- {
		if list[i].Why != why {
			continue
		}
		if count++; count > room {
			if list[i].ID == r.Kept.Compare {
				r.Kept.Compare = e.ID
			}
			list = slices.Delete(list, i, i+1)
		}
	}
	r.Kept.Earlier = append(list, e)
	return e.ID
}

// earlier finds a state.
func (r *Record) earlier(id string) *Earlier {
	for i := range r.Kept.Earlier {
		if r.Kept.Earlier[i].ID == id {
			return &r.Kept.Earlier[i]
		}
	}
	return nil
}

// record is the job as it was then.
func (e *Earlier) record(r *Record) *Record {
	out := *r
	out.Garment, out.Figure, out.Age, out.Unit, out.House = e.Garment, e.Figure, e.Age, e.Unit, e.House
	out.Measures, out.Left, out.Right, out.Style = e.Measures, e.Left, e.Right, e.Style
	return &out
}

// earlierLine is one state in the list to choose from.
type earlierLine struct {
	ID, Title string
	Chosen    bool
}

// beside is the present job next to an earlier state of it.
type beside struct {
	List   []earlierLine // the latest first
	Chosen bool
	Failed []string      // why the earlier state cannot be drafted any more
	Typed  []typedChange // what was typed otherwise
	Pieces []pieceChange
	was    *piece.Pattern
}

// typedChange is one measure or choice that is not as it was.
type typedChange struct{ Title, Was, Now string }

// pieceChange is what became of one piece.
type pieceChange struct {
	Title   string
	Changes []string
	name    string
}

// Same reports whether nothing is told apart from what was.
func (c beside) Same() bool { return len(c.Typed) == 0 && len(c.Pieces) == 0 }

// compare sets the job beside the state that was chosen, if any. now is nil while there is nothing drafted.
func (v *visit) compare(r *Record, now *piece.Pattern, t tape.Tape) (beside, error) {
	w := v.words
	var out beside
	for i := len(r.Kept.Earlier) - 1; i >= 0; i-- {
		e := &r.Kept.Earlier[i]
		at := e.When.Local()
		out.List = append(out.List, earlierLine{ID: e.ID, Chosen: e.ID == r.Kept.Compare,
			Title: w.T("earlier."+e.Why, "when", w.Date(at.Format("2006-01-02"))+", "+at.Format("15:04"))})
	}
	e := r.earlier(r.Kept.Compare)
	if e == nil {
		return out, nil
	}
	out.Chosen = true
	was := e.record(r)
	out.Typed = typedChanges(was, r, w)
	c, err := v.s.cut(was)
	if err != nil {
		return out, err
	}
	if c.err != nil {
		out.Failed = problems(c.err, w)
		return out, nil
	}
	out.was = c.result.Pattern
	if now != nil {
		out.Pieces = pieceChanges(out.was, now, t, w)
	}
	return out, nil
}

// typedChanges are the measures and choices that differ between two states.
func typedChanges(was, now *Record, w *Words) []typedChange {
	var out []typedChange
	none := func(s string) string {
		if s == "" {
			return w.T("earlier.nothing")
		}
		return s
	}
	add := func(title, a, b string) {
		if a != b {
			out = append(out, typedChange{title, none(a), none(b)})
		}
	}
	with := func(r *Record, m map[string]Typed, name body.Measure) string {
		text := m[string(name.Name)].Text
		if text != "" && name.Kind != body.Angle && !parses(text) && parses(text+" "+r.Unit) {
			return text + " " + r.Unit
		}
		return text
	}
	add(w.T("age"), was.Age, now.Age)
	for _, m := range body.Measures {
		title := w.measure(m)
		add(title, with(was, was.Measures, m), with(now, now.Measures, m))
		add(title+", "+w.T("side.left"), with(was, was.Left, m), with(now, now.Left, m))
		add(title+", "+w.T("side.right"), with(was, was.Right, m), with(now, now.Right, m))
	}
	g, err := garmentOf(now.Garment)
	if err != nil || was.Garment != now.Garment {
		return out
	}
	before := map[string]string{}
	said := func(c choice) string {
		for _, x := range c.Values {
			if x.Value == c.Now {
				return x.Title
			}
		}
		if c.Now == "" && c.Kind == "length" {
			return w.T("earlier.own")
		}
		return c.Now
	}
	each := func(r *Record, f func(choice)) {
		for _, group := range choicesOf(g, r, w) {
			for _, c := range group.Choices {
				f(c)
			}
		}
	}
	each(was, func(c choice) { before[c.Name] = said(c) })
	each(now, func(c choice) { add(c.Title, before[c.Name], said(c)) })
	return out
}

// least is the least difference of two lengths that is told, in mm: what the tape's finer division can show.
func least(t tape.Tape) float64 {
	if t.Unit == tape.IN {
		return tape.Inch / 32
	}
	return 0.5
}

// moved is how far an outline must have moved to be told, in mm, where no length changed: a chalk line's width.
const moved = 1.0

// pieceChanges says for each piece which of its edges are longer or shorter than they were.
func pieceChanges(was, now *piece.Pattern, t tape.Tape, w *Words) []pieceChange {
	var out []pieceChange
	step := least(t)
	for i := range now.Pieces {
		p := &now.Pieces[i]
		c := pieceChange{Title: w.piece(p.Name, p.Title), name: p.Name}
		old := was.Piece(p.Name)
		if old == nil {
			c.Changes = append(c.Changes, w.T("earlier.new"))
			out = append(out, c)
			continue
		}
		for k := range p.Edges {
			e := &p.Edges[k]
			before := old.Edge(e.Name)
			switch {
			case before == nil:
				c.Changes = append(c.Changes, w.T("earlier.newedge", "edge", edgeTitle(w, e.Name), "size", t.Fine(e.Length())))
			case e.Length()-before.Length() >= step:
				c.Changes = append(c.Changes, w.T("earlier.longer", "edge", edgeTitle(w, e.Name), "by", t.Fine(e.Length()-before.Length())))
			case before.Length()-e.Length() >= step:
				c.Changes = append(c.Changes, w.T("earlier.shorter", "edge", edgeTitle(w, e.Name), "by", t.Fine(before.Length()-e.Length())))
			}
		}
		for k := range old.Edges {
			if p.Edge(old.Edges[k].Name) == nil {
				c.Changes = append(c.Changes, w.T("earlier.goneedge", "edge", edgeTitle(w, old.Edges[k].Name)))
			}
		}
		if len(c.Changes) == 0 && strayed(old.SeamLine(), p.SeamLine()) > moved {
			c.Changes = append(c.Changes, w.T("earlier.moved"))
		}
		if p.Count != old.Count || p.Material != old.Material || p.OnFold != old.OnFold {
			c.Changes = append(c.Changes, w.T("earlier.cut", "cuts", cutsOf(p, w), "was", cutsOf(old, w)))
		}
		if len(c.Changes) > 0 {
			out = append(out, c)
		}
	}
	for i := range was.Pieces {
		if p := &was.Pieces[i]; now.Piece(p.Name) == nil {
			out = append(out, pieceChange{Title: w.piece(p.Name, p.Title), Changes: []string{w.T("earlier.gone")}, name: p.Name})
		}
	}
	return out
}

// strayed is how far the points of one line lie from another at most, in mm, looked at every 10 mm.
func strayed(from, to curve.Path) float64 {
	far := 0.0
	for s, long := 0.0, from.Length(); s < long; s += 10 {
		_, d := to.Nearest(from.PointAt(s))
		far = math.Max(far, d)
	}
	return far
}

// over is the earlier piece that lies under a piece that has changed, nil where nothing has.
func (c beside) over(name string) *piece.Piece {
	if c.was == nil {
		return nil
	}
	for _, p := range c.Pieces {
		if p.name == name {
			return c.was.Piece(name)
		}
	}
	return nil
}

// under draws what was with what is, and makes room for both.
func (v *view) under(was *piece.Piece, box curve.Rect) {
	cut := was.CutLine()
	old := []stroke{{Class: "earlier", D: pathData(cut) + "Z"}, {Class: "earlier seam", D: pathData(was.SeamLine()) + "Z"}}
	v.Strokes = append(v.Strokes, old...)
	box = box.Union(cut.Bounds().Pad(6))
	v.Box, v.W, v.H = boxOf(box), box.W(), box.H()
	v.Was = true
}

// galleryOver is every piece of a pattern, over what it was.
func galleryOver(p *piece.Pattern, c beside, w *Words) []view {
	out := gallery(p, w)
	for i := range p.Pieces {
		if was := c.over(p.Pieces[i].Name); was != nil {
			out[i].under(was, p.Pieces[i].CutLine().Bounds().Pad(6))
		}
	}
	return out
}

// sketchesOver are the jacket's two views, over what they were.
func sketchesOver(p *piece.Pattern, c beside) []sketch {
	out := sketches(p)
	if c.was == nil || len(c.Pieces) == 0 || len(out) == 0 {
		return out
	}
	was := sketches(c.was)
	if len(was) != len(out) {
		return out
	}
	lines := func(list []stroke) []stroke {
		var kept []stroke
		for _, s := range list {
			if s.Class == "edge" && !strings.HasPrefix(s.Edge, "sleeve") { // much of the sleeve lies behind the body
				kept = append(kept, stroke{Class: "earlier", D: s.D})
			}
		}
		return kept
	}
	box := curve.EmptyRect()
	for i := range out {
		box = box.Union(out[i].box).Union(was[i].box)
		out[i].WasLeft, out[i].WasRight = lines(was[i].Left), lines(was[i].Right)
	}
	for i := range out {
		out[i].Box = boxOf(box.Pad(12))
	}
	return out
}

// earlierDo keeps the job as it is to compare with, chooses what to compare with, or forgets a state.
func (v *visit) earlierDo() error {
	id := v.r.PathValue("id")
	var r *Record
	err := v.s.store.Change(id, func(now *Record) error {
		r = now
		with := v.form("with")
		switch v.form("do") {
		case "keep":
			now.Kept.Compare = now.remember("kept", v.s.now())
		case "forget":
			now.Kept.Earlier = slices.DeleteFunc(slices.Clone(now.Kept.Earlier), func(e Earlier) bool { return e.ID == now.Kept.Compare })
			now.Kept.Compare = ""
		default:
			if with == "" || now.earlier(with) != nil {
				now.Kept.Compare = with
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	return v.redraw(r, "#compare")
}

// moment remembers the job as it is printed or chalked now; a job that is remembered so already is not written again.
func (v *visit) moment(r *Record, why string) error {
	if _, ok := r.remembered(why); ok {
		return nil
	}
	return v.s.store.Change(r.ID, func(now *Record) error { now.remember(why, v.s.now()); return nil })
}

// cutFrom are the sheets that cloth is cut by.
var cutFrom = []string{"chalk.pdf", "pieces.pdf", "roll.pdf", "pieces.svg", "pieces.dxf"}

// join is a list in words.
func join(list []string) string { return strings.Join(list, "; ") }
