package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"clothwright/cost"
	"clothwright/job"
	"clothwright/piece"
	"clothwright/sheet/docket"
	"clothwright/sheet/drawing"
	"clothwright/sheet/pdf"
)

// Pricing is what every command takes that makes a price.
type Pricing struct {
	Pieces   int      `default:"1" help:"How many of it are made. The cloth is reckoned as so many single lays, which is more than one lay together takes."`
	Own      []string `help:"A material that the client brings and is not charged for, as shell; may be given more than once."`
	Ask      string   `help:"The price a piece that is asked, when it is not to be worked out."`
	Discount string   `help:"Percent off; the costing file's when not given."`
	Deposit  string   `help:"Percent to begin with; the costing file's when not given."`
}

type priceCommand struct {
	Job     string `arg:"" help:"The job file (TOML)." placeholder:"JOB.toml"`
	Costing string `required:"" help:"The costing file (TOML): what the room pays and asks; docs/book.md lists what it may hold." placeholder:"FILE"`
	Out     string `help:"Also write quotation.pdf (for the client) and costing.pdf (for the maker) to this folder." placeholder:"DIR"`
	Pricing
}

// Run prices a job file without any book.
func (c *priceCommand) Run(w *world) error {
	defer watchMemory(w)()
	src, err := os.ReadFile(c.Costing)
	if err != nil {
		return fmt.Errorf("the costing file %s cannot be read: %s", c.Costing, plain(err))
	}
	rates, err := cost.Read(c.Costing, src)
	if err != nil {
		return moneySentences(err)
	}
	r, err := cutFile(c.Job)
	if err != nil {
		return err
	}
	if _, err := r.Files(true); err != nil { // lays the pieces
		return err
	}
	q, err := c.quote(rates, r, cost.ClothsOf(r.Plans), nil)
	if err != nil {
		return err
	}
	tellPrice(w, q)
	if c.Out == "" {
		return nil
	}
	return c.write(w, c.Out, headOf(r, rates.Name, r.Job.Date), r, q)
}

// quote prices a result with the cloth that one of it takes.
func (p *Pricing) quote(rates *cost.Rates, r *job.Result, cloths []cost.Cloth, recorded []cost.Average) (*cost.Quote, error) {
	o := cost.Order{Garment: r.Job.Garment.Title, Pieces: p.Pieces, Notions: r.Pattern.Notions, Order: r.Pattern.Order, Recorded: recorded, Cloths: slices.Clone(cloths)}
	for i := range o.Cloths {
		o.Cloths[i].Bought *= float64(p.Pieces)
	}
	for _, own := range p.Own {
		found := false
		for i := range o.Cloths {
			if o.Cloths[i].Material == own {
				o.Cloths[i].Own, found = true, true
			}
		}
		if !found {
			return nil, fmt.Errorf("the job has no %s that the client could bring", own)
		}
	}
	for _, f := range []struct {
		said string
		name string
		into **cost.Money
	}{{p.Ask, "ask", &o.Ask}, {p.Discount, "discount", &o.Discount}, {p.Deposit, "deposit", &o.Deposit}} {
		if f.said == "" {
			continue
		}
		m, err := rates.Currency.ParseMoney(f.said)
		if f.name != "ask" && err != nil { // a percentage has digits of its own
			m, err = cost.Percentage(f.said)
		}
		if err != nil || m.IsNegative() {
			if err == nil {
				err = fmt.Errorf("%s is below nought", f.said)
			}
			return nil, fmt.Errorf("--%s: %w", f.name, err)
		}
		*f.into = &m
	}
	return cost.Work(rates, o)
}

func moneySentences(err error) error {
	var ps cost.Problems
	if errors.As(err, &ps) {
		return errors.New(strings.ReplaceAll(ps.Error(), "\n", "\nerror: "))
	}
	return err
}

func tellPrice(w *world, q *cost.Quote) {
	for _, f := range q.Findings {
		fmt.Fprintf(w.out, "%s: %s (%s)\n", f.Level, f.Text, f.Code)
	}
	for _, l := range q.Client() {
		fmt.Fprintf(w.out, "%-44s %16s\n", l.What, l.Amount)
	}
	fmt.Fprintf(w.out, "for the maker: cost %s, left over it %s, an hour earns %s\n", q.Currency.Format(q.Cost), q.Currency.Format(q.Profit), q.Currency.Format(q.Earns))
}

func headOf(r *job.Result, room, date string) docket.Head {
	h := docket.Head{House: room, Job: r.Job.Number, Client: r.Job.Client, Garment: r.Job.Garment.Title, Date: date, Paper: r.Job.House.Paper, Note: r.Job.Demo}
	for _, f := range r.Findings {
		if f.Level == piece.Stop {
			h.Stop = f.Text
			break
		}
	}
	return h
}

// write writes the quotation and the costing as PDF.
func (p *Pricing) write(w *world, dir string, h docket.Head, r *job.Result, q *cost.Quote) error {
	h.Stop = "" // a price may be named before it may be cut
	quotation, err := docket.Quotation(h, q, r.Sheet().StyleWords, "", nil)
	if err != nil {
		return err
	}
	costing, err := docket.Costing(h, q)
	if err != nil {
		return err
	}
	return writeSheets(w, dir, []named{{"quotation.pdf", quotation}, {"costing.pdf", costing}})
}

type named struct {
	name string
	d    *drawing.Drawing
}

func writeSheets(w *world, dir string, sheets []named, more ...job.Output) error {
	var files []job.Output
	var names []string
	for _, s := range sheets {
		b, err := pdf.Bytes(s.d)
		if err != nil {
			return err
		}
		files = append(files, job.Output{Name: s.name, Bytes: b})
	}
	files = append(files, more...)
	for _, f := range files {
		names = append(names, f.Name)
	}
	if err := writeAll(dir, files); err != nil {
		return err
	}
	fmt.Fprintf(w.out, "written to %s: %s\n", filepath.Clean(dir), strings.Join(names, ", "))
	return nil
}

// checkCosting refuses a costing file that cannot be used.
func checkCosting(name string, src []byte) error {
	_, err := cost.Read(name, src)
	return moneySentences(err)
}

// checkHouse refuses a house file that cannot be used.
func checkHouse(name string, src []byte) error {
	_, err := job.ReadHouse(name, src)
	return sentences(err)
}
