package web

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math"
	"strings"

	"clothwright/curve"
	"clothwright/job"
	"clothwright/lay"
	"clothwright/piece"
)

// layoutStep is one piece to be laid on the cloth, as it is shown at the table.
type layoutStep struct {
	Material string
	Cloth    string
	Unit     string
	N, Of    int
	Title    string
	Points   []tapePoint // where its two points lie
	Mind     []string    // how it lies and through what it is cut
	Why      string
	Stop     bool // the lay is not fit to cut by
	Wanting  []string
	Box      string
	Strokes  []stroke
	Numbers  []spot
	Spots    []spot
}

// tapePoint is one point of a piece: its distances from the cloth's end and from the edge.
type tapePoint struct {
	Name, End, Edge   string
	FromEnd, FromEdge string
}

// Finished reports whether every piece lies on the cloth.
func (s layoutStep) Finished() bool { return s.N > s.Of }

// clothsToLay are the materials that a lay plan is printed for.
func clothsToLay(c *job.Result) []string {
	out := layable(c)
	for i := range c.Pattern.Pieces {
		if p := &c.Pattern.Pieces[i]; p.Material == piece.Rib && p.Count > 0 && !has(out, string(p.Material)) {
			out = append(out, string(p.Material))
		}
	}
	return out
}

// toLay is one cloth in the list of those to lay out.
type toLay struct{ Material, Title, State string }

func (v *visit) clothsAtTable(r *Record, c *job.Result) []toLay {
	var out []toLay
	for _, m := range clothsToLay(c) {
		one := toLay{Material: m, Title: v.words.Or("material."+m, m), State: v.words.T("layout.begin")}
		if n := r.Kept.Laid[m].N; n > 0 {
			one.State = v.words.T("layout.at", "n", itoa(n))
		}
		out = append(out, one)
	}
	return out
}

// planAtTable is the lay that the lay plan prints.
func (v *visit) planAtTable() (*Record, *cut, *job.Result, *lay.Plan, error) {
	r, result, err := v.ready()
	if err != nil || result == nil {
		return r, nil, nil, nil, err
	}
	c, err := v.s.cut(r)
	if err != nil {
		return r, nil, nil, nil, err
	}
	material := v.r.PathValue("material")
	if !has(clothsToLay(result), material) {
		return r, nil, nil, nil, errNotFound
	}
	laid, err := v.s.laidOut(r, c)
	if err != nil {
		return r, nil, nil, nil, err
	}
	for _, p := range laid.Plans {
		if string(p.Cloth.Material) == material {
			return r, c, laid, p, nil
		}
	}
	return r, nil, nil, nil, errNotFound
}

// planSign changes when a lay does.
func planSign(p *lay.Plan) string {
	b, _ := json.Marshal(handPlaces(p))
	h := sha256.Sum256(fmt.Appendf(b, "%s %.3f", p.Cloth.Fold, p.Usable))
	return hex.EncodeToString(h[:8])
}

// shapesOf are the places of a plan in the order of cutting, each shape once.
func shapesOf(p *lay.Plan) []*lay.Place {
	var out []*lay.Place
	seen := map[int]bool{}
	for i := range p.Places {
		if q := &p.Places[i]; !seen[q.N] {
			seen[q.N] = true
			out = append(out, q)
		}
	}
	return out
}

// layoutPage shows the piece that is next to be laid.
func (v *visit) layoutPage() error {
	r, c, laid, plan, err := v.planAtTable()
	if err != nil || c == nil {
		return err
	}
	s := v.layoutStep(r, laid, plan)
	return v.show(layoutPage(v.chrome(v.words.T("layout.title"), "table", r), s))
}

