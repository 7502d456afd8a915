package desk

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"clothwright/body"
	"clothwright/book"
	"clothwright/tape"
)

// Length reads a length in mm; metres too, as cloth is sold by: "3.2 m", "45 in".
func Length(s string) (float64, error) {
	t := strings.TrimSpace(s)
	for _, m := range []string{" m", "m"} {
		before, ok := strings.CutSuffix(t, m)
		if ok && !strings.HasSuffix(before, "m") && !strings.HasSuffix(before, "c") && before != "" {
			return parsed(before+" cm", 100)
		}
	}
	return parsed(t, 1)
}

func parsed(s string, times float64) (float64, error) {
	mm, err := tape.Parse(s, 0)
	if err != nil {
		return 0, mistake("%s", err)
	}
	return mm * times, nil
}

// Pins reads what was pinned at a fitting, each as book.ParsePin has it. The first that cannot be read is the error.
func Pins(said []string) ([]book.Pin, error) {
	var out []book.Pin
	for _, s := range said {
		p, err := book.ParsePin(s, Length)
		if err != nil {
			return nil, err
		}
		out = append(out, p)
	}
	return out, nil
}

// Plan books a fitting that is to be held on a day.
func Plan(ctx context.Context, b *book.Book, number, on, note string) (f book.Fit, err error) {
	f.Note = note
	if f.Day, err = book.ParseDay(on); err != nil {
		return f, err
	}
	return addFit(ctx, b, "planning a fitting", number, f)
}

// Hold books a fitting that was held, with what was pinned; on is its day, empty for today.
func Hold(ctx context.Context, b *book.Book, number, by, on, note string, pins []book.Pin) (book.Fit, error) {
	f := book.Fit{Held: true, By: by, Note: note, Pins: pins}
	var err error
	if f.Day, err = Day(b, on); err != nil {
		return f, err
	}
	return addFit(ctx, b, "booking a fitting", number, f)
}

func addFit(ctx context.Context, b *book.Book, what, number string, f book.Fit) (book.Fit, error) {
	err := b.Write(ctx, what, func(tx *book.Tx) (err error) { f, err = tx.AddFit(number, f); return err })
	return f, err
}

// FitLine says a fitting in a line.
func FitLine(f book.Fit) string {
	if !f.Held {
		return fmt.Sprintf("fitting planned for %s%s", f.Day, behind(f.Note))
	}
	s := fmt.Sprintf("fitting of %s by %s", f.Day, f.By)
	var pins []string
	for _, p := range f.Pins {
		said := p.Said
		if !p.Carried() {
			said += " (by hand)"
		}
		pins = append(pins, said)
	}
	if len(pins) > 0 {
		s += ": " + strings.Join(pins, "; ")
	} else {
		s += ": nothing pinned"
	}
	return s + behind(f.Note)
}

func behind(s string) string {
	if s == "" {
		return ""
	}
	return ", " + s
}

// Goods reads cloth that a client brought. The error is a Fault that says whether length or width is at fault.
func Goods(what, length, width, state, note string) (book.Goods, error) {
	g := book.Goods{What: what, Condition: state, Note: note}
	for _, f := range []struct {
		name, said string
		into       *float64
	}{{"length", length, &g.Length}, {"width", width, &g.Width}} {
		mm, err := Length(f.said)
		if err != nil {
			return g, &Fault{Field: f.name, Text: err.Error()}
		}
		*f.into = mm
	}
	return g, nil
}

// TakeIn books cloth of a client in today, for a job when one is named.
func TakeIn(ctx context.Context, b *book.Book, client book.Client, job string, g book.Goods) (book.Goods, error) {
	g.Day = b.Today()
	err := b.Write(ctx, "booking cloth in", func(tx *book.Tx) (err error) { g, err = tx.TakeGoods(client.ID, job, g); return err })
	return g, err
}

