package desk

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"clothwright/book"
	"clothwright/job"
)

// Order is a job file read, drafted and frozen, ready to be taken into the book.
type Order struct {
	Result *job.Result
	Draft  book.Draft
	Client string // the code of the client it is for; empty to go by the name
	Card   int64  // the client's tape card it was made from, 0 for none: where the measures are the same no other is kept
	file   *book.JobFile
	same   bool // its measures are the card's
}

// Read makes an order of a job file. Name is how errors call it. The file must name a client.
func Read(name string, src []byte, files job.Files) (*Order, error) {
	r, d, err := Freeze(name, src, files)
	if err != nil {
		return nil, err
	}
	f, err := book.ReadJobFile(src, Measures(r))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	meant(f)
	if r.Job.Client == "" {
		return nil, &Fault{Code: NoClient, Text: name + " names no client, so it cannot be booked"}
	}
	return &Order{Result: r, Draft: d, file: f}, nil
}

// Taken is what an order became in the book.
type Taken struct {
	Client book.Client
	Card   book.Card
	Job    book.Job
	Draft  book.Draft
}

// Take books orders: for each the client, when nobody has the name yet, a tape card, the job and its first draft; all of them or
// none. By is who held the tape, on the day it was held, empty for today.
func Take(ctx context.Context, b *book.Book, orders []*Order, by, on string) ([]Taken, error) {
	on, err := Day(b, on)
	if err != nil {
		return nil, err
	}
	for _, o := range orders {
		if o.Card == 0 {
			continue
		}
		k, err := b.Card(ctx, o.Card)
		if err != nil {
			return nil, err
		}
		was := &book.JobFile{}
		was.FromCard(k)
		o.same = alike(was, o.file)
	}
	var out []Taken
	err = b.Write(ctx, "taking orders from job files", func(tx *book.Tx) error {
		for _, o := range orders {
			x, err := o.client(tx)
			if err != nil {
				return err
			}
			t, err := o.book(tx, x, by, on)
			if err != nil {
				return err
			}
			out = append(out, t)
		}
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("%w; nothing was booked", err)
	}
	return out, nil
}

// client is who it is for.
func (o *Order) client(tx *book.Tx) (book.Client, error) {
	if o.Client != "" {
		return tx.Client(o.Client)
	}
	x, err := tx.Client(o.Result.Job.Client)
	if err != nil {
		x, err = tx.AddClient(book.Client{Name: o.Result.Job.Client, Note: o.file.Demo})
	}
	return x, err
}

// book adds card, job and first draft to a client's.
func (o *Order) book(tx *book.Tx, x book.Client, by, on string) (Taken, error) {
	t := Taken{Client: x, Draft: o.Draft}
	var err error
	if o.same {
		t.Card.ID = o.Card
	} else if t.Card, err = tx.AddCard(x.ID, book.Card{Taken: on, By: by, Figure: o.file.Figure, Age: o.file.Age, Measures: o.file.ForCard(), Corrects: o.Card}); err != nil {
		return t, err
	}
	j := o.Result.Job
	if t.Job, err = tx.AddJob(x.ID, book.Job{Number: j.Number, Garment: o.Draft.ScriptName, Title: j.Garment.Title, Note: j.Note}); err != nil {
		return t, err
	}
	t.Draft.CardID, t.Draft.Why = t.Card.ID, "ordered"
	t.Draft, err = tx.AddDraft(t.Job.ID, t.Draft)
	return t, err
}

// NextNumber is a number that no job has: the newest job's, counted on.
func NextNumber(ctx context.Context, b *book.Book) (string, error) {
	last, err := b.LastNumber(ctx)
	if err != nil {
		return "", err
	}
	if last == "" {
		last = "J-000"
	}
	for {
		last = counted(last)
		var f *book.Fault
		if _, err := b.Job(ctx, last); errors.As(err, &f) && f.Code == book.Mistake {
			return last, nil
		} else if err != nil {
			return "", err
		}
	}
}

// counted counts the digits at the end of a number on, as many digits as they were.
func counted(s string) string {
	end := strings.TrimRight(s, "0123456789")
	n, err := strconv.ParseUint(s[len(end):], 10, 32)
	if err != nil {
		return s + "-2"
	}
	return fmt.Sprintf("%s%0*d", end, len(s)-len(end), n+1)
}

// Wish is an order that is made from a client's newest tape card.
type Wish struct {
	Client  string // the code, or the whole name
	Number  string // of the room's choosing
	Garment string
	Style   []string // choices, as "ease=trim"
	Fresh   bool     // leave out what earlier fittings of this client's garment taught
	Note    string
}

// Made is a draft that was made, and what it carries.
type Made struct {
	Job     book.Job
	Client  book.Client // filled by New
	Draft   book.Draft
	Result  *job.Result
	Same    bool              // nothing changed, so nothing was added: Draft is the one that stays
	Carried []book.Adjustment // what the fittings taught and the draft carries
	Left    []book.Adjustment // what it cannot carry: the card has no such measure, or the garment makes nothing of it
	ByHand  []book.Pin        // what no measure can say
}

// New books an order from a client's newest card, with what earlier fittings of the same garment taught, and drafts it.
func New(ctx context.Context, b *book.Book, o Wish) (Made, error) {
	var m Made
	x, err := b.Client(ctx, o.Client)
	if err != nil {
		return m, err
	}
	m.Client = x
	k, err := b.LatestCard(ctx, x.ID)
	if err != nil {
		return m, fmt.Errorf("%s: %w", x.Name, err)
	}
	f := &book.JobFile{Number: o.Number, Client: x.Name, Garment: o.Garment, Style: map[string]any{}}
	f.FromCard(k)
	if err := styled(f, o.Style); err != nil {
		return m, err
	}
	house, ok, err := b.SettingFile(ctx, book.SetHouse)
	if err != nil {
		return m, err
	}
	if ok {
		f.House = "house.toml"
	}
	files := func(string) ([]byte, error) { return house, nil }
	if !o.Fresh {
		as, byHand, err := b.Adjustments(ctx, x.ID, o.Garment, 0)
		if err != nil {
			return m, err
		}
		m.ByHand = byHand
		if err := m.adjust(f, as, drafter(o.Number+".toml", files)); err != nil {
			return m, err
		}
	}
	m.Result, m.Draft, err = Freeze(o.Number+".toml", f.Bytes(), files)
	if err != nil {
		return m, err
	}
	m.Draft.CardID, m.Draft.Why = k.ID, "ordered"
	err = b.Write(ctx, "booking an order", func(tx *book.Tx) (err error) {
		m.Job, err = tx.AddJob(x.ID, book.Job{Number: o.Number, Garment: m.Draft.ScriptName, Title: m.Result.Job.Garment.Title, Note: o.Note})
		if err == nil {
			m.Draft, err = tx.AddDraft(m.Job.ID, m.Draft)
		}
		return err
	})
	return m, err
}

// styled puts choices of style into a job file.
func styled(f *book.JobFile, choices []string) error {
	for _, s := range choices {
		name, v, ok := strings.Cut(s, "=")
		if !ok {
			return mistake("%q is no choice of style: name=value is wanted, as ease=trim", s)
		}
		if f.Style == nil {
			f.Style = map[string]any{}
		}
		switch name = strings.TrimSpace(name); v {
		case "true", "false":
			f.Style[name] = v == "true"
		default:
			f.Style[name] = v
		}
	}
	return nil
}

// Change is how a job is drafted again.
type Change struct {
	Why   string
	Card  int64    // draft from this tape card; 0 for the one that the newest draft was made from
	Style []string // choices that change, as "ease=roomy"
}

// Redraft drafts a job again: its first draft with the sum of what its fittings taught, or another card with all that any fitting
// of this client's garment taught. A card and changes of style that came since the first draft stay.
func Redraft(ctx context.Context, b *book.Book, number string, c Change) (Made, error) {
	var m Made
	j, base, err := Kept(ctx, b, number, 1)
	if err != nil {
		return m, err
	}
	m.Job = j
	f, err := File(base)
	if err != nil {
		return m, err
	}
	last, err := b.Draft(ctx, j.ID, 0)
	if err != nil {
		return m, err
	}
	if c.Card == 0 && last.CardID != base.CardID { // a newer card that was drafted from stays
		c.Card = last.CardID
	}
	if err := restyled(f, base, last, c.Card != 0); err != nil {
		return m, err
	}
	ofJob, cardID := j.ID, base.CardID
	if c.Card != 0 {
		k, err := b.Card(ctx, c.Card)
		if err != nil {
			return m, err
		}
		if k.ClientID != j.ClientID {
			return m, mistake("card %d is another client's", c.Card)
		}
		if err := newCard(ctx, b, f, base, k); err != nil {
			return m, err
		}
		ofJob, cardID = 0, k.ID
	}
	if err := styled(f, c.Style); err != nil {
		return m, err
	}
	as, byHand, err := b.Adjustments(ctx, j.ClientID, j.Garment, ofJob)
	if err != nil {
		return m, err
	}
	m.ByHand = byHand
	f.House = base.HouseName
	files := func(path string) ([]byte, error) {
		if path == base.HouseName {
			return base.House, nil
		}
		return base.Script, nil
	}
	if err := m.adjust(f, as, drafter(base.Name, files)); err != nil {
		return m, err
	}
	m.Result, m.Draft, err = Freeze(base.Name, f.Bytes(), files)
	if err != nil {
		return m, err
	}
	m.Draft.CardID, m.Draft.Why = cardID, c.Why
	return m, m.next(ctx, b, last)
}

// drafter drafts a job file that is being filled in.
func drafter(name string, files job.Files) cutter {
	return func(f *book.JobFile) (*job.Result, error) {
		r, _, err := Draft(name, f.Bytes(), files)
		return r, err
	}
}

// restyled gives the first draft's job file the style of the last: changes made since stay. What pins made of a style is taken off
// again, since they are put on anew: those since the first draft, or all of them.
func restyled(f *book.JobFile, base, last book.Draft, all bool) error {
	g := f
	if last.N > 1 {
		var err error
		if g, err = File(last); err != nil {
			return err
		}
		meant(g)
	}
	var keep []string
	if !all {
		keep = f.Notes
	}
	f.Style = g.StyleBefore(keep)
	return nil
}

// newCard puts another card under a job. What a card says of left and right apart goes with it; where the new one says nothing of
// that, it stays as it was measured before: on the old card, or in the job file itself where no fitting has changed it yet.
func newCard(ctx context.Context, b *book.Book, f *book.JobFile, base book.Draft, k book.Card) error {
	was := book.JobFile{Left: f.Left, Right: f.Right}
	if f.Pinned() {
		was = book.JobFile{}
		if base.CardID != 0 {
			old, err := b.Card(ctx, base.CardID)
			if err != nil {
				return err
			}
			was.FromCard(old)
		}
	}
	f.FromCard(k)
	if len(f.Left) == 0 && len(f.Right) == 0 {
		f.Left, f.Right = was.Left, was.Right
	}
	return nil
}

// next keeps a draft as the job's next, unless it gives what the last gave.
func (m *Made) next(ctx context.Context, b *book.Book, last book.Draft) error {
	if m.Draft.Level == last.Level && string(m.Draft.Record) == string(last.Record) {
		m.Draft, m.Same = last, true
		return nil
	}
	return b.Write(ctx, "drafting again", func(tx *book.Tx) (err error) { m.Draft, err = tx.AddDraft(m.Job.ID, m.Draft); return err })
}

// Kept is a job and one of its drafts; n 0 is the newest.
func Kept(ctx context.Context, b *book.Book, number string, n int) (book.Job, book.Draft, error) {
	j, err := b.Job(ctx, number)
	if err != nil {
		return j, book.Draft{}, err
	}
	d, err := b.Draft(ctx, j.ID, n)
	return j, d, err
}

// cutAgain is a job and its newest draft, drafted from what was kept.
func cutAgain(ctx context.Context, b *book.Book, number string) (j book.Job, d book.Draft, r *job.Result, err error) {
	if j, d, err = Kept(ctx, b, number, 0); err == nil {
		r, err = Again(d)
	}
	return j, d, r, err
}

// Recutting is a draft cut again from what the book kept.
type Recutting struct {
	Job   book.Job
	Draft book.Draft
	Same  bool         // the record is the same byte for byte
	Files []job.Output // all files; when not the same, job.json as it was kept and job-today.json as it would be now
}

// Recut cuts a draft of a job again, n 0 the newest; only the record when only is set.
func Recut(ctx context.Context, b *book.Book, number string, n int, only bool) (Recutting, error) {
	j, d, err := Kept(ctx, b, number, n)
	out := Recutting{Job: j, Draft: d}
	if err != nil {
		return out, err
	}
	r, err := Again(d)
	if err != nil {
		return out, err
	}
	if out.Files, err = r.Files(only); err != nil {
		return out, err
	}
	if out.Same = string(out.Files[0].Bytes) == string(d.Record); !out.Same {
		out.Files = []job.Output{{Name: "job.json", Bytes: d.Record}, {Name: "job-today.json", Bytes: out.Files[0].Bytes}}
	}
	return out, nil
}
