package web

import (
	"context"
	"errors"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/a-h/templ"

	"clothwright/book"
	"clothwright/cost"
	"clothwright/desk"
	"clothwright/garments"
	"clothwright/job"
	"clothwright/phrase"
	"clothwright/piece"
)

// stage is one state of the line from ordered to handed over.
type stage struct {
	State book.State
	Day   string // it was last reached on, empty when it was not
	Done  bool
	Now   bool
}

// need is something that has to be so before a job may be cut.
type need struct {
	Name string // "price", "day", "sheet", "signed"
	Done bool
	At   string // the section where it is done
}

// orderView is the page of one order.
type orderView struct {
	book.Job
	Line    []stage
	Main    book.State   // the move that goes on; empty where there is none, or where it would be refused
	Moves   []book.State // the other moves, but giving up
	Drops   bool         // it may be given up
	Needs   []need       // until it is cut
	Steps   []book.Step
	Minutes int

	Quote    *book.Quoted
	Lines    []cost.ClientLine
	Payments []book.Payment
	Paid     int64
	Issue    *book.Issue
	Stale    []string // in what it changed since the sheet: "draft", "price", "day"
	Fits     []book.Fit
	Drafts   []book.Draft // the newest first, without bytes
	Carries  []string     // what the newest draft has of the fittings
	Grave    []piece.Finding
	Owns     []string // materials that the client may bring
	Goods    []book.Goods
	Promise  *desk.Promise // a day that was asked for and breaks a promise
	Act      string        // the act that was refused
	Wrong    string        // and why
}

// Owes is what is still to be paid, in the smallest unit.
func (o orderView) Owes() int64 {
	switch {
	case o.State == book.Dropped:
		return -o.Paid
	case o.Quote == nil:
		return 0
	}
	return o.Quote.Total - o.Paid
}

// Ask is what the next payment is likely to be, as it is typed.
func (o orderView) Ask() string {
	n := o.Owes()
	if o.Quote == nil || n == 0 {
		return ""
	}
	if o.Paid == 0 && o.Quote.Deposit > 0 && o.State != book.Ready {
		n = o.Quote.Deposit
	}
	cur, err := cost.CurrencyOf(o.Quote.Currency)
	if err != nil {
		return ""
	}
	return cur.Bare(cur.FromMinor(n))
}

// Closed says that nothing can happen to it any more but payments.
func (o orderView) Closed() bool { return o.State == book.HandedOver || o.State == book.Dropped }

// Pinned says whether a fitting has pinned anything.
func (o orderView) Pinned() bool {
	return slices.ContainsFunc(o.Fits, func(f book.Fit) bool { return len(f.Pins) > 0 })
}

// orderOf reads what the page of an order shows.
func (v *visit) orderOf(ctx context.Context, b *book.Book, j book.Job) (o orderView, err error) {
	o.Job = j
	get := func(f func() error) {
		if err == nil {
			err = f()
		}
	}
	get(func() (err error) { o.Steps, err = b.Steps(ctx, j.ID); return err })
	get(func() error {
		q, ok, err := b.Quote(ctx, j.ID)
		if err != nil || !ok {
			return err
		}
		o.Quote, o.Minutes = &q, int(q.Minutes)
		o.Lines, err = desk.Lines(q)
		return err
	})
	get(func() (err error) { o.Payments, err = b.Payments(ctx, j.ID); return err })
	get(func() error {
		i, ok, err := b.LastIssue(ctx, j.ID)
		if ok {
			o.Issue = &i
		}
		return err
	})
	get(func() (err error) { o.Fits, err = b.Fits(ctx, j.ID); return err })
	get(func() (err error) { o.Drafts, err = b.Drafts(ctx, j.ID); return err })
	get(func() error {
		if len(o.Drafts) == 0 {
			return nil
		}
		d, err := b.Draft(ctx, j.ID, 0)
		if err != nil {
			return err
		}
		o.Carries = carriesOf(v.words, d)
		found, err := desk.Found(d)
		if err != nil {
			return err
		}
		for _, f := range v.sayable(j, d, found) {
			if f.Level.Rank() >= piece.Warn.Rank() {
				o.Grave = append(o.Grave, f)
			}
		}
		o.Owns, err = desk.Materials(d)
		return err
	})
	get(func() error {
		goods, err := b.Goods(ctx, j.ClientID, true)
		o.Goods = slices.DeleteFunc(goods, func(g book.Goods) bool { return g.Job != j.Number })
		return err
	})
	if err != nil {
		return o, err
	}
	slices.Reverse(o.Drafts)
	o.Paid = desk.Sum(o.Payments)
	o.stale()
	o.line()
	o.moves()
	return o, nil
}

