package job

import (
	"context"
	"encoding/json"
	"fmt"
	"sort"
	"strings"
	"sync"

	"clothwright/cost"
	"clothwright/curve"
	"clothwright/draft"
	"clothwright/lay"
	"clothwright/phrase"
	"clothwright/piece"
	"clothwright/sheet/drawing"
	"clothwright/sheet/layplan"
	"clothwright/sheet/pdf"
)

// Lay lays the pieces on the house's cloths, keeps the plans in r.Plans and adds what they have to say to the findings. With the
// zero options it has a budget in steps, so that the same job gives the same record on every machine. A cloth that is too
// narrow folded is laid open where that goes, and the findings say so. A cloth that one of the kept plans is of is not laid
// anew: the kept plan takes its place, with its findings and its price. The error is a budget that cannot be.
func (r *Result) Lay(ctx context.Context, o lay.Options, kept ...*lay.Plan) error {
	plans, found, err := layTogether(ctx, []*Result{r}, o, kept)
	if err != nil {
		return err
	}
	r.Plans = plans
	others := r.Findings[:0:0]
	for _, f := range r.Findings {
		if !strings.HasPrefix(f.Code, "lay:") && !strings.HasPrefix(f.Code, "cost:") { // both are said anew of every lay
			others = append(others, f)
		}
	}
	r.Findings = append(others, found...)
	if err := r.price(); err != nil {
		return err
	}
	sort.SliceStable(r.Findings, func(a, b int) bool { return r.Findings[a].Level.Rank() > r.Findings[b].Level.Rank() })
	r.Level = piece.Worst(r.Findings)
	return nil
}

// price works out what the job costs from its lays, when it names a costing file.
func (r *Result) price() error {
	if r.Job.Rates == nil {
		return nil
	}
	q, err := cost.Work(r.Job.Rates, cost.Order{Garment: r.Job.Garment.Title, Pieces: 1, Notions: r.Pattern.Notions, Order: r.Pattern.Order, Cloths: cost.ClothsOf(r.Plans)})
	if err != nil {
		return err
	}
	r.Quote, r.Findings = q, append(r.Findings, q.Findings...)
	return nil
}

// LayTogether lays the pieces of several results on the cloths of the first one's house, one plan a cloth. Rib that no cloth is stated
// for is a plan by itself for those with a ready band and for those with rib by the metre.
func LayTogether(ctx context.Context, rs []*Result, o lay.Options) ([]*lay.Plan, []piece.Finding, error) {
	return layTogether(ctx, rs, o, nil)
}

func layTogether(ctx context.Context, rs []*Result, o lay.Options, kept []*lay.Plan) ([]*lay.Plan, []piece.Finding, error) {
	if len(rs) == 0 {
		return nil, nil, nil
	}
	if o.Say == nil {
		o.Say = rs[0].Job.House.Tape.Fine
	}
	if o.Mark == 0 {
		o.Mark = rs[0].Job.House.Tape.Step
	}
	var works []lay.Work
	seen := map[string]string{}
	for _, r := range rs {
		if other, twice := seen[r.Job.Number]; twice {
			return nil, nil, fmt.Errorf("%s and %s are both job %q; pieces laid together need jobs of different names", other, r.Job.File, r.Job.Number)
		}
		seen[r.Job.Number] = r.Job.File
		works = append(works, r.work())
	}
	var out []*lay.Plan
	var found []piece.Finding
	var asks []ask
	for _, m := range materials(works) {
		unstated := false
		at := map[string]int{} // asks of this material, by the cloth's name
		for i, r := range rs {
			if !cutOf(r, m) {
				continue
			}
			a, ok := rs[0].clothBy(m, r)
			if !ok {
				unstated = true
				continue
			}
			n, known := at[a.cloth.Name]
			if !known {
				n = len(asks)
				at[a.cloth.Name] = n
				asks = append(asks, a)
			} else {
				asks[n].cloth.Matches = append(asks[n].cloth.Matches, a.cloth.Matches...)
			}
			asks[n].works = append(asks[n].works, works[i])
		}
		if unstated {
			found = append(found, piece.Found(piece.Warn, "lay:no-cloth", phrase.Of("No cloth is stated for %s, so it is not laid: name one in the house file.", m)))
		}
	}
	if len(rs) == 1 {
		for i := range asks {
			a, note := rs[0].settled(asks[i])
			asks[i], found = a, append(found, note...)
		}
	}
	errs := make([]error, len(asks))
	out = make([]*lay.Plan, len(asks))
	var all sync.WaitGroup
	for i, a := range asks {
		for _, p := range kept {
			if p != nil && p.Cloth.Material == a.cloth.Material {
				out[i] = p
			}
		}
		if out[i] != nil {
			continue
		}
		all.Go(func() { out[i], errs[i] = a.lay(ctx, a.works, o) })
	}
	all.Wait()
	for i := range asks {
		if errs[i] != nil {
			return nil, nil, errs[i]
		}
		found = append(found, out[i].Findings...)
	}
	return out, found, nil
}

