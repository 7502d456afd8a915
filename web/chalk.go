package web

import (
	"fmt"
	"math"
	"strings"

	"clothwright/curve"
	"clothwright/job"
	"clothwright/piece"
	"clothwright/tape"
)

// chalkStep is one thing to do with chalk, as it is shown at the table.
type chalkStep struct {
	N, Of  int
	Big    string // the figure to read from two metres, empty when the step has none
	Words  string
	Why    string
	Name   string
	Tables []offsetTable // how a curve is chalked
	Box    string
	Done   []stroke // what is chalked before
	Now    []stroke // what this step adds
	Points []spot
}

// offsetTable is one stretch of a curve, between two marks.
type offsetTable struct {
	Chord string // what its rows are measured along
	Rows  []offsetRow
	a, b  curve.Point
}

// offsetRow is one point of a curve: so far along the straight between its ends, so far out from it.
type offsetRow struct{ Along, Out, Side string }

// spot is a mark in the drawing.
type spot struct {
	X, Y  string
	Label string
	Class string
	R     string
	TX    string // where its label stands
	TY    string
	Size  string
}

// table is one piece at the table, step by step.
type table struct {
	Piece *piece.Piece
	Title string
	Unit  string
	Start string // where the first line lies on the cloth
	tape  tape.Tape
	words *Words
}

// steps are how many steps the piece has.
func (t table) steps() int { return len(t.Piece.Steps) }

// say is a distance on the table's tape. What was drafted on another tape is read to the finer mark.
func (t table) say(mm float64, own tape.Tape) string {
	if own.Unit == t.tape.Unit {
		return own.Fine(mm)
	}
	return t.tape.Fine(mm)
}

// step tells step i, from 0.
func (t table) step(i int, house tape.Tape) chalkStep {
	s := &t.Piece.Steps[i]
	out := chalkStep{N: i + 1, Of: t.steps(), Name: t.words.Call(s.Name), Why: sentence(t.words.Say(s.Why))}
	say := func(mm float64) string { return t.say(mm, house) }
	if m := s.Mark; m != nil {
		out.Words, out.Big = t.walk(i, m, say)
	} else {
		out.Words = t.draw(s)
		if len(s.Path) > 0 && !straight(s.Path) {
			out.Tables = t.tables(s, say)
		} else if len(s.Path) > 0 {
			out.Big = say(s.Path.Length())
		}
	}
	t.picture(&out, i)
	return out
}

func plainName(s string) string { return strings.ReplaceAll(s, "_", " ") }

func straight(p curve.Path) bool {
	for _, s := range p {
		if !s.Straight() {
			return false
		}
	}
	return true
}

// walk says how a mark is reached, and the figure to read.
func (t table) walk(i int, m *piece.Mark, say func(float64) string) (words, big string) {
	w := t.words
	name, from := w.Call(m.Name), w.Call(m.From)
	way, other, _ := strings.Cut(m.Way, " to ")
	other = w.Call(other)
	big = say(m.Distance)
	switch way {
	case "start":
		line := w.Call(t.Piece.Start.Line)
		if line == "" {
			line = w.T("chalk.firstline")
		}
		return w.T("chalk.start", "line", line, "mark", name), ""
	case "down", "up", "across", "inward":
		return w.T("chalk."+way, "from", from, "far", big, "mark", name), big
	case "midway":
		return w.T("chalk.midway", "from", from, "other", other, "mark", name), big
	case "plumb":
		return w.T("chalk.plumb", "from", from, "other", other, "mark", name), ""
	case "along", "walked along":
		return w.T("chalk.along", "from", from, "line", t.lineAt(i, m.At), "far", big, "mark", name), big
	case "swing":
		return w.T("chalk.swing", "from", from, "line", t.lineAt(i, m.At), "far", big, "mark", name), big
	case "level":
		return w.T("chalk.level", "from", from, "line", t.lineAt(i, m.At), "mark", name), ""
	case "crossing":
		return w.T("chalk.crossing", "mark", name), ""
	}
	if f := t.Piece.Mark(m.From); f != nil {
		v := m.At.Sub(f.At)
		var parts []string
		if math.Abs(v.X) > 0.02 {
			parts = append(parts, w.T(map[bool]string{true: "chalk.part.across", false: "chalk.part.inward"}[v.X > 0], "far", say(math.Abs(v.X))))
		}
		if math.Abs(v.Y) > 0.02 {
			parts = append(parts, w.T(map[bool]string{true: "chalk.part.down", false: "chalk.part.up"}[v.Y > 0], "far", say(math.Abs(v.Y))))
		}
		far := strings.Join(parts, " "+w.T("chalk.and")+" ")
		return w.T("chalk.go", "from", from, "far", far, "mark", name), far
	}
	return w.T("chalk.mark", "mark", name), ""
}

