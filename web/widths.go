package web

import (
	"context"
	"fmt"
	"strconv"
	"strings"
	"sync"

	"github.com/a-h/templ"

	"clothwright/job"
	"clothwright/lay"
	"clothwright/tape"
)

// comparison is one job's pieces laid on cloth of several widths, row by row.
type comparison struct {
	of   string // sign of the pieces and of all of the cloth but its width and fold
	stop context.CancelFunc

	watched
	trials []lay.Trial
	failed bool
}

// comparisons are those that run or have run, by job and material.
type comparisons struct {
	mu sync.Mutex
	by map[string]*comparison
}

// comparedFolds are the ways of laying that are compared.
var comparedFolds = []lay.Fold{lay.Lengthwise, lay.PartSingle, lay.Open}

// mostComparisons is how many are remembered; the oldest that have ended are dropped.
const mostComparisons = 48

// forWidths is the cloth whatever its width and fold.
func forWidths(c lay.Cloth) lay.Cloth {
	c.Width, c.Fold, c.Length, c.Doubled, c.Parted = 0, "", 0, 0, nil
	return c
}

func (s *Server) comparisonOf(job, material, of string) *comparison {
	s.trials.mu.Lock()
	defer s.trials.mu.Unlock()
	if x := s.trials.by[job+" "+material]; x != nil && x.of == of {
		return x
	}
	return nil
}

// compare starts a comparison, or returns the one that runs or has run on the same pieces.
func (s *Server) compare(r *Record, c *job.Result, cloth lay.Cloth) *comparison {
	material := string(cloth.Material)
	of := signOf(c, forWidths(cloth))
	s.trials.mu.Lock()
	defer s.trials.mu.Unlock()
	key := r.ID + " " + material
	if x := s.trials.by[key]; x != nil {
		if x.of == of && !x.hasFailed() {
			return x
		}
		x.stop()
	}
	if len(s.trials.by) > mostComparisons {
		for k, x := range s.trials.by {
			if x.isDone() {
				delete(s.trials.by, k)
			}
		}
	}
	if s.trials.by == nil {
		s.trials.by = map[string]*comparison{}
	}
	ctx, stop := context.WithCancel(context.Background())
	x := &comparison{of: of, stop: stop, watched: newWatched()}
	s.trials.by[key] = x
	go s.runComparison(ctx, x, c, cloth)
	return x
}

func (s *Server) runComparison(ctx context.Context, x *comparison, c *job.Result, cloth lay.Cloth) {
	defer x.stop()
	defer x.change(func() { x.done = true; x.failed = x.failed || ctx.Err() != nil })
	for _, w := range lay.Widths {
		for _, f := range comparedFolds {
			select { // one lay at a time: a row takes a whole processor
			case s.lays.turn <- struct{}{}:
			case <-ctx.Done():
				return
			}
			rows, err := lay.Compare(s.politely(ctx), worksOf(c), cloth, []float64{w}, []lay.Fold{f}, handOptions(c))
			<-s.lays.turn
			if err != nil || ctx.Err() != nil {
				x.change(func() { x.failed = true })
				return
			}
			x.change(func() { x.trials = append(x.trials, rows...) })
		}
	}
}

// now is the rows so far, and whether there are no more to come.
func (x *comparison) now() (trials []lay.Trial, done bool) {
	x.mu.Lock()
	defer x.mu.Unlock()
	return x.trials, x.done
}

func (x *comparison) hasFailed() bool {
	x.mu.Lock()
	defer x.mu.Unlock()
	return x.failed
}

func (s *Server) stopComparisons() {
	s.trials.mu.Lock()
	defer s.trials.mu.Unlock()
	for _, x := range s.trials.by {
		x.stop()
	}
}

// widthsView is the table of a comparison.
type widthsView struct {
	Material string
	Price    string
	Rows     []widthRow
	Running  bool
	Begun    bool
	Progress string
}

type widthRow struct {
	Width, Fold string
	Value       string // what choosing the row sends
	Length      string
	Bought      string
	Waste       string
	Cost        string
	Why         string
	Least       bool // no row needs less length
	Tight       bool // no row wastes less
	Now         bool // the job is laid on it now
}

