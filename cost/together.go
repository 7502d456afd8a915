package cost

import (
	"fmt"
	"math"
	"slices"

	"github.com/shopspring/decimal"

	"clothwright/lay"
	"clothwright/phrase"
	"clothwright/piece"
)

// Run is several garments whose pieces are laid together, each of its own size and style.
type Run struct {
	Cloths   []RunCloth // what the common lay buys
	Garments []Garment
	Recorded []Average // times from the house's jobs
	Ask      *Money    // as in Order: a price each that was agreed by other means
	Discount *Money
	Deposit  *Money
}

// RunCloth is a cloth of the common lay.
type RunCloth struct {
	Cloth
	For []string // the names of the garments that are cut of it; nil for all
}

// RunClothsOf is what the plans of a common lay buy, each for the jobs whose pieces lie on it.
func RunClothsOf(plans []*lay.Plan) []RunCloth {
	var out []RunCloth
	for _, p := range plans {
		for _, c := range ClothsOf([]*lay.Plan{p}) {
			r := RunCloth{Cloth: c}
			for _, q := range p.Places {
				if !slices.Contains(r.For, q.Job) {
					r.For = append(r.For, q.Job)
				}
			}
			out = append(out, r)
		}
	}
	return out
}

// Garment is one garment of a run.
type Garment struct {
	Name    string           // what it is called on the sheets, as its job's number
	Garment string           // what the client calls it: "Rib-trimmed zip jacket"
	Areas   map[string]int64 // mm² that are cut for it, by material
	Notions []piece.Notion
	Order   []piece.Operation
}

// AreasOf is what is cut for a pattern, by material, in whole mm²: within the cut lines, every copy counted, a piece on the fold whole.
func AreasOf(p *piece.Pattern) map[string]int64 {
	sum := map[string]float64{}
	for i := range p.Pieces {
		q := &p.Pieces[i]
		a := float64(q.CutArea() * float64(q.Count))
		if q.OnFold {
			a *= 2
		}
		sum[string(q.Material)] += a
	}
	out := map[string]int64{}
	for m, a := range sum {
		out[m] = int64(math.Round(a))
	}
	return out
}

// Shared is a cloth that is bought once for a run, and how it is shared among the garments, in their order.
type Shared struct {
	Line            // what is bought and what it costs
	Cloth   Cloth   // as the lay has it
	Lengths []int64 // mm; they add up to what is bought
	Amounts []Money // they add up to what it costs
}

// Together is the price of a run: each garment's own quote, and what they come to. Every sum is the sum of the garments' figures, so
// that one sheet for all and a sheet for each say the same.
type Together struct {
	Names    []string
	Each     []*Quote
	Cloths   []Shared
	Currency Currency

	Minutes, Materials, Labour, Overhead, Cost         Money
	Goods, Discount, Net, Tax, Total, Deposit, Balance Money
	Profit, Earns                                      Money
	Findings                                           []piece.Finding
}

// WorkTogether prices a run. The error is a run that cannot be. See the package comment for how what is bought and done once is shared.
func WorkTogether(rates *Rates, r Run) (*Together, error) {
	n := len(r.Garments)
	if n < 1 || n > 1000 {
		return nil, fmt.Errorf("%d garments are to be priced together; 1 to 1000 are allowed", n)
	}
	t := &Together{Currency: rates.Currency}
	bought := &Quote{Currency: rates.Currency}
	given := make([][]Line, n)
	for _, c := range r.Cloths {
		bought.cloth(rates, c.Cloth)
		s := Shared{Line: bought.Lines[len(bought.Lines)-1], Cloth: c.Cloth}
		weights := make([]int64, n)
		for i, g := range r.Garments {
			if c.For == nil || slices.Contains(c.For, g.Name) {
				weights[i] = g.Areas[c.Material]
			}
		}
		s.Amounts = apportion(s.Amount, rates.Currency.Digits, weights)
		for i, mm := range apportion(decimal.NewFromInt(int64(math.Round(c.Bought))), 0, weights) {
			s.Lengths = append(s.Lengths, mm.IntPart())
			if weights[i] > 0 {
				given[i] = append(given[i], Line{Group: Materials, What: partOf(c.Cloth, s.What), Quantity: metres(float64(mm.IntPart())).StringFixed(2) + " m", Price: s.Price, Amount: s.Amounts[i], Given: true})
			}
		}
		t.Cloths = append(t.Cloths, s)
	}
	for i, g := range r.Garments {
		q, err := Work(rates, Order{Garment: g.Garment, Pieces: 1, Given: given[i], Notions: g.Notions, Order: g.Order, Recorded: r.Recorded, Ask: r.Ask, Discount: r.Discount, Deposit: r.Deposit, Among: n, Nth: i})
		if err != nil {
			return nil, err
		}
		t.Names, t.Each = append(t.Names, g.Name), append(t.Each, q)
	}
	t.add()
	t.Findings = bought.Findings
	t.find()
	return t, nil
}

