package cost

import (
	"fmt"
	"math"
	"strings"

	"github.com/shopspring/decimal"

	"clothwright/lay"
	"clothwright/phrase"
	"clothwright/piece"
)

// Cloth is a length of cloth that is bought.
type Cloth struct {
	Material string
	Name     string
	Bought   float64 // mm, for the whole run
	Width    float64 // mm
	Price    string  // a metre, exact decimal, from the house file; the costing file goes first
	Own      bool    // the client brings it: it is listed and not charged
}

// ClothsOf is what the plans of a lay buy.
func ClothsOf(plans []*lay.Plan) []Cloth {
	var out []Cloth
	for _, p := range plans {
		if p.Bought > 0 {
			out = append(out, Cloth{Material: string(p.Cloth.Material), Name: p.Cloth.Name, Bought: p.Bought, Width: p.Cloth.Width, Price: p.Cloth.Price})
		}
	}
	return out
}

// Order is what is to be priced.
type Order struct {
	Garment  string // what the client calls it: "Rib-trimmed zip jacket"
	Pieces   int    // garments in the run, at least 1
	Cloths   []Cloth
	Notions  []piece.Notion    // of one garment
	Order    []piece.Operation // making up one garment
	Recorded []Average         // times from the house's jobs
	Ask      *Money            // a price a piece that was agreed by other means; nil to work it out
	Discount *Money            // percent; nil for the house's
	Deposit  *Money            // percent; nil for the house's

	// A garment of a run that is laid together; see [WorkTogether].
	Given []Line // its part of the cloth, instead of Cloths
	Among int    // among how many garments what is done once for a run is shared; 0 and 1 are alike
	Nth   int    // which of them it is, from 0
}

// Group is which part of the cost a line belongs to.
type Group string

// The groups, in the order they stand on a costing.
const (
	Materials Group = "materials"
	Labour    Group = "labour"
	Overhead  Group = "overhead"
)

// Line is one line of a costing.
type Line struct {
	Group    Group
	What     string
	Stitch   string // of an operation, by ISO 4915 number
	Quantity string // "2.40 m", "35 min", "1"
	Price    string // of one, with its unit; empty where there is none
	From     Source // of an operation's minutes, else empty
	Amount   Money  // rounded
	Given    bool   // its amount was handed in, as a part of what is bought for a run
}

// Quote is a garment, or a run of one, with its cost and its price.
type Quote struct {
	Garment  string
	Pieces   int
	Currency Currency
	Lines    []Line
	Minutes  Money // of labour, the whole run

	Materials, Labour, Overhead Money // sums of their lines
	Cost                        Money // of the three

	ProfitWay Way
	ProfitPer Money // the house's percentage
	Asked     bool  // the price was given, not worked out

	Each        Money // price of a piece
	Goods       Money // Each times Pieces
	DiscountPer Money
	Discount    Money
	Net         Money // before tax, after discount
	TaxName     string
	TaxPer      Money
	TaxInside   bool
	Tax         Money
	Total       Money
	DepositPer  Money
	Deposit     Money
	Balance     Money

	Profit   Money // Net less Cost
	Earns    Money // what an hour brings at this price, labour and profit together; 0 when no minute is reckoned
	Findings []piece.Finding
}

var sixty = decimal.NewFromInt(60)

// Work prices an order. The error is an order that cannot be.
func Work(rates *Rates, o Order) (*Quote, error) {
	if o.Pieces < 1 || o.Pieces > 100000 {
		return nil, fmt.Errorf("%d pieces are asked for; 1 to 100000 is allowed", o.Pieces)
	}
	q := &Quote{Garment: o.Garment, Pieces: o.Pieces, Currency: rates.Currency, ProfitWay: rates.ProfitWay, ProfitPer: rates.Profit,
		DiscountPer: rates.Discount, DepositPer: rates.Deposit, TaxName: rates.TaxName, TaxPer: rates.Tax, TaxInside: rates.TaxInside}
	if o.Discount != nil {
		q.DiscountPer = *o.Discount
	}
	if o.Deposit != nil {
		q.DepositPer = *o.Deposit
	}
	for _, p := range []Money{q.DiscountPer, q.DepositPer} {
		if p.IsNegative() || p.GreaterThan(hundred) {
			return nil, fmt.Errorf("%s %% is found; 0 to 100 is allowed for a discount or a deposit", p)
		}
	}
	q.Lines = append(q.Lines, o.Given...)
	q.materials(rates, &o)
	q.labour(rates, &o)
	q.overhead(rates)
	for _, l := range q.Lines {
		switch l.Group {
		case Materials:
			q.Materials = q.Materials.Add(l.Amount)
		case Labour:
			q.Labour = q.Labour.Add(l.Amount)
		case Overhead:
			q.Overhead = q.Overhead.Add(l.Amount)
		}
	}
	q.Cost = q.Materials.Add(q.Labour).Add(q.Overhead)
	q.price(rates, &o)
	q.judge(rates)
	return q, nil
}

