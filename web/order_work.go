package web

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"

	"clothwright/book"
	"clothwright/desk"
)

// ofBook is how a job in work stands to the book.
type ofBook struct {
	Ledger bool     // there is a book
	Order  book.Job // the order it belongs to; its ID is 0 where it belongs to none
	Number string   // for a new order
	Known  bool     // it was begun from a tape card of the book
	Wrong  string
}

// orderOfWork is the order in the book that a job in work belongs to; its ID is 0 for none.
func (v *visit) orderOfWork(r *Record) (book.Job, error) {
	if v.s.book == nil || r.Kept.Order == "" {
		return book.Job{}, nil
	}
	j, err := v.s.book.Job(v.r.Context(), r.Kept.Order)
	var f *book.Fault
	if errors.As(err, &f) && f.Code == book.Mistake || err == nil && j.Client != r.Client {
		return book.Job{}, nil // another book, or the person was forgotten
	}
	return j, err
}

func (v *visit) ofBook(r *Record) (o ofBook, err error) {
	if o.Ledger = v.s.book != nil; !o.Ledger {
		return o, nil
	}
	if o.Order, err = v.orderOfWork(r); err != nil || o.Order.ID != 0 {
		return o, err
	}
	o.Known = r.Kept.Card != 0
	if o.Number = r.Number; o.Number == "" {
		o.Number, err = desk.NextNumber(v.r.Context(), v.s.book)
	}
	return o, err
}

// toOrder puts a job in work into the book: as a new order, or back into the order it was opened from, as its next draft.
func (v *visit) toOrder() error {
	r, err := v.job()
	if err != nil {
		return err
	}
	if _, err := v.ledger(); err != nil {
		return err
	}
	j, err := v.orderOfWork(r)
	if err != nil {
		return err
	}
	id := j.ID
	err = v.keep(func(ctx context.Context, b *book.Book) error {
		if j.ID != 0 {
			return v.bringBack(ctx, b, r, j)
		}
		id, err = v.takeIn(ctx, b, r)
		return err
	})
	if err != nil {
		return v.again(v.said(err), (*visit).sheetsPage)
	}
	return v.goTo("/order/" + v.s.signed(anOrder, id))
}

// takeIn makes a new order of a job in work.
func (v *visit) takeIn(ctx context.Context, b *book.Book, r *Record) (int64, error) {
	if r.Number = v.form("number"); r.Number == "" {
		return 0, plain(v.words.T("work.number.none"))
	}
	src, err := v.s.settledFile(r)
	if err != nil {
		return 0, err
	}
	o, err := desk.Read(r.Number+".toml", src, v.s.store.Refer)
	if err != nil {
		return 0, err
	}
	if r.Kept.Client != "" {
		x, err := b.Client(ctx, r.Kept.Client)
		if err == nil && x.Code == r.Kept.Client && x.Name == r.Client {
			o.Client, o.Card = x.Code, r.Kept.Card
		}
	}
	took, err := desk.Take(ctx, b, []*desk.Order{o}, v.form("by"), "")
	if err != nil {
		return 0, err
	}
	t := took[0]
	return t.Job.ID, v.s.store.Change(r.ID, func(now *Record) error {
		now.Number = r.Number
		now.Kept.Client, now.Kept.Since, now.Kept.Card = t.Client.Code, t.Client.Made, t.Card.ID
		return v.inStep(now, t.Job)
	})
}

// bringBack makes the next draft of the order that a job in work was opened from.
func (v *visit) bringBack(ctx context.Context, b *book.Book, r *Record, j book.Job) error {
	src, err := v.s.settledFile(r)
	if err != nil {
		return err
	}
	why := v.form("why")
	if why == "" {
		why = "changed at the drawing"
	}
	m, err := desk.Rework(ctx, b, j.Number, src, v.s.store.Refer, v.form("by"), why)
	if err != nil {
		return err
	}
	if m.Same {
		v.tell(v.words.T("order.same"))
	}
	return v.s.store.Change(r.ID, func(now *Record) error {
		now.Kept.Card = m.Draft.CardID
		return v.inStep(now, j)
	})
}

