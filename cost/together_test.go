package cost

import (
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"

	"clothwright/piece"
)

// A run worked step by step, ours: three jackets of three sizes laid together, on the rates of handFile.
//
//	shell   5.00 m at 14.50 = 72.50, for 1.5, 1.0 and 1.0 m² (3 : 2 : 2): 31.071.., 20.714.., 20.714.. down to 31.07 + 20.71 + 20.71 = 72.49;
//	        the cent that is left goes to the largest rest, of two alike to the first: 31.07, 20.72, 20.71
//	        5000 mm: 2142.86, 1428.57, 1428.57 down to 4998; two are left: 2143, 1429, 1428
//	lining  2.33 m at 6.25 = 14.5625 -> 14.56, for 0.9 and 0.6 m² and none: 8.736, 5.824: 8.73 + 5.82 = 14.55, the cent to the first: 8.74, 5.82
//	zips    2.10 + 0.60 x 3.40 = 4.14; 2.10 + 0.55 x 3.40 = 3.97; 2.10 + 0.50 x 3.40 = 3.80; thread 3.20 and labels 0.80 each
//	materials 31.07 + 8.74 + 4.14 + 4.00 = 47.95; 20.72 + 5.82 + 3.97 + 4.00 = 34.51; 20.71 + 3.80 + 4.00 = 28.51; together 110.97
//	minutes the room is set up once, 20 min: 6.67, 6.67, 6.66; with 45 + 33 + 40 it is 124.67, 124.67, 124.66; together 374
//	labour  at 18.00 an hour: 13.50 + 2.00 + 9.90 + 12.00 = 37.40 each (6.67 and 6.66 min are 2.001 and 1.998); together 112.20
//	overhead at 4.50 an hour: 9.350.. and 9.349.. are 9.35 each; together 28.05
//	cost    94.70, 81.26, 75.26; together 251.22
//	margin 25 %: 126.27 -> 127, 108.35 -> 109, 100.35 -> 101; together 337
//	discount 5 %: 6.35, 5.45, 5.05, together 16.85; net 120.65, 103.55, 95.95, together 320.15
//	tax 20 %: 24.13, 20.71, 19.19, together 64.03; total 144.78, 124.26, 115.14, together 384.18
//	deposit 50 %: 72.39, 62.13, 57.57, together 192.09; the balance is the same
//	left over the cost 320.15 - 251.22 = 68.93; an hour earns (112.20 + 68.93) / 374 x 60 = 29.058 -> 29.06
func handRun() Run {
	zip := func(mm float64) []piece.Notion {
		return []piece.Notion{{Kind: "zip", Name: "Separating zip", Length: mm, Count: 1}}
	}
	g := func(name string, shell, lining int64, mm float64) Garment {
		return Garment{Name: name, Garment: "Rib-trimmed zip jacket", Areas: map[string]int64{"shell": shell, "lining": lining}, Notions: zip(mm), Order: handOrder().Order}
	}
	return Run{Cloths: []RunCloth{{Cloth: Cloth{Material: "shell", Name: "wax print", Bought: 5000}}, {Cloth: Cloth{Material: "lining", Name: "viscose", Bought: 2330}}},
		Garments: []Garment{g("A", 1_500_000, 900_000, 600), g("B", 1_000_000, 600_000, 550), g("C", 1_000_000, 0, 500)}}
}

