package web

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"clothwright/book"
	"clothwright/desk"
)

// orderPages are an order's pages at several times of its life, by their names.
func orderPages(t *testing.T, r *room, rec *Record) []struct{ name, path string } {
	t.Helper()
	ctx := context.Background()
	young := *rec
	young.Number, young.Client = "T-9", "梅林 花子"
	_, fresh := r.ordered(&young)
	j, at := r.ordered(rec)
	if _, err := desk.TakeIn(ctx, r.book, book.Client{ID: j.ClientID}, j.Number, book.Goods{What: "indigo cloth", Length: 2600, Width: 1150, Condition: "washed, sound"}); err != nil {
		t.Fatal(err)
	}
	c := r.hand(t)
	c.done(at+"/quote", "act", "quote", "discount", "5", "own", "shell")
	c.done(at+"/due", "act", "due", "which", "earliest", "not-before", "2026-03-18")
	c.done(at+"/confirm", "act", "confirm")
	c.done(at+"/agree", "act", "agree")
	c.done(at+"/pay", "act", "pay", "amount", "60", "pay-why", "deposit")
	c.done(at+"/move", "act", "move", "to", "cut")
	c.done(at+"/move", "act", "move", "to", "fitting", "move-note", "basted, sleeves pinned in")
	c.done(at+"/hold", "act", "hold", "pins", "sleeve +1/2 in\nhem wider 1 cm", "by", "Ama", "fit-note", "the left hip is fuller")
	c.done(at+"/redraft", "act", "redraft")
	c.done(at+"/plan", "act", "plan", "plan-on", "2026-03-16", "plan-note", "at four")
	return []struct{ name, path string }{
		{"order-new", fresh}, {"order", at}, {"costing", at + "/costing"}, {"draft", at + "/draft/2"}, {"sheets-in-book", "/jobs/" + rec.ID + "/sheets"},
	}
}

func TestOrderPictures(t *testing.T) {
	if *pictures == "" {
		t.Skip("pictures are made with -pictures DIR")
	}
	ctx := longTab(t)
	r, rec := openDesk(t)
	pages := orderPages(t, r, rec)
	for _, tone := range []string{"light", "dark"} {
		for _, w := range []int64{360, 768, 1440} {
			do(t, ctx, scheme(tone), screen(w, map[int64]int64{360: 740, 768: 1024, 1440: 900}[w]))
			for _, p := range pages {
				do(t, ctx, open(r.url(p.path)))
				shot(t, ctx, filepath.Join(*pictures, fmt.Sprintf("%s-%d-%s.png", p.name, w, tone)), true)
				if strings.HasPrefix(p.name, "order") && text(t, ctx, `document.documentElement.scrollWidth>innerWidth`) == "true" {
					t.Errorf("%s is wider than a screen of %d px", p.name, w)
				}
			}
		}
	}
}

// The pictures of an order in docs/tour.md.
func TestOrderTour(t *testing.T) {
	if !*tour {
		t.Skip("the pictures of docs/tour.md are made with -tour")
	}
	ctx := longTab(t)
	r, rec := openDesk(t)
	at := orderPages(t, r, rec)[1].path
	take := func(name string) { shot(t, ctx, filepath.Join("..", "docs", "tour", name+".png"), false) }
	do(t, ctx, scheme("light"), screen(1200, 900), open(r.url(at)), still)
	take("order")
	do(t, ctx, phone(), open(r.url(at)), still)
	take("order-phone")
}
