package desk

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"

	"github.com/shopspring/decimal"

	"clothwright/book"
	"clothwright/cost"
	"clothwright/job"
	"clothwright/sheet/docket"
)

// Pricing is what may be said to a price beside the costing file.
type Pricing struct {
	Pieces   int      // how many of it are made, each laid by itself
	Own      []string // materials that the client brings and is not charged for
	Ask      string   // the price a piece that is asked; empty to have it worked out
	Discount string   // percent off; empty for the costing file's
	Deposit  string   // percent to begin with; empty for the costing file's
}

// Work prices a result with the cloth that one of it takes and the times that were recorded. The error is a Fault where a value of
// the pricing is at fault.
func (p Pricing) Work(rates *cost.Rates, r *job.Result, cloths []cost.Cloth, recorded []cost.Average) (*cost.Quote, error) {
	o := cost.Order{Garment: r.Job.Garment.Title, Pieces: p.Pieces, Notions: r.Pattern.Notions, Order: r.Pattern.Order, Recorded: recorded, Cloths: slices.Clone(cloths)}
	for i := range o.Cloths {
		o.Cloths[i].Bought *= float64(p.Pieces)
	}
	if err := p.own(o.Cloths); err != nil {
		return nil, err
	}
	return p.quote(rates, o)
}

// quote reckons an order at the price, discount and deposit that are asked.
func (p Pricing) quote(rates *cost.Rates, o cost.Order) (q *cost.Quote, err error) {
	if o.Ask, o.Discount, o.Deposit, err = p.values(rates.Currency); err != nil {
		return nil, err
	}
	if q, err = cost.Work(rates, o); err != nil {
		return nil, mistake("%s", err)
	}
	return q, nil
}

// own marks the cloths that the client brings.
func (p Pricing) own(cloths []cost.Cloth) error {
	for _, own := range p.Own {
		found := false
		for i := range cloths {
			if cloths[i].Material == own {
				cloths[i].Own, found = true, true
			}
		}
		if !found {
			return mistake("the job has no %s that the client could bring", own)
		}
	}
	return nil
}

// values reads what was said of the price; nil is what was not.
func (p Pricing) values(cur cost.Currency) (ask, discount, deposit *cost.Money, err error) {
	for _, f := range []struct {
		said string
		name string
		into **cost.Money
	}{{p.Ask, "ask", &ask}, {p.Discount, "discount", &discount}, {p.Deposit, "deposit", &deposit}} {
		if f.said == "" {
			continue
		}
		m, err := cur.ParseMoney(f.said)
		if f.name != "ask" && err != nil { // a percentage has digits of its own
			m, err = cost.Percentage(f.said)
		}
		if err != nil {
			return nil, nil, nil, &Fault{Field: f.name, Text: err.Error()}
		}
		if m.IsNegative() {
			return nil, nil, nil, &Fault{Field: f.name, Text: f.said + " is below nought"}
		}
		*f.into = &m
	}
	return ask, discount, deposit, nil
}

// PriceSheets are the quotation for the client and the costing for the maker, as PDF.
func PriceSheets(h docket.Head, r *job.Result, q *cost.Quote) ([]job.Output, error) {
	quotation, err := quotationOf(h, r, q)
	if err != nil {
		return nil, err
	}
	h.Stop = ""
	costing, err := docket.Costing(h, q)
	if err != nil {
		return nil, err
	}
	return printed(false, quotation, named{"costing", costing})
}

// QuotationPictures are the quotation's pages as PNG files small enough to send in a message: quotation.png, or quotation-1.png and
// so on. There is none of the costing, which is nobody's to send.
func QuotationPictures(h docket.Head, r *job.Result, q *cost.Quote) ([]job.Output, error) {
	s, err := quotationOf(h, r, q)
	if err != nil {
		return nil, err
	}
	return s.pictures()
}

func quotationOf(h docket.Head, r *job.Result, q *cost.Quote) (named, error) {
	h.Stop = "" // a price may be named before it may be cut
	d, err := docket.Quotation(h, q, r.Sheet().StyleWords, "", nil)
	return named{"quotation", d}, err
}

// Priced is a price that was worked out.
type Priced struct {
	Job    book.Job
	Quote  *cost.Quote
	Need   float64 // mm of the client's own cloth that it takes; 0 when the client brings none
	Here   float64 // mm of it that are booked in for the job
	keep   book.Quoted
	head   docket.Head
	result *job.Result
}

// Print is the quotation for the client and the costing for the maker: quotation.pdf and costing.pdf.
func (p *Priced) Print() ([]job.Output, error) { return PriceSheets(p.head, p.result, p.Quote) }

// Pictures are the quotation's pages as PNG files; see [QuotationPictures].
func (p *Priced) Pictures() ([]job.Output, error) {
	return QuotationPictures(p.head, p.result, p.Quote)
}

