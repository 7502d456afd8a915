package web

import (
	"context"
	"strings"
	"testing"

	"clothwright/book"
)

// The list of orders is held to a state, and searched by parts of the client's name or of the number.
func TestOrdersAreListed(t *testing.T) {
	r := openLedger(t)
	s := r.inSeason()
	r.put(func(tx *book.Tx) error { _, err := tx.Move("NEW-1", book.Dropped, ""); return err })
	h := r.hand(t)
	if page := h.get("/orders"); strings.Contains(page, "NEW-1") || !strings.Contains(page, "OLD-1") || !strings.Contains(page, "late: promised for 27 February 2026") || strings.Index(page, "OLD-1") > strings.Index(page, "SRC-08") {
		t.Errorf("the open orders are shown as %s", mainOf(page))
	}
	for _, x := range []struct {
		part, state string
		want        []string
	}{
		{"src", "open", []string{"SRC-08", "SRC-01"}}, {"ngọc", "all", []string{"SRC-01", "NEW-1"}}, {"NGOC bich", "dropped", []string{"NEW-1"}}, {"梅", "ordered", []string{"OLD-1"}},
		{"", "handed-over", nil}, {"", "all", []string{"OLD-1", "SRC-08", "SRC-01", "NEW-1"}}, {"' OR 1=1 --", "all", nil}, {"", "no such state", []string{"OLD-1", "SRC-08", "SRC-01"}},
	} {
		status, found, _ := h.send("POST", "/orders/find", form("token", h.token, "part", x.part, "state", x.state), htmx)
		if status != 200 || strings.Count(found, "<li>") != len(x.want) {
			t.Errorf("%q in %q is answered with %d: %s", x.part, x.state, status, found)
		}
		at := 0
		for _, number := range x.want { // what is due first stands first
			i := strings.Index(found[at:], number)
			if i < 0 {
				t.Fatalf("%q in %q: %s is not where it should be: %s", x.part, x.state, number, found)
			}
			at += i
		}
	}
	if !strings.Contains(h.get("/orders"), r.order(s.due)) {
		t.Error("the list does not lead to an order")
	}
}