// worthOpening is the part of the length to buy from which it is worth saying that cloth laid open takes less: every piece is then
// cut by itself. Common practice.
const worthOpening = 0.05

// ask is one cloth to lay on.
type ask struct {
	cloth lay.Cloth
	band  bool
	kept  *KeptLay   // as it was settled, nil when it was not
	works []lay.Work // what is cut of it
}

func (a ask) lay(ctx context.Context, works []lay.Work, o lay.Options) (*lay.Plan, error) {
	if a.band {
		return lay.Band(works, a.cloth, o), nil
	}
	if k := a.kept; k != nil && len(k.Places) > 0 {
		c, held := k.lie(works, a.cloth)
		return lay.ByHand(works, c, held, o), nil
	} else if k != nil && k.Steps > 0 {
		o.Seed, o.Steps, o.Time = uint64(k.Seed), k.Steps, 0
		return lay.Lay(ctx, works, a.cloth, o)
	}
	switch a.cloth.Fold {
	case lay.Lengthwise:
	case lay.PartSingle:
		return a.partSingle(ctx, works, o)
	default:
		return lay.Lay(ctx, works, a.cloth, o)
	}
	open := a.cloth
	open.Fold = lay.Open
	var opened *lay.Plan
	var bad error
	var aside sync.WaitGroup
	aside.Go(func() { opened, bad = lay.Lay(ctx, works, open, o) })
	plan, err := lay.Lay(ctx, works, a.cloth, o)
	aside.Wait()
	switch {
	case err != nil:
		return nil, err
	case bad != nil:
		return nil, bad
	case !opened.Laid():
		return plan, nil
	case !tooWide(plan):
		saved := plan.Bought - opened.Bought
		if plan.Laid() && saved > 0 && saved >= worthOpening*plan.Bought {
			plan.Findings = append(plan.Findings, piece.Found(piece.Info, "lay:open-saves",
				phrase.Of("%s: laid open in one layer it would take %s to buy, %s less than folded.", sentenceOf(a.cloth.Name), o.Say(opened.Bought), o.Say(saved))))
		}
		return plan, nil
	}
	return instead(opened, plan), nil
}

// instead is a cloth laid open since it is too narrow for the way it was to be laid.
func instead(opened, plan *lay.Plan) *lay.Plan {
	for _, f := range plan.Findings {
		opened.Findings = append(opened.Findings, piece.Found(piece.Warn, "lay:opened", phrase.Of("%s It is laid open.", f.Said), f.Pieces...))
	}
	return opened
}