// layoutMove goes a piece on or back, or changes the tape, and keeps it.
func (v *visit) layoutMove() error {
	r, c, laid, plan, err := v.planAtTable()
	if err != nil || c == nil {
		return err
	}
	material, of, all := v.r.PathValue("material"), planSign(plan), len(shapesOf(plan))
	err = v.s.store.Change(r.ID, func(now *Record) error {
		r = now
		k := now.Kept.Laid[material]
		if k.Of != of {
			k = LaidOut{Of: of}
		}
		// The piece that was read is sent along, so that a second press that was on its way does not skip one.
		if from := v.form("from"); from == itoa(k.N+1) || from == "" {
			switch v.form("go") {
			case "next":
				k.N++
			case "back":
				k.N--
			}
		}
		if v.form("go") == "again" {
			k.N = 0
		}
		k.N = min(max(k.N, 0), all)
		if now.Kept.Laid == nil {
			now.Kept.Laid = map[string]LaidOut{}
		}
		now.Kept.Laid[material] = k
		if u := v.form("unit"); u == "in" || u == "cm" {
			now.Kept.Unit = u
		}
		return nil
	})
	if err != nil {
		return err
	}
	if !v.live() {
		return v.goTo("/jobs/" + r.ID + "/table/lay/" + material)
	}
	return v.show(layoutPart(v.chrome(v.words.T("layout.title"), "table", r), v.layoutStep(r, laid, plan)))
}

// layoutStep tells the piece that is next.
func (v *visit) layoutStep(r *Record, c *job.Result, p *lay.Plan) layoutStep {
	material := string(p.Cloth.Material)
	out := layoutStep{Material: material, Cloth: v.words.Or("material."+material, p.Cloth.Name), Unit: r.Kept.Unit, Stop: c.Level == piece.Stop}
	if out.Unit == "" {
		out.Unit = r.Unit
	}
	shapes := shapesOf(p)
	if out.Of = len(shapes); out.Of == 0 {
		for _, f := range p.Findings {
			out.Wanting = append(out.Wanting, v.words.Finding(f))
		}
		return out
	}
	done := 0
	if k := r.Kept.Laid[material]; k.Of == planSign(p) {
		done = min(max(k.N, 0), out.Of)
	}
	out.N = done + 1
	if !out.Finished() {
		q := shapes[done]
		out.Title = laidTitle(c, q, v.words)
		out.Points = v.tapePoints(out.Unit, c, p, q)
		out.Mind = v.mind(p, q)
		switch {
		case p.Band:
			out.Why = v.words.T("layout.band")
		case q.Parts > 0:
			out.Why = v.words.T("layout.part")
		case q.Opened:
			out.Why = v.words.T("layout.middle")
		default:
			out.Why = v.words.T("layout.grain")
		}
	}
	out.picture(p, shapes, done)
	return out
}

// tapePoints are the figures of the lay plan, on the table's tape.
func (v *visit) tapePoints(unit string, c *job.Result, p *lay.Plan, q *lay.Place) []tapePoint {
	house := c.Job.House.Tape
	say := func(mm float64) string { return table{tape: tapeOf(unit)}.say(mm, house) }
	end, edge := v.words.T("layout.fromend"), v.words.T(edgeKey(p.Cloth))
	if p.Cloth.Fold == lay.Crosswise {
		end = v.words.T("layout.fromfold")
	}
	a, b := p.TapePoints(q)
	unitWord := " " + unit // it stands small behind the figure
	plain := func(mm float64) string { return strings.TrimSuffix(say(mm), unitWord) }
	end, edge = unit+" "+end, unit+" "+edge
	out := []tapePoint{{"A", plain(a.Y), plain(a.X), end, edge}, {"B", plain(b.Y), plain(b.X), end, edge}}
	if p.Band { // along it alone: the sewn edge lies on the raw edge
		out[0].Edge, out[1].Edge = "", ""
	}
	return out
}

// mind is what else is to be known before a piece is chalked round.
func (v *visit) mind(p *lay.Plan, q *lay.Place) []string {
	var out []string
	add := func(key string) { out = append(out, v.words.T(key)) }
	switch {
	case q.Parts > 0 || p.Band:
	case q.FootUp():
		add("layout.footup")
	default:
		add("layout.headup")
	}
	switch {
	case q.OnFold && p.Cloth.Fold == lay.Tubular && q.X > 0:
		add("layout.onright")
	case q.OnFold:
		add("layout.onfold")
	}
	if q.Opened {
		add("layout.opened")
	}
	c := p.Cloth
	switch {
	case q.FaceDown:
		add("layout.facedown")
	case q.Flipped && q.Layers == 1 && !q.Opened && (c.Fold == lay.Open || c.Fold == lay.PartSingle):
		add("layout.over")
	}
	single := p.Band || c.Fold == lay.Open || c.Fold == lay.PartSingle && q.Bounds().Max.X > c.Double()
	switch {
	case q.Layers == 2:
		add("layout.both")
	case single:
		add("layout.one")
	default:
		add("layout.upper")
	}
	return out
}

