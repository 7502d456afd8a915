package web

import (
	"context"
	"net/http"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"clothwright/book"
)

// theDay is a Monday on which the rooms of these tests work.
const theDay = "2026-03-02"

// openLedger opens a workroom with a book in which nothing stands yet, on a Monday.
func openLedger(t *testing.T) *room {
	t.Helper()
	b := newBook(t, filepath.Join(t.TempDir(), "room.book"))
	r := &room{t: t, dir: t.TempDir(), addr: "127.0.0.1:0", book: b}
	r.start()
	t.Cleanup(r.stop)
	return r
}

func newBook(t *testing.T, path string) *book.Book {
	t.Helper()
	b, err := book.Create(path, book.Options{Now: func() time.Time { return time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC) }, Program: "test", Wait: 200 * time.Millisecond})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.Close() })
	return b
}

// put writes into the room's book.
func (r *room) put(do func(tx *book.Tx) error) {
	r.t.Helper()
	if err := r.book.Write(context.Background(), "setting a test up", do); err != nil {
		r.t.Fatal(err)
	}
}

// busy is a book as a room has it in the middle of the season. All its people are invented.
type busy struct {
	ola, ngoc, late  book.Client
	cards            []book.Card // of ola, the oldest first
	due, fit, behind book.Job
	cloth            book.Goods
}

// inSeason fills the book.
func (r *room) inSeason() busy {
	var s busy
	card := func(chest, waist string, mm, mm2 float64) []book.Measure {
		return []book.Measure{{Name: "chest_girth", Said: chest, MM: mm}, {Name: "waist_girth", Said: waist, MM: mm2}, {Name: "shoulder_width", Said: "42 cm", MM: 420}, {Name: "body_length", Said: "63 cm", MM: 630}, {Name: "arm_length", Said: "61 cm", MM: 610}, {Name: "wrist_girth", Said: "17 cm", MM: 170}}
	}
	r.put(func(tx *book.Tx) (err error) {
		do := func(e error) {
			if err == nil {
				err = e
			}
		}
		client := func(c book.Client) book.Client { c, e := tx.AddClient(c); do(e); return c }
		s.ola = client(book.Client{Name: "Ọláídé Ṣóyẹmí", Contact: "+000 555 0101, rowing club", Note: "left shoulder lower"})
		s.ngoc = client(book.Client{Name: "Phạm Thị Bích Ngọc"})
		s.late = client(book.Client{Name: "梅林 花子"})
		k, e := tx.AddCard(s.ola.ID, book.Card{Taken: "2025-06-01", By: "Ama", Figure: "women", Age: 31, Measures: card("92 cm", "76 cm", 920, 760)})
		do(e)
		k2, e := tx.AddCard(s.ola.ID, book.Card{Taken: "2026-02-20", By: "Kofi", Figure: "women", Age: 31, Corrects: k.ID, Measures: card("94 cm", "76 cm", 940, 760), Note: "after the season"})
		do(e)
		s.cards = []book.Card{k, k2}
		_, e = tx.AddCard(s.ngoc.ID, book.Card{Taken: "2026-02-21", By: "Ama", Measures: card("40 1/2 in", "30 in", 1028.7, 762)})
		do(e)
		order := func(c book.Client, number, due string, minutes, total int64) book.Job {
			j, e := tx.AddJob(c.ID, book.Job{Number: number, Garment: "rib-zip-jacket", Title: "Rib-trimmed zip jacket", Due: due})
			do(e)
			if total > 0 {
				_, e = tx.AddQuote(j.ID, book.Quoted{Draft: 1, Currency: "EUR", Total: total, Deposit: total / 2, Minutes: minutes, Words: "{}", Costing: []byte("x")})
				do(e)
			}
			return j
		}
		s.due = order(s.ola, "SRC-08", "2026-03-05", 480, 128650)
		s.fit = order(s.ngoc, "SRC-01", "2026-03-20", 300, 32000)
		s.behind = order(s.late, "OLD-1", "2026-02-27", 2400, 20000)
		order(s.ngoc, "NEW-1", "", 0, 0)
		_, e = tx.AddFit("SRC-01", book.Fit{Day: "2026-03-04", Note: "at four"})
		do(e)
		pin, e := book.ParsePin("sleeve +1/2 in", func(string) (float64, error) { return 12.7, nil })
		do(e)
		_, e = tx.AddFit("SRC-08", book.Fit{Day: "2026-02-25", Held: true, By: "Ama", Pins: []book.Pin{pin}})
		do(e)
		do(tx.Pay("SRC-08", book.Payment{Day: "2026-02-20", Amount: 12000, Currency: "EUR", Why: "deposit"}))
		s.cloth, e = tx.TakeGoods(s.ola.ID, "SRC-08", book.Goods{Day: "2026-02-20", What: "indigo cloth", Length: 2600, Width: 1150, Condition: "washed, sound"})
		do(e)
		do(tx.AddPhoto(s.ola.ID, book.Photo{Job: "SRC-08", Path: "photos/indigo.jpg", Note: "a stain at one end", Day: "2026-02-20"}, nil))
		_, e = tx.PutShelf(book.Shelf{Code: "zip-45", Kind: "zip", Name: "separating zip, 45 cm"}, 10, "", "2026-02-01", "bought")
		do(e)
		_, e = tx.PutShelf(book.Shelf{Code: "wax-print", Kind: "cloth", Name: "wax print, 115 cm wide"}, 30000, "", "2026-02-01", "bought")
		do(e)
		do(tx.RecordTime("SRC-08", "Cut every piece", 70, "2026-02-26", "Ama"))
		do(tx.Set(book.SetName, "Saltmarsh workroom"))
		do(tx.Set(book.SetHours, "mon-fri 7, sat 4"))
		do(tx.Set(book.SetClosed, "2026-03-06, 2026-04-03..2026-04-06"))
		return err
	})
	return s
}

