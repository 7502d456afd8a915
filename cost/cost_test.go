package cost

import (
	"os"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"

	"clothwright/piece"
)

func dec(s string) Money { return decimal.RequireFromString(s) }

// ISO 4217, list one, column "minor unit" (from memory).
func TestDigits(t *testing.T) {
	for code, digits := range map[string]int32{
		"EUR": 2, "USD": 2, "GBP": 2, "NGN": 2, "INR": 2, "ZAR": 2, "BRL": 2, "MXN": 2, "CHF": 2, "PLN": 2, "HUF": 2, "IDR": 2, "PKR": 2, "KES": 2, "GHS": 2,
		"JPY": 0, "KRW": 0, "VND": 0, "CLP": 0, "ISK": 0, "UGX": 0, "XOF": 0, "XAF": 0, "PYG": 0, "RWF": 0, "VUV": 0, "GNF": 0, "KMF": 0, "DJF": 0, "BIF": 0, "XPF": 0,
		"KWD": 3, "BHD": 3, "OMR": 3, "JOD": 3, "TND": 3, "IQD": 3, "LYD": 3,
		"CLF": 4, "UYW": 4, "COP": 2, "LBP": 2, "IRR": 2, "SYP": 2, "MMK": 2, "ALL": 2, "RSD": 2, "TZS": 2, "CRC": 2,
	} {
		if _, err := CurrencyOf(code); err != nil && (code == "UYW" || code == "CLF") {
			continue // funds codes, in which nobody pays for a jacket
		}
		c, err := CurrencyOf(code)
		if err != nil {
			t.Errorf("%s: %s", code, err)
		} else if c.Digits != digits {
			t.Errorf("%s has %d digits; ISO 4217 says %d", code, c.Digits, digits)
		}
	}
	for _, bad := range []string{"", "eur", "EURO", "ABC", "12"} {
		if _, err := CurrencyOf(bad); err == nil {
			t.Errorf("%q is taken for a currency", bad)
		}
	}
}

// Worked by hand, step by step; the example is ours. One jacket:
//
//	shell   2.10 m at 14.50   =  30.45
//	lining  1.70 m at 6.25    =  10.625  -> 10.63 (a half away from nought)
//	zip     55 cm: 2.10 + 0.55 x 3.40 = 3.97
//	thread                        3.20
//	labels  2 at 0.40         =   0.80
//	materials                    49.05
//	labour  minutes: 45 (stated 45) + 20 (assumed, once) + 33 (stated) + 40 (assumed) at 18.00 an hour:
//	        13.50 + 6.00 + 9.90 + 12.00 = 41.40,  138 min
//	overhead 138 min at 4.50 an hour = 10.35
//	cost    49.05 + 41.40 + 10.35 = 100.80
//	margin 25 %: 100.80 / 0.75 = 134.40, up to the whole: 135
//	discount 5 % of 135 = 6.75; net 128.25; tax 20 % = 25.65; total 153.90
//	deposit 50 % = 76.95; balance 76.95; left over the cost 128.25 - 100.80 = 27.45
//	an hour earns (41.40 + 27.45) / 138 x 60 = 29.934... = 29.93
const handFile = `
format = 1
currency = "EUR"
[labour]
hour = "18.00"
[overhead]
hour = "4.50"
[price]
margin = "25"
step = "1.00"
tax = "20"
tax_name = "VAT"
discount = "5"
deposit = "50"
[[cloth]]
material = "shell"
price = "14.50"
[[cloth]]
material = "lining"
price = "6.25"
[zip]
each = "2.10"
per_metre = "3.40"
[thread]
garment = "3.20"
[[trim]]
what = "label"
each = "0.40"
count = "2"
[[work]]
starts = "Take the measures"
minutes = "45"
[[work]]
starts = "Set the zip"
minutes = "33"
`

func handOrder() Order {
	return Order{Garment: "Rib-trimmed zip jacket", Pieces: 1,
		Cloths:  []Cloth{{Material: "shell", Name: "wax print", Bought: 2100}, {Material: "lining", Name: "viscose", Bought: 1700}},
		Notions: []piece.Notion{{Kind: "zip", Name: "Separating zip", Length: 550, Count: 1}},
		Order:   []piece.Operation{{Do: "Set the zip to the front edges", Stitch: "301"}}}
}