// sayable makes kept findings ones that can be said in the language of the page: the record has their English alone, and the same draft
// cut again has the rest.
func (v *visit) sayable(j book.Job, d book.Draft, found []piece.Finding) []piece.Finding {
	if v.words.phrases == nil || len(found) == 0 || v.ours(j) != nil {
		return found
	}
	k := &v.s.sayings
	k.mu.Lock()
	defer k.mu.Unlock()
	said, ok := k.by[d.ID]
	if !ok {
		said = map[string]phrase.Said{}
		if r, err := desk.Again(d); err == nil {
			for _, f := range r.Findings {
				said[f.Text] = f.Said
			}
		}
		if k.by == nil || len(k.by) >= mostCuts {
			k.by = map[int64]map[string]phrase.Said{}
		}
		k.by[d.ID] = said
	}
	for i := range found {
		found[i].Said = said[found[i].Text]
	}
	return found
}

// sayings are what was found of drafts, by the draft's row and the English sentence.
type sayings struct {
	mu sync.Mutex
	by map[int64]map[string]phrase.Said
}

// Finding is a finding's sentence in the language of the page, where it can be said in it.
func (w *Words) Finding(f piece.Finding) string {
	if f.Said.Empty() {
		return sentence(f.Text)
	}
	return sentence(w.Say(f.Said))
}

// stale compares the confirmation sheet with what is true now.
func (o *orderView) stale() {
	if o.Issue == nil {
		return
	}
	if len(o.Drafts) > 0 && o.Issue.Draft != o.Drafts[0].N {
		o.Stale = append(o.Stale, "draft")
	}
	if o.Quote != nil && o.Issue.Quote != o.Quote.N {
		o.Stale = append(o.Stale, "price")
	}
	if o.Issue.Due != o.Due {
		o.Stale = append(o.Stale, "day")
	}
}

// agreed says that the newest sheet is signed and still true.
func (o *orderView) agreed() bool { return o.Issue != nil && o.Issue.Agreed != "" && len(o.Stale) == 0 }

func (o *orderView) line() {
	at := -1
	for _, m := range book.Moves {
		if m.From == book.Dropped {
			continue
		}
		s := stage{State: m.From, Now: m.From == o.State}
		for _, x := range o.Steps {
			if x.Now == s.State {
				s.Day = x.Day
			}
		}
		if s.Now {
			at = len(o.Line)
		}
		o.Line = append(o.Line, s)
	}
	for i := range o.Line {
		if o.Line[i].Done = i < at; i > at && at >= 0 {
			o.Line[i].Day = ""
		}
	}
	if o.State == book.Ordered || o.State == book.Confirmed {
		o.Needs = []need{{"price", o.Quote != nil, "price"}, {"day", o.Due != "", "day"}, {"sheet", o.Issue != nil && len(o.Stale) == 0, "agreement"}, {"signed", o.agreed(), "agreement"}}
	}
}

