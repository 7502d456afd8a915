package web

import (
	"context"
	"encoding/binary"
	"fmt"
	"net/http"
	"regexp"
	"strings"
	"testing"

	"clothwright/book"
)

// pressing waits until a page is still, presses what is meant and waits for what must come of it. The page is another one then, or the same
// loaded anew.
func pressing(sel, then string) []step {
	return []step{still, tap(sel), until(then), still}
}

// A designed job goes into the book, is priced, promised, agreed on, paid, cut, fitted, drafted again and handed over, on a phone and by the
// pages alone, with a machine that is switched off in the middle. Half an inch is 12.7 mm (international inch, exact since 1959).
func TestAnOrdersWayOnAPhone(t *testing.T) {
	ctx := longTab(t)
	r, rec := openDesk(t)
	press := func(sel, then string) { t.Helper(); do(t, ctx, pressing(sel, then)...) }
	has := func(sel, words string) string {
		return fmt.Sprintf(`document.querySelector(%q)&&document.querySelector(%q).innerText.includes(%q)`, sel, sel, words)
	}
	do(t, ctx, phone(), open(r.url("/jobs/"+rec.ID+"/sheets")), still, tap("#by"), thumbs("Ama"))
	press(".in-book .main", `document.querySelector(".state-line .now")`)
	at := text(t, ctx, "location.pathname")

	press(`form[action$="/quote"] .button`, `document.querySelector(".reckoning")`)
	do(t, ctx, open(r.url(at)))
	press(`button[value=earliest]`, `document.querySelector(".promised")`)
	press(`form[action$="/confirm"] button`, `document.querySelector('form[action$="/agree"]')`)
	press(`form[action$="/agree"] button`, has("main", "was signed on"))
	press(`form[action$="/pay"] .button`, `document.querySelectorAll(".paid tr").length===1`)
	press(`button[value=cut]`, has(".state-line .now", "being cut"))
	press(`button[value=fitting]`, has(".state-line .now", "at fitting"))

	// The workroom is switched off while what was pinned is typed; nothing of it is lost.
	do(t, ctx, still, tap("#pins"), thumbs("sleeve +1/2 in"), until(has("#pin-notes", "+1/2")))
	r.stop()
	r.start()
	do(t, ctx, reload(), still, until(`document.querySelector("#pins").value==="sleeve +1/2 in"`), tap("#hold-by"), thumbs("Ama"))
	press(`form[action$="/hold"] .button`, has(".pins", "sleeve +1/2 in"))
	press(`form[action$="/redraft"] button`, has(".drafts li", "Draft 2"))
	if got := text(t, ctx, `document.querySelector(".drafts li").innerText`); !strings.Contains(got, "+1/2\u00a0in after the fitting") {
		t.Errorf("the second draft says %q", got)
	}
	press(`button[value=finishing]`, has(".state-line .now", "finishing"))
	press(`button[value=ready]`, has(".state-line .now", "ready"))
	do(t, ctx, until(has(".order-moves", "still to be paid")))
	press(`form[action$="/pay"] .button`, has(".owing", "Everything is paid"))
	press(`button[value=handed-over]`, has(".state-line .now", "handed over"))
	j, err := r.book.Job(context.Background(), "T-1")
	if err != nil || j.State != book.HandedOver {
		t.Errorf("%+v, %v", j, err)
	}
}

// A sheet opens in the browser's own reader of PDF, to be looked at and printed, and is not only saved.
func TestASheetIsShown(t *testing.T) {
	ctx := openTab(t)
	r, rec := openDesk(t)
	_, at := r.ordered(rec)
	do(t, ctx, open(r.url(at+"/sheets/docket.pdf")), until(`document.contentType==="application/pdf"&&location.pathname.endsWith("/docket.pdf")`))
}