func (q *Quote) add(g Group, what, quantity, price string, amount Money) {
	q.Lines = append(q.Lines, Line{Group: g, What: what, Quantity: quantity, Price: price, Amount: q.Currency.Round(amount)})
}

// find adds a finding.
func (q *Quote) find(l piece.Level, code string, said phrase.Said) {
	q.Findings = append(q.Findings, piece.Found(l, code, said))
}

// metres is a length in mm as exact metres, to a tenth of a millimetre: no shop measures nearer.
func metres(mm float64) Money { return decimal.New(int64(math.Round(mm*10)), -4) }

var yard = decimal.RequireFromString("0.9144") // metres; international yard, exact since 1959

func (q *Quote) materials(rates *Rates, o *Order) {
	n := decimal.NewFromInt(int64(o.Pieces))
	for _, c := range o.Cloths {
		q.cloth(rates, c)
	}
	for _, z := range o.Notions {
		count := decimal.NewFromInt(int64(z.Count)).Mul(n)
		if z.Count == 0 {
			count = n
		}
		what := fmt.Sprintf("%s, %s cm", upper(z.Name), trim(metres(z.Length).Mul(hundred)))
		if z.Kind != "zip" || rates.Zip == nil {
			q.find(piece.Warn, "cost:no-price", phrase.Of("No price is stated for %s: %s of it are not in the cost.", what, count))
			q.add(Materials, what+", no price stated", count.String(), "", Money{})
			continue
		}
		each := q.Currency.Round(rates.Zip.Each.Add(rates.Zip.PerMetre.Mul(metres(z.Length))))
		q.add(Materials, what, count.String(), q.Currency.Bare(each)+" each", each.Mul(count))
	}
	if !rates.Thread.IsZero() {
		q.add(Materials, "Thread", n.String(), plainPrice(q.Currency, rates.Thread)+" a garment", rates.Thread.Mul(n))
	}
	for _, t := range rates.Trims {
		count := t.Count.Mul(n)
		q.add(Materials, upper(t.What), count.String(), plainPrice(q.Currency, t.Each)+" each", t.Each.Mul(count))
	}
}

// cloth adds the line of a length of cloth.
func (q *Quote) cloth(rates *Rates, c Cloth) {
	m := metres(c.Bought)
	what := upper(c.Name)
	if what == "" {
		what = upper(c.Material)
	}
	if c.Own {
		q.add(Materials, what+", the client's own", m.StringFixed(2)+" m", "", Money{})
		return
	}
	p, ok := rates.clothPrice(c)
	if !ok {
		q.find(piece.Warn, "cost:no-price", phrase.Of("No price is stated for %s (%s): %s m of it is not in the cost.", what, c.Material, m.StringFixed(2)))
		q.add(Materials, what+", no price stated", m.StringFixed(2)+" m", "", Money{})
		return
	}
	if p.Per == "yd" {
		yards := m.DivRound(yard, 4)
		q.add(Materials, what, trim(yards)+" yd", q.Currency.Bare(p.Price)+" a yd", yards.Mul(p.Price))
		return
	}
	q.add(Materials, what, metreWords(m), plainPrice(q.Currency, p.Price)+" a m", m.Mul(p.Price))
}

func (r *Rates) clothPrice(c Cloth) (ClothPrice, bool) {
	for _, named := range []bool{true, false} {
		for _, p := range r.Cloths {
			if p.Material == c.Material && (named && p.Name != "" && p.Name == c.Name || !named && p.Name == "") {
				return p, true
			}
		}
	}
	if m, err := amount(c.Price); c.Price != "" && err == nil && !m.IsNegative() {
		return ClothPrice{Material: c.Material, Price: m, Per: "m"}, true
	}
	return ClothPrice{}, false
}

func (q *Quote) labour(rates *Rates, o *Order) {
	n := decimal.NewFromInt(int64(o.Pieces))
	var ops []piece.Operation
	ops = append(append(append(ops, Before...), o.Order...), After...)
	guessed := 0
	for _, op := range ops {
		m, once, from := minutesFor(op.Do, rates, o.Recorded)
		if from == Guessed {
			guessed++
		}
		switch {
		case !once:
			m = m.Mul(n)
		case o.Among > 1: // once for the run, shared to the hundredth of a minute
			m = apportion(m, 2, make([]int64, o.Among))[o.Nth]
		}
		q.Minutes = q.Minutes.Add(m)
		q.Lines = append(q.Lines, Line{Group: Labour, What: op.Do, Stitch: op.Stitch, Quantity: trim(m) + " min", Price: plainPrice(q.Currency, rates.Hour) + " an hour", From: from,
			Amount: m.Mul(rates.Hour).DivRound(sixty, q.Currency.Digits)})
	}
	if guessed > 0 {
		q.find(piece.Info, "cost:assumed", phrase.Of("The minutes of %d of %d operations are assumptions; state your own or record them on the jobs.", guessed, len(ops)))
	}
}