// moves sorts the moves: the one that goes on is the first that lies further along the line.
func (o *orderView) moves() {
	passed := false
	var next []book.State
	for _, m := range book.Moves {
		if m.From == o.State {
			next, passed = m.To, true
			continue
		}
		if passed && o.Main == "" && m.From != book.Dropped && slices.Contains(next, m.From) {
			o.Main = m.From
		}
	}
	for _, s := range next {
		switch s {
		case o.Main:
		case book.Dropped:
			o.Drops = true
		default:
			o.Moves = append(o.Moves, s)
		}
	}
	if (o.Main == book.Confirmed || o.Main == book.BeingCut && o.State == book.Confirmed) && !o.agreed() {
		o.Main = ""
	}
}

// orderPage shows an order.
func (v *visit) orderPage() error { return v.orderShown(nil) }

func (v *visit) orderShown(p *desk.Promise) error {
	j, err := v.orderHere()
	if err != nil {
		return err
	}
	o, err := v.orderOf(v.r.Context(), v.s.book, j)
	if err != nil {
		return err
	}
	o.Promise = p
	c := v.chrome(j.Number, "order", nil)
	if c.Wrong != "" && o.shows(c.Typed.Get("act")) { // it is said beside its form
		o.Act, o.Wrong, c.Wrong = c.Typed.Get("act"), c.Wrong, ""
	}
	return v.show(orderPage(c, o))
}

// shows says whether the form of an act stands on the order's page.
func (o orderView) shows(act string) bool {
	issued := o.Issue != nil && len(o.Stale) == 0
	switch act {
	case "quote":
		return true
	case "pay":
		return o.Quote != nil
	case "agree":
		return !o.Closed() && issued && o.Issue.Agreed == ""
	case "confirm":
		return !o.Closed() && !issued
	case "redraft":
		return !o.Closed() && o.Pinned()
	case "move", "due", "plan", "hold", "open", "work":
		return !o.Closed()
	}
	return false
}

// act does something with the order of the address, and shows its page: at a section when it is done, else with what was typed.
func (v *visit) act(section string, do func(ctx context.Context, b *book.Book, j book.Job) error) error {
	j, err := v.orderHere()
	if err != nil {
		return err
	}
	err = v.keep(func(ctx context.Context, b *book.Book) error { return do(ctx, b, j) })
	if err != nil {
		return v.again(v.said(err), (*visit).orderPage)
	}
	return v.goTo("/order/" + v.r.PathValue("order") + section)
}

// ours refuses an order whose garment has a script of its own: it may be anyone's, and a server has other jobs to look after.
func (v *visit) ours(j book.Job) error {
	drafts, err := v.s.book.Drafts(v.r.Context(), j.ID)
	for _, d := range drafts {
		if _, ours := garments.Script(d.ScriptName); !ours {
			return plain(v.words.T("desk.own-script"))
		}
	}
	return err
}

// draftAct does what act does, for what drafts the order anew.
func (v *visit) draftAct(section string, do func(ctx context.Context, b *book.Book, j book.Job) error) error {
	return v.act(section, func(ctx context.Context, b *book.Book, j book.Job) error {
		if err := v.ours(j); err != nil {
			return err
		}
		return do(ctx, b, j)
	})
}

// hint is where a sentence names a command, which is no help on a page.
var hint = regexp.MustCompile(`; clothwright [^;]*$| \(clothwright [^)]*\)`)

// said puts what the desk or the book refused into the page's words, where it has any.
func (v *visit) said(err error) error {
	var d *desk.Fault
	var b *book.Fault
	if errors.As(err, &d) {
		switch {
		case d.Code != "":
			return plain(v.words.T("desk." + d.Code))
		case d.Field != "":
			return plain(v.words.T("desk.field."+d.Field) + ": " + d.Text)
		}
		return plain(hint.ReplaceAllString(err.Error(), ""))
	}
	if ps := problems(err, v.words); len(ps) > 0 {
		return plain(ps[0])
	}
	if errors.As(err, &b) && b.Code == book.Mistake {
		return plain(hint.ReplaceAllString(err.Error(), ""))
	}
	return err
}