// inStep remembers that a job in work says what its order says.
func (v *visit) inStep(r *Record, j book.Job) error {
	r.Kept.Order = j.Number
	sign, err := v.signOf(r)
	r.Kept.Step = sign
	return err
}

// signOf is a sign of what a job in work says.
func (v *visit) signOf(r *Record) (string, error) {
	src, err := v.s.settledFile(r)
	sum := sha256.Sum256(src)
	return hex.EncodeToString(sum[:8]), err
}

// orderOpen opens an order to be changed at the measuring and designing pages: as a job in work that remembers its order. One that is
// open already and was changed since is gone on with, so that nothing typed is lost.
func (v *visit) orderOpen() error {
	j, err := v.orderHere()
	if err != nil {
		return err
	}
	o, err := desk.Open(v.r.Context(), v.s.book, j.Number)
	if err != nil {
		return v.again(v.said(err), (*visit).orderPage)
	}
	house, err := v.lend(o)
	if err != nil {
		return err
	}
	all, err := v.s.store.List()
	if err != nil {
		return err
	}
	for _, r := range all {
		if r.Kept.Order != j.Number || r.Client != j.Client {
			continue
		}
		sign, err := v.signOf(r)
		if err != nil {
			return err
		}
		if sign == r.Kept.Step {
			err = v.s.store.Change(r.ID, func(now *Record) error { return v.fill(now, j, o, house) })
		}
		if err != nil {
			return err
		}
		return v.goTo("/jobs/" + r.ID + "/design")
	}
	r := &Record{}
	if err := v.fill(r, j, o, house); err != nil {
		return err
	}
	if err := v.s.store.Create(r); err != nil {
		return err
	}
	return v.goTo("/jobs/" + r.ID + "/design")
}

// standardHouse is the house file of a room that has none, whatever the folder's own says.
const standardHouse = "# The house as the program has it.\nformat = 1\n"

// lend keeps the house file of an order where the job in work finds it, and gives its name there.
func (v *visit) lend(o desk.Opened) (string, error) {
	house := o.House
	if o.File.House == "" {
		house = []byte(standardHouse)
	}
	sum := sha256.Sum256(house)
	name := ".as-ordered-" + hex.EncodeToString(sum[:4]) + ".toml" // hidden, so that no other job is offered it
	return name, v.s.store.Lend(name, house)
}

// fill makes a job in work say what an order says.
func (v *visit) fill(r *Record, j book.Job, o desk.Opened, house string) error {
	f := o.File
	r.Client, r.Number, r.Date, r.Demo, r.Garment, r.Figure, r.Unit = f.Client, f.Number, f.Date, f.Demo, f.Garment, f.Figure, f.Unit
	if r.Unit != "cm" && r.Unit != "in" {
		r.Unit = "in"
		if o.Metric {
			r.Unit = "cm"
		}
	}
	if r.Age = ""; f.Age > 0 {
		r.Age = fmt.Sprint(f.Age)
	}
	for _, side := range []struct {
		from []book.Measure
		into *map[string]Typed
	}{{f.Measures, &r.Measures}, {f.Left, &r.Left}, {f.Right, &r.Right}} {
		*side.into = map[string]Typed{}
		for _, m := range side.from {
			(*side.into)[m.Name] = Typed{Text: m.Said, Confirmed: m.Confirmed}
		}
	}
	r.Style = map[string]string{}
	for name, x := range f.Style {
		r.Style[name] = fmt.Sprint(x)
	}
	r.House = house
	r.Kept.Client, r.Kept.Card = j.Code, o.Card()
	r.Kept.Steps = nil // the lays stay: each counts for its own pieces and cloth alone
	return v.inStep(r, j)
}