func (q *Quote) overhead(rates *Rates) {
	base := Money{}
	for _, l := range q.Lines {
		base = base.Add(l.Amount)
	}
	switch rates.OverheadWay {
	case PerHour:
		hours := q.Minutes.DivRound(sixty, 4)
		q.Lines = append(q.Lines, Line{Group: Overhead, What: "Room, machines, light, and what no job pays for", Quantity: trim(hours.Round(2)) + " h", Price: plainPrice(q.Currency, rates.Overhead) + " an hour",
			Amount: q.Minutes.Mul(rates.Overhead).DivRound(sixty, q.Currency.Digits)})
	case Percent:
		q.add(Overhead, "Room, machines, light, and what no job pays for", trim(rates.Overhead)+" %", "of materials and labour", percent(base, rates.Overhead))
	default:
		q.find(piece.Warn, "cost:no-overhead", phrase.Of("No overhead is stated: rent, light, machines and idle hours are paid out of the labour."))
	}
}

func (q *Quote) price(rates *Rates, o *Order) {
	n := decimal.NewFromInt(int64(o.Pieces))
	if o.Ask != nil {
		q.Each, q.Asked = *o.Ask, true
	} else {
		num, den := q.Cost, n
		switch rates.ProfitWay {
		case Margin: // cost / (1 - margin/100)
			num, den = num.Mul(hundred), den.Mul(hundred.Sub(rates.Profit))
		case Markup:
			num, den = num.Mul(hundred.Add(rates.Profit)), den.Mul(hundred)
		}
		// A discount that is granted must not eat the profit, and a tax inside the price is not the house's.
		if rates.TaxInside {
			num, den = num.Mul(hundred.Add(q.TaxPer)), den.Mul(hundred)
		}
		q.Each = upTo(num, den, rates.Step)
	}
	q.Goods = q.Each.Mul(n)
	q.Discount = q.Currency.Round(percent(q.Goods, q.DiscountPer))
	after := q.Goods.Sub(q.Discount)
	if q.TaxInside {
		q.Tax = after.Mul(q.TaxPer).DivRound(hundred.Add(q.TaxPer), q.Currency.Digits)
		q.Net, q.Total = after.Sub(q.Tax), after
	} else {
		q.Tax = q.Currency.Round(percent(after, q.TaxPer))
		q.Net, q.Total = after, after.Add(q.Tax)
	}
	q.Deposit = q.Currency.Round(percent(q.Total, q.DepositPer))
	q.Balance = q.Total.Sub(q.Deposit)
	q.Profit = q.Net.Sub(q.Cost)
	if q.Minutes.IsPositive() {
		q.Earns = q.Labour.Add(q.Profit).Mul(sixty).DivRound(q.Minutes, q.Currency.Digits)
	}
}

// judge says what a maker should know before the price is named.
func (q *Quote) judge(rates *Rates) {
	c := q.Currency
	if q.Profit.IsNegative() {
		q.find(piece.Warn, "cost:below", phrase.Of("The price is below cost: %s before tax, and the cost is %s, so %s is given away; an hour earns %s and %s is reckoned.",
			c.Format(q.Net), c.Format(q.Cost), c.Format(q.Profit.Neg()), c.Format(q.Earns), c.Format(rates.Hour)))
	}
	if q.DepositPer.IsZero() {
		q.find(piece.Warn, "cost:no-deposit", phrase.Of("No deposit is asked: %s of materials is laid out before the client has paid anything.", c.Format(q.Materials)))
	} else if q.Deposit.LessThan(q.Materials) {
		q.find(piece.Warn, "cost:deposit", phrase.Of("The deposit is %s and the materials cost %s: %s is laid out for the client.", c.Format(q.Deposit), c.Format(q.Materials), c.Format(q.Materials.Sub(q.Deposit))))
	}
	if rates.ProfitWay == None && !q.Asked {
		q.find(piece.Warn, "cost:no-profit", phrase.Of("Neither margin nor markup is stated: the price is the bare cost."))
	}
}

// ClientLine is one line of a quotation.
type ClientLine struct {
	What   string
	Amount string // with its currency
	Sum    bool   // a total
}

