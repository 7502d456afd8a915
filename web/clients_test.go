package web

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"regexp"
	"strings"
	"testing"

	"clothwright/book"
)

// hand is a client of the server with a page's form token.
type hand struct {
	*client
	token string
}

func (r *room) hand(t *testing.T) hand {
	c := newClient(t, r.url(""))
	return hand{c, c.token("/")}
}

// post sends a form and wants the status; it returns the page and where it leads.
func (h hand) post(path string, want int, pairs ...string) (page, to string) {
	h.t.Helper()
	status, page, head := h.send("POST", path, form(append([]string{"token", h.token}, pairs...)...), nil)
	if status != want {
		h.t.Fatalf("%s is answered with %d; %d is wanted: %s", path, status, want, mainOf(page))
	}
	return page, head.Get("Location")
}

// get reads a page that must be there.
func (h hand) get(path string) string {
	h.t.Helper()
	path, _, _ = strings.Cut(path, "#")
	status, page, _ := h.send("GET", path, "", nil)
	if status != http.StatusOK {
		h.t.Fatalf("%s is answered with %d: %s", path, status, mainOf(page))
	}
	return page
}

// mainOf is the part of a page between its head and foot.
func mainOf(page string) string {
	_, page, _ = strings.Cut(page, "<main")
	page, _, _ = strings.Cut(page, "</main>")
	return page
}

// htmx marks a request as the pages' script makes it.
func htmx(r *http.Request) { r.Header.Set("HX-Request", "true") }

// A client is found by any part of the name, in any script, with and without accents, by the script's request and by the form, and never by an
// address.
func TestAClientIsFound(t *testing.T) {
	r := openLedger(t)
	s := r.inSeason()
	h := r.hand(t)
	for part, who := range map[string]book.Client{"soy ola": s.ola, "BÍCH": s.ngoc, "花": s.late, "ngọc": s.ngoc, "C0003": s.late} {
		status, found, _ := h.send("POST", "/clients/find", form("token", h.token, "part", part), htmx)
		if status != 200 || strings.Contains(found, "<html") || strings.Count(found, "<li>") != 1 || !strings.Contains(found, r.client(who)) || !strings.Contains(found, who.Name) {
			t.Errorf("%q is answered with %d and %s", part, status, found)
		}
		if page, _ := h.post("/clients/find", 200, "part", part); !strings.Contains(page, r.client(who)) || !strings.Contains(page, `value="`+part+`"`) {
			t.Errorf("without script %q does not find %s", part, who.Name)
		}
	}
	if page, _ := h.post("/clients/find", 200, "part", "nobody at all"); !strings.Contains(page, "Nobody is called so") {
		t.Errorf("nobody is found, and that is not said")
	}
	r.put(func(tx *book.Tx) error {
		for i := range mostFound + 5 {
			if _, err := tx.AddClient(book.Client{Name: fmt.Sprintf("Invented %03d", i)}); err != nil {
				return err
			}
		}
		return nil
	})
	if page := h.get("/clients"); strings.Count(page, `href="/clients/`) < mostFound || !strings.Contains(page, "more than these 50") {
		t.Error("where there are more than are shown it is not said")
	}
}