// partSingle lays cloth with one part single, and says when folded selvedge on selvedge or open it would take less. Where it is too narrow it is
// laid open.
func (a ask) partSingle(ctx context.Context, works []lay.Work, o lay.Options) (*lay.Plan, error) {
	plan, err := lay.Lay(ctx, works, a.cloth, o)
	if err != nil || !plan.Laid() && !tooWide(plan) {
		return plan, err
	}
	for _, fold := range []lay.Fold{lay.Lengthwise, lay.Open} {
		c := a.cloth
		if c.Fold = fold; fold == plan.Cloth.Fold {
			continue
		}
		laid, err := lay.Lay(ctx, works, c, o)
		if err != nil {
			return nil, err
		}
		if tooWide(plan) {
			if c.Fold == lay.Open && laid.Laid() {
				return instead(laid, plan), nil
			}
			continue
		}
		saved := plan.Bought - laid.Bought
		switch name := sentenceOf(a.cloth.Name); {
		case !laid.Laid() || saved <= 0:
		case fold == lay.Lengthwise:
			plan.Findings = append(plan.Findings, piece.Found(piece.Info, "lay:even-saves",
				phrase.Of("%s: folded selvedge on selvedge it would take %s to buy, %s less than with one part single.", name, o.Say(laid.Bought), o.Say(saved))))
		case saved >= worthOpening*plan.Bought:
			plan.Findings = append(plan.Findings, piece.Found(piece.Info, "lay:open-saves",
				phrase.Of("%s: laid open in one layer it would take %s to buy, %s less than with one part single.", name, o.Say(laid.Bought), o.Say(saved))))
		}
	}
	return plan, nil
}

// tooWide reports whether nothing but its width keeps a cloth from being laid.
func tooWide(p *lay.Plan) bool {
	for _, f := range p.Findings {
		if f.Level == piece.Stop && f.Code != "lay:too-wide" {
			return false
		}
	}
	return piece.Worst(p.Findings) == piece.Stop
}

// materials are those of the works' pieces, in the order they are met.
func materials(works []lay.Work) []piece.Material {
	var out []piece.Material
	seen := map[piece.Material]bool{}
	for _, w := range works {
		for i := range w.Pattern.Pieces {
			if m := w.Pattern.Pieces[i].Material; !seen[m] && w.Pattern.Pieces[i].Count > 0 {
				seen[m] = true
				out = append(out, m)
			}
		}
	}
	return out
}

// work is what is laid of a result.
func (r *Result) work() lay.Work { return lay.Work{Job: r.Job.Number, Pattern: r.Pattern} }

// cutOf reports whether a result has pieces of a material.
func cutOf(r *Result, m piece.Material) bool {
	for i := range r.Pattern.Pieces {
		if r.Pattern.Pieces[i].Material == m && r.Pattern.Pieces[i].Count > 0 {
			return true
		}
	}
	return false
}

// clothFor is the house's cloth of a material.
func (r *Result) clothFor(m piece.Material) (ask, bool) { return r.clothBy(m, r) }

// clothBy is the house's cloth of a material for a garment. Rib that no cloth is stated for is the house's ready band or its tube, as
// the garment's style says.
func (r *Result) clothBy(m piece.Material, of *Result) (ask, bool) {
	h := &r.Job.House
	for _, c := range h.Cloths {
		if c.Material == string(m) {
			out := clothOf(c)
			if out.Along > 0 || out.Across > 0 {
				out.Matches = lay.MatchSeams(of.work(), m)
			}
			return ask{cloth: out}, true
		}
	}
	if m != piece.Rib {
		return ask{}, false
	}
	step := 100.0
	if len(h.Cloths) > 0 && h.Cloths[0].Step > 0 {
		step = h.Cloths[0].Step
	}
	if of.Job.Style["rib"] == "metre" {
		return ask{cloth: lay.Cloth{Material: m, Name: phrase.Word("rib by the metre"), Width: h.RibTube, Fold: lay.Tubular, Step: step}}, h.RibTube > 0
	}
	return ask{band: true, cloth: lay.Cloth{Material: m, Name: phrase.Word("ready band"), Width: h.ReadyBand, Step: step}}, h.ReadyBand > 0
}

// Cloth is the house's cloth of a material as the job is laid on it. ok is false where no cloth is stated for it, and for rib from a ready band.
func (r *Result) Cloth(m piece.Material) (c lay.Cloth, ok bool) {
	a, ok := r.clothFor(m)
	return a.cloth, ok && !a.band
}

