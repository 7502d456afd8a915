package web

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"time"

	"clothwright/curve"
	"clothwright/job"
	"clothwright/lay"
	"clothwright/piece"
)

// A lay by hand is kept shape by shape, since no seed leads back to it. It counts as long as the pieces and the cloth are those it was
// made on; where they change it stays in the store and counts again when they are changed back.

// mostUndo is how many moves by hand can be taken back.
const mostUndo = 24

// signOf changes when a cloth's pieces or the cloth do.
func signOf(c *job.Result, cloth lay.Cloth) string { return c.LaySign(cloth) }

// keptLays are a job's lays as a job file has them, and where there is no lay how the pages let the cloth lie.
func keptLays(r *Record, c *job.Result) []job.KeptLay {
	var out []job.KeptLay
	for _, m := range layable(c) {
		k, there := r.Kept.Lays[m]
		cloth, wrong, ok := clothOf(r, c, m)
		if !there || !ok || !wrong.Empty() {
			continue
		}
		one := job.KeptLay{Material: m, Width: cloth.Width, Fold: string(cloth.Fold), Nap: cloth.Nap}
		switch of := signOf(c, cloth); {
		case len(k.Hand) > 0 && k.HandOf == of:
			one.Of = of
			for _, q := range k.Hand {
				one.Places = append(one.Places, job.KeptPlace{Piece: q.Piece, Copy: q.Copy, Part: q.Part, Turn: q.Turn, Flipped: q.Flipped, X: q.X, Y: q.Y})
			}
			if f := k.Folded; f != nil {
				one.Lies, one.Doubled = f.Fold, f.Doubled
				for _, p := range f.Parted {
					one.Apart = append(one.Apart, job.KeptApart{Piece: p.Piece, Cuts: p.Cuts})
				}
			}
		case k.Of == of && k.Steps > 0:
			one.Of, one.Seed, one.Steps = of, int64(k.Seed), k.Steps
		}
		out = append(out, one)
	}
	return out
}

// settledFile is a job in work as a job file that says how its cloths are laid, too: what the book keeps and prices.
func (s *Server) settledFile(r *Record) ([]byte, error) {
	src, err := s.store.JobFile(r)
	if err != nil {
		return nil, err
	}
	c, err := s.cut(r)
	if err != nil || c.err != nil {
		return src, err
	}
	return job.WithLays(src, keptLays(r, c.result))
}

// worksOf is the job as package lay takes it.
func worksOf(c *job.Result) []lay.Work {
	return []lay.Work{{Job: c.Job.Number, Pattern: c.Pattern}}
}

// heldBy are the places of a lay by hand, all or the locked ones.
func heldBy(c *job.Result, places []HandPlace, locked bool) []lay.Held {
	var out []lay.Held
	for _, q := range places {
		if !locked || q.Locked {
			out = append(out, lay.Held{Key: lay.Key{Job: c.Job.Number, Piece: q.Piece, Copy: q.Copy, Part: q.Part}, Turn: q.Turn, Flipped: q.Flipped, X: q.X, Y: q.Y})
		}
	}
	return out
}

// handPlaces are the places of a plan, each shape once.
func handPlaces(p *lay.Plan) []HandPlace {
	var out []HandPlace
	seen := map[lay.Key]bool{}
	for i := range p.Places {
		if q := &p.Places[i]; !seen[q.Key()] {
			seen[q.Key()] = true
			out = append(out, HandPlace{Piece: q.Piece, Copy: q.Copy, Part: q.Part, Turn: q.Turn, Flipped: q.Flipped, X: q.X, Y: q.Y})
		}
	}
	return out
}

// handPlan is the lay by hand that was kept, judged anew, nil where there is none for these pieces and this cloth. Only what is locked counts
// as held in it.
func (s *Server) handPlan(r *Record, c *job.Result, cloth lay.Cloth) *lay.Plan {
	k := r.Kept.Lays[string(cloth.Material)]
	if len(k.Hand) == 0 || k.HandOf != signOf(c, cloth) {
		return nil
	}
	plan := lay.ByHand(worksOf(c), k.folded(c, cloth), heldBy(c, k.Hand, false), handOptions(c))
	locked := map[lay.Key]bool{}
	for _, h := range heldBy(c, k.Hand, true) {
		locked[h.Key] = true
	}
	for i := range plan.Places {
		plan.Places[i].Held = locked[plan.Places[i].Key()]
	}
	return plan
}

