package main

import (
	"context"
	"fmt"
	"strings"

	"clothwright/book"
	"clothwright/cost"
	"clothwright/desk"
	"clothwright/job"
	"clothwright/piece"
)

type orderCommand struct {
	New     orderNewCommand     `cmd:"" help:"Book an order from a client's newest tape card and draft it."`
	Take    orderTakeCommand    `cmd:"" help:"Book orders from job files: client, tape card, job and first draft in one go."`
	List    orderListCommand    `cmd:"" help:"List open jobs, the nearest date first."`
	Show    orderShowCommand    `cmd:"" help:"Show a job: state, drafts, fittings, price, payments."`
	Quote   orderQuoteCommand   `cmd:"" help:"Make a quotation for the client and a costing for the maker."`
	Due     orderDueCommand     `cmd:"" help:"Promise a day, or the earliest that breaks no promise."`
	Confirm orderConfirmCommand `cmd:"" help:"Issue the confirmation sheet to agree on before cutting."`
	Agree   orderAgreeCommand   `cmd:"" help:"Book that the client signed the confirmation sheet."`
	Move    orderMoveCommand    `cmd:"" help:"Take a job along its state line, from ordered to handed-over."`
	Redraft orderRedraftCommand `cmd:"" help:"Draft a job again with what its fittings taught, or a new card, or another style."`
	Recut   orderRecutCommand   `cmd:"" help:"Cut a draft again from what the book kept, and compare it byte for byte."`
	Docket  orderDocketCommand  `cmd:"" help:"Write the page that follows the job on the table."`
}

type orderTakeCommand struct {
	InBook
	Jobs []string `arg:"" help:"The job files (TOML)." placeholder:"JOB.toml"`
	By   string   `required:"" help:"Who held the tape."`
	On   string   `help:"The day the measures were taken; today when not given." placeholder:"DAY"`
}

func (c *orderTakeCommand) Run(w *world) error {
	defer watchMemory(w)()
	var orders []*desk.Order
	for _, path := range c.Jobs {
		src, err := readFile(path)
		if err != nil {
			return fmt.Errorf("the job file %s cannot be read: %s", path, plain(err))
		}
		o, err := desk.Read(path, src, filesBeside(path))
		if err != nil {
			return sentences(err)
		}
		orders = append(orders, o)
	}
	return c.change(w, func(ctx context.Context, b *book.Book) error {
		all, err := desk.Take(ctx, b, orders, c.By, c.On)
		for _, t := range all {
			fmt.Fprintf(w.out, "%s for %s %s: card %d, draft %d, %s\n", t.Job.Number, t.Client.Code, t.Client.Name, t.Card.ID, t.Draft.N, t.Draft.Level)
		}
		return err
	})
}

type orderNewCommand struct {
	InBook
	Client  string   `arg:"" help:"The client's code, or the whole name."`
	Number  string   `arg:"" help:"The job's number, of your choosing."`
	Garment string   `default:"rib-zip-jacket" help:"The garment's name."`
	Style   []string `sep:"none" help:"A choice of style, as ease=trim; may be given more than once. clothwright style lists them." placeholder:"NAME=VALUE"`
	Fresh   bool     `help:"Leave out what earlier fittings of this client's garment taught."`
	Note    string   `help:"A note."`
}

func (c *orderNewCommand) Run(w *world) error {
	defer watchMemory(w)()
	return c.change(w, func(ctx context.Context, b *book.Book) error {
		m, err := desk.New(ctx, b, desk.Wish{Client: c.Client, Number: c.Number, Garment: c.Garment, Style: c.Style, Fresh: c.Fresh, Note: c.Note})
		if err != nil {
			return err
		}
		fmt.Fprintf(w.out, "%s for %s: card %d, draft %d, %s\n", c.Number, m.Client.Name, m.Draft.CardID, m.Draft.N, m.Draft.Level)
		tellMade(w, m)
		return nil
	})
}

// tellMade says what a new draft carries of the fittings and what it was found to be.
func tellMade(w *world, m desk.Made) {
	for _, a := range m.Left {
		fmt.Fprintf(w.out, "not carried: %s, since %s: make it by hand\n", strings.Join(a.Said, ", "), whyLeft(a))
	}
	for _, a := range m.Carried {
		fmt.Fprintf(w.out, "carried: %s (%s)\n", desk.CarriedWords(a), strings.Join(a.Said, ", "))
	}
	for _, p := range m.ByHand {
		fmt.Fprintf(w.out, "not carried: %s: no measure says it, make it by hand\n", p.Said)
	}
	for _, f := range m.Result.Findings {
		if f.Level != piece.Info {
			fmt.Fprintf(w.out, "%s: %s (%s)\n", f.Level, f.Text, f.Code)
		}
	}
}

