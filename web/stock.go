package web

import (
	"context"
	"strconv"
	"strings"

	"clothwright/book"
	"clothwright/desk"
)

// Clients' own cloth, the shelf, and the times that were taken.

// clothView is the page of the cloth that clients brought.
type clothView struct {
	All  bool // what is all out too
	List []book.Goods
}

func (v *visit) clothPage() error    { return v.showCloth(false) }
func (v *visit) clothAllPage() error { return v.showCloth(true) }

func (v *visit) showCloth(all bool) error {
	b, err := v.ledger()
	if err != nil {
		return err
	}
	goods, err := b.Goods(v.r.Context(), 0, all)
	if err != nil {
		return err
	}
	return v.show(clothPage(v.chrome(v.words.T("cloth.title"), "cloth", nil), clothView{all, goods}))
}

// clothIn books cloth in from its client's page.
func (v *visit) clothIn() error {
	x, err := v.clientHere()
	if err == nil {
		err = v.keep(func(ctx context.Context, b *book.Book) error {
			g, err := desk.Goods(v.form("what"), v.form("length"), v.form("width"), v.form("state"), v.form("cloth-note"))
			if err == nil {
				_, err = desk.TakeIn(ctx, b, x, v.form("job"), g)
			}
			return err
		})
	}
	if err != nil {
		return v.again(err, (*visit).clientPage)
	}
	return v.goTo(v.clientPath(x.ID) + "#cloth")
}

// clothOut books cloth out: cut, or given back.
func (v *visit) clothOut() error {
	id, err := v.s.rowOf(aCloth, v.r.PathValue("cloth"))
	if err != nil {
		return err
	}
	err = v.keep(func(ctx context.Context, b *book.Book) error {
		why := v.form("why")
		if why == "" {
			return plain(v.words.T("cloth.nowhy"))
		}
		_, err := desk.GiveOut(ctx, b, id, v.form("length"), why)
		return err
	})
	if err != nil {
		return v.again(err, (*visit).clothPage)
	}
	return v.goTo("/cloth")
}

// shelfView is what lies on the shelf.
type shelfView struct {
	Kinds  []shelfKind
	Orders []book.Job // open ones, to take something for
}

type shelfKind struct {
	Kind string
	List []book.Shelf
}

// shelfKinds are the kinds in the order of the page.
var shelfKinds = []string{"cloth", "rib", "zip", "trim"}

// mostOffered is how many open orders a field offers.
const mostOffered = 200

func (v *visit) shelfPage() error {
	b, err := v.ledger()
	if err != nil {
		return err
	}
	all, err := b.Shelf(v.r.Context())
	if err != nil {
		return err
	}
	var view shelfView
	for _, kind := range shelfKinds {
		k := shelfKind{Kind: kind}
		for _, s := range all {
			if s.Kind == kind {
				k.List = append(k.List, s)
			}
		}
		if len(k.List) > 0 {
			view.Kinds = append(view.Kinds, k)
		}
	}
	if view.Orders, err = b.Jobs(v.r.Context(), true, 0, mostOffered); err != nil {
		return err
	}
	return v.show(shelfPage(v.chrome(v.words.T("shelf.title"), "shelf", nil), view))
}

// shelfNew puts something on the shelf that was not there before.
func (v *visit) shelfNew() error {
	err := v.keep(func(ctx context.Context, b *book.Book) error {
		code := v.form("code")
		if code == "" {
			return plain(v.words.T("shelf.nocode"))
		}
		_, err := desk.Put(ctx, b, book.Shelf{Code: code, Kind: kindOfShelf(v.form("kind")), Name: v.form("name")}, v.form("quantity"), v.orElse("why", "bought"))
		return err
	})
	if err != nil {
		return v.again(err, (*visit).shelfPage)
	}
	return v.goTo("/shelf")
}

func kindOfShelf(s string) string {
	for _, k := range shelfKinds {
		if s == k {
			return k
		}
	}
	return ""
}

func (v *visit) orElse(name, spare string) string {
	if s := v.form(name); s != "" {
		return s
	}
	return spare
}

// shelfMove puts more of something on the shelf, or takes from it.
func (v *visit) shelfMove() error {
	id, err := v.s.rowOf(aThing, v.r.PathValue("thing"))
	if err != nil {
		return err
	}
	err = v.keep(func(ctx context.Context, b *book.Book) error {
		all, err := b.Shelf(ctx)
		if err != nil {
			return err
		}
		for _, s := range all {
			if s.ID != id {
				continue
			}
			if v.form("way") == "take" {
				_, err = desk.TakeOff(ctx, b, s.Code, v.form("quantity"), v.form("job"), v.form("why"))
			} else {
				_, err = desk.Put(ctx, b, book.Shelf{Code: s.Code}, v.form("quantity"), v.orElse("why", "bought"))
			}
			return err
		}
		return errNotFound
	})
	if err != nil {
		return v.again(err, (*visit).shelfPage)
	}
	return v.goTo("/shelf")
}

// timesView is the room's own averages.
type timesView struct {
	List   []book.Averaged
	Orders []book.Job
}

func (v *visit) timesPage() error {
	b, err := v.ledger()
	if err != nil {
		return err
	}
	var view timesView
	if view.List, err = b.Averages(v.r.Context()); err != nil {
		return err
	}
	if view.Orders, err = b.Jobs(v.r.Context(), true, 0, mostOffered); err != nil {
		return err
	}
	return v.show(timesPage(v.chrome(v.words.T("times.title"), "times", nil), view))
}

// timeRecord books how long something took.
func (v *visit) timeRecord() error {
	err := v.write("recording a time", func(tx *book.Tx) error {
		minutes, err := strconv.ParseInt(strings.TrimSpace(v.form("minutes")), 10, 32)
		if err != nil {
			return plain(v.words.T("times.nominutes", "found", v.form("minutes")))
		}
		return tx.RecordTime(v.form("job"), v.form("operation"), minutes, tx.Today(), v.form("by"))
	})
	if err != nil {
		return v.again(err, (*visit).timesPage)
	}
	v.tell(v.words.T("told.time"))
	return v.goTo("/times")
}
