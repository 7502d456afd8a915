package web

import (
	"context"
	"fmt"
	"testing"

	"github.com/chromedp/chromedp/kb"

	"clothwright/book"
)

// still waits until nothing is under way on the page and nothing typed is unsent.
var still = until(`document.readyState==="complete"&&document.documentElement.classList.contains("live")&&!` + unsent + `&&!document.querySelector(".htmx-request,.htmx-settling,.htmx-swapping")`)

// A new client with a name in another script, a card typed with a reload in the middle, found by search, corrected, the difference shown, an order due this
// week, and its payment.
func TestAClientsWayThroughTheBook(t *testing.T) {
	ctx := longTab(t)
	r := openLedger(t)
	do(t, ctx, phone(), open(r.url("/clients")), still, tap(`a[href="/clients/new"]`), until(`document.querySelector("#name")`), still)
	do(t, ctx, tap("#name"), thumbs("अनिता देवी"), tap("#contact"), thumbs("by the well"), tap(".fields .main"), until(`document.querySelector(".person-head h1")`), still)
	if got := text(t, ctx, `document.querySelector(".person-head h1").innerText.trim()`); got != "अनिता देवी" {
		t.Fatalf("the client is called %q", got)
	}
	at := text(t, ctx, "location.pathname")

	do(t, ctx, tap(`form[action$="/card/begin"] button`), until(`document.querySelector("#m-chest_girth")`), still, tap("#by"), thumbs("Ama"))
	for _, m := range [][2]string{{"chest_girth", "36 1/2"}, {"shoulder_width", "15"}, {"body_length", "24"}, {"arm_length", "23"}, {"wrist_girth", "6 1/2"}} {
		do(t, ctx, tap("#m-"+m[0]), until(fmt.Sprintf(`document.activeElement.id===%q`, "m-"+m[0])), thumbs(m[1]), still)
	}
	do(t, ctx, reload(), still)
	if got := text(t, ctx, `document.querySelector("#m-chest_girth").value+" "+document.querySelector("#by").value`); got != "36 1/2 Ama" {
		t.Fatalf("after a reload the card says %q", got)
	}
	do(t, ctx, tap(".ends .main"), until(`document.querySelector(".cards > li")&&document.querySelector("main [role=status]")`), still)

	// Found as it is typed, a part in the middle of the name, and opened.
	do(t, ctx, open(r.url("/clients")), still, tap("#part"), thumbs("देव"), until(`document.querySelectorAll("#found li").length===1`), still)
	do(t, ctx, thumbs("x"), until(`document.querySelectorAll("#found li").length===0`), open(r.url("/clients")), still, tap("#part"), thumbs("अनि"), until(`document.querySelectorAll("#found li").length===1`), tap("#found li a"), until(`location.pathname===`+fmt.Sprintf("%q", at)), still)

	do(t, ctx, tap(".cards h3 a"), until(`document.querySelector(".on-card")`), still, tap(`form[action$="/card/begin"] button`), until(`document.querySelector("#m-chest_girth")`), still)
	do(t, ctx, until(`document.querySelector("#m-chest_girth").value==="36 1/2"`), focus("#m-chest_girth"), typeIn(kb.End+kb.Backspace+kb.Backspace+kb.Backspace+kb.Backspace+" 3/4"), still, until(`document.querySelector("#note-chest_girth").innerText.includes("+1/4 in")`))
	do(t, ctx, tap("#by"), thumbs("Kofi"), still, tap(".ends .main"), until(`document.querySelectorAll(".cards > li").length===2`), until(`document.querySelector(".differences").innerText.includes("+1/4 in")`), still)
	do(t, ctx, tap(".cards h3 a"), until(`document.querySelector(".on-card .differs")&&document.querySelector(".on-card .differs").innerText.includes("36 1/2")`))

	x, err := r.book.Client(context.Background(), "अनिता देवी")
	if err != nil {
		t.Fatal(err)
	}
	r.put(func(tx *book.Tx) error {
		j, err := tx.AddJob(x.ID, book.Job{Number: "A-1", Garment: "rib-zip-jacket", Due: "2026-03-04"})
		if err != nil {
			return err
		}
		_, err = tx.AddQuote(j.ID, book.Quoted{Draft: 1, Currency: "EUR", Total: 30000, Deposit: 15000, Minutes: 60, Words: "{}", Costing: []byte("x")})
		return err
	})
	do(t, ctx, open(r.url("/")), still, tap(`.doors a[href="/week"]`), until(`document.querySelector(".entry-due")&&document.querySelector(".entry-due").innerText.includes("A-1")`))
	do(t, ctx, open(r.url("/money")), still, tap("#found summary"), until(`document.querySelector("#found details[open]")`), tap("#found [name=amount]"), thumbs("150,00"), tap("#found [name=why]"), thumbs("deposit"), tap("#found details .button"), until(`document.querySelector("main [role=status]")&&document.querySelector("#found").innerText.includes("150.00\u00a0EUR paid of 300.00")`), still)
	if got := text(t, ctx, `Object.keys(sessionStorage).filter(k=>k.startsWith("held ")).length`); got != "0" {
		t.Errorf("%s forms are still held after their change was made", got)
	}
}

