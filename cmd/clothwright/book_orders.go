package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"clothwright/book"
	"clothwright/cost"
	"clothwright/garments"
	"clothwright/job"
	"clothwright/piece"
	"clothwright/sheet/docket"
	"clothwright/sheet/svg"
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

// drafted reads and drafts a job file and keeps everything it was made of.
func drafted(name string, src []byte, files job.Files) (*job.Result, book.Draft, error) {
	src = costingLine.ReplaceAll(src, []byte("# the book prices by the room's own costing file"))
	d := book.Draft{Name: filepath.Base(name), File: src}
	read := map[string][]byte{}
	j, err := job.Read(name, src, func(path string) ([]byte, error) {
		if files == nil {
			return nil, os.ErrNotExist
		}
		b, err := files(path)
		if err == nil {
			read[path] = b
		}
		return b, err
	})
	if err != nil {
		return nil, d, sentences(err)
	}
	r, err := j.Cut()
	if err != nil {
		return nil, d, sentences(err)
	}
	d.ScriptName = j.Garment.Name
	if own, ok := garments.Script(j.Garment.Name); ok && !j.Foreign {
		d.Script = own
	}
	for path, b := range read {
		if j.Foreign && strings.HasSuffix(path, ".star") {
			d.ScriptName, d.Script = path, b
		} else {
			d.HouseName, d.House = path, b
		}
	}
	return r, d, nil
}

// frozen is drafted, laid too, with the record that the book keeps.
func frozen(name string, src []byte, files job.Files) (*job.Result, book.Draft, error) {
	r, d, err := drafted(name, src, files)
	if err != nil {
		return r, d, err
	}
	out, err := r.Files(true)
	if err != nil {
		return nil, d, err
	}
	d.Record, d.Level = out[0].Bytes, string(r.Level)
	return r, d, nil
}

// costingLine is where a job file names a costing file of its own, which the book passes over: prices change, drafts do not.
var costingLine = regexp.MustCompile(`(?m)^\s*costing\s*=.*$`)

var garmentLine = regexp.MustCompile(`(?m)^(\s*garment\s*=\s*)(["'])([^"'\n]*)["']`)

// again drafts a kept draft from the bytes in the book alone, with the script as it was, whatever the program's own is today.
func again(d book.Draft) (*job.Result, error) {
	src := d.File
	script := d.ScriptName
	if now, ok := garments.Script(d.ScriptName); ok && string(now) != string(d.Script) {
		script += ".star"
		src = garmentLine.ReplaceAll(src, []byte(`${1}"`+script+`"`))
	}
	r, _, err := drafted(d.Name, src, func(path string) ([]byte, error) {
		switch path {
		case d.HouseName:
			return d.House, nil
		case script:
			return d.Script, nil
		}
		return nil, os.ErrNotExist
	})
	return r, err
}

// jobRecord is what is read back of a kept job.json: laying the pieces again would only give the same, and takes a while.
type jobRecord struct {
	Cloths []struct {
		Material string  `json:"material"`
		Name     string  `json:"name"`
		Width    float64 `json:"width"`
		Length   float64 `json:"length"`
		Bought   float64 `json:"bought"`
	} `json:"cloths"`
	Findings []struct {
		Level string `json:"level"`
		Code  string `json:"code"`
		Text  string `json:"text"`
	} `json:"findings"`
}

func recorded(d book.Draft) (jobRecord, error) {
	var out jobRecord
	if err := json.Unmarshal(d.Record, &out); err != nil {
		return out, errors.New("the record in the book cannot be read")
	}
	return out, nil
}

// laid is the cloth that a kept draft takes, with the prices of its house file.
func laid(d book.Draft, r *job.Result) ([]cost.Cloth, error) {
	record, err := recorded(d)
	var out []cost.Cloth
	for _, x := range record.Cloths {
		c := cost.Cloth{Material: x.Material, Name: x.Name, Bought: x.Bought, Width: x.Width}
		for _, h := range r.Job.House.Cloths {
			if h.Material == c.Material && h.Name == c.Name {
				c.Price = h.Price
			}
		}
		if c.Bought > 0 {
			out = append(out, c)
		}
	}
	return out, err
}

