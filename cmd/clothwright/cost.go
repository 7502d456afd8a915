package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"clothwright/cost"
	"clothwright/desk"
	"clothwright/job"
)

// Pricing is what every command takes that makes a price.
type Pricing struct {
	Pieces   int      `default:"1" help:"How many of it are made. The cloth is reckoned as so many single lays, which is more than one lay together takes; name the job files themselves to lay them together."`
	Own      []string `help:"A material that the client brings and is not charged for, as shell; may be given more than once."`
	Ask      string   `help:"The price a piece that is asked, when it is not to be worked out."`
	Discount string   `help:"Percent off; the costing file's when not given."`
	Deposit  string   `help:"Percent to begin with; the costing file's when not given."`
}

type priceCommand struct {
	Jobs    []string `arg:"" help:"The job file (TOML); several are laid and priced together on the cloth of the first one's house, shared by the area cut for each." placeholder:"JOB.toml"`
	Costing string   `required:"" help:"The costing file (TOML): what the room pays and asks; docs/book.md lists what it may hold." placeholder:"FILE"`
	Out     string   `help:"Also write quotation.pdf (for the client) and costing.pdf (for the maker) to this folder; for several jobs also lay-plan.pdf." placeholder:"DIR"`
	Pricing
	Pictured
}

// Run prices a job file without any book.
func (c *priceCommand) Run(w *world) error {
	defer watchMemory(w)()
	src, err := readFile(c.Costing)
	if err != nil {
		return fmt.Errorf("the costing file %s cannot be read: %s", c.Costing, plain(err))
	}
	rates, err := cost.Read(c.Costing, src)
	if err != nil {
		return sentences(err)
	}
	if len(c.Jobs) > 1 {
		return c.together(w, rates)
	}
	r, err := cutFile(c.Jobs[0])
	if err != nil {
		return err
	}
	if _, err := r.Files(true); err != nil { // lays the pieces
		return err
	}
	q, err := desk.Pricing(c.Pricing).Work(rates, r, cost.ClothsOf(r.Plans), nil)
	if err != nil {
		return flagged(err)
	}
	tellPrice(w, q)
	if c.Out == "" {
		return nil
	}
	h := desk.Head(r, rates.Name, r.Job.Date)
	sheets, err := desk.PriceSheets(h, r, q)
	if err != nil {
		return err
	}
	if sheets, err = c.with(sheets, func() ([]job.Output, error) { return desk.QuotationPictures(h, r, q) }); err != nil {
		return err
	}
	return writeSheets(w, c.Out, sheets)
}

// together prices several job files as a run.
func (c *priceCommand) together(w *world, rates *cost.Rates) error {
	var rs []*job.Result
	for _, path := range c.Jobs {
		r, err := cutFile(path)
		if err != nil {
			return err
		}
		rs = append(rs, r)
	}
	t, err := desk.Pricing(c.Pricing).LayAndPrice(context.Background(), rates, rs, nil)
	if err != nil {
		return flagged(err)
	}
	tellTogether(w, t.Quote)
	if c.Out == "" {
		return nil
	}
	sheets, err := t.Print()
	if err != nil {
		return err
	}
	if sheets, err = c.with(sheets, t.Pictures); err != nil {
		return err
	}
	return writeSheets(w, c.Out, sheets)
}

// flagged puts the flag before a value that is at fault.
func flagged(err error) error {
	var f *desk.Fault
	if errors.As(err, &f) && f.Field != "" {
		return fmt.Errorf("--%s: %s", f.Field, f.Text)
	}
	return err
}

func tellTogether(w *world, q *cost.Together) {
	for _, f := range q.Findings {
		fmt.Fprintf(w.out, "%s: %s (%s)\n", f.Level, f.Text, f.Code)
	}
	for _, l := range q.Client() {
		fmt.Fprintf(w.out, "%-44s %16s\n", l.What, l.Amount)
	}
	fmt.Fprintf(w.out, "for the maker: cost %s, left over it %s, an hour earns %s\n", q.Currency.Format(q.Cost), q.Currency.Format(q.Profit), q.Currency.Format(q.Earns))
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

// Pictured is what every command takes that writes a sheet one may want to send.
type Pictured struct {
	Picture bool `help:"Also write each page as a picture (PNG) small enough to send in a message."`
}

// with are the sheets, and their pictures where they are asked for.
func (c Pictured) with(sheets []job.Output, pictures func() ([]job.Output, error)) ([]job.Output, error) {
	if !c.Picture {
		return sheets, nil
	}
	more, err := pictures()
	return append(sheets, more...), err
}

// writeSheets writes sheets to a folder, readable by their owner alone, and says so.
func writeSheets(w *world, dir string, sheets []job.Output) error {
	var names []string
	for _, f := range sheets {
		names = append(names, f.Name)
	}
	if err := writeOwn(dir, sheets); err != nil {
		return err
	}
	clearPictures(dir, names)
	fmt.Fprintf(w.out, "written to %s: %s\n", filepath.Clean(dir), strings.Join(names, ", "))
	return nil
}

// clearPictures takes away the pictures that earlier pages of the same sheets left in a folder, so that nobody sends what no longer
// holds: NAME.png and NAME-1.png and so on of every NAME.pdf that was written now, but for those written now.
func clearPictures(dir string, written []string) {
	for _, w := range written {
		name, sheet := strings.CutSuffix(w, ".pdf")
		if !sheet {
			continue
		}
		for n := range 100 {
			old := fmt.Sprintf("%s-%d.png", name, n)
			if n == 0 {
				old = name + ".png"
			}
			if !slices.Contains(written, old) {
				os.Remove(filepath.Join(dir, old))
			}
		}
	}
}

// checkCosting refuses a costing file that cannot be used.
func checkCosting(name string, src []byte) error {
	_, err := cost.Read(name, src)
	return sentences(err)
}

// checkHouse refuses a house file that cannot be used.
func checkHouse(name string, src []byte) error {
	_, err := job.ReadHouse(name, src)
	return sentences(err)
}
