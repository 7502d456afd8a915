package web

import (
	"bytes"
	"context"
	"fmt"
	"log"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"clothwright/book"
)

// A book in trouble: the page says the book's own sentence, shows again what was typed, and the book is as it was.

func TestABookThatIsBeingWritten(t *testing.T) {
	r := openLedger(t)
	s := r.inSeason()
	h := r.hand(t)
	other, err := book.Open(r.book.Path(), book.Options{Wait: time.Second})
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	held, done := make(chan bool), make(chan bool)
	ended := make(chan error, 1)
	go func() {
		ended <- other.Write(context.Background(), "reading clients from a table", func(tx *book.Tx) error { close(held); <-done; return nil })
	}()
	<-held
	page, _ := h.post("/clients/new", 503, "name", "Typed At Length", "contact", "typed too")
	for _, want := range []string{"is being written by another program, reading clients from a table", `value="Typed At Length"`, `value="typed too"`, `role="alert"`} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not say %q: %s", want, mainOf(page))
		}
	}
	h.post(r.client(s.late)+"/card/begin", 303) // a card is written in the folder first
	page, _ = h.post(r.client(s.late)+"/card", 503, "then", "book", "by", "Ama", "m.chest_girth", "40")
	if !strings.Contains(page, "is being written by another program") || !strings.Contains(page, `value="40"`) {
		t.Errorf("a card is answered with %s", mainOf(page))
	}
	page, _ = h.post("/money", 503, "order", r.server.signed(anOrder, s.due.ID), "amount", "1.50", "why", "typed at length")
	if !strings.Contains(page, `value="typed at length"`) || !strings.Contains(page, `value="1.50"`) {
		t.Errorf("a payment is answered with %s", mainOf(page))
	}
	h.get("/week") // reading does not wait
	close(done)
	if err := <-ended; err != nil {
		t.Fatal(err)
	}
	h.post("/clients/new", 303, "name", "Typed At Length", "contact", "typed too")
	h.post(r.client(s.late)+"/card", 303, "then", "book")
	if cards, err := r.book.Cards(context.Background(), s.late.ID); err != nil || len(cards) != 1 || cards[0].By != "Ama" {
		t.Errorf("the card that waited is %+v, %v", cards, err)
	}
}

