package desk

import (
	"context"
	"fmt"
	"strings"

	"clothwright/body"
	"clothwright/book"
	"clothwright/cost"
	"clothwright/job"
	"clothwright/sheet/docket"
)

// Promise is a day that was asked for, and what it would do to the promises made before.
type Promise struct {
	Job       book.Job
	Due       string
	Minutes   int         // of work on the job
	Uncounted []string    // open jobs that were never quoted, so that nobody knows their minutes
	Late      []book.Late // promises that it breaks, its own included
	Earliest  string      // where it breaks one: the first day that would break none, empty when there is none within three years
	Made      bool        // it is in the book
}

// Due promises a day, or when it is empty the earliest that breaks no promise, not before the day notBefore where one is given.
// A day that breaks a promise is promised only anyway. With an error, what was found before it is returned too.
func Due(ctx context.Context, b *book.Book, number, due, notBefore string, anyway bool) (Promise, error) {
	var p Promise
	var err error
	if p.Job, err = b.Job(ctx, number); err != nil {
		return p, err
	}
	hours, err := b.Hours(ctx)
	if err != nil {
		return p, err
	}
	if hours.None() {
		return p, &Fault{Code: NoHours, Text: "the room has no working hours yet; clothwright book room --hours 'mon-fri 6' sets them"}
	}
	loads, unreckoned, err := b.Loads(ctx)
	if err != nil {
		return p, err
	}
	this := book.Load{Job: p.Job.Number, Client: p.Job.Client}
	var others []book.Load
	for _, l := range loads {
		if l.Job == this.Job {
			this.Minutes = l.Minutes
		} else {
			others = append(others, l)
		}
	}
	for _, u := range unreckoned {
		if u == this.Job {
			return p, &Fault{Code: NoQuote, Text: fmt.Sprintf("job %s has no quotation, so its minutes are not reckoned; clothwright order quote does it", u)}
		}
	}
	p.Minutes, p.Uncounted = this.Minutes, unreckoned
	if this.Due, err = book.ParseDay(due); due != "" && err != nil {
		return p, err
	}
	if notBefore != "" {
		if notBefore, err = book.ParseDay(notBefore); err != nil {
			return p, err
		}
	}
	if due == "" {
		if this.Due = book.Earliest(others, hours, b.Today(), notBefore, this.Minutes); this.Due == "" {
			return p, &Fault{Code: NoDay, Text: "no day within three years can be promised without breaking a promise"}
		}
	}
	p.Due = this.Due
	if p.Late = book.NewlyBroken(others, this, hours, b.Today()); len(p.Late) > 0 && !anyway {
		p.Earliest = book.Earliest(others, hours, b.Today(), notBefore, this.Minutes)
		return p, nil
	}
	err = b.Write(ctx, "promising a day", func(tx *book.Tx) error { return tx.Promise(this.Job, this.Due) })
	p.Made = err == nil
	return p, err
}

// Confirmation is the sheet to agree on before cutting, drawn and not yet booked.
type Confirmation struct {
	Job     book.Job
	Was     book.Issue      // the sheet that was issued last; its N is 0 for none
	Changed []docket.Change // against the sheet that it takes the place of
	Sheets  []job.Output    // confirmation.pdf and confirmation.svg
	next    book.Issue
	drawn   named
}

// Pictures are the sheet's pages as PNG files small enough to send in a message: confirmation.png, or confirmation-1.png and so on.
func (c *Confirmation) Pictures() ([]job.Output, error) { return c.drawn.pictures() }

// Picture is the whole sheet as one PNG file, confirmation.png.
func (c *Confirmation) Picture() (job.Output, error) { return c.drawn.picture() }

// finished are the places of the garment whose finished size is agreed on.
var finished = []struct{ at, title string }{{"chest", "Chest round"}, {"waist", "Waist round"}, {"hip", "Hem round, over the hip"}, {"upper arm", "Upper arm round"}, {"neck", "Neck round"}}

// measured are the measures that are agreed on as finished sizes.
var measured = []struct{ name, title string }{{"body_length", "Length, rib included"}, {"arm_length", "Sleeve, before it blouses"}}

