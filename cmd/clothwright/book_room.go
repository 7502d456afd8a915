package main

import (
	"context"
	"fmt"
	"strconv"
	"strings"
	"time"

	"clothwright/book"
	"clothwright/cost"
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
		on, err := book.ParseDay(c.On)
		if err != nil {
			return err
		}
		if err := b.Write(ctx, "planning a fitting", func(tx *book.Tx) error {
			_, err := tx.AddFit(c.Number, book.Fit{Day: on, Note: c.Note})
			return err
		}); err != nil {
			return err
		}
		fmt.Fprintf(w.out, "%s is fitted on %s\n", c.Number, on)
		return nil
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
	f := book.Fit{Held: true, By: c.By, Note: c.Note}
	for _, s := range c.Pin {
		p, err := book.ParsePin(s, length)
		if err != nil {
			return err
		}
		f.Pins = append(f.Pins, p)
	}
	return c.change(w, func(ctx context.Context, b *book.Book) error {
		var err error
		if f.Day, err = day(b, c.On); err != nil {
			return err
		}
		if err := b.Write(ctx, "booking a fitting", func(tx *book.Tx) error { f, err = tx.AddFit(c.Number, f); return err }); err != nil {
			return err
		}
		fmt.Fprintf(w.out, "%s\n", fitLine(f))
		for _, p := range f.Pins {
			if p.Carried() {
				fmt.Fprintf(w.out, "the next draft carries %q as %s %+g mm; clothwright order redraft %s makes it\n", p.Said, p.Measure, p.MM, c.Number)
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
			fmt.Fprintln(w.out, fitLine(f))
		}
		return err
	})
}

func fitLine(f book.Fit) string {
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
	g := book.Goods{What: c.What, Condition: c.State, Note: c.Note}
	var err error
	if g.Length, err = length(c.Length); err != nil {
		return fmt.Errorf("--length: %w", err)
	}
	if g.Width, err = length(c.Width); err != nil {
		return fmt.Errorf("--width: %w", err)
	}
	return c.change(w, func(ctx context.Context, b *book.Book) error {
		x, err := b.Client(ctx, c.Client)
		if err != nil {
			return err
		}
		g.Day = b.Today()
		if err := b.Write(ctx, "booking cloth in", func(tx *book.Tx) error { g, err = tx.TakeGoods(x.ID, c.Job, g); return err }); err != nil {
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
	mm := 0.0
	if c.Length != "" {
		var err error
		if mm, err = length(c.Length); err != nil {
			return fmt.Errorf("--length: %w", err)
		}
	}
	return c.change(w, func(ctx context.Context, b *book.Book) error {
		left := 0.0
		err := b.Write(ctx, "booking cloth out", func(tx *book.Tx) (err error) {
			left, err = tx.GiveGoods(c.Cloth, mm, b.Today(), c.Why)
			return err
		})
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
			fmt.Fprintf(w.out, "%s, of %s\n", goodsLine(g), g.Client)
		}
		if err == nil && len(goods) == 0 {
			fmt.Fprintln(w.out, "no client's cloth is here")
		}
		return err
	})
}

func goodsLine(g book.Goods) string {
	return fmt.Sprintf("cloth %d: %s, %.2f m of %.2f m left, %.2f m wide, %s, came %s%s", g.ID, g.What, g.Left/1000, g.Length/1000, g.Width/1000, g.Condition, g.Day, behind(g.Job))
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
	return c.InBook.shelf(w, book.Shelf{Code: c.Code, Kind: c.Kind, Name: c.Name}, c.Quantity, 1, "", c.Why)
}

type shelfTakeCommand struct {
	InBook
	Code     string `arg:"" help:"What it is called on the shelf."`
	Quantity string `arg:"" help:"How many; for cloth and rib a length."`
	Job      string `help:"The job it is for."`
	Why      string `help:"Why."`
}

func (c *shelfTakeCommand) Run(w *world) error {
	return c.InBook.shelf(w, book.Shelf{Code: c.Code}, c.Quantity, -1, c.Job, c.Why)
}

func (c *InBook) shelf(w *world, s book.Shelf, quantity string, sign int64, job, why string) error {
	return c.change(w, func(ctx context.Context, b *book.Book) error {
		there, ok, err := b.Thing(ctx, s.Code)
		if err != nil {
			return err
		}
		byLength := s.Kind == "cloth" || s.Kind == "rib"
		if ok {
			byLength = there.Unit == "mm"
		}
		var n int64
		if byLength {
			mm, err := length(quantity)
			if err != nil {
				return err
			}
			n = int64(mm + 0.5)
		} else if n, err = strconv.ParseInt(quantity, 10, 32); err != nil {
			return fmt.Errorf("%q is no number of pieces; a whole number is wanted", quantity)
		}
		if n <= 0 {
			return fmt.Errorf("%q: more than nothing is wanted", quantity)
		}
		if err := b.Write(ctx, "changing the shelf", func(tx *book.Tx) error { s, err = tx.PutShelf(s, sign*n, job, b.Today(), why); return err }); err != nil {
			return err
		}
		fmt.Fprintf(w.out, "%s: %s %s on the shelf\n", s.Code, s.Words(s.Left), s.Name)
		return nil
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
		j, err := b.Job(ctx, c.Number)
		if err != nil {
			return err
		}
		q, ok, err := b.Quote(ctx, j.ID)
		if err != nil {
			return err
		}
		if !ok {
			return fmt.Errorf("job %s has no quotation, so it is not known in which currency it is paid; clothwright order quote makes one", c.Number)
		}
		cur, err := cost.CurrencyOf(q.Currency)
		if err != nil {
			return err
		}
		m, err := cur.ParseMoney(c.Amount)
		if err != nil {
			return err
		}
		on, err := day(b, c.On)
		if err != nil {
			return err
		}
		if err := b.Write(ctx, "booking a payment", func(tx *book.Tx) error {
			return tx.Pay(c.Number, book.Payment{Day: on, Amount: cur.Minor(m), Currency: cur.Code, Why: c.Why})
		}); err != nil {
			return err
		}
		paid := int64(0)
		payments, err := b.Payments(ctx, j.ID)
		for _, p := range payments {
			paid += p.Amount
		}
		left := cur.FromMinor(q.Total - paid)
		switch {
		case left.IsPositive():
			fmt.Fprintf(w.out, "%s: %s is paid, %s is owed\n", c.Number, cur.Format(m), cur.Format(left))
		case left.IsZero():
			fmt.Fprintf(w.out, "%s: %s is paid, nothing is owed\n", c.Number, cur.Format(m))
		default:
			fmt.Fprintf(w.out, "%s: %s is paid, %s too much\n", c.Number, cur.Format(m), cur.Format(left.Neg()))
		}
		return err
	})
}

type moneyOwedCommand struct{ InBook }

func (c *moneyOwedCommand) Run(w *world) error {
	return c.look(func(ctx context.Context, b *book.Book) error {
		all, err := b.Owing(ctx)
		if err != nil {
			return err
		}
		sums := map[string]int64{}
		var codes []string
		for _, o := range all {
			cur, err := cost.CurrencyOf(o.Currency)
			if err != nil {
				return err
			}
			if _, ok := sums[o.Currency]; !ok {
				codes = append(codes, o.Currency)
			}
			sums[o.Currency] += o.Owes()
			words := "owes"
			n := o.Owes()
			if n < 0 {
				words, n = "is to get back", -n
			}
			fmt.Fprintf(w.out, "%s %s %s for %s (%s), paid %s of %s\n", o.Job.Client, words, cur.Format(cur.FromMinor(n)), o.Job.Number, o.Job.State, cur.Bare(cur.FromMinor(o.Paid)), cur.Bare(cur.FromMinor(o.Total)))
		}
		for _, code := range codes {
			cur, _ := cost.CurrencyOf(code)
			fmt.Fprintf(w.out, "together %s\n", cur.Format(cur.FromMinor(sums[code])))
		}
		if len(all) == 0 {
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