func clothOf(c draft.Cloth) lay.Cloth {
	out := lay.Cloth{Material: piece.Material(c.Material), Name: c.Name, Width: c.Width, Selvedge: c.Selvedge, Fold: lay.Fold(c.Fold), Doubled: c.Doubled, Both: c.Both, Nap: c.Nap, Step: c.Step, Price: c.Price,
		Gap: c.Gap, Tilt: c.Tilt, Along: c.RepeatLong, Across: c.RepeatWide, ShrinkLong: c.ShrinkLong, ShrinkWide: c.ShrinkWide, Wash: c.WashFirst, Length: c.Remnant}
	for _, f := range c.Flaws {
		out.Flaws = append(out.Flaws, curve.Bounds(curve.Point{X: f.X, Y: f.Y}, curve.Point{X: f.X + f.Wide, Y: f.Y + f.Long}))
	}
	return out
}

// The types of the record's cloths: fields may be added, none renamed or dropped.
type (
	jsonCloth struct {
		Material    string       `json:"material"`
		Name        string       `json:"name"`
		Width       num          `json:"width"`
		Usable      num          `json:"usable"`
		Selvedge    num          `json:"selvedge"`
		Doubled     num          `json:"doubled,omitempty"`
		Fold        string       `json:"fold"`
		Nap         bool         `json:"nap"`
		Band        bool         `json:"band,omitempty"`
		Length      num          `json:"length"`
		Bought      num          `json:"bought"`
		Utilisation json.Number  `json:"utilisation"`
		Fits        bool         `json:"fits"`
		Seed        uint64       `json:"seed"`
		Enlarged    *[2]float64  `json:"enlarged,omitempty"`
		Places      []jsonPlace  `json:"places"`
		Parts       []jsonPart   `json:"parts,omitempty"`
		Offcuts     []jsonOffcut `json:"offcuts"`
	}
	jsonPlace struct {
		Piece   string `json:"piece"`
		Copy    int    `json:"copy"`
		Turn    num    `json:"turn"`
		Flipped bool   `json:"flipped"`
		X       num    `json:"x"`
		Y       num    `json:"y"`
		Layers  int    `json:"layers"`
		N       int    `json:"n"`
		Opened  bool   `json:"opened,omitempty"`
	}
	jsonPart struct {
		Piece string `json:"piece"`
		Copy  int    `json:"copy"`
		Part  int    `json:"part"`
		Of    int    `json:"of"`
		X     num    `json:"x"`
		Y     num    `json:"y"`
		W     num    `json:"w"`
		H     num    `json:"h"`
		N     int    `json:"n"`
	}
	jsonOffcut struct {
		X      num `json:"x"`
		Y      num `json:"y"`
		W      num `json:"w"`
		H      num `json:"h"`
		Layers int `json:"layers"`
	}
)

// cloths is the record's list of cloths: "[]" before the pieces are laid.
func (r *Result) cloths() (json.RawMessage, error) {
	out := []jsonCloth{}
	for _, p := range r.Plans {
		out = append(out, clothJSON(p))
	}
	return json.Marshal(out)
}

