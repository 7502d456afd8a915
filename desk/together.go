package desk

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"

	"clothwright/book"
	"clothwright/cost"
	"clothwright/job"
	"clothwright/lay"
	"clothwright/piece"
	"clothwright/sheet/docket"
)

// Together is several garments laid and priced together, not yet in the book.
type Together struct {
	Jobs    []book.Job
	Quote   *cost.Together
	Results []*job.Result
	Plans   []*lay.Plan
	Found   []piece.Finding // of the common lay
	Need    float64         // mm of the client's own cloth that it takes; 0 when the client brings none
	Here    float64         // mm of it that are booked in for the jobs
	head    docket.Head
	keep    []book.Quoted
}

// run is what a quotation keeps of the run it is part of: which jobs, and this one's part of what is bought and done for all.
type run struct {
	Jobs   []string     `json:"jobs"`
	Nth    int          `json:"nth"` // from 0
	Given  []cost.Line  `json:"given"`
	Cloths []cost.Cloth `json:"cloths"` // this one's part, by length
}

// LayAndPrice lays the pieces of several results together and prices them as a run; see the package comment of cost for how what is
// bought once is shared. The first one's house says what cloth there is. The budget of the search is the one of a lay of one
// garment, for each.
func (p Pricing) LayAndPrice(ctx context.Context, rates *cost.Rates, rs []*job.Result, recorded []cost.Average) (*Together, error) {
	if p.Pieces > 1 {
		return nil, &Fault{Field: "pieces", Text: "several jobs are priced together, each as one piece; a number of pieces goes with one job"}
	}
	t := &Together{Results: rs}
	var err error
	if t.Plans, t.Found, err = job.LayTogether(ctx, rs, lay.Options{Steps: lay.Steps * int64(len(rs))}); err != nil {
		return nil, mistake("%s", err)
	}
	for _, f := range t.Found {
		if f.Level == piece.Stop {
			return nil, mistake("these jobs cannot be laid together: %s", f.Text)
		}
	}
	r := cost.Run{Cloths: cost.RunClothsOf(t.Plans), Recorded: recorded}
	cloths := cost.ClothsOf(t.Plans)
	if err := p.own(cloths); err != nil {
		return nil, err
	}
	for i := range cloths {
		r.Cloths[i].Own = cloths[i].Own
	}
	if r.Ask, r.Discount, r.Deposit, err = p.values(rates.Currency); err != nil {
		return nil, err
	}
	for _, x := range rs {
		r.Garments = append(r.Garments, cost.Garment{Name: x.Job.Number, Garment: x.Job.Garment.Title, Areas: cost.AreasOf(x.Pattern), Notions: x.Pattern.Notions, Order: x.Pattern.Order})
	}
	if t.Quote, err = cost.WorkTogether(rates, r); err != nil {
		return nil, mistake("%s", err)
	}
	t.head = docket.Head{House: rates.Name, Job: docket.NamesOf(t.Quote.Names), Client: clientOf(rs), Garment: fmt.Sprintf("%d garments, cut together", len(rs)), Date: rs[0].Job.Date, Paper: rs[0].Job.House.Paper, Note: rs[0].Job.Demo}
	return t, nil
}

// clientOf is the client of all results, or nobody where they are of several.
func clientOf(rs []*job.Result) string {
	for _, r := range rs {
		if r.Job.Client != rs[0].Job.Client {
			return ""
		}
	}
	return rs[0].Job.Client
}

// Address says who the quotation is for.
func (t *Together) Address(name string) { t.head.Client = name }

func (t *Together) quotation() (named, error) {
	var pieces []docket.Piece
	for _, r := range t.Results {
		pieces = append(pieces, docket.Piece{Client: r.Job.Client, Style: r.Sheet().StyleWords})
	}
	d, err := docket.QuotationTogether(t.head, t.Quote, pieces, []string{together(t.Quote.Names)})
	return named{"quotation", d}, err
}

// together is what a client is to know of such a price.
func together(names []string) string {
	return fmt.Sprintf("These prices are for %d garments that are cut from one lay of cloth, %s; where one is left out, the others' prices are reckoned anew.", len(names), strings.Join(names, ", "))
}