func TestWorkedByHand(t *testing.T) {
	rates, err := Read("hand.toml", []byte(handFile))
	if err != nil {
		t.Fatal(err)
	}
	q, err := Work(rates, handOrder())
	if err != nil {
		t.Fatal(err)
	}
	for what, c := range map[string][2]string{
		"materials": {q.Materials.String(), "49.05"}, "labour": {q.Labour.String(), "41.4"}, "overhead": {q.Overhead.String(), "10.35"},
		"cost": {q.Cost.String(), "100.8"}, "each": {q.Each.String(), "135"}, "discount": {q.Discount.String(), "6.75"}, "net": {q.Net.String(), "128.25"},
		"tax": {q.Tax.String(), "25.65"}, "total": {q.Total.String(), "153.9"}, "deposit": {q.Deposit.String(), "76.95"}, "balance": {q.Balance.String(), "76.95"},
		"profit": {q.Profit.String(), "27.45"}, "minutes": {q.Minutes.String(), "138"}, "an hour": {q.Earns.String(), "29.93"},
	} {
		if !dec(c[0]).Equal(dec(c[1])) {
			t.Errorf("%s is %s; worked by hand it is %s", what, c[0], c[1])
		}
	}
	// The client sees the price and nothing of the inside.
	all := ""
	for _, l := range q.Client() {
		all += l.What + " " + l.Amount + "\n"
	}
	for _, inner := range []string{"100.80", "49.05", "41.40", "10.35", "18.00", "27.45", "margin", "Margin", "overhead", "cost"} {
		if strings.Contains(all, inner) {
			t.Errorf("the quotation shows %q:\n%s", inner, all)
		}
	}
	for _, want := range []string{"135.00 EUR", "-6.75 EUR", "VAT, 20 % 25.65 EUR", "Total 153.90 EUR", "76.95 EUR"} {
		if !strings.Contains(all, want) {
			t.Errorf("the quotation does not show %q:\n%s", want, all)
		}
	}
}

// The same by hand with the tax inside, in a currency without digits, as a run of three; ours. Materials 300 (1 m at
// 100 each of three) -> one cloth 3 m at 100 = 300; labour: take 45x3 + 20 + fit 40x3 = 275 min at 600 an hour = 1350 + 200 + 1200 = 2750;
// overhead 10 % of 3050 = 305; cost 3355; markup 20 % = 4026; with 10 % inside 4428.6; by three 1476.2, up to tens 1480;
// goods 4440; tax inside 4440 x 10/110 = 403.63... = 404; net 4036; deposit 30 % = 1332; balance 3108.
func TestRunWithTaxInside(t *testing.T) {
	rates, err := Read("yen.toml", []byte(`currency = "JPY"
[labour]
hour = "600"
[overhead]
percent = "10"
[price]
markup = "20"
step = "10"
tax = "10"
tax_inside = true
deposit = "30"
[[cloth]]
material = "shell"
price = "100"
[[work]]
starts = "Take the measures"
minutes = "45"
`))
	if err != nil {
		t.Fatal(err)
	}
	q, err := Work(rates, Order{Garment: "Jacket", Pieces: 3, Cloths: []Cloth{{Material: "shell", Bought: 3000}}})
	if err != nil {
		t.Fatal(err)
	}
	for what, c := range map[string][2]string{"labour": {q.Labour.String(), "2750"}, "cost": {q.Cost.String(), "3355"}, "each": {q.Each.String(), "1480"}, "total": {q.Total.String(), "4440"},
		"tax": {q.Tax.String(), "404"}, "net": {q.Net.String(), "4036"}, "deposit": {q.Deposit.String(), "1332"}, "balance": {q.Balance.String(), "3108"}} {
		if c[0] != c[1] {
			t.Errorf("%s is %s; worked by hand it is %s", what, c[0], c[1])
		}
	}
}

// A markup of 25 % is a margin of 20 %: arithmetic of every commercial school book (common practice).
func TestMarginIsNotMarkup(t *testing.T) {
	one := func(way string) Money {
		rates, err := Read("m.toml", []byte("currency = \"EUR\"\n[labour]\nhour = \"0\"\n[price]\n"+way+"\n[[cloth]]\nmaterial = \"shell\"\nprice = \"80\"\n"))
		if err != nil {
			t.Fatal(err)
		}
		q, err := Work(rates, Order{Pieces: 1, Cloths: []Cloth{{Material: "shell", Bought: 1000}}})
		if err != nil {
			t.Fatal(err)
		}
		return q.Each
	}
	if a, b := one(`markup = "25"`), one(`margin = "20"`); !a.Equal(dec("100")) || !b.Equal(a) {
		t.Errorf("80 with a markup of 25 %% is %s, with a margin of 20 %% %s; both are 100", a, b)
	}
}

