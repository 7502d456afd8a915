package web

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"slices"
	"strings"

	"clothwright/body"
	"clothwright/book"
	"clothwright/desk"
)

// mostFound is how many clients or orders a search shows. Who has more types more.
const mostFound = 50

// clientsFound is what a search gives.
type clientsFound struct {
	Sought string
	List   []book.Client
	More   bool
}

func (v *visit) findClients(part string) (clientsFound, error) {
	b, err := v.ledger()
	if err != nil {
		return clientsFound{}, err
	}
	found, err := b.Find(v.r.Context(), part, mostFound+1)
	if err != nil {
		return clientsFound{}, err
	}
	out := clientsFound{Sought: part, List: found[:min(len(found), mostFound)], More: len(found) > mostFound}
	if code := strings.TrimSpace(part); code != "" && len(found) == 0 { // a code of the room's, typed whole
		if c, err := b.Client(v.r.Context(), code); err == nil {
			out.List = append(out.List, c)
		}
	}
	return out, nil
}

func (v *visit) clientsPage() error { return v.showClients("") }

// clientsFind answers the search field as it is typed, or its form where no script runs.
func (v *visit) clientsFind() error { return v.notFound(v.showClients(v.form("part"))) }

func (v *visit) showClients(part string) error {
	found, err := v.findClients(part)
	if err != nil {
		return err
	}
	c := v.chrome(v.words.T("clients.title"), "clients", nil)
	if v.live() {
		return v.show(clientsFoundList(c, found))
	}
	return v.show(clientsPage(c, found))
}

func (v *visit) clientNewPage() error {
	if _, err := v.ledger(); err != nil {
		return err
	}
	return v.show(clientForm(v.chrome(v.words.T("client.new"), "client-new", nil), book.Client{}, "/clients/new"))
}

func (v *visit) clientAdd() error {
	var added book.Client
	err := v.write("adding a client", func(tx *book.Tx) (err error) {
		added, err = tx.AddClient(book.Client{Name: v.form("name"), Code: v.form("code"), Contact: v.form("contact"), Note: v.form("note")})
		return err
	})
	if err != nil {
		return v.again(err, (*visit).clientNewPage)
	}
	return v.goTo(v.clientPath(added.ID))
}

// renameWork gives the jobs in work that were begun for a client the client's new name.
func (v *visit) renameWork(x book.Client, was string) error {
	if x.Name == was {
		return nil
	}
	work, err := v.workOf(x)
	if err != nil {
		return err
	}
	for _, r := range work {
		err := v.s.store.Change(r.ID, func(now *Record) error {
			if now.Client == was {
				now.Client = x.Name
			}
			return nil
		})
		if err != nil && !errors.Is(err, ErrNone) {
			return err
		}
	}
	return nil
}

func (v *visit) clientPath(id int64) string { return "/clients/" + v.s.signed(aClient, id) }

func (v *visit) clientChangePage() error {
	x, err := v.clientHere()
	if err != nil {
		return err
	}
	return v.show(clientForm(v.chrome(v.words.T("client.change"), "client-change", nil), x, v.clientPath(x.ID)+"/change"))
}

func (v *visit) clientChange() error {
	x, err := v.clientHere()
	if err != nil {
		return v.again(err, (*visit).clientChangePage)
	}
	was := x.Name
	x.Name, x.Contact, x.Note = v.form("name"), v.form("contact"), v.form("note")
	if err := v.write("changing a client", func(tx *book.Tx) error { return tx.ChangeClient(x) }); err != nil {
		return v.again(err, (*visit).clientChangePage)
	}
	if err := v.renameWork(x, was); err != nil {
		return err
	}
	return v.goTo(v.clientPath(x.ID))
}

// clientView is everything the page of one client shows.
type clientView struct {
	book.Client
	Cards    []cardLine // the newest first
	InHand   *Record    // the card that is being written, nil for none
	Orders   []book.Job
	Fittings []clientFitting // the newest first
	Goods    []book.Goods
	Photos   []book.Photo
	Work     []*Record // jobs in work that were begun for this client
	Next     string    // the number of the next order
}