// order is the address of an order's page.
func (r *room) order(j book.Job) string { return "/order/" + r.server.signed(anOrder, j.ID) }

func (r *room) client(c book.Client) string { return "/clients/" + r.server.signed(aClient, c.ID) }

// The week has every day once, what is due and who is fitted on its day, what is late apart, and names the promise that the room's hours
// cannot hold: 40 h of work were due last Friday.
func TestTheWeek(t *testing.T) {
	r := openLedger(t)
	s := r.inSeason()
	c := newClient(t, r.url(""))
	status, page, _ := c.send("GET", "/week", "", nil)
	if status != 200 {
		t.Fatalf("the week is answered with %d", status)
	}
	at := -1
	for _, want := range []string{"Late", "OLD-1", "Monday", "2</span>", "March", "7\u00a0h", "Wednesday", "SRC-01", "Thursday", "SRC-08", "Friday", "closed", "Saturday", "4\u00a0h", "Sunday", "closed", "These cannot be ready", "梅林 花子", "NEW-1"} {
		i := strings.Index(page[at+1:], want)
		if i < 0 {
			t.Fatalf("the week does not say %q where it should:\n%s", want, page)
		}
		at += 1 + i
	}
	if n := strings.Count(page, `href="`+r.order(s.due)+`"`); n == 0 {
		t.Error("the order that is due is not linked to")
	}
	for _, lang := range []struct{ lang, day string }{{"fr", "mercredi"}, {"pt", "quarta-feira"}, {"es", "miércoles"}} { // names of days as in CLDR 47
		if _, page, _ := c.send("GET", "/week", "", func(q *http.Request) { q.Header.Set("Accept-Language", lang.lang) }); !strings.Contains(page, lang.day) {
			t.Errorf("%s: Wednesday is not %s", lang.lang, lang.day)
		}
	}
}

// Without a book nothing of it can be seen, and the jobs' page is as it was.
func TestNoBookNoPages(t *testing.T) {
	r := openRoom(t)
	c := newClient(t, r.url(""))
	if status, _, _ := c.send("GET", "/week", "", nil); status != 404 {
		t.Errorf("the week of a room without a book is answered with %d", status)
	}
	if _, page, _ := c.send("GET", "/", "", nil); strings.Contains(page, "/week") {
		t.Error("a room without a book leads to its pages")
	}
}

// A sign is the same after a restart, is no number, and holds only for its kind of row.
func TestSignsOfAddresses(t *testing.T) {
	key := randomBytes(32)
	a, b := New(Options{Key: key}), New(Options{Key: key})
	other := New(Options{Key: randomBytes(32)})
	sign := a.signed(aClient, 7)
	if id, err := b.rowOf(aClient, sign); err != nil || id != 7 {
		t.Errorf("after a restart the sign leads to %d, %v", id, err)
	}
	for what, try := range map[string]func() (int64, error){
		"another kind of row": func() (int64, error) { return a.rowOf(anOrder, sign) },
		"another room":        func() (int64, error) { return other.rowOf(aClient, sign) },
		"capitals":            func() (int64, error) { return a.rowOf(aClient, strings.ToUpper(sign)) },
		"a number":            func() (int64, error) { return a.rowOf(aClient, "7") },
		"nothing":             func() (int64, error) { return a.rowOf(aClient, "") },
		"one letter changed":  func() (int64, error) { return a.rowOf(aClient, "a"+sign[1:len(sign)-1]+"b") },
	} {
		if id, err := try(); err == nil {
			t.Errorf("%s: the sign leads to row %d", what, id)
		}
	}
}

// Unicode CLDR 47: French groups by a narrow no-break space and writes a comma; Spanish groups from five digits on; a minus is U+2212
// here as in print. ISO 4217: the yen has no decimals, the dinar of Kuwait three.
func TestFiguresByLanguage(t *testing.T) {
	for _, x := range []struct{ lang, code, want string }{
		{"en", "EUR", "−1,234.50\u00a0EUR"}, {"fr", "EUR", "−1\u202f234,50\u00a0EUR"}, {"es", "EUR", "−1234,50\u00a0EUR"}, {"pt", "EUR", "−1.234,50\u00a0EUR"},
		{"en", "JPY", "−123,450\u00a0JPY"}, {"fr", "KWD", "−123,450\u00a0KWD"},
	} {
		if got := languages[x.lang].Money(x.code, -123450); got != x.want {
			t.Errorf("%s: %q; %q is wanted", x.lang, got, x.want)
		}
	}
	if got := languages["pt"].Date("2026-03-02"); got != "2 de março de 2026" {
		t.Errorf("a day in Portuguese is %q", got)
	}
	for in, want := range map[string]string{"1,5": "1.5", "1.5": "1.5", "1.234,5": "1.234,5", " 7 ": "7", "−3,25": "-3.25"} {
		if got := unlocal(in); got != want {
			t.Errorf("%q is read as %q; %q is wanted", in, got, want)
		}
	}
}