// What is owed by whom adds up, and a payment is booked in the currency of the quotation. 1286.50 and 320.00 and 200.00 were quoted, 120.00 paid: 1686.50.
func TestMoneyOwedAndPaid(t *testing.T) {
	r := openLedger(t)
	s := r.inSeason()
	h := r.hand(t)
	page := h.get("/money")
	for _, want := range []string{"1,686.50\u00a0EUR", "1,166.50\u00a0EUR", "120.00\u00a0EUR paid of 1,286.50\u00a0EUR", "nothing paid yet of 320.00\u00a0EUR"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	if _, page, _ := h.send("POST", "/money/find", form("token", h.token, "part", "soyemi"), htmx); strings.Contains(page, "SRC-01") || !strings.Contains(page, "SRC-08") {
		t.Errorf("one who owes is not found: %s", page)
	}
	order := r.server.signed(anOrder, s.due.ID)
	h.post("/money", 303, "order", order, "amount", "1000,25", "why", "part", "on", "2026-03-01")
	paid, err := r.book.Payments(context.Background(), s.due.ID)
	if err != nil || len(paid) != 2 || paid[1] != (book.Payment{Day: "2026-03-01", Amount: 100025, Currency: "EUR", Why: "part"}) {
		t.Fatalf("the book holds %+v, %v", paid, err)
	}
	for _, x := range []struct{ amount, said string }{{"1.234,56", "1.234,56"}, {"ten", "ten"}, {"0", "payment of nothing"}, {"1.005", "1.005"}, {"", ""}} {
		page, _ := h.post("/money", 422, "order", order, "amount", x.amount, "why", "typed at length")
		if !strings.Contains(page, x.said) || !strings.Contains(page, `value="typed at length"`) || !strings.Contains(page, `role="alert"`) {
			t.Errorf("%q is answered with %s", x.amount, mainOf(page))
		}
	}
	h.post("/money", 404, "order", r.server.signed(aClient, s.due.ID), "amount", "1")
	h.post("/money", 303, "order", order, "amount", "166.25", "why", "balance")
	if page := h.get("/money"); strings.Contains(page, "SRC-08") {
		t.Error("who has paid all still owes")
	}
	if got := h.get("/money"); strings.Contains(got, "typed at length") {
		t.Error("an old mistake is shown again")
	}
}

// A client's cloth comes in on their page and goes out by lengths, and no more goes out than is there. 2.6 m less 1.5 m is 1.1 m.
func TestClothOfTheirOwn(t *testing.T) {
	r := openLedger(t)
	s := r.inSeason()
	h := r.hand(t)
	at := r.client(s.ngoc)
	h.post(at+"/cloth", 303, "what", "silk", "length", "3,2 m", "width", "45 in", "state", "sound", "job", "SRC-01", "cloth-note", "her mother's")
	goods, err := r.book.Goods(context.Background(), s.ngoc.ID, false)
	if err != nil || len(goods) != 1 || goods[0].Length != 3200 || goods[0].Width != 45*25.4 || goods[0].Job != "SRC-01" || goods[0].Note != "her mother's" || goods[0].Day != theDay {
		t.Fatalf("the book holds %+v, %v", goods, err)
	}
	page, _ := h.post(at+"/cloth", 422, "what", "more silk", "length", "long", "width", "45 in", "state", "sound")
	if !strings.Contains(page, `value="more silk"`) || !strings.Contains(page, `role="alert"`) {
		t.Errorf("a length that is none is answered with %s", mainOf(page))
	}
	h.post(at+"/cloth", 422, "what", "silk", "length", "3 m", "width", "1 m", "state", "sound", "job", "SRC-08") // another client's order

	out := "/cloth/" + r.server.signed(aCloth, s.cloth.ID) + "/out"
	h.post(out, 303, "length", "1.5 m", "why", "cut for SRC-08")
	if page := h.get("/cloth"); !strings.Contains(page, "1.10\u00a0m of 2.60\u00a0m left") {
		t.Errorf("after 1.5 m went out the page says %s", mainOf(page))
	}
	if page, _ := h.post(out, 422, "length", "2 m", "why", "cut"); !strings.Contains(page, "1.10 m are there") {
		t.Errorf("more than is there is answered with %s", mainOf(page))
	}
	h.post(out, 422, "length", "", "why", "")
	h.post(out, 303, "length", "", "why", "given back")
	if page := h.get("/cloth"); strings.Contains(page, "indigo") {
		t.Error("what is all out is still here")
	}
	if page := h.get("/cloth/all"); !strings.Contains(page, "indigo") {
		t.Error("what is all out is not to be found any more")
	}
	h.post("/cloth/"+r.server.signed(aThing, s.cloth.ID)+"/out", 404, "why", "x")
}

// The shelf takes what is put there, gives no more than it has, and knows what a new thing is.
func TestTheShelf(t *testing.T) {
	r := openLedger(t)
	r.inSeason()
	h := r.hand(t)
	zip, ok, err := r.book.Thing(context.Background(), "zip-45")
	if err != nil || !ok {
		t.Fatal(err)
	}
	at := "/shelf/" + r.server.signed(aThing, zip.ID)
	left := func(code string) int64 {
		x, _, err := r.book.Thing(context.Background(), code)
		if err != nil {
			t.Fatal(err)
		}
		return x.Left
	}
	h.post(at, 303, "way", "take", "quantity", "3", "job", "SRC-08", "why", "cut")
	h.post(at, 303, "way", "put", "quantity", "5")
	if got := left("zip-45"); got != 12 {
		t.Errorf("10 less 3 and 5 more are %d", got)
	}
	if page, _ := h.post(at, 422, "way", "take", "quantity", "13"); !strings.Contains(page, "12 are there") {
		t.Errorf("more than is there is answered with %s", mainOf(page))
	}
	h.post(at, 422, "way", "take", "quantity", "2.5")
	h.post(at, 422, "way", "take", "quantity", "1", "job", "no such order")
	h.post("/shelf/new", 303, "code", "rib-navy", "kind", "rib", "name", "navy rib", "quantity", "2,5 m")
	if got := left("rib-navy"); got != 2500 {
		t.Errorf("2.5 m of rib are %d mm", got)
	}
	page, _ := h.post("/shelf/new", 422, "code", "", "kind", "trim", "name", "typed at length", "quantity", "1")
	if !strings.Contains(page, `value="typed at length"`) {
		t.Errorf("what was typed is lost: %s", mainOf(page))
	}
	h.post("/shelf/new", 422, "code", "x", "kind", "elephant", "name", "x", "quantity", "1")
	h.get("/shelf")
}

// Averages: 70 min on one order and 62 on another are 66 on average.
func TestTimes(t *testing.T) {
	r := openLedger(t)
	r.inSeason()
	h := r.hand(t)
	h.post("/times", 303, "job", "SRC-01", "operation", "Cut every piece", "minutes", "62", "by", "Ama")
	if page := h.get("/times"); !strings.Contains(page, "66 min") {
		t.Errorf("the average is not 66 min: %s", mainOf(page))
	}
	for _, m := range []string{"", "an hour", "0", "7000", "1.5"} {
		if page, _ := h.post("/times", 422, "job", "SRC-01", "operation", "typed at length", "minutes", m); !strings.Contains(page, `value="typed at length"`) {
			t.Errorf("%q minutes are answered with %s", m, mainOf(page))
		}
	}
	h.post("/times", 422, "job", "none", "operation", "Cut every piece", "minutes", "5")
}

// Hours and closed days are changed, in any language's decimals, and the week follows them.
func TestTheRoomsHabits(t *testing.T) {
	r := openLedger(t)
	r.inSeason()
	h := r.hand(t)
	page := h.get("/room")
	for _, want := range []string{"Saltmarsh workroom", `name="hours.mon"`, "6 March 2026", "3 April 2026 to 6 April 2026"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	h.post("/room/hours", 303, "hours.mon", "7,5", "hours.tue", "", "hours.wed", "0", "hours.sun", "2.25")
	hours, err := r.book.Hours(context.Background())
	if err != nil || hours.Minutes != [7]int{135, 450, 0, 0, 0, 0, 0} {
		t.Errorf("the hours are %v, %v", hours.Minutes, err)
	}
	if page := h.get("/room"); !strings.Contains(page, `value="7.5"`) || !strings.Contains(page, `value="2.25"`) {
		t.Error("the hours are not shown as they were kept")
	}
	page, _ = h.post("/room/hours", 422, "hours.mon", "25", "hours.tue", "6")
	if !strings.Contains(page, "Monday: 25 is found") || !strings.Contains(page, `value="25"`) || !strings.Contains(page, `value="6"`) {
		t.Errorf("a day of 25 hours is answered with %s", mainOf(page))
	}
	h.post("/room/closed", 303, "from", "2026-12-24", "to", "2026-12-27")
	h.post("/room/closed", 303, "from", "2026-03-09", "to", "")
	h.post("/room/closed", 303, "open", "2026-04-03..2026-04-06")
	if got, _ := r.book.Setting(context.Background(), book.SetClosed); got != "2026-03-06, 2026-03-09, 2026-12-24..2026-12-27" {
		t.Errorf("the closed days are %q", got)
	}
	for _, x := range [][2]string{{"2026-12-27", "2026-12-24"}, {"tomorrow", ""}, {"", ""}, {"2026-01-01", "2028-01-01"}, {"2026-01-01, 2026-01-02", ""}} {
		h.post("/room/closed", 422, "from", x[0], "to", x[1])
	}
	if page := h.get("/week"); !strings.Contains(page, "7\u00a0h\u00a030\u00a0min") {
		t.Error("the week does not follow the hours")
	}
}
