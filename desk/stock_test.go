package desk

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"clothwright/book"
)

// agreed takes an order as far as it may be cut.
func agreed(t *testing.T, ctx context.Context, b *book.Book, o *Order, p Pricing) string {
	t.Helper()
	n := must[[]Taken](t)(Take(ctx, b, []*Order{o}, "Ama", ""))[0].Job.Number
	must[book.Quoted](t)(must[*Priced](t)(Price(ctx, b, n, "", nil, p)).Keep(ctx, b))
	must[book.Issue](t)(must[*Confirmation](t)(Confirm(ctx, b, n)).Issue(ctx, b))
	return n
}

// When a job is cut the shelf has less by what its lay buys and by its zip, what is short is said and left, and going back to confirmed
// makes the shelf what it was. What was taken once is not taken again after a fitting.
func TestShelfWhenCut(t *testing.T) {
	ctx, b := room(t)
	o := order(t, "two.toml")
	cloths := must[[]cloth](t)(clothsOf(o))
	n := agreed(t, ctx, b, o, Pricing{Pieces: 1})
	zip := o.Result.Pattern.Notions[0]
	name := fmt.Sprintf("Separating zip, %g cm", zip.Length/10)
	must[book.Shelf](t)(Put(ctx, b, book.Shelf{Code: "z-1", Kind: "zip", Name: "Separating zip, 12 cm"}, "5", "bought"))
	must[book.Shelf](t)(Put(ctx, b, book.Shelf{Code: "z-2", Kind: "zip", Name: name}, "3", "bought"))
	must[book.Shelf](t)(Put(ctx, b, book.Shelf{Code: strings.ReplaceAll(cloths[0].name, " ", "-"), Kind: "cloth", Name: "Wax print, 115 cm wide"}, "30 m", "bought"))
	must[book.Shelf](t)(Put(ctx, b, book.Shelf{Code: "l", Kind: "cloth", Name: strings.ToUpper(cloths[1].name) + ", grey"}, "10 cm", "bought"))
	shelf := func() string {
		var out []string
		for _, s := range must[[]book.Shelf](t)(b.Shelf(ctx)) {
			out = append(out, fmt.Sprint(s.Code, " ", s.Left))
		}
		return strings.Join(out, ", ")
	}
	full := shelf()
	if _, err := Move(ctx, b, n, book.BeingCut, ""); err == nil || shelf() != full {
		t.Errorf("a job that is not agreed: %v, and the shelf is %s", err, shelf())
	}
	must[book.Issue](t)(Agree(ctx, b, n))
	m := must[Moved](t)(Move(ctx, b, n, book.BeingCut, "a note"))
	want := strings.Replace(strings.Replace(full, " 30000", fmt.Sprint(" ", 30000-cloths[0].mm), 1), "z-2 3", "z-2 2", 1)
	if got := shelf(); got != want {
		t.Errorf("the shelf is %s after cutting; want %s", got, want)
	}
	said := strings.Join(m.Shelf(), "\n")
	for _, want := range []string{
		fmt.Sprintf("taken from the shelf: %.2f m of %s", float64(cloths[0].mm)/1000, strings.ReplaceAll(cloths[0].name, " ", "-")),
		"taken from the shelf: 1 of z-2, 2 left",
		fmt.Sprintf("short: %.2f m of l are needed and 0.10 m are on the shelf; nothing was taken", float64(cloths[1].mm)/1000),
		"not on the shelf: ", "1 of woven label",
	} {
		if !strings.Contains(said, want) {
			t.Errorf("it is not said %q:\n%s", want, said)
		}
	}
	// Who looks at the order later, or in the browser, reads it too.
	if steps := must[[]book.Step](t)(b.Steps(ctx, m.Job.ID)); !strings.Contains(steps[len(steps)-1].Note, "a note; taken from the shelf: ") {
		t.Errorf("the last step's note is %q", steps[len(steps)-1].Note)
	}
	for _, s := range []book.State{book.Fitting, book.BeingCut} {
		if m = must[Moved](t)(Move(ctx, b, n, s, "")); len(m.Took)+len(m.Back) != 0 || shelf() != want {
			t.Errorf("moved to %s the shelf is %s", s, shelf())
		}
	}
	if m = must[Moved](t)(Move(ctx, b, n, book.Confirmed, "")); len(m.Back) != 2 || shelf() != full {
		t.Errorf("put back %v, and the shelf is %s; it was %s", m.Back, shelf(), full)
	}
	must[Moved](t)(Move(ctx, b, n, book.BeingCut, ""))
	if got := shelf(); got != want {
		t.Errorf("cut after all, the shelf is %s; want %s", got, want)
	}
}

type cloth struct {
	name string
	mm   int64
}

func clothsOf(o *Order) (out []cloth, err error) {
	all, err := Cloths(o.Draft, o.Result)
	for _, c := range all {
		out = append(out, cloth{c.Name, int64(math.Ceil(c.Bought))})
	}
	return out, err
}

// Things on the shelf go by the names that people give them.
func TestNamesOnTheShelf(t *testing.T) {
	for _, c := range []struct {
		cloth string
		s     book.Shelf
		want  bool
	}{
		{"shell cloth", book.Shelf{Code: "shell-cloth", Name: "wax print, 115 cm wide"}, true},
		{"wax print", book.Shelf{Code: "c4", Name: "Wax print, 115 cm wide"}, true},
		{"wax print", book.Shelf{Code: "c5", Name: "Wax print blue"}, false},
		{"", book.Shelf{Code: "-", Name: ""}, false},
	} {
		if got := called(c.cloth)(c.s); got != c.want {
			t.Errorf("%q is %v: %v", c.cloth, c.s, got)
		}
	}
	for name, want := range map[string]bool{"separating zip, 45 cm": true, "zip 450 mm brass": true, "zip 17 3/4 in": false, "zip, 45": false, "45cm": true, "zip 18 in": false} {
		if got := longAs(450)(book.Shelf{Name: name}); got != want {
			t.Errorf("%q is 45 cm long: %v", name, got)
		}
	}
}
