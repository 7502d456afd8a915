package web

import (
	"context"
	"net/http"
	"os"
	"regexp"
	"strings"
	"testing"

	"clothwright/book"
	"clothwright/desk"
)

// openDesk opens a workroom with a book, prices and hours, and a designed job in work.
func openDesk(t *testing.T) (*room, *Record) {
	t.Helper()
	r := openLedger(t)
	costing, err := os.ReadFile("../examples/saltmarsh/costing.toml")
	if err != nil {
		t.Fatal(err)
	}
	r.put(func(tx *book.Tx) error {
		if err := tx.Set(book.SetHours, "mon-fri 6"); err != nil {
			return err
		}
		return tx.SetFile(book.SetCosting, costing)
	})
	return r, r.measured()
}

// ordered takes the job in work into the book and gives the address of its order.
func (r *room) ordered(rec *Record) (book.Job, string) {
	r.t.Helper()
	ctx := context.Background()
	src, err := r.folder.JobFile(rec)
	if err != nil {
		r.t.Fatal(err)
	}
	o, err := desk.Read(rec.Number+".toml", src, r.folder.Refer)
	if err != nil {
		r.t.Fatal(err)
	}
	took, err := desk.Take(ctx, r.book, []*desk.Order{o}, "Ama", "")
	if err != nil {
		r.t.Fatal(err)
	}
	return took[0].Job, r.order(took[0].Job)
}

// done sends a form that must be done, and gives the page it leads to.
func (h hand) done(path string, pairs ...string) string {
	h.t.Helper()
	_, to := h.post(path, http.StatusSeeOther, pairs...)
	return h.get(to)
}

// refused sends a form that must not be done, and wants the page to say so and to hold what was typed.
func (h hand) refused(path string, want []string, pairs ...string) {
	h.t.Helper()
	page, _ := h.post(path, http.StatusUnprocessableEntity, pairs...)
	says(h.t, path, page, want...)
}

func says(t *testing.T, what, page string, want ...string) {
	t.Helper()
	for _, w := range want {
		if !strings.Contains(page, w) {
			t.Errorf("%s does not say %q:\n%s", what, w, mainOf(page))
		}
	}
}