// Whatever the figures, what is printed adds up: lines to sums, record to total, deposit and balance to total.
func TestAddsUp(t *testing.T) {
	codes := []string{"EUR", "JPY", "KWD", "NGN", "USD"}
	rapid.Check(t, func(rt *rapid.T) {
		pct := func(name string, most int) string {
			return decimal.New(int64(rapid.IntRange(0, most*10).Draw(rt, name)), -1).String()
		}
		code := rapid.SampledFrom(codes).Draw(rt, "currency")
		c, _ := CurrencyOf(code)
		money := func(name string) string {
			return decimal.New(int64(rapid.IntRange(0, 500000).Draw(rt, name)), -c.Digits).String()
		}
		profit := rapid.SampledFrom([]string{"margin", "markup"}).Draw(rt, "way") + ` = "` + pct("profit", 90) + `"`
		inside := rapid.SampledFrom([]string{"true", "false"}).Draw(rt, "inside")
		src := "currency = \"" + code + "\"\n[labour]\nhour = \"" + money("hour") + "\"\n[overhead]\nhour = \"" + money("overhead") + "\"\n[price]\n" + profit + "\ntax = \"" + pct("tax", 30) + "\"\ntax_inside = " + inside +
			"\ndiscount = \"" + pct("discount", 40) + "\"\ndeposit = \"" + pct("deposit", 100) + "\"\n[[cloth]]\nmaterial = \"shell\"\nprice = \"" + money("shell") + "\"\nper = \"" + rapid.SampledFrom([]string{"m", "yd"}).Draw(rt, "per") + "\"\n"
		rates, err := Read("r.toml", []byte(src))
		if err != nil {
			rt.Fatal(err)
		}
		n := rapid.IntRange(1, 60).Draw(rt, "pieces")
		q, err := Work(rates, Order{Pieces: n, Cloths: []Cloth{{Material: "shell", Bought: float64(rapid.IntRange(1, 90000).Draw(rt, "mm"))}}, Order: handOrder().Order})
		if err != nil {
			rt.Fatal(err)
		}
		sum := Money{}
		for _, l := range q.Record().Lines {
			m := dec(l.Amount)
			if !m.Equal(m.Round(c.Digits)) {
				rt.Fatalf("%s is %s, finer than %s goes", l.What, l.Amount, code)
			}
			sum = sum.Add(m)
		}
		if !sum.Equal(q.Total) {
			rt.Fatalf("the record's lines add up to %s; the total is %s", sum, q.Total)
		}
		if !q.Deposit.Add(q.Balance).Equal(q.Total) || !q.Net.Add(q.Tax).Equal(q.Total) {
			rt.Fatalf("deposit %s and balance %s, net %s and tax %s; the total is %s", q.Deposit, q.Balance, q.Net, q.Tax, q.Total)
		}
		if !q.Each.Mul(decimal.NewFromInt(int64(n))).Equal(q.Goods) {
			rt.Fatalf("%d at %s is not %s", n, q.Each, q.Goods)
		}
	})
}

func TestFindings(t *testing.T) {
	rates, err := Read("hand.toml", []byte(handFile))
	if err != nil {
		t.Fatal(err)
	}
	codes := func(o Order) string {
		q, err := Work(rates, o)
		if err != nil {
			t.Fatal(err)
		}
		s := ""
		for _, f := range q.Findings {
			s += f.Code + " "
		}
		return s
	}
	if got := codes(handOrder()); got != "cost:assumed " {
		t.Errorf("the sound order has %q", got)
	}
	o := handOrder()
	ask := dec("90")
	o.Ask = &ask
	if got := codes(o); !strings.Contains(got, "cost:below") {
		t.Errorf("90 for what costs 100.80 has %q", got)
	}
	o = handOrder()
	none := dec("0")
	o.Deposit = &none
	if got := codes(o); !strings.Contains(got, "cost:no-deposit") {
		t.Errorf("no deposit has %q", got)
	}
	o = handOrder()
	o.Cloths = append(o.Cloths, Cloth{Material: "padding", Name: "fleece", Bought: 900})
	if got := codes(o); !strings.Contains(got, "cost:no-price") {
		t.Errorf("a cloth without price has %q", got)
	}
	// Times that the house has recorded go before what it stated: 66 minutes in two goes are 33 each.
	o = handOrder()
	o.Recorded = []Average{{"Take the measures", dec("60"), 2}, {"Set the room up", dec("20"), 1}, {"Fit on the client", dec("41"), 1}}
	q, _ := Work(rates, o)
	if !q.Minutes.Equal(dec("124")) || len(q.Findings) != 0 {
		t.Errorf("with recorded times %s min and %v; want 30 + 20 + 33 + 41 and no finding", q.Minutes, q.Findings)
	}
}