// cardLine is a tape card with what changed since the one before.
type cardLine struct {
	book.Card
	First   bool
	Changed []changed
	Mends   string // the day of the card it corrects
}

// clientFitting is a fitting with its order.
type clientFitting struct {
	book.Fit
	Order book.Job
}

func (v *visit) clientPage() error {
	x, err := v.clientHere()
	if err != nil {
		return err
	}
	b, ctx := v.s.book, v.r.Context()
	view := clientView{Client: x}
	cards, err := b.Cards(ctx, x.ID)
	if err != nil {
		return err
	}
	view.Cards = v.cardLines(cards)
	if view.Next, err = desk.NextNumber(ctx, b); err != nil {
		return err
	}
	if view.Orders, err = b.Jobs(ctx, false, x.ID, 500); err != nil {
		return err
	}
	for _, j := range view.Orders {
		fits, err := b.Fits(ctx, j.ID)
		if err != nil {
			return err
		}
		for _, f := range fits {
			view.Fittings = append(view.Fittings, clientFitting{f, j})
		}
	}
	slices.SortStableFunc(view.Fittings, func(a, b clientFitting) int { return cmp.Or(cmp.Compare(b.Day, a.Day), cmp.Compare(b.ID, a.ID)) })
	slices.SortStableFunc(view.Orders, func(a, b book.Job) int { return cmp.Compare(b.ID, a.ID) })
	if view.Goods, err = b.Goods(ctx, x.ID, true); err != nil {
		return err
	}
	if view.Photos, err = b.Photos(ctx, x.ID); err != nil {
		return err
	}
	if view.Work, err = v.workOf(x); err != nil {
		return err
	}
	if r, err := v.s.store.Load(v.cardInHand(x)); err == nil {
		view.InHand = r
	}
	return v.show(clientPage(v.chrome(x.Name, "client", nil), view))
}

// workOf are the jobs in work that were begun for a client.
func (v *visit) workOf(x book.Client) ([]*Record, error) {
	all, err := v.s.store.List()
	if err != nil {
		return nil, err
	}
	var out []*Record
	for _, r := range all {
		if r.InWork() && r.begunFor(x) {
			out = append(out, r)
		}
	}
	return out, nil
}

// photoAdd books where a photo lies. The picture itself is not opened: a page must not become a way to read this machine's files.
func (v *visit) photoAdd() error {
	x, err := v.clientHere()
	if err == nil {
		err = v.write("booking a photo", func(tx *book.Tx) error {
			return tx.AddPhoto(x.ID, book.Photo{Path: v.form("path"), Note: v.form("note"), Day: tx.Today()}, nil)
		})
	}
	if err != nil {
		return v.again(err, (*visit).clientPage)
	}
	return v.goTo(v.clientPath(x.ID) + "#photos")
}

// clientCopy hands out everything that is known of one person: what the book holds, and the jobs in work that were begun for them.
func (v *visit) clientCopy() error {
	x, err := v.clientHere()
	if err != nil {
		return err
	}
	var out bytes.Buffer
	if err := v.s.book.ExportClient(v.r.Context(), &out, x.ID); err != nil {
		return err
	}
	work, err := v.recordsOf(x)
	if err != nil {
		return err
	}
	if len(work) > 0 {
		more, err := json.Marshal(work)
		if err != nil {
			return err
		}
		out.Truncate(len(strings.TrimSuffix(out.String(), "}\n")))
		out.WriteString(",\"in_work\":")
		out.Write(more)
		out.WriteString("}\n")
	}
	v.attach("application/json", "client.json")
	_, _ = v.w.Write(out.Bytes())
	return nil
}

// recordsOf are all files of the folder that were begun for a client: jobs in work and a card that is being written.
func (v *visit) recordsOf(x book.Client) ([]*Record, error) {
	out, err := v.workOf(x)
	if err != nil {
		return nil, err
	}
	if r, err := v.s.store.Load(v.cardInHand(x)); err == nil {
		out = append(out, r)
	}
	gone, err := v.s.store.Gone()
	if err != nil {
		return nil, err
	}
	for _, r := range gone {
		if r.begunFor(x) {
			out = append(out, r)
		}
	}
	return out, nil
}