// A designed job becomes an order, is priced, promised, agreed on, fitted, drafted again and handed over, all by forms and without
// script; every sheet is a PDF.
func TestAnOrderByForms(t *testing.T) {
	r, rec := openDesk(t)
	c := r.hand(t)
	sheets := "/jobs/" + rec.ID + "/sheets"
	page := c.get(sheets)
	says(t, "the sheets' page", page, "Put this job in the book", `value="T-1"`)
	c.refused("/jobs/"+rec.ID+"/order", []string{"Give the order a number first.", `value="Ama"`}, "number", "", "by", "Ama")
	page = c.done("/jobs/"+rec.ID+"/order", "number", "T-1", "by", "Ama")
	j, err := r.book.Job(context.Background(), "T-1")
	if err != nil {
		t.Fatal(err)
	}
	at := r.order(j)
	says(t, "the new order", page, "Invented Client", "No price is named yet.", "No day is promised yet.", "Draft 1")

	c.refused(at+"/confirm", []string{"There is no quotation yet: make one first."}, "act", "confirm")
	c.refused(at+"/quote", []string{"Discount: -5 is below nought.", `value="40"`}, "act", "quote", "discount", "-5", "deposit", "40")
	page = c.done(at+"/quote", "act", "quote", "discount", "2,5", "pieces", "1")
	says(t, "the costing", page, "For the workroom alone", "Labour", "Cut every piece")
	page = c.done(at+"/due", "act", "due", "which", "earliest")
	if j, err = r.book.Job(context.Background(), "T-1"); err != nil || j.Due == "" {
		t.Fatalf("%+v, %v", j, err)
	}
	says(t, "the order", page, languages["en"].Date(j.Due))
	page = c.done(at+"/confirm", "act", "confirm")
	says(t, "the order", page, "Sheet 1 of 2 March 2026 waits to be signed.")
	page = c.done(at+"/agree", "act", "agree")
	says(t, "the order", page, "Sheet 1 was signed on 2 March 2026.", "To the cutting table")
	page = c.done(at+"/pay", "act", "pay", "amount", "100,00", "pay-why", "deposit")
	says(t, "the order", page, "100.00\u00a0EUR", "still to be paid")

	for _, f := range []string{"sheets/quotation.pdf", "sheets/costing.pdf", "sheets/confirmation.pdf", "sheets/docket.pdf", "draft/1/chalk.pdf", "draft/1/lay-plan.pdf"} {
		status, pdf, h := c.send("GET", at+"/"+f, "", nil)
		if status != 200 || !strings.HasPrefix(pdf, "%PDF-") || h.Get("Content-Type") != "application/pdf" || !strings.HasPrefix(h.Get("Content-Disposition"), "inline") {
			t.Errorf("%s is answered with %d, %s, %s, %.8q", f, status, h.Get("Content-Type"), h.Get("Content-Disposition"), pdf)
		}
	}
	// PNG, its first eight bytes: ISO/IEC 15948.
	if status, png, _ := c.send("GET", at+"/sheets/confirmation.png", "", nil); status != 200 || !strings.HasPrefix(png, "\x89PNG\r\n\x1a\n") {
		t.Errorf("the picture of the confirmation is answered with %d, %.8q", status, png)
	}

	page = c.done(at+"/move", "act", "move", "to", "cut")
	page = c.done(at+"/plan", "act", "plan", "plan-on", "2026-03-09", "plan-note", "at four")
	says(t, "the order", page, "9 March 2026", "planned", "at four")
	page = c.done(at+"/move", "act", "move", "to", "fitting")
	c.refused(at+"/hold", []string{"names no place that can be pinned", "sleeve +1/2 in\nknee +1 cm", `value="Ama"`}, "act", "hold", "pins", "sleeve +1/2 in\nknee +1 cm", "by", "Ama")
	_, notes, _ := c.send("POST", at+"/pins", form("token", c.token, "pins", "sleeve +1/2 in\nhem wider 1 cm\nknee +1 cm"), nil)
	says(t, "the reading of the pins", notes, "+1/2\u00a0in", "made by hand", "names no place")
	page = c.done(at+"/hold", "act", "hold", "pins", "sleeve +1/2 in\nhem wider 1 cm", "by", "Ama", "fit-on", "2026-03-09")
	says(t, "the order", page, "sleeve +1/2 in", "(by hand)")
	page = c.done(at+"/redraft", "act", "redraft")
	says(t, "the order", page, "Draft 2", "+1/2\u00a0in after the fitting: sleeve +1/2 in", "Sheet 1 is no longer true")
	page = c.done(at+"/redraft", "act", "redraft")
	says(t, "the order", page, "Nothing changed, so no new draft was made.")
	page, _ = c.post(at+"/draft/1", http.StatusOK)
	says(t, "the draft", page, "the same, byte for byte")

	for _, s := range []string{"finishing", "ready"} {
		page = c.done(at+"/move", "act", "move", "to", s)
	}
	says(t, "the order", page, "are still to be paid")
	page = c.done(at+"/move", "act", "move", "to", "handed-over", "move-note", "to the cox")
	says(t, "the order", page, "handed over", "to the cox")
}