// measuresOf are a job's measures as the book keeps them.
func measuresOf(r *job.Result) []book.Measure {
	var out []book.Measure
	for name, v := range r.Job.Card.Values {
		out = append(out, book.Measure{Name: string(name), MM: v.MM, Confirmed: v.Confirmed})
	}
	return out
}

type orderTakeCommand struct {
	InBook
	Jobs []string `arg:"" help:"The job files (TOML)." placeholder:"JOB.toml"`
	By   string   `required:"" help:"Who held the tape."`
	On   string   `help:"The day the measures were taken; today when not given." placeholder:"DAY"`
}

func (c *orderTakeCommand) Run(w *world) error {
	defer watchMemory(w)()
	type taken struct {
		r     *job.Result
		draft book.Draft
		file  *book.JobFile
	}
	var all []taken
	for _, path := range c.Jobs {
		src, err := os.ReadFile(path)
		if err != nil {
			return fmt.Errorf("the job file %s cannot be read: %s", path, plain(err))
		}
		r, d, err := frozen(path, src, filesBeside(path))
		if err != nil {
			return err
		}
		f, err := book.ReadJobFile(src, measuresOf(r))
		if err != nil {
			return fmt.Errorf("%s: %w", path, err)
		}
		if r.Job.Client == "" {
			return fmt.Errorf("%s names no client, so it cannot be booked", path)
		}
		all = append(all, taken{r, d, f})
	}
	return c.change(w, func(ctx context.Context, b *book.Book) error {
		on, err := day(b, c.On)
		if err != nil {
			return err
		}
		var said []string
		err = b.Write(ctx, "taking orders from job files", func(tx *book.Tx) error {
			for _, t := range all {
				x, err := tx.Client(t.r.Job.Client)
				if err != nil {
					if x, err = tx.AddClient(book.Client{Name: t.r.Job.Client, Note: t.file.Demo}); err != nil {
						return err
					}
				}
				k, err := tx.AddCard(x.ID, book.Card{Taken: on, By: c.By, Figure: t.file.Figure, Age: t.file.Age, Measures: t.file.Measures})
				if err != nil {
					return err
				}
				j, err := tx.AddJob(x.ID, book.Job{Number: t.r.Job.Number, Garment: t.draft.ScriptName, Title: t.r.Job.Garment.Title, Note: t.r.Job.Note})
				if err != nil {
					return err
				}
				d := t.draft
				d.CardID, d.Why = k.ID, "ordered"
				if d, err = tx.AddDraft(j.ID, d); err != nil {
					return err
				}
				said = append(said, fmt.Sprintf("%s for %s %s: card %d, draft %d, %s", j.Number, x.Code, x.Name, k.ID, d.N, d.Level))
			}
			return nil
		})
		if err != nil {
			return fmt.Errorf("%w; nothing was booked", err)
		}
		fmt.Fprintln(w.out, strings.Join(said, "\n"))
		return nil
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
		x, err := b.Client(ctx, c.Client)
		if err != nil {
			return err
		}
		k, err := b.LatestCard(ctx, x.ID)
		if err != nil {
			return fmt.Errorf("%s: %w", x.Name, err)
		}
		f := &book.JobFile{Number: c.Number, Client: x.Name, Garment: c.Garment, Style: map[string]any{}}
		f.FromCard(k)
		if err := styled(f, c.Style); err != nil {
			return err
		}
		house, ok, err := b.SettingFile(ctx, book.SetHouse)
		if err != nil {
			return err
		}
		if ok {
			f.House = "house.toml"
		}
		var byHand []book.Pin
		var as []book.Adjustment
		if !c.Fresh {
			if as, byHand, err = b.Adjustments(ctx, x.ID, c.Garment, 0); err != nil {
				return err
			}
		}
		left := f.Adjust(as)
		r, d, err := frozen(c.Number+".toml", f.Bytes(), func(string) ([]byte, error) { return house, nil })
		if err != nil {
			return err
		}
		d.CardID, d.Why = k.ID, "ordered"
		err = b.Write(ctx, "booking an order", func(tx *book.Tx) error {
			j, err := tx.AddJob(x.ID, book.Job{Number: c.Number, Garment: d.ScriptName, Title: r.Job.Garment.Title, Note: c.Note})
			if err == nil {
				d, err = tx.AddDraft(j.ID, d)
			}
			return err
		})
		if err != nil {
			return err
		}
		fmt.Fprintf(w.out, "%s for %s: card %d, draft %d, %s\n", c.Number, x.Name, k.ID, d.N, d.Level)
		tellAdjusted(w, as, left, byHand)
		tellFindings(w, r)
		return nil
	})
}