// whyLeft says why a pin is not in the draft though there is a name for what it changes.
func whyLeft(a book.Adjustment) string {
	switch {
	case strings.HasSuffix(a.Measure, book.Slope):
		return "no slope lets this garment's shoulder lie so"
	case strings.HasPrefix(a.Measure, book.Styled):
		return strings.TrimPrefix(a.Measure, book.Styled) + " cannot be that in this style"
	}
	return a.Measure + " is not on the card"
}

type orderRedraftCommand struct {
	InBook
	Number string   `arg:"" help:"The job's number."`
	Why    string   `default:"after the fitting" help:"Why it is drafted again."`
	Card   int64    `help:"Draft from this tape card instead of the one drafted from so far."`
	Style  []string `sep:"none" help:"A choice of style that changes, as ease=roomy; may be given more than once." placeholder:"NAME=VALUE"`
}

func (c *orderRedraftCommand) Run(w *world) error {
	defer watchMemory(w)()
	return c.change(w, func(ctx context.Context, b *book.Book) error {
		m, err := desk.Redraft(ctx, b, c.Number, desk.Change{Why: c.Why, Card: c.Card, Style: c.Style})
		if err != nil {
			return err
		}
		if m.Same {
			fmt.Fprintf(w.out, "nothing changed: draft %d stays\n", m.Draft.N)
			return nil
		}
		fmt.Fprintf(w.out, "%s: draft %d, %s, %s\n", m.Job.Number, m.Draft.N, m.Draft.Level, m.Draft.Why)
		tellMade(w, m)
		return nil
	})
}

type orderRecutCommand struct {
	InBook
	Number string `arg:"" help:"The job's number."`
	Draft  int    `help:"Which draft; the newest when not given."`
	Out    string `required:"" help:"The folder to write to." placeholder:"DIR"`
	Only   bool   `help:"Write only job.json."`
}

func (c *orderRecutCommand) Run(w *world) error {
	defer watchMemory(w)()
	return c.look(func(ctx context.Context, b *book.Book) error {
		r, err := desk.Recut(ctx, b, c.Number, c.Draft, c.Only)
		if err != nil {
			return err
		}
		if err := writeOwn(c.Out, r.Files); err != nil {
			return err
		}
		if !r.Same {
			fmt.Fprintf(w.out, "%s, draft %d: today's program (%s) drafts it otherwise than %s did; job.json is as it was kept, job-today.json as it would be now\n", r.Job.Number, r.Draft.N, version(), r.Draft.Program)
			w.code = 1
			return nil
		}
		fmt.Fprintf(w.out, "%s, draft %d: the same byte for byte, SHA-256 %s; written to %s\n", r.Job.Number, r.Draft.N, r.Draft.SHA, c.Out)
		return nil
	})
}

type orderListCommand struct {
	InBook
	Client string `help:"Only this client's."`
	All    bool   `help:"Closed jobs too."`
	Most   int    `default:"100" help:"How many to list at most."`
}

func (c *orderListCommand) Run(w *world) error {
	return c.look(func(ctx context.Context, b *book.Book) error {
		id := int64(0)
		if c.Client != "" {
			x, err := b.Client(ctx, c.Client)
			if err != nil {
				return err
			}
			id = x.ID
		}
		jobs, err := b.Jobs(ctx, !c.All, id, c.Most)
		for _, j := range jobs {
			fmt.Fprintln(w.out, jobLine(j))
		}
		if err == nil && len(jobs) == 0 {
			fmt.Fprintln(w.out, "no job is open")
		}
		return err
	})
}

func jobLine(j book.Job) string {
	due := "no date"
	if j.Due != "" {
		due = "due " + j.Due
	}
	return fmt.Sprintf("%s for %s: %s, %s, %s", j.Number, j.Client, j.Title, j.State, due)
}

type orderShowCommand struct {
	InBook
	Number string `arg:"" help:"The job's number."`
}