// picture draws the cloth, its length from left to right: what lies there, the piece meant, and faintly what comes.
func (s *layoutStep) picture(p *lay.Plan, shapes []*lay.Place, done int) {
	turn := func(q curve.Point) curve.Point { return curve.Point{X: q.Y, Y: q.X} }
	depth := p.Depth()
	unit := math.Max(depth, p.Usable) / 100
	s.Box = boxOf(curve.Rect{Max: curve.Point{X: depth, Y: p.Usable}}.Pad(3 * unit))
	s.Strokes = append(s.Strokes, stroke{Class: "onto", D: ring(curve.Point{}, curve.Point{X: depth}, curve.Point{X: depth, Y: p.Usable}, curve.Point{Y: p.Usable})})
	if p.Cloth.Fold.Folded() {
		s.Strokes = append(s.Strokes, stroke{Class: "fold-line", D: "M0 0L" + tenth(depth) + " 0"})
	}
	if to := p.Cloth.Double(); to > 0 { // where the selvedge that is folded over ends
		s.Strokes = append(s.Strokes, stroke{Class: "over-edge", D: "M0 " + tenth(to) + "L" + tenth(depth) + " " + tenth(to)})
	}
	one := func(i int, class string) {
		pts := make([]curve.Point, len(shapes[i].Shape))
		for k, q := range shapes[i].Shape {
			pts[k] = turn(q)
		}
		s.Strokes = append(s.Strokes, stroke{Class: class, D: ring(pts...)})
		if class != "this" {
			b, at := curve.Bounds(pts...), curve.PolygonCentroid(pts)
			size := math.Min(4*unit, math.Min(b.H(), b.W())*0.6)
			s.Numbers = append(s.Numbers, spot{X: tenth(at.X), Y: tenth(at.Y + size*0.36), Label: itoa(shapes[i].N), Size: tenth(size), Class: "n"})
		}
	}
	for i := len(shapes) - 1; i >= 0; i-- {
		if i > done {
			one(i, "later")
		} else if i < done {
			one(i, "there")
		}
	}
	if done >= len(shapes) {
		return
	}
	one(done, "this")
	a, b := p.TapePoints(shapes[done])
	if !p.Band && shapes[done].Parts == 0 {
		s.Strokes = append(s.Strokes, stroke{Class: "grain-line", D: "M" + xy(turn(a)) + "L" + xy(turn(b))})
	}
	for i, at := range []curve.Point{turn(a), turn(b)} {
		s.Strokes = append(s.Strokes, stroke{Class: "tape", D: "M0 " + tenth(at.Y) + "L" + xy(at)})
		if !p.Band {
			s.Strokes = append(s.Strokes, stroke{Class: "tape", D: "M" + tenth(at.X) + " 0L" + xy(at)})
		}
		off := 4.2 * unit
		x := math.Min(math.Max(at.X+map[bool]float64{true: -off, false: off}[i == 0 && at.X > 2*off || i == 1 && at.X+off > depth], 1.5*unit), depth-1.5*unit)
		y := math.Min(math.Max(at.Y-1.6*unit, 5*unit), p.Usable-unit)
		s.Spots = append(s.Spots, spot{X: tenth(at.X), Y: tenth(at.Y), R: tenth(1.1 * unit), Label: string(rune('A' + i)), TX: tenth(x), TY: tenth(y), Size: tenth(5 * unit), Class: "ab"})
	}
}

func (s layoutStep) address(c chrome) string {
	return "/jobs/" + c.Job.ID + "/table/lay/" + s.Material
}