func TestABookThatIsWriteProtected(t *testing.T) {
	r := openLedger(t)
	s := r.inSeason()
	reader, err := book.Open(r.book.Path(), book.Options{ReadOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	defer reader.Close()
	r.stop()
	r.book, r.addr = reader, "127.0.0.1:0"
	r.start()
	h := r.hand(t)
	for _, p := range []string{"/week", "/clients", r.client(s.ola), "/orders", "/money", "/cloth", "/shelf", "/times", "/room", "/room/tables"} {
		h.get(p)
	}
	page, _ := h.post("/clients/new", 403, "name", "Typed At Length")
	if !strings.Contains(page, "opened to look only") || !strings.Contains(page, `value="Typed At Length"`) {
		t.Errorf("a change is answered with %s", mainOf(page))
	}
}

func TestABookOnAFullDisk(t *testing.T) {
	dir := t.TempDir()
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size=1500k", "tmpfs", dir).CombinedOutput(); err != nil {
		t.Skipf("no small disk may be mounted here, so a full one is not tried: %s", bytes.TrimSpace(out))
	}
	t.Cleanup(func() { exec.Command("umount", "-l", dir).Run() })
	r := &room{t: t, dir: t.TempDir(), addr: "127.0.0.1:0", book: newBook(t, filepath.Join(dir, "small.book"))}
	r.start()
	t.Cleanup(r.stop)
	h := r.hand(t)
	h.post("/clients/new", 303, "name", "Before")
	f, err := os.Create(filepath.Join(dir, "full"))
	if err != nil {
		t.Fatal(err)
	}
	for chunk := []byte(strings.Repeat("x", 4096)); err == nil; {
		_, err = f.Write(chunk)
	}
	f.Close()
	full := 0
	for i := range 60 { // what SQLite has set aside already takes a few more
		status, page, _ := h.send("POST", "/clients/new", form("token", h.token, "name", fmt.Sprint("Typed ", i), "note", strings.Repeat("typed at length ", 24)), nil)
		if status == 303 {
			continue
		}
		full++
		if status != http.StatusInsufficientStorage || !strings.Contains(page, "is full: nothing was written") || !strings.Contains(page, "typed at length") {
			t.Fatalf("a full disk is answered with %d: %s", status, mainOf(page))
		}
		break
	}
	if full == 0 {
		t.Error("the disk was never full")
	}
	if found, err := r.book.Find(context.Background(), "before", 2); err != nil || len(found) != 1 {
		t.Errorf("after that the book holds %v, %v", found, err)
	}
}

// A book of a newer program cannot be read at all: its pages say so, and the jobs are there all the same.
func TestABookOfANewerProgram(t *testing.T) {
	folder, err := OpenFolder(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer folder.Close()
	const said = "the book x was written by a newer clothwright (schema 9; this one knows 3); use the newer program, the book was not touched"
	s := httptest.NewServer(New(Options{Store: folder, Key: randomBytes(32), BookFault: &book.Fault{Code: book.Newer, Text: said}}))
	defer s.Close()
	c := newClient(t, s.URL)
	h := hand{c, c.token("/")}
	for _, p := range []string{"/week", "/clients", "/orders", "/money", "/cloth", "/shelf", "/times", "/room", "/room/tables", "/clients/new"} {
		if status, page, _ := c.send("GET", p, "", nil); status != http.StatusServiceUnavailable || !strings.Contains(page, "written by a newer clothwright") {
			t.Errorf("%s is answered with %d: %s", p, status, mainOf(page))
		}
	}
	if page, _ := h.post("/clients/new", 503, "name", "x"); !strings.Contains(page, "written by a newer clothwright") {
		t.Errorf("a change is answered with %s", mainOf(page))
	}
	for _, p := range []string{"/clients/find", "/orders/find", "/money/find"} { // a page's script puts an answer in its place only when it is one
		if status, part, _ := c.send("POST", p, form("token", h.token, "part", "x"), htmx); status != 200 || strings.Contains(part, "<html") || !strings.Contains(part, "written by a newer clothwright") {
			t.Errorf("%s is answered with %d: %s", p, status, part)
		}
	}
	h.post("/jobs", 303)
}

// Every change of the book's pages wants its form token and the same site, whatever it is; and none is made by asking for a page.
func TestForgedChangesOfTheBook(t *testing.T) {
	r := openLedger(t)
	s := r.inSeason()
	h := r.hand(t)
	var before bytes.Buffer
	if err := r.book.Export(context.Background(), &before); err != nil {
		t.Fatal(err)
	}
	place := strings.NewReplacer("{client}", r.server.signed(aClient, s.ola.ID), "{card}", r.server.signed(aCard, s.cards[0].ID), "{other}", r.server.signed(aCard, s.cards[1].ID),
		"{order}", r.server.signed(anOrder, s.due.ID), "{cloth}", r.server.signed(aCloth, s.cloth.ID), "{thing}", r.server.signed(aThing, 1))
	values := []string{"name", "Forged", "said", "twice", "path", "forged.jpg", "amount", "1", "order", r.server.signed(anOrder, s.due.ID), "why", "forged", "way", "put", "quantity", "1", "code", "forged", "kind", "trim", "job", "SRC-08",
		"operation", "Forged", "minutes", "1", "hours.mon", "1", "from", "2026-05-01", "what", "forged", "length", "1 m", "width", "1 m", "state", "forged", "then", "book"}
	tried := 0
	for pattern := range r.server.pages() {
		method, path, _ := strings.Cut(pattern, " ")
		path = place.Replace(path)
		if strings.Contains(path, "{") {
			continue // of a job, or of another room's pages
		}
		if method == "GET" {
			h.send("GET", path, "", nil)
			continue
		}
		if path == "/language" || path == "/enter" || path == "/leave" || path == "/jobs" {
			continue
		}
		tried++
		for what, change := range map[string]func(*http.Request){"no token": nil, "another site": func(q *http.Request) { q.Header.Set("Sec-Fetch-Site", "cross-site") }} {
			pairs := values
			if what == "another site" {
				pairs = append([]string{"token", h.token}, values...)
			}
			if status, _, _ := h.send("POST", path, form(pairs...), change); status != http.StatusForbidden {
				t.Errorf("%s, %s: the answer is %d; 403 is wanted", pattern, what, status)
			}
		}
	}
	if tried < 17 {
		t.Errorf("only %d changes were tried", tried)
	}
	var after bytes.Buffer
	if err := r.book.Export(context.Background(), &after); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(before.Bytes(), after.Bytes()) {
		t.Error("something was changed")
	}
}

// Before signing in none of the book's pages is answered, and a sign that was made up leads nowhere.
func TestTheBookIsNotSeenFromOutside(t *testing.T) {
	r := openLedger(t)
	s := r.inSeason()
	lock, err := NewLock("lantern otter gable thimble")
	if err != nil {
		t.Fatal(err)
	}
	key, err := r.folder.Secret()
	if err != nil {
		t.Fatal(err)
	}
	closed := httptest.NewServer(New(Options{Store: r.folder, Key: key, Book: r.book, Lock: lock}))
	defer closed.Close()
	outside := newClient(t, closed.URL)
	for _, p := range ledgerPages(r, s) {
		if status, page, head := outside.send("GET", p.path, "", nil); status != http.StatusSeeOther || head.Get("Location") != "/enter" || strings.Contains(page, s.ola.Name) {
			t.Errorf("%s is answered with %d before signing in", p.name, status)
		}
	}
	h := r.hand(t)
	sign := r.server.signed(aClient, s.ola.ID)
	for _, p := range []string{
		"/clients/1", "/clients/C0001", "/clients/" + strings.ToUpper(sign), "/clients/..%2f..%2fweek", "/clients/" + r.server.signed(aClient, 99), "/clients/" + r.server.signed(anOrder, s.ola.ID), "/clients/" + strings.Repeat("a", 26),
		"/clients/" + sign + "/cards/1", "/clients/" + sign + "/cards/" + sign, "/clients/" + sign + "/cards/" + r.server.signed(aCard, 99), "/room/tables/out/..%2f..%2froom.book", "/room/tables/out/", "/clients/" + sign + "/copy", "/clients/'%20OR%201=1",
	} {
		if status, page, _ := h.send("GET", p, "", nil); status < 400 || status >= 500 || strings.Contains(page, s.ola.Contact) {
			t.Errorf("%s is answered with %d", p, status)
		}
	}
}

// A name that is a program is shown on every page of the book, and run on none.
func TestAScriptInTheBookIsOnlyText(t *testing.T) {
	const bad = `"><script>document.title="run"</script><img src=x onerror=alert(1)>'`
	r := openLedger(t)
	s := r.inSeason()
	r.put(func(tx *book.Tx) error {
		x := s.ola
		x.Name, x.Contact, x.Note = bad, bad, bad
		if err := tx.ChangeClient(x); err != nil {
			return err
		}
		if _, err := tx.AddCard(x.ID, book.Card{Taken: theDay, By: bad, Note: bad, Measures: []book.Measure{{Name: "chest_girth", Said: bad, MM: 900}}}); err != nil {
			return err
		}
		if _, err := tx.AddFit("SRC-08", book.Fit{Day: "2026-03-03", Note: bad}); err != nil {
			return err
		}
		if _, err := tx.TakeGoods(x.ID, "", book.Goods{Day: theDay, What: bad, Length: 100, Width: 100, Condition: bad, Note: bad}); err != nil {
			return err
		}
		if err := tx.AddPhoto(x.ID, book.Photo{Path: bad, Note: bad, Day: theDay}, nil); err != nil {
			return err
		}
		if _, err := tx.PutShelf(book.Shelf{Code: bad, Kind: "trim", Name: bad}, 1, "", theDay, bad); err != nil {
			return err
		}
		if err := tx.RecordTime("SRC-08", bad, 5, theDay, bad); err != nil {
			return err
		}
		return tx.Set(book.SetName, bad)
	})
	begin(r, s)
	h := r.hand(t)
	own := regexp.MustCompile(`(?i)<script>|<script[^>]*src="[^/]|<style|href="javascript:|<img`)
	for _, p := range ledgerPages(r, s) {
		status, page, head := h.send("GET", p.path, "", nil)
		if m := own.FindString(page); status != 200 || m != "" {
			t.Errorf("%s is answered with %d and holds %q", p.name, status, m)
		}
		if csp := head.Get("Content-Security-Policy"); csp != policy {
			t.Errorf("%s has the policy %q", p.name, csp)
		}
	}
	ctx := openTab(t)
	do(t, ctx, open(r.url(r.client(s.ola))))
	if got := text(t, ctx, `document.title.startsWith("run")+" "+document.querySelectorAll("img").length+" "+[...document.querySelectorAll("*")].filter(e=>[...e.attributes].some(a=>a.name.startsWith("on")||a.name==="style")).length`); got != "false 0 0" {
		t.Errorf("the name was run: %s", got)
	}
}

// The log says the kind of page, and nothing of anybody.
func TestTheLogNamesNobody(t *testing.T) {
	r := openLedger(t)
	s := r.inSeason()
	var said bytes.Buffer
	key, err := r.folder.Secret()
	if err != nil {
		t.Fatal(err)
	}
	srv := httptest.NewServer(New(Options{Store: r.folder, Key: key, Book: r.book, Log: log.New(&said, "", 0)}))
	c := newClient(t, srv.URL)
	h := hand{c, c.token("/")}
	h.get(r.client(s.ola))
	h.post("/clients/find", 200, "part", "Ọláídé")
	h.post("/clients/new", 422, "name", "Another", "code", s.ola.Code)
	h.post("/money", 422, "order", r.server.signed(anOrder, s.due.ID), "amount", "much")
	srv.Close()
	for _, secret := range []string{s.ola.Name, "Ọl", s.ola.Code, "SRC-08", "Another", "much", r.server.signed(aClient, s.ola.ID)} {
		if strings.Contains(said.String(), secret) {
			t.Errorf("the log holds %q", secret)
		}
	}
	if !strings.Contains(said.String(), "GET /clients/{client} 200") {
		t.Errorf("the log is %q", said.String())
	}
}