// The rules are those of axe-core: https://github.com/dequelabs/axe-core, the W3C's WCAG 2.2 at levels A and AA; and 1.4.10 Reflow down to 320 px.
func TestAnOrderShutsNobodyOut(t *testing.T) {
	ctx := longTab(t)
	r, rec := openDesk(t)
	pages := orderPages(t, r, rec)
	for mode, w := range map[string]int64{"light": 360, "dark": 1440} {
		do(t, ctx, scheme(mode), screen(w, 900))
		for _, p := range pages {
			do(t, ctx, open(r.url(p.path)), evaluate(`document.querySelectorAll("details").forEach(d=>d.open=true)`))
			accessible(t, ctx, fmt.Sprintf("%s, %s, %d wide", p.name, mode, w))
			do(t, ctx, screen(map[int64]int64{360: 320, 1440: 768}[w], 900))
			if text(t, ctx, `document.documentElement.scrollWidth<=innerWidth`) != "true" {
				t.Errorf("%s: the page is wider than the screen", p.name)
			}
			do(t, ctx, screen(w, 900))
		}
	}
	// What is refused, and a day that breaks a promise.
	at := pages[0].path
	c := r.hand(t)
	c.done(at+"/quote", "act", "quote")
	do(t, ctx, open(r.url(at)), screen(360, 740), evaluate(`document.querySelector("#due").value="`+theDay+`";document.querySelector("button[value=day]").click()`), until(`document.querySelector(".breaks")`))
	accessible(t, ctx, "a broken promise")
	do(t, ctx, evaluate(`document.querySelector("#amount").value="much";document.querySelector('form[action$="/pay"] .button').click()`), until(`document.querySelector("#refused")`))
	accessible(t, ctx, "a refused payment")
}

// Cross-site request forgery, as the OWASP Cheat Sheet on it lists the ways; paths that lead elsewhere; bodies that are too large or
// senseless: none changes an order, and none is a fault of ours.
func TestAnOrderIsGuarded(t *testing.T) {
	r, rec := openDesk(t)
	j, at := r.ordered(rec)
	c := r.hand(t)
	other := r.hand(t).token
	ctx := context.Background()
	state := func() string {
		t.Helper()
		now, err := r.book.Job(ctx, j.Number)
		if err != nil {
			t.Fatal(err)
		}
		steps, _ := r.book.Steps(ctx, j.ID)
		fits, _ := r.book.Fits(ctx, j.ID)
		drafts, _ := r.book.Drafts(ctx, j.ID)
		_, quoted, _ := r.book.Quote(ctx, j.ID)
		return fmt.Sprint(now, len(steps), len(fits), len(drafts), quoted)
	}
	was := state()
	posts := []string{"/move", "/quote", "/due", "/confirm", "/agree", "/pay", "/plan", "/hold", "/pins", "/redraft", "/open", "/work", "/draft/1"}
	body := []string{"to", "dropped", "due", "2026-05-01", "which", "anyway", "amount", "5", "plan-on", "2026-05-01", "by", "Eve", "pins", "sleeve +1 in", "operation", "Cut every piece", "minutes", "5"}
	for _, p := range posts {
		for what, token := range map[string]string{"no token": "", "another browser's token": other} {
			if status, _, _ := c.send("POST", at+p, form(append([]string{"token", token}, body...)...), nil); status != http.StatusForbidden {
				t.Errorf("%s with %s is answered with %d", p, what, status)
			}
		}
		if status, _, _ := c.send("POST", at+p, form(append([]string{"token", c.token}, body...)...), func(q *http.Request) { q.Header.Set("Sec-Fetch-Site", "cross-site") }); status != http.StatusForbidden {
			t.Errorf("%s from another site is answered with %d", p, status)
		}
		if status, _, _ := c.send("POST", at+p, form("token", c.token, "pins", strings.Repeat("x", mostBody)), nil); status != http.StatusRequestEntityTooLarge {
			t.Errorf("%s with a large form is answered with %d", p, status)
		}
		if status, _, _ := c.send("GET", at+p, "", nil); p != "/draft/1" && status != http.StatusNotFound && status != http.StatusMethodNotAllowed {
			t.Errorf("%s is answered with %d when it is only asked for", p, status)
		}
	}
	if status, _, _ := c.send("POST", "/jobs/"+rec.ID+"/order", form("token", other, "number", "X", "by", "Eve"), nil); status != http.StatusForbidden {
		t.Errorf("a job is put in the book by another's token: %d", status)
	}
	if now := state(); now != was {
		t.Errorf("a forged change was made: %s was %s", now, was)
	}
	sign := strings.TrimPrefix(at, "/order/")
	for _, p := range []string{
		"/order/1", "/order/" + j.Number, "/order/" + strings.ToUpper(sign), "/order/b" + sign[1:25] + "q", "/order/" + r.server.signed(aClient, j.ID), "/order/..%2f..%2fetc", at + "/sheets/..%2fjob.json",
		at + "/sheets/job.json", at + "/sheets/", at + "/draft/0", at + "/draft/01", at + "/draft/-1", at + "/draft/2", at + "/draft/99999999999999999999", at + "/draft/1/..%2f..%2f.key", at + "/draft/1/.key", at + "/draft/1/job-today.json",
		at + "/sheets/confirmation.pdf", at + "/sheets/quotation.pdf", at + "/costing",
	} {
		if status, _, _ := c.send("GET", p, "", nil); status != http.StatusNotFound {
			t.Errorf("%s is answered with %d; nothing is there", p, status)
		}
	}
	huge := fmt.Sprint(uint64(binary.MaxVarintLen64) << 60)
	for _, x := range [][]string{
		{"/move", "to", "nowhere"}, {"/move", "to", "<script>"}, {"/quote", "pieces", huge}, {"/quote", "pieces", "-1"}, {"/quote", "ask", "NaN"}, {"/quote", "ask", "1e309"}, {"/quote", "own", "gold"}, {"/quote", "discount", "101"},
		{"/due", "due", "0000-00-00", "which", "day"}, {"/due", "which", "earliest", "not-before", "soon"}, {"/pay", "amount", "∞"}, {"/plan", "plan-on", "9999-99-99"}, {"/hold", "by", "Ama", "pins", "sleeve +NaN in"}, {"/hold", "by", "", "pins", "sleeve +1 in"},
		{"/hold", "by", "Ama", "pins", "sleeve +1 in", "fit-on", "today"}, {"/work", "operation", "x", "minutes", huge}, {"/work", "operation", "Cut", "minutes", "-5"}, {"/agree"}, {"/confirm"},
	} {
		status, page, _ := c.send("POST", at+x[0], form(append([]string{"token", c.token, "act", strings.TrimPrefix(x[0], "/")}, x[1:]...)...), nil)
		if status != http.StatusUnprocessableEntity || !strings.Contains(page, `id="refused"`) || strings.Contains(page, "clothwright order") {
			t.Errorf("%q is answered with %d: %.300s", x, status, mainOf(page))
		}
	}
	if now := state(); now != was {
		t.Errorf("a senseless change was made: %s was %s", now, was)
	}
}

