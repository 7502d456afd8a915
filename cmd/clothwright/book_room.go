package main

import (
	"context"
	"fmt"
	"time"

	"clothwright/book"
	"clothwright/cost"
	"clothwright/desk"
)

type fittingCommand struct {
	Plan fittingPlanCommand `cmd:"" help:"Plan a fitting."`
	Hold fittingHoldCommand `cmd:"" help:"Book what was pinned at a fitting; the next draft carries it."`
	List fittingListCommand `cmd:"" help:"List a job's fittings."`
}

type fittingPlanCommand struct {
	InBook
	Number string `arg:"" help:"The job's number."`
	On     string `required:"" help:"The day." placeholder:"DAY"`
	Note   string `help:"A note, as the hour."`
}

func (c *fittingPlanCommand) Run(w *world) error {
	return c.change(w, func(ctx context.Context, b *book.Book) error {
		f, err := desk.Plan(ctx, b, c.Number, c.On, c.Note)
		if err == nil {
			fmt.Fprintf(w.out, "%s is fitted on %s\n", c.Number, f.Day)
		}
		return err
	})
}

type fittingHoldCommand struct {
	InBook
	Number string   `arg:"" help:"The job's number."`
	By     string   `required:"" help:"Who pinned."`
	Pin    []string `sep:"none" help:"What was pinned, as 'sleeve +1/2 in' or 'left shoulder lower 1/4 in'; may be given more than once. docs/book.md lists the places." placeholder:"WORDS"`
	On     string   `help:"The day; today when not given." placeholder:"DAY"`
	Note   string   `help:"A note."`
}

func (c *fittingHoldCommand) Run(w *world) error {
	pins, err := desk.Pins(c.Pin)
	if err != nil {
		return err
	}
	return c.change(w, func(ctx context.Context, b *book.Book) error {
		f, err := desk.Hold(ctx, b, c.Number, c.By, c.On, c.Note, pins)
		if err != nil {
			return err
		}
		fmt.Fprintf(w.out, "%s\n", desk.FitLine(f))
		for _, p := range f.Pins {
			if p.Carried() {
				fmt.Fprintf(w.out, "the next draft carries %q as %s; clothwright order redraft %s makes it\n", p.Said, desk.CarriedWords(book.Adjustment{Measure: p.Measure, MM: p.MM, Said: []string{p.Said}}), c.Number)
			} else {
				fmt.Fprintf(w.out, "%q is kept and printed on the docket, but no measure says it: make it by hand\n", p.Said)
			}
		}
		return nil
	})
}

type fittingListCommand struct {
	InBook
	Number string `arg:"" help:"The job's number."`
}

func (c *fittingListCommand) Run(w *world) error {
	return c.look(func(ctx context.Context, b *book.Book) error {
		j, err := b.Job(ctx, c.Number)
		if err != nil {
			return err
		}
		fits, err := b.Fits(ctx, j.ID)
		for _, f := range fits {
			fmt.Fprintln(w.out, desk.FitLine(f))
		}
		return err
	})
}

type clothCommand struct {
	In   clothInCommand   `cmd:"" help:"Book a client's own cloth in: length, width and state as measured on arrival."`
	Out  clothOutCommand  `cmd:"" help:"Book a client's own cloth out: cut, or given back."`
	List clothListCommand `cmd:"" help:"List clients' own cloth that is here."`
}

type clothInCommand struct {
	InBook
	Client string `arg:"" help:"The client's code, or the whole name."`
	What   string `required:"" help:"What cloth it is."`
	Length string `required:"" help:"Its length, as '3.2 m'."`
	Width  string `required:"" help:"Its width, as '115 cm'."`
	State  string `required:"" help:"In what state it came, as sound, washed, a stain at one end."`
	Job    string `help:"The job it is for."`
	Note   string `help:"A note."`
}

func (c *clothInCommand) Run(w *world) error {
	g, err := desk.Goods(c.What, c.Length, c.Width, c.State, c.Note)
	if err != nil {
		return flagged(err)
	}
	return c.change(w, func(ctx context.Context, b *book.Book) error {
		x, err := b.Client(ctx, c.Client)
		if err != nil {
			return err
		}
		if g, err = desk.TakeIn(ctx, b, x, c.Job, g); err != nil {
			return err
		}
		fmt.Fprintf(w.out, "cloth %d: %s of %s, %.2f m by %.2f m, %s\n", g.ID, g.What, x.Name, g.Length/1000, g.Width/1000, g.Condition)
		return nil
	})
}

type clothOutCommand struct {
	InBook
	Cloth  int64  `arg:"" help:"The cloth's number."`
	Length string `help:"How much, as '2.4 m'; all that is left when not given."`
	Why    string `required:"" help:"Why, as 'cut for SRC-01' or 'given back'."`
}

