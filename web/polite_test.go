package web

import (
	"context"
	"testing"

	"clothwright/lay"
)

// A search that stands back for pages finds the same as one that does not: its budget is in steps.
func TestStandingBackTakesNothingFromALay(t *testing.T) {
	r := openRoom(t)
	c, err := r.server.cut(r.measured())
	if err != nil || c.err != nil {
		t.Fatal(err, c.err)
	}
	cloth, ok := c.result.Cloth("shell")
	if !ok {
		t.Fatal("there is no cloth")
	}
	find := func(ctx context.Context) *lay.Plan {
		p, err := lay.Lay(ctx, []lay.Work{{Job: "x", Pattern: c.result.Pattern}}, cloth, lay.Options{Seed: 3, Steps: 300})
		if err != nil || !p.Laid() {
			t.Fatal(err)
		}
		return p
	}
	want := find(context.Background())
	r.server.busy.Add(1) // a page that is never done
	got := find(r.server.politely(context.Background()))
	r.server.busy.Add(-1)
	if got.Length != want.Length || len(got.Places) != len(want.Places) {
		t.Errorf("standing back the lay is %.3f mm long, else %.3f", got.Length, want.Length)
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if p := r.server.politely(ctx); p.Err() == nil {
		t.Error("a search that was ended does not hear of it")
	}
}
