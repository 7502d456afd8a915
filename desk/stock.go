package desk

import (
	"context"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"github.com/shopspring/decimal"

	"clothwright/book"
	"clothwright/cost"
	"clothwright/tape"
)

// needsOf is what cutting a job takes: the lengths of cloth and rib that its newest draft buys (its part of them where it was priced as
// part of a run), the zips, and the trims of the costing file it was quoted with; for every piece that was quoted. What the client brings is
// not among them.
func needsOf(ctx context.Context, b *book.Book, j book.Job) ([]book.Need, error) {
	d, err := b.Draft(ctx, j.ID, 0)
	if err != nil {
		return nil, err
	}
	r, err := Again(d)
	if err != nil {
		return nil, err
	}
	cloths, err := Cloths(d, r)
	if err != nil {
		return nil, err
	}
	pieces, own := int64(1), []string(nil)
	var trims []cost.Trim
	q, quoted, err := b.Quote(ctx, j.ID)
	if err != nil {
		return nil, err
	}
	if quoted {
		words, err := wordsOf(q)
		if err != nil {
			return nil, err
		}
		if words.With != nil {
			pieces, own = int64(max(1, words.With.Pieces)), words.With.Own
		}
		if words.Run != nil && q.Draft == d.N {
			cloths = words.Run.Cloths
		}
		if rates, err := cost.Read("the quotation's costing file", q.Costing); err == nil {
			trims = rates.Trims
		}
	}
	var out []book.Need
	for _, c := range cloths {
		if c.Own || slices.Contains(own, c.Material) {
			continue
		}
		kind := "cloth"
		if c.Material == "rib" {
			kind = "rib"
		}
		out = append(out, book.Need{What: c.Name, Kind: kind, Quantity: int64(math.Ceil(c.Bought-1e-6)) * pieces, Is: called(c.Name)})
	}
	for _, n := range r.Pattern.Notions {
		count := int64(max(1, n.Count)) * pieces
		what := fmt.Sprintf("%s, %s", n.Name, r.Job.House.Tape.Fine(n.Length))
		out = append(out, book.Need{What: what, Kind: n.Kind, Quantity: count, Is: longAs(n.Length)})
	}
	for _, t := range trims {
		out = append(out, book.Need{What: t.What, Kind: "trim", Quantity: t.Count.Mul(decimal.NewFromInt(pieces)).Ceil().IntPart(), Is: called(t.What)})
	}
	return slices.DeleteFunc(out, func(n book.Need) bool { return n.Quantity <= 0 }), nil
}

// called finds a thing on the shelf by its code, or by how its name begins: "shell cloth" is shell-cloth, and "Shell cloth, 115 cm wide".
func called(name string) func(book.Shelf) bool {
	want := letters(name)
	return func(s book.Shelf) bool {
		first, _, _ := strings.Cut(s.Name, ",")
		return want != "" && (letters(s.Code) == want || letters(first) == want)
	}
}

// letters are the letters and figures of a name, small.
func letters(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToLower(r)
		}
		return -1
	}, s)
}

// aLength is a length with its unit within a name.
var aLength = regexp.MustCompile(`[0-9][0-9.,/ ¼½¾⅛⅜⅝⅞]*(?:cm|mm|in)\b`)

// longAs finds a zip on the shelf by the length that its name says: "separating zip, 45 cm".
func longAs(mm float64) func(book.Shelf) bool {
	return func(s book.Shelf) bool {
		for _, said := range aLength.FindAllString(s.Name, -1) {
			if got, err := tape.Parse(said, 0); err == nil && math.Abs(got-mm) < 0.5 {
				return true
			}
		}
		return false
	}
}

// Shelf says what the move did to the shelf, a line each.
func (m *Moved) Shelf() []string {
	out := tookLines(m.Took)
	for _, t := range m.Back {
		out = append(out, fmt.Sprintf("put back on the shelf: %s of %s, %s left", t.From.Words(t.Quantity), t.From.Code, t.From.Words(t.From.Left)))
	}
	return out
}

// tookLines say what was taken from the shelf, what is short and what the shelf does not hold, a line each. Of what it does not hold nothing is
// said where nothing at all came from the shelf: such a room keeps no shelf.
func tookLines(took []book.Took) []string {
	var out, not []string
	any := false
	for _, t := range took {
		switch {
		case t.From.Code == "":
			unit := book.Shelf{Unit: "piece"}
			if t.Kind == "cloth" || t.Kind == "rib" {
				unit.Unit = "mm"
			}
			not = append(not, fmt.Sprintf("%s of %s", unit.Words(t.Quantity), t.What))
		case t.Short:
			any = true
			out = append(out, fmt.Sprintf("short: %s of %s are needed and %s are on the shelf; nothing was taken", t.From.Words(t.Quantity), t.From.Code, t.From.Words(t.From.Left)))
		default:
			any = true
			out = append(out, fmt.Sprintf("taken from the shelf: %s of %s, %s left", t.From.Words(t.Quantity), t.From.Code, t.From.Words(t.From.Left)))
		}
	}
	if any && len(not) > 0 {
		out = append(out, "not on the shelf: "+strings.Join(not, ", "))
	}
	return out
}