func TestTogetherByHand(t *testing.T) {
	rates, err := Read("hand.toml", []byte(handFile))
	if err != nil {
		t.Fatal(err)
	}
	q, err := WorkTogether(rates, handRun())
	if err != nil {
		t.Fatal(err)
	}
	each := func(of func(*Quote) Money) string {
		var out []string
		for _, x := range q.Each {
			out = append(out, of(x).String())
		}
		return strings.Join(out, " ")
	}
	words := func(ms []Money) string {
		var out []string
		for _, m := range ms {
			out = append(out, m.String())
		}
		return strings.Join(out, " ")
	}
	for _, c := range []struct{ what, got, want string }{
		{"the shell's parts", words(q.Cloths[0].Amounts), "31.07 20.72 20.71"},
		{"the lining's parts", words(q.Cloths[1].Amounts), "8.74 5.82 0"},
		{"materials", each(func(q *Quote) Money { return q.Materials }), "47.95 34.51 28.51"},
		{"minutes", each(func(q *Quote) Money { return q.Minutes }), "124.67 124.67 124.66"},
		{"labour", each(func(q *Quote) Money { return q.Labour }), "37.4 37.4 37.4"},
		{"overhead", each(func(q *Quote) Money { return q.Overhead }), "9.35 9.35 9.35"},
		{"cost", each(func(q *Quote) Money { return q.Cost }), "94.7 81.26 75.26"},
		{"price each", each(func(q *Quote) Money { return q.Each }), "127 109 101"},
		{"total each", each(func(q *Quote) Money { return q.Total }), "144.78 124.26 115.14"},
		{"deposit each", each(func(q *Quote) Money { return q.Deposit }), "72.39 62.13 57.57"},
		{"together", words([]Money{q.Materials, q.Minutes, q.Labour, q.Overhead, q.Cost, q.Goods, q.Discount, q.Net, q.Tax, q.Total, q.Deposit, q.Balance, q.Profit, q.Earns}),
			"110.97 374 112.2 28.05 251.22 337 16.85 320.15 64.03 384.18 192.09 192.09 68.93 29.06"},
	} {
		if c.got != c.want {
			t.Errorf("%s: %s; worked by hand %s", c.what, c.got, c.want)
		}
	}
	for i, want := range [][]int64{{2143, 1429, 1428}, {1398, 932, 0}} {
		for k, mm := range want {
			if got := q.Cloths[i].Lengths[k]; got != mm {
				t.Errorf("cloth %d, garment %d: %d mm, want %d", i, k, got, mm)
			}
		}
	}
	all := ""
	for _, l := range q.Client() {
		all += l.What + " " + l.Amount + "\n"
	}
	for _, want := range []string{"A, Rib-trimmed zip jacket 127.00 EUR\n", "C, Rib-trimmed zip jacket 101.00 EUR\n", "Discount, 5 % -16.85 EUR\n", "Total 384.18 EUR\n", "Deposit, to begin 192.09 EUR\n"} {
		if !strings.Contains(all, want) {
			t.Errorf("the quotation does not show %q:\n%s", want, all)
		}
	}
	for _, inner := range []string{"251.22", "110.97", "112.20", "68.93", "viscose"} {
		if strings.Contains(all, inner) {
			t.Errorf("the quotation shows %q:\n%s", inner, all)
		}
	}
	// The minutes are assumptions for all alike, so it is said once.
	if len(q.Findings) != 1 || q.Findings[0].Code != "cost:assumed" {
		t.Errorf("%v", q.Findings)
	}
}

// One garment by itself costs in a run what it costs alone.
func TestTogetherAlone(t *testing.T) {
	rates, _ := Read("hand.toml", []byte(handFile))
	o := handOrder()
	alone, err := Work(rates, o)
	if err != nil {
		t.Fatal(err)
	}
	q, err := WorkTogether(rates, Run{Cloths: []RunCloth{{Cloth: o.Cloths[0]}, {Cloth: o.Cloths[1], For: []string{"A"}}}, Garments: []Garment{{Name: "A", Garment: o.Garment, Areas: map[string]int64{"shell": 7, "lining": 5}, Notions: o.Notions, Order: o.Order}}})
	if err != nil {
		t.Fatal(err)
	}
	if !q.Total.Equal(alone.Total) || !q.Cost.Equal(alone.Cost) || !q.Deposit.Equal(alone.Deposit) {
		t.Errorf("%s, cost %s; alone %s, %s", q.Total, q.Cost, alone.Total, alone.Cost)
	}
	if _, err := WorkTogether(rates, Run{}); err == nil {
		t.Error("a run of nothing has a price")
	}
}

// Whatever is shared, the parts add up to it, none is below nought, and none is off its exact part by a whole unit (the quota rule that
// the method of largest remainders keeps: Balinski and Young, Fair Representation, 1982).
func TestApportion(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		digits := int32(rapid.IntRange(0, 3).Draw(rt, "digits"))
		total := decimal.New(int64(rapid.IntRange(0, 10_000_000).Draw(rt, "total")), -digits)
		weights := rapid.SliceOfN(rapid.Int64Range(0, 3_000_000), 1, 20).Draw(rt, "weights")
		parts := apportion(total, digits, weights)
		sum, all := Money{}, int64(0)
		for i, p := range parts {
			sum = sum.Add(p)
			all += weights[i]
		}
		if !sum.Equal(total) {
			rt.Fatalf("%s is shared as %v, which is %s", total, parts, sum)
		}
		for i, p := range parts {
			if p.IsNegative() || !p.Equal(p.Round(digits)) {
				rt.Fatalf("part %d of %s is %s", i, total, p)
			}
			if all == 0 {
				continue
			}
			off := p.Mul(decimal.NewFromInt(all)).Sub(total.Mul(decimal.NewFromInt(weights[i]))).Abs() // times all
			if !off.LessThan(decimal.New(all, -digits)) {
				rt.Fatalf("part %d of %s by %v is %s", i, total, weights, p)
			}
		}
	})
}