// styled puts choices of style into a job file.
func styled(f *book.JobFile, choices []string) error {
	for _, s := range choices {
		name, v, ok := strings.Cut(s, "=")
		if !ok {
			return fmt.Errorf("%q is no choice of style: name=value is wanted, as ease=trim", s)
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

func tellAdjusted(w *world, carried, left []book.Adjustment, byHand []book.Pin) {
	gone := map[string]bool{}
	for _, a := range left {
		gone[a.Measure] = true
		fmt.Fprintf(w.out, "not carried: %s, since %s is not on the card: make it by hand\n", strings.Join(a.Said, ", "), a.Measure)
	}
	for _, a := range carried {
		if !gone[a.Measure] {
			fmt.Fprintf(w.out, "carried: %s %+g mm (%s)\n", a.Measure, a.MM, strings.Join(a.Said, ", "))
		}
	}
	for _, p := range byHand {
		fmt.Fprintf(w.out, "not carried: %s: no measure says it, make it by hand\n", p.Said)
	}
}

func tellFindings(w *world, r *job.Result) {
	for _, f := range r.Findings {
		if f.Level != piece.Info {
			fmt.Fprintf(w.out, "%s: %s (%s)\n", f.Level, f.Text, f.Code)
		}
	}
}

type orderRedraftCommand struct {
	InBook
	Number string   `arg:"" help:"The job's number."`
	Why    string   `default:"after the fitting" help:"Why it is drafted again."`
	Card   int64    `help:"Draft from this tape card instead of the first draft's."`
	Style  []string `sep:"none" help:"A choice of style that changes, as ease=roomy; may be given more than once." placeholder:"NAME=VALUE"`
}

func (c *orderRedraftCommand) Run(w *world) error {
	defer watchMemory(w)()
	return c.change(w, func(ctx context.Context, b *book.Book) error {
		j, err := b.Job(ctx, c.Number)
		if err != nil {
			return err
		}
		base, err := b.Draft(ctx, j.ID, 1)
		if err != nil {
			return err
		}
		was, err := again(base)
		if err != nil {
			return err
		}
		f, err := book.ReadJobFile(base.File, measuresOf(was))
		if err != nil {
			return err
		}
		last, err := b.Draft(ctx, j.ID, 0)
		if err != nil {
			return err
		}
		if last.N > 1 { // changes of style made since stay
			now, err := again(last)
			if err != nil {
				return err
			}
			g, err := book.ReadJobFile(last.File, measuresOf(now))
			if err != nil {
				return err
			}
			f.Style = g.Style
		}
		ofJob, cardID := j.ID, base.CardID
		if c.Card != 0 {
			k, err := b.Card(ctx, c.Card)
			if err != nil {
				return err
			}
			if k.ClientID != j.ClientID {
				return fmt.Errorf("card %d is another client's", c.Card)
			}
			f.FromCard(k)
			ofJob, cardID = 0, k.ID
		}
		if err := styled(f, c.Style); err != nil {
			return err
		}
		as, byHand, err := b.Adjustments(ctx, j.ClientID, j.Garment, ofJob)
		if err != nil {
			return err
		}
		left := f.Adjust(as)
		f.House = base.HouseName
		r, d, err := frozen(base.Name, f.Bytes(), func(path string) ([]byte, error) {
			if path == base.HouseName {
				return base.House, nil
			}
			return base.Script, nil
		})
		if err != nil {
			return err
		}
		d.CardID, d.Why = cardID, c.Why
		if d.Level == last.Level && string(d.Record) == string(last.Record) {
			fmt.Fprintf(w.out, "nothing changed: draft %d stays\n", last.N)
			return nil
		}
		if err := b.Write(ctx, "drafting again", func(tx *book.Tx) (err error) { d, err = tx.AddDraft(j.ID, d); return err }); err != nil {
			return err
		}
		fmt.Fprintf(w.out, "%s: draft %d, %s, %s\n", j.Number, d.N, d.Level, d.Why)
		tellAdjusted(w, as, left, byHand)
		tellFindings(w, r)
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
		j, err := b.Job(ctx, c.Number)
		if err != nil {
			return err
		}
		d, err := b.Draft(ctx, j.ID, c.Draft)
		if err != nil {
			return err
		}
		r, err := again(d)
		if err != nil {
			return err
		}
		files, err := r.Files(c.Only)
		if err != nil {
			return err
		}
		if string(files[0].Bytes) != string(d.Record) {
			files = []job.Output{{Name: "job.json", Bytes: d.Record}, {Name: "job-today.json", Bytes: files[0].Bytes}}
			if err := writeAll(c.Out, files); err != nil {
				return err
			}
			fmt.Fprintf(w.out, "%s, draft %d: today's program (%s) drafts it otherwise than %s did; job.json is as it was kept, job-today.json as it would be now\n", j.Number, d.N, version(), d.Program)
			w.code = 1
			return nil
		}
		if err := writeAll(c.Out, files); err != nil {
			return err
		}
		fmt.Fprintf(w.out, "%s, draft %d: the same byte for byte, SHA-256 %s; written to %s\n", j.Number, d.N, d.SHA, c.Out)
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
			fmt.Fprintln(w.out, fitLine(f))
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
			paid := int64(0)
			payments, err := b.Payments(ctx, j.ID)
			if err != nil {
				return err
			}
			for _, p := range payments {
				paid += p.Amount
				fmt.Fprintf(w.out, "paid %s on %s%s\n", cur.Format(cur.FromMinor(p.Amount)), p.Day, behind(p.Why))
			}
			fmt.Fprintf(w.out, "owes %s\n", cur.Format(cur.FromMinor(q.Total-paid)))
		}
		steps, err := b.Steps(ctx, j.ID)
		for _, s := range steps {
			fmt.Fprintf(w.out, "%s %s%s\n", s.Day, s.Now, behind(s.Note))
		}
		return err
	})
}

// kept is what a quotation keeps as words.
type kept struct {
	Client []cost.ClientLine `json:"client"`
	Record cost.Record       `json:"record"`
}

type orderQuoteCommand struct {
	InBook
	Number  string `arg:"" help:"The job's number."`
	Out     string `required:"" help:"The folder for quotation.pdf and costing.pdf." placeholder:"DIR"`
	Costing string `help:"Another costing file than the room's." placeholder:"FILE"`
	Pricing
}

func (c *orderQuoteCommand) Run(w *world) error {
	defer watchMemory(w)()
	return c.change(w, func(ctx context.Context, b *book.Book) error {
		name := "the room's costing file"
		src, ok, err := b.SettingFile(ctx, book.SetCosting)
		if err != nil {
			return err
		}
		if c.Costing != "" {
			if src, err = os.ReadFile(c.Costing); err != nil {
				return fmt.Errorf("the costing file %s cannot be read: %s", c.Costing, plain(err))
			}
			name, ok = c.Costing, true
		}
		if !ok {
			return errors.New("the room has no costing file yet; clothwright book room --costing FILE keeps one")
		}
		rates, err := cost.Read(name, src)
		if err != nil {
			return moneySentences(err)
		}
		j, err := b.Job(ctx, c.Number)
		if err != nil {
			return err
		}
		d, err := b.Draft(ctx, j.ID, 0)
		if err != nil {
			return err
		}
		r, err := again(d)
		if err != nil {
			return err
		}
		averages, err := b.Averages(ctx)
		if err != nil {
			return err
		}
		var times []cost.Average
		for _, a := range averages {
			times = append(times, cost.Average{Starts: a.Operation, Minutes: decimal.NewFromInt(a.Minutes), Times: a.Jobs})
		}
		cloths, err := laid(d, r)
		if err != nil {
			return err
		}
		q, err := c.quote(rates, r, cloths, times)
		if err != nil {
			return err
		}
		words, err := json.Marshal(kept{q.Client(), q.Record()})
		if err != nil {
			return err
		}
		room, err := roomName(ctx, b, rates.Name)
		if err != nil {
			return err
		}
		if err := c.write(w, c.Out, headOf(r, room, b.Today()), r, q); err != nil {
			return err
		}
		var kept book.Quoted
		err = b.Write(ctx, "keeping a quotation", func(tx *book.Tx) (err error) {
			kept, err = tx.AddQuote(j.ID, book.Quoted{Draft: d.N, Currency: q.Currency.Code, Total: q.Currency.Minor(q.Total), Deposit: q.Currency.Minor(q.Deposit),
				Minutes: q.Minutes.Ceil().IntPart(), Words: string(words), Costing: src})
			return err
		})
		if err != nil {
			return err
		}
		fmt.Fprintf(w.out, "%s, quotation %d:\n", j.Number, kept.N)
		tellPrice(w, q)
		return c.enough(ctx, w, b, j, cloths)
	})
}

// enough warns when the client brought less cloth than what they bring takes.
func (c *orderQuoteCommand) enough(ctx context.Context, w *world, b *book.Book, j book.Job, cloths []cost.Cloth) error {
	need := 0.0
	for _, x := range cloths {
		if slices.Contains(c.Own, x.Material) {
			need += x.Bought * float64(c.Pieces)
		}
	}
	goods, err := b.Goods(ctx, j.ClientID, false)
	if err != nil || need == 0 {
		return err
	}
	here := 0.0
	for _, g := range goods {
		if g.Job == j.Number {
			here += g.Left
		}
	}
	if here < need {
		fmt.Fprintf(w.out, "warn: %.2f m of the client's own cloth are needed and %.2f m are booked in for %s\n", need/1000, here/1000, j.Number)
	}
	return nil
}

func roomName(ctx context.Context, b *book.Book, otherwise string) (string, error) {
	name, err := b.Setting(ctx, book.SetName)
	if name == "" {
		name = otherwise
	}
	return name, err
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
		j, err := b.Job(ctx, c.Number)
		if err != nil {
			return err
		}
		hours, err := b.Hours(ctx)
		if err != nil {
			return err
		}
		if hours.None() {
			return errors.New("the room has no working hours yet; clothwright book room --hours 'mon-fri 6' sets them")
		}
		loads, unreckoned, err := b.Loads(ctx)
		if err != nil {
			return err
		}
		this := book.Load{Job: j.Number, Client: j.Client}
		var others []book.Load
		for _, l := range loads {
			if l.Job == j.Number {
				this.Minutes = l.Minutes
			} else {
				others = append(others, l)
			}
		}
		for _, u := range unreckoned {
			if u == j.Number {
				return fmt.Errorf("job %s has no quotation, so its minutes are not reckoned; clothwright order quote does it", u)
			}
		}
		if len(unreckoned) > 0 {
			fmt.Fprintf(w.out, "warn: not counted, since not quoted: %s\n", strings.Join(unreckoned, ", "))
		}
		if this.Due, err = book.ParseDay(c.Day); c.Day != "" && err != nil {
			return err
		}
		if c.NotBefore != "" {
			if c.NotBefore, err = book.ParseDay(c.NotBefore); err != nil {
				return err
			}
		}
		if c.Day == "" {
			if this.Due = book.Earliest(others, hours, b.Today(), c.NotBefore, this.Minutes); this.Due == "" {
				return errors.New("no day within three years can be promised without breaking a promise")
			}
		}
		late := book.NewlyBroken(others, this, hours, b.Today())
		for _, l := range late {
			what := "the promise to " + l.Client + " breaks"
			if l.Job == j.Number {
				what = "this promise cannot be held"
			}
			fmt.Fprintf(w.out, "warn: %s: on %s, when %s is due, %s of work are still left\n", what, l.Due, l.Job, hoursOf(l.Minutes))
		}
		if len(late) > 0 && !c.Anyway {
			earliest := book.Earliest(others, hours, b.Today(), c.NotBefore, this.Minutes)
			fmt.Fprintf(w.out, "nothing is promised; the earliest day is %s (--anyway promises all the same)\n", orNone(earliest))
			w.code = 1
			return nil
		}
		if err := b.Write(ctx, "promising a day", func(tx *book.Tx) error { return tx.Promise(j.Number, this.Due) }); err != nil {
			return err
		}
		fmt.Fprintf(w.out, "%s is promised for %s, %s of work\n", j.Number, this.Due, hoursOf(this.Minutes))
		return nil
	})
}