// Confirm draws the confirmation sheet of what the book says now: newest draft, newest quotation, day.
func Confirm(ctx context.Context, b *book.Book, number string) (*Confirmation, error) {
	j, err := b.Job(ctx, number)
	if err != nil {
		return nil, err
	}
	q, ok, err := b.Quote(ctx, j.ID)
	if err != nil {
		return nil, err
	}
	if !ok {
		return nil, &Fault{Code: NoQuote, Text: fmt.Sprintf("job %s has no quotation yet; clothwright order quote makes one", number)}
	}
	prices, err := Lines(q)
	if err != nil {
		return nil, err
	}
	j, d, r, err := cutAgain(ctx, b, number)
	if err != nil {
		return nil, err
	}
	a := docket.Agreement{Style: r.Sheet().StyleWords, Sizes: sizes(r), Prices: prices, Due: j.Due, Pattern: r.Pattern,
		Terms: []string{"A change after signing makes a new sheet, and may change price and day. Cut cloth cannot be uncut."}}
	kept, err := wordsOf(q)
	if err != nil {
		return nil, err
	}
	if kept.Run != nil {
		a.Terms = append(a.Terms, together(kept.Run.Jobs))
	}
	goods, err := goodsFor(ctx, b, j, true)
	if err != nil {
		return nil, err
	}
	for _, g := range goods {
		a.Cloth = append(a.Cloth, fmt.Sprintf("%s, %.2f m long, %.2f m wide, %s", g.What, g.Length/1000, g.Width/1000, g.Condition))
	}
	if _, a.ByHand, err = pinned(ctx, b, j, d); err != nil {
		return nil, err
	}
	c := &Confirmation{Job: j, next: book.Issue{Draft: d.N, Quote: q.N, Due: j.Due}}
	var had bool
	if c.Was, had, err = b.LastIssue(ctx, j.ID); err != nil {
		return nil, err
	}
	before := c.Was
	if a.Issue = c.Was.N + 1; had && c.Changes() == "" { // the last one, printed again
		a.Issue = c.Was.N
		if before, had, err = b.IssueNth(ctx, j.ID, c.Was.N-1); err != nil {
			return nil, err
		}
	}
	if had {
		if c.Changed, err = changed(ctx, b, j, before, c.next, r); err != nil {
			return nil, err
		}
	}
	a.Changed = c.Changed
	h, err := headIn(ctx, b, r, r.Job.House.Name)
	if err != nil {
		return nil, err
	}
	drawn, err := docket.Confirmation(h, a)
	if err != nil {
		return nil, err
	}
	c.drawn = named{"confirmation", drawn}
	c.Sheets, err = printed(true, c.drawn)
	return c, err
}

// sizes are the finished sizes that are agreed on, one a side where the sides differ.
func sizes(r *job.Result) []docket.Size {
	t := r.Job.House.Tape
	var out []docket.Size
	for _, f := range finished {
		var left, right, both string
		for _, x := range r.Pattern.Worn {
			switch x.At {
			case f.at:
				both = t.Fine(x.Garment)
			case f.at + ", left":
				left = t.Fine(x.Garment)
			case f.at + ", right":
				right = t.Fine(x.Garment)
			}
		}
		out = append(out, sidesOf(f.title, both, left, right)...)
	}
	for _, m := range measured {
		name := body.Name(m.name)
		words := func(of map[body.Name]body.Value) string {
			if v, ok := of[name]; ok {
				return t.Fine(v.MM)
			}
			return ""
		}
		out = append(out, sidesOf(m.title, words(r.Card.Values), words(r.Card.Left), words(r.Card.Right))...)
	}
	return out
}

// sidesOf is a size in one line, or in two where left and right are not alike; a side that has none of its own has that of both.
func sidesOf(title, both, left, right string) []docket.Size {
	if left == "" {
		left = both
	}
	if right == "" {
		right = both
	}
	switch {
	case left == "" && right == "":
		return nil
	case left == right:
		return []docket.Size{{What: title, Text: left}}
	}
	return []docket.Size{{What: title + ", left", Text: left}, {What: title + ", right", Text: right}}
}

// Changes says in what the sheet differs from the one before; empty when there was none, or nothing changed.
func (c *Confirmation) Changes() string {
	if c.Was.N == 0 {
		return ""
	}
	var out []string
	for _, x := range []struct {
		differs bool
		what    string
	}{{c.Was.Draft != c.next.Draft, "sizes or style"}, {c.Was.Quote != c.next.Quote, "the price"}, {c.Was.Due != c.next.Due, "the day"}} {
		if x.differs {
			out = append(out, x.what)
		}
	}
	if len(out) == 0 {
		return ""
	}
	return "changed: " + strings.Join(out, ", ")
}

// Issue books that the sheet was issued, unless the last one says the same.
func (c *Confirmation) Issue(ctx context.Context, b *book.Book) (issue book.Issue, err error) {
	err = b.Write(ctx, "issuing a confirmation sheet", func(tx *book.Tx) (err error) { issue, err = tx.AddIssue(c.Job.ID, c.next); return err })
	return issue, err
}

// Agree books that the client signed the newest confirmation sheet; a job that was only ordered is confirmed by it.
func Agree(ctx context.Context, b *book.Book, number string) (i book.Issue, err error) {
	err = b.Write(ctx, "booking a signature", func(tx *book.Tx) (err error) {
		if i, err = tx.Agree(number); err != nil {
			return err
		}
		j, err := tx.Job(number)
		if err == nil && j.State == book.Ordered {
			_, err = tx.Move(number, book.Confirmed, "signed")
		}
		return err
	})
	return i, err
}

// Moved is a job after a step along its state line, and, when it was handed over, what should not have been left behind.
type Moved struct {
	Job   book.Job
	Done  bool         // it has moved, whatever went wrong later
	Owes  string       // what its client still owes, with the currency; empty for nothing
	Goods []book.Goods // the client's own cloth that is still here
	Took  []book.Took  // what cutting it takes, and what of it came from the shelf
	Back  []book.Took  // what was put back, since it was not cut after all
}

