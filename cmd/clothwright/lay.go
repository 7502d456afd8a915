package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"clothwright/job"
	"clothwright/lay"
	"clothwright/lay/pack"
	"clothwright/piece"
	"clothwright/sheet/drawing"
	"clothwright/sheet/layplan"
	"clothwright/sheet/pdf"
	"clothwright/sheet/svg"
	"clothwright/tape"
)

type layCommand struct {
	Pieces  string  `arg:"" help:"The file of pieces (JSON): cloth_width and, for each piece, id, quantity, turns in degrees and outline." placeholder:"PIECES.json"`
	Seconds float64 `required:"" help:"How long to search." placeholder:"N"`
	Seed    uint64  `default:"1" help:"Another seed searches another way."`
	Out     string  `required:"" help:"The folder to write lay.json and lay.svg to; it is made when it is not there." placeholder:"DIR"`
	Workers int     `help:"How many searches run side by side; as many as the machine has processors when not given." placeholder:"N"`
	Quiet   bool    `short:"q" help:"No progress line."`
}

// Help is shown below the options.
func (layCommand) Help() string {
	return "Lays polygons on a strip as short as it finds in the time given. The first Ctrl-C ends the search; the best lay so far is then written. In lay.json a place means: turn the outline by so many degrees about its origin, then move it by (x, y); y runs across the cloth, x along it."
}

// longestSearch is the most seconds a search may be given: a week.
const longestSearch = 7 * 24 * 3600