// A name, a note and a pin that are a program are shown as text.
func TestAScriptInAnOrderIsOnlyText(t *testing.T) {
	const bad = `"><script>document.title="run"</script><img src=x onerror=alert(1)>'`
	r, rec := openDesk(t)
	rec.Client, rec.Note = bad, bad
	j, at := r.ordered(rec)
	c := r.hand(t)
	c.done(at+"/plan", "act", "plan", "plan-on", "2026-03-05", "plan-note", bad)
	c.done(at+"/hold", "act", "hold", "by", bad, "fit-note", bad, "pins", "")
	c.done(at+"/quote", "act", "quote")
	c.done(at+"/pay", "act", "pay", "amount", "5", "pay-why", bad)
	c.post(at+"/hold", 422, "act", "hold", "by", bad, "pins", bad)
	own := regexp.MustCompile(`(?i)<script>|<script[^>]*src="[^/]|<style|href="javascript:|<img`)
	for _, p := range []string{at, at + "/costing", at + "/draft/1"} {
		status, page, head := c.send("GET", p, "", nil)
		if m := own.FindString(page); status != 200 || m != "" || head.Get("Content-Security-Policy") != policy {
			t.Errorf("%s is answered with %d and holds %q under the policy %q", p, status, m, head.Get("Content-Security-Policy"))
		}
	}
	if _, page, _ := c.send("POST", at+"/pins", form("token", c.token, "pins", bad), nil); own.MatchString(page) {
		t.Errorf("a pin is shown as it is: %s", page)
	}
	if status, _, head := c.send("GET", at+"/sheets/docket.pdf", "", nil); status != 200 || !strings.Contains(head.Get("Content-Disposition"), j.Number) || strings.ContainsAny(head.Get("Content-Disposition"), "\r\n") {
		t.Errorf("the docket is answered with %d, %q", status, head.Get("Content-Disposition"))
	}
}
