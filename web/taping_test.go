package web

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"clothwright/curve"
)

// lengthsOf are the lengths of a job's edges as its record says them, by piece and edge.
func lengthsOf(t *testing.T, r *room, job *Record) map[string]float64 {
	t.Helper()
	c, err := r.server.cut(job)
	if err != nil || c.err != nil {
		t.Fatal(err, c.err)
	}
	src, err := c.result.JSON()
	if err != nil {
		t.Fatal(err)
	}
	var record struct {
		Pieces []struct {
			Name  string
			Edges []struct {
				Name   string
				Length float64
			}
		}
	}
	if err := json.Unmarshal(src, &record); err != nil {
		t.Fatal(err)
	}
	out := map[string]float64{}
	for _, p := range record.Pieces {
		for _, e := range p.Edges {
			out[p.Name+"."+e.Name] = e.Length
		}
	}
	return out
}

// onBoard is where a point of the piece, in millimetres, is on the screen.
func onBoard(q curve.Point) string {
	return fmt.Sprintf(`(()=>{const b=document.querySelector(".board");b.scrollIntoView({block:"center"});const p=new DOMPoint(%f,%f).matrixTransform(b.getScreenCTM());return [p.x,p.y]})()`, q.X, q.Y)
}

// The tape on the picture says what the record says: the armhole from its one corner to the other, each touched a few pixels beside.
func TestTheTapeOnThePictureSaysWhatTheRecordSays(t *testing.T) {
	ctx := openTab(t)
	r := openRoom(t)
	job := r.measured()
	want := lengthsOf(t, r, job)["front.armhole"]
	c, _ := r.server.cut(job)
	hole := c.result.Pattern.Piece("front").Edge("armhole").Path
	main := func(i int) string {
		return fmt.Sprintf(`document.querySelectorAll(".taped .main")[%d].dataset.mm`, i)
	}
	read := func(i int) float64 {
		v, err := strconv.ParseFloat(text(t, ctx, main(i)), 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	for _, hand := range []string{"mouse", "finger"} {
		screened := screen(1280, 900)
		if hand == "finger" {
			screened = phone()
		}
		do(t, ctx, screened, open(r.url("/jobs/"+job.ID+"/design")), click(`.gallery a[href$="/design/front"]`), until(`document.querySelector(".board")&&document.readyState==="complete"`))
		for i, q := range []curve.Point{hole.Start(), hole.End()} {
			at, err := chromedp.Run(ctx, chromedp.Evaluate[[]float64](onBoard(q)))
			if err != nil {
				t.Fatal(err)
			}
			if hand == "mouse" {
				do(t, ctx, chromedp.MouseClickXY(at[0]+3, at[1]-2))
			} else {
				do(t, ctx, tapAt(at[0]+6, at[1]-5))
			}
			do(t, ctx, until(fmt.Sprintf(`document.querySelector(".board").dataset[%q]`, string(rune('a'+i)))))
		}
		if got := read(0); math.Abs(got-hole.Start().Dist(hole.End())) > 0.001 {
			t.Errorf("by %s the armhole's ends are %.3f mm apart; %.3f is right", hand, got, hole.Start().Dist(hole.End()))
		}
		if got := read(1); math.Abs(got-want) > 0.001 {
			t.Errorf("by %s the armhole is %.3f mm long; its record says %.3f", hand, got, want)
		}
	}
	// What was measured is still there after a reload.
	do(t, ctx, reload(), until(`document.querySelector(".taped")`))
	if got := read(1); math.Abs(got-want) > 0.001 {
		t.Errorf("after a reload the armhole is %.3f mm long", got)
	}
	// By keyboard: the lists hold every corner; and a whole edge by its name.
	first := text(t, ctx, `document.querySelector("#point-a optgroup option").value`)
	do(t, ctx, click("#taping-anew"), until(`!document.querySelector(".board").dataset.a`), focus("#point-a"), typeIn(kb.ArrowDown), until(`document.querySelector(".board").dataset.a===`+strconv.Quote(first)))
	if got := text(t, ctx, `document.activeElement.id`); got != "point-a" {
		t.Errorf("after choosing, the focus is on %q", got)
	}
	do(t, ctx, click("#taping-anew"), until(`!document.querySelector(".board").dataset.a`), focus("#line-e2"), typeIn("\r"), until(`document.querySelector(".board .edge.lit")`))
	if got := read(0); math.Abs(got-want) > 0.001 {
		t.Errorf("the edge chosen whole is %.3f mm long; its record says %.3f", got, want)
	}
}

// Points of an address that a piece does not have are no points, and never a fault of ours.
func TestSenselessPointsAreNoPoints(t *testing.T) {
	r := openRoom(t)
	job := r.measured()
	c := newClient(t, r.url(""))
	at := "/jobs/" + job.ID + "/design/front"
	for _, q := range []string{"a=c99", "a=e1@NaN", "a=e1@-1", "a=e1@1e400", "a=zz@1", "a=p1e300,2", "a=pNaN,NaN", "tap=x", "tap=1,Inf&reach=-1", "edge=e99", "edge=%00", "a=<script>", "a=c0&b=c0", "tap=1,2&reach=NaN", "a=c0&b=n999"} {
		if status, page, _ := c.send("GET", at+"?"+q, "", nil); status != 200 || strings.Contains(page, "NaN") {
			t.Errorf("%s is answered with %d, or with NaN in it", q, status)
		}
	}
	if status, _, _ := c.send("GET", "/jobs/"+job.ID+"/design/nopiece", "", nil); status != 404 {
		t.Errorf("a piece that is not there is answered with %d", status)
	}
}

// Lengths along a closed line add up: from corner to corner the two ways round make the whole, and the tape takes the shorter.
func TestTheTapeGoesTheShorterWayRound(t *testing.T) {
	r := openRoom(t)
	c, err := r.server.cut(r.measured())
	if err != nil || c.err != nil {
		t.Fatal(err, c.err)
	}
	for i := range c.result.Pattern.Pieces {
		p := &c.result.Pattern.Pieces[i]
		b := newBoard(p, c.result.Job.House.Tape, languages["en"])
		whole := p.SeamLine().Length()
		for k := range b.Corners {
			for j := k + 1; j < len(b.Corners); j++ {
				way, ok := b.follow(b.Corners[k].At, b.Corners[j].At)
				if !ok {
					t.Fatalf("%s: no way between two corners", p.Name)
				}
				one := 0.0
				for e := k; e < j; e++ {
					one += p.Edges[e].Length()
				}
				if want := min(one, whole-one); math.Abs(way.MM-want) > 0.01 && math.Abs(way.MM-one) > 0.01 || math.Abs(way.Path.Length()-way.MM) > 0.01 {
					t.Errorf("%s: from corner %d to %d the tape goes %.2f mm and is drawn %.2f mm; %.2f is the shorter way", p.Name, k, j, way.MM, way.Path.Length(), want)
				}
			}
		}
	}
}
