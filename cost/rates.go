package cost

import (
	"strings"

	"github.com/shopspring/decimal"

	"clothwright/mistake"
)

// Way is how something is reckoned.
type Way string

// The ways of overhead and of profit.
const (
	None    Way = ""
	PerHour Way = "an hour"
	Percent Way = "percent"
	Margin  Way = "margin" // percent of the price before tax
	Markup  Way = "markup" // percent of the cost
)

// Rates is what one workroom pays, earns and asks.
type Rates struct {
	Name     string
	Currency Currency
	Hour     Money // what an hour of labour costs

	OverheadWay Way // None, PerHour or Percent of materials and labour
	Overhead    Money

	ProfitWay Way // Margin or Markup, None when neither is stated
	Profit    Money
	Step      Money // the price of a piece is rounded up to it

	TaxName   string
	Tax       Money // percent, 0 for none
	TaxInside bool  // prices are quoted with the tax in them

	Discount Money // percent
	Deposit  Money // percent of the total

	Cloths  []ClothPrice
	Zip     *ZipPrice
	Thread  Money // an amount for the thread of one garment
	Trims   []Trim
	Minutes []Minutes // the house's own
}

// ClothPrice is what a cloth costs by its length.
type ClothPrice struct {
	Material string // "shell", "lining", "padding", "rib"
	Name     string // empty: any cloth of the material
	Price    Money
	Per      string // "m" or "yd"
}

// ZipPrice is a price a zip and a price by its length.
type ZipPrice struct{ Each, PerMetre Money }

// Trim is something sewn in to each garment that is bought by count.
type Trim struct {
	What  string
	Each  Money
	Count Money
}

// Minutes says how long an operation takes. An operation is meant when its sentence begins with Starts.
type Minutes struct {
	Starts  string
	Minutes Money
	Once    bool // once for a run, not once a garment
}

type ratesFile struct {
	Format   int    `toml:"format"`
	Name     string `toml:"name"`
	Currency string `toml:"currency"`
	Labour   struct {
		Hour string `toml:"hour"`
	} `toml:"labour"`
	Overhead struct {
		Hour    string `toml:"hour"`
		Percent string `toml:"percent"`
	} `toml:"overhead"`
	Price struct {
		Margin   string `toml:"margin"`
		Markup   string `toml:"markup"`
		Step     string `toml:"step"`
		Tax      string `toml:"tax"`
		TaxName  string `toml:"tax_name"`
		Inside   bool   `toml:"tax_inside"`
		Discount string `toml:"discount"`
		Deposit  string `toml:"deposit"`
	} `toml:"price"`
	Cloth []struct {
		Material string `toml:"material"`
		Name     string `toml:"name"`
		Price    string `toml:"price"`
		Per      string `toml:"per"`
	} `toml:"cloth"`
	Zip *struct {
		Each     string `toml:"each"`
		PerMetre string `toml:"per_metre"`
	} `toml:"zip"`
	Thread struct {
		Garment string `toml:"garment"`
	} `toml:"thread"`
	Trim []struct {
		What  string `toml:"what"`
		Each  string `toml:"each"`
		Count string `toml:"count"`
	} `toml:"trim"`
	Work []struct {
		Starts  string `toml:"starts"`
		Minutes string `toml:"minutes"`
		Once    bool   `toml:"once"`
	} `toml:"work"`
}

var aCosting = mistake.Kind{What: "a costing file", Page: "docs/book.md", Values: `amounts are texts, as "14.50"`}

