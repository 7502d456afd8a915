package web

import (
	"context"
	"fmt"
	"net/http"
	"strings"
	"sync"
	"time"

	"github.com/a-h/templ"

	"clothwright/curve"
	"clothwright/job"
	"clothwright/lay"
	"clothwright/phrase"
	"clothwright/piece"
	"clothwright/tape"
)

// A search lays the same pieces again and again, each time from another beginning and with more patience, and keeps the
// best. The steps of each round are fixed, so that the best can be found again from its seed and steps alone.
var patience = []int64{2000, 4000, 8000, 12000, 16000, 24000}

// longestSearch ends a search that nobody stops.
const longestSearch = 90 * time.Second

// search is one lay being looked for.
type search struct {
	job, material string
	of            string // sign of the pieces and the cloth
	stop          context.CancelFunc
	ended         chan struct{}

	watched
	hand   bool       // it goes on from a lay by hand and keeps every place
	held   []lay.Held // what is locked
	pushed bool       // how the hand had laid it can be undone to
	best   *lay.Plan
	seed   uint64
	steps  int64
	rounds int
}

// searches are those that run or have run, by job and material.
type searches struct {
	mu   sync.Mutex
	by   map[string]*search
	turn chan struct{} // one search at a time: a lay takes a whole processor
}

func (s *searches) get(job, material string) *search {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.by[job+" "+material]
}

func (s *searches) put(x *search) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.by == nil {
		s.by = map[string]*search{}
	}
	if len(s.by) > 64 { // what has ended is in the store
		for k, o := range s.by {
			if o.isDone() {
				delete(s.by, k)
			}
		}
	}
	s.by[x.job+" "+x.material] = x
}

func (s *searches) stopAll() {
	s.mu.Lock()
	all := make([]*search, 0, len(s.by))
	for _, x := range s.by {
		all = append(all, x)
	}
	s.mu.Unlock()
	for _, x := range all {
		x.stop()
	}
}

// now is how the search stands.
func (x *search) now() (best *lay.Plan, rounds int, done bool) {
	x.mu.Lock()
	defer x.mu.Unlock()
	return x.best, x.rounds, x.done
}

// clothOf is the cloth that the job is laid on: the house's, as the page has changed it.
func clothOf(r *Record, c *job.Result, material string) (lay.Cloth, phrase.Said, bool) {
	out, found := c.Cloth(piece.Material(material))
	if !found {
		return out, phrase.Said{}, false
	}
	wrong := phrase.Said{}
	if k, ok := r.Kept.Lays[material]; ok {
		if f := lay.Fold(k.Fold); f == lay.Open || f == lay.Lengthwise || f == lay.PartSingle {
			out.Fold = lay.Fold(k.Fold)
		}
		out.Nap = k.Nap
		if k.Width != "" {
			mm, err := tape.Parse(k.Width, unitOf(r))
			switch {
			case err != nil:
				wrong = phrase.From(err)
			case mm < 300 || mm > 4000:
				wrong = phrase.Of("%s is found; %s to %s is allowed.", k.Width, tapeOf(r.Unit).Fine(300), tapeOf(r.Unit).Fine(4000))
			default:
				out.Width = mm
			}
		}
	}
	return out, wrong, true
}

// layable are the materials that lie on cloth bought by width.
func layable(c *job.Result) []string {
	var out []string
	for _, h := range c.Job.House.Cloths {
		for i := range c.Pattern.Pieces {
			if p := &c.Pattern.Pieces[i]; string(p.Material) == h.Material && p.Count > 0 && !has(out, h.Material) {
				out = append(out, h.Material)
			}
		}
	}
	return out
}

// begin starts a search, or returns the one that runs on the same pieces and cloth.
func (s *Server) begin(r *Record, c *cut, cloth lay.Cloth) *search {
	material, of := string(cloth.Material), signOf(c.result, cloth)
	if old := s.lays.get(r.ID, material); old != nil {
		if old.of == of && !old.isDone() {
			return old
		}
		old.stop()
	}
	ctx, stop := context.WithCancel(context.Background())
	x := &search{job: r.ID, material: material, of: of, stop: stop, ended: make(chan struct{}), watched: newWatched()}
	if hand := s.handPlan(r, c.result, cloth); hand != nil {
		x.goOnFrom(hand)
		cloth = hand.Cloth
	} else if old := s.lays.get(r.ID, material); old != nil && old.of == of && !old.hand {
		x.best, x.seed, x.steps, x.rounds = old.best, old.seed, old.steps, old.rounds
	}
	s.lays.put(x)
	go s.run(ctx, x, c.result, cloth)
	return x
}