// What is typed into a form of the book outlives a workroom that is switched off, and is let go when it is in the book.
func TestAFormIsHeld(t *testing.T) {
	ctx := openTab(t)
	r := openLedger(t)
	do(t, ctx, open(r.url("/clients/new")), still, click("#name"), typeIn("Typed At Length"), click("#note"), typeIn("and more"))
	r.stop()
	do(t, ctx, evaluate(`document.querySelector(".fields").requestSubmit()`), settle)
	r.start()
	do(t, ctx, open(r.url("/clients/new")), still, until(`document.querySelector("#name").value==="Typed At Length"&&document.querySelector("#note").value==="and more"`))
	do(t, ctx, click(".fields .main"), until(`document.querySelector(".person-head")`), open(r.url("/clients/new")), still, until(`document.querySelector("#name").value===""`))
}

// With the keyboard alone: a client, a card and a payment.
func TestTheBookByKeyboardAlone(t *testing.T) {
	ctx := longTab(t)
	r := openLedger(t)
	s := r.inSeason()
	tabTo := func(sel string) {
		t.Helper()
		for range 160 {
			if text(t, ctx, fmt.Sprintf(`!!document.activeElement&&document.activeElement.matches(%q)`, sel)) == "true" {
				if text(t, ctx, `(()=>{const s=getComputedStyle(document.activeElement);return document.activeElement.matches(":focus-visible")&&(s.outlineStyle!=="none"||document.activeElement.matches("input[type=radio]"))})()`) != "true" {
					t.Errorf("%s has the focus and does not show it", sel)
				}
				return
			}
			do(t, ctx, typeIn(kb.Tab))
		}
		t.Fatalf("the keyboard does not reach %s", sel)
	}
	do(t, ctx, open(r.url("/")), still)
	tabTo(`.doors a[href="/clients"]`)
	do(t, ctx, typeIn("\r"), until(`document.querySelector("#part")`), still) // the search has the focus
	do(t, ctx, typeIn("soyemi"), until(`document.querySelectorAll("#found li").length===1`))
	tabTo("#found li a")
	do(t, ctx, typeIn("\r"), until(`document.querySelector(".person")`), still)
	tabTo(`form[action$="/card/begin"] button`)
	do(t, ctx, typeIn("\r"), until(`document.querySelector("#m-chest_girth")`), still)
	tabTo("#by")
	do(t, ctx, typeIn("Keys"))
	tabTo("#m-chest_girth")
	do(t, ctx, typeIn("96"), still)
	tabTo(".ends .main")
	do(t, ctx, typeIn("\r"), until(`document.querySelectorAll(".cards > li").length===3`), still)
	do(t, ctx, open(r.url("/money")), still)
	tabTo(`#found summary`)
	do(t, ctx, typeIn("\r"), until(`document.querySelector("#found details[open]")`))
	tabTo("#found details[open] [name=amount]")
	do(t, ctx, typeIn("20"))
	tabTo("#found details[open] .button")
	do(t, ctx, typeIn("\r"), until(`document.querySelector("main [role=status]")`))
	if paid, err := r.book.Payments(context.Background(), s.due.ID); err != nil || len(paid) != 2 || paid[1].Amount != 2000 {
		t.Errorf("the book holds %+v, %v", paid, err)
	}
}

// Without script a client is found, a card is written and a payment booked by ordinary forms.
func TestTheBookWithoutScript(t *testing.T) {
	ctx := openTab(t)
	r := openLedger(t)
	s := r.inSeason()
	do(t, ctx, script(false), open(r.url("/clients")), click("#part"), typeIn("梅\r"), until(`document.querySelectorAll("#found li").length===1`), click("#found li a"), until(`document.querySelector(".person")`))
	do(t, ctx, click(`form[action$="/card/begin"] button`), until(`document.querySelector("#m-chest_girth")`), focus("#by"), typeIn("Ama"), focus("#m-chest_girth"), typeIn("33"), click(".ends .main"), until(`document.querySelectorAll(".cards > li").length===1`))
	if cards, err := r.book.Cards(context.Background(), s.late.ID); err != nil || len(cards) != 1 || cards[0].By != "Ama" {
		t.Errorf("the book holds %+v, %v", cards, err)
	}
	do(t, ctx, open(r.url("/money")), click("#found summary"), click("#found [name=amount]"), typeIn("20\r"), until(`document.querySelector("main [role=status]")`))
}