func (c *orderShowCommand) Run(w *world) error {
	return c.look(func(ctx context.Context, b *book.Book) error {
		j, err := b.Job(ctx, c.Number)
		if err != nil {
			return err
		}
		fmt.Fprintln(w.out, jobLine(j))
		drafts, err := b.Drafts(ctx, j.ID)
		if err != nil {
			return err
		}
		for _, d := range drafts {
			fmt.Fprintf(w.out, "draft %d, %s, %s, SHA-256 %.12s\n", d.N, d.Level, d.Why, d.SHA)
		}
		fits, err := b.Fits(ctx, j.ID)
		if err != nil {
			return err
		}
		for _, f := range fits {
			fmt.Fprintln(w.out, desk.FitLine(f))
		}
		if i, ok, err := b.LastIssue(ctx, j.ID); err != nil {
			return err
		} else if ok {
			agreed := "not signed"
			if i.Agreed != "" {
				agreed = "signed " + i.Agreed
			}
			fmt.Fprintf(w.out, "confirmation sheet %d of %s, %s\n", i.N, i.Day, agreed)
		}
		q, ok, err := b.Quote(ctx, j.ID)
		if err != nil {
			return err
		}
		if ok {
			cur, err := cost.CurrencyOf(q.Currency)
			if err != nil {
				return err
			}
			fmt.Fprintf(w.out, "quotation %d of %s: %s, deposit %s, %d min of work\n", q.N, q.Day, cur.Format(cur.FromMinor(q.Total)), cur.Format(cur.FromMinor(q.Deposit)), q.Minutes)
			payments, err := b.Payments(ctx, j.ID)
			if err != nil {
				return err
			}
			for _, p := range payments {
				fmt.Fprintf(w.out, "paid %s on %s%s\n", cur.Format(cur.FromMinor(p.Amount)), p.Day, behind(p.Why))
			}
			fmt.Fprintf(w.out, "owes %s\n", cur.Format(cur.FromMinor(q.Total-desk.Sum(payments))))
		}
		steps, err := b.Steps(ctx, j.ID)
		for _, s := range steps {
			fmt.Fprintf(w.out, "%s %s%s\n", s.Day, s.Now, behind(s.Note))
		}
		return err
	})
}

type orderQuoteCommand struct {
	InBook
	Numbers []string `arg:"" help:"The job's number; several are laid and priced together, cloth shared by the area cut for each." placeholder:"NUMBER"`
	Out     string   `required:"" help:"The folder for quotation.pdf and costing.pdf; for several jobs also lay-plan.pdf." placeholder:"DIR"`
	Costing string   `help:"Another costing file than the room's." placeholder:"FILE"`
	For     string   `help:"Who a quotation of several clients' jobs is addressed to, as a club." placeholder:"NAME"`
	Pricing
	Pictured
}

func (c *orderQuoteCommand) Run(w *world) error {
	defer watchMemory(w)()
	return c.change(w, func(ctx context.Context, b *book.Book) error {
		var costing []byte
		if c.Costing != "" {
			var err error
			if costing, err = readFile(c.Costing); err != nil {
				return fmt.Errorf("the costing file %s cannot be read: %s", c.Costing, plain(err))
			}
		}
		if len(c.Numbers) > 1 {
			return c.together(ctx, w, b, costing)
		}
		p, err := desk.Price(ctx, b, c.Numbers[0], c.Costing, costing, desk.Pricing(c.Pricing))
		if err != nil {
			return err
		}
		sheets, err := p.Print()
		if err != nil {
			return err
		}
		sheets, err = c.with(sheets, p.Pictures)
		if err != nil {
			return err
		}
		if err := writeSheets(w, c.Out, sheets); err != nil {
			return err
		}
		kept, err := p.Keep(ctx, b)
		if err != nil {
			return err
		}
		fmt.Fprintf(w.out, "%s, quotation %d:\n", p.Job.Number, kept.N)
		tellPrice(w, p.Quote)
		if p.Short() {
			fmt.Fprintf(w.out, "warn: %.2f m of the client's own cloth are needed and %.2f m are booked in for %s\n", p.Need/1000, p.Here/1000, p.Job.Number)
		}
		return nil
	})
}

// together prices several jobs as a run.
func (c *orderQuoteCommand) together(ctx context.Context, w *world, b *book.Book, costing []byte) error {
	t, err := desk.PriceTogether(ctx, b, c.Numbers, c.For, c.Costing, costing, desk.Pricing(c.Pricing))
	if err != nil {
		return flagged(err)
	}
	sheets, err := t.Print()
	if err != nil {
		return err
	}
	if sheets, err = c.with(sheets, t.Pictures); err != nil {
		return err
	}
	if err := writeSheets(w, c.Out, sheets); err != nil {
		return err
	}
	kept, err := t.Keep(ctx, b)
	if err != nil {
		return err
	}
	for i, q := range kept {
		fmt.Fprintf(w.out, "%s, quotation %d: %s\n", t.Jobs[i].Number, q.N, t.Quote.Currency.Format(t.Quote.Each[i].Total))
	}
	tellTogether(w, t.Quote)
	if t.Short() {
		fmt.Fprintf(w.out, "warn: %.2f m of the client's own cloth are needed and %.2f m are booked in for these jobs\n", t.Need/1000, t.Here/1000)
	}
	return nil
}

type orderDueCommand struct {
	InBook
	Number    string `arg:"" help:"The job's number."`
	Day       string `arg:"" optional:"" help:"The day; when not given, the earliest that the room's hours allow without breaking a promise."`
	NotBefore string `help:"With the earliest: not before this day, as when the fittings take their time." placeholder:"DAY"`
	Anyway    bool   `help:"Promise the day even when it breaks a promise."`
}