// attach says that the answer is a file to keep. Its name says nothing about anybody.
func (v *visit) attach(kind, name string) {
	v.w.Header().Set("Content-Type", kind)
	v.w.Header().Set("Content-Disposition", `attachment; filename="`+name+`"`)
}

// goneTables are what a person's page of farewell counts, in this order.
var goneTables = []string{"card", "job", "draft", "quote", "payment", "worked", "fitting", "pin", "issue", "goods", "photo"}

// farewell is what would be gone with a person.
type farewell struct {
	book.Client
	Gone   []goneLine
	Work   int
	Second bool // it is asked for the second time
}

type goneLine struct {
	Table string
	N     int
}

func (v *visit) forgetPage() error { return v.farewell(false) }

func (v *visit) farewell(second bool) error {
	x, err := v.clientHere()
	if err != nil {
		return err
	}
	gone, err := v.s.book.Holds(v.r.Context(), x.ID)
	if err != nil {
		return err
	}
	f := farewell{Client: x, Second: second}
	for _, t := range goneTables {
		if gone[t] > 0 {
			f.Gone = append(f.Gone, goneLine{t, gone[t]})
		}
	}
	work, err := v.recordsOf(x)
	if err != nil {
		return err
	}
	f.Work = len(work)
	return v.show(forgetPage(v.chrome(v.words.T("forget.title"), "client-forget", nil), f))
}

// forget throws a person away, when it was said twice.
func (v *visit) forget() error {
	switch v.form("said") {
	case "once":
		return v.farewell(true)
	case "twice":
	default:
		return v.farewell(false)
	}
	x, err := v.clientHere()
	if err != nil {
		return v.again(err, (*visit).forgetPage)
	}
	work, err := v.recordsOf(x)
	if err != nil {
		return err
	}
	ctx := context.WithoutCancel(v.r.Context())
	if err := v.s.book.Write(ctx, "forgetting a client", func(tx *book.Tx) error { _, err := tx.Forget(x.Code); return err }); err != nil {
		return v.again(err, func(v *visit) error { return v.farewell(true) })
	}
	for _, r := range work {
		if err := v.s.store.Remove(r.ID); err != nil && !errors.Is(err, ErrNone) {
			return err
		}
	}
	traces := ""
	if err := v.s.book.Scrub(ctx); err != nil { // the person is gone; what is left to say is about the file
		text, _, _ := saidOf(err)
		traces = text
	}
	v.s.backUp()
	return v.show(forgottenPage(v.chrome(v.words.T("forget.done"), "client-forget", nil), traces))
}

// workFromCard begins a job in work from a tape card: it takes over the name and the measures, and remembers whose it is.
func (v *visit) workFromCard() error {
	x, err := v.clientHere()
	if err != nil {
		return v.again(err, (*visit).clientPage)
	}
	k, err := v.cardOf(x, v.form("card"))
	if err != nil {
		return v.again(err, (*visit).clientPage)
	}
	r := fromCard(k)
	r.Garment, r.Client, r.Date = "rib-zip-jacket", x.Name, v.today()
	r.Kept.Client, r.Kept.Since, r.Kept.Card = x.Code, x.Made, k.ID
	if err := v.s.store.Create(r); err != nil {
		return err
	}
	return v.goTo("/jobs/" + r.ID + "/measure")
}

// cardOf is a client's card by its sign; without one the newest.
func (v *visit) cardOf(x book.Client, sign string) (book.Card, error) {
	if sign == "" {
		return v.s.book.LatestCard(v.r.Context(), x.ID)
	}
	id, err := v.s.rowOf(aCard, sign)
	if err != nil {
		return book.Card{}, err
	}
	k, err := v.s.book.Card(v.r.Context(), id)
	if err == nil && k.ClientID != x.ID {
		return k, errNotFound
	}
	return k, err
}

// titleOf is what a measure is called.
func titleOf(w *Words, name string) string {
	m, ok := body.Lookup(name)
	if !ok {
		return name
	}
	return w.measure(m)
}