func (c *clothOutCommand) Run(w *world) error {
	return c.change(w, func(ctx context.Context, b *book.Book) error {
		left, err := desk.GiveOut(ctx, b, c.Cloth, c.Length, c.Why)
		if err == nil {
			fmt.Fprintf(w.out, "cloth %d: %.2f m are left\n", c.Cloth, left/1000)
		}
		return err
	})
}

type clothListCommand struct {
	InBook
	Client string `help:"Only this client's."`
	All    bool   `help:"Also what is all out."`
}

func (c *clothListCommand) Run(w *world) error {
	return c.look(func(ctx context.Context, b *book.Book) error {
		id := int64(0)
		if c.Client != "" {
			x, err := b.Client(ctx, c.Client)
			if err != nil {
				return err
			}
			id = x.ID
		}
		goods, err := b.Goods(ctx, id, c.All)
		for _, g := range goods {
			fmt.Fprintf(w.out, "%s, of %s\n", desk.GoodsLine(g), g.Client)
		}
		if err == nil && len(goods) == 0 {
			fmt.Fprintln(w.out, "no client's cloth is here")
		}
		return err
	})
}

type shelfCommand struct {
	Put  shelfPutCommand  `cmd:"" help:"Put cloth, rib, zips or trims on the shelf."`
	Take shelfTakeCommand `cmd:"" help:"Take from the shelf."`
	List shelfListCommand `cmd:"" help:"List what is on the shelf."`
}

type shelfPutCommand struct {
	InBook
	Code     string `arg:"" help:"What it is called on the shelf, as zip-55."`
	Quantity string `arg:"" help:"How many; for cloth and rib a length, as '12 m'."`
	Kind     string `enum:",cloth,rib,zip,trim" default:"" help:"For something new: cloth, rib, zip or trim."`
	Name     string `help:"For something new: what it is, for people."`
	Why      string `default:"bought" help:"Why."`
}

func (c *shelfPutCommand) Run(w *world) error {
	return c.InBook.shelf(w, func(ctx context.Context, b *book.Book) (book.Shelf, error) {
		return desk.Put(ctx, b, book.Shelf{Code: c.Code, Kind: c.Kind, Name: c.Name}, c.Quantity, c.Why)
	})
}

type shelfTakeCommand struct {
	InBook
	Code     string `arg:"" help:"What it is called on the shelf."`
	Quantity string `arg:"" help:"How many; for cloth and rib a length."`
	Job      string `help:"The job it is for."`
	Why      string `help:"Why."`
}

func (c *shelfTakeCommand) Run(w *world) error {
	return c.InBook.shelf(w, func(ctx context.Context, b *book.Book) (book.Shelf, error) {
		return desk.TakeOff(ctx, b, c.Code, c.Quantity, c.Job, c.Why)
	})
}

func (c *InBook) shelf(w *world, act func(ctx context.Context, b *book.Book) (book.Shelf, error)) error {
	return c.change(w, func(ctx context.Context, b *book.Book) error {
		s, err := act(ctx, b)
		if err == nil {
			fmt.Fprintf(w.out, "%s: %s %s on the shelf\n", s.Code, s.Words(s.Left), s.Name)
		}
		return err
	})
}

type shelfListCommand struct{ InBook }

func (c *shelfListCommand) Run(w *world) error {
	return c.look(func(ctx context.Context, b *book.Book) error {
		all, err := b.Shelf(ctx)
		for _, s := range all {
			fmt.Fprintf(w.out, "%-6s %-14s %10s  %s\n", s.Kind, s.Code, s.Words(s.Left), s.Name)
		}
		if err == nil && len(all) == 0 {
			fmt.Fprintln(w.out, "the shelf is empty")
		}
		return err
	})
}

type moneyCommand struct {
	Paid moneyPaidCommand `cmd:"" help:"Book a payment for a job; below nought when it is paid back."`
	Owed moneyOwedCommand `cmd:"" help:"List what is owed by whom."`
}

type moneyPaidCommand struct {
	InBook
	Number string `arg:"" help:"The job's number."`
	Amount string `arg:"" help:"How much, in the currency of the quotation, as 160.00."`
	Why    string `help:"What for, as deposit."`
	On     string `help:"The day; today when not given." placeholder:"DAY"`
}

func (c *moneyPaidCommand) Run(w *world) error {
	return c.change(w, func(ctx context.Context, b *book.Book) error {
		p, err := desk.Pay(ctx, b, c.Number, c.Amount, c.Why, c.On)
		if err != nil {
			return err
		}
		rest := "nothing is owed"
		switch {
		case p.Left.IsPositive():
			rest = p.Currency.Format(p.Left) + " is owed"
		case p.Left.IsNegative():
			rest = p.Currency.Format(p.Left.Neg()) + " too much"
		}
		fmt.Fprintf(w.out, "%s: %s is paid, %s\n", c.Number, p.Currency.Format(p.Amount), rest)
		return nil
	})
}

