package desk

import (
	"bytes"
	"slices"
	"testing"

	"clothwright/book"
	"clothwright/job"
	"clothwright/sheet/docket"
)

// A sheet that takes another's place names what changed with what it was and what it is: price, day, style, finished sizes, measures.
// Printed again it says the same. The finished sizes come out of the pattern; that roomy is 2 1/2 in more than regular round the chest
// is the garment's own rule (8 1/2 and 6 in, common practice).
func TestChangedSince(t *testing.T) {
	ctx, b := room(t)
	n := must[[]Taken](t)(Take(ctx, b, []*Order{order(t, "bow.toml", `house = "house-cm.toml"`, "", `ease = "trim"`, `ease = "regular"`)}, "Ama", ""))[0].Job.Number
	price := func(ask string) {
		t.Helper()
		must[book.Quoted](t)(must[*Priced](t)(Price(ctx, b, n, "", nil, Pricing{Pieces: 1, Ask: ask})).Keep(ctx, b))
	}
	price("300.00")
	must[Promise](t)(Due(ctx, b, n, "2026-03-20", "", true))
	first := must[*Confirmation](t)(Confirm(ctx, b, n))
	if len(first.Changed) != 0 {
		t.Errorf("the first sheet changes %v", first.Changed)
	}
	must[book.Issue](t)(first.Issue(ctx, b))

	must[book.Fit](t)(Hold(ctx, b, n, "Ama", "", "", must[[]book.Pin](t)(Pins([]string{"sleeve +1/2 in", "upper arm +1/2 in"}))))
	must[Made](t)(Redraft(ctx, b, n, Change{Style: []string{"ease=roomy"}}))
	price("320.00")
	must[Promise](t)(Due(ctx, b, n, "2026-03-24", "", true))
	second := must[*Confirmation](t)(Confirm(ctx, b, n))
	for _, want := range []docket.Change{
		{What: "Rib-trimmed zip jacket", Was: "300.00 EUR", Now: "320.00 EUR"},
		{What: "Total", Was: "300.00 EUR", Now: "320.00 EUR"},
		{What: "Deposit, to begin", Was: "150.00 EUR", Now: "160.00 EUR"},
		{What: "Ready on", Was: "2026-03-20", Now: "2026-03-24"},
		{What: "Ease", Was: "regular", Now: "roomy"},
		{What: "Chest round", Was: "37 1/2 in", Now: "40 in"},
		{What: "Sleeve, before it blouses", Was: "19 7/8 in", Now: "20 3/8 in"},
		{What: "Upper-arm girth", Was: "9 13/16 in", Now: "10 5/16 in"},
	} {
		if !slices.Contains(second.Changed, want) {
			t.Errorf("%v is not among what changed: %v", want, second.Changed)
		}
	}
	for _, c := range second.Changed {
		if c.Was == c.Now || c.What == "Waist girth" || c.What == "Block width" {
			t.Errorf("%v did not change", c)
		}
	}
	must[book.Issue](t)(second.Issue(ctx, b))
	again := must[*Confirmation](t)(Confirm(ctx, b, n))
	if !slices.Equal(again.Changed, second.Changed) || !bytes.Equal(again.Sheets[0].Bytes, second.Sheets[0].Bytes) {
		t.Error("the same issue printed again is another sheet")
	}
	if i := must[book.Issue](t)(again.Issue(ctx, b)); i.N != 2 {
		t.Errorf("printed again it became issue %d", i.N)
	}
	// Only the day: nothing else is named.
	must[Promise](t)(Due(ctx, b, n, "2026-03-26", "", true))
	third := must[*Confirmation](t)(Confirm(ctx, b, n))
	if want := []docket.Change{{What: "Ready on", Was: "2026-03-24", Now: "2026-03-26"}}; !slices.Equal(third.Changed, want) {
		t.Errorf("%v, want %v", third.Changed, want)
	}
}

// A size that is not alike on both sides is agreed on for each.
func TestSizesOfUnlikeSides(t *testing.T) {
	f, cut := inches(t, "[style]", "[left]\narm_length = \"20 in\"\nupper_arm_girth = \"12 in\"\n[style]", `"50.5 cm"`, `"19 in"`)
	got := map[string]string{}
	for _, s := range sizes(must[*job.Result](t)(cut(f))) {
		got[s.What] = s.Text
	}
	for what, want := range map[string]string{"Sleeve, before it blouses, left": "20 in", "Sleeve, before it blouses, right": "19 in"} {
		if got[what] != want {
			t.Errorf("%s is %q, want %s: %v", what, got[what], want, got)
		}
	}
	if l, r := got["Upper arm round, left"], got["Upper arm round, right"]; l == "" || r == "" || l == r {
		t.Errorf("the upper arms are %q and %q", l, r)
	}
	if got["Chest round"] == "" || got["Upper arm round"] != "" {
		t.Errorf("%v", got)
	}
}