func hoursOf(minutes int) string { return fmt.Sprintf("%d h %02d min", minutes/60, minutes%60) }

type orderConfirmCommand struct {
	InBook
	Number string `arg:"" help:"The job's number."`
	Out    string `required:"" help:"The folder for confirmation.pdf and confirmation.svg." placeholder:"DIR"`
}

// finished are the places of the garment whose finished size is agreed on.
var finished = []struct{ at, title string }{{"chest", "Chest round"}, {"waist", "Waist round"}, {"hip", "Hem round, over the hip"}, {"upper arm", "Upper arm round"}, {"neck", "Neck round"}}

func (c *orderConfirmCommand) Run(w *world) error {
	defer watchMemory(w)()
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
			return fmt.Errorf("job %s has no quotation yet; clothwright order quote makes one", c.Number)
		}
		var words kept
		if err := json.Unmarshal([]byte(q.Words), &words); err != nil {
			return errors.New("the quotation in the book cannot be read")
		}
		d, err := b.Draft(ctx, j.ID, 0)
		if err != nil {
			return err
		}
		r, err := again(d)
		if err != nil {
			return err
		}
		t := r.Job.House.Tape
		a := docket.Agreement{Style: r.Sheet().StyleWords, Prices: words.Client, Due: j.Due, Pattern: r.Pattern,
			Terms: []string{"A change after signing makes a new sheet, and may change price and day. Cut cloth cannot be uncut."}}
		for _, f := range finished {
			for _, x := range r.Pattern.Worn {
				if x.At == f.at {
					a.Sizes = append(a.Sizes, docket.Size{What: f.title, Text: t.Fine(x.Garment)})
				}
			}
		}
		for _, m := range []struct{ name, title string }{{"body_length", "Length, rib included"}, {"arm_length", "Sleeve, before it blouses"}} {
			for name, v := range r.Card.Values {
				if string(name) == m.name {
					a.Sizes = append(a.Sizes, docket.Size{What: m.title, Text: t.Fine(v.MM)})
				}
			}
		}
		goods, err := b.Goods(ctx, j.ClientID, true)
		if err != nil {
			return err
		}
		for _, g := range goods {
			if g.Job == j.Number {
				a.Cloth = append(a.Cloth, fmt.Sprintf("%s, %.2f m long, %.2f m wide, %s", g.What, g.Length/1000, g.Width/1000, g.Condition))
			}
		}
		_, byHand, err := b.Adjustments(ctx, j.ClientID, j.Garment, 0)
		if err != nil {
			return err
		}
		for _, p := range byHand {
			a.ByHand = append(a.ByHand, p.Said)
		}
		last, had, err := b.LastIssue(ctx, j.ID)
		if err != nil {
			return err
		}
		var issue book.Issue
		next := book.Issue{Draft: d.N, Quote: q.N, Due: j.Due}
		if had && last.Draft == next.Draft && last.Quote == next.Quote && last.Due == next.Due {
			a.Issue = last.N
		} else {
			a.Issue = last.N + 1
		}
		if a.Issue > 1 {
			a.Instead = changes(last, next)
			if a.Issue == last.N {
				a.Instead = "as said on " + last.Day
			}
		}
		room, err := roomName(ctx, b, r.Job.House.Name)
		if err != nil {
			return err
		}
		drawn, err := docket.Confirmation(headOf(r, room, b.Today()), a)
		if err != nil {
			return err
		}
		picture, err := svg.Bytes(drawn.Pages[0])
		if err != nil {
			return err
		}
		if err := writeSheets(w, c.Out, []named{{"confirmation.pdf", drawn}}, job.Output{Name: "confirmation.svg", Bytes: picture}); err != nil {
			return err
		}
		if err := b.Write(ctx, "issuing a confirmation sheet", func(tx *book.Tx) (err error) { issue, err = tx.AddIssue(j.ID, next); return err }); err != nil {
			return err
		}
		fmt.Fprintf(w.out, "%s: confirmation sheet %d%s\n", j.Number, issue.N, behind(changes(last, next)))
		return nil
	})
}