// lines are the lines of a text of the form, each as form has it, without empty ones.
func (v *visit) lines(name string) []string {
	var out []string
	for _, s := range strings.FieldsFunc(v.r.PostForm.Get(name), func(r rune) bool { return r == '\n' || r == '\r' || r == ';' }) {
		if s = clean(s); s != "" {
			out = append(out, s)
		}
	}
	return out
}

func (v *visit) orderMove() error {
	return v.act("", func(ctx context.Context, b *book.Book, j book.Job) error {
		_, err := desk.Move(ctx, b, j.Number, book.State(v.form("to")), v.form("move-note"))
		return err
	})
}

func (v *visit) orderQuote() error {
	return v.draftAct("/costing", func(ctx context.Context, b *book.Book, j book.Job) error {
		p := desk.Pricing{Pieces: 1, Ask: unlocal(v.form("ask")), Discount: unlocal(v.form("discount")), Deposit: unlocal(v.form("deposit"))}
		if s := v.form("pieces"); s != "" {
			n, err := strconv.Atoi(s)
			if err != nil {
				return plain(v.words.T("order.pieces.wrong"))
			}
			p.Pieces = n
		}
		for _, m := range v.r.PostForm["own"] {
			p.Own = append(p.Own, clean(m))
		}
		priced, err := desk.Price(ctx, b, j.Number, "", nil, p)
		if err != nil {
			return err
		}
		_, err = priced.Keep(ctx, b)
		return err
	})
}

// orderDue promises a day. One that breaks a promise is shown with what it breaks, and nothing is promised.
func (v *visit) orderDue() error {
	var p desk.Promise
	j, err := v.orderHere()
	if err != nil {
		return err
	}
	due := v.form("due")
	if v.form("which") == "earliest" {
		due = ""
	} else if due == "" {
		return v.again(plain(v.words.T("order.day.none")), (*visit).orderPage)
	}
	err = v.keep(func(ctx context.Context, b *book.Book) (err error) {
		p, err = desk.Due(ctx, b, j.Number, due, v.form("not-before"), v.form("which") == "anyway")
		return err
	})
	switch {
	case err != nil:
		return v.again(v.said(err), (*visit).orderPage)
	case !p.Made:
		v.typed = v.r.PostForm
		v.w.WriteHeader(409)
		return v.orderShown(&p)
	}
	return v.goTo("/order/" + v.r.PathValue("order") + "#day")
}

func (v *visit) orderConfirm() error {
	return v.draftAct("#agreement", func(ctx context.Context, b *book.Book, j book.Job) error {
		s, err := desk.Confirm(ctx, b, j.Number)
		if err != nil {
			return err
		}
		_, err = s.Issue(ctx, b)
		return err
	})
}

func (v *visit) orderAgree() error {
	return v.act("#agreement", func(ctx context.Context, b *book.Book, j book.Job) error {
		_, err := desk.Agree(ctx, b, j.Number)
		return err
	})
}

func (v *visit) orderPay() error {
	return v.act("#money", func(ctx context.Context, b *book.Book, j book.Job) error {
		_, err := desk.Pay(ctx, b, j.Number, unlocal(v.form("amount")), v.form("pay-why"), v.form("pay-on"))
		return err
	})
}

func (v *visit) orderPlan() error {
	return v.act("#fittings", func(ctx context.Context, b *book.Book, j book.Job) error {
		_, err := desk.Plan(ctx, b, j.Number, v.form("plan-on"), v.form("plan-note"))
		return err
	})
}

func (v *visit) orderHold() error {
	return v.act("#fittings", func(ctx context.Context, b *book.Book, j book.Job) error {
		by := v.form("by")
		if by == "" {
			return plain(v.words.T("order.fit.nobody"))
		}
		pins, err := desk.Pins(v.lines("pins"))
		if err != nil {
			return err
		}
		_, err = desk.Hold(ctx, b, j.Number, by, v.form("fit-on"), v.form("fit-note"), pins)
		return err
	})
}