// handOptions are how lays by hand are asked for: lengths in words and folds on the house's tape.
func handOptions(c *job.Result) lay.Options {
	return lay.Options{Say: c.Job.House.Tape.Fine, Mark: c.Job.House.Tape.Step}
}

// folded is the cloth as it lay when the hand began.
func (k *KeptLay) folded(c *job.Result, cloth lay.Cloth) lay.Cloth {
	if f := k.Folded; f != nil {
		cloth.Fold, cloth.Doubled, cloth.Parted = lay.Fold(f.Fold), f.Doubled, nil
		for _, p := range f.Parted {
			p.Job = c.Job.Number // which may have changed
			cloth.Parted = append(cloth.Parted, p)
		}
		if f.Parted != nil && cloth.Parted == nil {
			cloth.Parted = []lay.Parted{}
		}
	}
	return cloth
}

// keepFold keeps how the cloth of a plan is folded, where that is not as the cloth says.
func (k *KeptLay) keepFold(p, asked lay.Cloth) {
	if k.Folded = nil; p.Fold == lay.PartSingle || p.Fold != asked.Fold {
		k.Folded = &HandFold{string(p.Fold), p.Doubled, p.Parted}
	}
}

// goOnFrom lets a search lay round what is locked in a lay by hand. One that is fit to cut is what the search has to beat.
func (x *search) goOnFrom(hand *lay.Plan) {
	x.hand = true
	seen := map[lay.Key]bool{}
	for i := range hand.Places {
		if q := &hand.Places[i]; q.Held && !seen[q.Key()] {
			seen[q.Key()] = true
			x.held = append(x.held, q.Hold())
		}
	}
	if hand.Laid() && piece.Worst(hand.Findings) != piece.Stop {
		x.best = hand
	}
}

// better reports whether a plan takes the place of the best so far. Round what is locked the first one does when it is no longer: that the rest
// be laid was asked for.
func (x *search) better(plan *lay.Plan, whole bool) bool {
	switch {
	case x.best == nil:
		return true
	case !plan.Laid() || !whole && !x.hand:
		return false
	case !x.best.Laid():
		return true
	case x.hand && !x.pushed:
		return plan.Length <= x.best.Length+0.05
	}
	return plan.Length < x.best.Length-0.05
}

// atBound reports whether a plan ends with a shape that is locked, so that none can be shorter.
func atBound(p *lay.Plan) bool {
	for i := range p.Places {
		if q := &p.Places[i]; q.Held && q.Bounds().Max.Y >= p.Depth()-0.05 {
			return true
		}
	}
	return false
}

// keepHand keeps the places that a search has found round what is locked. How the hand had laid them can be gone back to.
func (s *Server) keepHand(x *search) {
	if !x.best.Laid() {
		return
	}
	_ = s.store.Change(x.job, func(r *Record) error {
		k := r.Kept.Lays[x.material]
		if k.HandOf != x.of {
			return errKept
		}
		locked := map[lay.Key]bool{}
		for _, h := range x.held {
			locked[h.Key] = true
		}
		places := handPlaces(x.best)
		for i := range places {
			q := &places[i]
			q.Locked = locked[lay.Key{Job: x.best.Places[0].Job, Piece: q.Piece, Copy: q.Copy, Part: q.Part}]
		}
		if !x.pushed {
			k.Undo = pushed(k.Undo, k.Hand)
			x.pushed = true
		}
		k.Hand = places
		r.Kept.Lays[x.material] = k
		return nil
	})
}

func pushed(undo [][]HandPlace, was []HandPlace) [][]HandPlace {
	out := append(append([][]HandPlace(nil), undo...), append([]HandPlace(nil), was...))
	if len(out) > mostUndo {
		out = out[len(out)-mostUndo:]
	}
	return out
}