// GiveOut books a length of a client's cloth out today, all that is left when it is empty, and says how many mm are left.
func GiveOut(ctx context.Context, b *book.Book, id int64, length, why string) (left float64, err error) {
	mm := 0.0
	if length != "" {
		if mm, err = Length(length); err != nil {
			return 0, &Fault{Field: "length", Text: err.Error()}
		}
	}
	err = b.Write(ctx, "booking cloth out", func(tx *book.Tx) (err error) {
		left, err = tx.GiveGoods(id, mm, b.Today(), why)
		return err
	})
	return left, err
}

// GoodsLine says a client's cloth in a line.
func GoodsLine(g book.Goods) string {
	return fmt.Sprintf("cloth %d: %s, %.2f m of %.2f m left, %.2f m wide, %s, came %s%s", g.ID, g.What, g.Left/1000, g.Length/1000, g.Width/1000, g.Condition, g.Day, behind(g.Job))
}

// Put puts something on the shelf today; Take off takes from it. The quantity is a length for cloth and rib, else a whole number.
func Put(ctx context.Context, b *book.Book, s book.Shelf, quantity, why string) (book.Shelf, error) {
	return shelve(ctx, b, s, quantity, 1, "", why)
}

// TakeOff takes from the shelf today, for a job when one is named.
func TakeOff(ctx context.Context, b *book.Book, code, quantity, job, why string) (book.Shelf, error) {
	return shelve(ctx, b, book.Shelf{Code: code}, quantity, -1, job, why)
}

func shelve(ctx context.Context, b *book.Book, s book.Shelf, quantity string, sign int64, job, why string) (book.Shelf, error) {
	there, ok, err := b.Thing(ctx, s.Code)
	if err != nil {
		return s, err
	}
	byLength := s.Kind == "cloth" || s.Kind == "rib"
	if ok {
		byLength = there.Unit == "mm"
	}
	var n int64
	if byLength {
		mm, err := Length(quantity)
		if err != nil {
			return s, err
		}
		n = int64(mm + 0.5)
	} else if n, err = strconv.ParseInt(quantity, 10, 32); err != nil {
		return s, mistake("%q is no number of pieces; a whole number is wanted", quantity)
	}
	if n <= 0 {
		return s, mistake("%q: more than nothing is wanted", quantity)
	}
	err = b.Write(ctx, "changing the shelf", func(tx *book.Tx) (err error) { s, err = tx.PutShelf(s, sign*n, job, b.Today(), why); return err })
	return s, err
}

// lookup finds a measure by the name a card has it by, with what stands before it: left. or right. for one taken on one side alone.
func lookup(name string) (row body.Measure, side string, ok bool) {
	for _, side := range []string{"left.", "right."} {
		if n, one := strings.CutPrefix(name, side); one {
			row, ok = body.Lookup(n)
			return row, side, ok && slices.Contains(body.Sided, row.Name)
		}
	}
	row, ok = body.Lookup(name)
	return row, "", ok
}

// Measure reads one measure as it was said, with left. or right. before its name where it was taken on one side alone. Unit is that
// of bare numbers, 0 when there is none.
func Measure(name, said string, unit tape.Unit) (book.Measure, error) {
	row, side, ok := lookup(name)
	if !ok {
		return book.Measure{}, mistake("%s is no measure; see docs/measures.md for the names", name)
	}
	m := book.Measure{Name: side + string(row.Name), Said: strings.TrimSpace(said)}
	m.Said, m.Confirmed = strings.CutSuffix(m.Said, "!")
	m.Said = strings.TrimSpace(m.Said)
	var err error
	if row.Kind == body.Angle {
		m.MM, err = strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(strings.TrimSuffix(m.Said, "deg"), "°")), 64)
		if err != nil {
			err = mistake("%q is not an angle; degrees are allowed, as 20", m.Said)
		}
	} else if m.MM, err = tape.Parse(m.Said, unit); err == nil && unit != 0 {
		if _, bare := strconv.ParseFloat(strings.ReplaceAll(m.Said, ",", "."), 64); bare == nil {
			m.Said += " " + unit.String()
		}
	}
	if err != nil {
		return m, mistake("%s: %s", name, err)
	}
	if !(m.MM >= row.Least && m.MM <= row.Most) {
		return m, mistake("%s is %s; %s is what a person can have", name, m.Said, row.Allowed(m.Said, unit))
	}
	return m, nil
}
