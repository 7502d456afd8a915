package desk

import (
	"bytes"
	"math"
	"testing"

	"clothwright/book"
	"clothwright/cost"
	"clothwright/job"
)

// Two jackets are laid and priced together: the cloth's parts add up to what the common lay buys, the quotations in the book to what
// the sheet says, and each can be reckoned again from the book. The parts are as the areas that lie on the cloth, which the lay reckons
// from its own polygons: utilisation times width times length.
func TestPricedTogether(t *testing.T) {
	ctx, b := room(t)
	var numbers []string
	for _, o := range must[[]Taken](t)(Take(ctx, b, []*Order{order(t, "bow.toml"), order(t, "five.toml")}, "Ama", "")) {
		numbers = append(numbers, o.Job.Number)
	}
	if _, err := PriceTogether(ctx, b, numbers, "", "", nil, Pricing{Pieces: 1}); !isFault(err, "", "for") {
		t.Errorf("jobs of two people in one quotation to nobody: %v", err)
	}
	if _, err := PriceTogether(ctx, b, numbers, "A club", "", nil, Pricing{Pieces: 2}); !isFault(err, "", "pieces") {
		t.Errorf("two pieces of two jobs: %v", err)
	}
	p := must[*Together](t)(PriceTogether(ctx, b, numbers, "A club", "", nil, Pricing{Pieces: 1}))
	for i, s := range p.Quote.Cloths {
		sum, money := int64(0), cost.Money{}
		for k := range numbers {
			sum += s.Lengths[k]
			money = money.Add(s.Amounts[k])
		}
		if float64(sum) != math.Round(s.Cloth.Bought) || !money.Equal(s.Amount) {
			t.Errorf("%s: parts of %d mm and %s; %g mm and %s are bought", s.Cloth.Name, sum, money, s.Cloth.Bought, s.Amount)
		}
		plan := p.Plans[i]
		if s.Cloth.Material != "shell" || plan.Cloth.Material != "shell" {
			continue
		}
		laid := plan.Utilisation * plan.Usable * plan.Length * 2 // folded: two layers
		areas := 0.0
		for _, r := range p.Results {
			areas += float64(cost.AreasOf(r.Pattern)["shell"])
		}
		if math.Abs(areas-laid) > 0.002*laid {
			t.Errorf("the areas come to %.0f mm², the lay has %.0f", areas, laid)
		}
	}
	if files := must[[]job.Output](t)(p.Print()); len(files) != 3 || !bytes.HasPrefix(files[2].Bytes, []byte("%PDF")) {
		t.Errorf("%d sheets", len(files))
	}
	total := int64(0)
	for i, q := range must[[]book.Quoted](t)(p.Keep(ctx, b)) {
		j := must[book.Job](t)(b.Job(ctx, numbers[i]))
		kept, _, err := b.Quote(ctx, j.ID)
		if err != nil || kept.N != 1 {
			t.Fatal(kept.N, err)
		}
		total += q.Total
		again := must[*Priced](t)(Reckoned(ctx, b, j, kept))
		if !again.Quote.Cost.Equal(p.Quote.Each[i].Cost) {
			t.Errorf("%s costs %s when it is reckoned again, and %s together", j.Number, again.Quote.Cost, p.Quote.Each[i].Cost)
		}
		sheet := must[*Confirmation](t)(Confirm(ctx, b, j.Number))
		if !bytes.Contains(sheet.Sheets[1].Bytes, []byte("one lay of cloth, SRC-01, SRC-05")) {
			t.Errorf("the sheet to sign for %s does not say what the price holds for", j.Number)
		}
	}
	if total != p.Quote.Currency.Minor(p.Quote.Total) {
		t.Errorf("the quotations come to %d, the sheet says %s", total, p.Quote.Total)
	}
}
