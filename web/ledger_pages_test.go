package web

import (
	"fmt"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
)

// ledgerPages are the pages of a room's book in season, by their names.
func ledgerPages(r *room, s busy) []struct{ name, path string } {
	return []struct{ name, path string }{
		{"week", "/week"},
		{"clients", "/clients"},
		{"client-new", "/clients/new"},
		{"client", r.client(s.ola)},
		{"client-bare", r.client(s.late)},
		{"client-change", r.client(s.ola) + "/change"},
		{"client-forget", r.client(s.ola) + "/forget"},
		{"card", r.client(s.ola) + "/cards/" + r.server.signed(aCard, s.cards[1].ID)},
		{"card-write", r.client(s.ola) + "/card"},
		{"orders", "/orders"},
		{"money", "/money"},
		{"cloth", "/cloth"},
		{"cloth-all", "/cloth/all"},
		{"shelf", "/shelf"},
		{"times", "/times"},
		{"room", "/room"},
		{"tables", "/room/tables"},
	}
}

func TestLedgerPictures(t *testing.T) {
	if *pictures == "" {
		t.Skip("pictures are made with -pictures DIR")
	}
	ctx := longTab(t)
	r := openLedger(t)
	s := r.inSeason()
	begin(r, s)
	for _, scheme1 := range []string{"light", "dark"} {
		for _, w := range []int64{360, 768, 1440} {
			do(t, ctx, scheme(scheme1), screen(w, map[int64]int64{360: 740, 768: 1024, 1440: 900}[w]))
			for _, p := range ledgerPages(r, s) {
				do(t, ctx, open(r.url(p.path)))
				shot(t, ctx, filepath.Join(*pictures, fmt.Sprintf("%s-%d-%s.png", p.name, w, scheme1)), true)
			}
		}
	}
}

// begin begins a correction of a card, and a job from the newest.
func begin(r *room, s busy) {
	c := newClient(r.t, r.url(""))
	token := c.token(r.client(s.ola))
	for _, x := range []struct{ path, body string }{
		{"/card/begin", form("token", token, "corrects", r.server.signed(aCard, s.cards[1].ID))},
		{"/work", form("token", token)},
	} {
		if status, page, _ := c.send("POST", r.client(s.ola)+x.path, x.body, nil); status != 303 {
			r.t.Fatalf("%s is answered with %d: %s", x.path, status, page)
		}
	}
}

// The rules are those of axe-core: https://github.com/dequelabs/axe-core, the W3C's WCAG 2.2 at levels A and AA; and 1.4.10 Reflow down to 320 px.
func TestTheLedgerShutsNobodyOut(t *testing.T) {
	ctx := longTab(t)
	r := openLedger(t)
	s := r.inSeason()
	begin(r, s)
	for mode, w := range map[string]int64{"light": 360, "dark": 1440} {
		do(t, ctx, scheme(mode), screen(w, 900))
		for _, p := range ledgerPages(r, s) {
			do(t, ctx, open(r.url(p.path)))
			accessible(t, ctx, fmt.Sprintf("%s, %s, %d wide", p.name, mode, w))
			do(t, ctx, screen(map[int64]int64{360: 320, 1440: 768}[w], 900))
			if text(t, ctx, `document.documentElement.scrollWidth<=innerWidth`) != "true" {
				t.Errorf("%s: the page is wider than the screen", p.name)
			}
			do(t, ctx, screen(w, 900))
		}
	}
}

// The pictures of the book's pages in docs/tour.md.
func TestLedgerTour(t *testing.T) {
	if !*tour {
		t.Skip("the pictures of docs/tour.md are made with -tour")
	}
	ctx := openTab(t)
	r := openLedger(t)
	s := r.inSeason()
	begin(r, s)
	take := func(name string) { shot(t, ctx, filepath.Join("..", "docs", "tour", name+".png"), false) }
	do(t, ctx, scheme("light"), screen(1200, 800), open(r.url("/week")), still)
	take("week")
	do(t, ctx, open(r.url(r.client(s.ola)+"/cards/"+r.server.signed(aCard, s.cards[1].ID))), still)
	take("card")
	do(t, ctx, chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch), open(r.url("/clients")), still, tap("#part"), thumbs("soy"), until(`document.querySelectorAll("#found li").length===1`))
	take("clients-phone")
	do(t, ctx, scheme("dark"), open(r.url(r.client(s.ola))), still)
	take("client-phone")
	do(t, ctx, scheme("light"), screen(1200, 800), open(r.url("/orders")), still)
	take("orders")
}