func (c *orderDueCommand) Run(w *world) error {
	return c.change(w, func(ctx context.Context, b *book.Book) error {
		p, err := desk.Due(ctx, b, c.Number, c.Day, c.NotBefore, c.Anyway)
		if len(p.Uncounted) > 0 {
			fmt.Fprintf(w.out, "warn: not counted, since not quoted: %s\n", strings.Join(p.Uncounted, ", "))
		}
		for _, l := range p.Late {
			what := "the promise to " + l.Client + " breaks"
			if l.Job == p.Job.Number {
				what = "this promise cannot be held"
			}
			fmt.Fprintf(w.out, "warn: %s: on %s, when %s is due, %s of work are still left\n", what, l.Due, l.Job, hoursOf(l.Minutes))
		}
		if err != nil {
			return err
		}
		if !p.Made {
			fmt.Fprintf(w.out, "nothing is promised; the earliest day is %s (--anyway promises all the same)\n", orNone(p.Earliest))
			w.code = 1
			return nil
		}
		fmt.Fprintf(w.out, "%s is promised for %s, %s of work\n", p.Job.Number, p.Due, hoursOf(p.Minutes))
		return nil
	})
}

func hoursOf(minutes int) string { return fmt.Sprintf("%d h %02d min", minutes/60, minutes%60) }

type orderConfirmCommand struct {
	InBook
	Number string `arg:"" help:"The job's number."`
	Out    string `required:"" help:"The folder for confirmation.pdf and confirmation.svg." placeholder:"DIR"`
	Pictured
}

func (c *orderConfirmCommand) Run(w *world) error {
	defer watchMemory(w)()
	return c.change(w, func(ctx context.Context, b *book.Book) error {
		s, err := desk.Confirm(ctx, b, c.Number)
		if err != nil {
			return err
		}
		sheets, err := c.with(s.Sheets, s.Pictures)
		if err != nil {
			return err
		}
		if err := writeSheets(w, c.Out, sheets); err != nil {
			return err
		}
		issue, err := s.Issue(ctx, b)
		if err != nil {
			return err
		}
		fmt.Fprintf(w.out, "%s: confirmation sheet %d%s\n", s.Job.Number, issue.N, behind(s.Changes()))
		for _, c := range s.Changed {
			fmt.Fprintf(w.out, "  %s\n", desk.ChangeLine(c))
		}
		return nil
	})
}

type orderAgreeCommand struct {
	InBook
	Number string `arg:"" help:"The job's number."`
}

func (c *orderAgreeCommand) Run(w *world) error {
	return c.change(w, func(ctx context.Context, b *book.Book) error {
		i, err := desk.Agree(ctx, b, c.Number)
		if err == nil {
			fmt.Fprintf(w.out, "%s: confirmation sheet %d is signed\n", c.Number, i.N)
		}
		return err
	})
}

type orderMoveCommand struct {
	InBook
	Number string `arg:"" help:"The job's number."`
	To     string `arg:"" help:"ordered, confirmed, cut, fitting, finishing, ready, handed-over or dropped; docs/book.md has the table of moves."`
	Note   string `help:"A note."`
}

func (c *orderMoveCommand) Run(w *world) error {
	return c.change(w, func(ctx context.Context, b *book.Book) error {
		m, err := desk.Move(ctx, b, c.Number, book.State(c.To), c.Note)
		if m.Done {
			fmt.Fprintf(w.out, "%s is %s\n", m.Job.Number, m.Job.State)
		}
		for _, l := range m.Shelf() {
			fmt.Fprintln(w.out, l)
		}
		if m.Owes != "" {
			fmt.Fprintf(w.out, "warn: %s still owes %s\n", m.Job.Client, m.Owes)
		}
		for _, g := range m.Goods {
			fmt.Fprintf(w.out, "warn: %.2f m of the client's own %s are still here (cloth %d)\n", g.Left/1000, g.What, g.ID)
		}
		return err
	})
}

type orderDocketCommand struct {
	InBook
	Number string `arg:"" help:"The job's number."`
	Out    string `required:"" help:"The folder for docket.pdf and docket.svg." placeholder:"DIR"`
	Pictured
}

func (c *orderDocketCommand) Run(w *world) error {
	defer watchMemory(w)()
	return c.look(func(ctx context.Context, b *book.Book) error {
		sheets, err := desk.Docket(ctx, b, c.Number)
		if err != nil {
			return err
		}
		if sheets, err = c.with(sheets, func() ([]job.Output, error) { return desk.DocketPictures(ctx, b, c.Number) }); err != nil {
			return err
		}
		return writeSheets(w, c.Out, sheets)
	})
}