// laidSign changes when what a job is cut from or how it is laid does.
func laidSign(r *Record, c *cut) string {
	lays, _ := json.Marshal(r.Kept.Lays)
	return fmt.Sprintf("%x %x", c.sign, sha256.Sum256(lays))
}

// laidResults remembers results that were laid, since laying takes seconds.
type laidResults struct {
	mu    sync.Mutex
	signs []string
	known map[string]*job.Result
}

// laidOut is a job with its cloths laid as they were kept, the others by the standard search; the findings and the price are those of these
// lays. It is shared: nobody may change it.
func (s *Server) laidOut(r *Record, c *cut) (*job.Result, error) {
	sign := laidSign(r, c)
	s.laid.mu.Lock()
	defer s.laid.mu.Unlock() // one at a time: each takes a processor
	if known := s.laid.known[sign]; known != nil {
		return known, nil
	}
	var kept []*lay.Plan
	plans := s.plansOf(r, c)
	for _, m := range layable(c.result) {
		kept = append(kept, plans[piece.Material(m)]) // nil is laid anew
	}
	result, named := *c.result, *c.result.Job // what is shared is not changed
	named.Lays = keptLays(r, c.result)
	result.Job = &named
	if err := result.Lay(s.resting(context.Background(), restToPrint), lay.Options{}, kept...); err != nil {
		return nil, err
	}
	if s.laid.known == nil {
		s.laid.known = map[string]*job.Result{}
	}
	s.laid.known[sign] = &result
	if s.laid.signs = append(s.laid.signs, sign); len(s.laid.signs) > 6 {
		delete(s.laid.known, s.laid.signs[0])
		s.laid.signs = s.laid.signs[1:]
	}
	return &result, nil
}

// withHand are a job's findings with those of its lays by hand, which are judged at once.
func (s *Server) withHand(r *Record, c *job.Result, w *Words) drafted {
	result := *c
	result.Findings = append([]piece.Finding(nil), c.Findings...)
	for _, m := range layable(c) {
		if cloth, wrong, ok := clothOf(r, c, m); ok && wrong.Empty() {
			if p := s.handPlan(r, c, cloth); p != nil {
				result.Findings = append(append([]piece.Finding(nil), p.Findings...), result.Findings...)
			}
		}
	}
	return drafted{Findings: findingsOf(&result, -1, w), Level: piece.Worst(result.Findings)}
}

// laidTitle is what a place's piece is called on the pages.
func laidTitle(c *job.Result, q *lay.Place, w *Words) string {
	title := q.Piece
	if p := c.Pattern.Piece(q.Piece); p != nil {
		title = w.piece(p.Name, p.Title)
	}
	if q.Parts > 0 {
		title += fmt.Sprintf(" (%d/%d)", q.Part, q.Parts)
	}
	return title
}

// handState is what the script needs to let pieces be moved, and what the server thinks of where they lie. Lengths are mm.
type handState struct {
	Of       string        `json:"of"`
	At       string        `json:"at"` // where moves are sent
	Token    string        `json:"token"`
	Usable   float64       `json:"usable"`
	End      float64       `json:"end,omitempty"`  // of a remnant, else 0
	Head     float64       `json:"head"`           // where pieces may begin
	Part     *[2]float64   `json:"part,omitempty"` // up to where cloth with one part single is double, and from where it is single
	Unit     string        `json:"unit"`
	Fine     float64       `json:"fine"` // what figures are rounded to
	Step     float64       `json:"step"` // of the arrow keys
	Layers   float64       `json:"layers"`
	Flat     float64       `json:"flat"`
	Margin   [2]float64    `json:"margin"` // part and least
	Shrink   float64       `json:"shrink"`
	Shop     float64       `json:"shop"`
	Price    string        `json:"price,omitempty"`
	Repeat   [2]float64    `json:"repeat"` // across, along
	Folded   bool          `json:"folded"` // the edge at the left is a fold
	Flaws    [][4]float64  `json:"flaws,omitempty"`
	Shapes   []handShape   `json:"shapes"`
	Now      handNow       `json:"now"`
	Edge     string        `json:"edge"`
	Words    handWordsText `json:"words"`
	Frontier float64       `json:"frontier"` // how far the cloth is drawn
}

