package desk

import (
	"context"
	"math"
	"regexp"

	"clothwright/body"
	"clothwright/book"
	"clothwright/garments"
	"clothwright/job"
	"clothwright/tape"
)

// Opened is an order opened to be changed: its job file as it was measured and styled, without what its fittings taught, which goes on
// top of it again when it comes back by Rework.
type Opened struct {
	Job    book.Job
	File   *book.JobFile
	Metric bool   // its room works in centimetres
	House  []byte // the house file it is drafted by, under the name that File has for it; nil for the standard house
	base   book.Draft
	last   book.Draft
	fresh  bool // the measures are a card's, so what any fitting of this client's garment taught goes on top of it
}

// Card is the tape card that its newest draft was made from, 0 for none.
func (o Opened) Card() int64 { return o.last.CardID }

// taught is a note that a job file has where a fitting's pins are in its measures already.
var taught = regexp.MustCompile(`(?m)^# .* mm after the fitting: `)

// Open opens an order to be changed. Measures and style that were typed without a unit get the one they were meant in. An order whose
// garment has a script of its own is refused.
func Open(ctx context.Context, b *book.Book, number string) (Opened, error) {
	var o Opened
	var err error
	if o.Job, o.base, err = Kept(ctx, b, number, 1); err != nil {
		return o, err
	}
	if _, ours := garments.Script(o.base.ScriptName); !ours {
		return o, &Fault{Code: OwnScript, Text: "the garment of job " + number + " has a script of its own"}
	}
	r, err := Again(o.base)
	if err != nil {
		return o, err
	}
	if o.File, err = book.ReadJobFile(o.base.File, Measures(r)); err != nil {
		return o, err
	}
	o.Metric = r.Job.House.Tape.Unit == tape.CM
	if o.last, err = b.Draft(ctx, o.Job.ID, 0); err != nil {
		return o, err
	}
	o.House = o.base.House
	meant(o.File)
	o.fresh = taught.Match(o.base.File) || o.last.CardID != o.base.CardID
	if err := restyled(o.File, o.base, o.last, o.fresh); err != nil {
		return o, err
	}
	if o.fresh {
		k, err := b.Card(ctx, o.last.CardID)
		if err != nil {
			return o, err
		}
		return o, newCard(ctx, b, o.File, o.base, k)
	}
	return o, nil
}

// meant writes the unit behind every bare length, so that what was said stays what was meant where the job file's own unit is not
// beside it: on a tape card, or in a file of another unit.
func meant(f *book.JobFile) {
	if f.Unit == "" {
		return
	}
	with := func(s string) string {
		if _, err := tape.Parse(s, 0); err == nil {
			return s
		}
		if _, err := tape.Parse(s+" "+f.Unit, 0); err == nil {
			return s + " " + f.Unit
		}
		return s
	}
	for name, v := range f.Style {
		if s, ok := v.(string); ok {
			f.Style[name] = with(s)
		}
	}
	for _, of := range [][]book.Measure{f.Measures, f.Left, f.Right} {
		for i := range of {
			if row, ok := body.Lookup(of[i].Name); ok && row.Kind != body.Angle {
				of[i].Said = with(of[i].Said)
			}
		}
	}
}

// Rework takes an order that was opened and changed back as its next draft, with what its fittings taught. Where a measure was
// changed, a new tape card is kept that corrects the one before; by is who held the tape.
func Rework(ctx context.Context, b *book.Book, number string, src []byte, files job.Files, by, why string) (Made, error) {
	var m Made
	r, _, err := Draft("the changed job", src, files)
	if err != nil {
		return m, err
	}
	g, err := book.ReadJobFile(src, Measures(r))
	if err != nil {
		return m, err
	}
	meant(g)
	o, err := Open(ctx, b, number)
	if err != nil {
		return m, err
	}
	m.Job = o.Job
	card := book.Card{Taken: b.Today(), By: by, Figure: g.Figure, Age: g.Age, Measures: g.ForCard(), Corrects: o.last.CardID, Note: why}
	measured := !alike(o.File, g)
	if measured && by == "" {
		return m, &Fault{Code: NoTape, Field: "by", Text: "the measures were changed; say who held the tape"}
	}
	f := o.File
	f.FromCard(card) // which stays as it was measured while f is adjusted
	f.Style = g.Style
	ofJob := o.Job.ID
	if measured || o.fresh {
		ofJob = 0
	}
	as, byHand, err := b.Adjustments(ctx, o.Job.ClientID, o.Job.Garment, ofJob)
	if err != nil {
		return m, err
	}
	m.ByHand = byHand
	f.House = o.base.HouseName
	house := func(string) ([]byte, error) { return o.House, nil }
	if err := m.adjust(f, as, drafter(o.base.Name, house)); err != nil {
		return m, err
	}
	file := f.Bytes()
	if lays := job.LaysIn(src); len(lays) > 0 { // they count as long as their pieces are those; see job.KeptLay
		file = append(append(file, '\n'), lays...)
	}
	m.Result, m.Draft, err = Freeze(o.base.Name, file, house)
	if err != nil {
		return m, err
	}
	m.Draft.CardID, m.Draft.Why = o.last.CardID, why
	if !measured {
		return m, m.next(ctx, b, o.last)
	}
	return m, b.Write(ctx, "drafting again from new measures", func(tx *book.Tx) error {
		k, err := tx.AddCard(o.Job.ClientID, card)
		if err != nil {
			return err
		}
		m.Draft.CardID = k.ID
		m.Draft, err = tx.AddDraft(o.Job.ID, m.Draft)
		return err
	})
}

// alike says whether two job files say the same of the person who was measured.
func alike(a, b *book.JobFile) bool {
	before, now := a.ForCard(), b.ForCard()
	if a.Figure != b.Figure || a.Age != b.Age || len(before) != len(now) {
		return false
	}
	was := map[string]book.Measure{}
	for _, m := range before {
		was[m.Name] = m
	}
	for _, m := range now {
		if w, ok := was[m.Name]; !ok || math.Abs(w.MM-m.MM) > 0.005 || w.Confirmed != m.Confirmed {
			return false
		}
	}
	return true
}