// Client is the quotation: what the client pays and nothing of how it comes about.
func (q *Quote) Client() []ClientLine {
	c := q.Currency
	what := q.Garment
	if q.Pieces > 1 {
		what = fmt.Sprintf("%s, %d pieces at %s each", q.Garment, q.Pieces, c.Format(q.Each))
	}
	out := []ClientLine{{What: what, Amount: c.Format(q.Goods)}}
	for _, l := range q.Lines {
		if strings.HasSuffix(l.What, ", the client's own") {
			out = append(out, ClientLine{What: ownWords(l), Amount: c.Format(Money{})})
		}
	}
	return append(out, totals(c, q, q.Discount, q.Net, q.Tax, q.Total, q.Deposit, q.Balance)...)
}

// ownWords is a line of the client's own cloth as the client reads it.
func ownWords(l Line) string {
	return strings.TrimSuffix(l.What, ", the client's own") + ", your own, " + l.Quantity
}

// totals are the lines of a quotation below its goods; q says how discount and tax are reckoned.
func totals(c Currency, q *Quote, discount, net, tax, total, deposit, balance Money) []ClientLine {
	var out []ClientLine
	if !discount.IsZero() {
		out = append(out, ClientLine{What: "Discount, " + trim(q.DiscountPer) + " %", Amount: c.Format(discount.Neg())})
	}
	if q.TaxPer.IsPositive() && !q.TaxInside {
		out = append(out, ClientLine{What: "Before " + q.TaxName, Amount: c.Format(net)}, ClientLine{What: q.TaxName + ", " + trim(q.TaxPer) + " %", Amount: c.Format(tax)})
	}
	out = append(out, ClientLine{What: "Total", Amount: c.Format(total), Sum: true})
	if q.TaxPer.IsPositive() && q.TaxInside {
		out = append(out, ClientLine{What: "of which " + q.TaxName + ", " + trim(q.TaxPer) + " %", Amount: c.Format(tax)})
	}
	if !deposit.IsZero() {
		out = append(out, ClientLine{What: "Deposit, to begin", Amount: c.Format(deposit)}, ClientLine{What: "Balance, when it is handed over", Amount: c.Format(balance)})
	}
	return out
}

// Record is what job.json holds of a quote: its shape is fixed for those who read it.
type Record struct {
	Currency string       `json:"currency"`
	Lines    []RecordLine `json:"lines"`
	Total    string       `json:"total"`
}

// RecordLine is one line of a record. The lines add up to the total.
type RecordLine struct {
	What     string `json:"what"`
	Quantity string `json:"quantity"`
	Amount   string `json:"amount"`
}

// Record is the whole reckoning as lines that add up to the total: the cost, then what is put on it, then the tax.
func (q *Quote) Record() Record {
	r := Record{Currency: q.Currency.Code, Total: q.Currency.Bare(q.Total)}
	add := func(what, quantity string, m Money) {
		r.Lines = append(r.Lines, RecordLine{what, quantity, q.Currency.Bare(m)})
	}
	for _, l := range q.Lines {
		add(l.What, l.Quantity, l.Amount)
	}
	add(q.ProfitWords(), "", q.Profit.Add(q.discountNet()))
	if !q.Discount.IsZero() {
		add("Discount", trim(q.DiscountPer)+" %", q.discountNet().Neg())
	}
	add(upper(q.TaxName), trim(q.TaxPer)+" %", q.Tax)
	return r
}

// discountNet is what the discount takes off the price before tax.
func (q *Quote) discountNet() Money {
	if !q.TaxInside {
		return q.Discount
	}
	goods := q.Goods.Sub(q.Goods.Mul(q.TaxPer).DivRound(hundred.Add(q.TaxPer), q.Currency.Digits))
	return goods.Sub(q.Net)
}

// ProfitWords says what the profit is and how it was reckoned.
func (q *Quote) ProfitWords() string {
	switch {
	case q.Asked:
		return "Left over the cost at the price asked"
	case q.ProfitWay == Margin:
		return "Margin, " + trim(q.ProfitPer) + " % of the price before tax, and rounding up"
	case q.ProfitWay == Markup:
		return "Markup, " + trim(q.ProfitPer) + " % of the cost, and rounding up"
	}
	return "Rounding up"
}

// trim writes a decimal without noughts at its end.
func trim(m Money) string {
	s := m.String()
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// metreWords writes metres to the centimetre, or finer where the shop sells finer.
func metreWords(m Money) string {
	if m.Equal(m.Round(2)) {
		return m.StringFixed(2) + " m"
	}
	return trim(m) + " m"
}

// plainPrice writes a price with the currency's digits, or with as many as it was stated with.
func plainPrice(c Currency, m Money) string {
	if m.Equal(m.Round(c.Digits)) {
		return c.Bare(m)
	}
	return trim(m)
}

func upper(s string) string {
	r := []rune(s)
	if len(r) > 0 && r[0] >= 'a' && r[0] <= 'z' {
		r[0] -= 'a' - 'A'
	}
	return string(r)
}