// run searches until it is stopped, and keeps the best at every gain, so that a server that is switched off loses none.
func (s *Server) run(ctx context.Context, x *search, c *job.Result, cloth lay.Cloth) {
	defer close(x.ended)
	defer x.stop()
	defer x.change(func() { x.done = true })
	select {
	case s.lays.turn <- struct{}{}:
		defer func() { <-s.lays.turn }()
	case <-ctx.Done():
		return
	}
	ctx, rest := context.WithTimeout(ctx, longestSearch)
	defer rest()
	works := []lay.Work{{Job: c.Job.Number, Pattern: c.Pattern}}
	for round := x.rounds; ctx.Err() == nil; round++ {
		steps := patience[min(round, len(patience)-1)]
		plan, err := lay.Lay(s.politely(ctx), works, cloth, lay.Options{Seed: uint64(round), Steps: steps, Say: c.Job.House.Tape.Fine, Mark: c.Job.House.Tape.Step, Held: x.held})
		if err != nil {
			return
		}
		whole := ctx.Err() == nil // one that was cut short cannot be found again from its seed
		x.change(func() {
			x.rounds = round + 1
			if x.better(plan, whole) {
				x.best, x.seed, x.steps = plan, uint64(round), steps
				if x.hand {
					s.keepHand(x)
				} else if whole {
					s.keepLay(x)
				}
			}
		})
		if !plan.Laid() {
			return // the findings say why, and trying again says no more
		}
		if x.hand && atBound(plan) {
			return
		}
	}
}

// keepLay keeps how the best lay is found again.
func (s *Server) keepLay(x *search) {
	_ = s.store.Change(x.job, func(r *Record) error {
		k, of := r.Kept.Lays[x.material], x.of
		if k.Of == of && k.Steps > 0 && k.Length > 0 && k.Length <= x.best.Length {
			return errKept
		}
		k.Of, k.Seed, k.Steps, k.Length = of, x.seed, x.steps, x.best.Length
		if r.Kept.Lays == nil {
			r.Kept.Lays = map[string]KeptLay{}
		}
		r.Kept.Lays[x.material] = k
		return nil
	})
}

var errKept = refusal{http.StatusOK, ""}

// planOf is the best lay known: the running search's, else the one that was kept, laid again.
func (s *Server) planOf(r *Record, c *cut, cloth lay.Cloth) (*lay.Plan, *search) {
	of := signOf(c.result, cloth)
	x := s.lays.get(r.ID, string(cloth.Material))
	if hand := s.handPlan(r, c.result, cloth); hand != nil {
		if x != nil && x.of == of && x.hand {
			if best, _, done := x.now(); !done && best != nil {
				return best, x
			}
			return hand, x
		}
		return hand, nil
	}
	if x != nil && x.of == of && !x.hand {
		best, _, _ := x.now()
		return best, x
	}
	k := r.Kept.Lays[string(cloth.Material)]
	if k.Of != of || k.Steps == 0 {
		return nil, nil
	}
	plan, err := lay.Lay(context.Background(), []lay.Work{{Job: c.result.Job.Number, Pattern: c.result.Pattern}}, cloth, lay.Options{Seed: k.Seed, Steps: k.Steps, Say: c.result.Job.House.Tape.Fine, Mark: c.result.Job.House.Tape.Step})
	if err != nil {
		return nil, nil
	}
	// Remembered as a search that has ended.
	x = &search{job: r.ID, material: string(cloth.Material), of: of, stop: func() {}, ended: make(chan struct{}), watched: newWatched(), best: plan, seed: k.Seed, steps: k.Steps, rounds: int(k.Seed) + 1}
	x.done = true
	close(x.ended)
	s.lays.put(x)
	return plan, x
}