// A day that breaks a promise is not promised: the page says whose, and offers the earliest.
func TestADayThatBreaksAPromise(t *testing.T) {
	r, rec := openDesk(t)
	c := r.hand(t)
	j, at := r.ordered(rec)
	rec.Number = "T-2"
	_, other := r.ordered(rec)
	for _, a := range []string{at, other} {
		c.done(a+"/quote", "act", "quote")
	}
	page := c.done(at+"/due", "act", "due", "which", "earliest")
	first, err := r.book.Job(context.Background(), j.Number)
	if err != nil || first.Due == "" {
		t.Fatalf("%+v, %v", first, err)
	}
	says(t, "the order", page, languages["en"].Date(first.Due))
	page, _ = c.post(other+"/due", http.StatusConflict, "act", "due", "due", theDay, "which", "day")
	says(t, "the refusal", page, "Nothing is promised yet", "T-1</bdi>: promised for", "instead", "all the same")
	if now, _ := r.book.Job(context.Background(), "T-2"); now.Due != "" {
		t.Errorf("%s was promised", now.Due)
	}
	c.done(other+"/due", "act", "due", "due", theDay, "which", "anyway")
	if now, _ := r.book.Job(context.Background(), "T-2"); now.Due != theDay {
		t.Errorf("%q was promised anyway; %s was asked for", now.Due, theDay)
	}
}

// An order opened for changing is a job in work that remembers its order, by the order's own house; it comes back as the next draft, and
// new measures as a card that corrects the old one.
func TestAnOrderIsOpenedAndBroughtBack(t *testing.T) {
	r, rec := openDesk(t)
	c := r.hand(t)
	c.done("/jobs/"+rec.ID+"/order", "number", "T-1", "by", "Ama")
	ctx := context.Background()
	j, err := r.book.Job(ctx, "T-1")
	if err != nil {
		t.Fatal(err)
	}
	at := r.order(j)
	c.done(at+"/open", "act", "open")
	if all, _ := r.folder.List(); len(all) != 1 { // the job it was taken from is in step with it
		t.Fatalf("%d jobs are in work; the one that was taken is to be gone on with", len(all))
	}
	c.done("/jobs/"+rec.ID+"/order", "why", "nothing")
	if drafts, _ := r.book.Drafts(ctx, j.ID); len(drafts) != 1 {
		t.Errorf("nothing was changed, and there are %d drafts", len(drafts))
	}
	c.done("/jobs/"+rec.ID+"/design", "s.ease", "roomy")
	page := c.done("/jobs/"+rec.ID+"/order", "why", "wants it roomier")
	says(t, "the order", page, "Draft 2", "wants it roomier")
	c.done("/jobs/"+rec.ID+"/measure", "m.chest_girth", "42")
	c.refused("/jobs/"+rec.ID+"/order", []string{"say who held the tape", "measured again"}, "why", "measured again")
	page = c.done("/jobs/"+rec.ID+"/order", "why", "measured again", "by", "Kofi")
	says(t, "the order", page, "Draft 3", "measured again")
	cards, err := r.book.Cards(ctx, j.ClientID)
	if err != nil || len(cards) != 2 || cards[1].Corrects != cards[0].ID || cards[1].Measure("chest_girth").Said != "42 in" {
		t.Errorf("%+v, %v", cards, err)
	}
	// A job that was thrown away is made again from the order alone, and drafts the same.
	if err := r.folder.Remove(rec.ID); err != nil {
		t.Fatal(err)
	}
	c.done(at+"/open", "act", "open")
	again := r.only()
	if again.Measures["chest_girth"].Text != "42 in" || again.Style["ease"] != "roomy" || again.Kept.Order != "T-1" || again.Client != "Invented Client" {
		t.Errorf("%+v", again)
	}
	cut, err := r.server.cut(again)
	if err != nil || cut.err != nil {
		t.Fatal(err, cut.err)
	}
	now, err := cut.result.JSON()
	if err != nil {
		t.Fatal(err)
	}
	d, err := r.book.Draft(ctx, j.ID, 0)
	if err != nil {
		t.Fatal(err)
	}
	kept, err := desk.Again(d)
	if err != nil {
		t.Fatal(err)
	}
	then, err := kept.JSON()
	if err != nil {
		t.Fatal(err)
	}
	if string(now) != string(then) {
		t.Error("the opened job drafts otherwise than its order")
	}
}