type handShape struct {
	Key    string       `json:"k"`
	Title  string       `json:"t"`
	Layers int          `json:"l"`
	OnFold bool         `json:"f,omitempty"`
	Points []float64    `json:"p"` // x, y, x, y
	Poses  [][7]float64 `json:"q"` // turn, flipped, the four of its matrix, and where across it lies when it is on the fold
	Snap   *[2]float64  `json:"s,omitempty"`
}

// handNow is where the shapes lie and what is wrong with it.
type handNow struct {
	Places []handAt `json:"places"`
	Length string   `json:"length"`
	Bought string   `json:"bought"`
	Used   string   `json:"used"`
	Cost   string   `json:"cost"`
	Stops  []string `json:"stops"`
	Notes  []string `json:"notes"`
	Undo   int      `json:"undo"`
}

type handAt struct {
	Key     string  `json:"k"`
	N       int     `json:"n"`
	Turn    float64 `json:"turn"`
	Flipped bool    `json:"flip"`
	X       float64 `json:"x"`
	Y       float64 `json:"y"`
	Locked  bool    `json:"lock"`
}

type handWordsText map[string]string

// handKeys are the messages that the script says.
var handKeys = []string{"lay.hand.at", "lay.hand.fold", "lay.hand.locked", "lay.hand.free", "lay.hand.over", "lay.hand.off", "lay.hand.part", "lay.hand.flaw", "lay.hand.turned", "lay.hand.noturn", "lay.hand.islocked", "lay.hand.undone", "lay.hand.lock", "lay.hand.unlock", "lay.hand.none", "lay.hand.chosen", "lay.hand.kept"}

func keyOf(k lay.Key) string { return fmt.Sprintf("%s %d %d", k.Piece, k.Copy, k.Part) }

// handState is how a lay stands, for the script. Where it cannot be laid at all it is nil.
func (v *visit) handState(r *Record, c *cut, cloth lay.Cloth, plan *lay.Plan) *handState {
	t := c.result.Job.House.Tape
	shapes, _ := lay.Shapes(worksOf(c.result), plan.Cloth, handOptions(c.result))
	if len(shapes) == 0 || !plan.Laid() {
		return nil
	}
	at := "/jobs/" + r.ID + "/lay/" + string(cloth.Material) + "/hand"
	out := &handState{Of: signOf(c.result, cloth), At: at, Token: v.s.token(v.id), Usable: plan.Usable, Unit: t.Unit.String(), Fine: 1, Step: t.Step,
		Layers: 1, Flat: plan.Usable, Margin: [2]float64{lay.MarginPart, lay.MarginLeast}, Shop: cloth.Step, Price: cloth.Price, Repeat: [2]float64{cloth.Across, cloth.Along}, Words: handWordsText{}}
	if out.Unit == "in" {
		out.Fine = 25.4 / 16
	}
	switch lies := plan.Cloth; lies.Fold {
	case lay.Crosswise:
		out.Layers, out.Head = 2, gapOf(lies)
	case lay.Lengthwise, lay.Tubular:
		out.Flat, out.Folded = 2*plan.Usable, true
	case lay.PartSingle:
		out.Flat, out.Folded = plan.Usable+lies.Double(), true
		out.Part = &[2]float64{lies.Double(), lies.Double() + lies.Selvedge}
	}
	if cloth.Wash {
		out.Shrink = cloth.ShrinkLong
	}
	if cloth.Length > 0 {
		out.End = cloth.Length * (1 - out.Shrink) / out.Layers
	}
	for _, f := range plan.Flaws() {
		out.Flaws = append(out.Flaws, [4]float64{f.Min.X, f.Min.Y, f.Max.X, f.Max.Y})
	}
	for i := range shapes {
		s := &shapes[i]
		one := handShape{Key: keyOf(s.Key), Layers: s.Layers, OnFold: s.OnFold, Title: laidTitle(c.result, &lay.Place{Piece: s.Piece, Part: s.Part}, v.words)}
		for _, p := range s.Outline {
			one.Points = append(one.Points, hundredth(p.X), hundredth(p.Y))
		}
		seen := map[[2]float64]bool{}
		for _, p := range s.Poses {
			flip := 0.0
			if p.Flipped {
				flip = 1
			}
			if seen[[2]float64{p.Turn, flip}] {
				continue // the same in another part of the width
			}
			seen[[2]float64{p.Turn, flip}] = true
			one.Poses = append(one.Poses, [7]float64{p.Turn, flip, p.M[0], p.M[1], p.M[2], p.M[3], onFoldAt(*s, p)})
		}
		if s.Matched {
			one.Snap = &[2]float64{s.Point.X, s.Point.Y}
		}
		out.Shapes = append(out.Shapes, one)
	}
	for _, k := range handKeys {
		out.Words[strings.TrimPrefix(k, "lay.hand.")] = v.words.T(k)
	}
	out.Edge = v.words.T(edgeKey(plan.Cloth))
	out.Now = v.handNow(r, c, cloth, plan)
	longest := 0.0
	for i := range plan.Places {
		longest = math.Max(longest, plan.Places[i].Bounds().H())
	}
	out.Frontier = plan.Depth() + longest + 40 // room to put any piece aside
	return out
}