// lineAt names the line chalked before step i on which a place lies, the latest one.
func (t table) lineAt(i int, q curve.Point) string {
	for k := i - 1; k >= 0; k-- {
		s := &t.Piece.Steps[k]
		if len(s.Path) == 0 {
			continue
		}
		if _, d := s.Path.Nearest(q); d <= 0.02 {
			return t.words.Call(s.Name)
		}
	}
	return t.words.T("chalk.theline")
}

// markAt names the mark at a place.
func (t table) markAt(q curve.Point) string {
	for i := range t.Piece.Marks {
		if t.Piece.Marks[i].At.Dist(q) <= 0.02 {
			return t.words.Call(t.Piece.Marks[i].Name)
		}
	}
	return t.words.T("chalk.there")
}

// draw says a line or a curve.
func (t table) draw(s *piece.Step) string {
	if len(s.Path) == 0 {
		return t.words.Call(s.Name)
	}
	from, to := t.markAt(s.Path.Start()), t.markAt(s.Path.End())
	var by []string
	for _, n := range s.Through {
		if n = t.words.Call(n); n != from && n != to {
			by = append(by, n)
		}
	}
	key := "chalk.rule"
	if !straight(s.Path) {
		key = "chalk.curve"
	}
	if len(by) > 0 {
		key += ".by"
	}
	return t.words.T(key, "line", t.words.Call(s.Name), "from", from, "to", to, "by", strings.Join(by, ", "))
}

// tables cuts a curve at the marks it runs through and gives each stretch its rows. A stretch that turns back over the straight between
// its ends is halved, since it has no one height there.
func (t table) tables(s *piece.Step, say func(float64) string) []offsetTable {
	whole := s.Path.Length()
	cuts := []float64{0}
	for _, n := range s.Through {
		if m := t.Piece.Mark(n); m != nil {
			if at, d := s.Path.Nearest(m.At); d <= 0.02 && at > cuts[len(cuts)-1]+1 && at < whole-1 {
				cuts = append(cuts, at)
			}
		}
	}
	cuts = append(cuts, whole)
	var out []offsetTable
	for i := 0; i+1 < len(cuts); i++ {
		out = append(out, t.stretch(s.Path, cuts[i], cuts[i+1], say, 3)...)
	}
	return out
}

// stretch is the part of a path from one length to another as a table, or as several; halve is how often it may be halved.
func (t table) stretch(p curve.Path, from, to float64, say func(float64) string, halve int) []offsetTable {
	part := p.Sub(from, to)
	if rows, ok := t.rows(part, say); ok {
		a, b := part.Start(), part.End()
		chord := t.words.T("chalk.chord", "from", t.markAt(a), "to", t.markAt(b), "far", say(a.Dist(b)))
		return []offsetTable{{chord, rows, a, b}}
	}
	if halve == 0 {
		return nil
	}
	mid := (from + to) / 2
	return append(t.stretch(p, from, mid, say, halve-1), t.stretch(p, mid, to, say, halve-1)...)
}

// rows are points of a curve by their distance from the straight between its ends, at whole marks of the tape, four to nine of them where
// the curve is long enough.
func (t table) rows(path curve.Path, say func(float64) string) ([]offsetRow, bool) {
	a, b := path.Start(), path.End()
	far := a.Dist(b)
	if far < 3 {
		return nil, path.Length() < 6
	}
	u := b.Sub(a).Unit()
	n := u.Left()
	step, least := tape.Inch, tape.Inch/4
	if t.tape.Unit == tape.CM {
		step, least = 20, 5
	}
	for far/step > 9 {
		step *= 2
	}
	for far/step < 4 && step/2 >= least {
		step /= 2
	}
	ring, _ := t.Piece.Outline(0.5)
	pts := path.Flatten(0.05)
	var out []offsetRow
	for x := step; x < far-step/4; x += step {
		y, ok := heightAt(pts, a, u, n, x)
		if !ok {
			return nil, false
		}
		row := offsetRow{Along: say(x), Out: say(math.Abs(y))}
		beyond := a.Add(u.Mul(x)).Add(n.Mul(y + math.Copysign(1.5, y)))
		switch {
		case math.Abs(y) < 0.4:
			row.Side = t.words.T("chalk.on")
		case curve.Contains(ring, beyond): // a hollow: the piece lies on the far side of the curve
			row.Side = t.words.T("chalk.inside")
		default:
			row.Side = t.words.T("chalk.outside")
		}
		out = append(out, row)
	}
	return out, true
}