// changes says in what two issues of a confirmation sheet differ; empty when there was none before.
func changes(was, now book.Issue) string {
	if was.N == 0 {
		return ""
	}
	var out []string
	if was.Draft != now.Draft {
		out = append(out, "sizes or style")
	}
	if was.Quote != now.Quote {
		out = append(out, "the price")
	}
	if was.Due != now.Due {
		out = append(out, "the day")
	}
	if len(out) == 0 {
		return ""
	}
	return "changed: " + strings.Join(out, ", ")
}

type orderAgreeCommand struct {
	InBook
	Number string `arg:"" help:"The job's number."`
}

func (c *orderAgreeCommand) Run(w *world) error {
	return c.change(w, func(ctx context.Context, b *book.Book) error {
		var i book.Issue
		err := b.Write(ctx, "booking a signature", func(tx *book.Tx) (err error) {
			if i, err = tx.Agree(c.Number); err != nil {
				return err
			}
			j, err := tx.Job(c.Number)
			if err == nil && j.State == book.Ordered {
				_, err = tx.Move(c.Number, book.Confirmed, "signed")
			}
			return err
		})
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
		var j book.Job
		err := b.Write(ctx, "moving a job", func(tx *book.Tx) (err error) {
			j, err = tx.Move(c.Number, book.State(c.To), c.Note)
			return err
		})
		if err != nil {
			return err
		}
		fmt.Fprintf(w.out, "%s is %s\n", j.Number, j.State)
		if j.State != book.HandedOver {
			return nil
		}
		// What leaves the room should be paid, and the client's own cloth should go with it.
		owing, err := b.Owing(ctx)
		if err != nil {
			return err
		}
		for _, o := range owing {
			if o.Job.ID == j.ID {
				cur, err := cost.CurrencyOf(o.Currency)
				if err != nil {
					return err
				}
				fmt.Fprintf(w.out, "warn: %s still owes %s\n", o.Job.Client, cur.Format(cur.FromMinor(o.Owes())))
			}
		}
		goods, err := b.Goods(ctx, j.ClientID, false)
		for _, g := range goods {
			if g.Job == j.Number {
				fmt.Fprintf(w.out, "warn: %.2f m of the client's own %s are still here (cloth %d)\n", g.Left/1000, g.What, g.ID)
			}
		}
		return err
	})
}