// gapOf is the room that a cloth wants between two cuts.
func gapOf(c lay.Cloth) float64 {
	if c.Gap == 0 {
		return lay.ChalkGap
	}
	return math.Max(c.Gap, 0)
}

func hundredth(v float64) float64 { return math.Round(v*100) / 100 }

// edgeKey names the edge that distances across are taken from.
func edgeKey(c lay.Cloth) string {
	if c.Fold.Folded() {
		return "layout.fold"
	}
	return "layout.selvedge"
}

// handNow is what the server says of a lay.
func (v *visit) handNow(r *Record, c *cut, cloth lay.Cloth, plan *lay.Plan) handNow {
	t := c.result.Job.House.Tape
	out := handNow{Length: t.Fine(plan.Length), Bought: t.Fine(plan.Bought), Used: fmt.Sprintf("%.0f %%", 100*plan.Utilisation), Stops: []string{}, Notes: []string{}}
	if k := r.Kept.Lays[string(cloth.Material)]; k.HandOf == signOf(c.result, cloth) {
		out.Undo = len(k.Undo)
	}
	if cost, ok := lay.Cost(cloth.Price, plan.Bought); ok {
		out.Cost = cost
	}
	for _, f := range plan.Findings {
		if f.Level == piece.Stop {
			out.Stops = append(out.Stops, v.words.Finding(f))
		} else {
			out.Notes = append(out.Notes, v.words.Finding(f))
		}
	}
	seen := map[lay.Key]bool{}
	for i := range plan.Places {
		if q := &plan.Places[i]; !seen[q.Key()] {
			seen[q.Key()] = true
			out.Places = append(out.Places, handAt{keyOf(q.Key()), q.N, q.Turn, q.Flipped, q.X, q.Y, q.Held})
		}
	}
	return out
}

func (h *handState) json() string {
	if h == nil {
		return ""
	}
	var b bytes.Buffer
	if json.NewEncoder(&b).Encode(h) != nil {
		return ""
	}
	return b.String()
}

// errChanged is the answer to a move on a lay of pieces or cloth that are no longer those.
var errChanged = refusal{http.StatusConflict, "error.changed"}

// mostMoved is how many shapes one move may carry.
const mostMoved = 400