// heightAt is how far a polyline lies from the straight through a along u, at x along it; not ok where it passes there more than once.
func heightAt(pts []curve.Point, a, u, n curve.Point, x float64) (y float64, ok bool) {
	found := 0
	for i := 0; i+1 < len(pts); i++ {
		p, q := pts[i].Sub(a), pts[i+1].Sub(a)
		px, qx := p.Dot(u), q.Dot(u)
		if (px <= x) == (qx <= x) {
			continue
		}
		k := (x - px) / (qx - px)
		y = p.Dot(n) + k*(q.Dot(n)-p.Dot(n))
		found++
	}
	return y, found == 1
}

// picture draws what is chalked so far and, on top, what this step adds.
func (t table) picture(out *chalkStep, i int) {
	box := curve.EmptyRect()
	if c := t.Piece.CutLine(); len(c) > 0 {
		box = c.Bounds()
	}
	for k := range t.Piece.Steps {
		s := &t.Piece.Steps[k]
		if s.Mark != nil {
			box = box.AddPoint(s.Mark.At)
		}
	}
	unit := math.Max(box.W(), box.H()) / 100
	box = box.Pad(9 * unit)
	out.Box = boxOf(box)
	// What it will become, faintly, so that the eye knows where on the piece it is.
	out.Done = append(out.Done, stroke{Class: "ghost", D: pathData(t.Piece.SeamLine()) + "Z"})
	for k := 0; k <= i; k++ {
		s := &t.Piece.Steps[k]
		if len(s.Path) > 0 {
			if k == i {
				out.Now = append(out.Now, stroke{Class: "now", D: pathData(s.Path)})
			} else {
				out.Done = append(out.Done, stroke{Class: "done", D: pathData(s.Path)})
			}
		}
		m := s.Mark
		if m == nil {
			continue
		}
		p := spot{X: tenth(m.At.X), Y: tenth(m.At.Y), Class: "was", R: tenth(0.9 * unit)}
		if k == i {
			p.Class, p.R, p.Label = "is", tenth(2*unit), t.words.Call(m.Name)
			p.Size = tenth(5.2 * unit)
			p.TY = tenth(m.At.Y - 3.4*unit)
			f := t.Piece.Mark(m.From)
			if f == nil || f.At.Y <= m.At.Y { // come from above: the name stands below
				p.TY = tenth(m.At.Y + 7.4*unit)
			}
			half := 1.45 * unit * float64(len([]rune(p.Label)))
			p.TX = tenth(math.Min(math.Max(m.At.X, box.Min.X+half), box.Max.X-half))
			if f != nil && f.At.Dist(m.At) > 0.5 {
				out.Now = append(out.Now, stroke{Class: "go", D: "M" + xy(f.At) + "L" + xy(m.At)})
			}
		}
		out.Points = append(out.Points, p)
	}
}

// tableOf is a piece at the table on the tape that is used there.
func tableOf(r *Record, c *job.Result, name string, w *Words) (table, bool) {
	p := c.Pattern.Piece(name)
	if p == nil || len(p.Steps) == 0 {
		return table{}, false
	}
	unit := r.Kept.Unit
	if unit == "" {
		unit = r.Unit
	}
	t := table{Piece: p, Title: w.piece(p.Name, p.Title), Unit: unit, tape: tapeOf(unit), words: w}
	if s := p.Start; s.From != "" {
		say := func(mm float64) string { return t.say(mm, c.Job.House.Tape) }
		t.Start = sentence(fmt.Sprintf("%s. %s", w.Call(s.Cloth), w.T("chalk.lies", "line", w.Call(s.Line), "far", say(s.In), "from", w.Call(s.From))))
	}
	return t, true
}

// pieceAtTable is one piece in the list of those to chalk.
type pieceAtTable struct {
	view
	Done, Of int
	State    string
}