func clothJSON(p *lay.Plan) jsonCloth {
	c := p.Cloth
	out := jsonCloth{Material: string(c.Material), Name: c.Name, Width: num(c.Width), Usable: num(p.Usable), Selvedge: num(c.Selvedge), Doubled: num(c.Doubled), Fold: string(c.Fold), Nap: c.Nap,
		Band: p.Band, Length: num(p.Length), Bought: num(p.Bought), Utilisation: json.Number(fmt.Sprintf("%.4f", p.Utilisation)), Fits: p.Fits, Seed: p.Seed,
		Places: []jsonPlace{}, Offcuts: []jsonOffcut{}}
	for _, q := range p.Places {
		if e := q.Enlarge; e.X != 1 || e.Y != 1 {
			out.Enlarged = &[2]float64{e.X, e.Y}
		}
		if q.Parts > 0 {
			b := q.Bounds()
			out.Parts = append(out.Parts, jsonPart{q.Piece, q.Copy, q.Part, q.Parts, num(b.Min.X), num(b.Min.Y), num(b.W()), num(b.H()), q.N})
			continue
		}
		out.Places = append(out.Places, jsonPlace{q.Piece, q.Copy, num(q.Turn), q.Flipped, num(q.X), num(q.Y), q.Layers, q.N, q.Opened})
	}
	for _, o := range p.Offcuts {
		out.Offcuts = append(out.Offcuts, jsonOffcut{num(o.At.Min.X), num(o.At.Min.Y), num(o.At.W()), num(o.At.H()), o.Layers})
	}
	return out
}

// LayPlan draws the lay plan of what Lay has laid; trials may be empty.
func (r *Result) LayPlan(trials []lay.Trial) (*drawing.Drawing, error) {
	j := r.Job
	return layplan.Sheet(layplan.Job{Job: j.Number, Client: j.Client, Garment: j.Garment.Title, Date: j.Date, Tape: j.House.Tape, Paper: j.House.Paper,
		Plans: r.Plans, Trials: trials, Findings: r.Findings, DemoNote: j.Demo})
}

// LayPlanTogether draws the lay plan of several results laid together, in the first one's tape and paper.
func LayPlanTogether(rs []*Result, plans []*lay.Plan, found []piece.Finding) (*drawing.Drawing, error) {
	var names []string
	demo := ""
	for _, r := range rs {
		names = append(names, r.Job.Number)
		if demo == "" {
			demo = r.Job.Demo
		}
		for _, f := range r.Findings { // a job that must not be cut by itself must not be cut with others
			if f.Level == piece.Stop && !strings.HasPrefix(f.Code, "lay:") {
				f.Text = r.Job.Number + ": " + f.Text
				found = append(found, f)
			}
		}
	}
	h := &rs[0].Job.House
	return layplan.Sheet(layplan.Job{Job: strings.Join(names, ", "), Garment: fmt.Sprintf("%d jobs laid together", len(rs)), Tape: h.Tape, Paper: h.Paper,
		Plans: plans, Findings: found, DemoNote: demo})
}

// layPlanFile is the lay plan as a file, none when there is no cloth.
func (r *Result) layPlanFile() ([]Output, error) {
	if len(r.Plans) == 0 {
		return nil, nil
	}
	d, err := r.LayPlan(nil)
	if err != nil {
		return nil, fmt.Errorf("lay-plan.pdf: %w", err)
	}
	bytes, err := pdf.Bytes(d)
	if err != nil {
		return nil, fmt.Errorf("lay-plan.pdf: %w", err)
	}
	return []Output{{"lay-plan.pdf", bytes}}, nil
}

// Widths compares the widths that the cloth of a material may be bought in, each folded, with one part single and open. An empty price is the
// house's.
func (r *Result) Widths(ctx context.Context, material, price string, widths []float64, o lay.Options) ([]lay.Trial, error) {
	if o.Say == nil {
		o.Say = r.Job.House.Tape.Fine
	}
	if o.Mark == 0 {
		o.Mark = r.Job.House.Tape.Step
	}
	a, ok := r.clothFor(piece.Material(material))
	if !ok || a.band {
		return nil, fmt.Errorf("no cloth of material %q is stated; it can be compared only for %s", material, strings.Join(r.cloth(), ", "))
	}
	if price != "" {
		a.cloth.Price = price
	}
	return lay.Compare(ctx, []lay.Work{{Job: r.Job.Number, Pattern: r.Pattern}}, a.cloth, widths, []lay.Fold{lay.Lengthwise, lay.PartSingle, lay.Open}, o)
}

// cloth names the materials of the house's cloths.
func (r *Result) cloth() []string {
	var out []string
	for _, c := range r.Job.House.Cloths {
		out = append(out, c.Material)
	}
	return out
}