// partOf names a garment's part of a cloth.
func partOf(c Cloth, what string) string {
	if c.Own {
		return what
	}
	return what + ", its part"
}

func (t *Together) add() {
	for _, q := range t.Each {
		for _, s := range []struct {
			sum *Money
			of  Money
		}{{&t.Minutes, q.Minutes}, {&t.Materials, q.Materials}, {&t.Labour, q.Labour}, {&t.Overhead, q.Overhead}, {&t.Cost, q.Cost}, {&t.Goods, q.Goods},
			{&t.Discount, q.Discount}, {&t.Net, q.Net}, {&t.Tax, q.Tax}, {&t.Total, q.Total}, {&t.Deposit, q.Deposit}, {&t.Balance, q.Balance}, {&t.Profit, q.Profit}} {
			*s.sum = s.sum.Add(s.of)
		}
	}
	if t.Minutes.IsPositive() {
		t.Earns = t.Labour.Add(t.Profit).Mul(sixty).DivRound(t.Minutes, t.Currency.Digits)
	}
}

// find gathers the garments' findings: once what is said of all of them, else with the garment's name.
func (t *Together) find() {
	said := func(q *Quote, f piece.Finding) bool {
		return slices.ContainsFunc(q.Findings, func(g piece.Finding) bool { return g.Code == f.Code && g.Text == f.Text })
	}
	for i, q := range t.Each {
		for _, f := range q.Findings {
			all := !slices.ContainsFunc(t.Each, func(other *Quote) bool { return !said(other, f) })
			switch {
			case !all:
				t.Findings = append(t.Findings, piece.Found(f.Level, f.Code, phrase.Of("%s: %s", t.Names[i], f.Said)))
			case i == 0:
				t.Findings = append(t.Findings, f)
			}
		}
	}
}

// apportion shares an amount by weights, to so many digits, so that the parts add up: each gets its exact share rounded down, and what is
// left goes, a unit each, to those whose share was rounded down most, the first first (the method of largest remainders: Balinski and
// Young, Fair Representation, 1982). What is finer than the digits goes to the first. Without any weight all are alike.
func apportion(total Money, digits int32, weights []int64) []Money {
	sum := int64(0)
	for _, w := range weights {
		sum += w
	}
	if sum == 0 {
		weights, sum = make([]int64, len(weights)), int64(len(weights))
		for i := range weights {
			weights[i] = 1
		}
	}
	out := make([]Money, len(weights))
	rest := make([]Money, len(weights)) // exact share less what is given, times sum
	left := total
	for i, w := range weights {
		share := total.Mul(decimal.NewFromInt(w))
		q, _ := share.QuoRem(decimal.NewFromInt(sum), digits)
		out[i] = q
		rest[i] = share.Sub(q.Mul(decimal.NewFromInt(sum)))
		left = left.Sub(q)
	}
	order := make([]int, len(weights))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return rest[b].Cmp(rest[a]) })
	unit := decimal.New(1, -digits)
	for _, i := range order {
		if left.LessThan(unit) {
			break
		}
		out[i], left = out[i].Add(unit), left.Sub(unit)
	}
	out[0] = out[0].Add(left)
	return out
}

// Client is the quotation of the whole run: a line a garment, and what they come to; nothing of how it comes about.
func (t *Together) Client() []ClientLine {
	c := t.Currency
	var out []ClientLine
	for i, q := range t.Each {
		out = append(out, ClientLine{What: t.Names[i] + ", " + q.Garment, Amount: c.Format(q.Goods)})
	}
	for _, s := range t.Cloths {
		if s.Cloth.Own {
			out = append(out, ClientLine{What: ownWords(s.Line), Amount: c.Format(Money{})})
		}
	}
	return append(out, totals(c, t.Each[0], t.Discount, t.Net, t.Tax, t.Total, t.Deposit, t.Balance)...)
}