// tablePage lists the pieces with how far each is chalked.
func (v *visit) tablePage() error {
	r, c, err := v.ready()
	if err != nil || c == nil {
		return err
	}
	var list []pieceAtTable
	for i := range c.Pattern.Pieces {
		p := &c.Pattern.Pieces[i]
		if len(p.Steps) == 0 {
			continue
		}
		one := pieceAtTable{view: pieceView(p, v.words), Done: min(r.Kept.Steps[p.Name], len(p.Steps)), Of: len(p.Steps)}
		switch one.Done {
		case 0:
			one.State = v.words.T("table.begin", "of", itoa(one.Of))
		case one.Of:
			one.State = v.words.T("table.done")
		default:
			one.State = v.words.T("table.at", "n", itoa(one.Done), "of", itoa(one.Of))
		}
		list = append(list, one)
	}
	return v.show(tablePage(v.chrome(v.words.T("table.title"), "table", r), list, v.clothsAtTable(r, c), c.Level == piece.Stop))
}

// ready loads a job that can be cut. Where it cannot, the page that says what is wanting is shown and the result is nil.
func (v *visit) ready() (*Record, *job.Result, error) {
	r, err := v.job()
	if err != nil {
		return nil, nil, err
	}
	card := readCard(r, v.words)
	if !card.Ready() {
		return r, nil, v.show(notReady(v.chrome(v.words.T("station."+v.station()), v.station(), r), card, nil))
	}
	c, err := v.s.cut(r)
	if err != nil {
		return nil, nil, err
	}
	if c.err != nil {
		return r, nil, v.show(notReady(v.chrome(v.words.T("station."+v.station()), v.station(), r), card, problems(c.err, v.words)))
	}
	return r, c.result, nil
}

// station is the station that the address names.
func (v *visit) station() string {
	for _, s := range stations {
		if strings.Contains(v.r.URL.Path+"/", "/"+s+"/") {
			return s
		}
	}
	return stations[0]
}

// chalkPage shows the step that is next for a piece.
func (v *visit) chalkPage() error {
	r, c, err := v.ready()
	if err != nil || c == nil {
		return err
	}
	t, ok := tableOf(r, c, v.r.PathValue("piece"), v.words)
	if !ok {
		return errNotFound
	}
	at := min(max(r.Kept.Steps[t.Piece.Name], 0), t.steps())
	return v.show(chalkPage(v.chrome(t.Title, "table", r), t, t.at(at, c.Job.House.Tape), c.Level == piece.Stop))
}

// at is the step to do when n are done; the last is shown again as done.
func (t table) at(n int, house tape.Tape) chalkStep {
	if n >= t.steps() {
		s := t.step(t.steps()-1, house)
		s.N = t.steps() + 1
		return s
	}
	return t.step(n, house)
}

// Finished reports whether every step is done.
func (s chalkStep) Finished() bool { return s.N > s.Of }

// chalkMove goes a step on or back, or changes the tape, and keeps it.
func (v *visit) chalkMove() error {
	r, c, err := v.ready()
	if err != nil || c == nil {
		return err
	}
	name := v.r.PathValue("piece")
	t, ok := tableOf(r, c, name, v.words)
	if !ok {
		return errNotFound
	}
	err = v.s.store.Change(r.ID, func(now *Record) error {
		r = now
		if now.Kept.Steps == nil {
			now.Kept.Steps = map[string]int{}
		}
		n := now.Kept.Steps[name]
		switch v.form("go") {
		case "next":
			// The step that was read is sent along, so that a second press that was on its way does not skip one.
			if v.form("from") == itoa(n+1) || v.form("from") == "" {
				n++
				now.remember("chalked", v.s.now())
			}
		case "back":
			if v.form("from") == itoa(n+1) || v.form("from") == "" {
				n--
			}
		case "again":
			n = 0
		}
		now.Kept.Steps[name] = min(max(n, 0), t.steps())
		if u := v.form("unit"); u == "in" || u == "cm" {
			now.Kept.Unit = u
		}
		return nil
	})
	if err != nil {
		return err
	}
	if !v.live() {
		return v.goTo("/jobs/" + r.ID + "/table/" + name)
	}
	t, _ = tableOf(r, c, name, v.words)
	return v.show(chalkStepPart(v.chrome(t.Title, "table", r), t, t.at(r.Kept.Steps[name], c.Job.House.Tape), c.Level == piece.Stop))
}

// chalkAt is the address of a piece at the table.
func (c chrome) chalkAt(t table) string { return "/jobs/" + c.Job.ID + "/table/" + t.Piece.Name }