// Picture is the whole quotation as one PNG file, quotation.png.
func (p *Priced) Picture() (job.Output, error) {
	s, err := quotationOf(p.head, p.result, p.Quote)
	if err != nil {
		return job.Output{}, err
	}
	return s.picture()
}

// Short says that the client brought less cloth than is needed.
func (p *Priced) Short() bool { return p.Need > 0 && p.Here < p.Need }

// keptWords is what a quotation keeps as words, and what it takes to reckon it again: what was said to it, where that was more than
// the costing file says, and the times that were recorded by then.
type keptWords struct {
	Client []cost.ClientLine `json:"client"`
	Record cost.Record       `json:"record"`
	With   *Pricing          `json:"with,omitempty"`
	Times  []cost.Average    `json:"times,omitempty"`
	Run    *run              `json:"run,omitempty"` // what it was priced together with
}

// plain says that it is one piece, as the costing file says.
func (p Pricing) plain() bool {
	return p.Pieces == 1 && len(p.Own) == 0 && p.Ask == "" && p.Discount == "" && p.Deposit == ""
}

// Price works out a job's price from its newest draft, the times recorded so far, and a costing file: the room's where costing is
// nil. Name is how errors call a costing file that is given.
func Price(ctx context.Context, b *book.Book, number, name string, costing []byte, p Pricing) (*Priced, error) {
	costing, rates, err := ratesOf(ctx, b, name, costing)
	if err != nil {
		return nil, err
	}
	j, d, r, err := cutAgain(ctx, b, number)
	if err != nil {
		return nil, err
	}
	times, err := timesOf(ctx, b)
	if err != nil {
		return nil, err
	}
	out, err := reckon(ctx, b, j, d, r, rates, p, times, nil)
	if err != nil {
		return nil, err
	}
	q := out.Quote
	keep := keptWords{Client: q.Client(), Record: q.Record(), Times: times}
	if !p.plain() {
		keep.With = &p
	}
	words, err := json.Marshal(keep)
	if err != nil {
		return nil, err
	}
	out.keep = quoted(q, d, string(words), costing)
	return out, nil
}

// quoted is a price as the book keeps it.
func quoted(q *cost.Quote, d book.Draft, words string, costing []byte) book.Quoted {
	return book.Quoted{Draft: d.N, Currency: q.Currency.Code, Total: q.Currency.Minor(q.Total), Deposit: q.Currency.Minor(q.Deposit),
		Minutes: q.Minutes.Ceil().IntPart(), Words: words, Costing: costing}
}

// ratesOf reads a costing file, the room's where none is given.
func ratesOf(ctx context.Context, b *book.Book, name string, costing []byte) ([]byte, *cost.Rates, error) {
	if costing == nil {
		var ok bool
		var err error
		if costing, ok, err = b.SettingFile(ctx, book.SetCosting); err != nil {
			return nil, nil, err
		}
		if !ok {
			return nil, nil, &Fault{Code: NoCosting, Text: "the room has no costing file yet; clothwright book room --costing FILE keeps one"}
		}
		name = "the room's costing file"
	}
	rates, err := cost.Read(name, costing)
	return costing, rates, err
}

// timesOf are the times that were recorded on the room's jobs so far.
func timesOf(ctx context.Context, b *book.Book) (times []cost.Average, err error) {
	averages, err := b.Averages(ctx)
	for _, a := range averages {
		times = append(times, cost.Average{Starts: a.Operation, Minutes: decimal.NewFromInt(a.Minutes), Times: a.Jobs})
	}
	return times, err
}

// own looks whether the client brought as much cloth as what they bring takes.
func (p *Priced) own(ctx context.Context, b *book.Book, cloths []cost.Cloth, with Pricing) error {
	for _, x := range cloths {
		if slices.Contains(with.Own, x.Material) {
			p.Need += x.Bought * float64(with.Pieces)
		}
	}
	goods, err := goodsFor(ctx, b, p.Job, false)
	for _, g := range goods {
		p.Here += g.Left
	}
	return err
}

// goodsFor is the client's own cloth that is booked in for a job; also what is all out when asked for.
func goodsFor(ctx context.Context, b *book.Book, j book.Job, outToo bool) ([]book.Goods, error) {
	all, err := b.Goods(ctx, j.ClientID, outToo)
	return slices.DeleteFunc(all, func(g book.Goods) bool { return g.Job != j.Number }), err
}

// Keep books a price that Price has worked out as the job's next quotation.
func (p *Priced) Keep(ctx context.Context, b *book.Book) (kept book.Quoted, err error) {
	err = b.Write(ctx, "keeping a quotation", func(tx *book.Tx) (err error) {
		kept, err = tx.AddQuote(p.Job.ID, p.keep)
		return err
	})
	return kept, err
}

// wordsOf reads what a quotation keeps as words.
func wordsOf(q book.Quoted) (keptWords, error) {
	var words keptWords
	if err := json.Unmarshal([]byte(q.Words), &words); err != nil {
		return words, mistake("the quotation in the book cannot be read")
	}
	return words, nil
}