// Move takes a job to another state. When it is cut, what its newest draft takes is taken from the shelf, as far as the shelf holds it; when
// it goes back to confirmed, that is put back; the step's note says so, after the note given. Move and shelf are one transaction.
func Move(ctx context.Context, b *book.Book, number string, to book.State, note string) (Moved, error) {
	var m Moved
	was, err := b.Job(ctx, number)
	if err != nil {
		return m, err
	}
	var needs []book.Need
	if was.State == book.Confirmed && to == book.BeingCut {
		if needs, err = needsOf(ctx, b, was); err != nil {
			return m, err
		}
	}
	err = b.Write(ctx, "moving a job", func(tx *book.Tx) (err error) {
		now, err := tx.Job(number)
		if err != nil {
			return err
		}
		switch {
		case now.State == book.Confirmed && to == book.BeingCut:
			m.Took, err = tx.TakeForCut(number, needs)
		case now.State == book.BeingCut && to == book.Confirmed:
			m.Back, err = tx.PutBack(number)
		}
		if err != nil {
			return err
		}
		m.Job, err = tx.Move(number, to, strings.Join(append(unlessEmpty(note), m.Shelf()...), "; "))
		return err
	})
	if m.Done = err == nil; err != nil || m.Job.State != book.HandedOver {
		return m, err
	}
	// What leaves the room should be paid, and the client's own cloth should go with it.
	owing, err := b.Owing(ctx)
	if err != nil {
		return m, err
	}
	for _, o := range owing {
		if o.Job.ID == m.Job.ID {
			cur, err := cost.CurrencyOf(o.Currency)
			if err != nil {
				return m, err
			}
			m.Owes = cur.Format(cur.FromMinor(o.Owes()))
		}
	}
	m.Goods, err = goodsFor(ctx, b, m.Job, false)
	return m, err
}

func unlessEmpty(note string) []string {
	if note == "" {
		return nil
	}
	return []string{note}
}

// Docket draws the page that follows the job on the table: docket.pdf and docket.svg.
func Docket(ctx context.Context, b *book.Book, number string) ([]job.Output, error) {
	s, err := docketOf(ctx, b, number)
	if err != nil {
		return nil, err
	}
	return printed(true, s)
}

// DocketPictures are the docket's pages as PNG files small enough to send in a message: docket.png, or docket-1.png and so on.
func DocketPictures(ctx context.Context, b *book.Book, number string) ([]job.Output, error) {
	s, err := docketOf(ctx, b, number)
	if err != nil {
		return nil, err
	}
	return s.pictures()
}

// DocketPicture is the whole docket as one PNG file, docket.png.
func DocketPicture(ctx context.Context, b *book.Book, number string) (job.Output, error) {
	s, err := docketOf(ctx, b, number)
	if err != nil {
		return job.Output{}, err
	}
	return s.picture()
}

func docketOf(ctx context.Context, b *book.Book, number string) (named, error) {
	s := named{name: "docket"}
	j, d, r, err := cutAgain(ctx, b, number)
	if err != nil {
		return s, err
	}
	t := r.Job.House.Tape
	m := docket.Matter{Pattern: r.Pattern, State: string(j.State), Due: j.Due, Draft: d.N, Code: j.Number}
	for i := range r.Pattern.Pieces {
		p := &r.Pattern.Pieces[i]
		how := fmt.Sprintf("%d × %s", p.Count, p.Material)
		switch {
		case p.OnFold:
			how += ", on the fold"
		case p.Pair:
			how += ", a pair"
		}
		m.Cut = append(m.Cut, docket.Size{What: p.Title, Text: how})
	}
	record, err := recorded(d)
	if err != nil {
		return s, err
	}
	for _, x := range record.Cloths {
		if x.Bought > 0 {
			m.Materials = append(m.Materials, docket.Size{What: x.Name, Text: fmt.Sprintf("lay %s, buy %s", t.Fine(x.Length), t.Fine(x.Bought))})
		}
	}
	for _, n := range r.Pattern.Notions {
		m.Materials = append(m.Materials, docket.Size{What: n.Name, Text: t.Fine(n.Length)})
	}
	if m.Findings, err = Found(d); err != nil {
		return s, err
	}
	fits, err := b.Fits(ctx, j.ID)
	if err != nil {
		return s, err
	}
	for _, f := range fits {
		m.Fittings = append(m.Fittings, FitLine(f))
	}
	drafted, byHand, err := pinned(ctx, b, j, d)
	if err != nil {
		return s, err
	}
	m.Adjustments = drafted
	for _, p := range byHand {
		m.Adjustments = append(m.Adjustments, "By hand, not in the draft: "+p)
	}
	goods, err := b.Goods(ctx, j.ClientID, false)
	if err != nil {
		return s, err
	}
	for _, g := range goods {
		if g.Job == "" || g.Job == j.Number {
			m.Cloth = append(m.Cloth, GoodsLine(g))
		}
	}
	h, err := headIn(ctx, b, r, r.Job.House.Name)
	if err != nil {
		return s, err
	}
	s.d, err = docket.Docket(h, m)
	return s, err
}
