package web

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"clothwright/desk"
)

// What the workroom's pages have settled of how a cloth is laid goes into the book with the job, by hand place by place: the draft's record has
// that lay, the quotation is of its length, a change at the drawing brings it back, and the draft cut again is the same byte for byte.
func TestTheBookKeepsHowAJobIsLaid(t *testing.T) {
	r, rec := openDesk(t)
	c := r.hand(t)
	ctx := context.Background()
	base := "/jobs/" + rec.ID
	c.post(base+"/lay/shell", 303, "width", "54", "fold", "open", "do", "start")
	kept(t, r, "a lay", func(j *Record) bool { return j.Kept.Lays["shell"].Steps > 0 })
	r.server.rest(rec.ID, "shell")
	plan, _ := r.planOfShell(rec.ID)
	front := plan.Places[0]
	for _, q := range plan.Places {
		if q.Piece == "front" {
			front = q
		}
	}
	flip := map[bool]int{true: 1}[front.Flipped]
	far := front.Y + plan.Depth()
	c.post(base+"/lay/shell/hand", 200, "of", planSignOf(t, r, rec.ID), "do", "place", "p", fmt.Sprintf("front %d 0 %g %d %g %g 1", front.Copy, front.Turn, flip, front.X, far))
	long, _ := r.planOfShell(rec.ID)
	if long.Length < plan.Length+300 || long.Cloth.Width != 1371.6 {
		t.Fatalf("moved behind all others the lay is %g long on %g", long.Length, long.Cloth.Width)
	}

	of := func() (length, bought float64, level string) {
		t.Helper()
		_, d, err := desk.Kept(ctx, r.book, "T-1", 0)
		if err != nil {
			t.Fatal(err)
		}
		var out struct {
			Cloths []struct{ Length, Bought float64 }
		}
		if err := json.Unmarshal(d.Record, &out); err != nil {
			t.Fatal(err)
		}
		return out.Cloths[0].Length, out.Cloths[0].Bought, d.Level
	}
	c.done(base+"/order", "number", "T-1", "by", "Ama")
	if length, bought, level := of(); math.Abs(length-long.Length) > 0.01 || math.Abs(bought-long.Bought) > 0.01 || level == "stop" {
		t.Errorf("the draft's cloth is %g long, %g bought, level %s; the lay by hand takes %g, %g", length, bought, level, long.Length, long.Bought)
	}
	j, err := r.book.Job(ctx, "T-1")
	if err != nil {
		t.Fatal(err)
	}
	at := r.order(j)
	priced, err := desk.Price(ctx, r.book, "T-1", "", nil, desk.Pricing{Pieces: 1})
	if err != nil {
		t.Fatal(err)
	}
	metres, lines := strconv.FormatFloat(math.Round(long.Bought*10)/10000, 'f', -1, 64)+" m", ""
	for _, l := range priced.Quote.Lines {
		lines += l.What + ": " + l.Quantity + "\n"
	}
	if !strings.Contains(lines, metres) {
		t.Errorf("%s of shell are bought; the quotation has\n%s", metres, lines)
	}
	again, err := desk.Recut(ctx, r.book, "T-1", 0, true)
	if err != nil || !again.Same {
		t.Errorf("cut again it is the same: %t, %v", again.Same, err)
	}

	// Opened again it still lies so; moved back and brought back, the next draft is as long as the search had found.
	c.post(at+"/open", 303)
	if q, ok := r.handOf(rec.ID, "front"); !ok || q.Copy == front.Copy && math.Abs(q.Y-thousandth(far)) > 0.0005 {
		t.Errorf("opened again, the front lies at %+v, %t", q, ok)
	}
	c.post(base+"/lay/shell/hand", 200, "of", planSignOf(t, r, rec.ID), "do", "undo")
	page := c.done(base+"/order", "why", "laid shorter")
	says(t, "the order", page, "Draft 2", "laid shorter")
	if length, _, _ := of(); math.Abs(length-plan.Length) > 0.01 {
		t.Errorf("the second draft's cloth is %g long; the lay takes %g", length, plan.Length)
	}
	// Another measure makes other pieces: the lay does not count for them, and nothing overlaps.
	c.done(base+"/measure", "m.body_length", "27")
	c.done(base+"/order", "why", "longer", "by", "Kofi")
	if _, _, level := of(); level == "stop" {
		t.Error("a lay of other pieces was taken for a longer jacket")
	}
}