// Run searches, then writes the lay and its picture, both or none.
func (c *layCommand) Run(w *world) error {
	if !(c.Seconds > 0 && c.Seconds <= longestSearch) {
		return fmt.Errorf("--seconds is %g; more than 0 and at most %d is allowed", c.Seconds, longestSearch)
	}
	if c.Workers < 0 || c.Workers > 1024 {
		return fmt.Errorf("--workers is %d; 1 to 1024 is allowed", c.Workers)
	}
	f, err := openFile(c.Pieces)
	if err != nil {
		return fmt.Errorf("the file of pieces %s cannot be read: %s", c.Pieces, plain(err))
	}
	defer f.Close()
	problem, err := pack.ReadJSON(f)
	if err != nil {
		return fmt.Errorf("%s: %s", c.Pieces, err)
	}
	if err := pack.Check(problem); err != nil {
		return eachFault(c.Pieces, err)
	}
	if len(problem.Pieces) == 0 {
		return fmt.Errorf("%s: there are no pieces in it", c.Pieces)
	}
	// The folder is made first, so that an hour's search is not lost on a name that cannot be written to.
	if err := makeFolder(c.Out, 0o755); err != nil {
		return err
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	context.AfterFunc(ctx, stop) // a second Ctrl-C ends the program
	opt := pack.Options{Seed: c.Seed, Time: time.Duration(c.Seconds * float64(time.Second)), Now: time.Now, Workers: c.Workers}
	if opt.Workers == 0 {
		opt.Workers = runtime.GOMAXPROCS(0)
	}
	line := newLine(w.err, c.Quiet || !isTerminal(w.err))
	opt.Progress = func(p pack.Progress) { line.say(p.Lay.Length, p.Lay.Utilisation, p.Done) }
	found, err := pack.Solve(ctx, problem, opt)
	line.end()
	if err != nil {
		return eachFault(c.Pieces, err)
	}
	files, err := layFiles(problem, found)
	if err != nil {
		return err
	}
	if err := writeAll(c.Out, files); err != nil {
		return err
	}
	if ctx.Err() != nil {
		fmt.Fprintln(w.out, "stopped; this is the best lay found until then")
	}
	fmt.Fprintf(w.out, "length %.6g, %.2f %% of the cloth used, %.1f seconds, seed %d\nwritten to %s: lay.json, lay.svg\n", found.Length, 100*found.Utilisation, found.Seconds, found.Seed, c.Out)
	return nil
}

// eachFault puts the file's name before every mistake.
func eachFault(file string, err error) error {
	var fs pack.Faults
	if !errors.As(err, &fs) {
		return fmt.Errorf("%s: %s", file, err)
	}
	lines := make([]string, len(fs))
	for i, f := range fs {
		lines[i] = file + ": " + f.Error()
	}
	return errors.New(strings.Join(lines, "\nerror: "))
}

// layFiles are the lay and its picture.
func layFiles(p pack.Problem, l pack.Lay) ([]job.Output, error) {
	var text bytes.Buffer
	if err := pack.WriteJSON(&text, l); err != nil {
		return nil, err
	}
	pieces := map[string]pack.Piece{}
	for _, q := range p.Pieces {
		pieces[q.ID] = q
	}
	var outlines []layplan.Outline
	for _, q := range l.Places {
		o := layplan.Outline{Name: q.ID, Flipped: q.Flipped, Turn: q.Turn, X: q.X, Y: q.Y}
		for _, v := range pieces[q.ID].Outline {
			o.Points = append(o.Points, [2]float64{v.X, v.Y})
		}
		outlines = append(outlines, o)
	}
	name := p.Name
	if name != "" {
		name += ": "
	}
	d := layplan.Strip(fmt.Sprintf("%slength %.6g on width %.6g, %.2f %% used", name, l.Length, p.Width, 100*l.Utilisation), p.Width, l.Length, outlines)
	picture, err := svg.Bytes(d.Pages[0])
	if err != nil {
		return nil, err
	}
	return []job.Output{{Name: "lay.json", Bytes: text.Bytes()}, {Name: "lay.svg", Bytes: picture}}, nil
}

// progressLine is one line on the terminal, written over each time.
type progressLine struct {
	to   io.Writer
	off  bool
	last time.Time
	any  bool
}

func newLine(to io.Writer, quiet bool) *progressLine {
	return &progressLine{to: to, off: quiet}
}

// say shows the best so far, at most ten times a second.
func (l *progressLine) say(length, used, done float64) {
	if l.off || time.Since(l.last) < 100*time.Millisecond {
		return
	}
	l.last, l.any = time.Now(), true
	fmt.Fprintf(l.to, "\r\033[Klaying: length %.6g, %.2f %% used, %.0f %% of the time", length, 100*used, 100*done)
}

func (l *progressLine) end() {
	if l.any {
		fmt.Fprint(l.to, "\r\033[K")
	}
}

type widthsCommand struct {
	Job      string   `arg:"" help:"The job file (TOML)." placeholder:"JOB.toml"`
	Material string   `default:"shell" help:"Which cloth to compare."`
	Widths   []string `help:"Widths selvedge to selvedge, as 45in,150cm; 36, 45, 54 and 60 in when not given." placeholder:"W,…"`
	Price    string   `help:"Price per metre; as the house file has it when not given."`
	Seconds  float64  `help:"How long to search for each row; when not given a budget in steps, the same on every machine." placeholder:"N"`
	Out      string   `help:"Also write the table and the lay plans to lay-plan.pdf in this folder." placeholder:"DIR"`
}

// Run lays the same pieces on several widths, folded, with one part single and open, and prints what each takes.
func (c *widthsCommand) Run(w *world) error {
	if !(c.Seconds >= 0 && c.Seconds <= longestSearch) {
		return fmt.Errorf("--seconds is %g; 0 to %d is allowed", c.Seconds, longestSearch)
	}
	if _, ok := lay.Cost(c.Price, 1); c.Price != "" && !ok {
		return fmt.Errorf("--price is %q; a decimal number is wanted, as 12.50", c.Price)
	}
	result, err := cutFile(c.Job)
	if err != nil {
		return err
	}
	widths, err := widthsOf(c.Widths)
	if err != nil {
		return err
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	o := lay.Options{}
	if c.Seconds > 0 {
		o.Time, o.Now, o.Workers = time.Duration(c.Seconds*float64(time.Second)), time.Now, runtime.GOMAXPROCS(0)
	}
	trials, err := result.Widths(ctx, c.Material, c.Price, widths, o)
	if err != nil {
		return err
	}
	t := result.Job.House.Tape
	fmt.Fprintf(w.out, "%-12s %-12s %14s %14s %7s %10s\n", "width", "laid", "pieces take", "buy", "waste", "cost")
	for i := range trials {
		r := &trials[i]
		if r.Why != "" {
			fmt.Fprintf(w.out, "%-12s %-12s %s\n", t.Fine(r.Width), layplan.Way(r.Fold), r.Why)
			continue
		}
		cost := r.Cost
		if cost == "" {
			cost = "-"
		}
		fmt.Fprintf(w.out, "%-12s %-12s %14s %14s %6.0f%% %10s\n", t.Fine(r.Width), layplan.Way(r.Fold), t.Fine(r.Plan.Length), t.Fine(r.Plan.Bought), 100*r.Waste(), cost)
	}
	if c.Out == "" {
		return nil
	}
	if err := result.Lay(ctx, lay.Options{}); err != nil {
		return err
	}
	d, err := result.LayPlan(trials)
	if err != nil {
		return err
	}
	if err := writePlan(c.Out, d); err != nil {
		return err
	}
	fmt.Fprintf(w.out, "written to %s\n", filepath.Join(c.Out, "lay-plan.pdf"))
	return nil
}

// writePlan writes a drawn lay plan to a folder.
func writePlan(dir string, d *drawing.Drawing) error {
	bytes, err := pdf.Bytes(d)
	if err != nil {
		return err
	}
	return writeAll(dir, []job.Output{{Name: "lay-plan.pdf", Bytes: bytes}})
}

// widthsOf reads widths of cloth.
func widthsOf(words []string) ([]float64, error) {
	if len(words) == 0 {
		return lay.Widths, nil
	}
	var out []float64
	for _, s := range words {
		mm, err := tape.Parse(s, 0)
		if err != nil {
			return nil, fmt.Errorf("--widths: %s", err)
		}
		out = append(out, mm)
	}
	return out, nil
}

type togetherCommand struct {
	Jobs    []string `arg:"" help:"The job files (TOML); the first one's house says what cloth there is." placeholder:"JOB.toml"`
	Out     string   `required:"" help:"The folder to write lay-plan.pdf to." placeholder:"DIR"`
	Seconds float64  `help:"How long to search for each cloth; when not given a budget in steps, the same on every machine." placeholder:"N"`
}

// Run lays the pieces of several jobs together and says what that saves.
func (c *togetherCommand) Run(w *world) error {
	if !(c.Seconds >= 0 && c.Seconds <= longestSearch) {
		return fmt.Errorf("--seconds is %g; 0 to %d is allowed", c.Seconds, longestSearch)
	}
	var results []*job.Result
	for _, path := range c.Jobs {
		r, err := cutFile(path)
		if err != nil {
			return err
		}
		results = append(results, r)
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	o := lay.Options{Steps: lay.Steps * int64(len(results))}
	if c.Seconds > 0 {
		o = lay.Options{Time: time.Duration(c.Seconds * float64(time.Second)), Now: time.Now, Workers: runtime.GOMAXPROCS(0)}
	}
	plans, found, err := job.LayTogether(ctx, results, o)
	if err != nil {
		return err
	}
	d, err := job.LayPlanTogether(results, plans, found)
	if err != nil {
		return err
	}
	if err := writePlan(c.Out, d); err != nil {
		return err
	}
	// Rib is bought as a ready band or by the metre, and what one is of the other does not count.
	type bought struct {
		material piece.Material
		band     bool
	}
	alone := map[bought]float64{}
	level := piece.Worst(found)
	for _, r := range results {
		if r.Level.Rank() > level.Rank() {
			level = r.Level
		}
		if err := r.Lay(ctx, lay.Options{}); err != nil {
			return err
		}
		for _, p := range r.Plans {
			alone[bought{p.Cloth.Material, p.Band}] += p.Bought
		}
	}
	for _, f := range found {
		if f.Level != piece.Info {
			fmt.Fprintf(w.out, "%s: %s (%s)\n", f.Level, f.Text, f.Code)
		}
	}
	t := results[0].Job.House.Tape
	for _, p := range plans {
		if p.Laid() {
			fmt.Fprintf(w.out, "%-20s %s together, %s one by one, %.0f %% of the cloth used\n", p.Cloth.Name, t.Fine(p.Bought), t.Fine(alone[bought{p.Cloth.Material, p.Band}]), 100*p.Utilisation)
		}
	}
	fmt.Fprintf(w.out, "written to %s\n", filepath.Join(c.Out, "lay-plan.pdf"))
	if level == piece.Stop {
		w.code = 1
	}
	return nil
}