type orderDocketCommand struct {
	InBook
	Number string `arg:"" help:"The job's number."`
	Out    string `required:"" help:"The folder for docket.pdf and docket.svg." placeholder:"DIR"`
}

func (c *orderDocketCommand) Run(w *world) error {
	defer watchMemory(w)()
	return c.look(func(ctx context.Context, b *book.Book) error {
		j, err := b.Job(ctx, c.Number)
		if err != nil {
			return err
		}
		d, err := b.Draft(ctx, j.ID, 0)
		if err != nil {
			return err
		}
		r, err := again(d)
		if err != nil {
			return err
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
			return err
		}
		for _, x := range record.Cloths {
			if x.Bought > 0 {
				m.Materials = append(m.Materials, docket.Size{What: x.Name, Text: fmt.Sprintf("lay %s, buy %s", t.Fine(x.Length), t.Fine(x.Bought))})
			}
		}
		for _, n := range r.Pattern.Notions {
			m.Materials = append(m.Materials, docket.Size{What: n.Name, Text: t.Fine(n.Length)})
		}
		for _, f := range record.Findings {
			m.Findings = append(m.Findings, piece.Finding{Level: piece.Level(f.Level), Code: f.Code, Text: f.Text})
		}
		fits, err := b.Fits(ctx, j.ID)
		if err != nil {
			return err
		}
		for _, f := range fits {
			m.Fittings = append(m.Fittings, fitLine(f))
		}
		as, byHand, err := b.Adjustments(ctx, j.ClientID, j.Garment, 0)
		if err != nil {
			return err
		}
		for _, a := range as {
			m.Adjustments = append(m.Adjustments, fmt.Sprintf("%s %+g mm: %s", strings.ReplaceAll(a.Measure, "_", " "), a.MM, strings.Join(a.Said, ", ")))
		}
		for _, p := range byHand {
			m.Adjustments = append(m.Adjustments, "By hand: "+p.Said)
		}
		goods, err := b.Goods(ctx, j.ClientID, false)
		if err != nil {
			return err
		}
		for _, g := range goods {
			if g.Job == "" || g.Job == j.Number {
				m.Cloth = append(m.Cloth, goodsLine(g))
			}
		}
		room, err := roomName(ctx, b, r.Job.House.Name)
		if err != nil {
			return err
		}
		drawn, err := docket.Docket(headOf(r, room, b.Today()), m)
		if err != nil {
			return err
		}
		picture, err := svg.Bytes(drawn.Pages[0])
		if err != nil {
			return err
		}
		return writeSheets(w, c.Out, []named{{"docket.pdf", drawn}}, job.Output{Name: "docket.svg", Bytes: picture})
	})
}