// pinned is what was read of one line of pins.
type pinned struct {
	book.Pin
	Wrong string
}

// orderPins says how each line of pins is understood, while it is typed.
func (v *visit) orderPins() error {
	if _, err := v.orderHere(); err != nil {
		return err
	}
	var out []pinned
	for _, s := range v.lines("pins") {
		pins, err := desk.Pins([]string{s})
		if err != nil {
			out = append(out, pinned{Wrong: sentence(v.said(err).Error())})
			continue
		}
		out = append(out, pinned{Pin: pins[0]})
	}
	return v.show(pinNotes(v.chrome("", "order", nil), out))
}

func (v *visit) orderRedraft() error {
	return v.draftAct("#drafts", func(ctx context.Context, b *book.Book, j book.Job) error {
		why := v.form("why")
		if why == "" {
			why = "after the fitting"
		}
		m, err := desk.Redraft(ctx, b, j.Number, desk.Change{Why: why})
		if m.Same {
			v.tell(v.words.T("order.same"))
		}
		return err
	})
}

func (v *visit) orderWork() error {
	return v.act("#work", func(ctx context.Context, b *book.Book, j book.Job) error {
		n, err := strconv.ParseInt(v.form("minutes"), 10, 32)
		if err != nil {
			return plain(v.words.T("order.work.wrong"))
		}
		return b.Write(ctx, "recording a time", func(tx *book.Tx) error {
			return tx.RecordTime(j.Number, v.form("operation"), n, b.Today(), v.form("work-by"))
		})
	})
}

// costingView is how a price comes about: never the client's to see.
type costingView struct {
	book.Job
	Quoted book.Quoted
	Priced *desk.Priced
	Sets   []costingSet
}

// costingSet is one part of the cost with its sum.
type costingSet struct {
	Name  string
	Lines []cost.Line
	Sum   cost.Money
}

// costingPage shows the figures behind the newest quotation.
func (v *visit) costingPage() error {
	j, q, p, err := v.reckoned()
	if err != nil {
		return err
	}
	view := costingView{Job: j, Quoted: q, Priced: p}
	for _, g := range []struct {
		group cost.Group
		sum   cost.Money
	}{{cost.Materials, p.Quote.Materials}, {cost.Labour, p.Quote.Labour}, {cost.Overhead, p.Quote.Overhead}} {
		set := costingSet{Name: string(g.group), Sum: g.sum}
		for _, l := range p.Quote.Lines {
			if l.Group == g.group {
				set.Lines = append(set.Lines, l)
			}
		}
		if len(set.Lines) > 0 {
			view.Sets = append(view.Sets, set)
		}
	}
	return v.show(costingPage(v.chrome(v.words.T("costing.title"), "order", nil), view))
}

// reckoned is the newest quotation of the order, reckoned again.
func (v *visit) reckoned() (book.Job, book.Quoted, *desk.Priced, error) {
	j, err := v.orderHere()
	if err != nil {
		return j, book.Quoted{}, nil, err
	}
	ctx := v.r.Context()
	q, ok, err := v.s.book.Quote(ctx, j.ID)
	if err == nil && !ok {
		err = errNotFound
	}
	if err != nil {
		return j, q, nil, err
	}
	if err := v.ours(j); err != nil {
		return j, q, nil, err
	}
	p, err := desk.Reckoned(ctx, v.s.book, j, q)
	if err != nil {
		err = v.said(err)
	}
	return j, q, p, err
}

// orderSheets are the sheets of an order that the book makes.
var orderSheets = []string{"quotation.pdf", "costing.pdf", "confirmation.pdf", "docket.pdf", "quotation.png", "confirmation.png", "docket.png"}