// A client is written into the book and changed; what cannot be taken is said in the book's sentence, and what was typed stands in the form.
func TestAClientIsWrittenAndChanged(t *testing.T) {
	r := openLedger(t)
	h := r.hand(t)
	_, to := h.post("/clients/new", 303, "name", "李 小龙", "contact", "at the market", "note", "likes it long", "code", "LX")
	page := h.get(to)
	for _, want := range []string{"李 小龙", "at the market", "likes it long", "LX"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	h.get(to + "/change")
	h.post(to+"/change", 303, "name", "李 小龍", "contact", "", "note", "new note")
	if c, err := r.book.Client(context.Background(), "LX"); err != nil || c.Name != "李 小龍" || c.Contact != "" || c.Note != "new note" {
		t.Errorf("after the change it is %+v, %v", c, err)
	}
	page, _ = h.post("/clients/new", 422, "name", "Another", "contact", "typed at length", "code", "LX")
	if !strings.Contains(page, "The code LX is 李 小龍&#39;s already.") || !strings.Contains(page, `value="typed at length"`) {
		t.Errorf("a code given twice is answered with %s", mainOf(page))
	}
	page, _ = h.post(to+"/change", 422, "name", " ", "contact", "typed at length")
	if !strings.Contains(page, "1 to 200 letters") || !strings.Contains(page, `value="typed at length"`) {
		t.Errorf("an empty name is answered with %s", mainOf(page))
	}
}

// A card is kept at every key before it is in the book; in the book it is as it was typed; a correction is a new card and the old one stays.
func TestACardGoesIntoTheBook(t *testing.T) {
	r := openLedger(t)
	s := r.inSeason()
	h := r.hand(t)
	at := r.client(s.late)
	_, to := h.post(at+"/card/begin", 303)
	if to != at+"/card" {
		t.Fatalf("a new card is at %s", to)
	}
	status, notes, _ := h.send("POST", to, form("token", h.token, "m.chest_girth", "40 1/2", "m.wrist_girth", "9 1/3", "unit", "in"), htmx)
	if status != 200 || !strings.Contains(notes, "note-wrist_girth") {
		t.Errorf("a key is answered with %d", status)
	}
	if page := h.get(at); !strings.Contains(page, "A card is being written, with 2 measures") {
		t.Error("the client's page does not tell of the unfinished card")
	}
	if page := h.get("/"); strings.Contains(page, s.late.Name) {
		t.Error("an unfinished card stands among the jobs in work")
	}
	// A figure that cannot be read is not written into the book, and nor is a card that nobody took. Both stay in the form.
	page, _ := h.post(to, 422, "then", "book", "by", "Ama", "date", "2026-03-02")
	if !strings.Contains(page, "Wrist girth") || !strings.Contains(page, `value="9 1/3"`) || !strings.Contains(page, `value="40 1/2"`) {
		t.Errorf("a third of an inch is answered with %s", mainOf(page))
	}
	page, _ = h.post(to, 422, "then", "book", "by", "", "m.wrist_girth", "7")
	if !strings.Contains(page, "does not say who held the tape") || !strings.Contains(page, `value="40 1/2"`) {
		t.Errorf("a card that nobody took is answered with %s", mainOf(page))
	}
	h.post(to, 303, "then", "book", "by", "Ama")
	h.post(to, 303, "then", "book", "by", "Ama") // a second press of the button
	ctx := context.Background()
	cards, err := r.book.Cards(ctx, s.late.ID)
	if err != nil || len(cards) != 1 {
		t.Fatalf("%d cards are in the book, %v", len(cards), err)
	}
	// 40 1/2 in is 1028.7 mm by the definition of the inch (25.4 mm).
	if m := cards[0].Measure("chest_girth"); m == nil || m.Said != "40 1/2 in" || m.MM < 1028.699 || m.MM > 1028.701 || cards[0].By != "Ama" || cards[0].Taken != "2026-03-02" {
		t.Errorf("the book holds %+v", cards[0])
	}

	h.post(at+"/card/begin", 303, "corrects", r.server.signed(aCard, cards[0].ID))
	if page := h.get(to); !strings.Contains(page, `value="40 1/2"`) || !strings.Contains(page, "before: 40 1/2 in") {
		t.Errorf("a correction does not begin with what the card says: %s", mainOf(page))
	}
	h.post(to, 303, "then", "book", "by", "Kofi", "m.chest_girth", "41")
	cards, _ = r.book.Cards(ctx, s.late.ID)
	if len(cards) != 2 || cards[1].Corrects != cards[0].ID || cards[0].Measure("chest_girth").Said != "40 1/2 in" {
		t.Fatalf("after the correction the book holds %+v", cards)
	}
	for _, p := range []string{at, at + "/cards/" + r.server.signed(aCard, cards[1].ID)} {
		page := h.get(p)
		if !strings.Contains(page, "+1/2 in") || !strings.Contains(page, "Kofi") {
			t.Errorf("%s does not show the difference: %s", p, mainOf(page))
		}
	}
	page = h.get(at + "/cards/" + r.server.signed(aCard, cards[0].ID) + "/against/" + r.server.signed(aCard, cards[1].ID))
	if !strings.Contains(page, "−1/2 in") {
		t.Errorf("the other way round the difference is not −1/2 in: %s", mainOf(page))
	}
	// Another client's card is none of this client's.
	if status, _, _ := h.send("GET", r.client(s.ngoc)+"/cards/"+r.server.signed(aCard, cards[0].ID), "", nil); status != 404 {
		t.Errorf("another's card is answered with %d", status)
	}
	h.post(at+"/card/begin", 303)
	h.post(at+"/card/drop", 303)
	if page := h.get(at); strings.Contains(page, "A card is being written") {
		t.Error("a card that was thrown away is still being written")
	}
}

// A job in work takes over name and measures, and knows whose it is.
func TestAJobFromACard(t *testing.T) {
	r := openLedger(t)
	s := r.inSeason()
	h := r.hand(t)
	_, to := h.post(r.client(s.ola)+"/work", 303, "card", r.server.signed(aCard, s.cards[1].ID))
	j := r.only()
	if to != "/jobs/"+j.ID+"/measure" || j.Client != s.ola.Name || j.Kept.Client != s.ola.Code || j.Kept.Card != s.cards[1].ID || j.Unit != "cm" || j.Measures["chest_girth"].Text != "94" || j.Figure != "women" || j.Age != "31" || j.Date != theDay {
		t.Errorf("the job is at %s and says %+v", to, j)
	}
	if page := h.get(to); !strings.Contains(page, r.client(s.ola)) {
		t.Error("the job does not lead to its client")
	}
	if page := h.get(r.client(s.ola)); !strings.Contains(page, j.ID) {
		t.Error("the client does not lead to the job in work")
	}
	h.post(r.client(s.ola)+"/change", 303, "name", "Ọláídé Akin", "contact", s.ola.Contact, "note", "")
	if got := r.only().Client; got != "Ọláídé Akin" {
		t.Errorf("after the client's name was changed the job is %q's", got)
	}
	// Who is forgotten by another program leaves a job behind; it is not the next client's who is given the same code.
	r.put(func(tx *book.Tx) error {
		_, err := tx.AddClient(book.Client{Name: "Another", Code: "LAST"})
		return err
	})
	if err := r.folder.Change(j.ID, func(j *Record) error { j.Kept.Client, j.Kept.Since = "LAST", "2020-01-01T00:00:00Z"; return nil }); err != nil {
		t.Fatal(err)
	}
	another, err := r.book.Client(context.Background(), "LAST")
	if err != nil {
		t.Fatal(err)
	}
	if page := h.get(r.client(another)); strings.Contains(page, j.ID) {
		t.Error("a job of one who was forgotten is shown as another's")
	}
	if readCard(j, languages["en"]).Ready() != true {
		t.Error("a whole card does not make a job that can be drafted")
	}
}

// Everything of one person goes out as JSON, with the jobs in work, and nothing of another.
func TestACopyForThePerson(t *testing.T) {
	r := openLedger(t)
	s := r.inSeason()
	begin(r, s)
	h := r.hand(t)
	status, out, head := h.send("POST", r.client(s.ola)+"/copy", form("token", h.token), nil)
	if status != 200 || !strings.HasPrefix(head.Get("Content-Disposition"), "attachment") {
		t.Fatalf("the copy is answered with %d", status)
	}
	var doc struct {
		Tables []struct {
			Table string
			Rows  [][]any
		}
		InWork []map[string]any `json:"in_work"`
	}
	if err := json.Unmarshal([]byte(out), &doc); err != nil {
		t.Fatal(err)
	}
	rows := map[string]int{}
	for _, t := range doc.Tables {
		rows[t.Table] = len(t.Rows)
	}
	for table, want := range map[string]int{"client": 1, "card": 2, "job": 1, "payment": 1, "fitting": 1, "pin": 1, "goods": 1, "photo": 1} {
		if rows[table] != want {
			t.Errorf("%d rows of %s are in it; %d are wanted", rows[table], table, want)
		}
	}
	if len(doc.InWork) != 2 || strings.Contains(out, s.ngoc.Name) {
		t.Errorf("%d jobs in work and unfinished cards are in it, or another person's name", len(doc.InWork))
	}
}

// A person is forgotten when it was said twice: in the book, in the jobs in work, in the unfinished card, and in no other way.
func TestAPersonIsForgotten(t *testing.T) {
	r := openLedger(t)
	s := r.inSeason()
	begin(r, s)
	h := r.hand(t)
	at := r.client(s.ola) + "/forget"
	page := h.get(at)
	for _, want := range []string{"tape cards</span> <b>2</b>", "orders</span> <b>1</b>", "payments</span> <b>1</b>", "unfinished cards</span> <b>2</b>", "Backups made before"} {
		if !strings.Contains(page, want) {
			t.Errorf("it is not said that %q would be gone: %s", want, mainOf(page))
		}
	}
	for _, said := range []string{"", "once", "yes"} {
		if page, _ := h.post(at, 200, "said", said); said == "once" && !strings.Contains(page, "there is no way back") {
			t.Error("it is not asked twice")
		}
		h.get(r.client(s.ola))
	}
	h.post(at, 200, "said", "twice")
	if status, _, _ := h.send("GET", r.client(s.ola), "", nil); status == 200 {
		t.Error("the person is still there")
	}
	if jobs, err := r.folder.List(); err != nil || len(jobs) != 0 {
		t.Errorf("%d files of the person are still in the folder", len(jobs))
	}
	if found, err := r.book.Find(context.Background(), "", 10); err != nil || len(found) != 2 {
		t.Errorf("%d clients are left; the other two are wanted", len(found))
	}
}

// No address on any page of the book holds a name, a code or a number of the room's.
func TestNoAddressSaysAnything(t *testing.T) {
	r := openLedger(t)
	s := r.inSeason()
	begin(r, s)
	h := r.hand(t)
	address := regexp.MustCompile(`(?:href|action|hx-post|hx-get|src)="([^"]*)"`)
	good := regexp.MustCompile(`^(/static/[a-z]+\.[a-z]+|#[a-zA-Z0-9_.-]+|/?[a-z/-]*(/[a-z2-7]{26}|/[a-z2-7]{16})?(/[a-z]+)?(/[a-z2-7]{26})?(/against/[a-z2-7]{26})?(/[a-z]+)?|/room/tables/out/(clients|cards)\.csv)$`)
	for _, p := range ledgerPages(r, s) {
		page := h.get(p.path)
		for _, m := range address.FindAllStringSubmatch(page, -1) {
			if !good.MatchString(m[1]) {
				t.Errorf("%s holds the address %q", p.name, m[1])
			}
			for _, secret := range []string{"SRC", "C000", "Ọl", "OLD-1"} {
				if strings.Contains(m[1], secret) {
					t.Errorf("%s holds the address %q", p.name, m[1])
				}
			}
		}
	}
}