func (v *visit) widthsOf(r *Record, c *cut, material string) widthsView {
	cloth, _, _ := clothOf(r, c.result, material)
	out := widthsView{Material: material, Price: cloth.Price}
	x := v.s.comparisonOf(r.ID, material, signOf(c.result, forWidths(cloth)))
	if x == nil {
		return out
	}
	trials, done := x.now()
	out.Begun, out.Running = true, !done
	out.Progress = v.words.T("lay.widths.progress", "n", itoa(len(trials)), "of", itoa(len(lay.Widths)*len(comparedFolds)))
	if x.hasFailed() {
		out.Begun = len(trials) > 0
	}
	t := c.result.Job.House.Tape
	least, tight := -1, -1
	for i := range trials {
		q := &trials[i]
		row := widthRow{Width: widthWords(t, q.Width), Fold: v.words.T("fold." + string(q.Fold)), Value: rowValue(q.Width, q.Fold), Now: q.Width == cloth.Width && q.Fold == cloth.Fold}
		if q.Why != "" {
			row.Why = sentence(v.words.Say(q.Said))
		} else {
			row.Length, row.Bought, row.Waste, row.Cost = t.Fine(q.Plan.Length), t.Fine(q.Plan.Bought), fmt.Sprintf("%.0f %%", 100*q.Waste()), q.Cost
			if least < 0 || q.Plan.Bought < trials[least].Plan.Bought {
				least = i
			}
			if tight < 0 || q.Waste() < trials[tight].Waste() {
				tight = i
			}
		}
		out.Rows = append(out.Rows, row)
	}
	for i := range trials {
		if q := &trials[i]; done && q.Why == "" {
			out.Rows[i].Least, out.Rows[i].Tight = q.Plan.Bought <= trials[least].Plan.Bought+0.01, i == tight
		}
	}
	return out
}

// widthWords says a width; where the room's tape is metric, in inches too, as it is sold.
func widthWords(t tape.Tape, mm float64) string {
	inches := strconv.FormatFloat(mm/tape.Inch, 'f', -1, 64) + " in"
	if t.Unit == tape.IN {
		return inches
	}
	return t.Fine(mm) + " (" + inches + ")"
}

func rowValue(width float64, f lay.Fold) string {
	return strconv.FormatFloat(width/tape.Inch, 'f', -1, 64) + " " + string(f)
}

// widthsPage shows the comparison of widths as far as it has come.
func (v *visit) widthsPage() error {
	r, c, view, _, err := v.laid()
	if err != nil || c == nil {
		return err
	}
	return v.show(widthsPage(v.chrome(v.words.T("lay.widths.title"), "lay", r), v.widthsOf(r, c, view.Material)))
}

// widthsDo starts the comparison, or lays the job on one of its rows.
func (v *visit) widthsDo() error {
	r, c, view, _, err := v.laid()
	if err != nil || c == nil {
		return err
	}
	material := view.Material
	cloth, _, _ := clothOf(r, c.result, material)
	if v.form("do") == "start" {
		v.s.compare(r, c.result, cloth)
		return v.goTo("/jobs/" + r.ID + "/lay/" + material + "/widths")
	}
	width, fold, ok := chosenRow(v.form("row"))
	if !ok {
		return errMangled
	}
	v.s.rest(r.ID, material)
	err = v.s.store.Change(r.ID, func(now *Record) error {
		r = now
		k, there := now.Kept.Lays[material]
		if !there {
			k.Nap = cloth.Nap
		}
		k.Width, k.Fold = width, string(fold)
		if r.Unit != "in" {
			k.Width += " in"
		}
		if now.Kept.Lays == nil {
			now.Kept.Lays = map[string]KeptLay{}
		}
		now.Kept.Lays[material] = k
		return nil
	})
	if err != nil {
		return err
	}
	if chosen, wrong, ok := clothOf(r, c.result, material); ok && wrong.Empty() {
		v.s.begin(r, c, chosen)
	}
	return v.goTo("/jobs/" + r.ID + "/lay/" + material)
}

// chosenRow reads what a row sends; only the rows there are may be chosen.
func chosenRow(s string) (width string, fold lay.Fold, ok bool) {
	for _, w := range lay.Widths {
		for _, f := range comparedFolds {
			if s == rowValue(w, f) {
				width, _, _ = strings.Cut(s, " ")
				return width, f, true
			}
		}
	}
	return "", "", false
}

// widthsEvents sends the table anew at every row, until the last.
func (v *visit) widthsEvents() error {
	r, c, view, _, err := v.laid()
	if err != nil || c == nil {
		return err
	}
	cloth, _, _ := clothOf(r, c.result, view.Material)
	x := v.s.comparisonOf(r.ID, view.Material, signOf(c.result, forWidths(cloth)))
	var of *watched
	if x != nil {
		of = &x.watched
	}
	return v.follow(of, func() (templ.Component, error) {
		return widthsLive(v.chrome("", "lay", r), v.widthsOf(r, c, view.Material)), nil
	})
}

// spanOf is how many columns a sentence takes that says why a row does not fit.
func spanOf(w widthsView) string {
	if w.Price != "" {
		return "5"
	}
	return "4"
}