// What is refused is refused in the reader's language and names no command.
func TestRefusalsOfTheDeskInOtherLanguages(t *testing.T) {
	r, rec := openDesk(t)
	_, at := r.ordered(rec)
	c := r.hand(t)
	for lang, want := range map[string]string{"fr": "pas encore de devis", "pt": "Ainda não há orçamento", "es": "Todavía no hay presupuesto"} {
		_, page, _ := c.send("POST", at+"/confirm", form("token", c.token, "act", "confirm"), func(q *http.Request) { q.Header.Set("Accept-Language", lang) })
		says(t, lang, page, want)
	}
	page, _ := c.post(at+"/move", 422, "act", "move", "to", "cut")
	says(t, "the refusal", page, "from there it can go to")
	page, _ = c.post(at+"/agree", 422, "act", "agree")
	if strings.Contains(mainOf(page), "clothwright order") {
		t.Errorf("a command is named on a page:\n%s", mainOf(page))
	}
}

// A second order from a client's card begins with what the fitting of the first taught: half an inch on the sleeve is 12.7 mm (international
// inch, exact since 1959). Its page says so in the language of the page, and so does its price.
func TestAnotherOrderFromTheCard(t *testing.T) {
	r, rec := openDesk(t)
	j, at := r.ordered(rec)
	c := r.hand(t)
	c.done(at+"/hold", "act", "hold", "pins", "sleeve +1/2 in", "by", "Ama")
	who := "/clients/" + r.server.signed(aClient, j.ClientID)
	says(t, "the client's page", c.get(who), "Order a jacket from the newest card", `value="T-2"`)
	page, _ := c.post(who+"/order", 422, "act", "order", "number", "T-1", "order-note", "the same again")
	says(t, "the refusal", page, "There is a job T-1 already", "the same again")
	page = c.done(who+"/order", "act", "order", "number", "T-2")
	says(t, "the order", page, "T-2", "Arm length: 25 in on the card, +1/2\u00a0in after the fitting: sleeve +1/2 in")
	next, err := r.book.Job(context.Background(), "T-2")
	if err != nil {
		t.Fatal(err)
	}
	at = r.order(next)
	c.done(at+"/quote", "act", "quote")
	for lang, want := range map[string][]string{"fr": {"après l&#39;essayage", "Acompte, pour commencer", "+1/2\u00a0in"}, "pt": {"depois da prova", "Sinal, para começar"}, "es": {"tras la prueba", "Anticipo, para empezar"}} {
		_, page, _ := c.send("GET", at, "", func(q *http.Request) { q.Header.Set("Accept-Language", lang) })
		says(t, lang, page, want...)
		if m := regexp.MustCompile(`the garment measures|Deposit, to begin|on the card`).FindString(mainOf(page)); m != "" {
			t.Errorf("%s: the page says %q", lang, m)
		}
	}
	page = c.done(who+"/order", "act", "order", "number", "T-3", "fresh", "yes")
	if strings.Contains(page, "after the fitting: sleeve") {
		t.Error("a fresh order carries an earlier fitting")
	}
}

// An order that another program booked without a draft, or whose quotation cannot be reckoned again, has its page all the same, and what
// cannot be done with it is one sentence.
func TestAnOrderWithoutADraft(t *testing.T) {
	r := openLedger(t)
	s := r.inSeason()
	c := r.hand(t)
	for _, j := range []book.Job{s.due, s.fit, s.behind} {
		at := r.order(j)
		says(t, j.Number, c.get(at), j.Number, "There is no draft to print.")
		for _, p := range []string{"/costing", "/sheets/quotation.pdf", "/sheets/docket.pdf"} {
			status, page, _ := c.send("GET", at+p, "", nil)
			if status != http.StatusUnprocessableEntity && status != http.StatusNotFound {
				t.Errorf("%s%s is answered with %d: %s", j.Number, p, status, mainOf(page))
			}
		}
		for _, p := range []string{"/quote", "/confirm", "/redraft", "/open"} {
			if status, page, _ := c.send("POST", at+p, form("token", c.token, "act", p[1:]), nil); status != http.StatusUnprocessableEntity {
				t.Errorf("%s%s is answered with %d: %s", j.Number, p, status, mainOf(page))
			}
		}
	}
}