// orderSheet hands out one sheet of an order, made of what the book says now.
func (v *visit) orderSheet() error {
	name := v.r.PathValue("file")
	if !has(orderSheets, name) {
		return errNotFound
	}
	j, err := v.orderHere()
	if err != nil {
		return err
	}
	if err := v.ours(j); err != nil {
		return err
	}
	files, err := v.sheetsOf(j, name)
	if err != nil {
		return v.said(err)
	}
	for _, f := range files {
		if f.Name == name {
			return v.hand(f, j.Number+" "+name)
		}
	}
	return errNotFound
}

// sheetsOf makes the sheets that the named one is of.
func (v *visit) sheetsOf(j book.Job, name string) ([]job.Output, error) {
	ctx, b := v.r.Context(), v.s.book
	picture := extension(name) == ".png"
	v.s.press.mu.Lock() // a sheet takes a processor for a while
	defer v.s.press.mu.Unlock()
	switch stem := strings.TrimSuffix(name, extension(name)); stem {
	case "docket":
		if picture {
			return oneSheet(desk.DocketPicture(ctx, b, j.Number))
		}
		return desk.Docket(ctx, b, j.Number)
	case "confirmation":
		o, err := v.orderOf(ctx, b, j)
		if err != nil {
			return nil, err
		}
		if o.Issue == nil || len(o.Stale) > 0 { // it was not issued so
			return nil, errNotFound
		}
		s, err := desk.Confirm(ctx, b, j.Number)
		if err != nil {
			return nil, err
		}
		if picture {
			return oneSheet(s.Picture())
		}
		return s.Sheets, nil
	}
	_, _, p, err := v.reckoned()
	if err != nil {
		return nil, err
	}
	if picture {
		return oneSheet(p.Picture())
	}
	return p.Print()
}

func oneSheet(f job.Output, err error) ([]job.Output, error) { return []job.Output{f}, err }

// draftView is one draft of an order.
type draftView struct {
	book.Job
	Draft   book.Draft
	Carries []string
	Found   []piece.Finding
	Files   []string
	Cut     *desk.Recutting // it was cut again; nil when it was not asked for
}

// draftHere is the draft that the address names.
func (v *visit) draftHere() (book.Job, book.Draft, error) {
	j, err := v.orderHere()
	if err != nil {
		return j, book.Draft{}, err
	}
	n, err := strconv.Atoi(v.r.PathValue("n"))
	if err != nil || n < 1 || n > 100000 || strconv.Itoa(n) != v.r.PathValue("n") {
		return j, book.Draft{}, errNotFound
	}
	d, err := v.s.book.Draft(v.r.Context(), j.ID, n)
	var f *book.Fault
	if errors.As(err, &f) && f.Code == book.Mistake {
		err = errNotFound
	}
	return j, d, err
}

func (v *visit) draftPage() error { return v.draftShown(false) }

// draftAgain cuts a draft again from what the book kept and says whether it is the same.
func (v *visit) draftAgain() error { return v.draftShown(true) }

func (v *visit) draftShown(again bool) error {
	j, d, err := v.draftHere()
	if err != nil {
		return err
	}
	view := draftView{Job: j, Draft: d, Carries: carriesOf(v.words, d)}
	found, err := desk.Found(d)
	if err != nil {
		return v.said(err)
	}
	view.Found = v.sayable(j, d, found)
	for _, f := range papers {
		if f != "roll.pdf" { // a room without a plotter has none
			view.Files = append(view.Files, f)
		}
	}
	if again {
		r, err := v.recut(j, d)
		if err != nil {
			return v.said(err)
		}
		view.Cut = &r
		view.Files = nil
		for _, f := range append(slices.Clone(papers), "job-today.json") {
			if slices.ContainsFunc(r.Files, func(o job.Output) bool { return o.Name == f }) {
				view.Files = append(view.Files, f)
			}
		}
	}
	return v.show(draftPage(v.chrome(v.words.T("draft.title", "n", strconv.Itoa(d.N)), "order", nil), view))
}