type moneyOwedCommand struct{ InBook }

func (c *moneyOwedCommand) Run(w *world) error {
	return c.look(func(ctx context.Context, b *book.Book) error {
		owed, err := desk.Owed(ctx, b)
		if err != nil {
			return err
		}
		for _, o := range owed.Each {
			cur, err := cost.CurrencyOf(o.Currency)
			if err != nil {
				return err
			}
			words := "owes"
			n := o.Owes()
			if n < 0 {
				words, n = "is to get back", -n
			}
			fmt.Fprintf(w.out, "%s %s %s for %s (%s), paid %s of %s\n", o.Job.Client, words, cur.Format(cur.FromMinor(n)), o.Job.Number, o.Job.State, cur.Bare(cur.FromMinor(o.Paid)), cur.Bare(cur.FromMinor(o.Total)))
		}
		for _, s := range owed.Sums {
			fmt.Fprintf(w.out, "together %s\n", s.Currency.Format(s.Amount))
		}
		if len(owed.Each) == 0 {
			fmt.Fprintln(w.out, "nobody owes anything")
		}
		return nil
	})
}

type workCommand struct {
	Record   workRecordCommand   `cmd:"" help:"Record how long an operation took on a job; quotations use the room's own average from then on."`
	Averages workAveragesCommand `cmd:"" help:"List the room's own averages."`
}

type workRecordCommand struct {
	InBook
	Number    string `arg:"" help:"The job's number."`
	Operation string `arg:"" help:"How the operation's sentence in the making-up order begins, as 'Set the zip'."`
	Minutes   int64  `arg:"" help:"Minutes."`
	By        string `help:"Who did it."`
}

func (c *workRecordCommand) Run(w *world) error {
	return c.change(w, func(ctx context.Context, b *book.Book) error {
		if err := b.Write(ctx, "recording a time", func(tx *book.Tx) error { return tx.RecordTime(c.Number, c.Operation, c.Minutes, b.Today(), c.By) }); err != nil {
			return err
		}
		fmt.Fprintf(w.out, "%s: %d min for %q\n", c.Number, c.Minutes, c.Operation)
		return nil
	})
}

type workAveragesCommand struct{ InBook }

func (c *workAveragesCommand) Run(w *world) error {
	return c.look(func(ctx context.Context, b *book.Book) error {
		all, err := b.Averages(ctx)
		for _, a := range all {
			fmt.Fprintf(w.out, "%6.1f min on average of %d jobs: %s\n", float64(a.Minutes)/float64(a.Jobs), a.Jobs, a.Operation)
		}
		if err == nil && len(all) == 0 {
			fmt.Fprintln(w.out, "no time is recorded yet")
		}
		return err
	})
}

type diaryCommand struct {
	InBook
	Days int `default:"7" help:"How many days to look ahead, today counted; 1 for today alone."`
}

// Run lists what is overdue, due and to be fitted, and which promises the room's hours cannot hold.
func (c *diaryCommand) Run(w *world) error {
	if c.Days < 1 || c.Days > 366 {
		return fmt.Errorf("%d days are found; 1 to 366 is allowed", c.Days)
	}
	return c.look(func(ctx context.Context, b *book.Book) error {
		today := b.Today()
		t, err := time.Parse(book.Day, today)
		if err != nil {
			return err
		}
		entries, err := b.Diary(ctx, t.AddDate(0, 0, c.Days-1).Format(book.Day))
		if err != nil {
			return err
		}
		for _, e := range entries {
			over := ""
			if e.Day < today {
				over = " OVERDUE"
			}
			day, _ := time.Parse(book.Day, e.Day)
			fmt.Fprintf(w.out, "%s %s%s %-7s %s for %s, %s\n", day.Format("Mon"), e.Day, over, e.What, e.Job, e.Client, e.State)
		}
		if len(entries) == 0 {
			fmt.Fprintf(w.out, "nothing is due and nobody is fitted within %d days\n", c.Days)
		}
		hours, err := b.Hours(ctx)
		if err != nil || hours.None() {
			return err
		}
		loads, _, err := b.Loads(ctx)
		if err != nil {
			return err
		}
		owed := 0
		for _, l := range loads {
			owed += l.Minutes
		}
		fmt.Fprintf(w.out, "%s of work are owed on %d open jobs\n", hoursOf(owed), len(loads))
		for _, l := range book.Broken(loads, hours, today) {
			fmt.Fprintf(w.out, "warn: %s for %s cannot be ready on %s: %s of work are then still left\n", l.Job, l.Client, l.Due, hoursOf(l.Minutes))
		}
		return nil
	})
}