// Read reads a costing file. A key that is not known is a mistake, amounts are texts ("14.50") so that none is rounded on its
// way, and a price that is not stated is left out: a finding says so when it is wanted. The error is a mistake.Problems.
func Read(name string, src []byte) (*Rates, error) {
	r := mistake.File{Name: name, Src: src}
	var f ratesFile
	if !r.Decode(&f, aCosting) {
		return nil, r.Err()
	}
	out := &Rates{Name: f.Name, TaxName: f.Price.TaxName, TaxInside: f.Price.Inside}
	var err error
	switch {
	case f.Currency == "":
		r.Say(0, "currency is missing; a code of ISO 4217 is wanted, as EUR")
	default:
		if out.Currency, err = CurrencyOf(f.Currency); err != nil {
			r.Say(r.Line("", "currency"), "%s", err)
		}
	}
	if f.Format != 0 && f.Format != 1 {
		r.Say(r.Line("", "format"), "format is %d; 1 is allowed", f.Format)
	}
	most := decimal.NewFromInt(10_000_000)
	get := func(table, key string, nth int, s string, most Money) Money {
		if s == "" {
			return Money{}
		}
		m, err := amount(s)
		at := r.LineIn(table, nth, key)
		switch {
		case err != nil:
			r.Say(at, "%s.%s: %s", table, key, err)
		case m.IsNegative() || m.GreaterThan(most):
			r.Say(at, "%s.%s is %s; 0 to %s is allowed", table, key, s, most)
		}
		return m
	}
	below := decimal.RequireFromString("99")
	out.Hour = get("labour", "hour", 0, f.Labour.Hour, most)
	if f.Labour.Hour == "" {
		r.Say(0, "labour.hour is missing: what an hour of work is to cost")
	}
	switch o := f.Overhead; {
	case o.Hour != "" && o.Percent != "":
		r.Say(r.LineIn("overhead", 0, "percent"), "overhead has both hour and percent; one of them is allowed")
	case o.Hour != "":
		out.OverheadWay, out.Overhead = PerHour, get("overhead", "hour", 0, o.Hour, most)
	case o.Percent != "":
		out.OverheadWay, out.Overhead = Percent, get("overhead", "percent", 0, o.Percent, decimal.NewFromInt(1000))
	}
	switch p := f.Price; {
	case p.Margin != "" && p.Markup != "":
		r.Say(r.LineIn("price", 0, "markup"), "price has both margin and markup; one of them is allowed")
	case p.Margin != "":
		out.ProfitWay, out.Profit = Margin, get("price", "margin", 0, p.Margin, below)
	case p.Markup != "":
		out.ProfitWay, out.Profit = Markup, get("price", "markup", 0, p.Markup, decimal.NewFromInt(1000))
	}
	out.Step = get("price", "step", 0, f.Price.Step, most)
	smallest := decimal.New(1, -out.Currency.Digits)
	switch {
	case out.Step.IsZero():
		out.Step = smallest
	case !out.Step.Mod(smallest).IsZero():
		r.Say(r.LineIn("price", 0, "step"), "price.step is %s, and the smallest amount of %s is %s", f.Price.Step, out.Currency.Code, smallest)
	}
	out.Tax = get("price", "tax", 0, f.Price.Tax, hundred)
	if out.TaxName == "" {
		out.TaxName = "tax"
	}
	out.Discount = get("price", "discount", 0, f.Price.Discount, hundred)
	out.Deposit = get("price", "deposit", 0, f.Price.Deposit, hundred)
	for i, c := range f.Cloth {
		if c.Material == "" {
			r.Say(r.LineIn("cloth", i, "price"), "cloth %d has no material; shell, lining, padding and rib are usual", i+1)
		}
		if c.Per == "" {
			c.Per = "m"
		}
		if c.Per != "m" && c.Per != "yd" {
			r.Say(r.LineIn("cloth", i, "per"), "cloth.per is %q; m and yd are allowed", c.Per)
		}
		out.Cloths = append(out.Cloths, ClothPrice{c.Material, c.Name, get("cloth", "price", i, c.Price, most), c.Per})
	}
	if f.Zip != nil {
		out.Zip = &ZipPrice{get("zip", "each", 0, f.Zip.Each, most), get("zip", "per_metre", 0, f.Zip.PerMetre, most)}
	}
	out.Thread = get("thread", "garment", 0, f.Thread.Garment, most)
	for i, t := range f.Trim {
		if t.What == "" {
			r.Say(r.LineIn("trim", i, "each"), "trim %d does not say what it is", i+1)
		}
		n := decimal.NewFromInt(1)
		if t.Count != "" {
			n = get("trim", "count", i, t.Count, decimal.NewFromInt(1000))
		}
		out.Trims = append(out.Trims, Trim{t.What, get("trim", "each", i, t.Each, most), n})
	}
	for i, w := range f.Work {
		if strings.TrimSpace(w.Starts) == "" || w.Minutes == "" {
			r.Say(r.LineIn("work", i, "starts"), "work %d wants both starts (how the operation's sentence begins) and minutes", i+1)
			continue
		}
		out.Minutes = append(out.Minutes, Minutes{w.Starts, get("work", "minutes", i, w.Minutes, decimal.NewFromInt(6000)), w.Once})
	}
	if err := r.Err(); err != nil {
		return nil, err
	}
	return out, nil
}