// draftFile hands out one file of a draft, cut again from what the book kept.
func (v *visit) draftFile() error {
	name := v.r.PathValue("file")
	if !has(papers, name) && name != "job-today.json" {
		return errNotFound
	}
	j, d, err := v.draftHere()
	if err != nil {
		return err
	}
	r, err := v.recut(j, d)
	if err != nil {
		return v.said(err)
	}
	for _, f := range r.Files {
		if f.Name == name {
			return v.hand(f, j.Number+" "+name)
		}
	}
	return errNotFound
}

// recut cuts a draft again and remembers it, since its sheets are asked for one after another. A draft never changes.
func (v *visit) recut(j book.Job, d book.Draft) (desk.Recutting, error) {
	if err := v.ours(j); err != nil {
		return desk.Recutting{}, err
	}
	p := &v.s.press
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.draft == d.ID && p.recut.Files != nil {
		return p.recut, nil
	}
	r, err := desk.Recut(v.r.Context(), v.s.book, j.Number, d.N, false)
	if err == nil {
		p.draft, p.recut = d.ID, r
	}
	return r, err
}

// DraftOf is the address of a draft of an order.
func (c chrome) DraftOf(order int64, n int) templ.SafeURL {
	return c.Order(order) + templ.SafeURL("/draft/"+strconv.Itoa(n))
}

// TypedAll reports whether a box of the form was ticked when its change could not be made.
func (c chrome) TypedAll(name, value string) bool { return slices.Contains(c.Typed[name], value) }

// measureSaid is what a measure or a choice of style is called that carries a pin, its side behind it: "arm length, left".
func measureSaid(w *Words, measure string) string {
	if name, styled := strings.CutPrefix(measure, book.Styled); styled {
		return w.Or("option."+name, titled(name))
	}
	side, name, one := strings.Cut(measure, ".")
	if !one {
		side, name = "", measure
	}
	title := titleOf(w, name)
	if side == "left" || side == "right" {
		title += ", " + w.T("pin."+side)
	}
	return title
}

// Carried says what a pin becomes in the next draft.
func (c chrome) Carried(p book.Pin) string {
	switch {
	case !p.Carried():
		return c.T("pin.byhand")
	case !strings.HasSuffix(p.Measure, book.Slope):
		return c.T("pin.carried", "measure", measureSaid(c.Words, p.Measure), "by", c.Signed(p.MM, p.Said))
	case p.MM < 0:
		return c.T("pin.higher", "by", strings.TrimLeft(c.Signed(p.MM, p.Said), "+-−"))
	}
	return c.T("pin.lower", "by", strings.TrimLeft(c.Signed(p.MM, p.Said), "+-−"))
}

// carriesOf are the notes of a draft's job file with the measures called as the page calls them.
func carriesOf(w *Words, d book.Draft) []string {
	out := desk.Notes(d)
	for i, n := range out {
		if name, rest, ok := strings.Cut(n, ": "); ok {
			for _, p := range carriedWords {
				if m := p.is.FindStringSubmatch(rest); m != nil {
					rest = w.T(p.key, "was", m[1], "by", w.sized(m[2], m[3]), "pins", m[3])
				}
			}
			out[i] = measureSaid(w, name) + ": " + rest
		}
	}
	return out
}

// stepIf is the value of aria-current on the way along a line.
func stepIf(yes bool) string {
	if yes {
		return "step"
	}
	return "false"
}

// dayIn is the day of a moment as the book writes it.
func dayIn(moment string) string { return moment[:min(len(moment), len(book.Day))] }

// pictureOf is the picture of a sheet.
func pictureOf(sheet string) string { return strings.TrimSuffix(sheet, extension(sheet)) + ".png" }

// payWhy is what the next payment is likely to be for.
func payWhy(c chrome, o orderView) string {
	switch {
	case o.Owes() <= 0:
		return ""
	case o.Paid == 0 && o.Quote.Deposit > 0 && o.State != book.Ready:
		return c.T("order.pay.deposit")
	}
	return c.T("order.pay.balance")
}