// readMove reads one shape's new place: "front 0 0 180 0 12.5 600 1" is piece, copy, part, turn, flipped, x, y, locked.
func readMove(s string) (HandPlace, bool) {
	f := strings.Fields(s)
	if len(f) != 8 || len(f[0]) > 80 {
		return HandPlace{}, false
	}
	var n [8]float64
	for i := 1; i < 8; i++ {
		v, err := strconv.ParseFloat(f[i], 64)
		if err != nil || math.IsNaN(v) || math.Abs(v) > 1e5 {
			return HandPlace{}, false
		}
		n[i] = v
	}
	for _, i := range []int{1, 2, 4, 7} {
		if n[i] != math.Trunc(n[i]) || n[i] < 0 {
			return HandPlace{}, false
		}
	}
	if n[4] > 1 || n[7] > 1 {
		return HandPlace{}, false
	}
	return HandPlace{Piece: f[0], Copy: int(n[1]), Part: int(n[2]), Turn: n[3], Flipped: n[4] == 1, X: thousandth(n[5]), Y: thousandth(n[6]), Locked: n[7] == 1}, true
}

func thousandth(v float64) float64 { return math.Round(v*1000)/1000 + 0 }

// layHand moves pieces by hand, locks them, or takes the last move back, and answers with what the lay has come to.
func (v *visit) layHand() error {
	r, err := v.job()
	if err != nil {
		return err
	}
	c, err := v.s.cut(r)
	if err != nil {
		return err
	}
	material := v.r.PathValue("material")
	if c.err != nil || !has(layable(c.result), material) {
		return errNotFound
	}
	cloth, wrong, ok := clothOf(r, c.result, material)
	if !ok || !wrong.Empty() || v.form("of") != signOf(c.result, cloth) {
		return errChanged
	}
	moves, undo := []HandPlace(nil), v.form("do") == "undo"
	if sent := v.r.PostForm["p"]; !undo {
		if len(sent) == 0 || len(sent) > mostMoved || v.form("do") != "place" {
			return errMangled
		}
		for _, s := range sent {
			m, ok := readMove(s)
			if !ok {
				return errMangled
			}
			moves = append(moves, m)
		}
	}
	v.s.rest(r.ID, material)
	if r, err = v.s.store.Load(r.ID); err != nil {
		return err
	}
	before, _ := v.s.planOf(r, c, cloth)
	if before == nil || !before.Laid() {
		return errChanged
	}
	if !undo && !allowed(moves, c.result, before.Cloth) {
		return errMangled
	}
	err = v.s.store.Change(r.ID, func(now *Record) error {
		r = now
		k, there := now.Kept.Lays[material]
		if !there {
			k.Fold, k.Nap = string(cloth.Fold), cloth.Nap
		}
		if of := signOf(c.result, cloth); k.HandOf != of || len(k.Hand) == 0 {
			k.Hand, k.HandOf, k.Undo = handPlaces(before), of, nil
			k.keepFold(before.Cloth, cloth)
		}
		if undo {
			k.takeBack()
		} else {
			k.move(moves)
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
	plan := v.s.handPlan(r, c.result, cloth)
	if plan == nil {
		return errChanged
	}
	v.w.Header().Set("Content-Type", "application/json")
	return json.NewEncoder(v.w).Encode(v.handNow(r, c, cloth, plan))
}

// rest stops a search and waits until it has kept what it found.
func (s *Server) rest(job, material string) {
	if x := s.lays.get(job, material); x != nil && !x.isDone() {
		x.stop()
		select {
		case <-x.ended:
		case <-time.After(3 * time.Second):
		}
	}
}

// allowed reports whether every place is of a shape of the lay, turned as its cloth allows. Where it lies is judged afterwards: a lay in the making
// may overlap.
func allowed(moves []HandPlace, c *job.Result, cloth lay.Cloth) bool {
	shapes, _ := lay.Shapes(worksOf(c), cloth, handOptions(c))
	for i := range moves {
		m, good := &moves[i], false
		for _, s := range shapes {
			if s.Piece != m.Piece || s.Copy != m.Copy || s.Part != m.Part {
				continue
			}
			for _, p := range s.Poses {
				if p.Flipped == m.Flipped && math.Abs(math.Remainder(p.Turn-m.Turn, 360)) < 1e-3 {
					m.Turn, good = p.Turn, true
					if s.OnFold {
						m.X = 0
						if p.From > 0 { // the other fold of a tube
							m.X = p.To
						}
					}
				}
			}
		}
		if !good {
			return false
		}
	}
	return true
}

// onFoldAt is where across the cloth a half on the fold lies in one of its poses: on the fold that the pose is for.
func onFoldAt(s lay.Loose, p lay.Pose) float64 {
	least := math.Inf(1)
	for _, q := range s.Outline {
		least = math.Min(least, p.M[0]*q.X+p.M[1]*q.Y)
	}
	return thousandth(p.From - least)
}

// move puts shapes at their new places; how they lay can be undone to. A lock turned by itself is no move.
func (k *KeptLay) move(moves []HandPlace) {
	hand := append([]HandPlace(nil), k.Hand...)
	var was []HandPlace
	for _, m := range moves {
		for i := range hand {
			q := &hand[i]
			if q.Piece != m.Piece || q.Copy != m.Copy || q.Part != m.Part {
				continue
			}
			old := *q
			*q = m
			if old.Locked = m.Locked; old != m {
				was = append(was, old)
			}
		}
	}
	k.Hand = hand
	if len(was) > 0 {
		k.Undo = pushed(k.Undo, was)
	}
}

// retake lays pieces that have changed where the hand had laid them, as far as their cloth lets them lie so; what is new is put behind them. What does
// not fit any more is said of it.
func (v *visit) retake(r *Record, c *cut, cloth lay.Cloth) error {
	k := r.Kept.Lays[string(cloth.Material)]
	shapes, _ := lay.Shapes(worksOf(c.result), k.folded(c.result, cloth), handOptions(c.result))
	v.s.rest(r.ID, string(cloth.Material))
	return v.s.store.Change(r.ID, func(now *Record) error {
		k := now.Kept.Lays[string(cloth.Material)]
		if len(k.Hand) == 0 || len(shapes) == 0 {
			return errChanged
		}
		var hand []HandPlace
		end := 0.0
		var new []lay.Loose
		for _, s := range shapes {
			was, ok := k.placeOf(s)
			if !ok {
				new = append(new, s)
				continue
			}
			hand = append(hand, was)
			end = math.Max(end, was.Y+curve.Bounds(s.Outline...).Max.Y)
		}
		for _, s := range new {
			b := curve.Bounds(s.Outline...)
			q := HandPlace{Piece: s.Piece, Copy: s.Copy, Part: s.Part, Turn: s.Poses[0].Turn, Flipped: s.Poses[0].Flipped, X: thousandth(-b.Min.X), Y: thousandth(end - b.Min.Y + 10)}
			if s.OnFold {
				q.X = onFoldAt(s, s.Poses[0])
			}
			end = q.Y + b.Max.Y
			hand = append(hand, q)
		}
		k.Hand, k.HandOf, k.Undo = hand, signOf(c.result, cloth), nil
		now.Kept.Lays[string(cloth.Material)] = k
		return nil
	})
}

// placeOf is where a shape lay by hand, in the nearest of the ways it may lie now.
func (k *KeptLay) placeOf(s lay.Loose) (HandPlace, bool) {
	for _, q := range k.Hand {
		if q.Piece != s.Piece || q.Copy != s.Copy || q.Part != s.Part {
			continue
		}
		best, least := s.Poses[0], math.Inf(1)
		for _, p := range s.Poses {
			if d := math.Abs(math.Remainder(p.Turn-q.Turn, 360)); p.Flipped == q.Flipped && d < least {
				best, least = p, d
			}
		}
		if q.Turn, q.Flipped = best.Turn, best.Flipped; s.OnFold {
			q.X = onFoldAt(s, best)
		}
		return q, true
	}
	return HandPlace{}, false
}

// takeBack undoes the last move; what is locked now stays so.
func (k *KeptLay) takeBack() {
	if len(k.Undo) == 0 {
		return
	}
	last := k.Undo[len(k.Undo)-1]
	k.Undo = k.Undo[: len(k.Undo)-1 : len(k.Undo)-1]
	hand := append([]HandPlace(nil), k.Hand...)
	for _, w := range last {
		for i := range hand {
			if q := &hand[i]; q.Piece == w.Piece && q.Copy == w.Copy && q.Part == w.Part {
				w.Locked = q.Locked
				*q = w
			}
		}
	}
	k.Hand = hand
}