func TestMistakes(t *testing.T) {
	for src, want := range map[string]string{
		"currency = \"EUR\"\ncolour = 1\n":                                                                 "x.toml:2: a costing file has no key \"colour\"",
		"currency = \"EURO\"\n[labour]\nhour = \"1\"\n":                                                    "x.toml:1: currency is \"EURO\"; a code of ISO 4217",
		"currency = \"EUR\"\n[labour]\nhour = \"1,50\"\n":                                                  "x.toml:3: labour.hour: \"1,50\" is no amount",
		"currency = \"EUR\"\n[labour]\nhour = \"-1\"\n":                                                    "x.toml:3: labour.hour is -1; 0 to",
		"currency = \"EUR\"\n[labour]\nhour = 18.5\n":                                                      "x.toml:3: a costing file cannot be read here: ",
		"currency = \"EUR\"\n[labour]\nhour = \"1\"\n[price]\nmargin = \"10\"\nmarkup = \"10\"\n":          "x.toml:6: price has both margin and markup",
		"currency = \"JPY\"\n[labour]\nhour = \"1\"\n[price]\nstep = \"0.5\"\n":                            "x.toml:5: price.step is 0.5, and the smallest amount of JPY is 1",
		"currency = \"EUR\"\n":                                                                             "x.toml: labour.hour is missing",
		"currency = \"EUR\"\n[labour]\nhour = \"1\"\n[[cloth]]\nmaterial = \"shell\"\nper = \"ell\"\n":     "x.toml:6: cloth.per is \"ell\"; m and yd are allowed",
		"currency = \"EUR\"\n[labour]\nhour = \"1\"\n[price]\nmargin = \"100\"\n":                          "x.toml:5: price.margin is 100; 0 to 99 is allowed",
		"currency = \"EUR\"\n[labour]\nhour = \"1\"\n[[cloth]]\nprice = \"1\"\n[[cloth]]\nprice = \"x\"\n": "x.toml:7: cloth.price: \"x\" is no amount",
	} {
		_, err := Read("x.toml", []byte(src))
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q gives %v; want %s", src, err, want)
		}
		if err != nil && strings.ContainsAny(err.Error(), "{}") || err != nil && strings.Contains(err.Error(), "struct") {
			t.Errorf("%q shows Go's inside: %s", src, err)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add(handFile)
	f.Add("currency = \"EUR\"\n[labour]\nhour = \"1e5\"\n")
	f.Fuzz(func(t *testing.T, src string) {
		rates, err := Read("f.toml", []byte(src))
		if err != nil {
			return
		}
		q, err := Work(rates, handOrder())
		if err != nil {
			return
		}
		sum := Money{}
		for _, l := range q.Record().Lines {
			sum = sum.Add(dec(l.Amount))
		}
		if !q.Deposit.Add(q.Balance).Equal(q.Total) || !sum.Equal(q.Total) {
			t.Errorf("the lines come to %s, deposit and balance to %s; the total is %s", sum, q.Deposit.Add(q.Balance), q.Total)
		}
		run, err := WorkTogether(rates, handRun())
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range run.Cloths {
			parts := Money{}
			for _, m := range s.Amounts {
				parts = parts.Add(m)
			}
			if !parts.Equal(s.Amount) {
				t.Errorf("%s costs %s and is shared as %v", s.What, s.Amount, s.Amounts)
			}
		}
	})
}

func TestSaltmarsh(t *testing.T) {
	src, err := os.ReadFile("../examples/saltmarsh/costing.toml")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Read("costing.toml", src); err != nil {
		t.Fatal(err)
	}
}