// Print is the quotation for the client, the costing for the maker, and the common lay: quotation.pdf, costing.pdf and lay-plan.pdf.
func (t *Together) Print() ([]job.Output, error) {
	quotation, err := t.quotation()
	if err != nil {
		return nil, err
	}
	var heads []docket.Head
	for _, r := range t.Results {
		h := Head(r, t.head.House, t.head.Date)
		h.Stop = ""
		heads = append(heads, h)
	}
	costing, err := docket.CostingTogether(t.head, t.Quote, heads)
	if err != nil {
		return nil, err
	}
	plan, err := job.LayPlanTogether(t.Results, t.Plans, t.Found)
	if err != nil {
		return nil, err
	}
	return printed(false, quotation, named{"costing", costing}, named{"lay-plan", plan})
}

// Pictures are the quotation's pages as PNG files small enough to send in a message.
func (t *Together) Pictures() ([]job.Output, error) {
	s, err := t.quotation()
	if err != nil {
		return nil, err
	}
	return s.pictures()
}

// PriceTogether prices several jobs of the book as a run, from their newest drafts. They are of one client, or who the quotation is
// addressed to is named. Costing and name are those of [Price].
func PriceTogether(ctx context.Context, b *book.Book, numbers []string, to, name string, costing []byte, p Pricing) (*Together, error) {
	costing, rates, err := ratesOf(ctx, b, name, costing)
	if err != nil {
		return nil, err
	}
	var rs []*job.Result
	var jobs []book.Job
	var drafts []book.Draft
	for _, n := range numbers {
		j, d, r, err := cutAgain(ctx, b, n)
		if err != nil {
			return nil, err
		}
		jobs, drafts, rs = append(jobs, j), append(drafts, d), append(rs, r)
		if j.ClientID != jobs[0].ClientID && to == "" {
			return nil, &Fault{Field: "for", Text: fmt.Sprintf("%s is of %s and %s of %s; say who the quotation is addressed to", jobs[0].Number, jobs[0].Client, j.Number, j.Client)}
		}
	}
	times, err := timesOf(ctx, b)
	if err != nil {
		return nil, err
	}
	t, err := p.LayAndPrice(ctx, rates, rs, times)
	if err != nil {
		return nil, err
	}
	t.Jobs = jobs
	h, err := headIn(ctx, b, rs[0], rates.Name)
	if err != nil {
		return nil, err
	}
	t.head.House, t.head.Date, t.head.Client = h.House, h.Date, jobs[0].Client
	if to != "" {
		t.Address(to)
	}
	for i, q := range t.Quote.Each {
		part := &run{Jobs: t.Quote.Names, Nth: i}
		for _, s := range t.Quote.Cloths {
			if s.Lengths[i] > 0 {
				c := s.Cloth
				c.Bought = float64(s.Lengths[i])
				part.Cloths = append(part.Cloths, c)
			}
		}
		for _, l := range q.Lines {
			if l.Given {
				part.Given = append(part.Given, l)
			}
		}
		keep := keptWords{Client: q.Client(), Record: q.Record(), Times: times, Run: part}
		if p.Pieces = 1; !p.plain() {
			keep.With = &p
		}
		words, err := json.Marshal(keep)
		if err != nil {
			return nil, err
		}
		t.keep = append(t.keep, quoted(q, drafts[i], string(words), costing))
	}
	for _, s := range t.Quote.Cloths {
		if s.Cloth.Own {
			t.Need += s.Cloth.Bought
		}
	}
	for _, j := range jobs {
		goods, err := goodsFor(ctx, b, j, false)
		if err != nil {
			return nil, err
		}
		for _, g := range goods {
			t.Here += g.Left
		}
	}
	return t, nil
}

// Short says that the client brought less cloth than is needed.
func (t *Together) Short() bool { return t.Need > 0 && t.Here < t.Need }

// part prices a result as its part of a run.
func (p Pricing) part(rates *cost.Rates, r *job.Result, part *run, recorded []cost.Average) (*cost.Quote, error) {
	return p.quote(rates, cost.Order{Garment: r.Job.Garment.Title, Pieces: 1, Notions: r.Pattern.Notions, Order: r.Pattern.Order, Recorded: recorded, Given: part.Given, Among: len(part.Jobs), Nth: part.Nth})
}

// Keep books the prices as each job's next quotation, all or none.
func (t *Together) Keep(ctx context.Context, b *book.Book) (kept []book.Quoted, err error) {
	err = b.Write(ctx, "keeping quotations", func(tx *book.Tx) error {
		for i, j := range t.Jobs {
			q, err := tx.AddQuote(j.ID, t.keep[i])
			if err != nil {
				return err
			}
			kept = append(kept, q)
		}
		return nil
	})
	return kept, err
}