// Lines are what a kept quotation asks of the client, line by line.
func Lines(q book.Quoted) ([]cost.ClientLine, error) {
	words, err := wordsOf(q)
	return words.Client, err
}

// Reckoned works out a kept quotation again, from the draft, the costing file and the times that it was made of. It fails when the
// total is another than the one that was kept, as by a program that reckoned otherwise.
func Reckoned(ctx context.Context, b *book.Book, j book.Job, q book.Quoted) (*Priced, error) {
	words, err := wordsOf(q)
	if err != nil {
		return nil, err
	}
	rates, err := cost.Read("the quotation's costing file", q.Costing)
	if err != nil {
		return nil, err
	}
	d, err := b.Draft(ctx, j.ID, q.Draft)
	if err != nil {
		return nil, err
	}
	r, err := Again(d)
	if err != nil {
		return nil, err
	}
	with := Pricing{Pieces: 1}
	if words.With != nil {
		with = *words.With
	}
	p, err := reckon(ctx, b, j, d, r, rates, with, words.Times, words.Run)
	if err != nil {
		return nil, err
	}
	if p.Quote.Currency.Code != q.Currency || p.Quote.Currency.Minor(p.Quote.Total) != q.Total {
		return nil, &Fault{Code: NotAgain, Text: fmt.Sprintf("quotation %d of job %s cannot be reckoned again as it was kept; make a new one", q.N, j.Number)}
	}
	p.head.Date = q.Day
	return p, nil
}

// reckon prices a draft, as its part of a run where it is part of one.
func reckon(ctx context.Context, b *book.Book, j book.Job, d book.Draft, r *job.Result, rates *cost.Rates, with Pricing, times []cost.Average, part *run) (*Priced, error) {
	cloths, err := Cloths(d, r)
	if err != nil {
		return nil, err
	}
	p := &Priced{Job: j, result: r}
	if part != nil {
		cloths = part.Cloths
		p.Quote, err = with.part(rates, r, part, times)
	} else {
		p.Quote, err = with.Work(rates, r, cloths, times)
	}
	if err != nil {
		return nil, err
	}
	if p.head, err = headIn(ctx, b, r, rates.Name); err != nil {
		return nil, err
	}
	return p, p.own(ctx, b, cloths, with)
}

// Paid is a payment that was booked.
type Paid struct {
	Currency cost.Currency
	Amount   cost.Money
	Left     cost.Money // still owed; below nought when too much is paid
}

// Pay books a payment in the currency of the job's quotation, below nought when it is paid back; on is its day, empty for today.
func Pay(ctx context.Context, b *book.Book, number, amount, why, on string) (Paid, error) {
	var p Paid
	j, err := b.Job(ctx, number)
	if err != nil {
		return p, err
	}
	q, ok, err := b.Quote(ctx, j.ID)
	if err != nil {
		return p, err
	}
	if !ok {
		return p, &Fault{Code: NoQuote, Text: fmt.Sprintf("job %s has no quotation, so it is not known in which currency it is paid; clothwright order quote makes one", number)}
	}
	if p.Currency, err = cost.CurrencyOf(q.Currency); err != nil {
		return p, err
	}
	if p.Amount, err = p.Currency.ParseMoney(amount); err != nil {
		return p, mistake("%s", err)
	}
	if on, err = Day(b, on); err != nil {
		return p, err
	}
	if err := b.Write(ctx, "booking a payment", func(tx *book.Tx) error {
		return tx.Pay(number, book.Payment{Day: on, Amount: p.Currency.Minor(p.Amount), Currency: p.Currency.Code, Why: why})
	}); err != nil {
		return p, err
	}
	payments, err := b.Payments(ctx, j.ID)
	p.Left = p.Currency.FromMinor(q.Total - Sum(payments))
	return p, err
}

// Sum is what was paid in all, in the smallest unit of the currency.
func Sum(payments []book.Payment) int64 {
	all := int64(0)
	for _, p := range payments {
		all += p.Amount
	}
	return all
}

// Debts is what is owed by whom, and together by currency.
type Debts struct {
	Each []book.Owing
	Sums []Debt
}

// Debt is an amount of one currency.
type Debt struct {
	Currency cost.Currency
	Amount   cost.Money
}

// Owed lists what is owed by whom.
func Owed(ctx context.Context, b *book.Book) (Debts, error) {
	all, err := b.Owing(ctx)
	out := Debts{Each: all}
	if err != nil {
		return out, err
	}
	at := map[string]int{}
	for _, o := range all {
		i, ok := at[o.Currency]
		if !ok {
			cur, err := cost.CurrencyOf(o.Currency)
			if err != nil {
				return out, err
			}
			i = len(out.Sums)
			at[o.Currency] = i
			out.Sums = append(out.Sums, Debt{Currency: cur})
		}
		out.Sums[i].Amount = out.Sums[i].Amount.Add(out.Sums[i].Currency.FromMinor(o.Owes()))
	}
	return out, nil
}