// carriedWords are the ways in which a job file says what it carries of the fittings.
var carriedWords = []struct {
	is  *regexp.Regexp
	key string
}{
	{regexp.MustCompile(`^(.*) on the card, (\S+) mm after the fitting: (.*)\.$`), "carries.card"},
	{regexp.MustCompile(`^(.*) before, (\S+) mm after the fitting: (.*)\.$`), "carries.before"},
	{regexp.MustCompile(`^the shoulder's end lower by()\s?(\S+) mm after the fitting: (.*)\.$`), "carries.slope"},
}

// sized writes a change of so many mm, written with a point, in the unit that all its pins were said in, else in mm.
func (w *Words) sized(mm, pins string) string {
	v, err := strconv.ParseFloat(mm, 64)
	if err != nil {
		return mm
	}
	return w.Signed(v, strings.Split(pins, ", ")...)
}

// priceWords are the lines that a quotation may hold, and how the page says them.
var priceWords = []struct {
	is  *regexp.Regexp
	key string
}{
	{regexp.MustCompile(`^Total$`), "price.total"},
	{regexp.MustCompile(`^Deposit, to begin$`), "price.deposit"},
	{regexp.MustCompile(`^Balance, when it is handed over$`), "price.balance"},
	{regexp.MustCompile(`^Discount, (\S+) %$`), "price.discount"},
	{regexp.MustCompile(`^Before (.+)$`), "price.before"},
	{regexp.MustCompile(`^of which (.+), (\S+) %$`), "price.ofwhich"},
	{regexp.MustCompile(`^(.+), (\d+) pieces at (\S+) (\S+) each$`), "price.run"},
	{regexp.MustCompile(`^(.+), your own, (\S+) m$`), "price.own"},
}

// PriceLine says a line of a quotation, which is kept in English, in the language of the page.
func (w *Words) PriceLine(s string) string {
	for _, p := range priceWords {
		m := p.is.FindStringSubmatch(s)
		if m == nil {
			continue
		}
		switch p.key {
		case "price.discount":
			return w.T(p.key, "per", w.dressed(m[1]))
		case "price.before":
			return w.T(p.key, "tax", m[1])
		case "price.ofwhich":
			return w.T(p.key, "tax", m[1], "per", w.dressed(m[2]))
		case "price.run":
			return w.T(p.key, "what", w.Call(m[1]), "n", m[2], "each", w.dressed(m[3])+"\u00a0"+m[4])
		case "price.own":
			return w.T(p.key, "what", w.Call(m[1]), "long", w.dressed(m[2]))
		}
		return w.T(p.key)
	}
	return w.Call(s)
}

// keptWords are what the program itself writes in the book as why or as a note.
var keptWords = map[string]string{"ordered": "kept.ordered", "signed": "kept.signed", "after the fitting": "kept.fitting", "changed at the drawing": "kept.drawing"}

// Kept says what the program wrote in the book; what a person wrote there is left as it is.
func (w *Words) Kept(s string) string {
	if key, ours := keptWords[s]; ours {
		return w.T(key)
	}
	return s
}

// orderFromCard books an order from a client's newest card.
func (v *visit) orderFromCard() error {
	x, err := v.clientHere()
	if err != nil {
		return err
	}
	var m desk.Made
	err = v.keep(func(ctx context.Context, b *book.Book) (err error) {
		m, err = desk.New(ctx, b, desk.Wish{Client: x.Code, Number: v.form("number"), Garment: "rib-zip-jacket", Fresh: v.form("fresh") == "yes", Note: v.form("order-note")})
		return err
	})
	if err != nil {
		return v.again(err, (*visit).clientPage)
	}
	return v.goTo("/order/" + v.s.signed(anOrder, m.Job.ID))
}
