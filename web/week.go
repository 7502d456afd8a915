package web

import (
	"context"
	"strconv"

	"clothwright/book"
)

// weekDays is how far the week's page looks ahead, today counted.
const weekDays = 7

// mostLate is how much of what is late, and of what cannot be ready, is listed: who has more than this reads the list of orders.
const mostLate = 40

// weekDay is one day of the week: how long the room works on it, and what it holds.
type weekDay struct {
	Day     string
	Today   bool
	Minutes int  // the room works
	Closed  bool // a day on which it works nothing
	Entries []book.Entry
}

// week is what is due and who is fitted, day by day, and what cannot be ready.
type week struct {
	Late       []book.Entry
	LateMore   int // that are late too and not listed
	Days       []weekDay
	Hourless   bool // the room has not said when it works
	Owed       int  // minutes on open orders
	Open       int  // orders these minutes are for
	Room       int  // minutes the room works in these days
	Broken     []brokenPromise
	BrokenMore int
	Unreckoned []book.Job
}

type brokenPromise struct {
	book.Late
	ID int64
}

func (v *visit) weekPage() error {
	b, err := v.ledger()
	if err != nil {
		return err
	}
	w, err := weekOf(v.r.Context(), b)
	if err != nil {
		return err
	}
	return v.show(weekPage(v.chrome(v.words.T("week.title"), "week", nil), w))
}

func weekOf(ctx context.Context, b *book.Book) (week, error) {
	var w week
	today := b.Today()
	first, _ := dayOf(today)
	entries, err := b.Diary(ctx, first.AddDate(0, 0, weekDays-1).Format(book.Day))
	if err != nil {
		return w, err
	}
	hours, err := b.Hours(ctx)
	if err != nil {
		return w, err
	}
	w.Hourless = hours.None()
	at := map[string]int{}
	for i := range weekDays {
		t := first.AddDate(0, 0, i)
		d := weekDay{Day: t.Format(book.Day), Today: i == 0, Minutes: hours.On(t)}
		d.Closed = d.Minutes == 0 && !w.Hourless
		w.Room += d.Minutes
		at[d.Day] = i
		w.Days = append(w.Days, d)
	}
	for _, e := range entries {
		if i, ok := at[e.Day]; ok {
			w.Days[i].Entries = append(w.Days[i].Entries, e)
		} else {
			w.Late = append(w.Late, e)
		}
	}
	if n := len(w.Late) - mostLate; n > 0 {
		w.Late, w.LateMore = w.Late[:mostLate], n
	}
	loads, unreckoned, err := b.Loads(ctx)
	if err != nil {
		return w, err
	}
	for _, l := range loads {
		w.Owed += l.Minutes
	}
	w.Open = len(loads)
	for _, number := range unreckoned[:min(len(unreckoned), 12)] {
		j, err := b.Job(ctx, number)
		if err != nil {
			return w, err
		}
		w.Unreckoned = append(w.Unreckoned, j)
	}
	if w.Hourless {
		return w, nil
	}
	broken := book.Broken(loads, hours, today)
	if n := len(broken) - mostLate; n > 0 {
		broken, w.BrokenMore = broken[:mostLate], n
	}
	for _, l := range broken {
		j, err := b.Job(ctx, l.Job)
		if err != nil {
			return w, err
		}
		w.Broken = append(w.Broken, brokenPromise{l, j.ID})
	}
	return w, nil
}

func count(n int) string { return strconv.Itoa(n) }