// plansOf are the lays that were kept and still fit the pieces, by material.
func (s *Server) plansOf(r *Record, c *cut) map[piece.Material]*lay.Plan {
	out := map[piece.Material]*lay.Plan{}
	for _, m := range layable(c.result) {
		if cloth, wrong, ok := clothOf(r, c.result, m); ok && wrong.Empty() {
			if p, _ := s.planOf(r, c, cloth); p != nil && p.Laid() {
				out[cloth.Material] = p
			}
		}
	}
	return out
}

// layView is the laying page's view of one cloth.
type layView struct {
	Material  string
	Title     string
	Width     string // as typed or the house's
	WidthUnit string // what a bare number in it means; empty where it says its own
	Fold      string
	Nap       bool
	Wrong     string
	Running   bool
	Length    string
	Bought    string
	Used      string // part of the cloth that is cut
	Cost      string
	Tries     string
	Findings  []string
	Stops     []string // why it is not fit to cut
	Hand      string   // what the script needs to move pieces; empty while the search runs
	ByHand    bool     // the lay that is shown was made by hand, or goes on from one that was
	Changed   bool     // there is a lay by hand of other pieces or other cloth
	Legend    []legendRow
	Box       string
	Cloth     stroke
	Places    []laidPiece
}

type laidPiece struct {
	D     string
	Label string
	X, Y  string
	Size  string
	Class string
}

// viewOf puts a lay into figures and a picture.
func (v *visit) viewOf(r *Record, c *cut, material string) (layView, bool) {
	cloth, wrong, ok := clothOf(r, c.result, material)
	if !ok {
		return layView{}, false
	}
	t := c.result.Job.House.Tape
	out := layView{Material: material, Title: v.words.Or("material."+material, cloth.Name), Fold: string(cloth.Fold), Nap: cloth.Nap, Wrong: sentence(v.words.Say(wrong))}
	if k := r.Kept.Lays[material]; k.Width != "" {
		out.Width = k.Width
	} else {
		out.Width = tapeOf(r.Unit).Plain(cloth.Width)
	}
	if !strings.ContainsAny(out.Width, "incm\"") {
		out.WidthUnit = r.Unit
	}
	if !wrong.Empty() {
		return out, true
	}
	plan, x := v.s.planOf(r, c, cloth)
	if x != nil {
		_, rounds, done := x.now()
		out.Running = !done
		out.Tries = v.words.T("lay.tries", "n", itoa(rounds))
	}
	k := r.Kept.Lays[material]
	out.Changed = !out.Running && len(k.Hand) > 0 && k.HandOf != signOf(c.result, cloth)
	if plan == nil {
		return out, true
	}
	for _, f := range plan.Findings {
		if f.Level == piece.Stop {
			out.Stops = append(out.Stops, v.words.Finding(f))
		} else {
			out.Findings = append(out.Findings, v.words.Finding(f))
		}
	}
	if !plan.Laid() {
		return out, true
	}
	if !out.Running {
		out.Hand = v.handState(r, c, cloth, plan).json()
		out.ByHand = r.Kept.Lays[material].HandOf == signOf(c.result, cloth)
	}
	out.legend(plan, c, v.words)
	out.Length, out.Bought = t.Fine(plan.Length), t.Fine(plan.Bought)
	out.Used = fmt.Sprintf("%.0f %%", 100*plan.Utilisation)
	if cost, ok := lay.Cost(cloth.Price, plan.Bought); ok {
		out.Cost = cost
	}
	out.draw(plan)
	return out, true
}

// draw shows the cloth lying along the page: its length runs from left to right.
func (o *layView) draw(p *lay.Plan) {
	turn := func(q curve.Point) curve.Point { return curve.Point{X: q.Y, Y: q.X} }
	o.Cloth = stroke{Class: "ground", D: ring(curve.Point{}, curve.Point{X: p.Depth()}, curve.Point{X: p.Depth(), Y: p.Usable}, curve.Point{Y: p.Usable})}
	o.Box = boxOf(curve.Rect{Max: curve.Point{X: p.Depth(), Y: p.Usable}}.Pad(8))
	seen := map[int]bool{}
	for i := range p.Places {
		q := &p.Places[i]
		if seen[q.N] { // the other half of one that is opened out
			continue
		}
		seen[q.N] = true
		pts := make([]curve.Point, len(q.Shape))
		for k, s := range q.Shape {
			pts[k] = turn(s)
		}
		b := curve.Bounds(pts...)
		label := itoa(q.N)
		size := min(38, b.H()*0.6, b.W()*0.6)
		at := curve.PolygonCentroid(pts)
		class := "laid"
		if q.Layers == 1 && p.Cloth.Fold != lay.Open {
			class = "laid single"
		}
		o.Places = append(o.Places, laidPiece{D: ring(pts...), Label: label, X: tenth(at.X), Y: tenth(at.Y + size*0.36), Size: tenth(size), Class: class})
	}
}

// layPage shows one cloth of the job.
func (v *visit) layPage() error {
	r, c, view, list, err := v.laid()
	if err != nil || c == nil {
		return err
	}
	return v.show(layPage(v.chrome(v.words.T("lay.title"), "lay", r), view, list))
}

// laid loads the job, its cut and the cloth that the page is about.
func (v *visit) laid() (*Record, *cut, layView, []string, error) {
	r, result, err := v.ready()
	if err != nil || result == nil {
		return r, nil, layView{}, nil, err
	}
	c, err := v.s.cut(r)
	if err != nil {
		return r, nil, layView{}, nil, err
	}
	list := layable(result)
	material := v.r.PathValue("material")
	if material == "" && len(list) > 0 {
		material = list[0]
	}
	if !has(list, material) {
		return r, nil, layView{}, nil, errNotFound
	}
	view, _ := v.viewOf(r, c, material)
	return r, c, view, list, nil
}

// legendRow names a number of the picture.
type legendRow struct {
	N, Title string
	Held     bool
}

func (o *layView) legend(p *lay.Plan, c *cut, w *Words) {
	seen := map[int]bool{}
	for i := range p.Places {
		q := &p.Places[i]
		if !seen[q.N] {
			seen[q.N] = true
			o.Legend = append(o.Legend, legendRow{itoa(q.N), laidTitle(c.result, q, w), q.Held})
		}
	}
}

// layDo chooses the cloth, starts the search or stops it.
func (v *visit) layDo() error {
	r, c, view, _, err := v.laid()
	if err != nil || c == nil {
		return err
	}
	material := view.Material
	err = v.s.store.Change(r.ID, func(now *Record) error {
		r = now
		k := now.Kept.Lays[material]
		if v.r.PostForm.Has("width") {
			k.Width = v.form("width")
			k.Nap = v.form("nap") == "yes"
		}
		if f := v.form("fold"); f == string(lay.Lengthwise) || f == string(lay.PartSingle) || f == string(lay.Open) {
			k.Fold = f
		}
		if now.Kept.Lays == nil {
			now.Kept.Lays = map[string]KeptLay{}
		}
		now.Kept.Lays[material] = k
		return nil
	})
	if err != nil {
		return err
	}
	cloth, wrong, _ := clothOf(r, c.result, material)
	switch v.form("do") {
	case "start":
		if wrong.Empty() {
			v.s.begin(r, c, cloth)
		}
	case "retake":
		if wrong.Empty() {
			if err := v.retake(r, c, cloth); err != nil {
				return err
			}
		}
	case "stop":
		v.s.rest(r.ID, material)
	}
	return v.goTo("/jobs/" + r.ID + "/lay/" + material)
}

// layEvents sends the page anew whenever the search has found something, until it ends or the browser goes.
func (v *visit) layEvents() error {
	r, c, view, _, err := v.laid()
	if err != nil || c == nil {
		return err
	}
	var x *watched
	if search := v.s.lays.get(r.ID, view.Material); search != nil {
		x = &search.watched
	}
	return v.follow(x, func() (templ.Component, error) {
		if r, err = v.s.store.Load(r.ID); err != nil {
			return nil, err
		}
		view, _ = v.viewOf(r, c, view.Material)
		return layLive(v.chrome("", "lay", r), view), nil
	})
}
